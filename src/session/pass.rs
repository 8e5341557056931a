//! Players looked for in several points of one file while its frames come by once, from the first to the last. Without footage: somebody
//! hands over the frames.
//!
//! ```text
//!        the minute around point 1: its empty court, from frames that it shares with points near it
//! ├───────────────┬──────────┬──────────────┤
//!                 │ point 1  │              └─ now the empty court is known: the pictures that were kept are looked at
//!                 └──────────┴─ frames near its strikes: small pictures of them are kept
//! ```
//!
//! The pictures that wait take 320 MiB at most. A point for which there is no room is looked at again after the pass. Pictures that wait
//! no longer are looked at whenever no frame is there: the decoder is seldom as quick as who looks, and seldom as slow.

use std::cell::LazyCell;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError};

use super::cameras::Cameras;
use super::proposing::{Made, Proposal, Stretch, Watcher};
use crate::find::Colour;
use crate::frames::FrameIndex;
use crate::time::MatchTime;

/// The bytes that waiting pictures may take: at 640 × 360 more than 360 pictures, those of a minute with 30 strikes.
const ROOM: usize = 320 << 20;

/// A frame that is wanted: its place in the index, its time in the file, and its small picture, if it can be made.
pub type Fed = (usize, MatchTime, Option<Colour>);

/// Looks for the players of stretches of one file.
#[derive(Debug)]
pub struct Pass<'a> {
    searches: Vec<Search<'a>>,
    /// The last frame that came by.
    at: usize,
    room: usize,
}

/// What is done for one stretch.
#[derive(Debug, Default)]
struct Search<'a> {
    /// Until its last frame, and unless the court is not known there.
    watcher: Option<Watcher<'a>>,
    /// Frames of the index, in their order: those of the empty court, and those in which players are looked for.
    samples: Vec<usize>,
    looked: Vec<usize>,
    /// Those that wait for the empty court, with their times in the file.
    waiting: Vec<(MatchTime, Arc<Colour>)>,
    /// There was no room for them.
    again: bool,
    found: Vec<Proposal>,
}

impl<'a> Pass<'a> {
    /// Before the first frame.
    pub fn new(cameras: &'a Cameras, stretches: &'a [Stretch], index: &FrameIndex) -> Self {
        let search = |stretch: &'a Stretch| {
            let (samples, looked) = (stretch.samples(index), stretch.looked(index));
            let watcher = Some(Watcher::new(cameras, stretch, index, &looked)?);
            Some(Search { watcher, samples, looked, ..Search::default() })
        };
        let searches = stretches.iter().map(|s| search(s).unwrap_or_default()).collect();
        Self { searches, at: 0, room: ROOM }
    }

    /// The frames that are wanted.
    pub fn frames(&self) -> Vec<usize> {
        in_order(self.searches.iter().flat_map(|s| s.samples.iter().chain(&s.looked)))
    }

    /// Takes them until there are no more. `waits` is told how many of them will be wanted again, as far as that is known.
    pub fn take(&mut self, frames: &Receiver<Fed>, waits: &AtomicUsize) {
        loop {
            let fed = match frames.try_recv() {
                Err(TryRecvError::Empty) if self.look_at_one() => continue,
                Err(TryRecvError::Empty) => frames.recv().ok(),
                fed => fed.ok(),
            };
            let Some((frame, in_file, picture)) = fed else { return };
            self.feed(frame, in_file, || picture);
            waits.store(self.waits_again(), Ordering::Relaxed);
        }
    }

    /// The next of them.
    fn feed(&mut self, frame: usize, in_file: MatchTime, picture: impl FnOnce() -> Option<Colour>) {
        self.at = frame;
        let made = LazyCell::new(|| picture().map(Arc::new));
        for search in &mut self.searches {
            search.feed(frame, in_file, &|| made.clone(), &mut self.room);
        }
    }

    /// Looks at one picture that has waited, and need not wait any more. Says whether there was one.
    fn look_at_one(&mut self) -> bool {
        let ready = |s: &&mut Search<'_>| s.is_known(self.at) && !s.waiting.is_empty();
        let Some(search) = self.searches.iter_mut().find(ready) else { return false };
        search.look_at_waiting(1, &mut self.room);
        search.close_if_over(self.at, &mut self.room);
        true
    }

    fn waits_again(&self) -> usize {
        self.searches.iter().filter(|s| s.again).map(|s| s.looked.len()).sum()
    }

    /// After the last of them: which stretches are looked at again, each alone, first its samples and then the others.
    pub fn again(&mut self) -> Vec<usize> {
        self.searches.iter_mut().for_each(|s| s.close(&mut self.room));
        (0..self.searches.len()).filter(|n| self.searches[*n].again).collect()
    }

    /// The frames that a stretch wants then.
    pub fn wanted_again(&self, stretch: usize, samples: bool) -> Vec<usize> {
        let search = &self.searches[stretch];
        if samples { search.samples.clone() } else { search.looked.clone() }
    }

    /// The next of them.
    pub fn feed_again(
        &mut self,
        stretch: usize,
        samples: bool,
        in_file: MatchTime,
        picture: impl FnOnce() -> Option<Colour>,
    ) {
        let made = LazyCell::new(|| picture().map(Arc::new));
        let Some(watcher) = &mut self.searches[stretch].watcher else { return };
        if samples {
            watcher.sample(in_file, &|| made.clone());
        } else {
            watcher.feed(in_file, &|| made.clone());
        }
    }

    /// After the last of them: its pictures are let go.
    pub fn end_again(&mut self, stretch: usize) {
        self.searches[stretch].again = false;
        self.searches[stretch].close(&mut self.room);
    }

    /// What was found at the strikes of each stretch.
    pub fn finish(mut self) -> Vec<Vec<Proposal>> {
        // A film can end before its last frames do.
        self.searches.iter_mut().for_each(|s| s.close(&mut self.room));
        self.searches.into_iter().map(|s| s.found).collect()
    }
}

impl Search<'_> {
    fn feed(&mut self, frame: usize, in_file: MatchTime, picture: Made<'_>, room: &mut usize) {
        let Some(watcher) = self.watcher.as_mut().filter(|_| !self.again) else { return };
        if self.samples.binary_search(&frame).is_ok() {
            watcher.sample(in_file, picture);
        }
        if self.looked.binary_search(&frame).is_ok() {
            self.look(self.is_known(frame), in_file, picture, room);
        }
        self.close_if_over(frame, room);
    }

    /// Whether the last of the empty court's pictures has come by.
    fn is_known(&self, at: usize) -> bool {
        self.samples.last().is_some_and(|last| *last <= at)
    }

    fn close_if_over(&mut self, at: usize, room: &mut usize) {
        if self.is_known(at) && self.waiting.is_empty() && self.looked.last() <= Some(&at) {
            self.close(room);
        }
    }

    /// A frame near a strike: it waits if the empty court is not known yet.
    fn look(&mut self, is_known: bool, in_file: MatchTime, picture: Made<'_>, room: &mut usize) {
        if is_known && self.waiting.is_empty() {
            return self.watch(in_file, picture);
        }
        let Some(picture) = picture() else { return };
        match room.checked_sub(picture.bytes()) {
            Some(left) => {
                *room = left;
                self.waiting.push((in_file, picture));
            }
            None if is_known => {
                self.look_at_waiting(self.waiting.len(), room);
                self.watch(in_file, &|| Some(picture.clone()));
            }
            None => {
                self.again = true;
                self.watcher.iter_mut().for_each(Watcher::forget);
                *room += self.waiting.drain(..).map(|(_, p)| p.bytes()).sum::<usize>();
            }
        }
    }

    fn watch(&mut self, in_file: MatchTime, picture: Made<'_>) {
        if let Some(watcher) = &mut self.watcher {
            watcher.feed(in_file, picture);
        }
    }

    fn look_at_waiting(&mut self, most: usize, room: &mut usize) {
        for (in_file, picture) in self.waiting.drain(..most.min(self.waiting.len())) {
            *room += picture.bytes();
            if let Some(watcher) = &mut self.watcher {
                watcher.feed(in_file, &|| Some(picture.clone()));
            }
        }
    }

    /// What was found is kept, and no picture any more; unless all of it is looked at again.
    fn close(&mut self, room: &mut usize) {
        self.look_at_waiting(self.waiting.len(), room);
        if !self.again {
            self.found.extend(self.watcher.take().into_iter().flat_map(Watcher::finish));
        }
    }
}

fn in_order<'a>(frames: impl Iterator<Item = &'a usize>) -> Vec<usize> {
    let mut frames: Vec<usize> = frames.copied().collect();
    frames.sort_unstable();
    frames.dedup();
    frames
}

#[cfg(test)]
#[path = "pass_tests.rs"]
mod tests;
