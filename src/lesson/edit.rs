//! Edits: every change of a lesson is a value with an inverse.

use serde::{Deserialize, Serialize};

use super::model::Part;
use super::sound::{self, MOST_PARTS, MOST_TITLE};
use super::talk::Talk;
use super::whole::Lesson;
use crate::record::{EditError, TooMuch};

/// One change of a lesson.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Edit {
    /// Puts a part in before the one now at `at` (or last).
    InsertPart {
        /// Its place, from 0.
        at: usize,
        /// The part.
        part: Part,
    },
    /// Takes a part out.
    RemovePart {
        /// Its place, from 0.
        at: usize,
    },
    /// Puts a part in another's stead.
    SetPart {
        /// Its place, from 0.
        at: usize,
        /// The part as it shall be.
        part: Part,
    },
    /// Moves a part: afterwards it is at `to`.
    MovePart {
        /// Its place, from 0.
        from: usize,
        /// Its place afterwards, from 0.
        to: usize,
    },
    /// What the lesson is called, and whom it is for.
    SetHead {
        /// What it is called.
        title: String,
        /// Whom it is for.
        player: String,
    },
    /// What the coach says over the lesson; nothing takes it away.
    SetTalk {
        /// The talk as it shall be.
        talk: Option<Box<Talk>>,
    },
    /// Several edits, one after another, that are taken back together.
    Together(Vec<Edit>),
}

/// What an edit changed, for whoever shows the lesson.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// The part at this place is new, and the later ones moved up by one.
    Inserted(usize),
    /// The part that was at this place is gone.
    Removed(usize),
    /// The part at this place changed.
    Part(usize),
    /// A part moved to this place.
    Moved(usize),
    /// The title or the player.
    Head,
    /// The talk.
    Talk,
    /// Several things.
    Several,
}

impl Lesson {
    /// Applies one edit. Says what changed, and the edit that takes it back.
    ///
    /// # Errors
    /// [`EditError`]; the lesson is then unchanged.
    pub fn apply(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        let len = self.parts.len();
        let there = |at: usize| if at < len { Ok(()) } else { Err(EditError::NoPart { at, len }) };
        match edit {
            Edit::InsertPart { at, .. } if at > len => Err(EditError::NoPart { at, len }),
            Edit::InsertPart { .. } if len >= MOST_PARTS => {
                let (place, found) = ("parts".into(), len + 1);
                Err(TooMuch { place, found, what: "parts", most: MOST_PARTS }.into())
            }
            Edit::InsertPart { at, part } => {
                sound::part(&format!("parts[{at}]"), &part)?;
                self.parts.insert(at, part);
                Ok((Change::Inserted(at), Edit::RemovePart { at }))
            }
            Edit::RemovePart { at } => {
                there(at)?;
                let part = self.parts.remove(at);
                Ok((Change::Removed(at), Edit::InsertPart { at, part }))
            }
            Edit::SetPart { at, part } => {
                sound::part(&format!("parts[{at}]"), &part)?;
                let old = self.parts.get_mut(at).ok_or(EditError::NoPart { at, len })?;
                let part = std::mem::replace(old, part);
                Ok((Change::Part(at), Edit::SetPart { at, part }))
            }
            Edit::MovePart { from, to } => {
                there(from)?;
                there(to)?;
                let part = self.parts.remove(from);
                self.parts.insert(to, part);
                Ok((Change::Moved(to), Edit::MovePart { from: to, to: from }))
            }
            Edit::SetHead { title, player } => self.set_head(title, player),
            Edit::SetTalk { talk } => {
                talk.as_deref().map_or(Ok(()), super::talk::sound::talk)?;
                let talk = std::mem::replace(&mut self.talk, talk);
                Ok((Change::Talk, Edit::SetTalk { talk }))
            }
            Edit::Together(all) => self.apply_all(all),
        }
    }

    fn set_head(&mut self, title: String, player: String) -> Result<(Change, Edit), EditError> {
        sound::letters("title", &title, MOST_TITLE)?;
        sound::letters("player", &player, MOST_TITLE)?;
        let title = std::mem::replace(&mut self.title, title);
        let player = std::mem::replace(&mut self.player, player);
        Ok((Change::Head, Edit::SetHead { title, player }))
    }

    /// All of them or none.
    fn apply_all(&mut self, all: Vec<Edit>) -> Result<(Change, Edit), EditError> {
        let mut after = self.clone();
        let back = all.into_iter().map(|edit| Ok(after.apply(edit)?.1));
        let mut back = back.collect::<Result<Vec<_>, EditError>>()?;
        back.reverse();
        *self = after;
        Ok((Change::Several, Edit::Together(back)))
    }
}

#[cfg(test)]
#[path = "edit_tests.rs"]
mod tests;
