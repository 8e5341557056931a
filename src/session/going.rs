//! Goes to a typed moment: a time of the match, seconds forward or back, or a frame of the file that is shown.

use std::str::FromStr;
use std::time::Duration;

use thiserror::Error;

use super::parts::{Parts, Place};
use crate::time::MatchTime;

/// What was typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goal {
    /// A time on the match clock.
    At(MatchTime),
    /// So much later than what is shown.
    Later(Duration),
    /// So much earlier.
    Earlier(Duration),
    /// A frame of the file that is shown, from 1, as the window counts them.
    Frame(usize),
}

/// Why nobody can go there.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum GoalError {
    /// Nothing was typed.
    #[error("Enter a time, for example 1:23:45.")]
    Empty,
    /// It is no time and no frame.
    #[error("“{found}” is not a time. Write 1:23:45, 83:45, +30, -10 or frame 1200.")]
    Unclear {
        /// What was typed.
        found: String,
    },
    /// Sixty or more seconds, or minutes beside hours.
    #[error("“{found}” has {part} of 60 or more. Write 1:23:45 or 83:45.")]
    Sixty {
        /// What was typed.
        found: String,
        /// Seconds or minutes.
        part: &'static str,
    },
    /// It lies outside the footage.
    #[error("There is no footage at {}. It runs from {} to {}.", .at.short(), .from.short(), .to.short())]
    Outside {
        /// Where one wanted to go.
        at: MatchTime,
        /// Where the footage begins.
        from: MatchTime,
        /// Where it ends.
        to: MatchTime,
    },
    /// There is no such frame.
    #[error("There is no frame {found}. This file has frames 1 to {most}.")]
    NoFrame {
        /// The number.
        found: usize,
        /// The last frame.
        most: usize,
    },
    /// There is nothing to count from.
    #[error("No footage is shown. Open the footage first.")]
    NothingShown,
}

impl FromStr for Goal {
    type Err = GoalError;

    fn from_str(text: &str) -> Result<Self, GoalError> {
        let text = text.trim();
        let unclear = || GoalError::Unclear { found: text.to_owned() };
        if text.is_empty() {
            return Err(GoalError::Empty);
        }
        let lower = text.to_lowercase();
        if let Some(number) = lower.strip_prefix("frame").or_else(|| lower.strip_prefix('#')) {
            return number.trim().parse().map(Self::Frame).map_err(|_| unclear());
        }
        if let Some(rest) = text.strip_prefix('+') {
            return length(rest, text).map(Self::Later);
        }
        if let Some(rest) = text.strip_prefix(['-', '−', '–']) {
            return length(rest, text).map(Self::Earlier);
        }
        length(text, text).map(|d| Self::At(MatchTime::ZERO.later(d)))
    }
}

/// `1:23:45.5`, `83:45`, `45`: hours, minutes, seconds; the first number may be of any size.
fn length(text: &str, whole: &str) -> Result<Duration, GoalError> {
    const MOST: u64 = 1_000_000;
    let unclear = || GoalError::Unclear { found: whole.to_owned() };
    let parts: Vec<&str> = text.trim().split(':').collect();
    if parts.len() > 3 {
        return Err(unclear());
    }
    let mut nanos: u64 = 0;
    for (n, part) in parts.iter().enumerate() {
        let last = n + 1 == parts.len();
        let (seconds, rest) = if last { part.split_once('.').unwrap_or((part, "")) } else { (*part, "") };
        let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(seconds) || !(rest.is_empty() || digits(rest)) {
            return Err(unclear());
        }
        let number: u64 = seconds.parse().map_err(|_| unclear())?;
        if n > 0 && number >= 60 {
            let part = if last { "seconds" } else { "minutes" };
            return Err(GoalError::Sixty { found: whole.to_owned(), part });
        }
        if number > MOST {
            return Err(unclear());
        }
        let fraction: String = rest.chars().chain("000000000".chars()).take(9).collect();
        nanos = nanos * 60 + number * 1_000_000_000 + fraction.parse::<u64>().unwrap_or(0);
    }
    Ok(Duration::from_nanos(nanos))
}

impl Goal {
    /// The moment on the match clock, from the one that is shown now.
    ///
    /// # Errors
    /// [`GoalError`] where no footage is.
    pub fn moment(self, now: Option<(MatchTime, Place)>, parts: &Parts) -> Result<MatchTime, GoalError> {
        let (from, to) = parts.ends();
        let shown = now.ok_or(GoalError::NothingShown);
        let at = match self {
            Self::At(at) => at,
            Self::Later(by) => shown?.0.later(by),
            // Further back than the footage goes is its start.
            Self::Earlier(by) => shown?.0.earlier(by).max(from),
            Self::Frame(found) => {
                let place = shown?.1;
                let most = parts.get(place.part).ok_or(GoalError::NothingShown)?.index.len();
                let frame = found.checked_sub(1).filter(|f| *f < most);
                let place = frame.map(|frame| Place { frame, ..place });
                return place.and_then(|p| parts.moment(p)).ok_or(GoalError::NoFrame { found, most });
            }
        };
        if parts.showing(at).is_some() { Ok(at) } else { Err(GoalError::Outside { at, from, to }) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::FrameIndex;
    use crate::session::parts::Part;
    use proptest::prelude::*;
    use std::sync::Arc;

    fn goal(text: &str) -> Result<Goal, String> {
        text.parse().map_err(|e: GoalError| e.to_string())
    }

    fn seconds(n: u64) -> Duration {
        Duration::from_secs(n)
    }

    #[test]
    fn what_is_typed_is_understood() {
        for (text, want) in [
            ("1:23:45", Goal::At(MatchTime::from_secs(5025))),
            (" 83:45 ", Goal::At(MatchTime::from_secs(5025))),
            ("45", Goal::At(MatchTime::from_secs(45))),
            ("0:28.25", Goal::At(MatchTime::from_millis(28_250))),
            ("+30", Goal::Later(seconds(30))),
            ("+ 1:30", Goal::Later(seconds(90))),
            ("-10", Goal::Earlier(seconds(10))),
            ("−0.5", Goal::Earlier(Duration::from_millis(500))),
            ("frame 1200", Goal::Frame(1200)),
            ("Frame1200", Goal::Frame(1200)),
        ] {
            assert_eq!(goal(text), Ok(want), "{text}");
        }
    }

    #[test]
    fn what_is_not_understood_is_told_with_what_is() {
        let unclear = |t: &str| format!("“{t}” is not a time. Write 1:23:45, 83:45, +30, -10 or frame 1200.");
        for text in
            ["noon", "1:2:3:4", "1::3", "frame x", "frame -3", "--3", "1.2.3", "5m", "99999999999999999999"]
        {
            assert_eq!(goal(text), Err(unclear(text)), "{text}");
        }
        assert_eq!(goal("  "), Err("Enter a time, for example 1:23:45.".into()));
        assert_eq!(
            goal("1:75:00"),
            Err("“1:75:00” has minutes of 60 or more. Write 1:23:45 or 83:45.".into())
        );
        assert_eq!(goal("5:60"), Err("“5:60” has seconds of 60 or more. Write 1:23:45 or 83:45.".into()));
    }

    #[test]
    fn a_moment_is_found_from_what_is_shown_or_it_is_said_where_the_footage_is() {
        let times: Vec<MatchTime> = (0..100).map(|n| MatchTime::from_millis(n * 40)).collect();
        let times = times.into_iter().map(|t| (t, true)).collect();
        let index = Arc::new(FrameIndex::new(times, None).unwrap());
        let parts = Parts::new(vec![Part { index, start: MatchTime::from_secs(10) }]);
        let now = Some((MatchTime::from_secs(12), Place { part: 0, frame: 50 }));
        let to = |text: &str| goal(text)?.moment(now, &parts).map_err(|e| e.to_string());
        assert_eq!(to("0:11"), Ok(MatchTime::from_secs(11)));
        assert_eq!(to("+1"), Ok(MatchTime::from_secs(13)));
        assert_eq!(to("-60"), Ok(MatchTime::from_secs(10)), "the start of the footage");
        assert_eq!(to("frame 26"), Ok(MatchTime::from_secs(11)));
        assert_eq!(to("frame 101"), Err("There is no frame 101. This file has frames 1 to 100.".into()));
        assert_eq!(to("frame 0"), Err("There is no frame 0. This file has frames 1 to 100.".into()));
        let outside = "There is no footage at 0:01:00. It runs from 0:00:10 to 0:00:14.";
        assert_eq!(to("1:00"), Err(outside.into()));
        assert_eq!(Goal::Later(seconds(1)).moment(None, &parts), Err(GoalError::NothingShown));
    }

    proptest! {
        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,24}", digits in "[0-9:.+-]{0,24}") {
            let _ = (goal(&text), goal(&digits));
        }
    }
}
