//! Puts a star, a tag or a note on a clip that was found: in its record, one after another, each on the disk before the next.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use gtk::glib;
use gtk::subclass::prelude::*;

use super::model::{Done, LibraryModel, Step, Undone, Wish};
use crate::facts::PointRef;
use crate::gui::kit::job::off_loop;
use crate::library::Kept;
use crate::logging::Action;
use crate::record::{DocumentKind, Point, RecordError};
use crate::session::keeper::{Ask, Working};
use crate::session::library::marking::{Mark, MarkError, Marked, put};
use crate::session::state::Session;

/// How long a mark waits while keys of the open record are on their way to the disk.
const SOON: Duration = Duration::from_millis(50);

impl LibraryModel {
    /// Puts a mark on a clip of the list.
    pub fn mark(&self, at: PointRef, mark: impl FnOnce(&Point) -> Mark) {
        let wish = self.finds().look(|f| {
            let (path, seen) = (f.path(at)?.to_owned(), f.point(at)?.clone());
            Some(Wish {
                path,
                point: at.point,
                mark: mark(&seen),
                seen,
                words: f.words(at)?,
                step: Step::New,
            })
        });
        if let Some(wish) = wish {
            self.wish(wish);
        }
    }

    fn wish(&self, wish: Wish) {
        self.imp().marks.waiting.borrow_mut().push_back(wish);
        self.next_mark();
    }

    /// Takes the last mark back, or puts the clip that was taken out last back. Says whether there is one.
    pub fn takes_back(&self) -> bool {
        let marks = &self.imp().marks;
        loop {
            let last = marks.done.borrow_mut().pop();
            match last {
                None => return false,
                Some(Done::Marked(wish)) => {
                    self.wish(*wish);
                    return true;
                }
                Some(Done::Removed) => {
                    let mut back = None;
                    self.finds().change(|f| back = f.put_back().map(|at| (at, f.points[at])));
                    // Of an older search there is nothing to put back.
                    if let Some((at, point)) = back {
                        marks.undone.borrow_mut().push(Undone::Removed(at, point));
                        return true;
                    }
                }
            }
        }
    }

    /// Does again what was taken back last. Says whether there is something.
    pub fn does_again(&self) -> bool {
        let marks = &self.imp().marks;
        loop {
            let last = marks.undone.borrow_mut().pop();
            match last {
                None => return false,
                Some(Undone::Marked(wish)) => {
                    self.wish(*wish);
                    return true;
                }
                Some(Undone::Removed(at, point)) => {
                    // Not another clip that is at its place meanwhile.
                    if self.finds().look(|f| f.points.get(at) == Some(&point)) {
                        self.finds().change(|f| f.remove(at));
                        marks.done.borrow_mut().push(Done::Removed);
                        return true;
                    }
                }
            }
        }
    }

    /// Takes a clip out of the list; its record stays as it is.
    pub fn take_out(&self, at: usize) {
        self.finds().change(|finds| finds.remove(at));
        self.imp().marks.did(Done::Removed);
        if let Some(model) = self.model() {
            model.forget_added();
            let undo = model.cap(Action::Undo);
            model.say(&format!("Removed from this list, not from its record. {undo} puts it back."));
        }
    }

    /// Whether all marks are on the disk and in the list.
    #[cfg(test)]
    pub fn has_marked(&self) -> bool {
        let imp = self.imp();
        let writes = imp.marks.writes.get() || !imp.marks.waiting.borrow().is_empty();
        !(writes || imp.reads.get() || imp.finds_now.get())
    }

    fn next_mark(&self) {
        let marks = &self.imp().marks;
        if marks.writes.get() {
            return;
        }
        let Some(wish) = marks.waiting.borrow_mut().pop_front() else { return };
        marks.writes.set(true);
        if self.waits_for(&wish.path) {
            marks.waiting.borrow_mut().push_front(wish);
            let again = glib::clone!(
                #[weak(rename_to = library)]
                self,
                move || {
                    library.imp().marks.writes.set(false);
                    library.next_mark();
                }
            );
            glib::timeout_add_local_once(SOON, again);
            return;
        }
        let (here, kept) = (self.mark_here(&wish), self.imp().kept.borrow().clone());
        let before = kept.clone();
        let of = wish.clone();
        let work = move || {
            // The program does not end before the record is written.
            let _working = Working::default();
            let marked = here.unwrap_or_else(|| put(&of.path, of.point, &of.seen, &of.mark))?;
            Ok((Arc::new(kept.with(&of.path, marked.record)), marked.notices))
        };
        off_loop(
            work,
            glib::clone!(
                #[weak(rename_to = library)]
                self,
                move |done| library.marked(&wish, &before, done)
            ),
        );
    }

    /// Whether this is the record that is open here.
    fn is_open(&self, path: &Path) -> bool {
        let session = self.model().map(|m| m.session().borrow());
        let open = session.as_ref().and_then(|s| s.as_ref()).map(|s| s.view.path.clone());
        let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
        open.is_some_and(|open| real(&open) == real(path))
    }

    /// Whether the open record is this one, and not all of its keys are on the disk.
    fn waits_for(&self, path: &Path) -> bool {
        let waits = self.model().is_some_and(|m| m.session().borrow().as_ref().is_some_and(Session::waits));
        waits && self.is_open(path)
    }

    /// Asks the keeper for it, if this is the record that is open here.
    fn mark_here(&self, wish: &Wish) -> Option<Result<Marked, MarkError>> {
        let model = self.model().filter(|_| self.is_open(&wish.path))?;
        let (record, read_only) = {
            let session = model.session().borrow();
            let view = &session.as_ref()?.view;
            (view.record.clone(), view.read_only.clone())
        };
        if let Some(why) = read_only {
            let (path, kind) = (wish.path.clone(), DocumentKind::Record);
            return Some(Err(RecordError::ReadOnly { path, kind, why }.into()));
        }
        Some(wish.mark.edit(&record, wish.point, &wish.seen, &wish.path).and_then(|edit| {
            let mut record = (*record).clone();
            if let Some(edit) = edit {
                let _ = record.apply(edit.clone()).map_err(RecordError::from)?;
                model.ask(Ask::Edit(Box::new(edit)));
            }
            Ok(Marked { record, notices: Vec::new() })
        }))
    }

    /// Keeps what turns a mark round that is on the disk now.
    fn keep_step(&self, wish: &Wish) {
        let marks = &self.imp().marks;
        let (mark, seen) = (wish.mark.undoing(&wish.seen), wish.mark.on(&wish.seen));
        let turned = |step| Box::new(Wish { seen, mark, step, ..wish.clone() });
        match wish.step {
            Step::New => marks.did(Done::Marked(turned(Step::Back))),
            Step::Again => marks.done.borrow_mut().push(Done::Marked(turned(Step::Back))),
            Step::Back => marks.undone.borrow_mut().push(Undone::Marked(turned(Step::Again))),
        }
        if let Some(model) = self.model().filter(|_| wish.step != Step::Back) {
            model.forget_added();
        }
    }

    fn marked(&self, wish: &Wish, before: &Arc<Kept>, done: Result<(Arc<Kept>, Vec<String>), MarkError>) {
        let imp = self.imp();
        imp.marks.writes.set(false);
        let Some(model) = self.model() else { return };
        match done {
            Ok((kept, notices)) => {
                model.say(&wish.mark.words(&wish.words));
                for notice in &notices {
                    model.say_too(notice);
                }
                self.keep_step(wish);
                let same = Arc::ptr_eq(before, &imp.kept.borrow());
                if same {
                    imp.kept.replace(kept.clone());
                    self.finds().change(|finds| finds.follow(kept));
                }
                // What is being read now may be as it was before.
                if !same || imp.reads.get() {
                    self.read();
                }
            }
            Err(why) => {
                model.say(&why.to_string());
                if matches!(why, MarkError::Changed(_)) {
                    self.read();
                }
            }
        }
        self.next_mark();
    }
}
