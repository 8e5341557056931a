//! Asking: questions are read and answered off the main loop, and asked again when the record has changed.

use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use gtk::glib;
use gtk::subclass::prelude::*;

use super::model::{StudyModel, Told};
use super::outside::off_loop;
use crate::session::folders;
use crate::session::study::asking::{self, Added, Answered, Asked, Opened, Work};
use crate::summary::study::Question;

/// Work that takes longer is told of.
const PATIENCE: Duration = Duration::from_millis(300);

impl StudyModel {
    /// Runs `work` on a thread, and `then` on the main loop with what came of it.
    fn off_loop<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
        then: impl FnOnce(&Self, T) + 'static,
    ) {
        let then = glib::clone!(
            #[weak(rename_to = study)]
            self,
            move |done| then(&study, done)
        );
        off_loop(work, then);
    }

    /// The page is in sight now, or not any more.
    pub fn set_seen(&self, seen: bool) {
        self.imp().seen.set(seen);
        if seen {
            self.refresh();
        }
    }

    /// Whether the page is in sight.
    pub fn is_seen(&self) -> bool {
        self.imp().seen.get()
    }

    /// Asks, where the answer is not of the record as it is now. To be called whenever the record may have changed.
    pub fn refresh(&self) {
        let Some(model) = self.model().filter(|_| self.is_seen()) else { return };
        let (now, same_patterns) = match model.session().borrow().as_ref() {
            Some(s) => (Some(s.view.record.clone()), *self.imp().patterns.borrow() == s.patterns()),
            None => (None, true),
        };
        if self.imp().asked.borrow().is_empty() || !same_patterns {
            return self.read_questions();
        }
        let same = |a: &Answered| now.as_ref().is_some_and(|r| Arc::ptr_eq(r, &a.record));
        if !self.answered().is_some_and(|a| same(&a)) {
            self.ask();
        }
    }

    /// Asks one of the questions.
    pub fn ask_question(&self, n: usize) {
        if n >= self.imp().asked.borrow().len() {
            return;
        }
        self.imp().question.set(n);
        self.imp().spot.set(None);
        self.imp().map.set(0);
        self.imp().part.set(0);
        self.tell(Told::Asked);
        self.ask();
    }

    /// Asks the question that is chosen of the matches there are.
    pub fn ask(&self) {
        let imp = self.imp();
        if imp.busy.get() {
            return imp.again.set(true);
        }
        let Some(work) = self.next_work() else { return };
        imp.busy.set(true);
        self.off_loop(move || work.answer(), Self::take);
        glib::timeout_add_local_once(
            PATIENCE,
            glib::clone!(
                #[weak(rename_to = study)]
                self,
                move || {
                    if study.imp().busy.get() {
                        study.work("Answering…");
                    }
                }
            ),
        );
    }

    fn next_work(&self) -> Option<Work> {
        let imp = self.imp();
        let session = self.model()?.session().borrow();
        let view = &session.as_ref()?.view;
        self.note_path(&view.path);
        let question = imp.asked.borrow().get(imp.question.get()).cloned()?;
        let before = self.answered();
        let known = before.filter(|a| Arc::ptr_eq(&a.record, &view.record));
        Some(Work {
            open: Opened {
                record: view.record.clone(),
                known: known.map(|a| a.open_matches().to_vec()).unwrap_or_default(),
            },
            others: imp.others.borrow().iter().map(|(_, m)| m.clone()).collect(),
            question,
            picked: imp.picked.borrow().clone(),
        })
    }

    /// Where others are counted too, the match that was open before another was opened stays among them.
    fn note_path(&self, path: &Path) {
        let imp = self.imp();
        let Some(old) = imp.path.replace(Some(path.to_owned())).filter(|old| old != path) else { return };
        let mut others = imp.others.borrow_mut();
        if let (false, Some(a)) = (others.is_empty(), self.answered()) {
            others.extend(a.open_matches().iter().map(|m| (old.clone(), m.clone())));
        }
        others.retain(|(other, _)| other != path);
    }

    fn take(&self, answered: Answered) {
        let imp = self.imp();
        imp.busy.set(false);
        imp.answered.replace(Some(Rc::new(answered)));
        imp.working.take();
        self.tell(Told::Answered);
        self.choose(self.spot());
        if imp.again.take() {
            self.ask();
        }
    }

    /// Makes a choice of a facet.
    pub fn pick(&self, facet: usize, chosen: usize) {
        let Some(answered) = self.answered() else { return };
        let label = |(n, f): (usize, &crate::session::study::facets::Facet)| {
            let at = if n == facet { chosen } else { answered.picks[n] };
            f.picks.get(at).map_or_else(String::new, |p| p.label.clone())
        };
        let picked = answered.facets.iter().enumerate().map(label).collect();
        self.imp().picked.replace(picked);
        self.ask();
    }

    /// Adds the questions of a file, for this session, and asks the first of them.
    pub fn add_questions(&self, path: PathBuf) {
        self.imp().added.borrow_mut().push(path);
        self.read_questions();
    }

    /// Reads all questions, of the patterns there are now, and asks the one that was asked before, or the first new one.
    fn read_questions(&self) {
        let Some(model) = self.model() else { return };
        let imp = self.imp();
        let patterns = model.session().borrow().as_ref().map_or_else(Vec::new, |s| s.patterns().to_vec());
        imp.patterns.replace(patterns.clone());
        let own = folders::config().join("questions.toml");
        let added = imp.added.borrow().clone();
        self.off_loop(
            move || asking::all_questions(&own, &added, patterns),
            |study, (questions, wrong)| {
                study.take_questions(questions);
                if !wrong.is_empty() {
                    // What could not be read is not asked for again and again.
                    study.imp().added.borrow_mut().retain(|p| {
                        let name = p.display().to_string();
                        !wrong.iter().any(|why| why.starts_with(&name))
                    });
                    study.say(&wrong.join("\n"));
                }
            },
        );
    }

    fn take_questions(&self, questions: Vec<Question>) {
        let imp = self.imp();
        let questions = std::iter::once(Asked::Numbers)
            .chain(questions.into_iter().map(|q| Asked::Question(Box::new(q))));
        let before = imp.asked.replace(questions.collect());
        let (place, is_new) = {
            let now = imp.asked.borrow();
            let asked = before.get(imp.question.get());
            let same = asked.and_then(|a| now.iter().position(|q| q.name() == a.name())).unwrap_or(0);
            let new =
                now.iter().position(|q| !before.is_empty() && before.iter().all(|b| b.name() != q.name()));
            (new.unwrap_or(same), new.is_some())
        };
        imp.question.set(place);
        if is_new {
            imp.spot.set(None);
        }
        self.tell(Told::Questions);
        self.tell(Told::Asked);
        self.ask();
    }

    /// Counts the points of these records too.
    pub fn add_matches(&self, paths: Vec<PathBuf>) {
        let imp = self.imp();
        let known: Vec<PathBuf> = (imp.path.borrow().iter().cloned())
            .chain(imp.others.borrow().iter().map(|(p, _)| p.clone()))
            .collect();
        let (all, done) = (paths.len(), Arc::new(AtomicUsize::new(0)));
        let counted = Arc::downgrade(&done);
        // Ends when the thread has let go of its counter.
        glib::timeout_add_local(
            PATIENCE,
            glib::clone!(
                #[weak(rename_to = study)]
                self,
                #[upgrade_or]
                glib::ControlFlow::Break,
                move || {
                    let Some(n) = counted.upgrade() else { return glib::ControlFlow::Break };
                    study.work(&format!("Reading record {} of {all}…", n.load(Ordering::Relaxed)));
                    glib::ControlFlow::Continue
                }
            ),
        );
        self.off_loop(
            move || asking::read_matches(paths, &known, &done),
            |study, read: (Vec<Added>, Vec<String>)| {
                study.imp().others.borrow_mut().extend(read.0);
                if !read.1.is_empty() {
                    study.say(&read.1.join("\n"));
                }
                study.ask();
            },
        );
    }

    /// Counts no other match than the one that is open.
    pub fn be_alone(&self) {
        self.imp().others.borrow_mut().clear();
        self.ask();
    }
}
