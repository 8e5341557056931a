//! The large footage: clips play in it until the user makes it small. The words of the clip are shown over it.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::model::{StudyModel, Told};
use super::page::StudyPage;
use crate::gui::model::{Event, Model};
use crate::logging::Action;

impl StudyPage {
    /// Follows the clips that are played.
    pub fn wire_large(&self, model: &Model) {
        let study = &self.imp().study;
        study.on(
            Told::Played,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |_| page.on_played()
            ),
        );
        for event in [Event::Current, Event::Changed, Event::Transport, Event::Clip] {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = page)]
                    self,
                    move |_| page.caption()
                ),
            );
        }
        self.connect_large_notify(|page| {
            page.keep_focus();
            page.caption();
        });
    }

    /// Clips are played: large, unless the user made an earlier one small.
    fn on_played(&self) {
        let imp = self.imp();
        if !self.large() && !imp.plays_small.get() {
            imp.by_clips.set(true);
            self.set_large(true);
        }
    }

    /// Makes the footage large, or as it was before, because the user says so.
    pub fn toggle_large(&self) {
        let imp = self.imp();
        let small = self.large();
        imp.plays_small.set(small && (imp.by_clips.get() || imp.plays_small.get()));
        imp.by_clips.set(false);
        self.set_large(!small);
    }

    /// Stops. Footage that clips made large is as before, and so is large footage that stood still.
    pub fn stop(&self, model: &Model) {
        let imp = self.imp();
        if imp.by_clips.take() || !model.is_playing() {
            self.set_large(false);
        }
        model.stop();
    }

    /// Large footage takes the focus of an answer that is not in sight any more, and gives it back.
    fn keep_focus(&self) {
        let imp = self.imp();
        if !self.large() {
            imp.answer.cells().restore(imp.left.take());
        } else if self.root().and_then(|r| r.focus()).is_none_or(|f| !f.is_mapped() || !f.is_visible()) {
            imp.view.grab_focus();
        }
    }

    /// Says over large footage which point is shown.
    fn caption(&self) {
        let caption = &*self.imp().caption;
        let words = if self.large() { self.words_over() } else { String::new() };
        caption.set_visible(!words.is_empty());
        caption.set_label(&words);
    }

    fn words_over(&self) -> String {
        let imp = self.imp();
        let Some(model) = imp.study.model() else { return String::new() };
        let point =
            imp.study.shown_row().map(|row| [format!("Point {}", row.point + 1), row.score, row.text]);
        let mut words: Vec<String> = point.into_iter().flatten().collect();
        let back = model.cap(Action::ClearFilter);
        if imp.by_clips.get() && !back.is_empty() {
            words.push(format!("{back}: back to the answer"));
        }
        words.retain(|w| !w.is_empty());
        words.join(" · ")
    }
}

impl StudyModel {
    /// The point that is shown, as a row of the list of clips.
    fn shown_row(&self) -> Option<super::outside::Row> {
        self.clip_row(self.shown_point()?)
    }
}
