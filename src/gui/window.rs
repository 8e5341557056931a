//! The window's widgets and how they are wired; what it does stands in `opening`, `doing` and `showing`.

use std::rc::Rc;

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, gio, glib};

use super::chips::Chip;
use super::dialogs;
use super::kit::keyboard::press_of;
use super::model::Model;
use super::pad::Pad;
use super::pad_room::moves_in_pad;
use super::paintable::FramePaintable;
use super::ribbon::Ribbon;
use super::rooms::Room;
use super::study::StudyPage;
use crate::logging::{Action, KeyCard, Meaning};
use crate::video::Player;

pub use super::kit::words::{capital, named};

/// How far leaving has come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Leaving {
    /// Nobody wants to.
    #[default]
    No,
    /// The record is being saved first.
    Saving,
    /// It could not be, and that was said.
    Warned,
}

pub mod imp {
    use std::cell::{Cell, RefCell};

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Chip, FramePaintable, Leaving, Model, Pad, Player, Ribbon, Room, StudyPage};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../ui/window.ui")]
    pub struct Window {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub subtitle: TemplateChild<gtk::Label>,
        #[template_child]
        pub open_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub details_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub help_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub saved: TemplateChild<gtk::Label>,
        #[template_child]
        pub message_revealer: TemplateChild<gtk::Revealer>,
        #[template_child]
        pub message: TemplateChild<gtk::Label>,
        #[template_child]
        pub message_close: TemplateChild<gtk::Button>,
        #[template_child]
        pub rooms: TemplateChild<gtk::Stack>,
        #[template_child]
        pub study: TemplateChild<StudyPage>,
        #[template_child]
        pub room_switch: TemplateChild<gtk::Box>,
        #[template_child]
        pub log_button: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub study_button: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub empty_hint: TemplateChild<gtk::Label>,
        #[template_child]
        pub empty_open: TemplateChild<gtk::Button>,
        #[template_child]
        pub empty_guide: TemplateChild<gtk::Button>,
        #[template_child]
        pub empty_without: TemplateChild<gtk::Button>,
        #[template_child]
        pub recent_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub recent: TemplateChild<gtk::Box>,
        #[template_child]
        pub picture: TemplateChild<gtk::Picture>,
        #[template_child]
        pub court: TemplateChild<gtk::Box>,
        #[template_child]
        pub court_clock: TemplateChild<gtk::Label>,
        #[template_child]
        pub court_point: TemplateChild<gtk::Label>,
        #[template_child]
        pub court_keys: TemplateChild<gtk::Label>,
        #[template_child]
        pub court_start: TemplateChild<gtk::Button>,
        #[template_child]
        pub court_attach: TemplateChild<gtk::Button>,
        #[template_child]
        pub attach_bar: TemplateChild<gtk::Box>,
        #[template_child]
        pub attach_words: TemplateChild<gtk::Label>,
        #[template_child]
        pub attach_here: TemplateChild<gtk::Button>,
        #[template_child]
        pub attach_leave: TemplateChild<gtk::Button>,
        #[template_child]
        pub transport: TemplateChild<gtk::Box>,
        #[template_child]
        pub play_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub clock: TemplateChild<gtk::Label>,
        #[template_child]
        pub frame_label: TemplateChild<gtk::Label>,
        #[template_child]
        pub speed_label: TemplateChild<gtk::Label>,
        #[template_child]
        pub words: TemplateChild<gtk::Label>,
        #[template_child]
        pub correct_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub balls: TemplateChild<gtk::Label>,
        #[template_child]
        pub finish_keys: TemplateChild<gtk::FlowBox>,
        #[template_child]
        pub side: TemplateChild<gtk::Stack>,
        #[template_child]
        pub shows_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub shows: TemplateChild<gtk::Label>,
        #[template_child]
        pub pad_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub pad_place: TemplateChild<gtk::Label>,
        #[template_child]
        pub pad: TemplateChild<Pad>,
        #[template_child]
        pub ball_keys: TemplateChild<gtk::Stack>,
        #[template_child]
        pub plain_forehand: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub plain_groundstroke: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub doubt: TemplateChild<gtk::Label>,
        #[template_child]
        pub note_entry: TemplateChild<gtk::Entry>,
        #[template_child]
        pub hints: TemplateChild<gtk::Label>,
        #[template_child]
        pub board: TemplateChild<gtk::Grid>,
        #[template_child]
        pub filter: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub patterns_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub back_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub forward_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub count: TemplateChild<gtk::Label>,
        #[template_child]
        pub play_all: TemplateChild<gtk::Button>,
        #[template_child]
        pub explain_button: TemplateChild<gtk::Button>,
        #[template_child]
        pub points: TemplateChild<gtk::ListView>,
        #[template_child]
        pub ribbon_scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub ribbon: TemplateChild<Ribbon>,
        pub model: Model,
        pub room: Cell<Room>,
        /// Whether the window is so low that what can be left out is.
        pub low: Cell<bool>,
        pub chips: RefCell<Vec<Chip>>,
        pub paintable: FramePaintable,
        pub player: RefCell<Option<Player>>,
        /// Counts the files opened, so that a late answer about an earlier one is dropped.
        pub opened: Cell<u32>,
        /// Counts the players, so that a late frame of an earlier one is dropped.
        pub players: Cell<u32>,
        pub leaving: Cell<Leaving>,
        /// What a player warned of last: each file's player would warn of it again.
        pub warned: RefCell<String>,
        pub dark: Cell<bool>,
        /// Whether the match clock on the page is kept going.
        pub ticking: Cell<bool>,
        /// Set while the program itself changes a selection, so that it is not taken for the user's.
        pub filling: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Window {
        const NAME: &'static str = "ChangeoverWindow";
        type Type = super::Window;
        type ParentType = gtk::ApplicationWindow;

        fn class_init(klass: &mut Self::Class) {
            Pad::ensure_type();
            Ribbon::ensure_type();
            StudyPage::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Window {
        fn dispose(&self) {
            // Ends the pipelines before the widgets go.
            drop(self.player.take());
            drop(self.model.session().take());
        }
    }
    impl WidgetImpl for Window {
        fn size_allocate(&self, width: i32, height: i32, baseline: i32) {
            self.parent_size_allocate(width, height, baseline);
            self.obj().fit(height);
        }
    }
    impl WindowImpl for Window {
        fn close_request(&self) -> glib::Propagation {
            self.obj().leave()
        }
    }
    impl ApplicationWindowImpl for Window {}

    use glib::types::StaticTypeExt;
}

glib::wrapper! {
    /// The window.
    pub struct Window(ObjectSubclass<imp::Window>)
        @extends gtk::ApplicationWindow, gtk::Window, gtk::Widget,
        @implements gio::ActionGroup, gio::ActionMap, gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget,
            gtk::Native, gtk::Root, gtk::ShortcutManager;
}

impl Window {
    /// A window whose keys mean what the card says.
    pub fn new(app: &gtk::Application, card: KeyCard) -> Self {
        let window: Self = glib::Object::builder().property("application", app).build();
        let imp = window.imp();
        imp.picture.set_paintable(Some(&imp.paintable));
        window.wire_model();
        window.wire_wishes();
        window.wire_keys();
        window.wire_mouse();
        window.wire_lists();
        window.wire_drop();
        window.wire_court();
        window.wire_pad();
        window.wire_shows();
        window.wire_rooms();
        window.model().use_card(card);
        window.show_empty();
        window.show_hints(false);
        window
    }

    /// What is open, and what the keys mean.
    pub fn model(&self) -> &Model {
        &self.imp().model
    }

    /// The key card.
    pub fn card(&self) -> Option<Rc<KeyCard>> {
        self.model().card().borrow().clone()
    }

    /// Shows what the model tells.
    fn wire_model(&self) {
        let window = self.downgrade();
        self.model().connect_says(move |text, more| {
            if let Some(w) = window.upgrade() {
                if more { w.show_too(text) } else { w.show_said(text) }
            }
        });
        let window = self.downgrade();
        self.model().connect_asked(move || {
            if let Some(w) = window.upgrade() {
                w.show_saved();
            }
        });
    }

    /// Does what the model asks of the window.
    fn wire_wishes(&self) {
        let model = self.model();
        model.connect_card_changed(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move || {
                w.show_hints(w.is_courtside());
                w.show_record();
            }
        ));
        model.connect_patterns_changed(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move || {
                w.show_filters();
                w.show_record();
            }
        ));
        model.connect_goes_to(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move |at| w.go_to(at)
        ));
    }

    fn wire_keys(&self) {
        let keys = gtk::EventControllerKey::new();
        keys.set_propagation_phase(gtk::PropagationPhase::Capture);
        let window = self.downgrade();
        keys.connect_key_pressed(move |keys, key, number, mods| {
            window.upgrade().map_or(glib::Propagation::Proceed, |w| {
                w.model().follow_layout(keys.group());
                w.key(key, number, mods)
            })
        });
        self.add_controller(keys);
    }

    /// One key press. Keys typed into a text field stay there, but for Escape.
    fn key(&self, key: gdk::Key, number: u32, mods: gdk::ModifierType) -> glib::Propagation {
        let Some(card) = self.card() else { return glib::Propagation::Proceed };
        let pressed = press_of(key, number, mods, card.layout());
        let writing =
            GtkWindowExt::focus(self).is_some_and(|f| f.is::<gtk::Text>() || f.is::<gtk::TextView>());
        let popped =
            GtkWindowExt::focus(self).is_some_and(|f| f.ancestor(gtk::Popover::static_type()).is_some());
        if popped || (writing && !(pressed.sign.ctrl || pressed.sign.is("escape"))) {
            return glib::Propagation::Proceed;
        }
        if writing && pressed.sign.is("escape") {
            if !self.imp().study.leave_search() {
                self.end_note();
            }
            return glib::Propagation::Stop;
        }
        if moves_in_pad(key, mods) && self.focus_in_pad() {
            return glib::Propagation::Proceed;
        }
        if self.is_in_study()
            && let Some(to) = self.imp().study.key(&pressed.sign)
        {
            return to;
        }
        match card.pressed(&pressed).cloned() {
            Some(Meaning::Do(Action::PlayMatching)) if self.focus_takes_return() => {
                glib::Propagation::Proceed
            }
            Some(meaning) => {
                self.perform(&meaning);
                glib::Propagation::Stop
            }
            None => glib::Propagation::Proceed,
        }
    }

    /// Whether the focus is on something that Return itself presses.
    fn focus_takes_return(&self) -> bool {
        GtkWindowExt::focus(self)
            .is_some_and(|f| f.is::<gtk::Button>() || f.ancestor(gtk::DropDown::static_type()).is_some())
    }

    fn focus_in_pad(&self) -> bool {
        GtkWindowExt::focus(self).is_some_and(|f| f.is_ancestor(&*self.imp().pad))
    }

    pub fn on_click(&self, button: &gtk::Button, action: Action) {
        let window = self.downgrade();
        button.set_focus_on_click(false);
        button.connect_clicked(move |_| {
            if let Some(w) = window.upgrade() {
                w.perform(&Meaning::Do(action));
            }
        });
    }

    fn wire_mouse(&self) {
        let imp = self.imp();
        self.on_click(&imp.open_button, Action::Open);
        self.on_click(&imp.empty_open, Action::Open);
        self.on_click(&imp.details_button, Action::MatchDetails);
        self.on_click(&imp.correct_button, Action::Correct);
        self.on_click(&imp.help_button, Action::Help);
        let window = self.downgrade();
        imp.empty_guide.connect_clicked(move |_| {
            if let Some(w) = window.upgrade() {
                dialogs::help::show(w.model(), &w, "guide");
            }
        });
        self.on_click(&imp.play_button, Action::PlayPause);
        self.on_click(&imp.back_button, Action::MatchBack);
        self.on_click(&imp.forward_button, Action::MatchForward);
        self.on_click(&imp.play_all, Action::PlayMatching);
        self.on_click(&imp.patterns_button, Action::Patterns);
        self.on_click(&imp.explain_button, Action::Explain);
        let window = self.downgrade();
        imp.message_close.connect_clicked(move |_| {
            if let Some(w) = window.upgrade() {
                w.imp().message_revealer.set_reveal_child(false);
                w.imp().picture.grab_focus();
            }
        });
        let click = gtk::GestureClick::new();
        let window = self.downgrade();
        click.connect_pressed(move |_, _, _, _| {
            if let Some(w) = window.upgrade() {
                w.imp().picture.grab_focus();
                w.perform(&Meaning::Do(Action::PlayPause));
            }
        });
        imp.picture.add_controller(click);
        let wheel = gtk::EventControllerScroll::new(
            gtk::EventControllerScrollFlags::VERTICAL | gtk::EventControllerScrollFlags::DISCRETE,
        );
        let window = self.downgrade();
        wheel.connect_scroll(move |_, _, dy| {
            if let Some(w) = window.upgrade() {
                w.perform(&Meaning::Do(if dy > 0.0 { Action::FrameForward } else { Action::FrameBack }));
            }
            glib::Propagation::Stop
        });
        imp.picture.add_controller(wheel);
    }

    fn wire_lists(&self) {
        let imp = self.imp();
        let window = self.downgrade();
        imp.ribbon.follow_scrolling();
        imp.ribbon.connect_chosen(move |point| {
            if let Some(w) = window.upgrade() {
                w.choose(point);
            }
        });
        let window = self.downgrade();
        imp.filter.connect_selected_notify(move |d| {
            if let Some(w) = window.upgrade().filter(|w| !w.imp().filling.get()) {
                w.filter_by(d.selected() as usize);
            }
        });
        let window = self.downgrade();
        imp.note_entry.connect_activate(move |e| {
            if let Some(w) = window.upgrade() {
                w.keep_note(&e.text());
            }
        });
        named(imp.filter.upcast_ref(), "Which points to see");
        self.set_up_points();
    }

    fn wire_drop(&self) {
        let drop = gtk::DropTarget::new(gdk::FileList::static_type(), gdk::DragAction::COPY);
        let window = self.downgrade();
        drop.connect_drop(move |_, value, _, _| {
            let files = value.get::<gdk::FileList>().map(|list| list.files()).unwrap_or_default();
            let paths: Vec<_> = files.iter().filter_map(gio::prelude::FileExt::path).collect();
            match window.upgrade().filter(|_| !paths.is_empty()) {
                Some(w) => {
                    w.open(&paths);
                    true
                }
                None => false,
            }
        });
        self.add_controller(drop);
    }
}
