//! Finds the cuts of footage in its small pictures, one after another.
//!
//! A cut is a difference between two frames that stands out among those around it (B.-L. Yeo, B. Liu, "Rapid scene analysis on
//! compressed video", IEEE Trans. Circuits and Systems for Video Technology 5(6), 1995, section III). Either most of the picture is new, or the camera
//! stood still and players are suddenly elsewhere. If the pictures around it are alike, it was a flash.

use std::collections::VecDeque;
use std::time::Duration;

use super::compare::News;
use super::small::Small;
use crate::time::MatchTime;

/// Frames that are looked at on each side of a cut.
const SIDE: usize = 6;
/// Frames that a flash lasts at most.
const FLASH: usize = 4;
/// How many times the second largest difference around it.
const TIMES: f64 = 2.5;
/// The part of the patches with texture that is new if the whole picture is.
const WHOLE: f64 = 0.35;
/// Patches that are new at least.
const PATCHES: usize = 5;
/// What is new besides the largest part, at least, and in terms of the second largest difference: a graphic is one part.
const REST: (usize, f64) = (2, 1.5);
/// How far things move in the small picture, pixels a second, and at least and at most between two frames.
const SPEED: f64 = 150.0;
const REACH: (f64, f64) = (3.0, 10.0);
const STEP: isize = 5;

/// Looks at the pictures of footage in their order and notes the cuts. Dissolves and fades are no cuts.
#[derive(Debug, Default)]
pub struct Cutter {
    /// The last pictures, each with how it differs from the one before.
    seen: VecDeque<(MatchTime, Small, News)>,
    cuts: Vec<MatchTime>,
}

impl Cutter {
    /// Takes in the next picture and the time at which it is shown.
    pub fn see(&mut self, at: MatchTime, picture: Small) {
        let news = self.seen.back().map(|(t, before, _)| {
            let apart = Duration::from_nanos(at.nanos().saturating_sub(t.nanos()));
            News::of(before, &picture, reach(apart))
        });
        self.seen.push_back((at, picture, news.unwrap_or_default()));
        if self.seen.len() > 2 * SIDE + 1 {
            self.seen.pop_front();
        }
        if let Some(n) = self.seen.len().checked_sub(SIDE + 1) {
            self.judge(n);
        }
    }

    /// The cuts that are certain so far. A cut is certain six pictures after it.
    pub fn found(&self) -> &[MatchTime] {
        &self.cuts
    }

    /// The cuts: the times of the first pictures after them.
    pub fn finish(mut self) -> Vec<MatchTime> {
        for n in self.seen.len().saturating_sub(SIDE)..self.seen.len() {
            self.judge(n);
        }
        self.cuts
    }

    fn judge(&mut self, n: usize) {
        let (at, _, news) = &self.seen[n];
        if n > 0 && (self.is_whole(n, news) || self.is_elsewhere(n, news)) && !self.is_flash(n) {
            self.cuts.push(*at);
        }
    }

    /// The differences around one.
    fn others(&self, n: usize) -> impl Iterator<Item = &News> {
        let near = n.saturating_sub(SIDE)..(n + SIDE + 1).min(self.seen.len());
        near.filter(move |i| *i != n).map(|i| &self.seen[i].2)
    }

    /// Whether most of the picture is new.
    fn is_whole(&self, n: usize, news: &News) -> bool {
        let second = self.others(n).map(|o| o.textured_new).max().unwrap_or(0);
        news.textured_new >= PATCHES
            && news.textured_new as f64 >= WHOLE * news.textured as f64
            && news.textured_new as f64 >= TIMES * second as f64
    }

    /// Whether the camera stood still and players are elsewhere.
    fn is_elsewhere(&self, n: usize, news: &News) -> bool {
        let second = self.others(n).map(|o| o.count).max().unwrap_or(0);
        if 2 * news.still < news.textured
            || news.count < PATCHES
            || (news.count as f64) < TIMES * second as f64
        {
            return false;
        }
        let (patches, largest) = news.living(self.others(n));
        let rest = patches - largest;
        patches >= PATCHES
            && patches as f64 >= TIMES * second as f64
            && rest >= REST.0
            && rest as f64 >= REST.1 * second as f64
    }

    /// Whether a picture soon after is as the one before, or one soon before as the one after.
    fn is_flash(&self, n: usize) -> bool {
        let news = &self.seen[n].2;
        // Farther apart more would be alike by chance: as far as between two frames is enough for a flash.
        let alike = |a: usize, b: usize| match (self.seen.get(a), self.seen.get(b)) {
            (Some((_, a, _)), Some((_, b, _))) => {
                let between = News::of(a, b, STEP);
                2 * between.count <= news.count && 2 * between.textured_new <= news.textured_new
            }
            _ => false,
        };
        (1..=FLASH).any(|k| alike(n - 1, n + k) || n.checked_sub(1 + k).is_some_and(|b| alike(b, n)))
    }
}

/// How far things move in this time, in pixels.
fn reach(apart: Duration) -> isize {
    (SPEED * apart.as_secs_f64()).clamp(REACH.0, REACH.1).round() as isize
}
