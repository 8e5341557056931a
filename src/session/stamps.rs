//! How late the coach's stamps are: learned from starts that were stamped while the footage played and moved later.

use crate::logging::react::Pair;
use crate::record::Record;
use crate::time::MatchTime;

/// A start that was stamped while the footage played.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stamp {
    /// The frame shown at the key.
    shown: MatchTime,
    /// How fast it played.
    speed: f64,
    /// Where the start is now.
    now: MatchTime,
    moved: bool,
}

/// The starts stamped since the record was opened.
#[derive(Debug, Default)]
pub struct Stamps {
    /// A key that starts a point was pressed, and the point is not there yet.
    pending: Option<(MatchTime, f64)>,
    made: Vec<Stamp>,
}

/// Any moment that leaves room for a stamp before it.
const STRIKE: MatchTime = MatchTime::from_secs(10);

impl Stamps {
    /// A key was pressed that may start a point, at this frame and speed.
    pub const fn pressed(&mut self, shown: MatchTime, speed: f64) {
        self.pending = Some((shown, speed));
    }

    /// What became of the record.
    pub fn told(&mut self, before: &Record, after: &Record) {
        let start = |record: &Record, i: usize| record.points.get(i).and_then(|p| p.start);
        let changed = (0..after.points.len()).find(|i| start(before, *i) != start(after, *i));
        let Some(now) = changed.and_then(|i| start(after, i)) else { return };
        if after.points.len() > before.points.len() {
            if let Some((shown, speed)) = self.pending.take() {
                self.made.push(Stamp { shown, speed, now, moved: false });
            }
        } else if after.points.len() == before.points.len() {
            let was = changed.and_then(|i| start(before, i));
            for stamp in self.made.iter_mut().filter(|s| Some(s.now) == was) {
                (stamp.now, stamp.moved) = (now, true);
            }
        }
    }

    /// The frame shown at the key and how fast the footage played, of every stamp.
    pub fn made(&self) -> Vec<(MatchTime, f64)> {
        self.made.iter().map(|s| (s.shown, s.speed)).collect()
    }

    /// The stamps that were moved, with where they belong.
    pub fn pairs(&self) -> Vec<Pair> {
        let moved = self.made.iter().filter(|s| s.moved);
        moved.map(|s| Pair { stamp: s.shown, strike: s.now, speed: s.speed }).collect()
    }
}

/// How late a stamp was on the wall clock, in milliseconds.
pub fn late_ms(pair: &Pair) -> i32 {
    let film = pair.stamp.nanos() as f64 - pair.strike.nanos() as f64;
    (film / pair.speed / 1e6).round() as i32
}

/// A stamp that was so late; `None` where it was earlier than any start can be.
pub fn pair(late_ms: i32) -> Option<Pair> {
    let stamp = (STRIKE.nanos() as i64).checked_add(i64::from(late_ms) * 1_000_000)?;
    let stamp = MatchTime::from_nanos(u64::try_from(stamp).ok()?);
    Some(Pair { stamp, strike: STRIKE, speed: 1.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Point;

    fn record(starts: &[u64]) -> Record {
        let point = |ms: &u64| Point { start: Some(MatchTime::from_millis(*ms)), ..Point::default() };
        Record { points: starts.iter().map(point).collect(), ..Record::default() }
    }

    #[test]
    fn a_start_stamped_while_playing_and_moved_later_tells_how_late_it_was() {
        let mut stamps = Stamps::default();
        stamps.pressed(MatchTime::from_millis(5_250), 0.5);
        stamps.told(&record(&[1_000]), &record(&[1_000, 5_250]));
        assert_eq!(stamps.pairs(), [], "it was not moved yet");
        // Two steps back, and another point that was stamped on a still frame.
        stamps.told(&record(&[1_000, 5_250]), &record(&[1_000, 5_210]));
        stamps.told(&record(&[1_000, 5_210]), &record(&[1_000, 5_150]));
        stamps.told(&record(&[1_000, 5_150]), &record(&[900, 5_150]));
        let pairs = stamps.pairs();
        assert_eq!(pairs.len(), 1);
        assert_eq!(pairs.iter().map(late_ms).collect::<Vec<_>>(), [200]);
    }

    #[test]
    fn a_stamp_on_a_still_frame_tells_nothing() {
        let mut stamps = Stamps::default();
        stamps.told(&record(&[]), &record(&[4_000]));
        stamps.told(&record(&[4_000]), &record(&[3_900]));
        assert_eq!(stamps.pairs(), []);
    }

    #[test]
    fn how_late_reads_back() {
        for ms in [-900, -1, 0, 240, 999] {
            assert_eq!(late_ms(&pair(ms).unwrap()), ms);
        }
        assert_eq!(pair(i32::MIN), None);
    }
}
