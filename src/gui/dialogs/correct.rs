//! The dialog that corrects the score: what was seen of the current point, and how the match ended.

use gtk::glib;
use gtk::prelude::*;

use super::error::FieldsError;
use crate::facts::{PointFacts, heading_of};
use crate::gui::kit::confirm::{Does, confirm};
use crate::gui::kit::fields::{attach, choice, chosen, entry, grid, quiet, short, title};
use crate::gui::kit::pages::{After, ask_with_pages};
use crate::gui::kit::words::{capital, named};
use crate::gui::model::Model;
use crate::record::{Edit, MatchInfo, Outcome, Record, Shared};
use crate::session::carried::Carried;
use crate::session::correction::{EndForm, PointForm};
use crate::session::keeper::Ask;
use crate::session::score_now::NowForm;
use crate::tennis::pair::{Partner, Server};
use crate::tennis::typed::TypedMark;
use crate::tennis::{CourtSide, End, Side};

const FOLLOWS: &str = "Automatic";

/// The three entries of a score.
struct MarkFields {
    sets: gtk::Entry,
    games: gtk::Entry,
    points: gtk::Entry,
}

impl MarkFields {
    /// The entries, in rows of a grid from `row` on; `when` tells them apart for a screen reader.
    fn new(mark: &TypedMark, grid: &gtk::Grid, row: i32, when: &str) -> Self {
        let fields = Self { sets: entry(&mark.sets), games: entry(&mark.games), points: entry(&mark.points) };
        let rows = [
            ("Sets finished", &fields.sets, "6-4 6-7(5)"),
            ("Games", &fields.games, "2-1"),
            ("Points", &fields.points, "30-15, deuce, ad-40"),
        ];
        for (row, (text, field, example)) in (row..).zip(rows) {
            attach(grid, row, text, field);
            field.set_placeholder_text(Some(example));
            named(field.upcast_ref(), &format!("{text} {when}"));
        }
        fields
    }

    fn typed(&self) -> TypedMark {
        TypedMark {
            sets: self.sets.text().into(),
            games: self.games.text().into(),
            points: self.points.text().into(),
        }
    }
}

type Servers = Vec<(String, Option<Server>)>;

/// Who can have served: the players, in doubles each of the pairs.
fn servers(about: &MatchInfo) -> Servers {
    let mut all = vec![(FOLLOWS.to_owned(), None)];
    for side in [Side::A, Side::B] {
        let whole = Server::new(side, None);
        if about.partner(side).is_none() {
            all.push((short(&about.player(side).name), Some(whole)));
            continue;
        }
        let names = [Partner::First, Partner::Second].map(|p| (short(&about.name_of(side, Some(p))), p));
        let either = format!("{} or {}", names[0].0, names[1].0);
        all.extend(names.map(|(name, p)| (name, Some(Server::new(side, Some(p))))));
        all.push((either, Some(whole)));
    }
    all
}

const RECEIVERS: [(&str, Option<Partner>); 3] = [
    (FOLLOWS, None),
    ("First player of the pair", Some(Partner::First)),
    ("Second player of the pair", Some(Partner::Second)),
];
const COURTS: [(&str, Option<CourtSide>); 3] =
    [(FOLLOWS, None), court(CourtSide::Deuce), court(CourtSide::Ad)];

const fn court(side: CourtSide) -> (&'static str, Option<CourtSide>) {
    (side.title(), Some(side))
}

const ENDS: [(&str, Option<End>); 3] =
    [(FOLLOWS, None), ("Near end", Some(End::Near)), ("Far end", Some(End::Far))];

/// The page about the current point.
struct PointFields {
    at: usize,
    mark: MarkFields,
    server: (gtk::DropDown, Servers),
    receiver: gtk::DropDown,
    court: gtk::DropDown,
    a_end: gtk::DropDown,
    replayed: gtk::CheckButton,
}

impl PointFields {
    fn page(record: &Record, f: &PointFacts) -> (Self, gtk::Box) {
        let about = &record.about;
        let form = PointForm::of(&record.points[f.number], about.rules, f.state.server);
        let grid = grid();
        let servers = servers(about);
        let fields = Self {
            at: f.number,
            mark: MarkFields::new(&form.mark, &grid, 1, "before this point"),
            server: (choice(&servers, form.server), servers),
            receiver: choice(&RECEIVERS, form.receiver),
            court: choice(&COURTS, form.court),
            a_end: choice(&ENDS, form.a_end),
            replayed: gtk::CheckButton::builder()
                .label("Let, replay the point")
                .active(form.replayed)
                .build(),
        };
        let heading = title(&format!("Score before this point, {} first", short(&about.side_name(Side::A))));
        heading.add_css_class("heading");
        grid.attach(&heading, 0, 0, 2, 1);
        let why = "Fill this in if play was not recorded or the count is wrong. Empty: the points decide.";
        grid.attach(&quiet(why), 0, 4, 2, 1);
        attach(&grid, 5, "Who served", &fields.server.0);
        if about.a_partner.is_some() || about.b_partner.is_some() {
            attach(&grid, 6, "Who received", &fields.receiver);
        }
        attach(&grid, 7, "Deuce or ad court", &fields.court);
        attach(&grid, 8, &format!("{} at", short(&about.side_name(Side::A))), &fields.a_end);
        grid.attach(&fields.replayed, 1, 9, 1, 1);
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        let here = capital(&heading_of(record, f));
        let here = gtk::Label::builder().label(&here).wrap(true).xalign(0.0).max_width_chars(60).build();
        page.append(&here);
        page.append(&grid);
        (fields, page)
    }

    fn form(&self) -> PointForm {
        PointForm {
            mark: self.mark.typed(),
            server: chosen(&self.server.0, &self.server.1),
            receiver: chosen(&self.receiver, &RECEIVERS),
            court: chosen(&self.court, &COURTS),
            a_end: chosen(&self.a_end, &ENDS),
            replayed: self.replayed.is_active(),
        }
    }

    /// The edit, if anything changed.
    fn edit(&self, record: &Record, facts: &Shared<PointFacts>) -> Result<Option<Edit>, FieldsError> {
        let Some((old, f)) = record.points.get(self.at).zip(facts.get(self.at)) else { return Ok(None) };
        let form = self.form();
        let point = form.applied(old, record.about.rules, f.state.server)?;
        Ok((point != *old).then_some(Edit::SetPoint { at: self.at, point }))
    }
}

/// How the match can have ended.
fn outcomes(about: &MatchInfo) -> [(String, Option<Outcome>); 6] {
    let name = |side| short(&about.side_name(side));
    [
        ("By its score, or not finished".into(), None),
        (format!("{} retired", name(Side::A)), Some(Outcome::Retired(Side::A))),
        (format!("{} retired", name(Side::B)), Some(Outcome::Retired(Side::B))),
        (format!("{} defaulted", name(Side::A)), Some(Outcome::Defaulted(Side::A))),
        (format!("{} defaulted", name(Side::B)), Some(Outcome::Defaulted(Side::B))),
        ("Unfinished".into(), Some(Outcome::Unfinished)),
    ]
}

/// The page about the end of the match.
struct EndFields {
    outcome: (gtk::DropDown, [(String, Option<Outcome>); 6]),
    closing: MarkFields,
}

impl EndFields {
    fn page(record: &Record) -> (Self, gtk::Box) {
        let form = EndForm::of(record);
        let outcomes = outcomes(&record.about);
        let grid = grid();
        let fields = Self {
            outcome: (choice(&outcomes, form.outcome), outcomes),
            closing: MarkFields::new(&form.closing, &grid, 2, "at the end"),
        };
        attach(&grid, 0, "How it ended", &fields.outcome.0);
        let heading = title(&format!("Final score, {} first", short(&record.about.side_name(Side::A))));
        heading.add_css_class("heading");
        grid.attach(&heading, 0, 1, 2, 1);
        let why = "Fill this in if the last points were not recorded. Empty: the points decide.";
        grid.attach(&quiet(why), 0, 5, 2, 1);
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&grid);
        (fields, page)
    }

    fn edits(&self, record: &Record) -> Result<Vec<Edit>, FieldsError> {
        let form =
            EndForm { outcome: chosen(&self.outcome.0, &self.outcome.1), closing: self.closing.typed() };
        form.edits(record).map_err(FieldsError::FinalScore)
    }
}

/// The page before the first point.
struct NowFields {
    mark: MarkFields,
    server: (gtk::DropDown, Vec<(String, Server)>),
    a_end: gtk::DropDown,
}

const STANDS: [(&str, Option<End>); 3] =
    [("Near end", Some(End::Near)), ("Far end", Some(End::Far)), (FOLLOWS, None)];

impl NowFields {
    fn page(record: &Record) -> (Self, gtk::Box) {
        let (about, form) = (&record.about, NowForm::of(record));
        let grid = grid();
        let servers: Vec<_> = servers(about).into_iter().filter_map(|(n, s)| Some((n, s?))).collect();
        let fields = Self {
            mark: MarkFields::new(&form.mark, &grid, 1, "now"),
            server: (choice(&servers, form.server), servers),
            a_end: choice(&STANDS, form.a_end),
        };
        let first = short(&about.side_name(Side::A));
        let heading = title(&format!("Score now, {first} first"));
        heading.add_css_class("heading");
        grid.attach(&heading, 0, 0, 2, 1);
        grid.attach(&quiet("Leave this empty at the start of the match."), 0, 4, 2, 1);
        attach(&grid, 5, "Serves next", &fields.server.0);
        attach(&grid, 6, &format!("{first} stands at"), &fields.a_end);
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&grid);
        (fields, page)
    }

    fn edit(&self, record: &Record) -> Result<Option<Edit>, FieldsError> {
        let form = NowForm {
            mark: self.mark.typed(),
            server: chosen(&self.server.0, &self.server.1),
            a_end: chosen(&self.a_end, &STANDS),
        };
        Ok(form.edit(record)?)
    }
}

/// Asks what was seen of the current point, and how the match ended.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    if let Some(dialog) = dialog(model, parent) {
        dialog.present();
    }
}

/// The dialog, without a session none. Before the first point it asks for the score now.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>) -> Option<gtk::Window> {
    let session = model.session().borrow();
    let s = session.as_ref()?;
    let record = &*s.view.record;
    if record.points.is_empty() {
        let (fields, page) = NowFields::page(record);
        let pages = [("Score now", page)];
        return Some(asks(model, parent, &pages, move |record, _| Ok(fields.edit(record)?.into())));
    }
    let (end, end_page) = EndFields::page(record);
    let mut pages = vec![("End of the match", end_page)];
    let point = s.current().and_then(|c| s.facts().get(c)).map(|f| PointFields::page(record, f));
    let point = point.map(|(fields, page)| {
        pages.insert(0, ("This point", page));
        fields
    });
    Some(asks(model, parent, &pages, move |record, facts| {
        let mut wanted = Wanted { edits: end.edits(record)?, carried: None };
        match point.as_ref().map(|fields| fields.edit(record, facts)).transpose()?.flatten() {
            Some(Edit::SetPoint { at, point }) => {
                wanted.carried = Carried::of(record, at, &point).filter(Carried::asks);
                if wanted.carried.is_none() {
                    wanted.edits.push(Edit::SetPoint { at, point });
                }
            }
            other => wanted.edits.extend(other),
        }
        Ok(wanted)
    }))
}

/// What is to be done, and a correction that asks first how far it goes.
#[derive(Default)]
struct Wanted {
    edits: Vec<Edit>,
    carried: Option<Carried>,
}

impl From<Option<Edit>> for Wanted {
    fn from(edit: Option<Edit>) -> Self {
        Self { edits: edit.into_iter().collect(), carried: None }
    }
}

/// A dialog whose Save does what `wanted` reads from its fields, as one edit.
fn asks(
    model: &Model,
    parent: &impl IsA<gtk::Window>,
    pages: &[(&str, gtk::Box)],
    wanted: impl Fn(&Record, &Shared<PointFacts>) -> Result<Wanted, FieldsError> + 'static,
) -> gtk::Window {
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |dialog: &gtk::Window| {
            let (wanted, words) = {
                let session = model.session().borrow();
                let Some(s) = session.as_ref() else { return Ok(After::Close) };
                let about = &s.view.record.about;
                let wanted = wanted(&s.view.record, s.facts())?;
                let name = |server: Server| about.name_of(server.side(), server.partner());
                let words = wanted.carried.as_ref().map(|c| c.words(name));
                (wanted, words)
            };
            if let (Some(carried), Some(words)) = (&wanted.carried, words) {
                ask_how_far(&model, dialog, &wanted.edits, carried, &words);
                return Ok(After::Stay);
            }
            do_together(&model, wanted.edits);
            Ok::<_, FieldsError>(After::Close)
        }
    );
    ask_with_pages(parent, "Correct the score", pages, save)
}

/// Asks whether a server is corrected at the point alone or through the rest of its game.
fn ask_how_far(model: &Model, dialog: &gtk::Window, others: &[Edit], carried: &Carried, words: &str) {
    let does = |edit: Option<Edit>| -> Does {
        let all: Vec<Edit> = others.iter().cloned().chain(edit).collect();
        Box::new(glib::clone!(
            #[weak]
            model,
            #[weak]
            dialog,
            move || {
                do_together(&model, all.clone());
                dialog.close();
            }
        ))
    };
    let mut answers = vec![("Save", does(Some(carried.edit())))];
    if carried.changes.len() > 1 {
        answers = vec![
            ("This point only", does(carried.alone())),
            ("Rest of the game", does(Some(carried.edit()))),
        ];
    }
    confirm(dialog, "Who served", words, answers).present();
}

/// Does several edits as one, which one undo takes back.
fn do_together(model: &Model, mut edits: Vec<Edit>) {
    let edit = if edits.len() > 1 { Some(Edit::Together(edits)) } else { edits.pop() };
    if let Some(edit) = edit {
        model.ask(Ask::Edit(Box::new(edit)));
    }
}
