//! How a clip runs when it is shown: where it is slow, where the picture stands still, and how often it comes.

use std::time::Duration;

use crate::drawing::Drawing;
use crate::lesson::{Clip, Freeze};
use crate::time::MatchTime;

/// What to do at a frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Play on at this speed.
    Play(f64),
    /// Stand still at the frame of this moment for so long.
    Freeze(MatchTime, Duration),
}

/// A clip that is shown.
#[derive(Debug, Clone)]
pub struct Run {
    clip: Clip,
    /// How many of its freezes were shown in this round.
    frozen: usize,
    /// The freeze that is shown, and how long it has been, if one is.
    standing: Option<usize>,
    /// How often it was shown before.
    round: u8,
}

impl Run {
    /// A clip at its beginning.
    pub const fn new(clip: Clip) -> Self {
        Self { clip, frozen: 0, standing: None, round: 0 }
    }

    /// What to do now that the frame of this moment is on the screen while it plays.
    pub fn at(&mut self, moment: MatchTime) -> Step {
        let next = self.clip.freezes.get(self.frozen).filter(|f| f.at <= moment);
        if let Some(Freeze { at, lasts, .. }) = next {
            self.standing = Some(self.frozen);
            self.frozen += 1;
            return Step::Freeze(*at, *lasts - MatchTime::ZERO);
        }
        Step::Play(self.speed(moment))
    }

    /// The speed at a moment: 1 is the full speed.
    pub fn speed(&self, moment: MatchTime) -> f64 {
        let stretch = self.clip.stretches.iter().find(|s| s.from <= moment && moment < s.to);
        stretch.map_or(1.0, |s| f64::from(s.pace.0) / 100.0)
    }

    /// The freeze is over.
    pub const fn go_on(&mut self) {
        self.standing = None;
    }

    /// Somebody went to another moment: freezes from there on come again.
    pub fn jumped(&mut self, moment: MatchTime) {
        self.standing = None;
        self.frozen = self.clip.freezes.iter().filter(|f| f.at < moment).count();
    }

    /// The clip came to its end: says whether it is shown once more.
    pub fn again(&mut self) -> bool {
        self.round += 1;
        (self.frozen, self.standing) = (0, None);
        self.round < self.clip.times.unwrap_or(1)
    }

    /// What is drawn over the frame of a moment. While the picture stands, `stood` is how long.
    pub fn drawings(&self, moment: MatchTime, stood: MatchTime) -> Vec<Drawing> {
        let over = self.clip.drawings.iter().filter(|d| d.seen_at(moment));
        let freeze = self.standing.and_then(|n| self.clip.freezes.get(n));
        let on = freeze.into_iter().flat_map(|f| f.drawings.iter().filter(|d| d.seen_at(stood)));
        over.chain(on).cloned().collect()
    }

    /// The clip.
    pub const fn clip(&self) -> &Clip {
        &self.clip
    }
}
