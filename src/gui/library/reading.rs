//! Reads the records of the library in the background: first the list, then the facts of all points. While the page is in sight,
//! it looks every few seconds whether something has changed.

use std::ops::ControlFlow;
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::Arc;
use std::sync::Mutex;
use std::time::Duration;

use gtk::glib;
use gtk::subclass::prelude::*;

use super::model::{LibraryModel, Told};
use crate::counted::{Counted, Noun};
use crate::gui::kit::job::{Job, News, Teller};
use crate::library::{Cache, Kept, Listing, list};
use crate::pattern::{Pattern, PatternFile};
use crate::record::consent::today;
use crate::search::Vocabulary;
use crate::session::library::cache_file;

/// How often it looks for changes.
const LOOK_AGAIN: Duration = Duration::from_secs(3);

/// How far it is.
enum Step {
    /// Reading a record of so many.
    Reading(usize, usize),
    /// The records are listed.
    Listed(Box<Listing>),
}

/// The facts of all points, and the words for them; nothing if it was stopped.
type Read = Option<(Arc<Kept>, Arc<Vocabulary>)>;

impl LibraryModel {
    /// The page came into sight, or went.
    pub fn set_seen(&self, seen: bool) {
        let imp = self.imp();
        let before = imp.seen.replace(seen);
        if seen && !before {
            self.read();
            if imp.looks.replace(true) {
                return;
            }
            glib::timeout_add_local(
                LOOK_AGAIN,
                glib::clone!(
                    #[weak(rename_to = library)]
                    self,
                    #[upgrade_or]
                    glib::ControlFlow::Break,
                    move || {
                        if !library.imp().seen.get() {
                            library.imp().looks.set(false);
                            return glib::ControlFlow::Break;
                        }
                        if !library.imp().reads.get() {
                            library.read();
                        }
                        glib::ControlFlow::Continue
                    }
                ),
            );
        }
    }

    /// The folders, as the user set them.
    pub fn folders(&self) -> Vec<PathBuf> {
        self.model().map_or_else(Vec::new, |m| m.settings().borrow().library_folders())
    }

    /// The user's own patterns, after those of the program.
    fn patterns(&self) -> Vec<Pattern> {
        let own = self.model().map_or_else(Vec::new, |m| m.own().borrow().patterns.clone());
        let mut all = PatternFile::starter().map_or_else(|_| Vec::new(), |f| f.patterns);
        all.retain(|p| !own.iter().any(|o| crate::pattern::same_tag(&o.name, &p.name)));
        all.into_iter().chain(own).collect()
    }

    /// Reads what is new or has changed.
    pub fn read(&self) {
        let imp = self.imp();
        imp.reads.set(true);
        let (folders, patterns) = (self.folders(), self.patterns());
        let (cache, kept) = (imp.cache.borrow().clone(), imp.kept.borrow().clone());
        let work = move |teller: &Teller<Step, Read>| read(&folders, &patterns, cache, &kept, teller);
        let job = Job::start(
            work,
            glib::clone!(
                #[weak(rename_to = library)]
                self,
                #[upgrade_or]
                ControlFlow::Break(()),
                move |news| {
                    match news {
                        News::Progress(Step::Reading(n, of)) => library.say_reading(n, of),
                        News::Progress(Step::Listed(listing)) => library.listed(*listing),
                        News::Done(read) => library.read_all(read),
                    }
                    ControlFlow::Continue(())
                }
            ),
        );
        if let Some(before) = imp.job.replace(Some(job)) {
            before.stop();
        }
    }

    fn say_reading(&self, n: usize, of: usize) {
        self.work(&format!("Reading {n} of {}…", Counted(of, Noun::Record)));
    }

    fn listed(&self, listing: Listing) {
        let imp = self.imp();
        let trouble = listing.trouble();
        if let Some(cache) = listing.cache {
            imp.cache.replace(Arc::new(cache));
        }
        if **imp.records.borrow() != listing.records {
            imp.records.replace(Rc::new(listing.records));
            self.tell(Told::Listed);
        }
        imp.trouble.replace(trouble.unwrap_or_default());
    }

    fn read_all(&self, read: Read) {
        let imp = self.imp();
        // It was stopped: another reading has begun.
        let Some((kept, words)) = read else { return };
        imp.reads.set(false);
        let trouble = imp.trouble.borrow().clone();
        self.work(&trouble);
        let first = imp.kept.borrow().is_empty();
        let same = Arc::ptr_eq(&kept, &imp.kept.borrow());
        if same && !first {
            return;
        }
        imp.kept.replace(kept);
        imp.words.replace(words);
        self.find_again();
    }
}

/// Lists the records, then reads all of their points; the same facts where nothing has changed.
fn read(
    folders: &[PathBuf],
    patterns: &[Pattern],
    cache: Arc<Cache>,
    before: &Arc<Kept>,
    teller: &Teller<Step, Read>,
) -> Read {
    // A thread for each processor tells how far it is, and one of them at a time.
    let told = Mutex::new(teller);
    let go_on = |n: usize, of: usize| {
        if !n.is_multiple_of(32) && n != of {
            return true;
        }
        told.lock().is_ok_and(|t| t.tell(Step::Reading(n, of)).is_continue())
    };
    let file = cache_file();
    let cache = if cache.is_empty() { Arc::new(Cache::read(&file)) } else { cache };
    let listing = list(folders, &cache, today(), &|n, of| of < 64 || go_on(n, of))?;
    if let Some(new) = &listing.cache {
        // It is a convenience: without it the records are read again the next time.
        let _ = new.write(&file);
    }
    let paths: Vec<PathBuf> =
        listing.records.iter().filter(|l| l.known().is_some()).map(|l| l.entry.path.clone()).collect();
    let step = Step::Listed(Box::new(listing));
    teller.tell(step).is_continue().then_some(())?;
    if before.is_of(&paths) && !before.is_empty() {
        return Some((before.clone(), Arc::default()));
    }
    let kept = Kept::read(&paths, before, &|n, of| of < 64 || go_on(n, of))?;
    let words = kept.vocabulary(patterns);
    Some((Arc::new(kept), Arc::new(words)))
}
