//! The match clock of a match without footage.
//!
//! The wall clock is asked once, when a record is opened: the match clock shows how long ago it was started
//! ([`MatchInfo::clock_started`]). From then on a steady clock counts, so that a wall clock that is set while a match is
//! logged moves no stamp. Where the wall clock was set back since, the match clock goes on from the last stamp.

use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::record::{MatchInfo, Record};
use crate::time::MatchTime;

const HUNDREDTH: u64 = 10_000_000;

/// A match clock that runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RunningClock {
    /// The wall clock when the steady clock showed `steady`; later where that is needed to stay after the last stamp.
    wall: DateTime<FixedOffset>,
    steady: Duration,
}

impl RunningClock {
    /// The clock of a record that is opened at `wall`, when the steady clock shows `steady`.
    pub fn set(record: &Record, wall: DateTime<FixedOffset>, steady: Duration) -> Self {
        let last = delta(record.last_time().unwrap_or_default());
        let earliest = record.about.clock_started.and_then(|zero| zero.checked_add_signed(last));
        Self { wall: earliest.map_or(wall, |e| wall.max(e)), steady }
    }

    /// What the match clock shows when the steady clock shows `steady`, in whole hundredths of a second, rounded up;
    /// `None` when it was not started.
    pub fn shows(&self, about: &MatchInfo, steady: Duration) -> Option<MatchTime> {
        let since = TimeDelta::from_std(steady.saturating_sub(self.steady)).ok()?;
        let now = about.on_match_clock(self.wall.checked_add_signed(since)?)?;
        now.nanos().div_ceil(HUNDREDTH).checked_mul(HUNDREDTH).map(MatchTime::from_nanos)
    }

    /// The time at which a match clock that is started at `steady` showed 0: now, or so long ago that everything logged so
    /// far is in its past.
    pub fn zero(&self, record: &Record, steady: Duration) -> Option<DateTime<FixedOffset>> {
        let since = TimeDelta::from_std(steady.saturating_sub(self.steady)).ok()?;
        let logged = delta(record.last_time().unwrap_or_default());
        self.wall.checked_add_signed(since)?.checked_sub_signed(logged)
    }
}

fn delta(to: MatchTime) -> TimeDelta {
    TimeDelta::nanoseconds(i64::try_from(to.nanos()).unwrap_or(i64::MAX))
}

/// A clock that nobody sets and that never goes back. On Linux it also counts while the computer sleeps, as between two
/// games of a match, which [`std::time::Instant`] does not.
#[cfg(all(target_os = "linux", not(feature = "portable")))]
pub fn steady() -> Duration {
    // The system gives neither number below 0.
    let now = rustix::time::clock_gettime(rustix::time::ClockId::Boottime);
    Duration::new(now.tv_sec.try_into().unwrap_or_default(), now.tv_nsec.try_into().unwrap_or_default())
}

/// A clock that nobody sets and that never goes back.
#[cfg(any(not(target_os = "linux"), feature = "portable"))]
pub fn steady() -> Duration {
    static FIRST: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
    FIRST.get_or_init(std::time::Instant::now).elapsed()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Point;
    use proptest::prelude::*;

    fn wall(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(&format!("2026-05-09T{text}+02:00")).unwrap()
    }

    /// A record whose clock was started at 10:00, with points that end at these moments, in milliseconds.
    fn logged(ends: &[u64]) -> Record {
        let point = |ms: &u64| Point { end: Some(MatchTime::from_millis(*ms)), ..Point::default() };
        let mut record = Record { points: ends.iter().map(point).collect(), ..Record::default() };
        record.about.clock_started = Some(wall("10:00:00"));
        record
    }

    const fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    #[test]
    fn it_runs_from_its_start() {
        let record = logged(&[]);
        let clock = RunningClock::set(&record, wall("10:00:00"), ms(7_000));
        let at = |steady| clock.shows(&record.about, ms(steady));
        assert_eq!(at(7_000), Some(MatchTime::ZERO));
        assert_eq!(at(8_231), Some(MatchTime::from_millis(1_240)), "hundredths, rounded up");
        assert_eq!(at(6_000), Some(MatchTime::ZERO), "a steady clock does not go back");
    }

    #[test]
    fn a_record_opened_again_goes_on_as_the_wall_clock_did() {
        let record = logged(&[4_000]);
        let clock = RunningClock::set(&record, wall("10:30:00"), ms(50));
        assert_eq!(clock.shows(&record.about, ms(1_050)), Some(MatchTime::from_secs(1801)));
    }

    #[test]
    fn a_wall_clock_set_back_leaves_it_after_the_last_stamp() {
        let record = logged(&[4_000, 9_005]);
        for opened in ["10:00:02", "08:15:00"] {
            let clock = RunningClock::set(&record, wall(opened), ms(50));
            assert_eq!(clock.shows(&record.about, ms(50)), Some(MatchTime::from_millis(9_010)));
            assert_eq!(clock.shows(&record.about, ms(1_045)), Some(MatchTime::from_secs(10)));
        }
    }

    #[test]
    fn a_clock_that_is_moved_shows_the_same_moment_on_it() {
        // As aligning does, and undoing it.
        let mut record = logged(&[4_000]);
        let clock = RunningClock::set(&record, wall("10:00:05"), ms(0));
        record.about.clock_started = Some(wall("09:59:00"));
        assert_eq!(clock.shows(&record.about, ms(0)), Some(MatchTime::from_secs(65)));
    }

    #[test]
    fn one_that_was_not_started_shows_nothing_and_starts_after_what_is_logged() {
        let mut record = logged(&[30_000]);
        record.about.clock_started = None;
        let clock = RunningClock::set(&record, wall("10:00:00"), ms(0));
        assert_eq!(clock.shows(&record.about, ms(500)), None);
        record.about.clock_started = clock.zero(&record, ms(1_000));
        assert_eq!(record.about.clock_started, Some(wall("09:59:31")));
        assert_eq!(clock.shows(&record.about, ms(2_000)), Some(MatchTime::from_secs(31)));
    }

    #[test]
    fn the_steady_clock_goes_on() {
        let before = steady();
        std::thread::sleep(ms(40));
        let after = steady();
        assert!(after >= before + ms(20), "{before:?} {after:?}");
    }

    proptest! {
        /// Whatever the wall clock says when the record is opened, no moment lies before the last stamp, and the
        /// differences are those of the steady clock.
        #[test]
        fn never_back(last in 0u64..20_000_000, opened in -30_000_000i64..30_000_000, a in 0u64..9_000_000, b in 0u64..9_000_000) {
            let record = logged(&[last]);
            let opened = wall("10:00:00") + TimeDelta::milliseconds(opened);
            let clock = RunningClock::set(&record, opened, ms(77));
            let at = |later: u64| clock.shows(&record.about, ms(77 + later)).unwrap();
            prop_assert!(at(0) >= MatchTime::from_millis(last));
            let (first, second) = (a.min(b), a.max(b));
            let went = at(second) - at(first);
            prop_assert!(went.abs_diff(ms(second - first)) < ms(10));
        }
    }
}
