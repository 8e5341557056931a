//! What is seen on the screen, turned into actions.
//!
//! The window does not say which key was pressed. It says what is on the screen, and an action is noted when that is not what
//! follows from the action before. So whatever changes the picture is in the talk: keys, a remote control, freezes of the lesson, a
//! clip that ends, a decoder that was late.

use std::time::Duration;

use super::model::{Action, Deed};
use crate::lesson::model::Pace;
use crate::time::MatchTime;

/// What is on the screen now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screen {
    /// Which of the take's clips, from 0.
    pub clip: usize,
    /// The frame: when it appears in its file.
    pub moment: MatchTime,
    /// How long it is shown at full speed.
    pub lasts: Duration,
    /// How fast it plays; `None` when it stands.
    pub pace: Option<Pace>,
}

/// Notes actions. Made anew for each take.
#[derive(Debug, Clone, Default)]
pub struct Watcher {
    /// When the picture was last noted, and what it was.
    noted: Option<(MatchTime, Screen)>,
}

impl Watcher {
    /// The screen at a moment of the take: what was done, if anything.
    pub fn see(&mut self, at: MatchTime, now: Screen) -> Vec<Action> {
        let deeds = match self.noted {
            None => appears(now),
            Some((_, before)) if before.clip != now.clip => appears(now),
            Some((since, before)) => Self::changed(at, since, before, now),
        };
        // The clip that a take begins with is there from its first sample on.
        let at = if self.noted.is_none() { MatchTime::ZERO } else { at };
        if !deeds.is_empty() {
            self.noted = Some((at, now));
        }
        deeds.into_iter().map(|does| Action { at, does }).collect()
    }

    fn changed(at: MatchTime, since: MatchTime, before: Screen, now: Screen) -> Vec<Deed> {
        let moment = now.moment;
        match (before.pace, now.pace) {
            (None, Some(pace)) => vec![Deed::Play { moment, pace }],
            (Some(_), None) => vec![Deed::Pause { moment }],
            (Some(was), Some(pace)) if was != pace => vec![Deed::Play { moment, pace }],
            (None, None) if before.moment == moment => Vec::new(),
            (None, None) => {
                let off = moment.nanos().abs_diff(before.moment.nanos());
                // Rates vary: a step is up to one frame and a half.
                let one = off <= (now.lasts.max(before.lasts).as_nanos() as u64) * 3 / 2;
                vec![if one { Deed::Step { moment } } else { Deed::Go { moment } }]
            }
            (Some(pace), Some(_)) => {
                let passed = u128::from(at.nanos().saturating_sub(since.nanos())) * u128::from(pace.0) / 100;
                let wanted = before.moment.nanos().saturating_add(u64::try_from(passed).unwrap_or(u64::MAX));
                let off = wanted.abs_diff(moment.nanos());
                if off <= slack(now.lasts) { Vec::new() } else { vec![Deed::Go { moment }] }
            }
        }
    }

    /// What was noted last.
    pub fn clip(&self) -> Option<usize> {
        self.noted.map(|(_, screen)| screen.clip)
    }
}

fn appears(now: Screen) -> Vec<Deed> {
    let moment = now.moment;
    let plays = now.pace.map(|pace| Deed::Play { moment, pace });
    std::iter::once(Deed::Clip { clip: now.clip, moment }).chain(plays).collect()
}

/// How far a frame that plays may be from where it should be before that is noted: it is seen for its own length, and the screen
/// draws it at its next refresh.
fn slack(lasts: Duration) -> u64 {
    (lasts.as_nanos() as u64).min(100_000_000) + 20_000_000
}
