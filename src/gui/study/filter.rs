//! The filter: which points are asked about, and of which matches.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::files;
use super::model::{StudyModel, Told};
use super::outside::named;
use super::widgets::children;
use crate::counted::{Counted, Noun};
use crate::session::study::asking::Answered;
use crate::session::study::facets::Facet;

/// The facet that chooses among the matches: of use only where there are several.
const MATCHES: usize = 1;

pub mod imp {
    use std::cell::RefCell;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::Facet;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/study/filter.ui")]
    pub struct FilterPanel {
        #[template_child]
        pub facets: TemplateChild<gtk::Box>,
        #[template_child]
        pub pool_words: TemplateChild<gtk::Label>,
        #[template_child]
        pub add: TemplateChild<gtk::Button>,
        #[template_child]
        pub alone: TemplateChild<gtk::Button>,
        /// The facets that the menus show, and what is chosen of each.
        pub shown: RefCell<(Vec<Facet>, Vec<usize>)>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for FilterPanel {
        const NAME: &'static str = "ChangeoverFilterPanel";
        type Type = super::FilterPanel;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for FilterPanel {}
    impl WidgetImpl for FilterPanel {}
    impl BoxImpl for FilterPanel {}
}

glib::wrapper! {
    /// Which points are asked about.
    pub struct FilterPanel(ObjectSubclass<imp::FilterPanel>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl FilterPanel {
    /// Filters the points of this study.
    pub fn set_up(&self, study: &StudyModel) {
        let imp = self.imp();
        imp.add.connect_clicked(glib::clone!(
            #[weak]
            study,
            move |button| files::choose_matches(button, &study)
        ));
        imp.alone.connect_clicked(glib::clone!(
            #[weak]
            study,
            move |_| study.be_alone()
        ));
        study.on(
            Told::Answered,
            glib::clone!(
                #[weak(rename_to = panel)]
                self,
                move |study| {
                    if let Some(answered) = study.answered() {
                        panel.show(study, &answered);
                    }
                }
            ),
        );
        study.on(
            Told::Working,
            glib::clone!(
                #[weak(rename_to = panel)]
                self,
                move |study| panel.imp().pool_words.set_label(&study.working())
            ),
        );
    }

    /// The menus, in the order of the facets.
    pub fn menus(&self) -> Vec<gtk::DropDown> {
        children(&self.imp().facets).into_iter().filter_map(|w| w.downcast().ok()).collect()
    }

    /// Of the match in numbers both players are shown, set by set: only the player who comes first, and the matches.
    fn show_menus(&self, matches: usize, numbers: bool) {
        for (n, menu) in self.menus().iter().enumerate() {
            menu.set_visible((n != MATCHES || matches > 1) && (n <= MATCHES || !numbers));
        }
    }

    /// What is chosen other than all, in words: `Holt, set 2`.
    pub fn words(&self) -> String {
        let shown = self.imp().shown.borrow();
        let seen = self.menus().into_iter().map(|m| m.get_visible());
        let facets = shown.0.iter().zip(&shown.1).zip(seen);
        let chosen = facets.filter(|((_, pick), seen)| **pick > 0 && *seen).map(|(facet, _)| facet);
        let labels: Vec<&str> =
            chosen.filter_map(|(f, pick)| f.picks.get(*pick)).map(|p| p.label.as_str()).collect();
        if labels.is_empty() { "all points".into() } else { labels.join(", ") }
    }

    fn show(&self, study: &StudyModel, answered: &Answered) {
        let imp = self.imp();
        let (matches, points) = (answered.pool.matches().len(), answered.pool.points());
        let pool = format!("{}, {}", Counted(matches, Noun::Match), Counted(points, Noun::Point));
        imp.pool_words.set_label(&pool);
        imp.alone.set_visible(matches > answered.here);
        let now = (answered.facets.clone(), answered.picks.clone());
        // The menus stay while they would be the same, so that none closes while it is used.
        let selected = self.menus().iter().map(|m| m.selected() as usize).collect::<Vec<_>>();
        let same = imp.shown.borrow().0 == now.0 && selected == now.1;
        imp.shown.replace(now.clone());
        let numbers = answered.found.numbers.is_some();
        if same {
            return self.show_menus(matches, numbers);
        }
        for old in children(&imp.facets) {
            imp.facets.remove(&old);
        }
        for (n, (facet, pick)) in now.0.iter().zip(&now.1).enumerate() {
            let menu = menu(facet, *pick);
            menu.connect_selected_notify(glib::clone!(
                #[weak]
                study,
                move |m| study.pick(n, m.selected() as usize)
            ));
            imp.facets.append(&menu);
        }
        self.show_menus(matches, numbers);
    }
}

/// A facet's menu, with this choice made. A long name is cut before it makes the column wider.
fn menu(facet: &Facet, chosen: usize) -> gtk::DropDown {
    let labels: Vec<&str> = facet.picks.iter().map(|p| p.label.as_str()).collect();
    let menu = gtk::DropDown::from_strings(&labels);
    menu.set_selected(chosen as u32);
    menu.set_list_factory(menu.factory().as_ref());
    menu.set_factory(Some(&cut_short()));
    menu.set_tooltip_text(Some(facet.name));
    named(menu.upcast_ref(), facet.name);
    menu
}

/// The choice as the menu's button has room for it.
fn cut_short() -> gtk::SignalListItemFactory {
    let factory = gtk::SignalListItemFactory::new();
    factory.connect_setup(|_, item| {
        if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
            let label = gtk::Label::builder().xalign(0.0).ellipsize(gtk::pango::EllipsizeMode::End);
            item.set_child(Some(&label.width_chars(14).max_width_chars(18).build()));
        }
    });
    factory.connect_bind(|_, item| {
        let Some(item) = item.downcast_ref::<gtk::ListItem>() else { return };
        let text = item.item().and_downcast::<gtk::StringObject>();
        if let (Some(text), Some(label)) = (text, item.child().and_downcast::<gtk::Label>()) {
            label.set_label(&text.string());
        }
    });
    factory
}
