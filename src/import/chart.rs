//! One match as it was charted: from cells to points, from points to a record.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::fmt;

use super::error::ImportError;
use super::head::Head;
use super::rows::Row;
use crate::exchange::{self, Column, WINNERS, bare, tidy};
use crate::near::{Allowed, Hint};
use crate::record::{
    Finish, Kind, MOST_NAME, MOST_PEOPLE, MOST_SHOTS, MOST_TAGS, MatchInfo, Outcome, Player, Point, Record,
    Shot, Source, Whose, printable,
};
use crate::tennis::Side;
use crate::tennis::pair::Server;
use crate::tennis::scorer::Scorer;
use crate::tennis::setup::Setup;
use crate::time::MatchTime;

/// One match as it was charted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Its name in the column `match`, if the file has one.
    pub name: Option<String>,
    /// The line of its first point.
    pub line: u64,
    /// Its points; the server of each, where the file says it.
    pub points: Vec<Point>,
    /// How it ended, if not by its score, where the file says so.
    pub outcome: Option<Outcome>,
}

impl Chart {
    /// A match that begins in this line.
    pub(super) const fn new(name: Option<String>, line: u64) -> Self {
        Self { name, line, points: Vec::new(), outcome: None }
    }

    /// The record of this match. Without `first_server`, the first server seen tells who began, else A did. A server
    /// who follows from the score is not noted, so that a point corrected later corrects the order too.
    pub fn record(self, about: MatchInfo, first_server: Option<Side>) -> Record {
        let mut about = about;
        let people = people(&self.points);
        if about.shows == Kind::Match && self.points.iter().any(|p| p.source.is_some()) {
            about.shows = Kind::Points;
        }
        about.outcome = self.outcome.or(about.outcome);
        about.first_server = first_server.or_else(|| began(&self.points, &about)).unwrap_or(Side::A);
        let mut record = Record { about, people, points: self.points.into(), ..Record::default() };
        if record.about.kind() == Kind::Points {
            // No score says who serves.
            return record;
        }
        let mut scorer = Scorer::new(record.about.setup());
        let mut known = true;
        for point in &mut record.points {
            if known && !scorer.finished() && point.served_by.is_some_and(|seen| follows(seen, &scorer)) {
                point.served_by = None;
            }
            scorer.play(&point.played());
            known &= point.winner.is_some() || point.replayed;
        }
        record
    }
}

/// Whom points of many matches name, in the order in which they are met.
fn people(points: &[Point]) -> Vec<Player> {
    let mut seen = HashSet::new();
    let named = points.iter().filter_map(|p| p.source.as_deref()).flat_map(|s| [&s.a, &s.b]);
    let new = named.filter(|name| !name.is_empty() && seen.insert(*name));
    new.take(MOST_PEOPLE).map(|name| Player::named(name)).collect()
}

/// Who served first, by the first server seen: the one of the two with whom that server follows.
fn began(points: &[Point], about: &MatchInfo) -> Option<Side> {
    let at = points.iter().position(|p| p.served_by.is_some())?;
    let before = &points[..at];
    let mut scorer = Scorer::new(Setup { first_server: Side::A, ..about.setup() });
    for point in before {
        scorer.play(&point.played());
    }
    let certain = before.iter().all(|p| p.winner.is_some() || p.replayed);
    let seen = points[at].served_by?.side();
    certain.then(|| if scorer.server() == seen { Side::A } else { Side::B })
}

/// Whether it follows from the score that this one serves.
fn follows(seen: Server, scorer: &Scorer) -> bool {
    seen.side() == scorer.server()
        && (seen.partner().is_none() || scorer.state().server_partner == seen.partner())
}

/// Who may be named in cells.
#[derive(Debug, Default)]
pub(super) struct Players {
    /// Whether a server may be one of a pair.
    pub pairs: bool,
    /// The names of A and B, in lower case, where they are known.
    pub names: [Option<String>; 2],
    /// The same as they are written.
    pub shown: [Option<String>; 2],
}

impl Players {
    /// The side that a cell names; nothing where both have that name.
    fn side(&self, cell: &str) -> Option<Side> {
        let word = cell.to_lowercase();
        let is = |n: usize| !word.is_empty() && self.names[n].as_ref() == Some(&word);
        match (is(0), is(1)) {
            (true, false) => Some(Side::A),
            (false, true) => Some(Side::B),
            _ => None,
        }
    }
}

/// The point of a row, and how its match ended, where the row says so; what is wrong with its cells is told.
pub(super) fn point(
    head: &Head,
    row: &Row,
    players: &Players,
    tell: &mut dyn FnMut(ImportError),
) -> (Point, Option<Outcome>) {
    let mut cells = Cells { head, row, players, tell };
    let outcome = cells.outcome();
    let (winner, replayed) = cells.winner();
    let (start, end) = cells.times();
    let finish = cells.finish();
    let point = Point {
        start,
        end,
        served_by: cells.server(),
        replayed,
        faults: cells.faults(finish),
        winner,
        finish,
        tags: cells.tags(),
        note: cells.text(Column::Note, |text| bare(text).to_owned()),
        ..Point::default()
    };
    (cells.seen(point), outcome)
}

/// The name of a match.
pub(super) fn name(cell: &[u8], line: u64) -> Result<String, ImportError> {
    let wrong = |found: String, allowed: &str| ImportError::Cell {
        line,
        column: Column::Match.name(),
        found,
        allowed: allowed.into(),
    };
    let text = std::str::from_utf8(cell).map_err(|_| wrong(NOT_UTF_8.into(), SAVE_AS))?.trim();
    if text.is_empty() {
        return Err(wrong("found nothing".into(), "each row names its match"));
    }
    let name = bare(text);
    if name.chars().count() > MOST_NAME {
        let found = format!("found {} letters", name.chars().count());
        return Err(wrong(found, &format!("allowed: {MOST_NAME} at most")));
    }
    Ok(name.to_owned())
}

const NOT_UTF_8: &str = "found bytes that are not UTF-8";
const SAVE_AS: &str = "save the file as CSV in UTF-8";

struct Cells<'r, 't> {
    head: &'r Head,
    row: &'r Row,
    players: &'t Players,
    tell: &'t mut dyn FnMut(ImportError),
}

impl<'r> Cells<'r, '_> {
    fn wrong(&mut self, column: Column, found: String, allowed: String) {
        (self.tell)(ImportError::Cell { line: self.row.line, column: column.name(), found, allowed });
    }

    /// Tells of a word that the column does not take.
    fn refuse(&mut self, column: Column, word: &str, allowed: &dyn fmt::Display) {
        let found = if word.is_empty() {
            "found nothing".into()
        } else {
            format!("found \"{}\"", printable(word, 40))
        };
        self.wrong(column, found, allowed.to_string());
    }

    /// A cell's text; empty when the file has no such column.
    fn raw(&mut self, column: Column) -> &'r str {
        let cell = self.head.cell(column, self.row).unwrap_or_default();
        std::str::from_utf8(cell).unwrap_or_else(|_| {
            self.wrong(column, NOT_UTF_8.into(), SAVE_AS.into());
            ""
        })
    }

    fn text<T: Default>(&mut self, column: Column, read: impl Fn(&str) -> T) -> T {
        let text = self.raw(column);
        if text.is_empty() { T::default() } else { read(text) }
    }

    fn tags(&mut self) -> BTreeSet<String> {
        let tags = self.text(Column::Tags, exchange::tags);
        let longest = tags.iter().map(|t| t.chars().count()).max().unwrap_or_default();
        if tags.len() > MOST_TAGS {
            let allowed = format!("allowed: {MOST_TAGS} at most");
            self.wrong(Column::Tags, format!("found {} tags", tags.len()), allowed);
        }
        if longest > MOST_NAME {
            let found = format!("found a tag of {longest} letters");
            self.wrong(Column::Tags, found, format!("allowed: {MOST_NAME} at most"));
        }
        tags
    }

    /// What else was seen of the point, and its shots.
    fn seen(&mut self, point: Point) -> Point {
        let miss = self.word(Column::Miss, |text| exchange::one(text, &exchange::MISSES));
        Point {
            miss: miss.map(|(miss, _)| miss),
            also_wide: miss.is_some_and(|(_, wide)| wide),
            unreturned: self
                .word(Column::Unreturned, |text| exchange::one(text, &exchange::UNRETURNED))
                .unwrap_or_default(),
            lets: self.lets(),
            penalty: self.side(Column::Penalty),
            time_violation: self.side(Column::TimeViolation),
            serves_out: self.shots(Column::Faults),
            shots: self.shots(Column::Shots),
            logged: self.word(Column::Logged, |text| exchange::one(text, &exchange::LOGGED)),
            ..self.partly(point)
        }
    }

    /// What the score does not tell, what was not seen, and which match it is of.
    fn partly(&mut self, point: Point) -> Point {
        let mut yes = |column| self.word(column, |text| exchange::one(text, &exchange::YES));
        let (joined_late, left_early) = (yes(Column::JoinedLate), yes(Column::LeftEarly));
        Point {
            side: self.word(Column::Court, |text| exchange::one(text, &exchange::COURTS)),
            server_end: self.word(Column::ServedFrom, |text| exchange::one(text, &exchange::ENDS)),
            joined_late: joined_late.unwrap_or_default(),
            left_early: left_early.unwrap_or_default(),
            first_by: self.side(Column::FirstBy),
            tags_by: self.tags_by(&point.tags),
            source: self.source(),
            ..point
        }
    }

    fn tags_by(&mut self, tags: &BTreeSet<String>) -> BTreeMap<String, Whose> {
        let text = self.raw(Column::TagOf);
        let whose = exchange::tag_of(text).unwrap_or_else(|(word, allowed)| {
            self.refuse(Column::TagOf, &word, &allowed);
            BTreeMap::new()
        });
        if let Some(tag) = whose.keys().find(|tag| !tags.contains(*tag)) {
            self.refuse(Column::TagOf, tag, &"allowed: tags of this point");
        }
        whose
    }

    fn source(&mut self) -> Option<Box<Source>> {
        let mut text = |column| {
            let text = bare(self.raw(column)).trim();
            let letters = text.chars().count();
            if letters > MOST_NAME {
                let allowed = format!("allowed: {MOST_NAME} at most");
                self.wrong(column, format!("found {letters} letters"), allowed);
            }
            text.to_owned()
        };
        let source = Source {
            a: text(Column::PlayerA),
            b: text(Column::PlayerB),
            score: text(Column::Score),
            event: text(Column::Event),
            line: text(Column::Source),
        };
        Some(Box::new(source)).filter(|s| **s != Source::default())
    }

    fn side(&mut self, column: Column) -> Option<Side> {
        let players = self.players;
        self.word(column, |text| exchange::side(text).or_else(|allowed| players.side(text).ok_or(allowed)))
    }

    fn lets(&mut self) -> Option<u8> {
        let text = tidy(self.raw(Column::Lets));
        let lets = text.parse().ok();
        if lets.is_none() && !text.is_empty() {
            self.refuse(
                Column::Lets,
                &text,
                &"allowed: a whole number from 0 to 255, how many serves were lets",
            );
        }
        lets
    }

    fn shots(&mut self, column: Column) -> Vec<Shot> {
        let shots = exchange::shots(&tidy(self.raw(column))).unwrap_or_else(|(word, allowed)| {
            self.refuse(column, &word, &allowed);
            Vec::new()
        });
        if shots.len() > MOST_SHOTS {
            let allowed = format!("allowed: {MOST_SHOTS} at most");
            self.wrong(column, format!("found {} shots", shots.len()), allowed);
        }
        shots
    }

    fn winner(&mut self) -> (Option<Side>, bool) {
        let bytes = self.head.cell(Column::Winner, self.row).unwrap_or_default();
        let text = String::from_utf8_lossy(bytes);
        let word = tidy(&text);
        let named = || self.players.side(&word).map(|side| (Some(side), false));
        exchange::winner(word.as_bytes()).or_else(named).unwrap_or_else(|| {
            let names = self.players.shown.iter().flatten().map(String::as_str);
            let hint = Hint::of(&word, names);
            self.refuse(Column::Winner, &word, &format!("{WINNERS}{hint}"));
            (None, false)
        })
    }

    fn times(&mut self) -> (Option<MatchTime>, Option<MatchTime>) {
        let (start, end) = (self.time(Column::Start), self.time(Column::End));
        match (start, end) {
            (Some(start), Some(end)) if end <= start => {
                let allowed = format!("it must be after the start, {start}");
                self.wrong(Column::End, format!("found {end}"), allowed);
            }
            (None, Some(end)) if tidy(self.raw(Column::Start)).is_empty() => {
                self.wrong(Column::End, format!("found {end}"), "a point with an end needs a start".into());
            }
            _ => {}
        }
        (start, end)
    }

    fn time(&mut self, column: Column) -> Option<MatchTime> {
        let text = tidy(self.raw(column));
        if text.is_empty() {
            return None;
        }
        // Where commas are decimal signs, spreadsheets write them into times.
        let time = text.replacen(',', ".", 1).parse().ok();
        if time.is_none() {
            self.refuse(column, &text, &"allowed: seconds or hours:minutes:seconds, as 723.5 or 0:12:03.5");
        }
        time
    }

    fn server(&mut self) -> Option<Server> {
        let players = self.players;
        self.word(Column::Server, |text| {
            let named = players.side(text).map(|side| Server::new(side, None));
            exchange::server(text, players.pairs).or_else(|allowed| named.ok_or(allowed))
        })
    }

    fn finish(&mut self) -> Option<Finish> {
        self.word(Column::Finish, exchange::finish)
    }

    fn outcome(&mut self) -> Option<Outcome> {
        self.word(Column::Outcome, exchange::outcome)
    }

    /// What the word in a cell means; a cell that is empty means nothing.
    fn word<T>(&mut self, column: Column, read: impl Fn(&str) -> Result<T, Allowed>) -> Option<T> {
        let text = tidy(self.raw(column));
        if text.is_empty() {
            return None;
        }
        read(&text).map_err(|allowed| self.refuse(column, &text, &allowed)).ok()
    }

    /// Faults, by the serve that started the rally or failed last.
    fn faults(&mut self, finish: Option<Finish>) -> Option<u8> {
        match (&*tidy(self.raw(Column::Serve)), finish) {
            ("", _) => None,
            ("1", Some(Finish::DoubleFault)) => {
                self.wrong(
                    Column::Serve,
                    "found 1 with a double fault".into(),
                    "allowed with it: 2, or nothing".into(),
                );
                None
            }
            ("1", _) => Some(0),
            ("2", Some(Finish::DoubleFault)) => Some(2),
            ("2", _) => Some(1),
            (word, _) => {
                self.refuse(Column::Serve, word, &"allowed: 1, 2");
                None
            }
        }
    }
}
