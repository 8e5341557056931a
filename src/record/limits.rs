//! How much a record may hold, far more than any match needs, so that a stranger's record cannot make the program slow or large.
//! Edits and imports have the same limits, so that everything that is written can be read again.

use thiserror::Error;

use super::court_marks::CourtMarks;
use super::model::{Footage, MatchInfo, Player, Point, Record};
use super::shot::Shot;
use crate::drawing::{Drawing, Shape};

/// The most points of a record: a season's practice in one file.
pub(crate) const MOST_POINTS: usize = 20_000;
/// The most files of footage.
pub(crate) const MOST_FOOTAGE: usize = 500;
/// The most people of points of many matches.
pub(crate) const MOST_PEOPLE: usize = 2_000;
/// The most pictures in which the court is marked: more cuts than anybody marks by hand.
pub(crate) const MOST_CALIBRATIONS: usize = 500;
/// The most marks of one picture, twice as many as there are landmarks: a landmark that is marked twice is told, not refused.
pub(crate) const MOST_MARKS: usize = 28;
/// The most positions of a shot: four players in several frames, and the ball.
pub(crate) const MOST_POSITIONS: usize = 100;
/// The most drawings.
pub(crate) const MOST_DRAWINGS: usize = 5_000;
/// The most places of one drawing: a free line.
pub(crate) const MOST_ANCHORS: usize = 5_000;
/// The most letters of a name, a tag or a plan.
pub(crate) const MOST_NAME: usize = 1_000;
/// The most letters of a file's name: the longest path that a system takes is of 4,096 bytes.
const MOST_PATH: usize = 4_096;
/// The most letters of a note.
pub(crate) const MOST_NOTE: usize = 1 << 20;
/// The most tags of a point.
pub(crate) const MOST_TAGS: usize = 500;
/// The most shots of a point.
pub(crate) const MOST_SHOTS: usize = 2_000;

/// More of something than any match has.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{place}: {found} {what}; at most {most} are allowed")]
pub struct TooMuch {
    /// Where, as `points[3].tags`.
    pub place: String,
    /// How much there is.
    pub found: usize,
    /// Of what.
    pub what: &'static str,
    /// The limit.
    pub most: usize,
}

type Held = Result<(), TooMuch>;

/// Holds a whole record to the limits.
pub(super) fn record(record: &Record) -> Held {
    count("points", record.points.len(), "points", MOST_POINTS)?;
    about(&record.about)?;
    footage(&record.footage)?;
    people(&record.people)?;
    calibrations(&record.calibrations)?;
    drawings(&record.drawings)?;
    record.points.iter().enumerate().try_for_each(|(n, p)| point(&format!("points[{n}]"), p))
}

fn count(place: &str, found: usize, what: &'static str, most: usize) -> Held {
    if found <= most { Ok(()) } else { Err(TooMuch { place: place.into(), found, what, most }) }
}

fn letters(place: impl Fn() -> String, text: &str, most: usize) -> Held {
    // Bytes are counted first: letters are never more.
    if text.len() <= most {
        return Ok(());
    }
    count(&place(), text.chars().count(), "letters", most)
}

pub(super) fn about(about: &MatchInfo) -> Held {
    let player =
        |which: &str, player: &Player| letters(|| format!("match.{which}.name"), &player.name, MOST_NAME);
    player("a", &about.a)?;
    player("b", &about.b)?;
    about.a_partner.as_ref().map_or(Ok(()), |p| player("a_partner", p))?;
    about.b_partner.as_ref().map_or(Ok(()), |p| player("b_partner", p))?;
    letters(|| "match.venue".into(), &about.venue, MOST_NAME)?;
    letters(|| "match.surface".into(), &about.surface, MOST_NAME)
}

pub(super) fn people(people: &[Player]) -> Held {
    count("people", people.len(), "people", MOST_PEOPLE)?;
    people
        .iter()
        .enumerate()
        .try_for_each(|(n, p)| letters(|| format!("people[{n}].name"), &p.name, MOST_NAME))
}

pub(super) fn footage(files: &[Footage]) -> Held {
    count("footage", files.len(), "files", MOST_FOOTAGE)?;
    files.iter().enumerate().try_for_each(|(n, f)| {
        letters(|| format!("footage[{n}].file"), &f.file, MOST_PATH)?;
        letters(
            || format!("footage[{n}].fingerprint"),
            f.fingerprint.as_deref().unwrap_or_default(),
            MOST_NAME,
        )
    })
}

pub(super) fn calibrations(all: &[CourtMarks]) -> Held {
    count("calibrations", all.len(), "marked pictures", MOST_CALIBRATIONS)?;
    all.iter().enumerate().try_for_each(|(n, c)| {
        letters(|| format!("calibrations[{n}].file"), &c.file, MOST_PATH)?;
        count(&format!("calibrations[{n}].marks"), c.marks.len(), "marks", MOST_MARKS)
    })
}

pub(super) fn drawings(all: &[Drawing]) -> Held {
    count("drawings", all.len(), "drawings", MOST_DRAWINGS)?;
    all.iter().enumerate().try_for_each(|(n, d)| match &d.shape {
        Shape::Arrow(line) | Shape::Run(line) | Shape::Line(line) | Shape::Zone(line) => {
            count(&format!("drawings[{n}].shape"), line.len(), "places", MOST_ANCHORS)
        }
        Shape::Text { words, .. } => letters(|| format!("drawings[{n}].shape.text.words"), words, MOST_NAME),
        Shape::Ring { .. } | Shape::Spotlight { .. } | Shape::Distance(..) => Ok(()),
    })
}

fn positions(place: &str, which: &str, shots: &[Shot]) -> Held {
    shots.iter().enumerate().try_for_each(|(n, shot)| {
        let found = shot.positions.len();
        if found <= MOST_POSITIONS {
            return Ok(());
        }
        count(&format!("{place}.{which}[{n}].positions"), found, "positions", MOST_POSITIONS)
    })
}

pub(super) fn point(place: &str, point: &Point) -> Held {
    count(&format!("{place}.tags"), point.tags.len(), "tags", MOST_TAGS)?;
    count(&format!("{place}.shots"), point.shots.len(), "shots", MOST_SHOTS)?;
    count(&format!("{place}.serves_out"), point.serves_out.len(), "serves", MOST_SHOTS)?;
    positions(place, "shots", &point.shots)?;
    positions(place, "serves_out", &point.serves_out)?;
    point.tags.iter().try_for_each(|tag| letters(|| format!("{place}.tags"), tag, MOST_NAME))?;
    count(&format!("{place}.tags_by"), point.tags_by.len(), "tags", MOST_TAGS)?;
    point.tags_by.keys().try_for_each(|tag| letters(|| format!("{place}.tags_by"), tag, MOST_NAME))?;
    let texts = point.source.iter().flat_map(|s| s.texts());
    texts
        .into_iter()
        .try_for_each(|(field, text)| letters(|| format!("{place}.{field}"), text, MOST_NAME))?;
    letters(|| format!("{place}.plan"), &point.plan, MOST_NAME)?;
    letters(|| format!("{place}.note"), &point.note, MOST_NOTE)
}
