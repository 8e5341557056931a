//! The answer: what it means in sentences, its tables, and what to keep in mind.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::cells::Cells;
use super::model::{StudyModel, Told};
use super::numbers::{NumbersView, part_names};
use super::outside::{capital, scale};
use super::parts::{Fit, Tables};
use super::widgets::{card, children, empty, text};
use crate::counted::{Counted, Noun};
use crate::session::study::asking::Answered;
use crate::session::study::spot::Spot;
use crate::summary::study::Findings;

/// With more rows than this they can be searched.
const MANY_ROWS: usize = 8;

pub mod imp {
    use std::cell::{Cell, OnceCell};

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Cells, Fit, StudyModel};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/study/answer.ui")]
    pub struct AnswerView {
        #[template_child]
        pub find: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub parts: TemplateChild<gtk::Box>,
        #[template_child]
        pub body: TemplateChild<gtk::Box>,
        pub study: OnceCell<StudyModel>,
        pub cells: Cells,
        pub fit: Cell<Fit>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for AnswerView {
        const NAME: &'static str = "ChangeoverAnswerView";
        type Type = super::AnswerView;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for AnswerView {}
    impl WidgetImpl for AnswerView {}
    impl BoxImpl for AnswerView {}
}

glib::wrapper! {
    /// The answer to the question.
    pub struct AnswerView(ObjectSubclass<imp::AnswerView>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl AnswerView {
    /// Shows the answers of this study.
    pub fn set_up(&self, study: &StudyModel) {
        // It is set up once.
        let _ = self.imp().study.set(study.clone());
        self.imp().find.set_visible(false);
        self.imp().body.append(&waiting());
        study.on(
            Told::Answered,
            glib::clone!(
                #[weak(rename_to = view)]
                self,
                move |study| view.show(study)
            ),
        );
        study.on(
            Told::Asked,
            glib::clone!(
                #[weak(rename_to = view)]
                self,
                move |_| view.imp().find.set_text("")
            ),
        );
        study.on(
            Told::Chosen,
            glib::clone!(
                #[weak(rename_to = view)]
                self,
                move |study| view.cells().mark(study.spot())
            ),
        );
        study.on(
            Told::Part,
            glib::clone!(
                #[weak(rename_to = view)]
                self,
                move |_| view.show_again()
            ),
        );
        self.imp().find.connect_search_changed(glib::clone!(
            #[weak(rename_to = view)]
            self,
            move |_| view.show_again()
        ));
    }

    /// The numbers that take the focus.
    pub fn cells(&self) -> &Cells {
        &self.imp().cells
    }

    /// Fits the tables to the width there is, in pixels.
    pub fn refit(&self, width: f64) {
        let fit = Fit::of(width / scale());
        if width >= 1.0 && self.imp().fit.replace(fit) != fit {
            self.show_again();
        }
    }

    fn show_again(&self) {
        if let Some(study) = self.imp().study.get() {
            self.show(study);
            self.cells().mark(study.spot());
        }
    }

    fn show(&self, study: &StudyModel) {
        let imp = self.imp();
        let Some(answered) = study.answered() else { return };
        let f = &answered.found;
        self.show_parts(study, &answered);
        let focus = self.cells().place();
        self.cells().clear();
        empty(&imp.body);
        if answered.pool.points() == 0 {
            imp.find.set_visible(false);
            return imp.body.append(&nothing());
        }
        if let Some(numbers) = &f.numbers {
            imp.find.set_visible(false);
            let part = study.part().min(numbers.parts.len().saturating_sub(1));
            let view = NumbersView { study, cells: &imp.cells, f, numbers, part, fit: imp.fit.get() };
            view.all().iter().for_each(|card| imp.body.append(card));
            return self.cells().restore(focus);
        }
        imp.find.set_visible(f.sections.iter().any(|s| s.rows.len() > MANY_ROWS));
        let tables =
            Tables { study, cells: &imp.cells, fit: imp.fit.get(), typed: imp.find.text().into(), f };
        imp.body.append(&headline(&tables));
        tables.all().iter().for_each(|t| imp.body.append(t));
        if let Some(card) = cautions(f) {
            imp.body.append(&card);
        }
        self.cells().restore(focus);
    }
}

impl AnswerView {
    /// A button for the whole match and one for each set, where the match in numbers is shown.
    fn show_parts(&self, study: &StudyModel, answered: &Answered) {
        let parts = &self.imp().parts;
        let names = answered.found.numbers.as_ref().map_or_else(Vec::new, part_names);
        parts.set_visible(!names.is_empty());
        let there = children(parts);
        let label = |w: &gtk::Widget| w.downcast_ref::<gtk::ToggleButton>().and_then(ButtonExt::label);
        if there.iter().filter_map(label).eq(names.iter().map(String::as_str)) {
            if let Some(now) = there.get(study.part()).and_then(|w| w.downcast_ref::<gtk::ToggleButton>()) {
                now.set_active(true);
            }
            return;
        }
        empty(parts);
        let mut first: Option<gtk::ToggleButton> = None;
        for (n, name) in names.iter().enumerate() {
            let button = gtk::ToggleButton::builder().label(name).active(n == study.part());
            let button = button.css_classes(["chip"]).build();
            button.set_group(first.as_ref());
            button.connect_toggled(glib::clone!(
                #[weak]
                study,
                move |b| {
                    if b.is_active() {
                        study.show_part(n);
                    }
                }
            ));
            parts.append(&button);
            first.get_or_insert(button);
        }
    }
}

/// Where there is nothing to ask about yet.
/// Before the first answer.
fn waiting() -> gtk::Box {
    let card = card();
    card.append(&text("Answering…", &["quiet"]));
    card
}

fn nothing() -> gtk::Box {
    let card = card();
    card.append(&text("No points yet", &["large"]));
    card.append(&text("Log points on the Log page. Each question here is answered from them.", &["quiet"]));
    card
}

/// A sentence of the answer; a number stays on the line of its per cent sign.
fn sentence_of(words: &str) -> String {
    format!("{}.", capital(words)).replace(" %", "\u{a0}%")
}

fn headline(t: &Tables<'_>) -> gtk::Box {
    let top = card();
    let mut sentences = t.f.headline.iter();
    if let Some(first) = sentences.next() {
        top.append(&text(&sentence_of(first), &["heading", "sentence"]));
    }
    for sentence in sentences {
        top.append(&text(&sentence_of(sentence), &[]));
    }
    let mut chips = vec![t.chip(Spot::All, &format!("{{}}: {}", t.f.looked_at))];
    if !t.f.left_out.is_empty() {
        let lack = Counted(t.f.left_out.len(), Noun::Point).lacks();
        chips.push(t.chip(Spot::LeftOut, &format!("{{}} {lack} the data for this question")));
    }
    if !t.f.doubtful.is_empty() {
        chips.push(t.chip(Spot::Doubtful, "{} with a contradiction or without an ending"));
    }
    chips.extend(t.f.mixes.iter().enumerate().map(|(n, m)| t.chip(Spot::Mix(n), &format!("{{}}: {}", m.of))));
    t.chips(&top, chips);
    top
}

fn cautions(f: &Findings) -> Option<gtk::Box> {
    if f.cautions.is_empty() {
        return None;
    }
    let card = card();
    card.append(&text("Keep in mind", &["heading"]));
    for (n, caution) in f.cautions.iter().enumerate() {
        card.append(&text(&format!("{}. {}.", n + 1, capital(&caution.to_string())), &[]));
    }
    Some(card)
}
