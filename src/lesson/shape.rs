//! What a coach does to the parts of a lesson, as edits: trim, split, speed, freeze, pair, words.

use super::edit::Edit;
use super::model::{Clip, Freeze, Pace, Pair, Part, Stretch};
use super::whole::Lesson;
use crate::record::{EditError, Unfit};
use crate::time::MatchTime;

impl Lesson {
    fn part(&self, at: usize) -> Result<&Part, EditError> {
        self.parts.get(at).ok_or(EditError::NoPart { at, len: self.parts.len() })
    }

    /// The clip at a place; a pair, a still and a chapter are none.
    fn clip(&self, at: usize) -> Result<&Clip, EditError> {
        match self.part(at)? {
            Part::Clip(clip) => Ok(clip),
            _ => Err(EditError::Unfit(Unfit {
                place: format!("parts[{at}]"),
                found: "no single clip".into(),
                allowed: "a clip".into(),
            })),
        }
    }

    /// Shows the footage of the clip at `at` from another moment, to another. What lies outside is left out: stretches, freezes
    /// and drawings.
    ///
    /// # Errors
    /// [`EditError`] when there is no clip.
    pub fn trim(&self, at: usize, from: MatchTime, to: MatchTime) -> Result<Edit, EditError> {
        let part = Part::Clip(Box::new(within(self.clip(at)?.clone(), from, to)));
        Ok(Edit::SetPart { at, part })
    }

    /// Makes two clips of the one at `at`: the second begins with the frame at `moment`.
    ///
    /// # Errors
    /// [`EditError`] when there is no clip, or the moment is not within it.
    pub fn split(&self, at: usize, moment: MatchTime) -> Result<Edit, EditError> {
        let clip = self.clip(at)?;
        if moment <= clip.from || moment >= clip.to {
            return Err(EditError::Unfit(Unfit {
                place: format!("parts[{at}].clip"),
                found: moment.to_string(),
                allowed: format!("a moment after {} and before {}", clip.from, clip.to),
            }));
        }
        let [first, second] = [(clip.from, moment), (moment, clip.to)]
            .map(|(from, to)| Part::Clip(Box::new(within(clip.clone(), from, to))));
        Ok(Edit::Together(vec![
            Edit::SetPart { at, part: first },
            Edit::InsertPart { at: at + 1, part: second },
        ]))
    }

    /// Writes other words under a part; a chapter's title is its words.
    ///
    /// # Errors
    /// [`EditError`] when there is no such part.
    pub fn caption(&self, at: usize, words: String) -> Result<Edit, EditError> {
        let mut part = self.part(at)?.clone();
        *match &mut part {
            Part::Chapter(chapter) => &mut chapter.title,
            Part::Clip(clip) => &mut clip.caption,
            Part::Pair(pair) => &mut pair.caption,
            Part::Still(still) => &mut still.caption,
        } = words;
        Ok(Edit::SetPart { at, part })
    }

    /// Writes other notes to a part.
    ///
    /// # Errors
    /// [`EditError`] when there is no such part.
    pub fn notes(&self, at: usize, words: String) -> Result<Edit, EditError> {
        let mut part = self.part(at)?.clone();
        *match &mut part {
            Part::Chapter(chapter) => &mut chapter.notes,
            Part::Clip(clip) => &mut clip.notes,
            Part::Pair(pair) => &mut pair.notes,
            Part::Still(still) => &mut still.notes,
        } = words;
        Ok(Edit::SetPart { at, part })
    }

    /// Plays a stretch of the clip at `at` at another speed; what it covers of other stretches takes that speed. At 100 per cent it
    /// is no stretch any more.
    ///
    /// # Errors
    /// [`EditError`] when there is no clip.
    pub fn pace(&self, at: usize, stretch: Stretch) -> Result<Edit, EditError> {
        let mut clip = self.clip(at)?.clone();
        let around = clip.stretches.iter().flat_map(|old| {
            let before = Stretch { to: old.to.min(stretch.from), ..*old };
            let after = Stretch { from: old.from.max(stretch.to), ..*old };
            [before, after]
        });
        let full = stretch.pace == Pace(100);
        let mut all: Vec<Stretch> =
            around.filter(|s| s.from < s.to).chain((!full).then_some(stretch)).collect();
        all.sort_by_key(|s| s.from);
        clip.stretches = all;
        Ok(Edit::SetPart { at, part: Part::Clip(Box::new(clip)) })
    }

    /// Stops the picture of the clip at `at` at a moment; a freeze that is there already lasts as long as this one.
    ///
    /// # Errors
    /// [`EditError`] when there is no clip.
    pub fn freeze(&self, at: usize, moment: MatchTime, lasts: MatchTime) -> Result<Edit, EditError> {
        let mut clip = self.clip(at)?.clone();
        match clip.freezes.binary_search_by_key(&moment, |f| f.at) {
            Ok(there) => clip.freezes[there].lasts = lasts,
            Err(place) => {
                clip.freezes.insert(place, Freeze { at: moment, lasts, drawings: Vec::new() });
            }
        }
        Ok(Edit::SetPart { at, part: Part::Clip(Box::new(clip)) })
    }

    /// Takes the freeze at a moment away.
    ///
    /// # Errors
    /// [`EditError`] when there is no clip.
    pub fn unfreeze(&self, at: usize, moment: MatchTime) -> Result<Edit, EditError> {
        let mut clip = self.clip(at)?.clone();
        clip.freezes.retain(|f| f.at != moment);
        Ok(Edit::SetPart { at, part: Part::Clip(Box::new(clip)) })
    }

    /// Shows the clip at `at` and the one after it side by side, with these moments of theirs at once.
    ///
    /// # Errors
    /// [`EditError`] when there are no two clips.
    pub fn pair(&self, at: usize, left_at: MatchTime, right_at: MatchTime) -> Result<Edit, EditError> {
        let (left, right) = (self.clip(at)?.clone(), self.clip(at + 1)?.clone());
        let pair = Pair { left, right, left_at, right_at, caption: String::new(), notes: String::new() };
        Ok(Edit::Together(vec![
            Edit::SetPart { at, part: Part::Pair(Box::new(pair)) },
            Edit::RemovePart { at: at + 1 },
        ]))
    }
}

/// A clip of this span of its footage, with what lies within it.
fn within(mut clip: Clip, from: MatchTime, to: MatchTime) -> Clip {
    (clip.from, clip.to) = (from, to);
    for stretch in &mut clip.stretches {
        stretch.from = stretch.from.max(from);
        stretch.to = stretch.to.min(to);
    }
    clip.stretches.retain(|s| s.from < s.to);
    clip.freezes.retain(|f| from <= f.at && f.at < to);
    clip.drawings.retain(|d| d.to > from && d.from < to);
    clip
}
