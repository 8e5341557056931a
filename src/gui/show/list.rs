//! The parts of the lesson: chapters, clips with their captions and times.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::counted::{Counted, Noun};
use crate::gui::kit::small_pictures::{show, with_picture};
use crate::gui::kit::words::{capital, label};
use crate::gui::model::{Event, Model};
use crate::session::pictured::Moment;
use crate::session::show::keeper::Ask;
use crate::session::show::view::{Kind, Row, View};

mod imp {
    use std::cell::{Cell, RefCell};

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::Row;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/show/list.ui")]
    pub struct PartList {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub count: TemplateChild<gtk::Label>,
        /// What moves or takes out the part that is chosen.
        #[template_child]
        pub order: TemplateChild<gtk::Box>,
        #[template_child]
        pub play: TemplateChild<gtk::Button>,
        #[template_child]
        pub list: TemplateChild<gtk::ListView>,
        /// Set while the program itself changes the selection, so that it is not taken for the user's.
        pub filling: Cell<bool>,
        pub rows: RefCell<Vec<Row>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PartList {
        const NAME: &'static str = "ChangeoverPartList";
        type Type = super::PartList;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PartList {}
    impl WidgetImpl for PartList {}
    impl BoxImpl for PartList {}
}

glib::wrapper! {
    /// The parts of the lesson.
    pub struct PartList(ObjectSubclass<imp::PartList>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PartList {
    /// Lists the lesson of this model.
    pub fn set_up(&self, model: &Model) {
        let rows = gtk::SingleSelection::new(Some(gtk::gio::ListStore::new::<glib::BoxedAnyObject>()));
        rows.set_autoselect(false);
        rows.set_can_unselect(true);
        rows.connect_selected_notify(glib::clone!(
            #[weak(rename_to = list)]
            self,
            #[weak]
            model,
            move |rows| {
                let at = rows.selected();
                if !list.imp().filling.get() && at != gtk::INVALID_LIST_POSITION {
                    model.ask_lesson(Ask::Choose(Some(at as usize)));
                }
            }
        ));
        self.imp().list.set_factory(Some(&factory(model)));
        self.imp().list.set_model(Some(&rows));
        model.on(
            Event::Lesson,
            glib::clone!(
                #[weak(rename_to = list)]
                self,
                move |m| {
                    if let Some(view) = m.lesson() {
                        list.show(&view);
                    }
                }
            ),
        );
    }

    fn show(&self, view: &View) {
        let imp = self.imp();
        imp.title.set_label(&view.title());
        imp.title.set_tooltip_text(Some(&view.path.to_string_lossy()));
        let rows = view.rows();
        let clips = rows.iter().filter(|r| matches!(r.kind, Kind::Clip | Kind::Pair)).count();
        let may_not = if view.read_only.is_some() { " · read-only" } else { "" };
        imp.count.set_label(&format!("{}{may_not}", Counted(clips, Noun::Clip)));
        imp.count.set_tooltip_text(view.read_only.as_deref().map(capital).as_deref());
        imp.play.set_sensitive(!view.items().is_empty());
        imp.order.set_sensitive(view.chosen.is_some() && view.read_only.is_none());
        let Some(selection) = imp.list.model().and_downcast::<gtk::SingleSelection>() else { return };
        let Some(store) = selection.model().and_downcast::<gtk::gio::ListStore>() else { return };
        imp.filling.set(true);
        if *imp.rows.borrow() != rows {
            let items: Vec<_> = rows.iter().cloned().map(glib::BoxedAnyObject::new).collect();
            store.splice(0, store.n_items(), &items);
            imp.rows.replace(rows);
        }
        let chosen = view.chosen.map_or(gtk::INVALID_LIST_POSITION, |at| at as u32);
        selection.set_selected(chosen);
        imp.filling.set(false);
        let list = imp.list.downgrade();
        // Rows have their place only after the list was laid out.
        glib::idle_add_local_once(move || {
            if let Some(list) = list.upgrade().filter(|_| chosen != gtk::INVALID_LIST_POSITION) {
                let _ = list.activate_action("list.scroll-to-item", Some(&chosen.to_variant()));
            }
        });
    }

    /// How many clips there are, and whether they may be changed.
    #[cfg(test)]
    pub fn counted(&self) -> (String, Option<String>) {
        let count = &self.imp().count;
        (count.text().into(), count.tooltip_text().map(Into::into))
    }

    /// The rows that are listed.
    #[cfg(test)]
    pub fn rows(&self) -> Vec<Row> {
        self.imp().rows.borrow().clone()
    }
}

fn factory(model: &Model) -> gtk::SignalListItemFactory {
    let factory = gtk::SignalListItemFactory::new();
    factory.connect_setup(|_, item| {
        if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
            let row = gtk::Box::new(gtk::Orientation::Vertical, 1);
            for class in ["strong", "quiet"] {
                let line = label("", &[class]);
                line.set_xalign(0.0);
                line.set_ellipsize(gtk::pango::EllipsizeMode::End);
                row.append(&line);
            }
            item.set_child(Some(&with_picture(&row)));
        }
    });
    factory.connect_bind(glib::clone!(
        #[weak]
        model,
        move |_, item| {
            let Some(item) = item.downcast_ref::<gtk::ListItem>() else { return };
            let row = item.item().and_downcast::<glib::BoxedAnyObject>().map(|o| o.borrow::<Row>().clone());
            if let (Some(row), Some(child)) = (row, item.child()) {
                fill(&child, &row);
                let clip = model.lesson().and_then(|view| view.item(item.position() as usize));
                show(&child, clip.as_ref().map(Moment::of_clip));
            }
        }
    ));
    factory
}

fn fill(child: &gtk::Widget, row: &Row) {
    let about = row.astray.as_ref().unwrap_or(&row.about);
    let title = match row.number {
        Some(number) => format!("{number}  {}", row.title),
        None => row.title.clone(),
    };
    let Some(words) = child.last_child() else { return };
    for (line, text) in [(words.first_child(), &title), (words.last_child(), about)] {
        if let Some(line) = line.and_downcast::<gtk::Label>() {
            line.set_label(text);
            line.set_visible(!text.is_empty());
            line.set_tooltip_text(Some(text).filter(|t| !t.is_empty()).map(String::as_str));
        }
    }
    if row.kind == Kind::Chapter {
        child.add_css_class("chapter");
    } else {
        child.remove_css_class("chapter");
    }
    if let Some(item) = child.parent() {
        let kind = if row.kind == Kind::Chapter { "Chapter: " } else { "" };
        item.update_property(&[gtk::accessible::Property::Label(&format!("{kind}{title}, {about}"))]);
    }
}
