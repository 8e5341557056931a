//! What the lesson's talk may be asked for, as edits of the lesson.

use crate::drawing::{Colour, Shape};
use crate::lesson::talk::Talk;
use crate::lesson::{Edit, Lesson};
use crate::time::MatchTime;
use crate::voice::Kept;

/// A change of the talk. Moments are those of the talk.
#[derive(Debug, Clone, PartialEq)]
pub enum TalkAct {
    /// A take was recorded.
    Keep(Box<Kept>),
    /// What lies between two moments is cut out.
    Cut(MatchTime, MatchTime),
    /// What comes after a moment is cut off.
    Until(MatchTime),
    /// Something is drawn at a moment.
    Draw(MatchTime, Shape, Colour),
    /// What is seen drawn at a moment is taken away.
    Wipe(MatchTime),
    /// Whether the voice is made evenly loud, and noise quieter.
    Filters {
        /// Evenly loud.
        gain: bool,
        /// Less noise.
        gate: bool,
    },
    /// The talk is deleted; its voice files stay in their folder.
    Delete,
}

/// Why nothing comes of it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoTalk {
    /// There is none.
    #[error("the lesson has no talk; record one first")]
    None,
    /// A cut of nothing, or of everything.
    #[error(
        "mark the start of the cut, go to a later moment, and mark its end there; some of the talk must be left"
    )]
    NoCut,
    /// Nothing is drawn at the moment.
    #[error("nothing that was drawn in the talk is seen at this moment")]
    NothingDrawn,
}

/// The edit that does this; `None` if there is nothing to do.
///
/// # Errors
/// [`NoTalk`] says why not.
pub fn talk_edit(lesson: &Lesson, act: TalkAct) -> Result<Option<Edit>, NoTalk> {
    if let TalkAct::Keep(kept) = act {
        return Ok(Some(set(kept_in(lesson, *kept))));
    }
    let talk = lesson.talk.as_deref().ok_or(NoTalk::None)?;
    let after = match act {
        TalkAct::Cut(from, to) => talk.cut(from, to).ok_or(NoTalk::NoCut)?,
        TalkAct::Until(t) if t >= talk.length() => return Ok(None),
        TalkAct::Until(t) => talk.until(t).ok_or(NoTalk::NoCut)?,
        TalkAct::Draw(t, shape, colour) => talk.drawn(t, shape, colour).ok_or(NoTalk::NoCut)?,
        TalkAct::Wipe(t) => talk.wiped(t).ok_or(NoTalk::NothingDrawn)?,
        TalkAct::Filters { gain, gate } => Talk { gain, gate, ..talk.clone() },
        TalkAct::Delete | TalkAct::Keep(_) => return Ok(Some(Edit::SetTalk { talk: None })),
    };
    Ok((after != *talk).then(|| set(after)))
}

fn set(talk: Talk) -> Edit {
    Edit::SetTalk { talk: Some(Box::new(talk)) }
}

/// The talk with a take that was recorded: after a moment of it, or in its stead.
fn kept_in(lesson: &Lesson, kept: Kept) -> Talk {
    let old = lesson.talk.as_deref();
    let new = Talk { gain: true, gate: true, ..Talk::default() };
    let before = match (old, kept.after) {
        (Some(old), Some(after)) => old.until(after),
        _ => None,
    };
    // A talk that is spoken anew from its beginning keeps its filters.
    let new = old.map_or(new, |old| Talk { gain: old.gain, gate: old.gate, ..Talk::default() });
    before.unwrap_or(new).then(kept.take)
}
