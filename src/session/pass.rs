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
//! The pictures that wait take 320 MiB at most. A point for which there is no room is looked at again after the pass.

use std::cell::LazyCell;
use std::sync::Arc;

use super::cameras::Cameras;
use super::proposing::{Made, Proposal, Stretch, Watcher};
use crate::find::Colour;
use crate::frames::FrameIndex;
use crate::time::MatchTime;

/// The bytes that waiting pictures may take: at 640 × 360 more than 360 pictures, those of a minute with 24 strikes.
const ROOM: usize = 320 << 20;

/// So many of them are looked at when a frame comes by: the decoder never waits long.
const AT_ONCE: usize = 3;

/// Looks for the players of stretches of one file.
#[derive(Debug)]
pub struct Pass<'a> {
    searches: Vec<Search<'a>>,
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
            let watcher = Some(Watcher::new(cameras, stretch, index)?);
            let (samples, looked) = (stretch.samples(index), stretch.looked(index));
            Some(Search { watcher, samples, looked, ..Search::default() })
        };
        Self { searches: stretches.iter().map(|s| search(s).unwrap_or_default()).collect(), room: ROOM }
    }

    /// The frames that are wanted.
    pub fn frames(&self) -> Vec<usize> {
        in_order(self.searches.iter().flat_map(|s| s.samples.iter().chain(&s.looked)))
    }

    /// The next of them, by its place in the index and its time in the file.
    pub fn feed(&mut self, frame: usize, in_file: MatchTime, picture: impl FnOnce() -> Option<Colour>) {
        let made = LazyCell::new(|| picture().map(Arc::new));
        for search in &mut self.searches {
            search.feed(frame, in_file, &|| made.clone(), &mut self.room);
        }
    }

    /// How many frames will be wanted again, as far as that is known.
    pub fn waits_again(&self) -> usize {
        self.searches.iter().filter(|s| s.again).map(|s| s.looked.len()).sum()
    }

    /// After the last of them: the frames that are wanted again, from the first.
    pub fn again(&mut self) -> Vec<usize> {
        let mut frames = Vec::new();
        for search in &mut self.searches {
            search.close(&mut self.room);
            search.samples.clear();
            if std::mem::take(&mut search.again) {
                frames.extend(&search.looked);
            }
        }
        in_order(frames.iter())
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
        let Some(watcher) = &mut self.watcher else { return };
        if self.samples.binary_search(&frame).is_ok() {
            watcher.sample(in_file, picture);
        }
        let is_known = self.samples.last() <= Some(&frame);
        if is_known {
            self.look_at_waiting(AT_ONCE, room);
        }
        if self.looked.binary_search(&frame).is_ok() && !self.again {
            self.look(is_known, in_file, picture, room);
        }
        if is_known && self.waiting.is_empty() && self.looked.last() <= Some(&frame) {
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
