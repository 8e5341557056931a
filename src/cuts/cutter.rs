//! Finds the cuts of footage in its small pictures, one after another.
//!
//! A cut is a difference between two frames that stands out among those around it (B.-L. Yeo, B. Liu, "Rapid scene analysis on
//! compressed video", IEEE Trans. Circuits and Systems for Video Technology 5(6), 1995, section III). Either most of the picture is new, or the camera
//! stood still and players are suddenly elsewhere. If the pictures around it are alike, it was a flash.

use std::collections::VecDeque;
use std::time::Duration;

use super::compare::News;
use super::jump::Jump;
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
/// Pixels of players who came elsewhere, at least.
const PLAYERS: usize = 12;
/// Patches with texture that are new then, at least: one where they went, one where they came.
const PLACES: usize = 2;
/// How far things move in the small picture, pixels a second, and at least and at most between two frames.
const SPEED: f64 = 150.0;
const REACH: (f64, f64) = (3.0, 10.0);
const STEP: isize = 5;
/// As these, of a player: a racket that swings is faster, but small.
const RUN: f64 = 90.0;
const RUN_REACH: (f64, f64) = (3.0, 9.0);

/// A picture, and how it differs from the one before.
#[derive(Debug)]
struct Seen {
    at: MatchTime,
    picture: Small,
    news: News,
    jump: Jump,
}

/// Looks at the pictures of footage in their order and notes the cuts. Dissolves and fades are no cuts.
#[derive(Debug, Default)]
pub struct Cutter {
    /// The last pictures.
    seen: VecDeque<Seen>,
    cuts: Vec<MatchTime>,
}

impl Cutter {
    /// Takes in the next picture and the time at which it is shown.
    pub fn see(&mut self, at: MatchTime, picture: Small) {
        let (news, jump) = self.seen.back().map_or_else(Default::default, |before| {
            let apart = Duration::from_nanos(at.nanos().saturating_sub(before.at.nanos()));
            let (far, run) = (reach(apart, SPEED, REACH), reach(apart, RUN, RUN_REACH));
            (News::of(&before.picture, &picture, far.cast_signed()), Jump::of(&before.picture, &picture, run))
        });
        self.seen.push_back(Seen { at, picture, news, jump });
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
        let is_cut = n > 0
            && (self.is_whole(n) && !self.is_flash(n) || self.is_elsewhere(n) && !self.is_for_a_moment(n));
        if is_cut {
            self.cuts.push(self.seen[n].at);
        }
    }

    /// The pictures around one.
    fn others(&self, n: usize) -> impl Iterator<Item = &Seen> {
        let near = n.saturating_sub(SIDE)..(n + SIDE + 1).min(self.seen.len());
        near.filter(move |i| *i != n).map(|i| &self.seen[i])
    }

    /// Whether most of the picture is new.
    fn is_whole(&self, n: usize) -> bool {
        let news = &self.seen[n].news;
        let second = self.others(n).map(|o| o.news.textured_new).max().unwrap_or(0);
        news.textured_new >= PATCHES
            && news.textured_new as f64 >= WHOLE * news.textured as f64
            && news.textured_new as f64 >= TIMES * second as f64
    }

    /// Whether the camera stood still and players are elsewhere. What lies over the picture, such as a score, never moves.
    fn is_elsewhere(&self, n: usize) -> bool {
        let Seen { news, jump, .. } = &self.seen[n];
        let second = self.others(n).map(|o| o.jump.pixels).max().unwrap_or(0);
        jump.pixels >= PLAYERS
            && news.textured_new >= PLACES
            && jump.pixels as f64 >= TIMES * second as f64
            && 2 * news.still >= news.textured
            && self.others(n).any(|o| jump.meets(o.news.moves()))
    }

    /// Whether a picture soon after is as the one before, or one soon before as the one after.
    fn is_flash(&self, n: usize) -> bool {
        let news = &self.seen[n].news;
        self.comes_back(n, |a, b| {
            // Farther apart more would be alike by chance: as far as between two frames is enough for a flash.
            let between = News::of(a, b, STEP);
            2 * between.count <= news.count && 2 * between.textured_new <= news.textured_new
        })
    }

    /// The same, of players who are elsewhere. They may be as near each other as between two frames: farther, the small ones at
    /// the far end would be alike wherever they are.
    fn is_for_a_moment(&self, n: usize) -> bool {
        let Seen { at, jump, .. } = &self.seen[n];
        let apart = Duration::from_nanos(at.nanos().saturating_sub(self.seen[n - 1].at.nanos()));
        let run = reach(apart, RUN, RUN_REACH);
        self.comes_back(n, |a, b| 2 * Jump::of(a, b, run).pixels <= jump.pixels)
    }

    fn comes_back(&self, n: usize, is_alike: impl Fn(&Small, &Small) -> bool) -> bool {
        let alike = |a: usize, b: usize| match (self.seen.get(a), self.seen.get(b)) {
            (Some(a), Some(b)) => is_alike(&a.picture, &b.picture),
            _ => false,
        };
        (1..=FLASH).any(|k| alike(n - 1, n + k) || n.checked_sub(1 + k).is_some_and(|b| alike(b, n)))
    }
}

/// How far things move in this time, in pixels.
fn reach(apart: Duration, speed: f64, (least, most): (f64, f64)) -> usize {
    (speed * apart.as_secs_f64()).clamp(least, most).round() as usize
}
