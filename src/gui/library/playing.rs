//! Plays clips that were found, one after another, from any record.

use gtk::subclass::prelude::*;

use super::model::{LibraryModel, Played};
use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::session::play_list::Item;

impl LibraryModel {
    /// Plays the clips of the list from this place on, each from the footage of its record.
    pub fn play_from(&self, place: usize) {
        let Some(model) = self.model() else { return };
        let (clips, lost) = self.finds().look(|f| {
            let (clips, lost) = f.playable(place, f.points.len(), Lead::default());
            let played = |(item, at): (Item, PointRef)| {
                Some(Played { item, path: f.path(at)?.to_owned(), point: at.point })
            };
            (clips.into_iter().filter_map(played).collect::<Vec<_>>(), lost)
        });
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
        let items = clips.iter().map(|p| p.item.clone()).collect();
        self.imp().played.replace(clips);
        model.play_clips(items);
    }

    /// The clip of the list that is played now.
    pub fn shown_point(&self) -> Option<PointRef> {
        let model = self.model()?;
        let (clip, item) = (model.clip()?.0, model.clip_item()?);
        let played = self.imp().played.borrow();
        // Clips of another page may be played.
        let played = played.get(clip).filter(|p| p.item == item)?;
        self.finds().look(|f| f.points.get(f.place_of(&played.path, played.point)?).copied())
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
