//! What the library knows of a record: enough to list it, little enough to keep.

use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::stamp::Stamp;
use crate::counted::{Counted, Noun};
use crate::export::score::{line, so_far};
use crate::record::{Footage, Kind, Player, Record, is_star, load_whole, printable};
use crate::tennis::Side;

/// A record in the library.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its file.
    pub path: PathBuf,
    /// How its file was when it was read.
    pub stamp: Stamp,
    /// What is in it.
    pub content: Content,
}

/// What is in a record, as far as it can be read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Content {
    /// It was read.
    Known(Box<Known>),
    /// It cannot be read: why, in words.
    Broken(String),
}

impl Content {
    /// What is in it; nothing if it cannot be read.
    pub fn known(&self) -> Option<&Known> {
        match self {
            Self::Known(known) => Some(known),
            Self::Broken(_) => None,
        }
    }

    /// Why it cannot be read.
    pub fn broken(&self) -> Option<&str> {
        match self {
            Self::Known(_) => None,
            Self::Broken(why) => Some(why),
        }
    }
}

/// What is in a record, in short.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Known {
    /// Who plays: `Holt – Okafor`; of many matches their players.
    pub players: String,
    /// The day of the match.
    pub date: Option<NaiveDate>,
    /// The surface, in the user's words.
    pub surface: String,
    /// The venue.
    pub venue: String,
    /// What the footage shows.
    pub shows: Kind,
    /// The score, in words.
    pub score: String,
    /// How many points it has.
    pub points: usize,
    /// Points with a winner.
    pub won: usize,
    /// Points with shots.
    pub with_shots: usize,
    /// Points with tags.
    pub tagged: usize,
    /// Points with a note.
    pub noted: usize,
    /// Its footage.
    pub footage: Vec<Footage>,
    /// Everybody in it, with what they agreed to.
    pub people: Vec<Player>,
}

/// Longer texts are cut.
const LETTERS: usize = 120;

/// Of points of many matches, so many players are named.
const NAMED: usize = 4;

impl Entry {
    /// Reads the record at this path; `None` if it is not there.
    pub fn read(path: &Path) -> Option<Self> {
        let stamp = Stamp::of(path)?;
        let content = match load_whole(path) {
            Ok((record, _)) => Content::Known(Box::new(Known::of(&record))),
            Err(e) => Content::Broken(printable(&e.to_string(), 600)),
        };
        Some(Self { path: path.to_owned(), stamp, content })
    }
}

impl Known {
    /// What is in this record.
    pub fn of(record: &Record) -> Self {
        let about = &record.about;
        let with = |is: fn(&crate::record::Point) -> bool| record.points.iter().filter(|p| is(p)).count();
        let score = match about.kind() {
            Kind::Points | Kind::Practice => String::new(),
            Kind::Match | Kind::Part => score(record),
        };
        let on_court = about.people().map(|(_, p)| p.clone());
        let people: Vec<Player> = match about.kind() {
            Kind::Points => record.people.clone(),
            _ => on_court.collect(),
        };
        Self {
            players: players(record, &people),
            date: about.date,
            surface: printable(&about.surface, LETTERS),
            venue: printable(&about.venue, LETTERS),
            shows: about.kind(),
            score: printable(&score, LETTERS),
            points: record.points.len(),
            won: with(|p| p.winner.is_some()),
            with_shots: with(|p| !p.shots.is_empty()),
            tagged: with(|p| p.tags.iter().any(|t| !is_star(t))),
            noted: with(|p| !p.note.is_empty()),
            footage: record.footage.clone(),
            people,
        }
    }

    /// What is logged, in words: `143 points, 120 with shots, 8 with tags`.
    pub fn logged(&self) -> String {
        if self.points == 0 {
            return "nothing logged yet".into();
        }
        let mut parts = vec![Counted(self.points, Noun::Point).to_string()];
        let no_winner = self.points - self.won.min(self.points);
        let of = [(self.with_shots, "with shots"), (self.tagged, "with tags"), (self.noted, "with notes")];
        parts.extend(of.into_iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")));
        if no_winner > 0 {
            parts.push(format!("{no_winner} without a winner"));
        }
        parts.join(", ")
    }

    /// The day and the surface, as far as they are known: `2026-05-09 · clay · Riverside`.
    pub fn place(&self) -> String {
        let day = self.date.map(|d| d.to_string());
        let words = [&self.surface, &self.venue].into_iter().filter(|w| !w.trim().is_empty()).cloned();
        day.into_iter().chain(words).collect::<Vec<_>>().join(" · ")
    }
}

/// The score without the names, which stand before it: `Okafor won 6–4, 7–5`, `6–4, 2–1`.
fn score(record: &Record) -> String {
    if record.is_unscored() {
        return "score not known".into();
    }
    let line = line("", record, false);
    let score = so_far(&line);
    match line.winner {
        Some(side) => format!("{} won {score}", record.about.side_name(side)).trim_end().to_owned(),
        None => score,
    }
}

fn players(record: &Record, people: &[Player]) -> String {
    if record.about.kind() != Kind::Points {
        let side = |s| printable(&record.about.side_name(s), LETTERS);
        return format!("{} – {}", side(Side::A), side(Side::B));
    }
    let names: Vec<String> = people.iter().take(NAMED).map(|p| printable(&p.name, LETTERS)).collect();
    match people.len() {
        0 => "Points of many matches".into(),
        n if n > NAMED => format!("{} and {} more", names.join(", "), n - NAMED),
        _ => names.join(", "),
    }
}
