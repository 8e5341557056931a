//! The points of the match: which to see, and the list of them.

use std::cell::Cell;
use std::sync::Arc;

use gtk::gio;
use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::point_row::{Row, fill_row, row_of, row_widget};
use crate::facts::PointRef;
use crate::gui::dialogs::save_clips::export;
use crate::gui::kit::export_menu::{Wanted, offer};
use crate::gui::kit::picker::Picker;
use crate::gui::kit::small_pictures::show;
use crate::gui::model::{Event, Model};
use crate::library::Kept;
use crate::session::filter::Filter;
use crate::session::library::finds::Finds;
use crate::session::pictured::Moment;
use crate::session::state::Session;
use crate::summary::study::Match;

pub mod imp {
    use super::{Cell, Picker, glib};
    use glib::types::StaticTypeExt;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/points.ui")]
    pub struct PointsPage {
        #[template_child]
        pub filter: TemplateChild<Picker>,
        #[template_child]
        pub find: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub count: TemplateChild<gtk::Label>,
        #[template_child]
        pub play_all: TemplateChild<gtk::Button>,
        #[template_child]
        pub export: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub list: TemplateChild<gtk::ListView>,
        /// Set while the program itself changes a selection, so that it is not taken for the user's.
        pub filling: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PointsPage {
        const NAME: &'static str = "ChangeoverPointsPage";
        type Type = super::PointsPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            Picker::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PointsPage {}
    impl WidgetImpl for PointsPage {}
    impl BoxImpl for PointsPage {}
}

glib::wrapper! {
    /// The points of the match.
    pub struct PointsPage(ObjectSubclass<imp::PointsPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PointsPage {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        self.set_up_list(model);
        self.set_up_filter(model);
        self.set_up_search(model);
        offer(
            &self.imp().export,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[weak]
                model,
                move |wanted| page.export(&model, wanted)
            ),
        );
        model.on(
            Event::Changed,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |m| {
                    if let Some(s) = m.session().borrow().as_ref() {
                        page.show(s);
                    }
                }
            ),
        );
        model.on(
            Event::Current,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |m| {
                    if let Some(s) = m.session().borrow().as_ref() {
                        page.select(s);
                    }
                }
            ),
        );
    }

    /// Saves or copies the points that are listed.
    fn export(&self, model: &Model, wanted: Wanted) {
        if let Some(finds) = self.finds(model, true) {
            export(model, self, finds, wanted);
        }
    }

    /// The points that are listed, or only the current one.
    pub fn finds(&self, model: &Model, all: bool) -> Option<Finds> {
        let session = model.session().borrow();
        let s = session.as_ref()?;
        let listed =
            if all { self.found(s).iter().map(|r| r.point).collect() } else { Vec::from_iter(s.current()) };
        let points = listed.into_iter().map(|point| PointRef { record: 0, point }).collect();
        let of = (s.view.path.clone(), Arc::new(Match::new((*s.view.record).clone())));
        Some(Finds::new(Arc::new(Kept::of_matches([of])), s.filter.title(), points, 0))
    }

    /// Opens the menu of the filter.
    pub fn open_filter(&self, model: &Model) {
        model.fill_filters();
        self.imp().filter.open();
    }

    fn show(&self, s: &Session) {
        let rows = self.found(s);
        let count = if self.imp().find.text().is_empty() {
            s.count()
        } else {
            format!("{} of {} points", rows.len(), s.kept().len())
        };
        self.imp().count.set_label(&count);
        self.imp().play_all.set_sensitive(!rows.is_empty());
        self.imp().export.set_sensitive(!rows.is_empty());
        let items: Vec<glib::BoxedAnyObject> = rows.into_iter().map(glib::BoxedAnyObject::new).collect();
        let Some(model) = self.imp().list.model().and_downcast::<gtk::SingleSelection>() else { return };
        let Some(store) = model.model().and_downcast::<gio::ListStore>() else { return };
        self.imp().filling.set(true);
        store.splice(0, store.n_items(), &items);
        self.imp().filling.set(false);
        self.select(s);
    }

    /// The points that the filter keeps and that have all the words typed.
    fn found(&self, s: &Session) -> Vec<Row> {
        let typed = self.imp().find.text();
        let kept = s.kept();
        let facts = kept.iter().filter_map(|i| s.facts().get(*i));
        let rows = facts.map(|f| row_of(&s.view.record, f, s.doubts(f.number)));
        rows.filter(|row| row.has(&typed)).collect()
    }

    /// The points in the list.
    pub fn listed(&self) -> Vec<usize> {
        let rows = self.imp().list.model();
        let rows = rows.iter().flat_map(|m| (0..m.n_items()).filter_map(|i| m.item(i)));
        rows.filter_map(|row| row.downcast::<glib::BoxedAnyObject>().ok())
            .map(|row| row.borrow::<Row>().point)
            .collect()
    }

    /// Puts the words away that were typed. Says whether there were any.
    pub fn end_search(&self) -> bool {
        let typed = !self.imp().find.text().is_empty();
        self.imp().find.set_text("");
        typed
    }

    /// Typing shows the points that have the words; Return goes to the first of them.
    fn set_up_search(&self, model: &Model) {
        self.imp().find.connect_search_changed(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |_| {
                if let Some(s) = model.session().borrow().as_ref() {
                    page.show(s);
                }
            }
        ));
        self.imp().find.connect_activate(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |_| {
                if let Some(first) = page.listed().first() {
                    model.choose(*first);
                    model.tell(Event::Footage);
                }
            }
        ));
        self.imp().play_all.connect_clicked(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |_| model.play_points(page.listed())
        ));
    }

    /// Selects the current point, and scrolls to it.
    fn select(&self, s: &Session) {
        let Some(model) = self.imp().list.model().and_downcast::<gtk::SingleSelection>() else { return };
        let place = self.listed().iter().position(|i| Some(*i) == s.current());
        self.imp().filling.set(true);
        model.set_selected(place.map_or(gtk::INVALID_LIST_POSITION, |p| p as u32));
        self.imp().filling.set(false);
        if let Some(p) = place {
            let list = self.imp().list.downgrade();
            // Rows have their place only after the list was laid out.
            glib::idle_add_local_once(move || {
                if let Some(list) = list.upgrade() {
                    let _ = list.activate_action("list.scroll-to-item", Some(&(p as u32).to_variant()));
                }
            });
        }
    }

    fn set_up_filter(&self, model: &Model) {
        let menu = &*self.imp().filter;
        menu.say("Which points to see");
        model.on(
            Event::Filters,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |m| page.show_filters(m)
            ),
        );
        menu.connect_selected_notify(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |menu| {
                if !page.imp().filling.get() {
                    model.filter_by(menu.selected() as usize);
                }
            }
        ));
    }

    fn show_filters(&self, model: &Model) {
        let filters = model.filters().borrow();
        let titles: Vec<String> = filters.iter().map(Filter::title).collect();
        let now = model.session().borrow().as_ref().map(|s| s.filter.clone());
        let chosen = filters.iter().position(|f| Some(f) == now.as_ref()).unwrap_or(0);
        self.imp().filling.set(true);
        self.imp().filter.offer(titles, chosen as u32);
        self.imp().filling.set(false);
    }

    /// How a row looks, and what choosing one does.
    fn set_up_list(&self, model: &Model) {
        let factory = gtk::SignalListItemFactory::new();
        factory.connect_setup(|_, item| {
            if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
                item.set_child(Some(&row_widget()));
            }
        });
        factory.connect_bind(glib::clone!(
            #[weak]
            model,
            move |_, item| {
                let Some(item) = item.downcast_ref::<gtk::ListItem>() else { return };
                bind(item, &model);
            }
        ));
        let rows = gtk::SingleSelection::new(Some(gio::ListStore::new::<glib::BoxedAnyObject>()));
        rows.set_autoselect(false);
        rows.set_can_unselect(true);
        rows.connect_selected_notify(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |rows| {
                if page.imp().filling.get() {
                    return;
                }
                if let Some(row) = rows.selected_item().and_downcast::<glib::BoxedAnyObject>() {
                    let point = row.borrow::<Row>().point;
                    // Choosing fills the list anew, which it must not do while it tells of the choice.
                    glib::idle_add_local_once(move || model.choose(point));
                }
            }
        ));
        self.imp().list.set_factory(Some(&factory));
        self.imp().list.set_model(Some(&rows));
    }
}

/// Fills a row, and asks for its picture.
fn bind(item: &gtk::ListItem, model: &Model) {
    let row = item.item().and_downcast::<glib::BoxedAnyObject>();
    if let (Some(row), Some(child)) = (row, item.child()) {
        let row = row.borrow::<Row>();
        fill_row(&child, &row);
        let session = model.session().borrow();
        let view = session.as_ref().map(|s| &s.view);
        show(&child, view.and_then(|v| Moment::of_point(&v.record, &v.path, row.point)));
    }
}
