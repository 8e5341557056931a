//! The demo match logged from its truth, by keys only: every fact that the truth tells must be so, and how many keys that
//! takes; then by a coach with a reaction time whose fingers slip, at the speed of the match.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::collections::BTreeMap;
use std::time::Duration;

use super::react::{learn, pairs};
use super::typing::Typist;
use super::{Action, Key, Layout, Meaning, Moment, Press};
use crate::demo::truth::{Ending, Point as Played, Strike, Stroke as Struck, Truth};
use crate::demo::{Demo, logged, miss as miss_of, truth};
use crate::facts::facts;
use crate::record::{Finish, Logged, Point, Record, Shot};
use crate::tennis::stroke::{Cell, Column, Depth, FaultKind, Miss, Row, Stroke, Wing};
use crate::time::MatchTime;

/// How much is logged of each shot, where every shot is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Debug)]
enum Detail {
    /// Where it landed, and how the point ended.
    Cells,
    /// And which wing struck it.
    Wings,
    /// And which stroke, slices, and where the missed shot went: all that the truth tells.
    All,
}

/// A key to be pressed when something was seen.
#[derive(Clone, Debug)]
struct Cue {
    key: &'static str,
    seen: MatchTime,
}

const PLAIN: [[&str; 3]; 3] = [["u", "i", "o"], ["j", "k", "l"], ["m", ",", "."]];
const SHIFTED: [[&str; 3]; 3] = [
    ["shift+u", "shift+i", "shift+o"],
    ["shift+j", "shift+k", "shift+l"],
    ["shift+m", "shift+Comma", "shift+Period"],
];
const SLICED: [[&str; 3]; 3] =
    [["alt+u", "alt+i", "alt+o"], ["alt+j", "alt+k", "alt+l"], ["alt+m", "alt+Comma", "alt+Period"]];
const SHIFTED_SLICED: [[&str; 3]; 3] = [
    ["alt+shift+u", "alt+shift+i", "alt+shift+o"],
    ["alt+shift+j", "alt+shift+k", "alt+shift+l"],
    ["alt+shift+m", "alt+shift+Comma", "alt+shift+Period"],
];

fn pad_key(cell: Cell, backhand: bool) -> &'static str {
    key_on(&[PLAIN, SHIFTED], cell, backhand)
}

fn key_on(pads: &[[[&'static str; 3]; 3]; 2], cell: Cell, backhand: bool) -> &'static str {
    let keys = pads[usize::from(backhand)];
    // Of a serve the column alone matters: the middle row lies nearest.
    let row = Row::ALL.iter().position(|r| cell.row.unwrap_or(Row::Middle) == *r).unwrap();
    keys[row][Column::ALL.iter().position(|c| *c == cell.column).unwrap()]
}

/// The keys of a shot's stroke, where a plain key means a groundstroke.
fn stroke_keys(strike: &Strike) -> Option<&'static str> {
    match strike.stroke {
        Struck::Serve | Struck::Drive => None,
        Struck::Slice => Some("q"),
        Struck::DropShot => Some("d"),
        Struck::Lob => Some("c"),
        Struck::Volley => Some("v"),
        Struck::Overhead => Some("x"),
    }
}

/// The keys of a shot whose cell is known; with every detail a slice is told by Alt.
fn shot_keys(
    strike: &Strike,
    cell: Cell,
    detail: Detail,
    end: Option<&'static str>,
    cue: &mut impl FnMut(&'static str),
) {
    let backhand = detail >= Detail::Wings && strike.wing == Some(Wing::Backhand);
    let slice = detail == Detail::All && strike.stroke == Struck::Slice;
    let pads = if slice { &[SLICED, SHIFTED_SLICED] } else { &[PLAIN, SHIFTED] };
    cue(key_on(pads, cell, backhand));
    end.into_iter().for_each(&mut *cue);
    if detail == Detail::All && !slice {
        stroke_keys(strike).into_iter().for_each(cue);
    }
}

/// The keys of a missed shot, after the key that ended the point.
fn missed_keys(strike: &Strike, detail: Detail, cue: &mut impl FnMut(&'static str)) {
    if detail >= Detail::Wings && strike.wing == Some(Wing::Backhand) {
        cue("w");
    }
    if detail == Detail::All {
        stroke_keys(strike).into_iter().for_each(&mut *cue);
    }
}

/// The key of a missed shot: its kind, and where everything is logged, where it went.
fn error_key(played: &Played, strike: &Strike, detail: Detail) -> &'static str {
    let forced = played.ending == Ending::ForcedError;
    let miss = miss_of(strike).filter(|_| detail == Detail::All);
    match (miss, forced) {
        (None, true) => "3",
        (None, false) => "4",
        (Some(Miss::Net), true) => "alt+shift+Digit5",
        (Some(Miss::Long), true) => "alt+shift+Digit6",
        (Some(Miss::Wide), true) => "alt+shift+Digit7",
        (Some(Miss::Net), false) => "alt+5",
        (Some(Miss::Long), false) => "alt+6",
        (Some(Miss::Wide), false) => "alt+7",
    }
}

/// The key of a fault: the row by the net says net, the one beyond says long, the one between says wide.
fn fault_key(played: &Played, shot: &Shot, cell: Cell) -> &'static str {
    let box_end = played.server_end.other();
    let depth = match shot.fault {
        Some(FaultKind::Net) => Depth::Short,
        Some(FaultKind::Long) => Depth::Deep,
        _ => Depth::Mid,
    };
    let row = Row::ALL.into_iter().find(|r| Depth::of(*r, box_end) == depth);
    pad_key(Cell { row, ..cell }, true)
}

/// The keys of a point of which every shot is logged; with `start`, the strike of the first serve is stamped.
fn every_ball(played: &Played, logged: &Point, detail: Detail, start: bool) -> Vec<Cue> {
    keys_of(played, logged, detail, start, false)
}

/// The same; with `misses` also where missed shots were aimed, and why a serve was a fault.
fn keys_of(played: &Played, logged: &Point, detail: Detail, start: bool, misses: bool) -> Vec<Cue> {
    let mut cues = Vec::new();
    if start {
        cues.push(Cue { key: "s", seen: played.span.start() });
    }
    let (mut rally, mut out) = (logged.shots.iter(), logged.serves_out.iter());
    for strike in &played.strikes {
        let seen = strike.fate_time;
        let mut cue = |key| cues.push(Cue { key, seen });
        let shot = if strike.shot.is_some() { rally.next() } else { out.next() }.unwrap();
        if let Some(cell) = shot.cell.filter(|_| strike.shot.is_none()) {
            // With Shift a serve was a fault.
            cue(if misses { fault_key(played, shot, cell) } else { pad_key(cell, true) });
            continue;
        }
        if let Some(cell) = shot.cell {
            shot_keys(strike, cell, detail, None, &mut cue);
            continue;
        }
        if let Some(aim) = shot.aim.filter(|_| misses) {
            let error = error_key(played, strike, detail);
            shot_keys(strike, aim, detail, Some(error), &mut cue);
            continue;
        }
        cue(error_key(played, strike, detail));
        missed_keys(strike, detail, &mut cue);
    }
    let seen = played.span.end();
    match played.ending {
        Ending::Ace => cues.push(Cue { key: "1", seen }),
        Ending::Winner => cues.push(Cue { key: "2", seen }),
        Ending::ForcedError | Ending::UnforcedError | Ending::DoubleFault => {}
    }
    cues
}

/// The keys of a point of which the first three shots are logged, or none.
fn opening(played: &Played, logged: &Point, balls: usize) -> Vec<Cue> {
    let all = every_ball(played, logged, Detail::Cells, balls == 0);
    if balls > 0 && logged.shots.len() <= balls {
        return all;
    }
    let (mut cues, mut keyed) = (Vec::new(), 0);
    let pad = |key: &str| PLAIN.iter().flatten().any(|k| *k == key);
    let fault = |key: &str| SHIFTED.iter().flatten().any(|k| *k == key);
    for cue in &all {
        match cue.key {
            "s" => cues.push(cue.clone()),
            key if fault(key) => cues.push(Cue { key: if balls > 0 { key } else { "f" }, ..*cue }),
            key if pad(key) => {
                keyed += 1;
                if keyed <= balls {
                    cues.push(cue.clone());
                }
            }
            _ => {}
        }
    }
    let seen = played.span.end();
    if played.ending != Ending::DoubleFault {
        cues.push(Cue { key: if played.winner == crate::tennis::Side::A { "a" } else { "b" }, seen });
        let finish = match played.ending {
            Ending::Ace => "1",
            Ending::Winner => "2",
            Ending::ForcedError => "3",
            Ending::UnforcedError | Ending::DoubleFault => "4",
        };
        cues.push(Cue { key: finish, seen });
    }
    cues
}

/// The match to be logged, as the record of its truth.
fn wanted(truth: &Truth) -> Record {
    let mut record = logged(truth, false);
    for point in &mut record.points {
        for shot in point.shots.iter_mut().chain(&mut point.serves_out) {
            (shot.aim, shot.fault) = (None, None);
        }
    }
    record
}

/// What a record says, as far as this detail goes: without stamps, which are compared by themselves.
fn said(record: &Record, detail: Detail) -> Record {
    let mut record = record.clone();
    for point in &mut record.points {
        (point.start, point.end) = (None, None);
        if detail < Detail::All {
            point.miss = None;
        }
        for shot in point.shots.iter_mut().chain(&mut point.serves_out) {
            let wing = shot.wing.filter(|_| detail >= Detail::Wings);
            let (stroke, spin) =
                (shot.stroke.filter(|_| detail == Detail::All), shot.spin.filter(|_| detail == Detail::All));
            let (cell, aim, fault) = (shot.cell, shot.aim, shot.fault);
            *shot = Shot { stroke, wing, spin, cell, aim, fault, ..Shot::default() };
        }
    }
    record
}

/// Somebody who knows what to type; with a plain key for a forehand groundstroke where that is logged.
fn typist(truth: &Truth, detail: Option<Detail>) -> Typist {
    let mut typist = Typist::default();
    typist.record.about = wanted(truth).about;
    if detail >= Some(Detail::Wings) {
        typist.press("alt+f", MatchTime::ZERO);
    }
    if detail == Some(Detail::All) {
        typist.press("alt+g", MatchTime::ZERO);
    }
    typist
}

/// Logged and wanted say the same, shot by shot, and so do all facts that follow.
fn same(logged: &Record, wanted: &Record, detail: Detail) {
    let mut logged = logged.clone();
    for (l, w) in logged.points.iter_mut().zip(&wanted.points) {
        for (l, w) in l.shots.iter_mut().zip(&w.shots) {
            // The truth names no wing of an overhead.
            l.wing = l.wing.filter(|_| w.stroke != Some(Stroke::Overhead));
        }
    }
    let (logged, wanted) = (said(&logged, detail), said(wanted, detail));
    assert_eq!(logged.points.len(), wanted.points.len());
    for (n, (l, w)) in logged.points.iter().zip(&wanted.points).enumerate() {
        assert_eq!(l, w, "point {}", n + 1);
    }
    for (l, w) in facts(&logged).iter().zip(facts(&wanted)) {
        assert_eq!(l, &w, "point {}", l.number + 1);
    }
}

const MATCHES: [u64; 3] = [1, 2, 7];

fn match_number(number: u64) -> Truth {
    truth(&Demo { number, ..Demo::default() }).unwrap()
}

#[test]
fn a_match_logged_by_keys_is_the_match_that_was_played() {
    for number in MATCHES {
        let truth = match_number(number);
        let wanted = wanted(&truth);
        let strikes: usize = truth.points.iter().map(|p| p.strikes.len()).sum();
        for (detail, start) in [
            (Detail::Cells, false),
            (Detail::Cells, true),
            (Detail::Wings, false),
            (Detail::All, false),
            (Detail::All, true),
        ] {
            let mut typist = typist(&truth, Some(detail));
            for (played, point) in truth.points.iter().zip(&wanted.points) {
                for cue in every_ball(played, point, detail, start) {
                    typist.press(cue.key, cue.seen);
                }
            }
            assert_eq!(typist.said, Vec::<String>::new());
            same(&typist.record, &wanted, detail);
            if start {
                assert!(
                    typist
                        .record
                        .points
                        .iter()
                        .zip(&wanted.points)
                        .all(|(l, w)| (l.start, l.end) == (w.start, w.end))
                );
            }
            let (per_ball, per_point) =
                (typist.presses as f64 / strikes as f64, typist.presses as f64 / truth.points.len() as f64);
            println!(
                "match {number}, every ball, {detail:?}{}: {} keys for {strikes} balls in {} points: {per_ball:.3} a ball, {per_point:.2} a point",
                if start { " and the exact start" } else { "" },
                typist.presses,
                truth.points.len(),
            );
            let most = match (detail, start) {
                (_, false) => 1.3,
                _ => 1.7,
            };
            assert!(per_ball <= most, "{per_ball}");
        }
    }
}

/// With where missed shots were aimed and why serves were faults: all of it is in the record, within 1.3 keys a shot, also with
/// every stroke and the way of each miss.
#[test]
fn aims_and_kinds_of_faults_are_logged_too() {
    for number in MATCHES {
        let truth = match_number(number);
        let wanted = logged(&truth, false);
        let strikes: usize = truth.points.iter().map(|p| p.strikes.len()).sum();
        for detail in [Detail::Cells, Detail::Wings, Detail::All] {
            let mut typist = typist(&truth, Some(detail));
            typist.press("alt+h", MatchTime::ZERO);
            for (played, point) in truth.points.iter().zip(&wanted.points) {
                for cue in keys_of(played, point, detail, false, true) {
                    typist.press(cue.key, cue.seen);
                }
            }
            assert_eq!(typist.said, Vec::<String>::new());
            same(&typist.record, &wanted, detail);
            let aims = wanted.points.iter().flat_map(|p| &p.shots).filter(|s| s.aim.is_some()).count();
            let faults =
                wanted.points.iter().flat_map(|p| &p.serves_out).filter(|s| s.fault.is_some()).count();
            assert!(aims > 20 && faults > 10);
            let per_ball = typist.presses as f64 / strikes as f64;
            println!(
                "match {number}, {detail:?} with {aims} aims and {faults} kinds of faults: {} keys for {strikes} shots: {per_ball:.3} a shot",
                typist.presses
            );
            assert!(per_ball <= 1.3, "{per_ball}");
        }
    }
}

#[test]
fn the_other_depths_take_fewer_keys_and_say_what_they_say() {
    for number in MATCHES {
        let truth = match_number(number);
        let wanted = wanted(&truth);
        for balls in [3, 0] {
            let mut typist = typist(&truth, None);
            for (played, point) in truth.points.iter().zip(&wanted.points) {
                for cue in opening(played, point, balls) {
                    typist.press(cue.key, cue.seen);
                }
            }
            assert_eq!(typist.said, Vec::<String>::new());
            let short = |record: &Record| {
                let mut record = said(record, Detail::Cells);
                for point in &mut record.points {
                    if point.shots.len() > balls || balls == 0 {
                        point.shots.truncate(balls);
                        point.logged = (balls > 0).then_some(Logged::Opening);
                    }
                    if balls == 0 {
                        point.serves_out.clear();
                    }
                }
                record.points
            };
            assert_eq!(short(&typist.record), short(&wanted));
            let per_point = typist.presses as f64 / truth.points.len() as f64;
            println!(
                "match {number}, the first {balls} balls: {} keys, {per_point:.2} a point",
                typist.presses
            );
            assert!(per_point <= if balls == 0 { 3.5 } else { 5.0 }, "{per_point}");
        }
    }
}

/// Rows of a US keyboard as they lie; each is shifted by half a key against the one above.
const ROWS: [&str; 4] = ["1234567890-=", "qwertyuiop[]", "asdfghjkl;'", "zxcvbnm,./"];

/// The keys beside a key.
fn neighbours(sign: char) -> Vec<char> {
    let at = |row: usize, place: Option<usize>| ROWS.get(row)?.chars().nth(place?);
    let Some(row) = ROWS.iter().position(|r| r.contains(sign)) else { return Vec::new() };
    let place = ROWS[row].find(sign).unwrap();
    let above = row.checked_sub(1).into_iter().flat_map(|r| [at(r, Some(place)), at(r, Some(place + 1))]);
    let below = [at(row + 1, Some(place)), at(row + 1, place.checked_sub(1))];
    let beside = [at(row, place.checked_sub(1)), at(row, Some(place + 1))];
    above.chain(below).chain(beside).flatten().collect()
}

/// A coach who sees, takes a while, and presses one key after another; now and then the one beside it.
struct Coach {
    typist: Typist,
    dice: u64,
    /// When the hand is free again.
    free: MatchTime,
    slips: usize,
    keys: usize,
}

impl Coach {
    /// From 0 up to 1 (splitmix64, Steele, Lea and Flood 2014).
    fn roll(&mut self) -> f64 {
        self.dice = self.dice.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.dice;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// 250 ms, give or take 60.
    fn reaction(&mut self) -> Duration {
        let swing = (self.roll() + self.roll() - 1.0) * 60.0;
        Duration::from_micros(((250.0 + swing) * 1000.0) as u64)
    }

    /// Presses a key as soon as the hand is free; the next one can follow 120 to 180 ms later.
    fn press(&mut self, key: &str) -> bool {
        self.keys += 1;
        let at = self.free;
        self.free = at.later(Duration::from_micros(120_000 + (self.roll() * 60_000.0) as u64));
        if self.steals(key) {
            return false;
        }
        self.typist.press(key, Moment { shown: at, speed: Some(1.0) })
    }

    /// A key that opens something or means nothing: the window's business, not the record's.
    fn steals(&self, key: &str) -> bool {
        const WINDOW: [Action; 8] = [
            Action::Note,
            Action::Plan,
            Action::Filter,
            Action::Help,
            Action::FrameForward,
            Action::FrameBack,
            Action::Faster,
            Action::Slower,
        ];
        let press = Press::typed(&key.parse::<Key>().unwrap(), &Layout::us());
        match self.typist.card.pressed(&press) {
            Some(Meaning::Do(action)) => WINDOW.contains(action),
            Some(Meaning::Tag(_)) => false,
            None => true,
        }
    }

    /// The key beside, seen, and set right.
    fn slip(&mut self, key: &str) {
        let (held, sign) = key.rsplit_once('+').map_or(("", key), |(held, sign)| (held, sign));
        let sign = match sign {
            "Comma" => ",",
            "Period" => ".",
            sign => sign.strip_prefix("Digit").unwrap_or(sign),
        };
        let beside = neighbours(sign.chars().next().unwrap());
        let wrong = beside[(self.roll() * beside.len() as f64) as usize];
        let wrong: Key = wrong.to_string().parse().unwrap();
        let place = Press::typed(&wrong, &Layout::us()).place.unwrap();
        let wrong = if held.is_empty() { place.to_string() } else { format!("{held}+{place}") };
        self.slips += 1;
        let (balls, before) = (self.balls(), self.typist.logger.clone());
        let stolen = self.steals(&wrong);
        let changed = self.press(&wrong);
        self.free = self.free.later(self.reaction());
        if stolen {
            self.press("Escape");
        } else if changed
            && self.balls() == balls + 1
            && self.typist.record.points.last().unwrap().end.is_none()
        {
            self.press("Backspace");
        } else if changed {
            self.press("ctrl+z");
        } else if self.typist.logger.chosen_ball() != before.chosen_ball() {
            self.press("'");
        }
    }

    fn balls(&self) -> usize {
        self.typist.record.points.iter().map(|p| p.shots.len() + p.serves_out.len()).sum()
    }

    /// What was seen is logged. How long after it the hand is free again.
    fn log(&mut self, cue: &Cue) -> Duration {
        let reaction = self.reaction();
        self.free = self.free.max(cue.seen.later(reaction));
        if self.roll() < 0.08 {
            self.slip(cue.key);
        }
        self.press(cue.key);
        self.free - cue.seen
    }
}

/// Logs a match as it is played. The coach, and of each point how late its last key was and how much time was left until
/// the next point.
fn coached(
    truth: &Truth,
    detail: Detail,
    start: bool,
    reaction: Duration,
    dice: u64,
) -> (Coach, Vec<(Duration, Duration)>) {
    let mut typist = typist(truth, Some(detail));
    typist.logger.set_reaction(reaction);
    let wanted = wanted(truth);
    let mut coach = Coach { typist, dice, free: MatchTime::ZERO, slips: 0, keys: 0 };
    let mut lags = Vec::new();
    for (n, (played, point)) in truth.points.iter().zip(&wanted.points).enumerate() {
        let cues = every_ball(played, point, detail, start);
        let late = cues.iter().map(|cue| coach.log(cue)).max().unwrap();
        if let Some(next) = truth.points.get(n + 1) {
            let next = next.span.start();
            assert!(
                coach.free < next,
                "point {}: still typing at {} as the next point starts",
                n + 1,
                coach.free
            );
            lags.push((late, next - coach.free));
        }
    }
    (coach, lags)
}

#[test]
fn a_coach_whose_fingers_slip_logs_a_match_while_it_is_played() {
    for (number, brisk) in [(1, false), (2, false), (7, false), (1, true)] {
        let truth = truth(&Demo { number, brisk, ..Demo::default() }).unwrap();
        let strikes: usize = truth.points.iter().map(|p| p.strikes.len()).sum();
        for detail in [Detail::Cells, Detail::Wings, Detail::All] {
            let (coach, lags) = coached(&truth, detail, true, Duration::ZERO, number * 1000 + detail as u64);
            same(&coach.typist.record, &wanted(&truth), detail);
            let late = lags.iter().map(|l| l.0).max().unwrap();
            let left = lags.iter().map(|l| l.1).min().unwrap();
            println!(
                "match {number}{}, {detail:?}: {} keys, {} slips set right, {:.2} keys a ball; at most {} ms behind; at least {} ms left before the next point",
                if brisk { ", brisk" } else { "" },
                coach.keys,
                coach.slips,
                coach.keys as f64 / strikes as f64,
                late.as_millis(),
                left.as_millis(),
            );
            assert!(coach.slips * 100 > coach.keys * 4, "{} slips", coach.slips);
        }
    }
}

/// The start of each point, stamped late by the coach's reaction: learned from the strikes of the truth and taken off, it
/// is right to a frame and what the coach varies.
#[test]
fn a_reaction_time_is_learned_and_taken_off() {
    let truth = match_number(1);
    let strikes: Vec<_> = truth.points.iter().flat_map(|p| p.strikes.iter().map(|s| s.time)).collect();
    let stamps = |reaction| -> Vec<MatchTime> {
        let (coach, _) = coached(&truth, Detail::Cells, true, reaction, 5);
        coach.typist.record.points.iter().filter_map(|p| p.start).collect()
    };
    let learned = learn(&pairs(&stamps(Duration::ZERO), 1.0, &strikes)).unwrap();
    println!(
        "learned {} ms, spread {} ms, from {}",
        learned.median.as_millis(),
        learned.spread.as_millis(),
        learned.pairs
    );
    assert!((235..=265).contains(&learned.median.as_millis()), "{learned:?}");
    assert!(learned.spread.as_millis() < 40, "{learned:?}");
    let mut off: BTreeMap<i64, usize> = BTreeMap::new();
    for (stamp, played) in stamps(learned.median).iter().zip(&truth.points) {
        let ms = (stamp.nanos() as i64 - played.span.start().nanos() as i64) / 1_000_000;
        *off.entry(ms).or_default() += 1;
    }
    let near: usize = off.range(-100..=60).map(|(_, n)| n).sum();
    println!("corrected: {near} of {} within -100 to 60 ms", truth.points.len());
    assert!(near * 100 >= truth.points.len() * 85, "{off:?}");
}

#[test]
fn finishes_that_the_truth_tells_are_all_there() {
    let all: Vec<_> = MATCHES.iter().flat_map(|n| wanted(&match_number(*n)).points).collect();
    for finish in
        [Finish::Ace, Finish::DoubleFault, Finish::Winner, Finish::ForcedError, Finish::UnforcedError]
    {
        assert!(all.iter().any(|p| p.finish == Some(finish)), "{finish:?}");
    }
}

#[cfg(test)]
#[path = "many_tests.rs"]
mod many;
