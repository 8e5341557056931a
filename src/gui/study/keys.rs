//! Keys on the Study page: which part has a use for one, before the key card is asked.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::page::StudyPage;
use crate::logging::Key;

/// The keys that lists and menus have a use of their own for.
const WALKS: [&str; 7] = ["up", "down", "home", "end", "page_up", "page_down", "return"];

impl StudyPage {
    /// What becomes of a key before the key card is asked; none when that is for the card to say.
    pub fn key(&self, key: &Key) -> Option<glib::Propagation> {
        let imp = self.imp();
        if key.is("tab") && !key.ctrl && !key.shift && imp.questions.has_list_focus() {
            // Through the list go the arrows, each row a question; Tab leaves it.
            imp.questions.imp().own.grab_focus();
            return Some(glib::Propagation::Stop);
        }
        if self.keeps(key) {
            return Some(glib::Propagation::Proceed);
        }
        let walked = self.walk_questions(key)
            || [imp.answer.cells(), imp.court.cells(), imp.clips.cells()].iter().any(|c| c.walk(key));
        walked.then_some(glib::Propagation::Stop)
    }

    /// Escape in a field that searches: the words go, and then the field is left. Says whether the focus is in one.
    pub fn leave_search(&self) -> bool {
        let focus = self.root().and_then(|r| gtk::prelude::RootExt::focus(&r));
        let entry = focus
            .and_then(|f| f.ancestor(gtk::SearchEntry::static_type()))
            .and_downcast::<gtk::SearchEntry>();
        let Some(entry) = entry.filter(|e| e.is_ancestor(self)) else { return false };
        if entry.text().is_empty() {
            self.focus_question();
        } else {
            entry.set_text("");
        }
        true
    }

    /// Whether the focus is on the question above the answer.
    pub fn is_on_question(&self) -> bool {
        let button = &self.imp().question_button;
        button.focus_child().is_some() || button.has_focus()
    }

    /// On the question above the answer, arrows go to the next one.
    fn walk_questions(&self, key: &Key) -> bool {
        let imp = self.imp();
        let on_title = self.is_on_question();
        let now = imp.study.imp().question.get();
        let to = match () {
            () if !on_title || key.ctrl || key.alt || key.shift => None,
            () if key.is("down") => Some(now + 1),
            () if key.is("up") => now.checked_sub(1),
            () => None,
        };
        to.is_some_and(|to| {
            imp.study.ask_question(to);
            true
        })
    }

    /// Whether the widget with the focus has a use of its own for a key: lists, menus and handles are walked through, and a
    /// row is played by Return.
    fn keeps(&self, key: &Key) -> bool {
        let Some(focus) = self.root().and_then(|r| gtk::prelude::RootExt::focus(&r)) else { return false };
        let is = |t: gtk::glib::Type| {
            focus.is_ancestor(self) && (focus.type_().is_a(t) || focus.ancestor(t).is_some())
        };
        let list = [gtk::ListBox::static_type(), gtk::ListView::static_type(), gtk::DropDown::static_type()];
        let handle = focus.type_().is_a(gtk::Paned::static_type());
        let plain = !(key.ctrl || key.alt);
        plain && (handle || list.iter().any(|t| is(*t)) && WALKS.iter().any(|k| key.is(k)))
    }
}
