//! The Court page beside the footage: marks the court in the picture, and measures where feet and bounces are.
//!
//! While the page is seen and the footage stands, a click in the picture marks the next landmark. Once the court is known at the
//! frame shown, a click measures a place.

use std::cell::{Cell, RefCell};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::court_following;
use super::court_lines::draw_small;
use super::court_search::{CourtSearch, Found};
use super::players_row::PlayersRow;
use crate::gui::kit::words::named;
use crate::gui::model::{Event, Model};
use crate::logging::{Action, Key};
use crate::measure::{Pixel, Size};
use crate::record::Record;
use crate::session::keeper::Ask;
use crate::session::marking::Marking;
use crate::session::measuring::Measuring;
use crate::session::positions::{name, shot_at, touches};
use crate::session::seeing::grey;
use crate::tennis::{End, Side};
use crate::time::MatchTime;

pub mod imp {
    use super::{Cell, Measuring, RefCell, glib};
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/court_panel.ui")]
    pub struct CourtPanel {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub small: TemplateChild<gtk::DrawingArea>,
        #[template_child]
        pub told: TemplateChild<gtk::Label>,
        #[template_child]
        pub who: TemplateChild<gtk::FlowBox>,
        #[template_child]
        pub save: TemplateChild<gtk::Button>,
        #[template_child]
        pub undo: TemplateChild<gtk::Button>,
        #[template_child]
        pub pass: TemplateChild<gtk::Button>,
        #[template_child]
        pub searching: TemplateChild<gtk::Box>,
        #[template_child]
        pub again: TemplateChild<gtk::Button>,
        #[template_child]
        pub remove: TemplateChild<gtk::Button>,
        #[template_child]
        pub lines: TemplateChild<gtk::CheckButton>,
        #[template_child]
        pub details: TemplateChild<gtk::Label>,
        #[template_child]
        pub following: TemplateChild<gtk::Box>,
        #[template_child]
        pub proposed: TemplateChild<gtk::Box>,
        pub players: std::cell::OnceCell<std::rc::Rc<super::PlayersRow>>,
        pub state: RefCell<Measuring>,
        pub model: glib::WeakRef<crate::gui::model::Model>,
        pub search: std::cell::OnceCell<std::rc::Rc<super::CourtSearch>>,
        /// Where the pointer is over the picture.
        pub pointer: Cell<Option<crate::measure::Pixel>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for CourtPanel {
        const NAME: &'static str = "ChangeoverCourtPanel";
        type Type = super::CourtPanel;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for CourtPanel {
        fn signals() -> &'static [glib::subclass::Signal] {
            static SIGNALS: std::sync::OnceLock<Vec<glib::subclass::Signal>> = std::sync::OnceLock::new();
            SIGNALS.get_or_init(|| vec![glib::subclass::Signal::builder("redraw").build()])
        }
    }
    impl WidgetImpl for CourtPanel {}
    impl BoxImpl for CourtPanel {}
}

glib::wrapper! {
    /// The Court page.
    pub struct CourtPanel(ObjectSubclass<imp::CourtPanel>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl CourtPanel {
    /// Follows what the model has open.
    pub fn set_up(&self, model: &Model) {
        let imp = self.imp();
        imp.model.set(Some(model));
        named(imp.small.upcast_ref(), "Small court: the next landmark has a ring");
        let find = glib::clone!(
            #[weak(rename_to = panel)]
            self,
            move || panel.find()
        );
        let _ = imp.search.set(CourtSearch::fill(&imp.searching, model, find));
        court_following::fill(&imp.following, model);
        let _ = imp.players.set(PlayersRow::fill(&imp.proposed, model));
        self.listen(model);
        self.connect_map(Self::follow);
        self.connect_unmap(|panel| panel.emit_by_name::<()>("redraw", &[]));
        self.wire();
        imp.small.set_draw_func(glib::clone!(
            #[weak(rename_to = panel)]
            self,
            move |area, cr, w, h| panel.draw_small(area, cr, (f64::from(w), f64::from(h)))
        ));
    }

    fn listen(&self, model: &Model) {
        for event in [Event::Opened, Event::Closed] {
            // Marks and places in hand are those of the record that was open.
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = panel)]
                    self,
                    move |_| drop(panel.imp().state.take())
                ),
            );
        }
        let events =
            [Event::Changed, Event::Current, Event::Moment, Event::Transport, Event::Opened, Event::Court];
        for event in events {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = panel)]
                    self,
                    move |_| panel.follow()
                ),
            );
        }
    }

    fn wire(&self) {
        let imp = self.imp();
        let on = |button: &gtk::Button, act: fn(&Self)| {
            button.connect_clicked(glib::clone!(
                #[weak(rename_to = panel)]
                self,
                move |_| act(&panel)
            ));
        };
        on(&imp.save, Self::save);
        on(&imp.undo, |p| p.change(|m, _| m.undo()));
        on(&imp.pass, Self::pass);
        on(&imp.again, Self::mark_again);
        on(&imp.remove, Self::remove);
        imp.lines.connect_toggled(glib::clone!(
            #[weak(rename_to = panel)]
            self,
            move |_| panel.emit_by_name::<()>("redraw", &[])
        ));
    }

    /// Whether clicks in the picture are for this page: it is seen, and the footage stands.
    pub fn takes_clicks(&self) -> bool {
        let stands = self.imp().model.upgrade().is_some_and(|m| !m.is_playing() && m.shown().is_some());
        self.is_mapped() && stands
    }

    /// A click at a pixel of the picture.
    pub fn click(&self, at: Pixel) {
        let Some((size, frame)) = self.size().zip(self.shown()) else { return };
        let near = self.near(frame);
        self.change(|m, record| {
            if m.is_marking(frame) { m.mark(at, size, frame) } else { m.measure(at, frame, record, near) }
        });
    }

    /// Where the pointer is over the picture.
    pub fn point(&self, at: Option<Pixel>) {
        self.imp().pointer.set(at);
        if self.is_mapped() {
            self.emit_by_name::<()>("redraw", &[]);
        }
    }

    /// A key while the page is seen: arrows move the last mark by a pixel, Backspace takes it back, Return saves.
    pub fn key(&self, key: &Key) -> bool {
        if !self.takes_clicks() || key.ctrl || key.alt {
            return false;
        }
        let steps = [("left", -1.0, 0.0), ("right", 1.0, 0.0), ("up", 0.0, -1.0), ("down", 0.0, 1.0)];
        if let Some((_, dx, dy)) = steps.into_iter().find(|(name, ..)| key.is(name)) {
            let by = if key.shift { 0.25 } else { 1.0 };
            let moved = self.imp().state.borrow_mut().nudge(dx * by, dy * by);
            self.show();
            return moved;
        }
        match () {
            () if key.is("backspace") => self.change(|m, _| m.undo()),
            () if key.is("return") && !key.shift => self.save_or_accept(),
            () => return false,
        }
        true
    }

    pub(super) fn shown(&self) -> Option<MatchTime> {
        self.imp().model.upgrade().and_then(|m| m.shown())
    }

    pub(super) fn with_record<T>(&self, of: impl FnOnce(&Record, Option<usize>) -> T) -> Option<T> {
        let model = self.imp().model.upgrade()?;
        let session = model.session().borrow();
        session.as_ref().map(|s| of(&s.view.record, s.current()))
    }

    fn size(&self) -> Option<Size> {
        let shown = self.imp().model.upgrade()?.frames().painted()?;
        let (width, height) = shown.frame.display_size();
        Some(Size::new(width, height))
    }

    fn is_marking(&self) -> bool {
        self.imp().state.borrow().is_marking(self.shown().unwrap_or_default())
    }

    /// Who is at the near end in the point that is played at this moment.
    fn near(&self, at: MatchTime) -> Option<Side> {
        let (point, _) = self.with_record(|r, current| shot_at(r, current, at)).flatten()?;
        let model = self.imp().model.upgrade()?;
        let session = model.session().borrow();
        let f = session.as_ref()?.facts().get(point)?;
        f.server.zip(f.server_end).map(|(s, end)| if end == End::Near { s } else { s.other() })
    }

    fn mark_again(&self) {
        let Some((size, frame)) = self.size().zip(self.shown()) else { return };
        self.change(|m, _| m.begin(size, frame));
    }

    fn pass(&self) {
        let Some((size, frame)) = self.size().zip(self.shown()) else { return };
        self.change(|m, _| m.pass(size, frame));
    }

    fn change(&self, how: impl FnOnce(&mut Measuring, &Record)) {
        self.with_record(|record, _| how(&mut self.imp().state.borrow_mut(), record));
        self.show();
    }

    /// Looks for the court in the frame shown, on a thread.
    fn find(&self) {
        let (Some(model), Some(search)) = (self.imp().model.upgrade(), self.imp().search.get()) else {
            return;
        };
        let Some(grey) = model.frames().painted().and_then(|s| grey(&s.frame)) else { return };
        self.mark_again();
        let size = grey.size();
        let found = glib::clone!(
            #[weak(rename_to = panel)]
            self,
            move |found| panel.found(size, found)
        );
        search.start(grey, found);
        self.show();
    }

    fn found(&self, size: Size, found: Found) {
        let Found { marks, words } = found;
        // Return saves: it must not stop the search or begin it again because its button has the focus.
        if marks.is_some() && self.imp().search.get().is_some_and(|s| s.has_focus()) {
            self.imp().save.grab_focus();
        }
        self.change(|m, _| m.propose(size, marks, &words));
    }

    /// Saves what was clicked; where nothing was, accepts the players that are proposed in this frame.
    fn save_or_accept(&self) {
        let is_idle = self.imp().state.borrow().is_idle();
        let are_here = self.players().is_some_and(|p| !p.here().is_empty());
        match self.imp().model.upgrade().filter(|_| is_idle && are_here) {
            Some(model) => model.do_with_players(Action::AcceptPlayers),
            None => self.save(),
        }
    }

    pub(super) fn players(&self) -> Option<&PlayersRow> {
        self.imp().players.get().map(std::rc::Rc::as_ref)
    }

    /// Takes hold of a proposed player near a pixel. Says whether there is one.
    pub fn hold(&self, at: Pixel, scale: f64) -> bool {
        let free = self.takes_clicks() && self.imp().state.borrow().marking.is_none();
        free && self.players().is_some_and(|p| p.press(at, scale))
    }

    /// Moves the one that is held.
    pub fn drag(&self, to: Pixel) {
        self.players().into_iter().for_each(|p| p.drag(to));
        self.point(Some(to));
    }

    /// Lets it go: it is stored there, or stays where it was.
    pub fn let_go(&self, store: bool) {
        self.players().into_iter().for_each(|p| p.drop(store));
        self.emit_by_name::<()>("redraw", &[]);
    }

    fn save(&self) {
        let Some(model) = self.imp().model.upgrade() else { return };
        let edit = self.with_record(|r, current| self.imp().state.borrow_mut().save(r, current)).flatten();
        if let Some(edit) = edit {
            model.ask(Ask::Edit(Box::new(edit)));
        }
        self.show();
    }

    /// Removes what is stored in the frame shown.
    fn remove(&self) {
        let Some((model, shown)) = self.imp().model.upgrade().zip(self.shown()) else { return };
        let edit = self.with_record(|r, _| self.imp().state.borrow_mut().remove(r, shown)).flatten();
        if let Some(edit) = edit {
            model.ask(Ask::Edit(Box::new(edit)));
        }
        self.show();
    }

    /// What is open, or which frame is shown, has changed.
    fn follow(&self) {
        if !self.is_mapped() {
            return;
        }
        if let Some(model) = self.imp().model.upgrade()
            && let Some(s) = model.session().borrow().as_ref()
        {
            self.imp().state.borrow_mut().follow(&s.cameras);
        }
        self.show();
    }

    fn show(&self) {
        let imp = self.imp();
        let marking = self.is_marking();
        let shown = self.shown().unwrap_or_default();
        let blind = imp.state.borrow().is_blind(shown);
        let told = self.with_record(|r, _| imp.state.borrow().words(r, shown)).unwrap_or_default();
        imp.title.set_label(&told.title);
        let is_unmarked = imp.state.borrow().marking.as_ref().is_some_and(|m| m.marks().is_empty());
        if let Some(search) = imp.search.get() {
            search.want(marking, is_unmarked);
            imp.told.set_visible(!search.is_on());
        }
        imp.told.set_label(&told.told);
        imp.details.set_label(&told.details);
        imp.who.set_visible(!marking && !blind);
        self.show_buttons(marking, !blind, shown);
        imp.searching.set_visible(marking);
        imp.small.set_visible(marking);
        imp.small.queue_draw();
        if !marking {
            self.fill_who();
        }
        self.emit_by_name::<()>("redraw", &[]);
    }

    /// Those that do something at the frame shown; they rest where nothing waits for them.
    fn show_buttons(&self, marking: bool, seen: bool, shown: MatchTime) {
        let imp = self.imp();
        let stored = self.with_record(|r, _| imp.state.borrow().stored(r, shown).next().is_some());
        let is_stored = !marking && seen && stored == Some(true);
        let is_idle = imp.state.borrow().is_idle();
        for button in [&imp.save, &imp.undo] {
            button.set_sensitive(!is_idle);
        }
        for (button, seen) in [(&imp.pass, marking), (&imp.again, !marking), (&imp.remove, is_stored)] {
            // The cell of a flow box stays where only what it holds is hidden.
            button.parent().iter().for_each(|cell| cell.set_visible(seen));
        }
    }

    /// A button for each player and the ball: which of them the next click is.
    fn fill_who(&self) {
        let who = &self.imp().who;
        let (of, names) = {
            let state = self.imp().state.borrow();
            let names =
                self.with_record(|r, _| touches(r).into_iter().map(|t| name(r, t)).collect::<Vec<_>>());
            (state.of, names.unwrap_or_default())
        };
        while let Some(child) = who.first_child() {
            who.remove(&child);
        }
        for (n, name) in names.iter().enumerate() {
            let button =
                gtk::ToggleButton::builder().label(name).active(n == of).focus_on_click(false).build();
            if let Some(label) = button.child().and_downcast::<gtk::Label>() {
                label.set_ellipsize(gtk::pango::EllipsizeMode::End);
                label.set_max_width_chars(10);
            }
            button.add_css_class("chip");
            button.set_tooltip_text(Some(name));
            button.connect_clicked(glib::clone!(
                #[weak(rename_to = panel)]
                self,
                move |_| {
                    panel.imp().state.borrow_mut().of = n;
                    panel.show();
                }
            ));
            who.insert(&button, -1);
        }
    }

    fn draw_small(&self, area: &gtk::DrawingArea, cr: &gtk::cairo::Context, size: (f64, f64)) {
        let state = self.imp().state.borrow();
        let empty = Marking::new(Size::new(1, 1));
        let marking = state.marking.as_ref().unwrap_or(&empty);
        let marked: Vec<_> = marking.marks().iter().map(|m| m.landmark).collect();
        let ink = area.style_context().color();
        let ink = (ink.red().into(), ink.green().into(), ink.blue().into());
        // A surface that cannot be drawn on shows nothing.
        let _ = draw_small(cr, ink, size, &marked, marking.next());
    }
}
