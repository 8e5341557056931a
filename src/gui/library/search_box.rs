//! The line of words: what may follow while it is typed, and below it how it was understood, as chips that can be taken off.

use std::cell::RefCell;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::model::{LibraryModel, Told};
use crate::gui::kit::picker::along;
use crate::gui::kit::words::{label, named};
use crate::search::{Chip, Meaning, Search, Suggestion};

/// So many suggestions are offered.
const MOST: usize = 8;

mod imp {
    use std::cell::OnceCell;

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{LibraryModel, RefCell, Suggestion};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/library/search_box.ui")]
    pub struct SearchBox {
        #[template_child]
        pub entry: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub row: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub chips: TemplateChild<gtk::Box>,
        #[template_child]
        pub popover: TemplateChild<gtk::Popover>,
        #[template_child]
        pub list: TemplateChild<gtk::ListBox>,
        pub offered: RefCell<Vec<Suggestion>>,
        pub library: OnceCell<LibraryModel>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for SearchBox {
        const NAME: &'static str = "ChangeoverSearchBox";
        type Type = super::SearchBox;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for SearchBox {
        fn dispose(&self) {
            self.popover.unparent();
        }
    }
    impl WidgetImpl for SearchBox {
        fn grab_focus(&self) -> bool {
            self.entry.grab_focus()
        }
    }
    impl BoxImpl for SearchBox {}
}

glib::wrapper! {
    /// The line of words, and its chips.
    pub struct SearchBox(ObjectSubclass<imp::SearchBox>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl SearchBox {
    /// Searches this library.
    pub fn set_up(&self, library: &LibraryModel) {
        let imp = self.imp();
        // It is set up once.
        let _ = imp.library.set(library.clone());
        imp.popover.set_parent(&*imp.entry);
        self.wire_entry(library);
        let keys = along(&imp.list);
        imp.entry.add_controller(keys);
        imp.list.connect_row_activated(glib::clone!(
            #[weak(rename_to = search)]
            self,
            move |_, row| search.take(row.index())
        ));
        library.on(
            Told::Words,
            glib::clone!(
                #[weak(rename_to = search)]
                self,
                move |library| search.show_chips(&library.search())
            ),
        );
    }

    fn wire_entry(&self, library: &LibraryModel) {
        let entry = &self.imp().entry;
        entry.connect_changed(glib::clone!(
            #[weak(rename_to = search)]
            self,
            move |_| search.offer()
        ));
        entry.connect_search_changed(glib::clone!(
            #[weak]
            library,
            move |entry| library.find(&entry.text())
        ));
        entry.connect_activate(glib::clone!(
            #[weak(rename_to = search)]
            self,
            #[weak]
            library,
            move |entry| {
                let chosen = search.imp().list.selected_row().filter(|_| search.imp().popover.is_visible());
                match chosen {
                    Some(row) => search.take(row.index()),
                    None => library.find(&entry.text()),
                }
            }
        ));
        let focus = gtk::EventControllerFocus::new();
        focus.connect_leave(glib::clone!(
            #[weak(rename_to = search)]
            self,
            move |_| search.imp().popover.popdown()
        ));
        entry.add_controller(focus);
    }

    /// What is typed.
    pub fn text(&self) -> String {
        self.imp().entry.text().into()
    }

    /// Writes other words, and looks for them at once.
    pub fn write(&self, text: &str) {
        let imp = self.imp();
        imp.entry.set_text(text);
        imp.entry.set_position(-1);
        imp.popover.popdown();
        if let Some(library) = imp.library.get() {
            library.find(text);
        }
    }

    /// Whether what may follow is shown; it is hidden then.
    pub fn hide_offers(&self) -> bool {
        let shown = self.imp().popover.is_visible();
        self.imp().popover.popdown();
        shown
    }

    /// Offers what the word being typed may become.
    fn offer(&self) {
        let imp = self.imp();
        let Some(library) = imp.library.get() else { return };
        let offered = library.words().suggest(&imp.entry.text(), MOST);
        while let Some(row) = imp.list.row_at_index(0) {
            imp.list.remove(&row);
        }
        for one in &offered {
            imp.list.append(&row(one));
        }
        // No row is chosen until the arrows choose one: Return searches for what is typed.
        imp.list.unselect_all();
        let shown = !offered.is_empty() && imp.entry.is_mapped();
        imp.offered.replace(offered);
        if shown { imp.popover.popup() } else { imp.popover.popdown() }
    }

    fn take(&self, place: i32) {
        let text = self.imp().offered.borrow().get(place as usize).map(|s| s.text.clone());
        if let Some(text) = text {
            self.write(&format!("{text} "));
        }
    }

    fn show_chips(&self, search: &Search) {
        let imp = self.imp();
        while let Some(old) = imp.chips.first_child() {
            imp.chips.remove(&old);
        }
        let shown: Vec<&Chip> = search.chips.iter().filter(|c| c.is_shown()).collect();
        imp.row.set_visible(!shown.is_empty());
        for chip in shown {
            for button in self.buttons(chip) {
                imp.chips.append(&button);
            }
        }
    }

    /// A chip that takes itself off; after one that was not understood, the nearest phrase in its place.
    fn buttons(&self, chip: &Chip) -> Vec<gtk::Button> {
        // Before the records are read, no name is known, and none is called unknown.
        let reads = self.imp().library.get().is_some_and(|l| l.reads() || !l.has_folders());
        let off = gtk::Button::with_label(&match &chip.meaning {
            Meaning::Unknown(_) if !reads => format!("{}: not known  ×", chip.words),
            _ => format!("{}  ×", chip.words),
        });
        off.set_css_classes(&["found-chip", if reads || chip.is_known() { "known" } else { "wrong" }]);
        named(off.upcast_ref(), &format!("{}: take off", chip.words));
        off.set_tooltip_text(Some("Take off"));
        self.when_clicked(&off, chip, None);
        let near = match &chip.meaning {
            Meaning::Unknown(hint) if !reads => hint.0.as_deref(),
            _ => None,
        };
        let instead = near.map(|near| {
            let button = gtk::Button::with_label(&format!("did you mean “{near}”?"));
            button.add_css_class("found-chip");
            self.when_clicked(&button, chip, Some(near));
            button
        });
        std::iter::once(off).chain(instead).collect()
    }

    /// Writes the words without the chip, or with others in its place.
    fn when_clicked(&self, button: &gtk::Button, chip: &Chip, instead: Option<&str>) {
        let (chip, instead) = (chip.clone(), instead.map(str::to_owned));
        button.connect_clicked(glib::clone!(
            #[weak(rename_to = search)]
            self,
            move |_| {
                let text = search.text();
                let new = match &instead {
                    None => Search::without(&text, &chip),
                    Some(word) => {
                        let ends = [text.get(..chip.place.start), text.get(chip.place.end..)];
                        let [before, after] = ends.map(Option::unwrap_or_default);
                        format!("{before}{word}{after}")
                    }
                };
                search.write(&new);
                search.imp().entry.grab_focus();
            }
        ));
    }
}

fn row(one: &Suggestion) -> gtk::ListBoxRow {
    let line = gtk::Box::new(gtk::Orientation::Horizontal, 12);
    let words = label(&one.words, &[]);
    words.set_xalign(0.0);
    words.set_hexpand(true);
    words.set_ellipsize(gtk::pango::EllipsizeMode::End);
    words.set_max_width_chars(48);
    line.append(&words);
    line.append(&label(one.kind.words(), &["quiet"]));
    let row = gtk::ListBoxRow::builder().child(&line).focusable(false).build();
    named(row.upcast_ref(), &format!("{}, {}", one.words, one.kind.words()));
    row
}
