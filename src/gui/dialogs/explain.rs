//! Why the current point shows a pattern, or does not, or why that cannot be told: the words of `changeover explain`,
//! one row a condition. Return on a row goes to the ball that it is about.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;
use thiserror::Error;

use crate::facts::{PointFacts, ball_of, heading_of, words_of};
use crate::gui::kit;
use crate::gui::kit::fields::{quiet, title};
use crate::gui::kit::words::capital;
use crate::gui::model::Model;
use crate::pattern::{Answer, Explanation, Pattern, explain};
use crate::record::Record;
use crate::session::filter::Filter;
use crate::session::state::Session;
use crate::time::MatchTime;

/// A condition, and what the point says to it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Line {
    /// How many conditions it is part of.
    depth: usize,
    answer: Answer,
    asks: String,
    found: String,
    /// The balls that it names, in words.
    balls: Vec<String>,
    /// The ball to go to, from 1: the first that it names, or that of the condition that it is part of.
    shot: Option<usize>,
}

/// The parts of an explanation, one after another.
fn lines(why: &Explanation, record: &Record, f: &PointFacts) -> Vec<Line> {
    let mut all = Vec::new();
    for part in &why.parts {
        tell(part, 0, None, &mut all, &|n| in_words(record, f, n));
    }
    all
}

fn tell(
    why: &Explanation,
    depth: usize,
    of: Option<usize>,
    all: &mut Vec<Line>,
    ball: &impl Fn(usize) -> String,
) {
    let shot = why.shots.first().copied().or(of);
    all.push(Line {
        depth,
        answer: why.answer,
        asks: why.asks.clone(),
        found: why.found.clone(),
        balls: why.shots.iter().map(|n| ball(*n)).collect(),
        shot,
    });
    for part in &why.parts {
        tell(part, depth + 1, shot, all, ball);
    }
}

fn in_words(record: &Record, f: &PointFacts, shot: usize) -> String {
    let at = struck_at(record, f, shot).map(|t| format!(" · {}", t.short())).unwrap_or_default();
    format!("{shot}. {}{at}", ball_of(record, f, shot - 1))
}

/// When a ball was struck.
fn struck_at(record: &Record, f: &PointFacts, shot: usize) -> Option<MatchTime> {
    record.points[f.number].shots.get(shot.checked_sub(1)?)?.at
}

/// The sign of an answer.
const fn sign(answer: Answer) -> &'static str {
    match answer {
        Answer::Yes => "✓",
        Answer::No => "✗",
        Answer::Unknown => "?",
    }
}

/// What is explained, and by which pattern.
struct Explained {
    verdict: String,
    lines: Vec<Line>,
}

/// The patterns to choose from: the filter's first.
fn choices(s: &Session) -> Vec<Pattern> {
    let first = match &s.filter {
        Filter::All => None,
        Filter::Tag(p) | Filter::Pattern(p) => Some((**p).clone()),
    };
    let others = s.patterns().iter().filter(|p| first.as_ref() != Some(*p)).cloned();
    first.clone().into_iter().chain(others).collect()
}

fn explained(s: &Session, chosen: usize) -> Option<Explained> {
    let (record, f) = (&*s.view.record, s.facts().get(s.current()?)?);
    let pattern = choices(s).into_iter().nth(chosen)?;
    let why = explain(&pattern, f);
    let lines = lines(&why, record, f);
    let said = match why.answer {
        Answer::Yes => "this point shows the pattern",
        Answer::No => "this point does not show the pattern",
        Answer::Unknown => "the record lacks the data to tell",
    };
    Some(Explained { verdict: format!("{}  {}: {said}", sign(why.answer), why.answer.word()), lines })
}

mod imp {
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use crate::gui::kit::picker::Picker;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/explain.ui")]
    pub struct ExplainPage {
        #[template_child]
        pub heading: TemplateChild<gtk::Label>,
        #[template_child]
        pub point: TemplateChild<gtk::Label>,
        #[template_child]
        pub choice: TemplateChild<Picker>,
        #[template_child]
        pub about: TemplateChild<gtk::Label>,
        #[template_child]
        pub verdict: TemplateChild<gtk::Label>,
        #[template_child]
        pub list: TemplateChild<gtk::ListBox>,
        #[template_child]
        pub trouble: TemplateChild<gtk::Label>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for ExplainPage {
        const NAME: &'static str = "ChangeoverExplainPage";
        type Type = super::ExplainPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            Picker::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for ExplainPage {}
    impl WidgetImpl for ExplainPage {}
    impl BoxImpl for ExplainPage {}
}

glib::wrapper! {
    /// The heading of the point, the choice of a pattern, the answer, the conditions.
    pub struct ExplainPage(ObjectSubclass<imp::ExplainPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl ExplainPage {
    fn new(s: &Session, f: &PointFacts) -> Self {
        let page: Self = glib::Object::new();
        let imp = page.imp();
        let record = &*s.view.record;
        imp.heading.set_label(&capital(&heading_of(record, f)));
        imp.point.set_label(&words_of(record, f));
        imp.choice.offer(choices(s).into_iter().map(|p| p.name).collect(), 0);
        imp.choice.say("Pattern");
        page.fill(s);
        page
    }

    /// The pattern that is chosen.
    fn chosen(&self) -> usize {
        self.imp().choice.selected() as usize
    }

    fn fill(&self, s: &Session) {
        let (imp, chosen) = (self.imp(), self.chosen());
        let Some(told) = explained(s, chosen) else { return };
        let about = choices(s).into_iter().nth(chosen).map(|p| p.about).unwrap_or_default();
        imp.about.set_label(&about);
        imp.about.set_visible(!about.is_empty());
        imp.verdict.set_label(&told.verdict);
        imp.trouble.set_visible(false);
        while let Some(row) = imp.list.row_at_index(0) {
            imp.list.remove(&row);
        }
        for line in &told.lines {
            imp.list.append(&row(line));
        }
        imp.list.select_row(imp.list.row_at_index(0).as_ref());
    }
}

/// A row: the sign, what is asked, what was found, the balls; the answer in words at its end.
fn row(line: &Line) -> gtk::ListBoxRow {
    let across = gtk::Box::new(gtk::Orientation::Horizontal, 10);
    across.set_margin_start(4 + 22 * line.depth as i32);
    for set in [gtk::Box::set_margin_end, gtk::Box::set_margin_top, gtk::Box::set_margin_bottom] {
        set(&across, 4);
    }
    let mark = title(sign(line.answer));
    mark.set_width_chars(2);
    mark.set_valign(gtk::Align::Start);
    mark.add_css_class("heading");
    across.append(&mark);
    let words = gtk::Box::new(gtk::Orientation::Vertical, 1);
    words.set_hexpand(true);
    let asks = title(&capital(&line.asks));
    asks.set_wrap(true);
    words.append(&asks);
    // A ball in words says its number too.
    let found = Some(&line.found).filter(|t| !t.is_empty() && line.balls.is_empty());
    for said in found.into_iter().chain(&line.balls) {
        words.append(&quiet(said));
    }
    across.append(&words);
    let answer = title(line.answer.word());
    answer.set_valign(gtk::Align::Start);
    answer.add_css_class("quiet");
    across.append(&answer);
    let row = gtk::ListBoxRow::builder().child(&across).activatable(line.shot.is_some()).build();
    let spoken = [&line.asks, &line.found].into_iter().chain(&line.balls).filter(|t| !t.is_empty());
    let spoken: Vec<&str> = spoken.map(String::as_str).collect();
    let spoken = format!("{}: {}", line.answer.word(), spoken.join("; "));
    row.update_property(&[gtk::accessible::Property::Label(&spoken)]);
    row
}

/// Explains the current point.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    match dialog(model, parent) {
        Some(dialog) => dialog.present(),
        None => model.say("There is no point to explain yet."),
    }
}

/// The dialog that explains the current point; none without one.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>) -> Option<gtk::Window> {
    let session = model.session().borrow();
    let s = session.as_ref()?;
    let f = s.facts().get(s.current()?)?;
    let page = ExplainPage::new(s, f);
    let dialog = kit::dialog::dialog(parent, "Explain the point", &page, (680, 620));
    page.imp().choice.connect_selected_notify(glib::clone!(
        #[weak]
        model,
        #[weak]
        page,
        move |_| {
            if let Some(s) = model.session().borrow().as_ref() {
                page.fill(s);
            }
        }
    ));
    go_to_rows(model, &dialog, &page);
    let first = page.imp().list.row_at_index(0);
    first.map_or_else(|| page.imp().choice.grab_focus(), |r| r.grab_focus());
    Some(dialog)
}

/// Return on a condition goes to its shot.
fn go_to_rows(model: &Model, dialog: &gtk::Window, page: &ExplainPage) {
    page.imp().list.connect_row_activated(glib::clone!(
        #[weak]
        model,
        #[weak]
        dialog,
        #[weak]
        page,
        move |_, row| {
            let found = {
                let session = model.session().borrow();
                let s = session.as_ref();
                s.map(|s| ball_of_row(s, page.chosen(), row.index() as usize))
            };
            match found {
                Some(Ok(at)) => {
                    dialog.close();
                    model.go_to(at);
                }
                Some(Err(why)) => {
                    page.imp().trouble.set_label(&why.to_string());
                    page.imp().trouble.set_visible(true);
                }
                None => {}
            }
        }
    ));
}

/// Why the shot of a condition cannot be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
enum NoShot {
    #[error("This condition is not about a shot.")]
    OfThePoint,
    #[error("Nobody logged when shot {0} was struck.")]
    NoTime(usize),
    #[error("There is no footage to show shot {0} in.")]
    NoFootage(usize),
}

/// When the shot of a row was struck, or why it cannot be shown.
fn ball_of_row(s: &Session, chosen: usize, row: usize) -> Result<MatchTime, NoShot> {
    let shot = explained(s, chosen).and_then(|e| e.lines.get(row)?.shot).ok_or(NoShot::OfThePoint)?;
    let f = s.current().and_then(|c| s.facts().get(c)).ok_or(NoShot::OfThePoint)?;
    let at = struck_at(&s.view.record, f, shot).ok_or(NoShot::NoTime(shot))?;
    if s.parts.is_empty() { Err(NoShot::NoFootage(shot)) } else { Ok(at) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::facts::tests::rally;
    use crate::pattern::parse;
    use crate::record::Finish;

    #[test]
    fn a_row_has_the_ball_of_the_condition_that_it_is_part_of() {
        let r = rally('A', Some(Finish::Winner), "wide/?/left fh/right bh");
        let text = "[[pattern]]\nname = \"x\"\nserve = 1\nshots = [{ number = 3, wing = \"forehand\", stroke = \"lob\" }]\n\
                    sequence = [{ wing = \"forehand\" }, { wing = \"backhand\" }]";
        let pattern = parse(text, "x").unwrap().patterns.remove(0);
        let f = &facts(&r)[0];
        let all = lines(&explain(&pattern, f), &r, f);
        let told: Vec<_> = all.iter().map(|l| (l.depth, l.answer, l.shot, l.balls.len())).collect();
        assert_eq!(
            told,
            [
                (0, Answer::Yes, None, 0),
                (0, Answer::No, Some(3), 1),
                (1, Answer::Yes, Some(3), 0),
                (1, Answer::No, Some(3), 0),
                (0, Answer::Yes, Some(3), 1),
                (1, Answer::Yes, Some(3), 1),
                (1, Answer::Yes, Some(4), 1),
            ],
            "{all:#?}"
        );
        assert!(all[1].balls[0].starts_with("3. Holt forehand"), "{:?}", all[1].balls);
    }
}
