//! What a lesson may be asked for on the Show page, as edits of the lesson.

use crate::lesson::{Chapter, Clip, Edit, Lesson, Pace, Part, Stretch};
use crate::record::EditError;
use crate::time::MatchTime;

/// How long a freeze lasts that nobody gave a time.
pub const FREEZE: MatchTime = MatchTime::from_secs(3);
/// The speed of a slow stretch, in per cent.
pub const SLOW: Pace = Pace(50);

/// One change of the part that is chosen. A moment is that of a frame, counted from its file's own start.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Act {
    /// It comes one earlier.
    Up,
    /// It comes one later.
    Down,
    /// It is taken off the lesson.
    Remove,
    /// The clip begins with this frame.
    From(MatchTime),
    /// The clip ends with the frame that is gone at this moment.
    To(MatchTime),
    /// Another clip begins with this frame.
    Split(MatchTime),
    /// The words under it; a chapter's title.
    Caption(String),
    /// Its notes, which only the coach sees.
    Notes(String),
    /// A chapter begins before it.
    Chapter(String),
    /// The picture stands still at this frame, or no longer.
    Freeze(MatchTime),
    /// From this frame on it is played slowly, or at full speed again.
    Slow(MatchTime),
}

/// Why a key does nothing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Useless {
    /// The lesson is empty, or nothing is chosen.
    #[error("choose a clip of the lesson first")]
    NothingChosen,
    /// A chapter, a still or a pair has no frames to cut at.
    #[error("only a single clip can be trimmed, split, frozen or slowed; choose a clip")]
    NoClip,
    /// A trim would leave nothing.
    #[error("a clip must end after it begins; step to another frame")]
    Nothing,
    /// Where the clip would be cut in two.
    #[error("a clip is split between its first and its last frame; step to a frame within it")]
    NoSplit,
    /// The frame is not within the clip.
    #[error("this frame is not in the clip; step to a frame within it")]
    Outside,
    /// The lesson itself refuses.
    #[error(transparent)]
    Edit(#[from] EditError),
}

/// The edit that does this to the part at `at`, and which part is chosen then. `None` if there is nothing to do.
///
/// # Errors
/// [`Useless`] says why not.
pub fn edit_of(
    lesson: &Lesson,
    at: Option<usize>,
    act: Act,
) -> Result<Option<(Edit, Option<usize>)>, Useless> {
    let last = lesson.parts.len().saturating_sub(1);
    let Some(at) = at.filter(|at| *at < lesson.parts.len()) else {
        return match act {
            Act::Chapter(title) => Ok(Some((chapter(0, title), Some(0)))),
            _ => Err(Useless::NothingChosen),
        };
    };
    let done = match act {
        Act::Up if at == 0 => return Ok(None),
        Act::Up => (Edit::MovePart { from: at, to: at - 1 }, at - 1),
        Act::Down if at == last => return Ok(None),
        Act::Down => (Edit::MovePart { from: at, to: at + 1 }, at + 1),
        Act::Remove => {
            return Ok(Some((Edit::RemovePart { at }, last.checked_sub(1).map(|most| at.min(most)))));
        }
        Act::Caption(words) => (lesson.caption(at, words)?, at),
        Act::Notes(words) => (lesson.notes(at, words)?, at),
        Act::Chapter(title) => (chapter(at, title), at),
        Act::From(moment) => (trimmed(lesson, at, |clip| (moment, clip.to))?, at),
        Act::To(moment) => (trimmed(lesson, at, |clip| (clip.from, moment.min(clip.footage.duration)))?, at),
        Act::Split(moment) => {
            let clip = single(lesson, at)?;
            if moment <= clip.from || moment >= clip.to {
                return Err(Useless::NoSplit);
            }
            (lesson.split(at, moment)?, at + 1)
        }
        Act::Freeze(moment) => (frozen(lesson, at, moment)?, at),
        Act::Slow(moment) => (slowed(lesson, at, moment)?, at),
    };
    let (edit, chosen) = done;
    Ok(changes(lesson, &edit).then_some((edit, Some(chosen))))
}

fn chapter(at: usize, title: String) -> Edit {
    Edit::InsertPart { at, part: Part::Chapter(Chapter { title, notes: String::new() }) }
}

/// Whether a part becomes another by it.
fn changes(lesson: &Lesson, edit: &Edit) -> bool {
    match edit {
        Edit::SetPart { at, part } => lesson.parts.get(*at) != Some(part),
        _ => true,
    }
}

/// The single clip at a place.
fn single(lesson: &Lesson, at: usize) -> Result<&Clip, Useless> {
    match lesson.parts.get(at) {
        Some(Part::Clip(clip)) => Ok(clip),
        _ => Err(Useless::NoClip),
    }
}

fn trimmed(
    lesson: &Lesson,
    at: usize,
    to: impl Fn(&Clip) -> (MatchTime, MatchTime),
) -> Result<Edit, Useless> {
    let (from, to) = to(single(lesson, at)?);
    if from >= to {
        return Err(Useless::Nothing);
    }
    Ok(lesson.trim(at, from, to)?)
}

fn frozen(lesson: &Lesson, at: usize, moment: MatchTime) -> Result<Edit, Useless> {
    let clip = single(lesson, at)?;
    if moment < clip.from || moment >= clip.to {
        return Err(Useless::Outside);
    }
    let there = clip.freezes.iter().any(|f| f.at == moment);
    Ok(if there { lesson.unfreeze(at, moment)? } else { lesson.freeze(at, moment, FREEZE)? })
}

/// From the frame to the clip's end slow; where it is slow already, at full speed.
fn slowed(lesson: &Lesson, at: usize, moment: MatchTime) -> Result<Edit, Useless> {
    let clip = single(lesson, at)?;
    if moment < clip.from || moment >= clip.to {
        return Err(Useless::Outside);
    }
    let slow = clip.stretches.iter().any(|s| s.from <= moment && moment < s.to && s.pace.0 < 100);
    let pace = if slow { Pace(100) } else { SLOW };
    Ok(lesson.pace(at, Stretch { from: moment, to: clip.to, pace })?)
}
