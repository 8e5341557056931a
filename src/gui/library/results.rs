//! The clips that were found: played one after another, put in another order, exported. The one that is played is marked.

use gtk::glib;
use gtk::pango::EllipsizeMode;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::model::{LibraryModel, Told};
use crate::facts::PointRef;
use crate::gui::dialogs::save_clips::export;
use crate::gui::kit::clip_model::{ClipModel, Rows};
use crate::gui::kit::export_menu::{Wanted, offer};
use crate::gui::kit::small_pictures::{show, with_picture};
use crate::gui::kit::words::{capital, label};
use crate::gui::model::Event;
use crate::record::printable;
use crate::session::library::finds::FindRow;

/// So many words that are not known are named.
const NAMED: usize = 5;

mod imp {
    use std::cell::{Cell, OnceCell, RefCell};
    use std::path::PathBuf;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{ClipModel, LibraryModel, PointRef, Rows};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/library/results.ui")]
    pub struct FindList {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub play: TemplateChild<gtk::Button>,
        #[template_child]
        pub star: TemplateChild<gtk::Button>,
        #[template_child]
        pub write: TemplateChild<gtk::Button>,
        #[template_child]
        pub add: TemplateChild<gtk::Button>,
        #[template_child]
        pub note: TemplateChild<gtk::Entry>,
        #[template_child]
        pub up: TemplateChild<gtk::Button>,
        #[template_child]
        pub down: TemplateChild<gtk::Button>,
        #[template_child]
        pub off: TemplateChild<gtk::Button>,
        #[template_child]
        pub export: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub says: TemplateChild<gtk::Label>,
        #[template_child]
        pub scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub list: TemplateChild<gtk::ListView>,
        pub listed: ClipModel,
        pub rows: Rows,
        /// The selected clip, by its record and its point there.
        pub chosen: RefCell<Option<(PathBuf, usize)>>,
        /// Whether other clips are being listed.
        pub lists: Cell<bool>,
        /// The point whose note is being written.
        pub noted: Cell<Option<PointRef>>,
        pub library: OnceCell<LibraryModel>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for FindList {
        const NAME: &'static str = "ChangeoverFindList";
        type Type = super::FindList;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for FindList {}
    impl WidgetImpl for FindList {}
    impl BoxImpl for FindList {}
}

glib::wrapper! {
    /// The clips that were found.
    pub struct FindList(ObjectSubclass<imp::FindList>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl FindList {
    /// Lists the clips of this library.
    pub fn set_up(&self, library: &LibraryModel) {
        let imp = self.imp();
        // It is set up once.
        let _ = imp.library.set(library.clone());
        imp.list.set_factory(Some(&self.rows()));
        let selection = gtk::SingleSelection::new(Some(imp.listed.clone()));
        selection.connect_selected_notify(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| if !list.imp().lists.get() {
                list.keep_chosen();
            }
        ));
        imp.list.set_model(Some(&selection));
        imp.list.connect_activate(glib::clone!(
            #[weak]
            library,
            move |_, n| library.play_from(n as usize)
        ));
        self.wire_order(library);
        self.wire_marks();
        self.wire_played(library);
        offer(
            &imp.export,
            glib::clone!(
                #[weak(rename_to = list)]
                self,
                move |wanted| list.export(wanted)
            ),
        );
        library.on(
            Told::Found,
            glib::clone!(
                #[weak(rename_to = list)]
                self,
                move |_| list.show()
            ),
        );
        self.show();
    }

    fn wire_order(&self, library: &LibraryModel) {
        let imp = self.imp();
        imp.play.connect_clicked(glib::clone!(
            #[weak]
            library,
            move |_| library.play_from(0)
        ));
        for (button, down) in [(&imp.up, false), (&imp.down, true)] {
            button.connect_clicked(glib::clone!(
                #[weak(rename_to = list)]
                self,
                move |_| list.shift(down)
            ));
        }
        imp.off.connect_clicked(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| list.remove()
        ));
    }

    /// Takes the selected clip out of the list.
    pub fn remove(&self) {
        let (Some(at), Some(library)) = (self.selected(), self.imp().library.get()) else { return };
        library.take_out(at);
        self.select(at);
    }

    /// The clip that is played is marked and selected: what is done then is done with it.
    fn wire_played(&self, library: &LibraryModel) {
        let Some(model) = library.model() else { return };
        model.on(
            Event::Clip,
            glib::clone!(
                #[weak(rename_to = list)]
                self,
                #[weak]
                library,
                move |_| {
                    let shown = library.shown_point();
                    list.imp().rows.show(shown);
                    let place = shown.and_then(|at| list.imp().listed.all().iter().position(|p| *p == at));
                    // A note that is being written stays with its clip.
                    if let Some(place) = place.filter(|_| list.imp().noted.get().is_none()) {
                        list.select(place);
                    }
                }
            ),
        );
    }

    fn selection(&self) -> Option<gtk::SingleSelection> {
        self.imp().list.model().and_downcast()
    }

    /// The clip that is chosen, by its place.
    pub fn selected(&self) -> Option<usize> {
        let at = self.selection()?.selected();
        (at != gtk::INVALID_LIST_POSITION).then_some(at as usize)
    }

    fn select(&self, at: usize) {
        if let Some(selection) = self.selection() {
            let at = (at as u32).min(selection.n_items().saturating_sub(1));
            selection.set_selected(at);
            // An empty list has no such place.
            let _ = self.imp().list.activate_action("list.scroll-to-item", Some(&at.to_variant()));
        }
    }

    /// Moves the selected clip up or down.
    pub fn shift(&self, down: bool) {
        let (Some(at), Some(library)) = (self.selected(), self.imp().library.get()) else { return };
        let mut moved = false;
        library.finds().change(|f| moved = f.shift(at, down));
        self.select(match (moved, down) {
            (false, _) => at,
            (true, true) => at + 1,
            (true, false) => at - 1,
        });
    }

    fn rows(&self) -> gtk::SignalListItemFactory {
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
                let at = item.item().and_downcast::<glib::BoxedAnyObject>().map(|o| *o.borrow::<PointRef>());
                if let (Some(at), Some(child), Some(library)) = (at, item.child(), list.imp().library.get()) {
                    fill(&child, library, at);
                    list.imp().rows.bind(&child, at, library.shown_point());
                }
            }
        ));
        factory.connect_unbind(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_, item| {
                if let Some(row) = item.downcast_ref::<gtk::ListItem>().and_then(gtk::ListItem::child) {
                    list.imp().rows.unbind(&row);
                }
            }
        ));
        factory
    }

    /// Lists these points. The clip that was selected stays selected, and rows that stay are written anew: their records may have
    /// changed.
    fn list(&self, library: &LibraryModel, points: Vec<PointRef>, anew: bool) {
        let imp = self.imp();
        let (before, last) = (self.selected().filter(|_| !anew), points.len().saturating_sub(1));
        let chosen = imp.chosen.borrow().clone();
        imp.lists.set(true);
        imp.listed.follow(points);
        imp.rows.each(|row, at| fill(row, library, at));
        imp.rows.show(library.shown_point());
        let place = chosen.and_then(|(path, point)| library.finds().look(|f| f.place_of(&path, point)));
        if let Some(selection) = self.selection() {
            selection.set_selected(place.or(before).unwrap_or(0).min(last) as u32);
        }
        imp.lists.set(false);
        self.keep_chosen();
    }

    /// Remembers which clip is selected.
    fn keep_chosen(&self) {
        let imp = self.imp();
        let Some(library) = imp.library.get() else { return };
        let chosen = self.selected().and_then(|place| {
            library.finds().look(|f| {
                let at = *f.points.get(place)?;
                Some((f.path(at)?.to_owned(), at.point))
            })
        });
        imp.chosen.replace(chosen);
    }

    fn show(&self) {
        let imp = self.imp();
        let Some(library) = imp.library.get() else { return };
        let (points, title) = library.finds().look(|f| (f.points.clone(), f.title.clone()));
        let search = library.search();
        let any = !points.is_empty();
        let heading = if title.is_empty() { "Clips".to_owned() } else { capital(&title) };
        self.list(library, points, imp.title.label() != heading);
        imp.title.set_label(&heading);
        imp.title.set_tooltip_text(Some(&title).filter(|t| !t.is_empty()).map(String::as_str));
        let says = match () {
            () if !library.has_folders() => {
                "Add a folder first: the search reads the records in it.".to_owned()
            }
            () if library.reads() => {
                "Reading the records. Names and tags are known when all are read.".to_owned()
            }
            () if search.unknown().count() > 0 => {
                let words: Vec<_> = search.unknown().map(|c| printable(&c.words, 30)).collect();
                let more = words.len().saturating_sub(NAMED);
                let more = if more > 0 { format!(" and {more} more") } else { String::new() };
                let them = if words.len() > 1 { "them" } else { "it" };
                let words = words[..words.len().min(NAMED)].join(", ");
                format!("Not known: {words}{more}. Remove {them}, or choose the word that was meant.")
            }
            () if search.is_empty() => {
                "Type words above: players, strokes, directions, score, serve, rally length, how the point \
                ended, surface, dates, tags, patterns."
                    .to_owned()
            }
            () if any => library.count(),
            () => "No point in your folders matches all these words. Remove one.".to_owned(),
        };
        imp.says.set_label(&says);
        for button in [&imp.play, &imp.star, &imp.write, &imp.add, &imp.up, &imp.down, &imp.off] {
            button.set_sensitive(any);
        }
        imp.export.set_sensitive(any);
    }

    /// The clips that are listed.
    #[cfg(test)]
    pub fn listed(&self) -> Vec<PointRef> {
        self.imp().listed.all()
    }

    /// Does what is wanted of the clips that are listed.
    pub fn export(&self, wanted: Wanted) {
        let Some(library) = self.imp().library.get() else { return };
        let Some(model) = library.model() else { return };
        if library.finds().look(|f| f.points.is_empty()) {
            model.say("No clips are listed. Search for some first.");
        } else {
            export(model, self, library.finds().look(Clone::clone), wanted);
        }
    }
}

fn empty_row() -> gtk::Box {
    let outer = gtk::Box::new(gtk::Orientation::Vertical, 1);
    let top = gtk::Box::new(gtk::Orientation::Horizontal, 10);
    let title = label("", &["strong"]);
    title.set_hexpand(true);
    let (score, when, shows) = (label("", &[]), label("", &["quiet"]), label("", &["quiet"]));
    for (line, into) in [(&title, &top), (&score, &top), (&when, &top), (&shows, &outer)] {
        line.set_xalign(0.0);
        if line != &when {
            // Of two long names something of each is seen.
            let names = line == &title;
            line.set_ellipsize(if names { EllipsizeMode::Middle } else { EllipsizeMode::End });
        }
        into.append(line);
    }
    outer.prepend(&top);
    with_picture(&outer)
}

/// Writes a clip into its row, with its picture.
fn fill(row: &gtk::Widget, library: &LibraryModel, at: PointRef) {
    let found = library.finds().look(|f| Some((f.row(at)?, f.moment(at))));
    if let Some((found, moment)) = found {
        write(row, &found);
        show(row, moment);
    }
}

fn write(row: &gtk::Widget, found: &FindRow) {
    let Some(words) = row.last_child() else { return };
    let Some(top) = words.first_child() else { return };
    let shows = [found.shows.as_str(), found.note.as_str()].into_iter().filter(|t| !t.is_empty());
    let shows = shows.collect::<Vec<_>>().join(" · ");
    let title = if found.starred { format!("★ {}", found.title) } else { found.title.clone() };
    let score = top.first_child().and_then(|title| title.next_sibling());
    let labels = [top.first_child(), score, top.last_child(), words.last_child()];
    for (label, text) in labels.into_iter().zip([&title, &found.score, &found.when, &shows]) {
        if let Some(label) = label.and_downcast::<gtk::Label>() {
            label.set_label(text);
            label.set_tooltip_text(Some(text).filter(|t| !t.is_empty()).map(String::as_str));
        }
    }
    if let Some(item) = row.parent() {
        let star = if found.starred { "starred, " } else { "" };
        let said = format!("{star}{}, {}, {}, {shows}", found.title, found.score, found.when);
        item.update_property(&[gtk::accessible::Property::Label(&said)]);
    }
}
