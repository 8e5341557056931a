//! What a lesson may hold: how much, and in which order. Far more than any lesson needs, so that a stranger's lesson cannot make
//! the program slow or large. Edits have the same limits, so that everything that is written can be read again.

use std::fmt::Display;

use super::model::{Clip, Condition, Footage, Freeze, Pair, Part, Picture, Stretch};
use crate::drawing::{Drawing, Shape};
use crate::record::{TooMuch, Unfit, Unsound};
use crate::time::MatchTime;

/// The most parts of a lesson.
pub const MOST_PARTS: usize = 2_000;
/// The most letters of a title, a name, a score or the words of a condition.
pub const MOST_TITLE: usize = 1_000;
/// The most letters of a caption.
pub const MOST_CAPTION: usize = 10_000;
/// The most letters of notes.
pub const MOST_NOTES: usize = 100_000;
/// The most conditions, stretches or freezes of a clip.
pub const MOST_OF_A_CLIP: usize = 200;
/// The most drawings of a clip, a freeze or a still.
pub const MOST_DRAWINGS: usize = 500;
/// The most places of a drawing.
pub const MOST_PLACES: usize = 10_000;
/// The most letters of a file's name: no system takes more bytes.
const MOST_FILE: usize = 4_096;
/// The longest that a picture stands.
pub const LONGEST: MatchTime = MatchTime::from_secs(3_600);
/// Speeds in per cent.
pub const PACES: std::ops::RangeInclusive<u16> = 10..=400;
/// How many times a clip may be shown in a row.
pub const TIMES: std::ops::RangeInclusive<u8> = 1..=20;

pub(super) type Sound = Result<(), Unsound>;

pub(super) fn count(place: &str, found: usize, what: &'static str, most: usize) -> Sound {
    if found <= most { Ok(()) } else { Err(TooMuch { place: place.into(), found, what, most }.into()) }
}

pub(super) fn letters(place: &str, text: &str, most: usize) -> Sound {
    // Bytes are counted first: letters are never more.
    if text.len() <= most { Ok(()) } else { count(place, text.chars().count(), "letters", most) }
}

pub(super) fn unfit(place: String, found: &dyn Display, allowed: &dyn Display) -> Sound {
    Err(Unfit { place, found: found.to_string(), allowed: allowed.to_string() }.into())
}

/// One part.
pub(super) fn part(at: &str, part: &Part) -> Sound {
    match part {
        Part::Chapter(chapter) => {
            letters(&format!("{at}.chapter.title"), &chapter.title, MOST_TITLE)?;
            letters(&format!("{at}.chapter.notes"), &chapter.notes, MOST_NOTES)
        }
        Part::Clip(c) => clip(&format!("{at}.clip"), c),
        Part::Pair(p) => pair(&format!("{at}.pair"), p),
        Part::Still(still) => {
            let at = format!("{at}.still");
            letters(&format!("{at}.caption"), &still.caption, MOST_CAPTION)?;
            letters(&format!("{at}.notes"), &still.notes, MOST_NOTES)?;
            lasting(format!("{at}.lasts"), still.lasts)?;
            match &still.shows {
                Picture::Court(all) => drawings(&format!("{at}.shows.court"), all),
                Picture::Words(words) => letters(&format!("{at}.shows.words"), words, MOST_CAPTION),
            }
        }
    }
}

fn pair(at: &str, pair: &Pair) -> Sound {
    letters(&format!("{at}.caption"), &pair.caption, MOST_CAPTION)?;
    letters(&format!("{at}.notes"), &pair.notes, MOST_NOTES)?;
    for (name, one, moment) in [("left", &pair.left, pair.left_at), ("right", &pair.right, pair.right_at)] {
        clip(&format!("{at}.{name}"), one)?;
        within(format!("{at}.{name}_at"), moment, one)?;
    }
    Ok(())
}

pub(super) fn clip(at: &str, clip: &Clip) -> Sound {
    footage(&format!("{at}.footage"), &clip.footage)?;
    span(at, clip.from, clip.to)?;
    if clip.to > clip.footage.duration {
        let end = format!("a moment within the footage, which lasts {}", clip.footage.duration);
        return unfit(format!("{at}.to"), &clip.to, &end);
    }
    letters(&format!("{at}.caption"), &clip.caption, MOST_CAPTION)?;
    letters(&format!("{at}.score"), &clip.score, MOST_TITLE)?;
    letters(&format!("{at}.notes"), &clip.notes, MOST_NOTES)?;
    letters(&format!("{at}.pattern"), &clip.pattern, MOST_TITLE)?;
    if let Some(of) = &clip.of {
        letters(&format!("{at}.of.record"), &of.record, MOST_FILE)?;
    }
    conditions(&format!("{at}.conditions"), &clip.conditions)?;
    stretches(&format!("{at}.stretches"), clip)?;
    freezes(&format!("{at}.freezes"), clip)?;
    drawings(&format!("{at}.drawings"), &clip.drawings)?;
    match clip.times {
        Some(n) if !TIMES.contains(&n) => {
            unfit(format!("{at}.times"), &n, &format_args!("{} to {}", TIMES.start(), TIMES.end()))
        }
        _ => Ok(()),
    }
}

pub(super) fn footage(at: &str, footage: &Footage) -> Sound {
    letters(&format!("{at}.file"), &footage.file, MOST_FILE)?;
    if footage.file.is_empty() {
        return unfit(format!("{at}.file"), &"nothing", &"a file name");
    }
    letters(&format!("{at}.fingerprint"), footage.fingerprint.as_deref().unwrap_or_default(), MOST_TITLE)
}

fn conditions(at: &str, all: &[Condition]) -> Sound {
    count(at, all.len(), "conditions", MOST_OF_A_CLIP)?;
    all.iter().enumerate().try_for_each(|(n, c)| letters(&format!("{at}[{n}].words"), &c.words, MOST_TITLE))
}

fn stretches(at: &str, clip: &Clip) -> Sound {
    count(at, clip.stretches.len(), "stretches", MOST_OF_A_CLIP)?;
    let mut free = clip.from;
    for (n, Stretch { from, to, pace }) in clip.stretches.iter().enumerate() {
        let at = format!("{at}[{n}]");
        span(&at, *from, *to)?;
        if *from < free || *to > clip.to {
            let found = format!("{from} to {to}");
            let allowed = match n {
                0 => format!("a stretch within the clip, from {} to {}", clip.from, clip.to),
                _ => format!("a stretch after the one before it, from {free} to {}", clip.to),
            };
            return unfit(at, &found, &allowed);
        }
        if !PACES.contains(&pace.0) {
            return unfit(
                format!("{at}.pace"),
                &pace.0,
                &format_args!("{} to {}", PACES.start(), PACES.end()),
            );
        }
        free = *to;
    }
    Ok(())
}

fn freezes(at: &str, clip: &Clip) -> Sound {
    count(at, clip.freezes.len(), "freezes", MOST_OF_A_CLIP)?;
    let mut last = None;
    for (n, freeze) in clip.freezes.iter().enumerate() {
        let Freeze { at: moment, lasts, drawings: drawn } = freeze;
        let place = format!("{at}[{n}]");
        within(format!("{place}.at"), *moment, clip)?;
        if let Some(last) = last.filter(|last| moment <= last) {
            return unfit(
                format!("{place}.at"),
                moment,
                &format_args!("a moment after {last}, the freeze before it"),
            );
        }
        lasting(format!("{place}.lasts"), *lasts)?;
        drawings(&format!("{place}.drawings"), drawn)?;
        last = Some(*moment);
    }
    Ok(())
}

/// A moment of which the clip shows the frame.
fn within(place: String, moment: MatchTime, clip: &Clip) -> Sound {
    if clip.from <= moment && moment < clip.to {
        return Ok(());
    }
    unfit(place, &moment, &format_args!("a moment from {} on and before {}", clip.from, clip.to))
}

fn lasting(place: String, lasts: MatchTime) -> Sound {
    if lasts > MatchTime::ZERO && lasts <= LONGEST {
        return Ok(());
    }
    unfit(place, &lasts, &format_args!("longer than nothing, at most {LONGEST}"))
}

fn span(at: &str, from: MatchTime, to: MatchTime) -> Sound {
    if from < to {
        Ok(())
    } else {
        unfit(format!("{at}.to"), &to, &format_args!("a moment after {from}, where it begins"))
    }
}

fn drawings(at: &str, all: &[Drawing]) -> Sound {
    count(at, all.len(), "drawings", MOST_DRAWINGS)?;
    all.iter().enumerate().try_for_each(|(n, drawing)| {
        let at = format!("{at}[{n}]");
        span(&at, drawing.from, drawing.to)?;
        shape(&format!("{at}.shape"), &drawing.shape)
    })
}

pub(super) fn shape(at: &str, shape: &Shape) -> Sound {
    match shape {
        Shape::Arrow(places) | Shape::Run(places) | Shape::Line(places) | Shape::Zone(places) => {
            count(at, places.len(), "places", MOST_PLACES)
        }
        Shape::Text { words, .. } => letters(&format!("{at}.text.words"), words, MOST_TITLE),
        Shape::Ring { .. } | Shape::Spotlight { .. } | Shape::Distance(..) => Ok(()),
    }
}

#[cfg(test)]
#[path = "sound_tests.rs"]
mod tests;
