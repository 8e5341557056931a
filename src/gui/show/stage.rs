//! The lesson as a show: the footage on a screen of its own, with caption and chapter; by key, mouse or remote control.

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib};

use super::layer::show_lesson_drawings;
use super::screens::for_show;
use super::talk_bar::TalkBar;
use crate::drawing::{Anchor, Colour, Drawing, Shape};
use crate::gui::kit::keyboard::press_of;
use crate::gui::model::{Event, Model};
use crate::gui::picture::view::FootageView;
use crate::lesson::Part;
use crate::logging::{Action, Meaning};
use crate::session::show::keeper::Ask;
use crate::session::show::view::{caption, notes};
use crate::time::MatchTime;

mod imp {
    use std::cell::{Cell, OnceCell, RefCell};
    use std::rc::Rc;

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Drawing, FootageView, MatchTime, Model, TalkBar};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/show/stage.ui")]
    pub struct Stage {
        #[template_child]
        pub view: TemplateChild<FootageView>,
        #[template_child]
        pub chapter: TemplateChild<gtk::Label>,
        #[template_child]
        pub told: TemplateChild<gtk::Label>,
        #[template_child]
        pub notes: TemplateChild<gtk::Label>,
        #[template_child]
        pub caption: TemplateChild<gtk::Label>,
        #[template_child]
        pub talk: TemplateChild<TalkBar>,
        pub model: OnceCell<Model>,
        /// Whether notes are shown on this screen.
        pub noted: Cell<bool>,
        /// Whether it is on another screen than the main window.
        pub apart: Cell<bool>,
        /// What was drawn over this clip.
        pub drawn: Rc<RefCell<Vec<Drawing>>>,
        /// When the line that is being drawn was begun, in the take that is recorded.
        pub begun: Cell<Option<MatchTime>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Stage {
        const NAME: &'static str = "ChangeoverStage";
        type Type = super::Stage;
        type ParentType = gtk::Window;

        fn class_init(klass: &mut Self::Class) {
            FootageView::ensure_type();
            TalkBar::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Stage {}
    impl WidgetImpl for Stage {}
    impl WindowImpl for Stage {
        fn close_request(&self) -> glib::Propagation {
            if let Some(model) = self.model.get() {
                model.stop_talk();
                model.stop_show();
            }
            self.parent_close_request()
        }
    }
}

glib::wrapper! {
    /// The lesson as a show.
    pub struct Stage(ObjectSubclass<imp::Stage>)
        @extends gtk::Window, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Native, gtk::Root,
            gtk::ShortcutManager;
}

impl Stage {
    /// Shows the lesson of this model on a screen; on the other one, if there are two.
    pub fn new(model: &Model, window: Option<&gtk::Window>) -> Self {
        let stage: Self = glib::Object::new();
        let imp = stage.imp();
        // It is set up once.
        let _ = imp.model.set(model.clone());
        imp.view.show(model.frames());
        let drawn = imp.drawn.clone();
        let told = model.downgrade();
        show_lesson_drawings(&imp.view, model, move || {
            let told = told.upgrade().and_then(|m| m.told()).map(|(_, _, drawings)| drawings);
            told.unwrap_or_else(|| drawn.borrow().clone())
        });
        imp.talk.set_up(model);
        for event in [Event::Clip, Event::Lesson, Event::Talk] {
            model.on(
                event,
                glib::clone!(
                    #[weak]
                    stage,
                    move |_| stage.show(event == Event::Clip)
                ),
            );
        }
        stage.wire_keys();
        stage.wire_pen();
        stage.set_application(window.and_then(GtkWindowExt::application).as_ref());
        stage.put(window);
        stage
    }

    /// Full screen: on the screen where the main window is not, if there is one.
    fn put(&self, window: Option<&gtk::Window>) {
        let display = gtk::prelude::WidgetExt::display(self);
        let monitors = display.monitors();
        let all: Vec<gdk::Monitor> =
            (0..monitors.n_items()).filter_map(|n| monitors.item(n).and_downcast()).collect();
        let own = window.and_then(NativeExt::surface).and_then(|s| display.monitor_at_surface(&s));
        let place = |m: &gdk::Monitor| {
            let area = m.geometry();
            (area.x(), area.y(), area.width(), area.height())
        };
        let places: Vec<_> = all.iter().map(place).collect();
        if let Some(other) = for_show(&places, own.as_ref().map(place)).map(|n| &all[n]) {
            self.imp().apart.set(true);
            self.fullscreen_on_monitor(other);
        } else {
            if let Some(window) = window {
                self.set_transient_for(Some(window));
                self.set_destroy_with_parent(true);
            }
            self.fullscreen();
        }
        self.present();
    }

    /// Whether the main window stays in sight, on a screen of its own.
    pub fn is_apart(&self) -> bool {
        self.imp().apart.get()
    }

    fn wire_keys(&self) {
        let keys = gtk::EventControllerKey::new();
        keys.set_propagation_phase(gtk::PropagationPhase::Capture);
        keys.connect_key_pressed(glib::clone!(
            #[weak(rename_to = stage)]
            self,
            #[upgrade_or]
            glib::Propagation::Proceed,
            move |_, key, number, mods| {
                stage.key(key, number, mods);
                glib::Propagation::Stop
            }
        ));
        self.add_controller(keys);
        let click = gtk::GestureClick::new();
        click.set_button(gdk::BUTTON_SECONDARY);
        click.connect_pressed(glib::clone!(
            #[weak(rename_to = stage)]
            self,
            move |_, _, _, _| stage.act(Action::PointForward)
        ));
        self.add_controller(click);
    }

    fn key(&self, key: gdk::Key, number: u32, mods: gdk::ModifierType) {
        let Some(model) = self.imp().model.get() else { return };
        // What a remote control sends besides Page Up and Page Down.
        match key {
            gdk::Key::Page_Down | gdk::Key::KP_Page_Down | gdk::Key::Down => {
                return self.act(Action::PointForward);
            }
            gdk::Key::Page_Up | gdk::Key::KP_Page_Up | gdk::Key::Up => return self.act(Action::PointBack),
            gdk::Key::Escape => {
                if !model.stop_talk() {
                    self.close();
                }
                return;
            }
            gdk::Key::BackSpace => return self.wipe(),
            _ => {}
        }
        let Some(card) = model.key_card() else { return };
        if let Some(Meaning::Do(action)) = card.pressed(&press_of(key, number, mods, card.layout())) {
            self.act(*action);
        }
    }

    /// Does what a key means in a show; other keys do nothing.
    pub fn act(&self, action: Action) {
        let Some(model) = self.imp().model.get().filter(|model| !talks(model, action)) else { return };
        match action {
            Action::PointForward | Action::GameForward | Action::SetForward | Action::MatchForward => {
                model.go_to_clip(true);
            }
            Action::PointBack | Action::GameBack | Action::SetBack | Action::MatchBack => {
                model.go_to_clip(false);
            }
            Action::Replay | Action::LoopPoint | Action::PlayMatching => model.replay_clip(),
            Action::PlayPause => model.play_pause(),
            Action::FrameForward => model.step(1),
            Action::FrameBack => model.step(-1),
            Action::SkipForward => model.skip(true),
            Action::SkipBack => model.skip(false),
            Action::Faster => model.faster(true),
            Action::Slower => model.faster(false),
            Action::NormalSpeed => model.normal_speed(),
            Action::Mute => model.mute(),
            Action::ZoomIn => self.imp().view.zoom_to(Some(true)),
            Action::ZoomOut => self.imp().view.zoom_to(Some(false)),
            Action::ZoomReset => self.imp().view.zoom_to(None),
            Action::ShowNotes | Action::Note | Action::ClipNotes => {
                self.imp().noted.set(!self.imp().noted.get());
                self.show(false);
            }
            Action::PlayShow | Action::Quit | Action::FullScreen => self.close(),
            _ => {}
        }
    }

    /// The caption, the chapter and the notes of the clip that is shown.
    fn show(&self, another: bool) {
        let imp = self.imp();
        if another {
            imp.drawn.borrow_mut().clear();
        }
        let Some(model) = imp.model.get() else { return };
        if let Some((clip, chapter, _)) = model.told() {
            for (label, text) in [(&imp.chapter, &*chapter), (&imp.caption, &*clip.caption), (&imp.notes, "")]
            {
                label.set_label(text);
                label.set_visible(!text.trim().is_empty());
            }
            imp.view.queue_draw();
            return;
        }
        let Some((view, (at, all))) = model.lesson().zip(model.clip()) else { return };
        let Some(place) = view.items().get(at).map(|(part, _)| *part) else { return };
        let Some(part) = view.lesson.parts.get(place) else { return };
        let chapter = view.chapter_of(place).unwrap_or_default();
        let beside = "Only the left clip is shown here; the reel shows both side by side.";
        let noted = match part {
            Part::Pair(_) => [notes(part), beside].join("\n"),
            _ => notes(part).to_owned(),
        };
        let noted = Some(noted.trim()).filter(|_| imp.noted.get()).unwrap_or_default().to_owned();
        for (label, text) in [(&imp.chapter, chapter), (&imp.caption, caption(part)), (&imp.notes, &noted)] {
            label.set_label(text);
            label.set_visible(!text.trim().is_empty());
        }
        imp.told.set_label(&format!("{} / {all}", at + 1));
        imp.told.set_visible(imp.noted.get());
    }

    /// A line is drawn with the mouse; it stays until the next clip, or until Backspace.
    fn wire_pen(&self) {
        let pen = gtk::GestureDrag::new();
        pen.connect_drag_begin(glib::clone!(
            #[weak(rename_to = stage)]
            self,
            move |_, x, y| stage.draw(Some((x, y)), (x, y))
        ));
        pen.connect_drag_update(glib::clone!(
            #[weak(rename_to = stage)]
            self,
            move |pen, dx, dy| {
                if let Some((x, y)) = pen.start_point() {
                    stage.draw(None, (x + dx, y + dy));
                }
            }
        ));
        pen.connect_drag_end(glib::clone!(
            #[weak(rename_to = stage)]
            self,
            move |_, dx, dy| {
                if dx.hypot(dy) < 4.0 {
                    // A click plays or pauses, and draws nothing.
                    stage.imp().drawn.borrow_mut().pop();
                    stage.act(Action::PlayPause);
                } else {
                    stage.drew();
                }
                stage.imp().view.queue_draw();
            }
        ));
        self.imp().view.add_controller(pen);
    }

    fn draw(&self, begin: Option<(f64, f64)>, (x, y): (f64, f64)) {
        let imp = self.imp();
        let (pixel, size) = (imp.view.pixel(x, y), imp.view.picture_size());
        let part = |of: f64, whole: u32| (of / f64::from(whole.max(1)) * Anchor::WHOLE).round() as i32;
        let anchor = Anchor::Picture(part(pixel.x, size.width), part(pixel.y, size.height));
        let mut drawn = imp.drawn.borrow_mut();
        if begin.is_some() {
            imp.begun.set(imp.model.get().and_then(Model::take_time));
            let shape = Shape::Line(vec![anchor]);
            let (from, to) = (MatchTime::ZERO, MatchTime::from_secs(1));
            drawn.push(Drawing { shape, colour: Colour::Yellow, from, to });
        } else if let Some(Drawing { shape: Shape::Line(places), .. }) = drawn.last_mut() {
            places.push(anchor);
        }
        drop(drawn);
        imp.view.queue_draw();
    }

    /// A line is complete: it goes into the talk, if one is recorded or stands.
    fn drew(&self) {
        let imp = self.imp();
        let last = imp.drawn.borrow().last().cloned();
        if let (Some(model), Some(line)) = (imp.model.get(), last) {
            model.drew(line.shape, line.colour, imp.begun.take());
            if model.tells() {
                // The talk draws it from now on.
                imp.drawn.borrow_mut().clear();
            }
        }
    }

    /// Takes away what was drawn with the mouse.
    fn wipe(&self) {
        if let Some(model) = self.imp().model.get() {
            model.wiped();
        }
        self.imp().drawn.borrow_mut().clear();
        self.imp().view.queue_draw();
    }

    /// What the bar of the talk says.
    #[cfg(test)]
    pub fn talk(&self) -> (String, String) {
        self.imp().talk.said()
    }

    /// Draws a line through these places, as the mouse does.
    #[cfg(test)]
    pub fn draw_line(&self, places: &[(f64, f64)]) {
        for (n, place) in places.iter().enumerate() {
            self.draw((n == 0).then_some(*place), *place);
        }
        self.drew();
    }

    /// What stands under the clip.
    #[cfg(test)]
    pub fn said(&self) -> [String; 3] {
        let imp = self.imp();
        [&imp.chapter, &imp.caption, &imp.notes]
            .map(|label| if label.get_visible() { label.text().to_string() } else { String::new() })
    }
}

/// Does what an action means for the talk. Says whether it means anything.
fn talks(model: &Model, action: Action) -> bool {
    match action {
        Action::RecordTalk => model.record_talk(),
        Action::PlayTalk => model.play_talk(),
        Action::CutTalk => model.cut_talk(),
        Action::TalkFilters => model.change_filters(),
        Action::Undo => model.ask_lesson(Ask::Undo),
        Action::Redo => model.ask_lesson(Ask::Redo),
        Action::PlayPause if model.tells() => model.play_talk(),
        Action::SkipForward if model.tells() => model.skip_talk(true),
        Action::SkipBack if model.tells() => model.skip_talk(false),
        // The picture goes with the voice.
        _ => return model.tells() && leads(action),
    }
    true
}

/// Whether an action changes the picture.
const fn leads(action: Action) -> bool {
    matches!(
        action,
        Action::PointForward
            | Action::GameForward
            | Action::SetForward
            | Action::MatchForward
            | Action::PointBack
            | Action::GameBack
            | Action::SetBack
            | Action::MatchBack
            | Action::Replay
            | Action::LoopPoint
            | Action::PlayMatching
            | Action::FrameForward
            | Action::FrameBack
            | Action::Faster
            | Action::Slower
            | Action::NormalSpeed
    )
}
