//! Attaches footage to points that were logged without it. One moment that was both logged and filmed aligns the two clocks.
//!
//! Courtside, points are stamped on a match clock that was started at a moment of the wall clock,
//! [`MatchInfo::clock_started`](super::MatchInfo::clock_started). Both clocks are assumed to run equally fast, so one pair of
//! times is enough. The match clock has no time before 0. If the camera started before the match clock, everything that was
//! logged moves later and `clock_started` moves earlier, so that every moment keeps its wall-clock time.

use std::str::FromStr;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::edit::Edit;
use super::model::{Footage, MatchInfo, Record};
use crate::time::{MatchTime, TimeError};

/// One moment on both clocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sync {
    /// On the match clock.
    pub logged: MatchTime,
    /// In the footage, from its first moment.
    pub shown: MatchTime,
}

impl FromStr for Sync {
    type Err = TimeError;

    /// `LOGGED=SHOWN`, two times.
    fn from_str(text: &str) -> Result<Self, TimeError> {
        let (logged, shown) = text.split_once('=').unwrap_or((text, ""));
        Ok(Self { logged: logged.trim().parse()?, shown: shown.trim().parse()? })
    }
}

impl MatchInfo {
    /// A moment of the wall clock on the match clock; `None` when none was started, or only later.
    pub fn on_match_clock(&self, moment: DateTime<FixedOffset>) -> Option<MatchTime> {
        let since = (moment - self.clock_started?).num_nanoseconds()?;
        u64::try_from(since).ok().map(MatchTime::from_nanos)
    }
}

/// The edit that gives a record this footage, placed by `sync`; what `footage.start` says does not count. Footage of the
/// same name gives way to it. Undone, the record is as before.
pub fn align(record: &Record, footage: Footage, sync: Sync) -> Edit {
    align_all(record, vec![Footage { start: MatchTime::ZERO, ..footage }], sync)
}

/// As [`align`], for the files of one match: each `start` counts from the first moment of all, as `sync.shown` does.
pub fn align_all(record: &Record, footage: Vec<Footage>, sync: Sync) -> Edit {
    let (later, begins) = (sync.shown - sync.logged, sync.logged - sync.shown);
    let mut files: Vec<Footage> = (record.footage.iter())
        .filter(|f| footage.iter().all(|new| new.file != f.file))
        .map(|f| Footage { start: f.start.later(later), ..f.clone() })
        .collect();
    files.extend(footage.into_iter().map(|f| Footage { start: f.start.later(begins), ..f }));
    files.sort_by_key(|f| f.start);
    Edit::AlignFootage { footage: files, later: MatchTime::ZERO.later(later), earlier: MatchTime::ZERO }
}

impl Record {
    /// Every time on the match clock except those of the footage. Marks of the court have times of their file.
    fn times(&mut self) -> impl Iterator<Item = &mut MatchTime> {
        let drawn = self.drawings.iter_mut().flat_map(|d| [&mut d.from, &mut d.to]);
        let logged = self.points.iter_mut().flat_map(|p| {
            let shots = p.shots.iter_mut().chain(&mut p.serves_out).flat_map(|shot| {
                shot.at.iter_mut().chain(shot.positions.iter_mut().map(|position| &mut position.frame))
            });
            p.start.iter_mut().chain(&mut p.end).chain(shots)
        });
        logged.chain(drawn)
    }

    /// The last moment on the match clock that was logged.
    pub fn last_time(&self) -> Option<MatchTime> {
        self.clone().times().map(|t| *t).max()
    }

    /// Whether all of them stay on the clock when it is moved.
    pub(super) fn can_move(&self, later: MatchTime, earlier: MatchTime) -> bool {
        self.clone().times().all(|t| {
            let moved = t.nanos().checked_add(later.nanos()).and_then(|n| n.checked_sub(earlier.nanos()));
            moved.is_some()
        })
    }

    /// Moves all that was logged; its wall-clock times stay.
    pub(super) fn move_clock(&mut self, later: MatchTime, earlier: MatchTime) {
        let (on, back) = (later - MatchTime::ZERO, earlier - MatchTime::ZERO);
        for time in self.times() {
            *time = time.later(on).earlier(back);
        }
        let started = self.about.clock_started;
        let moved = |clock: DateTime<FixedOffset>| {
            clock.checked_sub_signed(delta(on)).and_then(|c| c.checked_add_signed(delta(back)))
        };
        self.about.clock_started = started.map(|clock| moved(clock).unwrap_or(clock));
    }
}

fn delta(by: Duration) -> TimeDelta {
    TimeDelta::from_std(by).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use proptest::prelude::*;
    use serde_json::Value;

    use super::*;
    use crate::drawing::{Colour, Drawing, Shape};
    use crate::record::{Dot, FoundBy, Point, Position, Shot, Store, Touch};

    fn film(file: &str, start: u64) -> Footage {
        let duration = MatchTime::from_secs(5000);
        let start = MatchTime::from_secs(start);
        Footage { file: file.into(), fingerprint: None, duration, rate: None, rotation: 0, start }
    }

    fn logged(at: &[u64]) -> Record {
        let seen = |ms| Position {
            of: Touch::Ball,
            frame: MatchTime::from_millis(ms + 70),
            at: Dot::default(),
            by: FoundBy::Hand,
            measured: None,
        };
        let ball = |ms| {
            let at = Some(MatchTime::from_millis(ms));
            Shot { at, positions: vec![seen(ms)], ..Shot::default() }
        };
        let point = |s: &u64| Point {
            start: Some(MatchTime::from_millis(*s)),
            end: Some(MatchTime::from_millis(*s + 4000)),
            shots: vec![ball(*s + 900), Shot::default()],
            serves_out: vec![ball(*s + 100)],
            ..Point::default()
        };
        let mut record = Record { points: at.iter().map(point).collect(), ..Record::default() };
        record.points.push(Point::default());
        record.drawings = vec![Drawing {
            shape: Shape::Line(Vec::new()),
            colour: Colour::White,
            from: MatchTime::from_secs(3),
            to: MatchTime::from_secs(4),
        }];
        record.about.clock_started = DateTime::parse_from_rfc3339("2026-05-09T10:00:00+02:00").ok();
        record
    }

    fn secs(at: Option<MatchTime>) -> Option<f64> {
        at.map(MatchTime::as_secs_f64)
    }

    #[test]
    fn a_camera_started_after_the_clock_begins_later_on_it() {
        let mut record = logged(&[60_000, 90_000]);
        let sync = "00:01:00=00:00:12.500".parse().unwrap();
        let _ = record.apply(align(&record, film("m.mp4", 7), sync)).unwrap();
        assert_eq!(record.footage, [Footage { start: MatchTime::from_millis(47_500), ..film("m.mp4", 0) }]);
        assert_eq!(secs(record.points[0].start), Some(60.0), "what was logged stays");
    }

    #[test]
    fn a_camera_started_before_the_clock_moves_it() {
        let mut record = logged(&[2_000, 30_000]);
        record.footage = vec![film("second.mp4", 100)];
        let wall = |r: &Record, at: &str| r.about.on_match_clock(DateTime::parse_from_rfc3339(at).unwrap());
        assert_eq!(secs(wall(&record, "2026-05-09T10:00:02+02:00")), Some(2.0));
        assert_eq!(wall(&record, "2026-05-09T09:59:59+02:00"), None);
        let _ = record.apply(align(&record, film("m.mp4", 0), "2=32".parse().unwrap())).unwrap();
        assert_eq!(record.footage, [film("m.mp4", 0), film("second.mp4", 130)]);
        assert_eq!((secs(record.points[0].start), secs(record.points[1].end)), (Some(32.0), Some(64.0)));
        assert_eq!(secs(record.points[0].shots[0].at), Some(32.9));
        let moved =
            (record.points[0].shots[0].positions[0].frame, record.drawings[0].from, record.drawings[0].to);
        assert_eq!(
            moved,
            (MatchTime::from_millis(32_970), MatchTime::from_secs(33), MatchTime::from_secs(34))
        );
        assert_eq!(
            (secs(record.points[0].serves_out[0].at), record.points[0].shots[1].at),
            (Some(32.1), None)
        );
        assert_eq!(record.points[2], Point::default(), "a point without a time has none to move");
        assert_eq!(secs(wall(&record, "2026-05-09T10:00:02+02:00")), Some(32.0), "and its wall-clock time");
    }

    #[test]
    fn aligning_again_puts_the_same_footage_right() {
        let mut record = logged(&[60_000]);
        for sync in ["60=10", "60=12"] {
            let _ = record.apply(align(&record, film("m.mp4", 0), sync.parse().unwrap())).unwrap();
        }
        assert_eq!(record.footage, [film("m.mp4", 48)]);
    }

    #[test]
    fn files_of_one_match_are_placed_by_one_moment() {
        let mut record = logged(&[60_000]);
        let files = vec![film("1.mp4", 0), film("2.mp4", 5000)];
        let _ = record.apply(align_all(&record, files.clone(), "60=5010".parse().unwrap())).unwrap();
        assert_eq!(record.footage, files, "the camera ran before the clock: what was logged moves");
        assert_eq!((secs(record.points[0].start), secs(record.last_time())), (Some(5010.0), Some(5014.0)));
        let _ = record.apply(align_all(&record, files, "5010=5000".parse().unwrap())).unwrap();
        assert_eq!(record.footage, [film("1.mp4", 10), film("2.mp4", 5010)]);
    }

    #[test]
    fn a_sync_is_two_times() {
        for bad in ["", "1", "1=", "=1", "1=x", "1=2=3"] {
            assert!(bad.parse::<Sync>().is_err(), "{bad}");
        }
    }

    /// The fullest record that the project keeps, with what version 3 added to shots and points: every time on the match clock moves by
    /// the same half minute, and everything else stays. A new field that carries a time fails here until `times` knows it.
    #[test]
    fn every_time_of_a_full_record_moves_and_nothing_else() {
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records/version-3.json");
        let (mut record, _) = crate::record::load(&kept).unwrap();
        let before = serde_json::to_value(&record).unwrap();
        let _ = record.apply(align(&record, film("m.mp4", 0), "2=32".parse().unwrap())).unwrap();
        let after = serde_json::to_value(&record).unwrap();
        let mut moved = Vec::new();
        compare(&before, &after, "", &mut moved);
        for field in ["start", "end", "at", "frame", "from", "to"] {
            assert!(moved.iter().any(|at| at.ends_with(&format!("/{field}"))), "{field}: {moved:?}");
        }
    }

    fn compare(before: &Value, after: &Value, at: &str, moved: &mut Vec<String>) {
        let elsewhere = ["/footage", "/calibrations", "/match/clock_started"];
        if elsewhere.contains(&at) {
            return;
        }
        let time =
            |v: &Value| v.as_str().filter(|s| s.contains(':')).and_then(|s| s.parse::<MatchTime>().ok());
        match (before, after) {
            (Value::Object(a), Value::Object(b)) => {
                assert!(a.keys().eq(b.keys()), "{at}");
                a.iter().for_each(|(key, v)| compare(v, &b[key], &format!("{at}/{key}"), moved));
            }
            (Value::Array(a), Value::Array(b)) => {
                assert_eq!(a.len(), b.len(), "{at}");
                a.iter()
                    .zip(b)
                    .enumerate()
                    .for_each(|(n, (v, w))| compare(v, w, &format!("{at}/{n}"), moved));
            }
            _ => match time(before) {
                Some(was) => {
                    assert_eq!(time(after), Some(was.later(Duration::from_secs(30))), "{at}");
                    moved.push(at.to_owned());
                }
                None => assert_eq!(before, after, "{at}"),
            },
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        /// One edit: the moment is at the same place on both clocks after it, all distances stay, and one undo brings
        /// everything back, also after a restart.
        #[test]
        fn one_edit_and_one_undo(at in proptest::collection::vec(0..9_000_000u64, 1..20), shown in 0..9_000_000u64) {
            let dir = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
            let path = dir.path().join("m.points.json");
            let before = logged(&at);
            let mut store = Store::create(&path, before.clone()).unwrap();
            let sync = Sync { logged: MatchTime::from_millis(at[0]), shown: MatchTime::from_millis(shown) };
            let _ = store.apply(align(&before, film("m.mp4", 0), sync)).unwrap();
            let after = store.record().clone();
            let start = after.points[0].start.unwrap();
            prop_assert_eq!(start - after.footage[0].start, sync.shown - MatchTime::ZERO);
            for (old, new) in before.points.iter().zip(&after.points) {
                let from_first = |p: &Point, first: &Point| {
                    Some(i128::from(p.start?.nanos()) - i128::from(first.start?.nanos()))
                };
                prop_assert_eq!(from_first(old, &before.points[0]), from_first(new, &after.points[0]));
            }
            drop(store);
            let mut store = Store::open(&path).unwrap();
            prop_assert_eq!(store.record(), &after);
            let _ = store.undo().unwrap().unwrap();
            prop_assert_eq!(store.record(), &before);
            let _ = store.redo().unwrap().unwrap();
            prop_assert_eq!(store.record(), &after);
        }
    }
}
