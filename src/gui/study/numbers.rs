//! The match in numbers: both players side by side, one topic below the other, every number a button.

use gtk::prelude::*;

use super::cells::Cells;
use super::model::StudyModel;
use super::outside::capital;
use super::parts::Fit;
use super::widgets::{card, text};
use crate::session::study::found::{Found, Items, NumberAt};
use crate::session::study::spot::Spot;
use crate::summary::numbers::{Numbers, Part, Row, Shown, Value};

/// The columns of a player: how many, of how many, the share; where there is room, how many are unknown.
const EACH: usize = 3;

/// What the numbers are shown with.
pub struct NumbersView<'t> {
    /// What the cells act on.
    pub study: &'t StudyModel,
    /// Where the cells go.
    pub cells: &'t Cells,
    /// What was found.
    pub f: &'t Found,
    /// The numbers of it.
    pub numbers: &'t Numbers,
    /// The whole match, or a set: by its place.
    pub part: usize,
    /// How much is shown: what is unknown has a column, or stands below its number.
    pub fit: Fit,
}

/// The names of the parts: the whole match and its sets; none where there is nothing to choose from.
pub fn part_names(numbers: &Numbers) -> Vec<String> {
    let names: Vec<String> =
        numbers.parts.iter().map(|p| p.set.map_or_else(|| "Match".into(), |n| format!("Set {n}"))).collect();
    if names.len() > 2 { names } else { Vec::new() }
}

impl NumbersView<'_> {
    /// A card with the match in sentences, and one for each topic.
    pub fn all(&self) -> Vec<gtk::Box> {
        let Some(part) = self.numbers.parts.get(self.part) else { return Vec::new() };
        let columns: Vec<_> =
            (0..=2 * self.each()).map(|_| gtk::SizeGroup::new(gtk::SizeGroupMode::Horizontal)).collect();
        let mut all = vec![self.headline(part)];
        all.extend(part.topics().iter().map(|shown| self.topic(part, shown, &columns)));
        all.extend(self.notes(part));
        all
    }

    /// The columns of a player.
    fn each(&self) -> usize {
        EACH + usize::from(self.fit == Fit::Wide)
    }

    fn headline(&self, part: &Part) -> gtk::Box {
        let top = card();
        for (n, sentence) in self.numbers.headline(part).iter().enumerate() {
            let classes: &[&str] = if n == 0 { &["heading", "sentence"] } else { &[] };
            top.append(&text(&format!("{}.", capital(sentence)), classes));
        }
        let all = self.cells.chip(self.study, Spot::All, "{} in all", self.f);
        top.append(&all);
        self.cells.line(vec![all]);
        top
    }

    /// What to know beside the numbers.
    fn notes(&self, part: &Part) -> Option<gtk::Box> {
        let notes = self.numbers.notes(part);
        let card = card();
        for note in &notes {
            card.append(&text(note, &["quiet"]));
        }
        (!notes.is_empty()).then_some(card)
    }

    fn topic(&self, part: &Part, shown: &Shown, columns: &[gtk::SizeGroup]) -> gtk::Box {
        let card = card();
        let title = capital(part.title(shown.topic));
        let grid = gtk::Grid::builder().hexpand(true).row_spacing(1).css_classes(["numbers"]).build();
        grid.update_property(&[gtk::accessible::Property::Label(&title)]);
        let title = text(&title, &["heading"]);
        title.set_valign(gtk::Align::End);
        title.set_hexpand(true);
        grid.attach(&title, 0, 0, 1, 1);
        columns[0].add_widget(&title);
        let has_unknown =
            shown.rows.iter().any(|n| part.rows[*n].values.iter().any(|v| !unknown(v).is_empty()));
        for column in 0..2 {
            let at = 1 + self.each() * column;
            let name = gtk::Label::builder().label(&self.numbers.players[column]).xalign(1.0).yalign(1.0);
            let name = name.ellipsize(gtk::pango::EllipsizeMode::End).css_classes(["strong", "head"]).build();
            name.set_tooltip_text(Some(&self.numbers.players[column]));
            grid.attach(&name, at as i32, 0, EACH as i32, 1);
            if self.fit == Fit::Wide {
                let head = text(if has_unknown { "unknown" } else { "" }, &["quiet", "small", "head"]);
                head.set_valign(gtk::Align::End);
                grid.attach(&head, (at + EACH) as i32, 0, 1, 1);
                columns[at + EACH].add_widget(&head);
            }
        }
        // A column that this topic leaves empty is as wide as in the other ones.
        for (column, group) in columns.iter().enumerate().skip(1) {
            let empty = gtk::Box::new(gtk::Orientation::Horizontal, 0);
            grid.attach(&empty, column as i32, 2 * shown.rows.len() as i32 + 1, 1, 1);
            group.add_widget(&empty);
        }
        for (line, n) in shown.rows.iter().enumerate() {
            self.row(&grid, 2 * line as i32 + 1, (*n, &part.rows[*n]), columns);
        }
        card.append(&grid);
        if !shown.none.is_empty() {
            let names: Vec<&str> = shown.none.iter().map(|n| part.rows[*n].name.as_str()).collect();
            card.append(&text(&format!("None seen: {}.", names.join("; ")), &["quiet"]));
        }
        card
    }

    fn row(&self, grid: &gtk::Grid, line: i32, (n, row): (usize, &Row), columns: &[gtk::SizeGroup]) {
        let name = text(&capital(&row.name), &["head"]);
        name.set_hexpand(true);
        name.set_width_chars(12);
        name.set_max_width_chars(22);
        grid.attach(&name, 0, line, 1, 1);
        columns[0].add_widget(&name);
        let mut cells = Vec::new();
        for (column, value) in row.values.iter().enumerate() {
            for (place, cell) in self.value(n, column, value) {
                let first = 1 + self.each() * column;
                if place < self.each() {
                    grid.attach(&cell, (first + place) as i32, line, 1, 1);
                    columns[first + place].add_widget(&cell);
                } else {
                    cell.set_halign(gtk::Align::End);
                    grid.attach(&cell, first as i32, line + 1, EACH as i32, 1);
                }
                cells.push(cell);
            }
        }
        self.cells.line(cells);
    }

    /// The cells of one player's number, each with its column.
    fn value(&self, row: usize, column: usize, value: &Value) -> Vec<(usize, gtk::Button)> {
        let spot = |of| Spot::Number(NumberAt { part: self.part, row, column, of });
        let cell = |of, words: &str, classes: &[&str]| {
            let label = gtk::Label::builder().label(words).xalign(1.0).css_classes(classes.to_vec()).build();
            self.cells.cell(self.study, spot(of), &label, self.f)
        };
        let mut cells = Vec::new();
        match value {
            Value::Share(s) if s.of == 0 || s.at_least && s.count == 0 => {}
            Value::Share(s) if s.at_least => {
                cells.push((0, cell(Items::Counted, &format!("≥ {}", s.count), &["strong"])));
            }
            Value::Share(s) => {
                cells.push((0, cell(Items::Counted, &s.count.to_string(), &["strong"])));
                cells.push((1, cell(Items::All, &format!("of {}", s.of), &["quiet"])));
                if let Some(rate) = s.rate.filter(|r| !r.too_few) {
                    let share = cell(Items::Counted, &rate.percent().to_string(), &[]);
                    let [low, high] = rate.range();
                    share.set_tooltip_text(Some(&format!("95 % interval {} to {high}", low.whole())));
                    cells.push((2, share));
                }
            }
            Value::Most(m) if m.value == 0 && !m.unknown.is_empty() => {}
            Value::Most(m) => {
                let more = if m.unknown.is_empty() { "" } else { "≥ " };
                cells.push((0, cell(Items::Counted, &format!("{more}{}", m.value), &["strong"])));
            }
        }
        let n = unknown(value).len();
        if n > 0 {
            let words = if self.fit == Fit::Wide { n.to_string() } else { format!("{n} unknown") };
            cells.push((EACH, cell(Items::Unknown, &words, &["quiet"])));
        }
        cells
    }
}

const fn unknown(value: &Value) -> &Vec<crate::summary::numbers::Item> {
    match value {
        Value::Share(s) => &s.unknown,
        Value::Most(m) => &m.unknown,
    }
}
