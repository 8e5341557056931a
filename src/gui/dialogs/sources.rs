//! Points of many matches: who plays in a run of points, and the list of people.

use std::cell::RefCell;
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;

use super::error::FieldsError;
use super::player_fields::{GENDER_ROW, PlayerFields, ROWS};
use crate::gui::kit::fields::{attach, entry, grid, quiet, title};
use crate::gui::kit::pages::{After, ask_with_pages};
use crate::gui::kit::words::named;
use crate::gui::model::Model;
use crate::logging::Action;
use crate::record::{Edit, Kind, Player, Record, Source};
use crate::session::keeper::Ask;
use crate::session::people::{Person, SourceForm, people_edit};

/// People that are listed with fields; more of them stay as they are.
const MOST_ROWS: usize = 200;

/// The page about a run of points.
#[derive(Clone)]
struct RunFields {
    first: gtk::SpinButton,
    last: gtk::SpinButton,
    texts: [gtk::Entry; 5],
}

impl RunFields {
    fn page(record: &Record, at: usize) -> (Self, gtk::Box) {
        let form = SourceForm::of(record, at);
        let number = |n: usize| {
            let spin = gtk::SpinButton::with_range(1.0, record.points.len().max(1) as f64, 1.0);
            spin.set_value(n as f64);
            spin
        };
        let Source { a, b, score, event, line } = &form.source;
        let fields = Self {
            first: number(form.run.0),
            last: number(form.run.1),
            texts: [a, b, score, event, line].map(|text| entry(text)),
        };
        fields.texts[2].set_placeholder_text(Some("of one point, the server’s first: 30–40"));
        fields.texts[3].set_placeholder_text(Some("club championship, semi-final"));
        let grid = grid();
        let names: Vec<&str> = record.people.iter().map(|p| p.name.as_str()).collect();
        attach(&grid, 0, "From point", &fields.first);
        attach(&grid, 1, "To point", &fields.last);
        for (row, (text, field)) in (2..).zip(
            ["Player A", "Player B", "Score before it", "Event", "Source"].into_iter().zip(&fields.texts),
        ) {
            attach(&grid, row, text, field);
            if row < 4 && !names.is_empty() {
                grid.attach(&known(field, &names, text), 2, row, 1, 1);
            }
        }
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&grid);
        page.append(&quiet(
            "A new name is added to the people. The score is kept of one point only. No score is counted across points.",
        ));
        (fields, page)
    }

    /// The edit; people who have a new name are meant by their old one too.
    fn edit(&self, record: &Record, people: &[Person]) -> Result<Option<Edit>, FieldsError> {
        let text = |n: usize| {
            let text = self.texts[n].text().to_string();
            let renamed = people.iter().find(|p| n < 2 && p.was.as_deref() == Some(text.trim()));
            renamed.map_or(text, |p| p.now.name.clone())
        };
        let source = Source { a: text(0), b: text(1), score: text(2), event: text(3), line: text(4) };
        let run = (self.first.value() as usize, self.last.value() as usize);
        Ok(SourceForm { source, run }.edit(record)?)
    }
}

/// A choice of the people who are known, which fills in an entry.
fn known(field: &gtk::Entry, names: &[&str], what: &str) -> gtk::DropDown {
    let first = ["Choose…"];
    let all: Vec<&str> = first.iter().chain(names.iter().take(MOST_ROWS)).copied().collect();
    let drop = gtk::DropDown::from_strings(&all);
    named(drop.upcast_ref(), &format!("{what}: people of this record"));
    let names: Vec<String> = names.iter().map(|n| (*n).to_owned()).collect();
    drop.connect_selected_notify(glib::clone!(
        #[weak]
        field,
        move |drop| {
            if let Some(name) = (drop.selected() as usize).checked_sub(1).and_then(|n| names.get(n)) {
                field.set_text(name);
            }
        }
    ));
    drop
}

/// Where a field of a person stands: its column, its line of two, and how many columns it takes. Side by side they would be wider than
/// a small window with large text.
fn cell(field: usize) -> (i32, i32, i32) {
    match field {
        0 => (0, 0, 3),
        n if n > GENDER_ROW => (n as i32 - 2, 1, 1),
        n => (n as i32 - 1, 1, 1),
    }
}

/// A row of the list of people: the name before, its fields, and whether it is to be deleted.
struct PersonRow {
    was: Option<String>,
    old: Option<Player>,
    fields: PlayerFields,
    widgets: Vec<gtk::Widget>,
}

/// The page of the people.
#[derive(Clone)]
struct PeopleFields {
    rows: Rc<RefCell<Vec<PersonRow>>>,
    /// Those for whom there are too many rows.
    more: Rc<Vec<Player>>,
}

impl PeopleFields {
    fn page(record: &Record) -> (Self, gtk::Box) {
        let grid = grid();
        for (n, head) in ROWS.into_iter().enumerate().filter(|(n, _)| *n != GENDER_ROW) {
            let (column, row, wide) = cell(n);
            grid.attach(&title(head), column, row, wide, 1);
        }
        let rows = Rc::new(RefCell::new(Vec::new()));
        let more = record.people.iter().skip(MOST_ROWS).cloned().collect();
        let fields = Self { rows, more: Rc::new(more) };
        for player in record.people.iter().take(MOST_ROWS) {
            fields.add(&grid, Some(player));
        }
        fields.add(&grid, None);
        let add = gtk::Button::builder().label("Add a person").halign(gtk::Align::Start).build();
        add.connect_clicked(glib::clone!(
            #[strong]
            fields,
            #[weak]
            grid,
            move |_| fields.add(&grid, None)
        ));
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&grid);
        page.append(&add);
        if !fields.more.is_empty() {
            page.append(&quiet(&format!("{} more people are kept as they are.", fields.more.len())));
        }
        page.append(&quiet("A pseudonym is enough. A new name here is the new name in every point."));
        (fields, page)
    }

    fn add(&self, grid: &gtk::Grid, player: Option<&Player>) {
        let fields = PlayerFields::of(player);
        let at = self.rows.borrow().len();
        let row = at as i32 + 1;
        let below = row * 2;
        let mut widgets: Vec<gtk::Widget> = Vec::new();
        let shown = fields.widgets().into_iter().enumerate().filter(|(n, _)| *n != GENDER_ROW);
        for (n, widget) in shown {
            named(widget, &format!("Person {row}: {}", ROWS[n]));
            let (column, line, wide) = cell(n);
            grid.attach(widget, column, below + line, wide, 1);
            widgets.push(widget.clone());
        }
        let delete = gtk::Button::builder().label("Remove").css_classes(["flat"]).build();
        named(delete.upcast_ref(), &format!("Person {row}: remove"));
        grid.attach(&delete, 3, below, 1, 1);
        widgets.push(delete.clone().upcast());
        let rows = Rc::downgrade(&self.rows);
        delete.connect_clicked(move |_| {
            let Some(rows) = rows.upgrade() else { return };
            for widget in rows.borrow().get(at).iter().flat_map(|r| &r.widgets) {
                widget.set_visible(false);
            }
        });
        let was = player.map(|p| p.name.clone());
        self.rows.borrow_mut().push(PersonRow { was, old: player.cloned(), fields, widgets });
    }

    fn read(&self) -> Result<Vec<Person>, FieldsError> {
        let rows = self.rows.borrow();
        let shown = |r: &&PersonRow| r.widgets.first().is_some_and(gtk::Widget::get_visible);
        let kept = rows.iter().filter(shown).filter(|r| r.was.is_some() || !r.fields.is_empty());
        let read =
            kept.map(|r| Ok(Person { was: r.was.clone(), now: r.fields.read(r.old.as_ref(), false)? }));
        let more = self.more.iter().map(|p| Ok(Person { was: Some(p.name.clone()), now: p.clone() }));
        read.chain(more).collect()
    }
}

/// Asks who plays.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    if let Some(dialog) = dialog(model, parent) {
        return dialog.present();
    }
    let cap = model.cap(Action::WhatFootage);
    model.say(&format!(
        "All points of this record are of one match. Press {cap} if the footage shows points of many matches."
    ));
}

/// The dialog; none where all points are of one match.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>) -> Option<gtk::Window> {
    let session = model.session().borrow();
    let s = session.as_ref().filter(|s| s.view.record.about.kind() == Kind::Points)?;
    let record = &*s.view.record;
    let (people, people_page) = PeopleFields::page(record);
    let mut pages = vec![("People", people_page)];
    let run = s.stands_after().map(|at| RunFields::page(record, at));
    let run = run.map(|(fields, page)| {
        pages.insert(0, ("Who plays", page));
        fields
    });
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |_: &gtk::Window| {
            let edit = {
                let session = model.session().borrow();
                let Some(s) = session.as_ref() else { return Ok(After::Close) };
                edit(&s.view.record, &people.read()?, run.as_ref())?
            };
            if let Some(edit) = edit {
                model.ask(Ask::Edit(Box::new(edit)));
            }
            Ok::<_, FieldsError>(After::Close)
        }
    );
    Some(ask_with_pages(parent, "Players of points of many matches", &pages, save))
}

/// What both pages say, as one edit: first the people, then the run, which may name new ones.
fn edit(record: &Record, people: &[Person], run: Option<&RunFields>) -> Result<Option<Edit>, FieldsError> {
    let mut after = record.clone();
    let mut edits: Vec<Edit> = people_edit(record, people)?.into_iter().collect();
    for edit in &edits {
        // What cannot be applied is told by the keeper.
        let _ = after.apply(edit.clone());
    }
    if let Some(run) = run {
        edits.extend(run.edit(&after, people)?);
    }
    Ok(if edits.len() > 1 { Some(Edit::Together(edits)) } else { edits.pop() })
}
