//! The window's frame: the header, the page that is shown, the message over it, the score ribbon under it. It knows pages,
//! not their insides.

use gtk::subclass::prelude::*;
use gtk::{gio, glib};

use super::message::MessageBar;
use super::saved::SavedSign;
use super::state::{Leaving, Room};
use super::switch::RoomSwitch;
use super::title::MatchTitle;
use crate::gui::library::LibraryPage;
use crate::gui::log::page::LogPage;
use crate::gui::model::Model;
use crate::gui::ribbon::RibbonBed;
use crate::gui::show::ShowPage;
use crate::gui::start::page::StartPage;
use crate::gui::study::StudyPage;

pub mod imp {
    use std::cell::Cell;

    use glib::types::StaticTypeExt;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{
        Leaving, LibraryPage, LogPage, MatchTitle, MessageBar, Model, RibbonBed, Room, RoomSwitch, SavedSign,
        ShowPage, StartPage, StudyPage,
    };

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/window/frame.ui")]
    pub struct Window {
        #[template_child]
        pub title: TemplateChild<MatchTitle>,
        #[template_child]
        pub switch: TemplateChild<RoomSwitch>,
        #[template_child]
        pub menu: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub saved: TemplateChild<SavedSign>,
        #[template_child]
        pub message: TemplateChild<MessageBar>,
        #[template_child]
        pub rooms: TemplateChild<gtk::Stack>,
        #[template_child]
        pub start: TemplateChild<StartPage>,
        #[template_child]
        pub log: TemplateChild<LogPage>,
        #[template_child]
        pub study: TemplateChild<StudyPage>,
        #[template_child]
        pub library: TemplateChild<LibraryPage>,
        #[template_child]
        pub show: TemplateChild<ShowPage>,
        #[template_child]
        pub ribbon: TemplateChild<RibbonBed>,
        pub model: Model,
        pub room: Cell<Room>,
        pub leaving: Cell<Leaving>,
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
            LibraryPage::ensure_type();
            ShowPage::ensure_type();
            RibbonBed::ensure_type();
            MatchTitle::ensure_type();
            RoomSwitch::ensure_type();
            SavedSign::ensure_type();
            MessageBar::ensure_type();
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
            self.model.close_lesson();
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
    /// A window of this application, whose parts show what its model tells.
    pub fn framed(app: &gtk::Application) -> Self {
        let window: Self = glib::Object::builder().property("application", app).build();
        let (imp, model) = (window.imp(), window.model());
        imp.title.set_up(model);
        imp.saved.set_up(model);
        imp.message.set_up(model);
        imp.start.set_up(model);
        imp.log.set_up(model);
        imp.study.set_up(model);
        imp.library.set_up(model);
        imp.show.set_up(model);
        imp.ribbon.set_up(model);
        window
    }

    /// What is open, and what the keys mean.
    pub fn model(&self) -> &Model {
        &self.imp().model
    }
}
