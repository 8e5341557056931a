//! The list of records: a picture, who plays, when and where, the score, what is logged, what is missing.

use std::cell::RefCell;
use std::collections::HashSet;
use std::path::PathBuf;

use gtk::glib;
use gtk::pango::EllipsizeMode;
use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, gio};

use super::model::{LibraryModel, Told};
use crate::counted::{Counted, Noun};
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::job::Job;
use crate::gui::kit::pictures;
use crate::gui::kit::small_pictures::{held, picture_in};
use crate::gui::kit::words::{label, named};
use crate::library::{Listed, Missing};
use crate::logging::Action;
use crate::record::footage_path;
use crate::session::alone::known_as;
use crate::session::recent::Known;
use crate::session::traces::picture_of;

mod imp {
    use std::cell::OnceCell;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{HashSet, Job, Known, LibraryModel, PathBuf, RefCell};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/library/matches.ui")]
    pub struct MatchList {
        #[template_child]
        pub find: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub folders: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub count: TemplateChild<gtk::Label>,
        #[template_child]
        pub empty: TemplateChild<gtk::Box>,
        #[template_child]
        pub empty_words: TemplateChild<gtk::Label>,
        #[template_child]
        pub add: TemplateChild<gtk::Button>,
        #[template_child]
        pub scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub list: TemplateChild<gtk::ListView>,
        pub rows: RefCell<Option<gtk::gio::ListStore>>,
        pub library: OnceCell<LibraryModel>,
        /// The rows in sight that still need their picture: the picture, and the file that keeps it.
        pub bare: RefCell<Vec<(gtk::Picture, PathBuf)>>,
        /// Pictures that were asked for already.
        pub asked: RefCell<HashSet<PathBuf>>,
        /// The footage whose pictures are made after those that are being made.
        pub wanted: RefCell<Vec<Known>>,
        pub job: RefCell<Option<Job>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for MatchList {
        const NAME: &'static str = "ChangeoverMatchList";
        type Type = super::MatchList;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for MatchList {
        fn dispose(&self) {
            self.job.take().iter().for_each(Job::stop);
        }
    }
    impl WidgetImpl for MatchList {}
    impl BoxImpl for MatchList {}
}

glib::wrapper! {
    /// The list of records.
    pub struct MatchList(ObjectSubclass<imp::MatchList>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl MatchList {
    /// Lists the records of this library.
    pub fn set_up(&self, library: &LibraryModel) {
        let imp = self.imp();
        // It is set up once.
        let _ = imp.library.set(library.clone());
        self.set_up_list(library);
        named(imp.folders.upcast_ref(), "Folders of the library");
        imp.add.connect_clicked(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| list.ask_for_folder()
        ));
        imp.find.connect_search_changed(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| list.show()
        ));
        for told in [Told::Listed, Told::Working] {
            library.on(
                told,
                glib::clone!(
                    #[weak(rename_to = list)]
                    self,
                    move |_| if told == Told::Listed { list.show() } else { list.count() }
                ),
            );
        }
        self.show_folders();
    }

    fn set_up_list(&self, library: &LibraryModel) {
        let imp = self.imp();
        let rows = gio::ListStore::new::<glib::BoxedAnyObject>();
        imp.rows.replace(Some(rows.clone()));
        let factory = gtk::SignalListItemFactory::new();
        factory.connect_setup(|_, item| {
            if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
                item.set_child(Some(&empty_row()));
            }
        });
        factory.connect_bind(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_, item| {
                let Some(item) = item.downcast_ref::<gtk::ListItem>() else { return };
                let listed = item.item().and_downcast::<glib::BoxedAnyObject>();
                if let (Some(listed), Some(row)) = (listed, item.child().and_downcast::<gtk::Box>()) {
                    list.fill(&row, &listed.borrow::<Listed>());
                }
            }
        ));
        imp.list.set_factory(Some(&factory));
        let selection = gtk::SingleSelection::builder().autoselect(false).can_unselect(true).build();
        selection.set_model(Some(&rows));
        imp.list.set_model(Some(&selection));
        imp.list.connect_activate(glib::clone!(
            #[weak(rename_to = list)]
            self,
            #[weak]
            library,
            move |_, n| {
                let path = list.at(n).map(|l| l.entry.path);
                if let (Some(path), Some(model)) = (path, library.model()) {
                    model.want(Action::RoomLog);
                    model.open(&[path]);
                }
            }
        ));
    }

    /// The record in a row.
    fn at(&self, n: u32) -> Option<Listed> {
        let rows = self.imp().rows.borrow().clone()?;
        let item = rows.item(n).and_downcast::<glib::BoxedAnyObject>()?;
        let listed = item.borrow::<Listed>().clone();
        Some(listed)
    }

    /// How many rows there are.
    #[cfg(test)]
    pub fn shown(&self) -> u32 {
        self.imp().rows.borrow().as_ref().map_or(0, gtk::gio::prelude::ListModelExt::n_items)
    }

    /// Lists the records that have what is typed.
    fn show(&self) {
        let imp = self.imp();
        let (Some(library), Some(rows)) = (imp.library.get(), imp.rows.borrow().clone()) else { return };
        let typed = imp.find.text();
        let records = library.records();
        let new: Vec<glib::BoxedAnyObject> =
            records.iter().filter(|l| l.has(&typed)).cloned().map(glib::BoxedAnyObject::new).collect();
        imp.bare.borrow_mut().clear();
        rows.splice(0, rows.n_items(), &new);
        self.count();
    }

    /// Says how many there are, what is being read, or why there is none.
    pub fn count(&self) {
        let imp = self.imp();
        let (Some(library), Some(rows)) = (imp.library.get(), imp.rows.borrow().clone()) else { return };
        let (shown, all) = (rows.n_items() as usize, library.records().len());
        let of_all = Counted(all, Noun::Record);
        let number = if shown == all { of_all.to_string() } else { format!("{shown} of {of_all}") };
        let working = library.working();
        let none = all == 0 && working.is_empty();
        let words = if working.is_empty() { number } else { working };
        imp.count.set_label(&words);
        imp.count.set_visible(!none);
        imp.empty.set_visible(none);
        imp.scroll.set_visible(!none);
        imp.find.set_sensitive(!none);
        imp.empty_words.set_label(if library.folders().is_empty() {
            "Name the folders in which your matches are. All records in them are listed here, and searched at once. Nothing in \
             the folders is changed."
        } else {
            "There is no record in your folders yet. A record appears here as soon as a match beside its footage is logged."
        });
    }

    /// The menu of the folders: add one, take one out.
    pub fn show_folders(&self) {
        let imp = self.imp();
        let Some(library) = imp.library.get() else { return };
        let (menu, actions) = (gio::Menu::new(), gio::SimpleActionGroup::new());
        let add = gio::SimpleAction::new("add", None);
        add.connect_activate(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_, _| list.ask_for_folder()
        ));
        actions.add_action(&add);
        menu.append(Some("Add a folder…"), Some("folders.add"));
        let section = gio::Menu::new();
        for (n, folder) in library.folders().into_iter().enumerate() {
            let (name, words) = (format!("off{n}"), format!("Take out {}", known_as(&folder)));
            section.append(Some(&words.replace('_', "__")), Some(&format!("folders.{name}")));
            let off = gio::SimpleAction::new(&name, None);
            off.connect_activate(glib::clone!(
                #[weak(rename_to = list)]
                self,
                move |_, _| list.change_folders(|s| s.remove_from_library(&folder))
            ));
            actions.add_action(&off);
        }
        menu.append_section(None, &section);
        imp.folders.insert_action_group("folders", Some(&actions));
        imp.folders.set_menu_model(Some(&menu));
        self.count();
    }

    /// Changes the folders, saves them, and reads what is in them.
    pub fn change_folders(&self, how: impl FnOnce(&mut crate::session::settings::Settings)) {
        let Some(library) = self.imp().library.get() else { return };
        let Some(model) = library.model() else { return };
        how(&mut model.settings().borrow_mut());
        model.write_settings();
        self.show_folders();
        library.read();
    }

    fn ask_for_folder(&self) {
        let window = self.root().and_downcast::<gtk::Window>();
        let how = gtk::FileChooserAction::SelectFolder;
        let chooser = gtk::FileChooserNative::new(
            Some("Add a folder to the library"),
            window.as_ref(),
            how,
            Some("Add"),
            Some("Cancel"),
        );
        chooser.set_select_multiple(true);
        when_chosen(
            &chooser,
            glib::clone!(
                #[weak(rename_to = list)]
                self,
                move |folders| list.change_folders(|s| {
                    for folder in &folders {
                        s.add_to_library(folder);
                    }
                })
            ),
        );
    }

    fn fill(&self, row: &gtk::Box, listed: &Listed) {
        let Some(picture) = picture_in(row) else { return };
        let Some(words) = row.last_child() else { return };
        let lines = lines(listed);
        let labels = std::iter::successors(words.first_child(), gtk::prelude::WidgetExt::next_sibling);
        for (label, text) in labels.filter_map(|l| l.downcast::<gtk::Label>().ok()).zip(&lines) {
            label.set_label(text);
            label.set_visible(!text.is_empty());
        }
        // What the lines may have no room for.
        let file = listed.entry.path.to_string_lossy();
        let all: Vec<&str> =
            lines.iter().map(String::as_str).chain([&*file]).filter(|l| !l.is_empty()).collect();
        row.set_tooltip_text(Some(&all.join("\n")));
        if let Some(item) = row.parent() {
            item.update_property(&[gtk::accessible::Property::Label(&lines.join(", "))]);
        }
        self.picture(&picture, listed);
    }

    /// Shows the picture of the footage, or has it made.
    fn picture(&self, picture: &gtk::Picture, listed: &Listed) {
        let imp = self.imp();
        imp.bare.borrow_mut().retain(|(p, _)| p != picture);
        picture.set_paintable(gdk::Paintable::NONE);
        let first = listed.known().and_then(|k| k.footage.first());
        let Some((footage, fingerprint)) = first.and_then(|f| Some((f, f.fingerprint.clone()?))) else {
            return;
        };
        let file = picture_of(&fingerprint);
        if let Ok(texture) = gdk::Texture::from_filename(&file) {
            return picture.set_paintable(Some(&texture));
        }
        let there = footage_path(&listed.entry.path, footage).ok().filter(|p| p.is_file());
        imp.bare.borrow_mut().push((picture.clone(), file.clone()));
        if let Some(footage) = there.filter(|_| imp.asked.borrow_mut().insert(file)) {
            let known = Known { footage: Some(footage), fingerprint: Some(fingerprint), ..Known::default() };
            imp.wanted.borrow_mut().push(known);
            self.make_pictures();
        }
    }

    /// Makes the pictures that are wanted, unless others are being made: however many rows there are, one film is read at a time.
    fn make_pictures(&self) {
        let imp = self.imp();
        if imp.job.borrow().is_some() || imp.wanted.borrow().is_empty() {
            return;
        }
        let job = pictures::make(
            imp.wanted.take(),
            glib::clone!(
                #[weak(rename_to = list)]
                self,
                move |_, file: &std::path::Path| list.made(file)
            ),
            glib::clone!(
                #[weak(rename_to = list)]
                self,
                move || {
                    list.imp().job.take();
                    list.make_pictures();
                }
            ),
        );
        imp.job.replace(Some(job));
    }

    fn made(&self, file: &std::path::Path) {
        let Ok(texture) = gdk::Texture::from_filename(file) else { return };
        for (picture, _) in self.imp().bare.borrow().iter().filter(|(_, wanted)| wanted == file) {
            picture.set_paintable(Some(&texture));
        }
    }
}

/// Who plays; when, where, the score; what is logged; what is missing.
fn lines(listed: &Listed) -> [String; 4] {
    let missing: Vec<String> = listed.missing.iter().map(Missing::words).collect();
    if let Some(k) = listed.known() {
        let parts = [k.place(), k.score.clone()];
        let parts: Vec<String> = parts.into_iter().filter(|p| !p.is_empty()).collect();
        return [k.players.clone(), parts.join(" · "), k.logged(), missing.join(" · ")];
    }
    let name = listed.entry.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    [name, String::new(), String::new(), listed.entry.content.broken().unwrap_or_default().to_owned()]
}

fn empty_row() -> gtk::Box {
    let picture = gtk::Picture::builder().css_classes(["film"]).build();
    let words = gtk::Box::new(gtk::Orientation::Vertical, 1);
    words.set_valign(gtk::Align::Center);
    words.set_hexpand(true);
    for class in ["strong", "", "quiet", "wrong"] {
        let line = label("", &[class]);
        line.set_xalign(0.0);
        // Of two long names something of each is seen.
        let names = class == "strong";
        line.set_ellipsize(if names { EllipsizeMode::Middle } else { EllipsizeMode::End });
        words.append(&line);
    }
    let row = gtk::Box::new(gtk::Orientation::Horizontal, 10);
    row.append(&held(&picture, (96, 54)));
    row.append(&words);
    row
}
