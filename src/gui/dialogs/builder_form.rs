//! The form of the builder: a pattern's name, its conditions, its shots, each a row of choices.

use std::rc::Rc;

use gtk::prelude::*;
use toml::Value;

use crate::gui::kit::fields::{attach, choice, chosen, grid, heading, quiet};
use crate::gui::kit::picker::Picker;
use crate::gui::kit::words::named;
use crate::pattern::{BallDraft, Draft, Place, Row, Scope, Striker, Values, Who};

/// How a change of the draft is made; with the flag the form is shown anew.
type Change = dyn Fn(&dyn Fn(&mut Draft), bool);

/// Changes the pattern in the form.
#[derive(Clone)]
pub struct Changes(Rc<Change>);

impl Changes {
    /// Changes made by `how`, which is told whether the form must be shown anew.
    pub fn new(how: impl Fn(&dyn Fn(&mut Draft), bool) + 'static) -> Self {
        Self(Rc::new(how))
    }

    fn make(&self, how: impl Fn(&mut Draft)) {
        (self.0)(&how, false);
    }

    /// Also shows the form anew, where rows came or went.
    fn make_and_show(&self, how: impl Fn(&mut Draft)) {
        (self.0)(&how, true);
    }
}

/// A list of rows in the form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Point,
    Ball(usize),
    Among,
}

impl Part {
    const fn scope(self) -> Scope {
        match self {
            Self::Ball(_) => Scope::Ball,
            Self::Point | Self::Among => Scope::Point,
        }
    }

    fn rows(self, draft: &mut Draft) -> Option<&mut Vec<Row>> {
        match self {
            Self::Point => Some(&mut draft.rows),
            Self::Among => Some(&mut draft.among),
            Self::Ball(n) => draft.balls.get_mut(n).map(|b| &mut b.rows),
        }
    }

    fn words(self) -> String {
        match self {
            Self::Point => "the point".into(),
            Self::Among => "the points to compare with".into(),
            Self::Ball(n) => format!("shot {}", n + 1),
        }
    }
}

/// The form of a pattern.
pub fn form(changes: &Changes, draft: &Draft) -> gtk::Box {
    let page = gtk::Box::new(gtk::Orientation::Vertical, 10);
    page.set_margin_start(3);
    page.set_margin_end(12);
    page.append(&head(changes, draft));
    page.append(&heading("The point"));
    rows(changes, &page, Part::Point, &draft.rows);
    page.append(&heading("Shots"));
    for (n, ball) in draft.balls.iter().enumerate() {
        page.append(&ball_card(changes, n, ball));
    }
    let add = button("Add a shot", "Add a shot");
    on_click(changes, &add, |draft| {
        let first = draft.balls.last().is_none_or(|b| !matches!(b.place, Place::Some | Place::Then { .. }));
        let place = if first { Place::Some } else { Place::Then { within: 1, striker: None } };
        draft.balls.push(BallDraft { place, rows: Vec::new() });
    });
    page.append(&add);
    page.append(&heading("Compare only with points where"));
    rows(changes, &page, Part::Among, &draft.among);
    page
}

/// A button as wide as its word; `spoken` tells it from others of that word.
fn button(text: &str, spoken: &str) -> gtk::Button {
    let button = gtk::Button::builder().label(text).halign(gtk::Align::Start).build();
    named(button.upcast_ref(), spoken);
    button
}

/// Changes the draft at a click, and shows the form anew.
fn on_click(changes: &Changes, button: &gtk::Button, how: impl Fn(&mut Draft) + 'static) {
    let changes = changes.clone();
    button.connect_clicked(move |_| changes.make_and_show(&how));
}

/// Name, what it means, whose win counts.
fn head(changes: &Changes, draft: &Draft) -> gtk::Grid {
    let grid = grid();
    for (row, (text, value, set)) in [
        ("Name", &draft.name, (|d, t| d.name = t) as fn(&mut Draft, String)),
        ("What it means", &draft.about, |d, t| d.about = t),
    ]
    .into_iter()
    .enumerate()
    {
        let entry = gtk::Entry::builder().text(value).build();
        let changes = changes.clone();
        entry.connect_changed(move |e| {
            changes.make(|d| set(d, e.text().into()));
        });
        attach(&grid, row as i32, text, &entry);
    }
    let won_by = choice(&Who::WINNERS, draft.won_by);
    let changes = changes.clone();
    won_by.connect_selected_notify(move |c| {
        changes.make(|d| d.won_by = chosen(c, &Who::WINNERS));
    });
    attach(&grid, 2, "Counts as won by", &won_by);
    grid
}

/// The rows of a part, and the button that adds one.
fn rows(changes: &Changes, page: &gtk::Box, part: Part, all: &[Row]) {
    // Keys stand below keys, values below values.
    let columns = [(); 2].map(|()| gtk::SizeGroup::new(gtk::SizeGroupMode::Horizontal));
    for (n, row) in all.iter().enumerate() {
        page.append(&row_line(changes, part, n, row, &columns));
    }
    let add = button("Add a condition", &format!("Add a condition of {}", part.words()));
    on_click(changes, &add, move |draft| {
        let key = part.scope().keys().into_iter().find(|k| match part {
            Part::Ball(_) => *k == "stroke",
            Part::Point | Part::Among => *k == "court",
        });
        if let (Some(rows), Some(key)) = (part.rows(draft), key) {
            rows.push(Row::first(part.scope(), key));
        }
    });
    page.append(&add);
}

const IS: [(&str, bool); 2] = [("is", false), ("is not", true)];

/// A condition: its key, is or is not, its value, and the button that takes it out.
fn row_line(changes: &Changes, part: Part, n: usize, row: &Row, columns: &[gtk::SizeGroup; 2]) -> gtk::Box {
    let line = gtk::Box::new(gtk::Orientation::Horizontal, 8);
    let spoken = |what: &str| format!("{what} of condition {} of {}", n + 1, part.words());
    let keys = part.scope().keys();
    let place = keys.iter().position(|k| *k == row.key).unwrap_or(0);
    let key = Picker::of(keys.iter().map(|k| k.replace('_', " ")).collect(), place as u32);
    key.say(&spoken("Key"));
    let keyed = changes.clone();
    key.connect_selected_notify(move |c| {
        let Some(key) = keys.get(c.selected() as usize).copied() else { return };
        keyed.make_and_show(|d| {
            with_row(d, part, n, |row| *row = Row { not: row.not, ..Row::first(part.scope(), key) });
        });
    });
    let is = choice(&IS, row.not);
    named(is.upcast_ref(), &spoken("Is or is not"));
    let turned = changes.clone();
    is.connect_selected_notify(move |c| {
        turned.make(|d| with_row(d, part, n, |row| row.not = chosen(c, &IS)));
    });
    let value = value_field(changes, part, n, row);
    named(&value, &spoken("Value"));
    value.set_hexpand(true);
    let out = button("×", &spoken("Delete"));
    on_click(changes, &out, move |draft| {
        if let Some(rows) = part.rows(draft).filter(|r| n < r.len()) {
            rows.remove(n);
        }
    });
    columns[0].add_widget(&key);
    columns[1].add_widget(&is);
    for field in [key.upcast_ref(), is.upcast_ref(), &value, out.upcast_ref::<gtk::Widget>()] {
        line.append(field);
    }
    line
}

fn with_row(draft: &mut Draft, part: Part, n: usize, how: impl FnOnce(&mut Row)) {
    if let Some(row) = part.rows(draft).and_then(|r| r.get_mut(n)) {
        how(row);
    }
}

/// A value as it is read on the screen.
fn shown(value: &Value) -> String {
    match value {
        Value::String(s) => s.clone(),
        Value::Boolean(yes) => if *yes { "yes" } else { "no" }.into(),
        other => other.to_string(),
    }
}

fn value_field(changes: &Changes, part: Part, n: usize, row: &Row) -> gtk::Widget {
    let now: Vec<String> = row.values.iter().map(shown).collect();
    let changes = changes.clone();
    let set = move |values: Vec<Value>| {
        changes.make(|d| with_row(d, part, n, |row| row.values.clone_from(&values)));
    };
    let kind = part.scope().values(row.key);
    let words = match &kind {
        Some(Values::Words(words)) => {
            words.iter().map(|w| ((*w).to_owned(), Value::String((*w).to_owned()))).collect()
        }
        Some(Values::YesNo) => [true, false].map(|x| (shown(&Value::Boolean(x)), Value::Boolean(x))).to_vec(),
        Some(Values::Number { .. }) => return typed(&now, Typed::WHOLE, set),
        Some(Values::Metres) => return typed(&now, Typed::METRES, set),
        Some(Values::Text | Values::Tables) | None => return typed(&now, Typed::WORDS, set),
    };
    several(words, &now, &row.values, set)
}

/// A choice of one word; where the file has several, they are one more choice.
fn several(
    words: Vec<(String, Value)>,
    now: &[String],
    values: &[Value],
    set: impl Fn(Vec<Value>) + 'static,
) -> gtk::Widget {
    let mut all: Vec<(String, Vec<Value>)> = words.into_iter().map(|(word, v)| (word, vec![v])).collect();
    if !all.iter().any(|(_, v)| *v == values) {
        all.push((now.join(" or "), values.to_vec()));
    }
    let names: Vec<&str> = all.iter().map(|(word, _)| word.as_str()).collect();
    let drop = gtk::DropDown::from_strings(&names);
    drop.set_selected(all.iter().position(|(_, v)| *v == values).unwrap_or(0) as u32);
    drop.connect_selected_notify(move |c| {
        if let Some((_, values)) = all.get(c.selected() as usize) {
            set(values.clone());
        }
    });
    drop.upcast()
}

/// How a value that is typed is read; without a value it is kept as a text, for the reader's message.
#[derive(Clone, Copy)]
struct Typed {
    hint: &'static str,
    read: fn(&str) -> Option<Value>,
}

impl Typed {
    const WHOLE: Self = Self { hint: "a whole number", read: |t| t.parse().ok().map(Value::Integer) };
    const METRES: Self = Self { hint: "metres, for example 1.5", read: |t| t.parse().ok().map(Value::Float) };
    const WORDS: Self = Self { hint: "one word, or several with commas between them", read: |_| None };
}

/// A text or a number, or several with commas between them.
fn typed(now: &[String], typed: Typed, set: impl Fn(Vec<Value>) + 'static) -> gtk::Widget {
    let entry = gtk::Entry::builder().text(now.join(", ")).build();
    entry.set_placeholder_text(Some(typed.hint));
    if now.iter().any(|t| t.contains(',')) {
        entry.set_sensitive(false);
        entry.set_tooltip_text(Some("The value has a comma. Change it in the text of the file."));
    }
    entry.connect_changed(move |e| {
        let text = e.text();
        let value = |t: &str| (typed.read)(t.trim()).unwrap_or_else(|| Value::String(t.trim().into()));
        // A comma at the end is one being typed.
        set(text.trim_end().trim_end_matches(',').split(',').map(value).collect());
    });
    entry.upcast()
}

const STRIKERS: [(&str, Option<Striker>); 3] = [
    ("by either player", None),
    ("by the same player", Some(Striker::Same)),
    ("by the other player", Some(Striker::Other)),
];

/// The kinds of place, each with its words.
const PLACES: [(&str, Place); 6] = [
    ("Any shot", Place::Some),
    ("Then a later shot", Place::Then { within: 1, striker: None }),
    ("Shot number", Place::Number(1)),
    ("The last shot", Place::Last),
    ("No shot", Place::No),
    ("The shot the pattern is about", Place::The),
];

fn same_kind(a: Place, b: Place) -> bool {
    std::mem::discriminant(&a) == std::mem::discriminant(&b)
}

/// A shot: which one, and its conditions.
fn ball_card(changes: &Changes, n: usize, ball: &BallDraft) -> gtk::Box {
    let card = gtk::Box::new(gtk::Orientation::Vertical, 8);
    card.add_css_class("card");
    let line = gtk::Box::new(gtk::Orientation::Horizontal, 8);
    let kinds = PLACES.map(|(word, p)| (word, if same_kind(p, ball.place) { ball.place } else { p }));
    let place = choice(&kinds, ball.place);
    named(place.upcast_ref(), &format!("Which shot is shot {}", n + 1));
    let placed = changes.clone();
    place.connect_selected_notify(move |c| {
        placed.make_and_show(|d| set_place(d, n, chosen(c, &kinds)));
    });
    line.append(&place);
    place_fields(changes, &line, n, ball.place);
    let out = button("×", &format!("Delete shot {}", n + 1));
    out.set_hexpand(true);
    out.set_halign(gtk::Align::End);
    on_click(changes, &out, move |draft| {
        if n < draft.balls.len() {
            draft.balls.remove(n);
        }
    });
    line.append(&out);
    card.append(&line);
    rows(changes, &card, Part::Ball(n), &ball.rows);
    card
}

fn set_place(draft: &mut Draft, n: usize, place: Place) {
    if let Some(ball) = draft.balls.get_mut(n) {
        ball.place = place;
    }
}

/// The number of a numbered ball; how many balls after the one before, and who strikes it.
fn place_fields(changes: &Changes, line: &gtk::Box, n: usize, place: Place) {
    match place {
        Place::Number(now) => {
            let number = spin(changes, now, move |d, to| set_place(d, n, Place::Number(to)));
            named(number.upcast_ref(), &format!("Number of shot {}", n + 1));
            line.append(&number);
        }
        Place::Then { within, striker } => {
            line.append(&quiet("within"));
            let change = move |d: &mut Draft, how: &dyn Fn(&mut usize, &mut Option<Striker>)| {
                if let Some(Place::Then { within, striker }) = d.balls.get_mut(n).map(|b| &mut b.place) {
                    how(within, striker);
                }
            };
            let field = spin(changes, within, move |d, to| change(d, &|within, _| *within = to));
            named(field.upcast_ref(), &format!("At most this many shots before shot {}", n + 1));
            line.append(&field);
            let who = choice(&STRIKERS, striker);
            named(who.upcast_ref(), &format!("Who strikes shot {}", n + 1));
            let changes = changes.clone();
            who.connect_selected_notify(move |c| {
                changes.make(|d| change(d, &|_, striker| *striker = chosen(c, &STRIKERS)));
            });
            line.append(&who);
        }
        Place::Some | Place::Last | Place::No | Place::The => {}
    }
}

fn spin(changes: &Changes, now: usize, set: impl Fn(&mut Draft, usize) + 'static) -> gtk::SpinButton {
    let field = gtk::SpinButton::with_range(1.0, 99.0, 1.0);
    field.set_value(now as f64);
    let changes = changes.clone();
    field.connect_value_changed(move |f| {
        changes.make(|d| set(d, f.value_as_int().max(1) as usize));
    });
    field
}
