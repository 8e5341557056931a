//! Tables whose every number is a button.

use gtk::prelude::*;

use super::outside::capital;
use super::parts::{Fit, Tables};
use super::plot::{LEGEND, axis, plot};
use super::strata::strata;
use super::widgets::{card, text};
use crate::counted::{Counted, Noun};
use crate::near;
use crate::session::study::spot::{Part, Spot, heads, words_of};
use crate::summary::study::{Counts, Row, Section};

/// How a table of patterns is named.
const PATTERN: &str = "pattern";
/// The columns of the widest table.
const COLUMNS: usize = 9;

/// Which columns a table has.
#[derive(Clone, Copy)]
struct Layout {
    /// Whether its rows are patterns.
    patterns: bool,
    /// Whether its intervals are drawn short.
    short: bool,
    /// Whether it has a column for points whose answer is not known.
    unknown: bool,
}

impl Tables<'_> {
    /// All tables, one below the other, with columns of the same width.
    pub fn all(&self) -> Vec<gtk::Box> {
        let columns: Vec<_> =
            (0..COLUMNS).map(|_| gtk::SizeGroup::new(gtk::SizeGroupMode::Horizontal)).collect();
        (0..self.f.sections.len()).map(|n| self.section(n, &columns)).collect()
    }

    /// The rows that are shown, in their order. Those that no point is in are left out, unless one is searched.
    fn shown(&self, s: &Section) -> Vec<usize> {
        let has = |r: &Row| near::has(&self.typed, &r.name);
        let is_seen = |r: &Row| !self.typed.trim().is_empty() || !r.tally.points.is_empty();
        let rows = s.rows.iter().enumerate();
        rows.filter(|(_, r)| has(r) && is_seen(r)).map(|(n, _)| n).collect()
    }

    /// One table, with the points in no row below it.
    fn section(&self, n: usize, columns: &[gtk::SizeGroup]) -> gtk::Box {
        let s = &self.f.sections[n];
        let card = card();
        let top = gtk::Box::new(gtk::Orientation::Horizontal, 12);
        let title = text(&heading(s), &["heading"]);
        title.set_hexpand(true);
        top.append(&title);
        let legend = text(LEGEND, &["quiet", "small"]);
        legend.set_valign(gtk::Align::End);
        top.append(&legend);
        card.append(&top);
        let shown = self.shown(s);
        card.append(&self.table(n, &shown, columns));
        if shown.is_empty() && !self.typed.trim().is_empty() {
            card.append(&text("No row has these words in its name.", &["quiet"]));
        }
        if let Some(order) = s.order() {
            card.append(&text(&format!("{}.", capital(&order)), &["quiet"]));
        }
        self.beside(n, s, &card);
        for (i, row) in s.rows.iter().enumerate() {
            for (x, _) in row.strata.iter().enumerate().filter(|(_, x)| x.says.is_some()) {
                strata(self, &card, (n, i, x));
            }
        }
        card
    }

    /// The points that are in no row, and why.
    fn beside(&self, n: usize, s: &Section, card: &gtk::Box) {
        let none: Vec<&str> =
            s.rows.iter().filter(|r| r.tally.points.is_empty()).map(|r| r.name.as_str()).collect();
        if !none.is_empty() && self.typed.trim().is_empty() {
            let words = match (s.by == PATTERN, none.len()) {
                (true, 1) => "1 more pattern does not occur in these points.".into(),
                (true, n) => format!("{n} more patterns do not occur in these points."),
                (false, _) => format!("No points: {}.", none.join(", ")),
            };
            card.append(&text(&words, &["quiet"]));
        }
        if s.by == PATTERN {
            return;
        }
        let of = |known| Spot::NoRow { section: n, known };
        let have = Counted(s.cannot_tell.len(), Noun::Point).has();
        let all = [
            (of(false), format!("{{}} {have} no {}", s.lacking)),
            (of(true), format!("{{}} {}", s.outside_means)),
            (Spot::Estimated { section: n }, "{} estimated, not seen".into()),
        ];
        let some = all.iter().filter(|(spot, _)| spot.count(self.f) > 0);
        self.chips(card, some.map(|(spot, words)| self.chip(*spot, words)).collect());
    }

    fn table(&self, n: usize, shown: &[usize], columns: &[gtk::SizeGroup]) -> gtk::Grid {
        let s = &self.f.sections[n];
        let grid = gtk::Grid::builder().hexpand(true).build();
        if self.fit != Fit::Wide {
            grid.add_css_class("tight");
        }
        grid.update_property(&[gtk::accessible::Property::Label(&heading(s))]);
        let head = |text: &str| {
            let label = gtk::Label::builder().label(text).wrap(true).xalign(1.0).yalign(1.0);
            label.css_classes(["quiet", "head"]).build().upcast::<gtk::Widget>()
        };
        let [won, lost] = heads(s.counts);
        let layout = self.layout(s);
        let told = Some("may show it").filter(|_| layout.patterns);
        let unknown = Some("unknown").filter(|_| layout.unknown);
        let mut titles: Vec<gtk::Widget> =
            ["", "points", won, lost].into_iter().chain(unknown).chain(told).map(head).collect();
        titles.extend([axis(layout.short).upcast(), head("rate")]);
        let place = |widget: &gtk::Widget, column: usize, row: usize| {
            grid.attach(widget, column as i32, row as i32, 1, 1);
            if let Some(group) = columns.get(column) {
                group.add_widget(widget);
            }
        };
        titles.iter().enumerate().for_each(|(column, title)| place(title, column, 0));
        for (line, i) in shown.iter().enumerate() {
            let cells = self.row((n, *i), &s.rows[*i], layout);
            cells.iter().enumerate().for_each(|(column, c)| place(c.upcast_ref(), column, line + 1));
            self.cells.line(cells);
        }
        grid
    }

    /// The columns of a table. Where the answer is narrow, a column of zeros in all of its tables is left out.
    fn layout(&self, s: &Section) -> Layout {
        let short = self.fit != Fit::Wide;
        let none = self.f.sections.iter().flat_map(|s| &s.rows).all(|r| r.tally.unknown.is_empty());
        Layout { patterns: s.by == PATTERN, short, unknown: !(short && none) }
    }

    fn row(&self, (section, n): (usize, usize), row: &Row, layout: Layout) -> Vec<gtk::Button> {
        let wide = self.fit == Fit::Wide;
        let spot = |part| Spot::Row { section, row: n, part };
        let all = self.cell(spot(Part::Points), &name(row, wide));
        all.set_hexpand(true);
        all.set_tooltip_text(Some(&row.about).filter(|a| !a.is_empty()).map(String::as_str));
        let mut cells = vec![all];
        let number = |spot| self.cells.number(self.study, spot, self.f);
        cells.extend([Part::Points, Part::Won, Part::Lost].map(|p| number(spot(p))));
        cells.extend(layout.unknown.then(|| number(spot(Part::Unknown))));
        if layout.patterns {
            cells.push(number(Spot::CannotTell { section, row: n }));
        }
        let dot = self.cell(spot(Part::Decided), &plot(row.tally.rate, row.others.rate, layout.short));
        dot.set_tooltip_text(Some(&interval_words(row)));
        cells.push(dot);
        // Of few points a percentage would say more than they do.
        let rate = row.tally.rate.map_or_else(
            || "–".into(),
            |r| if r.too_few { format!("{} of {}", r.won, r.of) } else { r.percent().to_string() },
        );
        let rate =
            gtk::Label::builder().label(rate).xalign(1.0).width_chars(5).css_classes(["strong"]).build();
        cells.push(self.cell(spot(Part::Decided), &rate));
        if wide {
            let words = text(&words_of(row), &["quiet"]);
            words.set_max_width_chars(14);
            words.set_width_chars(11);
            cells.push(self.cell(spot(Part::Points), &words));
        }
        cells
    }
}

/// The name of a row; below it the verdict, where that has no column.
fn name(row: &Row, wide: bool) -> gtk::Box {
    let names = gtk::Box::new(gtk::Orientation::Vertical, 0);
    let name = text(&capital(&row.title()), &[]);
    name.set_max_width_chars(if wide { 22 } else { 15 });
    name.set_width_chars(8);
    names.append(&name);
    if !wide {
        let words = text(&words_of(row), &["quiet", "small"]);
        words.set_max_width_chars(15);
        words.set_visible(!words.label().is_empty());
        names.append(&words);
    }
    names.set_valign(gtk::Align::Center);
    names
}

fn heading(s: &Section) -> String {
    let by = if s.by == PATTERN { "Patterns".into() } else { format!("By {}", s.by) };
    match s.counts {
        Counts::Winner => format!("{by}: ended with a winner"),
        Counts::UnforcedError => format!("{by}: ended with an unforced error"),
        Counts::Error => format!("{by}: ended with an error"),
        Counts::Won => by,
    }
}

fn interval_words(row: &Row) -> String {
    let Some(rate) = row.tally.rate else { return "No point here is decided".into() };
    let [low, high] = rate.range();
    let others = row.others.rate.map_or_else(
        || "There are no other points to compare with".into(),
        |r| format!("Other points: {} of {}, {}", r.won, r.of, r.percent()),
    );
    format!(
        "{} of {}, {}; 95 % interval {} to {high}\n{others}",
        rate.won,
        rate.of,
        rate.percent(),
        low.whole()
    )
}
