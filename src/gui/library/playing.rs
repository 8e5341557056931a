//! Plays clips that were found, one after another, from any record.

use super::model::LibraryModel;
use crate::clips::Lead;
use crate::counted::{Counted, Noun};

impl LibraryModel {
    /// Plays the clips of the list from this place on, each from the footage of its record.
    pub fn play_from(&self, place: usize) {
        let Some(model) = self.model() else { return };
        let (clips, lost) = self.finds().look(|f| f.pieces(place, f.points.len(), Lead::default()));
        if clips.is_empty() {
            if lost > 0 {
                model.say("None of these clips can be played: each needs a start, an end and its footage.");
            }
            return;
        }
        if lost > 0 {
            let n = Counted(lost, Noun::Point);
            model.say(&format!("{n} {} left out: no start, no end, or no footage.", n.is()));
        }
        model.play_clips(clips);
    }

    /// What was found, in words: `12 points · 3 points lack the data to tell`.
    pub fn count(&self) -> String {
        let (found, unknown) = self.finds().look(|f| (f.points.len(), f.unknown));
        let lack = (unknown > 0).then(|| {
            let points = Counted(unknown, Noun::Point);
            format!("{points} {} the data to tell", points.lacks())
        });
        [Some(Counted(found, Noun::Point).to_string()), lack]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" · ")
    }
}
