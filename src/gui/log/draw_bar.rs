//! Drawing on the picture: the bar with the tools, and the strokes over the footage.

use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::draw_list::fill_list;
use crate::drawing::{Colour, Drawing, View};
use crate::gui::kit::words::{capital, named};
use crate::gui::model::{Event, Model};
use crate::gui::picture::drawn::{painting, show_drawings, swatch};
use crate::gui::picture::view::FootageView;
use crate::logging::Key;
use crate::measure::{Calibration, Pixel};
use crate::record::Edit;
use crate::session::keeper::Ask;
use crate::session::sketch::{Did, Sketch, Tool};
use crate::time::MatchTime;

/// How long drawings may be shown, in seconds; the second is chosen at first.
const LASTS: [u64; 5] = [1, 3, 5, 10, 30];

pub mod imp {
    use std::cell::{Cell, OnceCell, RefCell};

    use super::{Drawing, FootageView, Model, Pixel, Sketch, glib};
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/draw_bar.ui")]
    pub struct DrawBar {
        #[template_child]
        pub tools: TemplateChild<gtk::FlowBox>,
        #[template_child]
        pub entry: TemplateChild<gtk::Entry>,
        #[template_child]
        pub words: TemplateChild<gtk::Label>,
        #[template_child]
        pub colours: TemplateChild<gtk::Box>,
        #[template_child]
        pub flat: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub lasts: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub list: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub done: TemplateChild<gtk::Button>,
        pub model: OnceCell<Model>,
        pub view: OnceCell<FootageView>,
        pub sketch: RefCell<Sketch>,
        /// Where the words that are being written are to begin.
        pub writing: Cell<Option<Pixel>>,
        /// All drawings as the keeper was asked to keep them last.
        pub asked: RefCell<Vec<Drawing>>,
        pub buttons: RefCell<Vec<gtk::ToggleButton>>,
        pub dots: RefCell<Vec<gtk::ToggleButton>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for DrawBar {
        const NAME: &'static str = "ChangeoverDrawBar";
        type Type = super::DrawBar;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for DrawBar {}
    impl WidgetImpl for DrawBar {}
    impl BoxImpl for DrawBar {}
}

glib::wrapper! {
    /// The tools to draw with.
    pub struct DrawBar(ObjectSubclass<imp::DrawBar>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl DrawBar {
    /// Draws on this picture.
    pub fn set_up(&self, model: &Model, view: &FootageView) {
        let imp = self.imp();
        let _ = imp.model.set(model.clone());
        let _ = imp.view.set(view.clone());
        show_drawings(view, model);
        let bar = self.downgrade();
        view.add_layer(Box::new(move |_| {
            let bar = bar.upgrade()?;
            Some(painting(vec![bar.sketched()?], bar.view()?))
        }));
        self.fill();
        self.wire();
        self.wire_strokes(view);
        for event in [Event::Changed, Event::Moment, Event::Current] {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = bar)]
                    self,
                    move |_| bar.show()
                ),
            );
        }
        for event in [Event::Opened, Event::Closed] {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = bar)]
                    self,
                    move |_| bar.leave()
                ),
            );
        }
    }

    fn fill(&self) {
        let imp = self.imp();
        for (n, tool) in (1..).zip(Tool::ALL) {
            let button = gtk::ToggleButton::with_label(&format!("{n}  {}", tool.words()));
            button.set_focus_on_click(false);
            button.set_tooltip_text(Some(tool.help()));
            self.wire_choice(&button, move |sketch| sketch.tool = tool);
            imp.tools.append(&button);
            if let Some(child) = button.parent() {
                child.set_focusable(false);
            }
            imp.buttons.borrow_mut().push(button);
        }
        for colour in Colour::ALL {
            let button = gtk::ToggleButton::builder().child(&swatch(colour)).focus_on_click(false).build();
            let name = capital(colour.words());
            button.set_tooltip_text(Some(&format!("{name}. C chooses the next colour")));
            named(button.upcast_ref(), &name);
            self.wire_choice(&button, move |sketch| sketch.colour = colour);
            imp.colours.append(&button);
            imp.dots.borrow_mut().push(button);
        }
        let words = LASTS.map(|s| format!("{s} s"));
        imp.lasts.set_model(Some(&gtk::StringList::new(&words.each_ref().map(String::as_str))));
        imp.lasts.set_selected(1);
        named(imp.lasts.upcast_ref(), "How long the drawing is shown");
        named(imp.list.upcast_ref(), "Drawings of this point");
    }

    fn wire_choice(&self, button: &gtk::ToggleButton, choose: impl Fn(&mut Sketch) + 'static) {
        button.connect_clicked(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |_| {
                choose(&mut bar.imp().sketch.borrow_mut());
                bar.show();
            }
        ));
    }

    fn wire(&self) {
        let imp = self.imp();
        self.wire_choice(&imp.flat, |sketch| sketch.flat = !sketch.flat);
        imp.lasts.connect_selected_notify(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |menu| {
                let lasts = LASTS.get(menu.selected() as usize).copied().unwrap_or(3);
                bar.imp().sketch.borrow_mut().lasts = Duration::from_secs(lasts);
            }
        ));
        imp.done.connect_clicked(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |_| bar.leave()
        ));
        imp.entry.connect_activate(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |entry| bar.write(&entry.text())
        ));
        imp.list.set_create_popup_func(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |button| {
                if let Some(model) = bar.imp().model.get() {
                    fill_list(button, model);
                }
            }
        ));
    }

    /// A stroke takes the pointer while something is drawn; else a drag moves the picture, and a click plays.
    fn wire_strokes(&self, view: &FootageView) {
        let drag = gtk::GestureDrag::new();
        drag.set_propagation_phase(gtk::PropagationPhase::Capture);
        drag.connect_drag_begin(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |drag, x, y| {
                if !bar.is_visible() {
                    drag.set_state(gtk::EventSequenceState::Denied);
                    return;
                }
                drag.set_state(gtk::EventSequenceState::Claimed);
                bar.begin(x, y);
            }
        ));
        let to = |bar: &Self, drag: &gtk::GestureDrag, (dx, dy): (f64, f64)| {
            if let (Some((x, y)), Some(view)) = (drag.start_point(), bar.imp().view.get()) {
                bar.go_on(view.pixel(x + dx, y + dy));
            }
        };
        drag.connect_drag_update(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |drag, dx, dy| to(&bar, drag, (dx, dy))
        ));
        drag.connect_drag_end(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |_, _, _| bar.end()
        ));
        drag.connect_cancel(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |_, _| {
                bar.imp().sketch.borrow_mut().cancel();
                bar.redraw();
            }
        ));
        view.add_controller(drag);
    }

    /// Begins to draw, or stops.
    pub fn turn(&self) {
        let Some(model) = self.imp().model.get() else { return };
        if self.is_visible() {
            return self.leave();
        }
        if model.shown().is_none() {
            return model.say("There is no picture to draw on. Open the footage of this record first.");
        }
        if model.is_playing() {
            model.play_pause();
        }
        self.set_visible(true);
        self.show();
        if let Some(view) = self.imp().view.get() {
            view.set_cursor_from_name(Some("crosshair"));
            view.grab_focus();
        }
    }

    fn leave(&self) {
        self.leave_words();
        self.imp().sketch.borrow_mut().cancel();
        self.set_visible(false);
        if let Some(view) = self.imp().view.get() {
            view.set_cursor(None);
        }
        self.redraw();
    }

    /// Puts the entry for words away. Says whether it was there.
    pub fn leave_words(&self) -> bool {
        let there = self.imp().writing.take().is_some();
        self.imp().entry.set_visible(false);
        if let Some(view) = self.imp().view.get().filter(|_| there) {
            view.grab_focus();
        }
        there
    }

    /// Does what a key means while something is drawn. Says whether it means something then.
    pub fn key(&self, key: &Key) -> bool {
        if !self.is_visible() {
            return false;
        }
        if key.is("space") {
            // Drawing is over, and the footage goes on.
            self.leave();
            return false;
        }
        let did = self.imp().sketch.borrow_mut().key(key);
        match did {
            Some(Did::Left) => self.leave(),
            Some(Did::Delete) => self.delete_last(),
            Some(Did::Chose) => self.show(),
            None => return false,
        }
        true
    }

    /// The picture with the camera of its moment.
    fn view(&self) -> Option<View> {
        let at = self.imp().model.get()?.shown()?;
        let camera = self.imp().model.get()?.session().borrow().as_ref()?.cameras.at(at);
        Some(View::of(camera.as_ref().map(Calibration::camera), self.imp().view.get()?.picture_size()))
    }

    /// The drawing of the stroke so far.
    fn sketched(&self) -> Option<Drawing> {
        let sketch = self.imp().sketch.borrow();
        sketch.is_drawing().then(|| sketch.drawing(&self.view()?, self.moment()?))?
    }

    fn moment(&self) -> Option<MatchTime> {
        self.imp().model.get()?.shown()
    }

    fn begin(&self, x: f64, y: f64) {
        let imp = self.imp();
        let Some(view) = imp.view.get() else { return };
        let at = view.pixel(x, y);
        if imp.sketch.borrow().tool == Tool::Text {
            imp.writing.set(Some(at));
            imp.entry.set_text("");
            imp.entry.set_visible(true);
            imp.entry.grab_focus();
        } else {
            view.grab_focus();
            imp.sketch.borrow_mut().begin(at);
        }
    }

    fn go_on(&self, at: Pixel) {
        if let Some(view) = self.view() {
            self.imp().sketch.borrow_mut().drag(at, &view);
            self.redraw();
        }
    }

    fn end(&self) {
        let drawing = self.sketched();
        self.imp().sketch.borrow_mut().cancel();
        if let Some(drawing) = drawing {
            self.add(drawing);
        }
        self.redraw();
    }

    /// Puts the words where the picture was clicked.
    fn write(&self, words: &str) {
        let at = self.imp().writing.get();
        let drawing = at
            .zip(self.view())
            .zip(self.moment())
            .and_then(|((place, view), at)| self.imp().sketch.borrow().words(words, place, &view, at));
        self.leave_words();
        if let Some(drawing) = drawing {
            self.add(drawing);
        }
    }

    fn add(&self, drawing: Drawing) {
        let Some(mut all) = self.all() else { return };
        all.push(drawing);
        self.ask(all);
    }

    /// All drawings of the record. While the keeper has not answered, those that it was asked for: a quick second stroke must not
    /// be without the first.
    fn all(&self) -> Option<Vec<Drawing>> {
        let session = self.imp().model.get()?.session().borrow();
        let s = session.as_ref()?;
        let asked = self.imp().asked.borrow();
        Some(if s.waits() && !asked.is_empty() { asked.clone() } else { s.view.record.drawings.clone() })
    }

    /// Deletes the drawing that was made last of those that are seen now.
    fn delete_last(&self) {
        let (Some(mut all), Some(at), Some(model)) = (self.all(), self.moment(), self.imp().model.get())
        else {
            return;
        };
        let Some(last) = all.iter().rposition(|d| d.seen_at(at)) else {
            return model.say("There is no drawing on this picture to delete.");
        };
        all.remove(last);
        self.ask(all);
    }

    fn ask(&self, all: Vec<Drawing>) {
        if let Some(model) = self.imp().model.get() {
            self.imp().asked.replace(all.clone());
            model.ask(Ask::Edit(Box::new(Edit::SetDrawings(all))));
        }
    }

    fn redraw(&self) {
        self.imp().view.get().iter().for_each(|v| v.queue_draw());
    }

    /// Shows what is chosen, and says what to do.
    fn show(&self) {
        if !self.is_visible() {
            return;
        }
        let imp = self.imp();
        let sketch = imp.sketch.borrow().clone();
        for (button, tool) in imp.buttons.borrow().iter().zip(Tool::ALL) {
            button.set_active(tool == sketch.tool);
        }
        for (button, colour) in imp.dots.borrow().iter().zip(Colour::ALL) {
            button.set_active(colour == sketch.colour);
        }
        imp.flat.set_active(sketch.flat);
        let ground = self.view().is_some_and(|v| v.has_ground());
        imp.flat.set_visible(ground);
        let help = sketch.tool.help();
        let lies = match (ground, sketch.tool) {
            (true, _) | (false, Tool::Line | Tool::Text) => "",
            (false, Tool::Distance) => {
                " The court is not known in this picture, so the metres are not known either."
            }
            (false, _) => " The court is not known in this picture, so it lies flat on it.",
        };
        let words = format!("{help}{lies}");
        imp.words.set_label(&words);
        imp.words.set_tooltip_text(Some(&words));
        let count = self.imp().model.get().map_or(0, |m| super::draw_list::listed(m).len());
        imp.list.set_label(&if count == 0 { "Drawings".into() } else { format!("Drawings: {count}") });
        imp.list.set_sensitive(count > 0);
    }
}

#[cfg(test)]
mod tests;
