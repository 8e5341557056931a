//! What is done with the selected clip besides playing it: star, tag, note, lesson; and the line in which the note is written.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::results::FindList;
use crate::facts::PointRef;
use crate::gui::model::Event;
use crate::logging::Action;
use crate::record::{STAR, is_star};
use crate::session::library::marking::Mark;

impl FindList {
    /// Wires the buttons that mark the selected clip.
    pub fn wire_marks(&self) {
        let imp = self.imp();
        imp.star.connect_clicked(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| list.tag(STAR)
        ));
        imp.write.connect_clicked(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| list.begin_note()
        ));
        imp.note.connect_activate(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| list.keep_note()
        ));
        if let Some(model) = imp.library.get().and_then(|l| l.model()) {
            model.on(
                Event::Card,
                glib::clone!(
                    #[weak(rename_to = list)]
                    self,
                    move |_| list.show_keys()
                ),
            );
        }
        self.show_keys();
    }

    /// Says by which keys the buttons work.
    fn show_keys(&self) {
        let imp = self.imp();
        let Some(model) = imp.library.get().and_then(|l| l.model()) else { return };
        let star = model.card().borrow().as_ref().and_then(|card| {
            let key = card.tags().find(|(_, tag)| is_star(tag)).map(|(key, _)| key.clone())?;
            Some(card.cap_of(&key))
        });
        let cap = |action| Some(model.cap(action)).filter(|c| !c.is_empty());
        for (button, words, key) in [
            (&imp.star, "Star the selected clip in its record, or take its star off", star),
            (&imp.write, "Write a note on the selected clip, in its record", cap(Action::Note)),
            (&imp.add, "Add the selected clip to the lesson", cap(Action::AddClip)),
            (&imp.up, "Move the selected clip up", cap(Action::ClipUp)),
            (&imp.down, "Move the selected clip down", cap(Action::ClipDown)),
            (
                &imp.off,
                "Remove the selected clip from this list; the record stays as it is",
                cap(Action::DeletePoint),
            ),
        ] {
            let key = key.map(|key| format!(" ({key})")).unwrap_or_default();
            button.set_tooltip_text(Some(&format!("{words}{key}")));
        }
    }

    /// The clip that is selected, or the words for why there is none.
    fn chosen(&self) -> Option<PointRef> {
        let library = self.imp().library.get()?;
        let chosen = self.selected().and_then(|at| library.finds().look(|f| f.points.get(at).copied()));
        if let (None, Some(model)) = (chosen, library.model()) {
            model.say("Search for clips first, and select one.");
        }
        chosen
    }

    /// Puts a tag on the selected clip, or takes it off.
    pub fn tag(&self, tag: &str) {
        if let (Some(at), Some(library)) = (self.chosen(), self.imp().library.get()) {
            library.mark(at, |point| Mark::turned(tag, point));
        }
    }

    /// Opens the note of the selected clip.
    pub fn begin_note(&self) {
        let imp = self.imp();
        let (Some(at), Some(library)) = (self.chosen(), imp.library.get()) else { return };
        let note = library.finds().look(|f| f.point(at).map(|p| p.note.clone()));
        imp.noted.set(Some(at));
        imp.note.set_text(&note.unwrap_or_default());
        imp.note.set_visible(true);
        imp.note.grab_focus();
    }

    fn keep_note(&self) {
        let imp = self.imp();
        if let (Some(at), Some(library)) = (imp.noted.get(), imp.library.get()) {
            let note = imp.note.text().to_string();
            library.mark(at, |_| Mark::Note(note));
        }
        self.end_note();
    }

    /// Puts the line of the note away; says whether it was there.
    pub fn end_note(&self) -> bool {
        let imp = self.imp();
        imp.noted.set(None);
        let was = imp.note.get_visible();
        imp.note.set_visible(false);
        if was {
            imp.list.grab_focus();
        }
        was
    }
}
