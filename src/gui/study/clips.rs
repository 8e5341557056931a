//! The clips of the spot that is chosen: what they are compared with, and a list that plays in place and is searched.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::cells::Cells;
use super::model::{StudyModel, Told};
use super::outside::{ClipModel, Rows, Wanted, capital, export, fill_row, offer, row_widget, show_picture};
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::gui::model::Event;
use crate::session::study::found::Found;
use crate::session::study::spot::{Part, Spot, heads};

/// Fewer clips than this need no search.
const FEW_CLIPS: usize = 6;

pub mod imp {
    use std::cell::OnceCell;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Cells, ClipModel, Rows, StudyModel};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/study/clips.ui")]
    pub struct ClipsPanel {
        #[template_child]
        pub head: TemplateChild<gtk::Box>,
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub find: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub play_all: TemplateChild<gtk::Button>,
        #[template_child]
        pub export: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub says: TemplateChild<gtk::Label>,
        #[template_child]
        pub others: TemplateChild<gtk::FlowBox>,
        #[template_child]
        pub not_here: TemplateChild<gtk::Label>,
        #[template_child]
        pub list: TemplateChild<gtk::ListView>,
        pub listed: ClipModel,
        pub rows: Rows,
        pub study: OnceCell<StudyModel>,
        pub cells: Cells,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for ClipsPanel {
        const NAME: &'static str = "ChangeoverClipsPanel";
        type Type = super::ClipsPanel;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for ClipsPanel {}
    impl WidgetImpl for ClipsPanel {}
    impl BoxImpl for ClipsPanel {}
}

glib::wrapper! {
    /// The clips of the spot that is chosen.
    pub struct ClipsPanel(ObjectSubclass<imp::ClipsPanel>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl ClipsPanel {
    /// Lists the clips of this study.
    pub fn set_up(&self, study: &StudyModel) {
        let imp = self.imp();
        // It is set up once.
        let _ = imp.study.set(study.clone());
        self.set_up_list(study);
        imp.play_all.connect_clicked(glib::clone!(
            #[weak(rename_to = panel)]
            self,
            #[weak]
            study,
            move |_| study.play_these(&panel.imp().listed.all())
        ));
        imp.find.connect_search_changed(glib::clone!(
            #[weak(rename_to = panel)]
            self,
            #[weak]
            study,
            move |_| panel.list(&study)
        ));
        for event in [Event::Current, Event::Clip] {
            let Some(model) = study.model() else { break };
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = panel)]
                    self,
                    #[weak]
                    study,
                    move |_| panel.imp().rows.show(study.shown_point())
                ),
            );
        }
        study.on(
            Told::Chosen,
            glib::clone!(
                #[weak(rename_to = panel)]
                self,
                move |study| panel.show(study)
            ),
        );
    }

    fn set_up_list(&self, study: &StudyModel) {
        let imp = self.imp();
        offer(
            &imp.export,
            glib::clone!(
                #[weak(rename_to = panel)]
                self,
                move |wanted| panel.export(wanted)
            ),
        );
        imp.list.set_factory(Some(&self.rows_of(study)));
        imp.list.set_model(Some(&gtk::NoSelection::new(Some(imp.listed.clone()))));
        imp.list.connect_activate(glib::clone!(
            #[weak(rename_to = panel)]
            self,
            #[weak]
            study,
            move |_, n| {
                if let Some(at) = panel.imp().listed.at(n) {
                    study.play_these(&[at]);
                }
            }
        ));
    }

    /// What makes the rows of the list.
    fn rows_of(&self, study: &StudyModel) -> gtk::SignalListItemFactory {
        let factory = gtk::SignalListItemFactory::new();
        factory.connect_setup(|_, item| {
            if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
                item.set_child(Some(&row_widget()));
            }
        });
        factory.connect_unbind(glib::clone!(
            #[weak(rename_to = panel)]
            self,
            move |_, item| {
                if let Some(row) = item.downcast_ref::<gtk::ListItem>().and_then(gtk::ListItem::child) {
                    panel.imp().rows.unbind(&row);
                }
            }
        ));
        factory.connect_bind(glib::clone!(
            #[weak(rename_to = panel)]
            self,
            #[weak]
            study,
            move |_, item| {
                let Some(item) = item.downcast_ref::<gtk::ListItem>() else { return };
                let at = item.item().and_downcast::<glib::BoxedAnyObject>().map(|o| *o.borrow::<PointRef>());
                let row = at.and_then(|at| Some((at, study.clip_row(at)?)));
                if let (Some((at, row)), Some(child)) = (row, item.child()) {
                    fill_row(&child, &row);
                    show_picture(&child, study.moment(at));
                    panel.imp().rows.bind(&child, at, study.shown_point());
                    // What the row has no room for.
                    child.set_tooltip_text(Some(&row.text).filter(|t| !t.is_empty()).map(String::as_str));
                }
            }
        ));
        factory
    }

    /// The numbers that take the focus.
    pub fn cells(&self) -> &Cells {
        &self.imp().cells
    }

    /// A narrow panel has its search below its title.
    pub fn set_narrow(&self, narrow: bool) {
        let below = if narrow { gtk::Orientation::Vertical } else { gtk::Orientation::Horizontal };
        self.imp().head.set_orientation(below);
    }

    fn show(&self, study: &StudyModel) {
        let imp = self.imp();
        let Some(answered) = study.answered() else { return };
        let spot = study.spot();
        let not_here = study.not_played_words();
        imp.not_here.set_visible(!not_here.is_empty());
        imp.not_here.set_label(&not_here);
        self.compare(study, spot, &answered.found);
        // Words typed for other clips say nothing of these.
        imp.find.set_text("");
        imp.find.set_visible(study.points().len() >= FEW_CLIPS);
        self.list(study);
        self.cells().mark(spot);
    }

    fn list(&self, study: &StudyModel) {
        let imp = self.imp();
        let Some(answered) = study.answered() else { return };
        let points = study.points_with(&imp.find.text());
        let (shown, all) = (points.len(), study.points().len());
        let number = if shown == all { all.to_string() } else { format!("{shown} of {all}") };
        let number = match study.spot() {
            // Shots are counted, and a clip shows a point.
            Spot::Number(at) => answered
                .found
                .shots(at)
                .map(|n| format!("{} in {}", Counted(n, Noun::Shot), Counted(all, Noun::Point))),
            _ => None,
        }
        .unwrap_or(number);
        let title = format!("{} ({number})", capital(&study.spot().title(&answered.found)));
        imp.title.set_label(&title);
        imp.title.set_tooltip_text(Some(&title));
        imp.play_all.set_sensitive(!points.is_empty());
        imp.export.set_sensitive(!points.is_empty());
        imp.listed.set(points);
    }

    /// The clips that are listed.
    pub fn listed(&self) -> Vec<PointRef> {
        self.imp().listed.all()
    }

    /// Saves or copies the clips that are listed.
    fn export(&self, wanted: Wanted) {
        let Some(study) = self.imp().study.get() else { return };
        let finds = study.finds(self.imp().title.label().as_str(), self.imp().listed.all());
        if let Some((model, finds)) = study.model().zip(finds) {
            export(model, self, finds, wanted);
        }
    }

    /// The row in a sentence, and what it is compared with.
    fn compare(&self, study: &StudyModel, spot: Spot, f: &Found) {
        let imp = self.imp();
        let row =
            spot.row().and_then(|(s, r)| Some(((s, r), f.sections.get(s)?, f.sections[s].rows.get(r)?)));
        imp.says.set_visible(row.is_some());
        imp.others.set_visible(row.is_some());
        if matches!(spot, Spot::Others { .. } | Spot::Unplaced { .. }) && self.cells().place().is_some() {
            // The focus is on one of its own buttons.
            return;
        }
        while let Some(old) = imp.others.first_child() {
            imp.others.remove(&old);
        }
        self.cells().clear();
        let Some(((section, row), table, found)) = row else { return };
        imp.says.set_label(&format!("{}.", capital(&found.says)));
        imp.says.set_tooltip_text(Some(&found.says));
        let [won, lost] = heads(table.counts);
        let of = |part| Spot::Others { section, row, part };
        let parts = [
            (Part::Points, "Compared with {}".to_owned()),
            (Part::Won, format!("{} {won}", of(Part::Won).count(f))),
            (Part::Lost, format!("{} {lost}", of(Part::Lost).count(f))),
            (Part::Unknown, format!("{} unknown", of(Part::Unknown).count(f))),
        ];
        let some = parts.iter().filter(|(part, _)| *part == Part::Points || of(*part).count(f) > 0);
        let mut line: Vec<_> =
            some.map(|(part, words)| self.cells().chip(study, of(*part), words, f)).collect();
        if !found.unplaced.is_empty() {
            let unplaced = Spot::Unplaced { section, row };
            line.push(self.cells().chip(study, unplaced, "{} may not be comparable", f));
        }
        for chip in &line {
            imp.others.insert(&gtk::FlowBoxChild::builder().child(chip).focusable(false).build(), -1);
        }
        self.cells().line(line);
    }
}
