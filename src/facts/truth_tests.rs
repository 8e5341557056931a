//! The facts of the simulated match against its truth: with positions measured each must be so; with positions withheld,
//! how many of the estimated ones are is printed.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use super::*;
use crate::demo::truth::{Fate, Strike, Tag, Truth};
use crate::demo::{Demo, logged, truth};
use crate::tennis::End;
use crate::tennis::stroke::Depth;

/// The whole match number 1, its strikes in play beside their facts.
fn played(truth: &Truth, positions: bool) -> Vec<(Vec<&Strike>, PointFacts)> {
    let strikes = truth.points.iter().map(|p| p.strikes.iter().filter(|s| s.shot.is_some()).collect());
    strikes.zip(facts(&logged(truth, positions))).collect()
}

fn whole() -> Truth {
    truth(&Demo::default()).unwrap()
}

/// The side of a place, worked out anew from its number.
fn sign(x: f64) -> i32 {
    if x.abs() < 0.5 { 0 } else { x.signum() as i32 }
}

fn third(x: f64) -> i32 {
    if x.abs() < 4.1148 / 3.0 { 0 } else { x.signum() as i32 }
}

#[test]
fn with_positions_every_fact_is_the_truth() {
    let truth = whole();
    let mut checked = 0;
    for (strikes, f) in played(&truth, true) {
        assert_eq!(f.length, Some(strikes.len()));
        for (n, (strike, s)) in strikes.iter().zip(&*f.shots).enumerate() {
            let (me, other) = (strike.by.index(), strike.by.other().index());
            let at = strike.positions;
            assert_eq!(s.by, Some(strike.by));
            assert_eq!(s.end, Some(if strike.from.y.0 < 0.0 { End::Near } else { End::Far }));
            assert_eq!(s.inside, Some(Fact::seen(at[me].y.0.abs() < 11.8872)), "{n}");
            assert_eq!(s.opponent_deep, Some(Fact::seen(at[other].y.0.abs() >= 11.8872 + 3.048)));
            assert_eq!(s.missed, Some(matches!(strike.fate, Fate::Out | Fate::Net)));
            if n == 0 {
                assert_eq!(s.serve_to.map(|t| format!("{t:?}")), strike.serve.map(|t| format!("{t:?}")));
                continue;
            }
            checked += 1;
            // A missed shot has the direction in which it was aimed.
            let missed = !matches!(strike.fate, Fate::In | Fate::Met);
            assert_eq!(strike.aim.is_some(), missed);
            let to = strike.aim.unwrap_or(strike.fate_spot);
            let (lands, opponent, from) = (third(to.x.0), sign(at[other].x.0), sign(at[me].x.0));
            let goes = match (lands, opponent) {
                (0, _) => Some(Goes::Middle),
                (_, 0) => None,
                (l, o) => Some(if l == o { Goes::Behind } else { Goes::OpenCourt }),
            };
            assert_eq!(s.goes, goes.map(Fact::seen));
            // Both are right-handed: the backhand is on the left of the near end, the right of the far end.
            let backhand = from * if strike.from.y.0 < 0.0 { -1 } else { 1 } == 1;
            let round = backhand && format!("{:?}", strike.wing) == "Some(Forehand)";
            let lane = match (lands, from) {
                (0, _) => Some(Lane::Middle),
                (_, 0) => None,
                (l, f) if l == f => Some(if round { Lane::InsideIn } else { Lane::DownTheLine }),
                _ => Some(if round { Lane::InsideOut } else { Lane::CrossCourt }),
            };
            assert_eq!(s.lane, lane.map(Fact::seen));
            if missed {
                assert_eq!((s.depth, s.column, s.cell), (None, None, None), "it landed nowhere");
                continue;
            }
            let y = strike.fate_spot.y.0.abs();
            let depth = if y <= 6.4008 {
                Depth::Short
            } else if y <= 9.144 {
                Depth::Mid
            } else {
                Depth::Deep
            };
            assert_eq!(s.depth, Some(depth));
            if let Some(next) = strikes.get(n + 1) {
                let back = next.positions[other].y.0.abs() - strikes[n - 1].positions[other].y.0.abs();
                let push = if back >= 1.0 {
                    Push::Back
                } else if back <= -1.0 {
                    Push::In
                } else {
                    Push::Held
                };
                assert_eq!(s.push, Some(Fact::seen(push)));
            }
        }
    }
    assert!(checked > 250, "{checked}");
}

/// Agreements of a fact, and how often both are known.
#[derive(Default)]
struct Agreement {
    same: usize,
    of: usize,
    /// Estimated where the measured positions decide nothing.
    alone: usize,
}

impl Agreement {
    fn add<T: PartialEq>(&mut self, estimated: Option<Fact<T>>, measured: Option<Fact<T>>) {
        match (estimated.filter(|e| e.estimated), measured.filter(|m| !m.estimated)) {
            (Some(e), Some(m)) => {
                self.of += 1;
                self.same += usize::from(e.value == m.value);
            }
            (Some(_), None) => self.alone += 1,
            (None, _) => {}
        }
    }

    fn percent(&self, name: &str) -> usize {
        let percent = self.same * 100 / self.of.max(1);
        println!(
            "{name}: {} of {} estimated as measured, {percent} %; {} where positions decide nothing",
            self.same, self.of, self.alone
        );
        percent
    }
}

/// Floors a little under what was measured on the match number 1; the printed numbers are the finding.
#[test]
fn with_positions_withheld_the_estimates_mostly_agree() {
    let truth = whole();
    let (blind, seeing) = (played(&truth, false), played(&truth, true));
    let mut all: [Agreement; 6] = Default::default();
    for ((_, b), (_, s)) in blind.iter().zip(&seeing) {
        for (b, s) in b.shots.iter().zip(&*s.shots) {
            all[0].add(b.goes, s.goes);
            all[1].add(b.lane, s.lane);
            all[2].add(b.push, s.push);
            all[3].add(b.inside, s.inside);
            all[4].add(b.opponent_deep, s.opponent_deep);
            assert!(b.opponent_leaving.is_none(), "known with positions only");
            assert_eq!((b.by, b.end, b.serve_to, b.missed), (s.by, s.end, s.serve_to, s.missed));
        }
        if let (Some(b), Some(s)) = (b.shots.get(2), s.shots.get(2)) {
            all[5].add(b.goes, s.goes);
        }
    }
    let names = [
        "open court or behind",
        "lane",
        "forward or back",
        "inside the baseline",
        "opponent deep",
        "plus one",
    ];
    let percents: Vec<_> = all.iter().zip(names).map(|(a, n)| a.percent(n)).collect();
    for (percent, floor) in percents.iter().zip(FLOORS) {
        assert!(*percent >= floor, "{percents:?}");
    }
}

const FLOORS: [usize; 6] = [90, 90, 50, 85, 90, 90];

/// The simulated player's own intention, told by the truth's tags, against where the shot went.
#[test]
fn an_aimed_plus_one_mostly_goes_where_it_was_aimed() {
    let truth = whole();
    let (mut aimed, mut went) = (0, 0);
    for (point, (_, f)) in truth.points.iter().zip(played(&truth, true)) {
        let Some(goes) = f.shots.get(2).and_then(|s| s.goes) else { continue };
        if point.tags.contains(&Tag::ServePlusOneOpen) && f.shots[2].missed == Some(false) {
            aimed += 1;
            went += usize::from(goes.value == Goes::OpenCourt);
        }
    }
    println!("plus one aimed at the open court: {went} of {aimed} went there");
    assert!(aimed > 0 && went * 2 > aimed, "{went} of {aimed}");
}
