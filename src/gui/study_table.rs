//! The answer as the middle of the Study room shows it: sentences, tables whose every number is a button, cautions.

use std::rc::Rc;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::ribbon::scale;
use super::study::{Study, children};
use super::study_plot::{LEGEND, axis, plot};
use super::window::capital;
use crate::session::study::asking::Answered;
use crate::session::study::spot::{Part, Spot, heads, percent, points_word, words_of};
use crate::summary::study::{Counts, Findings, Row, Section, Strata};

/// How the room's columns share its width, in pixels of the usual text.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Fit {
    /// Answer and clips beside each other, with a column for the verdict.
    #[default]
    Wide,
    /// Beside each other; the verdict stands below the name.
    Narrow,
    /// The clips below the answer.
    Stacked,
}

impl Fit {
    const fn of(width: f64) -> Self {
        if width >= 940.0 {
            Self::Wide
        } else if width >= 770.0 {
            Self::Narrow
        } else {
            Self::Stacked
        }
    }
}

/// The width of the column of clips.
const SIDE: f64 = 290.0;
/// How a table of patterns is named.
const PATTERN: &str = "pattern";
/// The columns of the widest table.
const COLUMNS: usize = 9;
/// Groups beyond this are counted, not shown.
const GROUPS: usize = 12;

/// A label that wraps, with its text at the left.
pub fn text(words: &str, classes: &[&str]) -> gtk::Label {
    gtk::Label::builder()
        .label(words)
        .wrap(true)
        .wrap_mode(gtk::pango::WrapMode::WordChar)
        .xalign(0.0)
        .css_classes(classes.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>())
        .build()
}

/// A sheet with its heading.
fn card(heading: &str) -> gtk::Box {
    let card = gtk::Box::new(gtk::Orientation::Vertical, 4);
    card.add_css_class("card");
    if !heading.is_empty() {
        card.append(&text(heading, &["heading"]));
    }
    card
}

/// The rows as they are shown: patterns that no point shows stand below those that say something.
fn order(s: &Section) -> Vec<usize> {
    let mut order: Vec<usize> = (0..s.rows.len()).collect();
    if s.by == PATTERN {
        order.sort_by_key(|i| s.rows[*i].tally.points.is_empty());
    }
    order
}

impl Study {
    /// Shares the width anew, when it has changed enough.
    pub fn refit(&self) {
        let imp = self.imp();
        let width = imp.body_scroll.hadjustment().page_size() / scale();
        let fit = Fit::of(width);
        let side = (SIDE * scale()) as i32;
        imp.side.set_width_request(side);
        imp.picture.set_height_request((168.0 * scale().min(1.25)) as i32);
        if width < 1.0 || imp.fit.replace(fit) == fit {
            return;
        }
        let stacked = fit == Fit::Stacked;
        let (never, auto) = (gtk::PolicyType::Never, gtk::PolicyType::Automatic);
        let (outer, inner) = if stacked { (auto, never) } else { (never, auto) };
        imp.body_scroll.set_policy(never, outer);
        imp.answer_scroll.set_policy(auto, inner);
        imp.side_scroll.set_policy(never, inner);
        let down = if stacked { gtk::Orientation::Vertical } else { gtk::Orientation::Horizontal };
        imp.body.set_orientation(down);
        if let Some(answered) = self.answered() {
            imp.cells.borrow_mut().clear();
            self.show_tables(&answered);
            self.show_maps(&answered);
            self.show_again();
        }
    }

    /// A button that is a list of clips: the focus shows them, a click or Return plays them.
    pub fn cell(&self, spot: Spot, child: &impl IsA<gtk::Widget>, f: &Findings) -> gtk::Button {
        let button = gtk::Button::builder().child(child).css_classes(["cell"]).build();
        button.update_property(&[gtk::accessible::Property::Label(&spot.spoken(f))]);
        let room = self.downgrade();
        button.connect_has_focus_notify(move |b| {
            if let Some(room) = room.upgrade().filter(|_| b.has_focus()) {
                room.choose(spot);
            }
        });
        let room = self.downgrade();
        button.connect_clicked(move |_| {
            if let Some(room) = room.upgrade() {
                room.choose(spot);
                room.play();
            }
        });
        self.imp().cells.borrow_mut().push((spot, button.clone()));
        button
    }

    /// A button with a number: how many points are behind it.
    fn number(&self, spot: Spot, f: &Findings) -> gtk::Button {
        let n = spot.count(f);
        let label = gtk::Label::builder().label(n.to_string()).xalign(1.0).build();
        if n == 0 {
            label.add_css_class("quiet");
        }
        self.cell(spot, &label, f)
    }

    /// A button with words, and how many points are behind it.
    pub fn chip(&self, spot: Spot, before: &str, f: &Findings) -> gtk::Button {
        let words = if before.is_empty() {
            points_word(spot.count(f))
        } else {
            format!("{before}: {}", spot.count(f))
        };
        let words = text(&words, &["quiet"]);
        words.set_natural_wrap_mode(gtk::NaturalWrapMode::None);
        let chip = self.cell(spot, &words, f);
        chip.set_halign(gtk::Align::Start);
        chip
    }

    /// Puts buttons beside each other, as a line for the arrow keys.
    fn chips(&self, into: &gtk::Box, chips: Vec<gtk::Button>) {
        if chips.is_empty() {
            return;
        }
        let line = gtk::FlowBox::builder()
            .selection_mode(gtk::SelectionMode::None)
            .column_spacing(4)
            .max_children_per_line(12)
            .build();
        for chip in &chips {
            let child =
                gtk::FlowBoxChild::builder().child(chip).focusable(false).halign(gtk::Align::Start).build();
            line.append(&child);
        }
        into.append(&line);
        self.imp().lines.borrow_mut().push(chips);
    }

    /// Fills the middle.
    pub fn show_tables(&self, answered: &Rc<Answered>) {
        let (imp, f) = (self.imp(), &answered.findings);
        for old in children(&imp.answer) {
            imp.answer.remove(&old);
        }
        imp.lines.borrow_mut().clear();
        if answered.record.points.is_empty() && answered.pool.points() == 0 {
            let empty = card("No points yet: log some in the Log room");
            empty.append(&text("Every question here is answered from the points of the record.", &["quiet"]));
            return imp.answer.append(&empty);
        }
        imp.answer.append(&self.headline(f));
        let columns: Vec<_> =
            (0..COLUMNS).map(|_| gtk::SizeGroup::new(gtk::SizeGroupMode::Horizontal)).collect();
        for n in 0..f.sections.len() {
            imp.answer.append(&self.section(n, f, &columns));
        }
        self.cautions(f);
        let end = gtk::Box::new(gtk::Orientation::Vertical, 0);
        end.set_height_request(2);
        imp.answer.append(&end);
    }

    fn headline(&self, f: &Findings) -> gtk::Box {
        let top = card("");
        top.append(&text(&f.question, &["large"]));
        let mut sentences = f.headline.iter();
        if let Some(first) = sentences.next() {
            top.append(&text(&format!("{}.", capital(first)), &["heading", "sentence"]));
        }
        for sentence in sentences {
            top.append(&text(&format!("{}.", capital(sentence)), &[]));
        }
        let mut chips = vec![self.chip(Spot::All, &format!("{}; points", f.looked_at), f)];
        chips.push(self.chip(Spot::LeftOut, "not known whether they belong", f));
        chips.extend(f.mixes.iter().enumerate().map(|(n, m)| self.chip(Spot::Mix(n), &m.of, f)));
        self.chips(&top, chips);
        top
    }

    fn cautions(&self, f: &Findings) {
        if f.cautions.is_empty() {
            return;
        }
        let card = card("Keep in mind");
        for (n, caution) in f.cautions.iter().enumerate() {
            card.append(&text(&format!("{}. {}", n + 1, capital(&caution.to_string())), &[]));
        }
        self.imp().answer.append(&card);
    }

    /// One table, with what belongs to no row of it below. Columns of all tables are as wide as their groups say.
    fn section(&self, n: usize, f: &Findings, columns: &[gtk::SizeGroup]) -> gtk::Box {
        let s = &f.sections[n];
        let card = card("");
        let top = gtk::Box::new(gtk::Orientation::Horizontal, 12);
        let title = text(&heading(s), &["heading"]);
        title.set_hexpand(true);
        top.append(&title);
        top.append(&text(LEGEND, &["quiet", "small"]));
        card.append(&top);
        card.append(&self.table(n, f, columns));
        if let Some(order) = s.order() {
            card.append(&text(&format!("{}.", capital(&order)), &["quiet"]));
        }
        if s.by != PATTERN {
            let unknown = Spot::NoRow { section: n, known: false };
            let mut chips = vec![self.chip(unknown, &format!("no {}", s.lacking), f)];
            if !s.outside.is_empty() {
                chips.push(self.chip(Spot::NoRow { section: n, known: true }, &s.outside_means, f));
            }
            if !s.estimated.is_empty() {
                chips.push(self.chip(Spot::Estimated { section: n }, "estimated, not seen", f));
            }
            self.chips(&card, chips);
        }
        for (i, row) in s.rows.iter().enumerate() {
            for (x, strata) in row.strata.iter().enumerate().filter(|(_, x)| x.says.is_some()) {
                self.strata(&card, (n, i, x), strata, row, f);
            }
        }
        card
    }

    fn table(&self, n: usize, f: &Findings, columns: &[gtk::SizeGroup]) -> gtk::Grid {
        let s = &f.sections[n];
        let grid = gtk::Grid::builder().hexpand(true).build();
        if self.imp().fit.get() != Fit::Wide {
            grid.add_css_class("tight");
        }
        grid.update_property(&[gtk::accessible::Property::Label(&heading(s))]);
        let head = |text: &str| {
            let label = gtk::Label::builder().label(text).wrap(true).xalign(1.0).yalign(1.0);
            label.css_classes(["quiet", "head"]).build().upcast::<gtk::Widget>()
        };
        let [won, lost] = heads(s.counts);
        let told = Some("can’t tell").filter(|_| s.by == PATTERN);
        let mut titles: Vec<gtk::Widget> =
            ["", "points", won, lost, "unknown"].into_iter().chain(told).map(head).collect();
        titles.extend([axis().upcast(), head("rate")]);
        let place = |widget: &gtk::Widget, column: usize, row: usize| {
            grid.attach(widget, column as i32, row as i32, 1, 1);
            if let Some(group) = columns.get(column) {
                group.add_widget(widget);
            }
        };
        titles.iter().enumerate().for_each(|(column, title)| place(title, column, 0));
        for (line, i) in order(s).into_iter().enumerate() {
            let cells = self.row((n, i), &s.rows[i], f, s.by == PATTERN);
            cells.iter().enumerate().for_each(|(column, c)| place(c.upcast_ref(), column, line + 1));
            self.imp().lines.borrow_mut().push(cells);
        }
        grid
    }

    fn row(&self, (section, n): (usize, usize), row: &Row, f: &Findings, pattern: bool) -> Vec<gtk::Button> {
        let wide = self.imp().fit.get() == Fit::Wide;
        let spot = |part| Spot::Row { section, row: n, part };
        let names = gtk::Box::new(gtk::Orientation::Vertical, 0);
        let name = text(&capital(&row.name), &[]);
        name.set_max_width_chars(if wide { 22 } else { 15 });
        name.set_width_chars(9);
        names.append(&name);
        if !wide {
            let words = text(&words_of(row), &["quiet", "small"]);
            words.set_max_width_chars(15);
            words.set_visible(!words.label().is_empty());
            names.append(&words);
        }
        names.set_valign(gtk::Align::Center);
        let all = self.cell(spot(Part::Points), &names, f);
        all.set_hexpand(true);
        all.set_tooltip_text(Some(&row.about).filter(|a| !a.is_empty()).map(String::as_str));
        let mut cells = vec![all];
        cells.extend([Part::Points, Part::Won, Part::Lost, Part::Unknown].map(|p| self.number(spot(p), f)));
        if pattern {
            cells.push(self.number(Spot::CannotTell { section, row: n }, f));
        }
        let dot = self.cell(spot(Part::Decided), &plot(row.tally.rate, row.others.rate), f);
        dot.set_tooltip_text(Some(&interval_words(row)));
        cells.push(dot);
        let rate = row.tally.rate.map_or_else(|| "–".into(), |r| percent(r.rate));
        let rate =
            gtk::Label::builder().label(rate).xalign(1.0).width_chars(5).css_classes(["strong"]).build();
        cells.push(self.cell(spot(Part::Decided), &rate, f));
        if wide {
            let words = text(&words_of(row), &["quiet"]);
            words.set_max_width_chars(14);
            words.set_width_chars(11);
            cells.push(self.cell(spot(Part::Points), &words, f));
        }
        cells
    }

    /// A comparison that turns round within groups, group by group.
    fn strata(
        &self,
        card: &gtk::Box,
        (section, row, strata): (usize, usize, usize),
        x: &Strata,
        r: &Row,
        f: &Findings,
    ) {
        card.append(&text(
            &format!("{}.", capital(x.says.as_deref().unwrap_or_default())),
            &["heading", "apart"],
        ));
        let grid = gtk::Grid::builder().row_spacing(0).column_spacing(0).build();
        for (column, head) in [x.by.as_str(), r.name.as_str(), "the rest"].into_iter().enumerate() {
            grid.attach(&text(head, &["quiet", "head"]), column as i32, 0, 1, 1);
        }
        for (group, g) in x.groups.iter().take(GROUPS).enumerate() {
            let line = [false, true].map(|others| {
                let rate = if others { g.that.rate } else { g.this.rate };
                let words = rate
                    .map_or_else(|| "–".into(), |r| format!("{} of {} ({})", r.won, r.of, percent(r.rate)));
                self.cell(
                    Spot::Group { section, row, strata, group, others, part: Part::Decided },
                    &text(&words, &[]),
                    f,
                )
            });
            let name = text(&capital(&g.name), &["head"]);
            name.set_max_width_chars(24);
            grid.attach(&name, 0, group as i32 + 1, 1, 1);
            for (column, cell) in line.iter().enumerate() {
                grid.attach(cell, column as i32 + 1, group as i32 + 1, 1, 1);
            }
            self.imp().lines.borrow_mut().push(line.to_vec());
        }
        card.append(&grid);
        if x.groups.len() > GROUPS {
            let more = format!("and {} more; changeover study --json has all", x.groups.len() - GROUPS);
            card.append(&text(&more, &["quiet"]));
        }
        if !x.cannot_tell.is_empty() {
            let chip = self.chip(Spot::NoGroup { section, row, strata }, &format!("{} not known", x.by), f);
            self.chips(card, vec![chip]);
        }
    }
}

fn heading(s: &Section) -> String {
    let by = if s.by == PATTERN { "Patterns".into() } else { format!("By {}", s.by) };
    match s.counts {
        Counts::Winner => format!("{by}: ended with a winner"),
        Counts::UnforcedError => format!("{by}: ended with an unforced error"),
        Counts::Won => by,
    }
}

fn interval_words(row: &Row) -> String {
    let Some(rate) = row.tally.rate else { return "nothing decided".into() };
    let (low, high) = (100.0 * rate.interval.low, 100.0 * rate.interval.high);
    let others = row.others.rate.map_or_else(
        || "nothing to compare with".into(),
        |r| format!("the other points: {} of {}, {}", r.won, r.of, percent(r.rate)),
    );
    format!(
        "{} of {}, {}; 95 % interval {low:.0} to {high:.0}\n{others}",
        rate.won,
        rate.of,
        percent(rate.rate)
    )
}
