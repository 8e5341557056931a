//! Plays clips that were found, one after another, from any record.

use gtk::glib;
use gtk::subclass::prelude::*;

use super::model::LibraryModel;
use crate::counted::{Counted, Noun};
use crate::gui::model::{Event, Model};

impl LibraryModel {
    /// Plays the clips of the list from this place on, as far as they are of one record; the next record is opened then.
    pub fn play_from(&self, place: usize) {
        let Some(model) = self.model() else { return };
        let points: Vec<_> = self.finds().look(|f| f.points.iter().skip(place).copied().collect());
        let Some(first) = points.first().copied() else { return };
        let of_one: Vec<usize> =
            points.iter().take_while(|p| p.record == first.record).map(|p| p.point).collect();
        let Some(path) = self.finds().look(|f| f.path(first).map(std::path::Path::to_owned)) else { return };
        let open = model.session().borrow().as_ref().map(|s| s.view.path.clone());
        if open.is_some_and(|open| open.canonicalize().ok() == path.canonicalize().ok()) {
            return model.play_points(of_one);
        }
        self.imp().waiting.replace(of_one);
        model.open(&[path]);
    }

    /// Plays what waits for its record as soon as that is open.
    pub(super) fn wait_to_play(&self, model: &Model) {
        model.on(
            Event::Opened,
            glib::clone!(
                #[weak(rename_to = library)]
                self,
                move |m| {
                    let points = library.imp().waiting.take();
                    if !points.is_empty() {
                        m.play_points(points);
                    }
                }
            ),
        );
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
