//! The window: its header, the page that is shown, the message over it, the score ribbon under it. It knows pages, not their
//! insides, and does what needs a window: dialogs, full screen, leaving.

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, gio, glib};

use super::rooms::Room;
use crate::gui::dialogs;
use crate::gui::kit::keyboard::press_of;
use crate::gui::log::page::LogPage;
use crate::gui::model::{Event, Model};
use crate::gui::pad::Pad;
use crate::gui::ribbon::Ribbon;
use crate::gui::start::page::StartPage;
use crate::gui::study::StudyPage;
use crate::logging::action::ACTIONS;
use crate::logging::{Action, KeyCard, Meaning};
use crate::tennis::Side;

use crate::gui::kit::words::capital;

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
    use std::cell::Cell;

    use glib::types::StaticTypeExt;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Leaving, LogPage, Model, Ribbon, Room, StartPage, StudyPage};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/window/frame.ui")]
    pub struct Window {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub subtitle: TemplateChild<gtk::Label>,
        #[template_child]
        pub details_button: TemplateChild<gtk::Button>,
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
        pub start: TemplateChild<StartPage>,
        #[template_child]
        pub log: TemplateChild<LogPage>,
        #[template_child]
        pub study: TemplateChild<StudyPage>,
        #[template_child]
        pub room_switch: TemplateChild<gtk::Box>,
        #[template_child]
        pub log_button: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub study_button: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub ribbon_scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub ribbon: TemplateChild<Ribbon>,
        pub model: Model,
        pub room: Cell<Room>,
        pub leaving: Cell<Leaving>,
        /// Whether it was asked where to keep a record that has no place.
        pub asked_place: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Window {
        const NAME: &'static str = "ChangeoverWindow";
        type Type = super::Window;
        type ParentType = gtk::ApplicationWindow;

        fn class_init(klass: &mut Self::Class) {
            StartPage::ensure_type();
            LogPage::ensure_type();
            StudyPage::ensure_type();
            Ribbon::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Window {
        fn dispose(&self) {
            // Ends the pipelines before the widgets go.
            drop(self.model.close_session());
        }
    }
    impl WidgetImpl for Window {}
    impl WindowImpl for Window {
        fn close_request(&self) -> glib::Propagation {
            self.obj().leave()
        }
    }
    impl ApplicationWindowImpl for Window {}
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
        let (imp, model) = (window.imp(), window.model());
        imp.start.set_up(model);
        imp.log.set_up(model);
        imp.ribbon.set_up(model);
        window.wire_model();
        window.add_actions();
        window.wire_keys();
        window.wire_drop();
        window.wire_rooms();
        dialogs::reaction::offer(model, &window);
        window.connect_fullscreened_notify(|w| {
            if w.imp().log.is_mapped() {
                w.set_alone(w.is_fullscreen());
            }
        });
        model.use_card(card);
        model.tell(Event::Closed);
        window
    }

    /// What is open, and what the keys mean.
    pub fn model(&self) -> &Model {
        &self.imp().model
    }

    /// Does what a key means.
    pub fn perform(&self, meaning: &Meaning) {
        if self.model().is_attaching() || !self.study_by(meaning) {
            self.model().perform(meaning);
        }
    }

    /// The actions of the table, for buttons and menus.
    fn add_actions(&self) {
        let add = |name: &str, does: Box<dyn Fn(&Self)>| {
            let action = gio::SimpleAction::new(name, None);
            action.connect_activate(glib::clone!(
                #[weak(rename_to = w)]
                self,
                move |_, _| does(&w)
            ));
            self.add_action(&action);
        };
        for row in ACTIONS {
            let action = row.action;
            add(row.name, Box::new(move |w| w.perform(&Meaning::Do(action))));
        }
        add("guide", Box::new(|w| dialogs::help::show(w.model(), w, "guide")));
    }

    /// Shows what the model tells.
    fn wire_model(&self) {
        let model = self.model();
        model.connect_says(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move |text, more| if more { w.show_too(text) } else { w.show_said(text) }
        ));
        model.connect_wants(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move |action| w.do_wanted(action)
        ));
        model.connect_settled(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move |settled| w.on_settled(settled)
        ));
        let on = |event, does: fn(&Self, &Model)| {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = w)]
                    self,
                    move |m: &Model| does(&w, m)
                ),
            );
        };
        on(Event::Quiet, |w, _| w.imp().message_revealer.set_reveal_child(false));
        on(Event::Saving, Self::show_saved);
        on(Event::Opened, |w, _| w.enter(w.imp().room.get()));
        on(Event::Closed, Self::show_start);
        on(Event::Reading, |w, _| w.imp().asked_place.set(false));
        on(Event::Changed, |w, m| {
            w.show_title(m);
            w.show_saved(m);
            w.imp().study.refresh();
        });
        on(Event::Reading, |w, m| {
            w.imp().subtitle.set_label(&format!("opening… {:.0} %", m.reading().get() * 100.0));
        });
        on(
            Event::Dark,
            |w, m| {
                if m.dark().get() { w.add_css_class("dark") } else { w.remove_css_class("dark") }
            },
        );
        self.imp().message_close.connect_clicked(glib::clone!(
            #[weak]
            model,
            move |_| {
                model.tell(Event::Quiet);
                model.tell(Event::Footage);
            }
        ));
    }

    fn show_start(&self, _: &Model) {
        let imp = self.imp();
        imp.rooms.set_visible_child_name("empty");
        self.enter(Room::Log);
        imp.details_button.set_visible(false);
        imp.title.set_label("Changeover");
        imp.subtitle.set_label("");
        imp.saved.set_label("");
    }

    fn show_title(&self, model: &Model) {
        let imp = self.imp();
        let session = model.session().borrow();
        let Some(about) = session.as_ref().map(|s| &s.view.record.about) else { return };
        imp.title.set_label(&format!("{} – {}", about.side_name(Side::A), about.side_name(Side::B)));
        let parts = [
            about.venue.clone(),
            about.date.map(|d| d.to_string()).unwrap_or_default(),
            about.surface.clone(),
        ];
        let parts: Vec<String> = parts.into_iter().filter(|p| !p.is_empty()).collect();
        imp.subtitle.set_label(&parts.join(" · "));
    }

    /// Says whether all is saved; the journal holds every change in any case.
    fn show_saved(&self, model: &Model) {
        let text = match model.session().borrow().as_ref() {
            Some(s) if s.view.read_only.is_some() => "read-only".into(),
            Some(s) if s.waits() => "saving…".into(),
            Some(s) if s.view.trouble.is_some() && s.view.unsaved > 0 => "not on disk".into(),
            Some(s) if s.view.unsaved == 1 => "1 change, saved".into(),
            Some(s) if s.view.unsaved > 0 => format!("{} changes, all saved", s.view.unsaved),
            Some(_) => "saved".into(),
            None => String::new(),
        };
        self.imp().saved.set_label(&text);
    }

    /// Shows what was said, in the place of what was said before.
    pub fn show_said(&self, text: &str) {
        self.imp().message.set_label(&capital(text));
        self.imp().message_revealer.set_reveal_child(true);
    }

    /// Shows what was said below what stands in the bar already.
    fn show_too(&self, text: &str) {
        let said = Some(self.imp().message.label()).filter(|_| self.imp().message_revealer.reveals_child());
        match said {
            Some(said) if said.contains(&capital(text)) => {}
            Some(said) => self.show_said(&format!("{said}\n{}", capital(text))),
            None => self.show_said(text),
        }
    }

    fn wire_keys(&self) {
        let keys = gtk::EventControllerKey::new();
        keys.set_propagation_phase(gtk::PropagationPhase::Capture);
        keys.connect_key_pressed(glib::clone!(
            #[weak(rename_to = w)]
            self,
            #[upgrade_or]
            glib::Propagation::Proceed,
            move |keys, key, number, mods| {
                w.model().follow_layout(keys.group());
                w.key(key, number, mods)
            }
        ));
        self.add_controller(keys);
        self.connect_is_active_notify(|w| w.model().follow_layout(w.model().group().get()));
    }

    /// One key press. Keys typed into a text field stay there, but for Escape.
    fn key(&self, key: gdk::Key, number: u32, mods: gdk::ModifierType) -> glib::Propagation {
        let Some(card) = self.model().key_card() else { return glib::Propagation::Proceed };
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
                self.imp().log.leave_field();
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
        GtkWindowExt::focus(self).is_some_and(|f| f.ancestor(Pad::static_type()).is_some())
    }

    fn wire_drop(&self) {
        let drop = gtk::DropTarget::new(gdk::FileList::static_type(), gdk::DragAction::COPY);
        let window = self.downgrade();
        drop.connect_drop(move |_, value, _, _| {
            let files = value.get::<gdk::FileList>().map(|list| list.files()).unwrap_or_default();
            let paths: Vec<_> = files.iter().filter_map(gio::prelude::FileExt::path).collect();
            match window.upgrade().filter(|_| !paths.is_empty()) {
                Some(w) => {
                    w.model().open(&paths);
                    true
                }
                None => false,
            }
        });
        self.add_controller(drop);
    }
}

/// Whether a key event is one that moves about the pad or presses its cap, when the focus is there.
fn moves_in_pad(key: gdk::Key, mods: gdk::ModifierType) -> bool {
    let free = !mods.intersects(gdk::ModifierType::CONTROL_MASK | gdk::ModifierType::ALT_MASK);
    let keys =
        [gdk::Key::Left, gdk::Key::Right, gdk::Key::Up, gdk::Key::Down, gdk::Key::Return, gdk::Key::KP_Enter];
    free && keys.contains(&key)
}
