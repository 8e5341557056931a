//! Puts a window together: its frame, the actions of the table, what it does for the model, and files dropped onto it.

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, gio, glib};

use super::frame::Window;
use crate::gui::dialogs;
use crate::gui::model::Event;
use crate::logging::action::ACTIONS;
use crate::logging::{KeyCard, Meaning};

/// What a window needs of the rest of the program once its frame stands.
impl Window {
    /// A window whose keys mean what the card says.
    pub fn new(app: &gtk::Application, card: KeyCard) -> Self {
        let window = Self::framed(app);
        window.wire_model();
        window.add_actions();
        window.wire_keys();
        window.wire_drop();
        window.wire_rooms();
        window.wire_menu();
        let model = window.model();
        dialogs::reaction::offer(model, &window);
        model.use_card(card);
        model.tell(Event::Closed);
        window
    }

    /// Does what the model wants of a window, and follows what it tells.
    fn wire_model(&self) {
        let model = self.model();
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
        model.on(
            Event::Changed,
            glib::clone!(
                #[weak(rename_to = w)]
                self,
                move |_| w.imp().study.refresh()
            ),
        );
        model.on(
            Event::NeedsFolder,
            glib::clone!(
                #[weak(rename_to = w)]
                self,
                move |_| w.ask_for_folder()
            ),
        );
        model.on(
            Event::Dark,
            glib::clone!(
                #[weak(rename_to = w)]
                self,
                move |m| {
                    for (class, on) in [("dark", m.dark().get()), ("strong", m.strong().get())] {
                        if on { w.add_css_class(class) } else { w.remove_css_class(class) }
                    }
                }
            ),
        );
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
