//! Points by keys: starts, ends, winners, stamps that move.

use proptest::prelude::*;

use super::*;
use crate::logging::typing::{Typist, log};
use crate::record::Finish;

#[test]
fn a_point_in_a_few_keys() {
    let (r, said) = log("s@1000 f@1400 F2@2000 a@5000");
    assert_eq!(said, Vec::<String>::new());
    let p = &r.points[0];
    assert_eq!((p.start, p.end), (Some(MatchTime::from_secs(1)), Some(MatchTime::from_secs(5))));
    assert_eq!((p.winner, p.faults), (Some(Side::A), Some(1)));
    assert!(p.tags.contains("show"));
}

#[test]
fn two_faults_are_a_double_fault_for_the_receiver() {
    let (r, said) = log("s@1000 f@1500 f@9000 f@9500");
    let p = &r.points[0];
    assert_eq!((p.finish, p.winner), (Some(Finish::DoubleFault), Some(Side::B)));
    assert_eq!(p.end, Some(MatchTime::from_secs(9)));
    assert_eq!(said, ["point 1 has two faults already"]);
}

#[test]
fn stamps_move_to_the_frame_shown_and_by_one_frame() {
    let (r, said) = log("s@1000 e@5000 shift+Minus@0 alt+Equal@0 shift+s@2000 shift+Equal@0");
    assert_eq!(said, Vec::<String>::new());
    assert_eq!(r.points[0].start, Some(MatchTime::from_millis(2040)));
    assert_eq!(r.points[0].end, Some(MatchTime::from_millis(5040)));
}

#[test]
fn a_missed_point_goes_where_it_belongs() {
    let (r, said) = log("s@10000 a@15000 s@30000 b@35000 s@20000 a@25000");
    assert_eq!(said, Vec::<String>::new());
    let starts: Vec<_> = r.points.iter().map(|p| p.start.unwrap().as_secs_f64()).collect();
    assert_eq!(starts, [10.0, 20.0, 30.0]);
}

#[test]
fn refusals_say_what_to_do() {
    let (r, said) = log("a@0 s@1000 s@2000 e@500 e@3000 e@4000 s@2000 ctrl+o@0 s@5000 a@6000 shift+e@900");
    assert_eq!(r.points.len(), 2);
    assert_eq!(
        said,
        [
            "there is no current point: start one, or choose one in the score",
            "point 1 started at 00:00:01.000 and has no end yet: end it, name its winner, or move its start here",
            "a point cannot end at 00:00:00.500: it starts at 00:00:01.000",
            "point 1 has ended already: to move its end, use \"Move the end to this frame\"",
            "point 1 already covers 00:00:02.000: a new point starts outside it",
            "\"Open footage or a record\" changes nothing in the record",
            "a point cannot end at 00:00:00.900: it starts at 00:00:05.000",
        ]
    );
}

#[test]
fn a_point_cannot_swallow_its_neighbour() {
    let (_, said) = log("s@1000 a@2000 s@3000 a@4000 shift+s@1500");
    assert_eq!(said, ["00:00:01.500 is inside point 1: two points cannot overlap"]);
}

#[test]
fn an_open_point_cannot_start_where_the_next_one_does() {
    let (r, said) = log("s@12640 e@12680 s@0 shift+s@12640");
    assert_eq!(said, ["00:00:12.640 is inside point 2: two points cannot overlap"]);
    assert_eq!(r.points[0].start, Some(MatchTime::ZERO));
}

#[test]
fn the_same_key_again_takes_it_off() {
    let (r, _) = log("s@1000 a@2000 F3@0 F3@0 2@0 2@0 a@2500");
    let p = &r.points[0];
    assert!(p.tags.is_empty() && p.finish.is_none() && p.winner.is_none());
    assert_eq!(p.end, Some(MatchTime::from_secs(2)));
}

#[test]
fn an_open_point_is_taken_up_again() {
    let (r, _) = log("s@1000 a@2000 s@3000");
    assert_eq!(Logger::resume(&r).current(), Some(1));
    assert_eq!(open_point(&r), Some(1));
    assert_eq!(Logger::resume(&Record::default()).current(), None);
}

#[test]
fn a_reaction_time_is_taken_off_stamps_made_while_playing() {
    let mut typist = Typist::default();
    typist.logger.set_reaction(Duration::from_millis(250));
    let playing = |ms, speed| Moment { shown: MatchTime::from_millis(ms), speed: Some(speed) };
    typist.press("s", playing(2000, 1.0));
    typist.press("u", playing(2600, 0.5));
    typist.press("k", MatchTime::from_millis(4000));
    typist.press("2", playing(5000, 1.0));
    let p = &typist.record.points[0];
    let at: Vec<_> = p.shots.iter().map(|s| s.at).collect();
    // On the frame that was shown then; frames are 40 ms apart.
    assert_eq!((p.start, p.end), (Some(MatchTime::from_millis(1720)), Some(MatchTime::from_millis(4720))));
    assert_eq!(at, [2440, 4000].map(|ms| Some(MatchTime::from_millis(ms))));
    for speed in [f64::NAN, f64::INFINITY, -1.0, 1e300] {
        let struck = typist.logger.struck(playing(60_000, speed), &crate::logging::typing::Every40);
        assert!(
            struck <= MatchTime::from_secs(60) && struck >= MatchTime::from_secs(55),
            "{speed}: {struck}"
        );
    }
}

#[test]
fn starts_that_were_moved_teach_the_reaction_time() {
    let mut typist = Typist::default();
    for n in 1..=8 {
        let playing = Moment { shown: MatchTime::from_millis(n * 10_000 + 240), speed: Some(1.0) };
        typist.press("s", playing);
        typist.press("shift+s", MatchTime::from_millis(n * 10_000 + 40));
        typist.press("shift+Minus", MatchTime::ZERO);
        typist.press("a", MatchTime::from_millis(n * 10_000 + 5000));
    }
    // Another start that was moved later on, and one stamped on a frame that stood still.
    typist.logger.choose(Some(3));
    typist.press("shift+Equal", MatchTime::ZERO);
    typist.press("s", MatchTime::from_secs(200));
    typist.press("shift+Minus", MatchTime::ZERO);
    let learned = crate::logging::react::learn(typist.logger.pairs()).unwrap();
    assert_eq!((learned.median, learned.pairs), (Duration::from_millis(240), 8));
}

const KEYS: [&str; 60] = [
    "s",
    "e",
    "a",
    "b",
    "f",
    "F2",
    "F3",
    "1",
    "2",
    "3",
    "4",
    "shift+s",
    "shift+e",
    "shift+Minus",
    "shift+Equal",
    "alt+<",
    "alt+>",
    "Delete",
    "u",
    "i",
    "o",
    "j",
    "k",
    "l",
    "m",
    ",",
    ".",
    "shift+u",
    "shift+k",
    "h",
    "h",
    ";",
    ";",
    "'",
    "Backspace",
    "Insert",
    "alt+f",
    "alt+g",
    "shift+g",
    "d",
    "v",
    "x",
    "c",
    "q",
    "t",
    "r",
    "w",
    "shift+w",
    "8",
    "0",
    "alt+2",
    "5",
    "6",
    "7",
    "shift+Digit3",
    "shift+Digit4",
    "shift+Digit5",
    "z",
    "g",
    "u",
];

/// A point is as `check` would have it: in order, shots in order inside it, no second open one.
fn sound(record: &Record) -> Result<(), TestCaseError> {
    let spans: Vec<_> = record.points.iter().map(|p| (p.start.unwrap(), p.end)).collect();
    for w in spans.windows(2) {
        prop_assert!(w[0].0 < w[1].0, "{spans:?}");
        prop_assert!(w[0].1.is_none_or(|e| e <= w[1].0), "{spans:?}");
    }
    prop_assert!(spans.iter().filter(|s| s.1.is_none()).count() <= 1);
    for p in &record.points {
        let times: Vec<_> = p.shots.iter().filter_map(|s| s.at).collect();
        prop_assert!(times.is_sorted(), "{times:?}");
        prop_assert!(times.iter().all(|t| p.start.unwrap() <= *t && p.end.is_none_or(|e| *t <= e)));
        prop_assert!(p.serves_out.len() <= usize::from(p.faults.unwrap()));
        prop_assert!(p.finish != Some(Finish::DoubleFault) || p.shots.is_empty());
        prop_assert!(p.logged.is_none() || !p.shots.is_empty());
        for (n, shot) in p.shots.iter().enumerate() {
            prop_assert!(shot.cell.is_none_or(|c| c.row.is_none() == (n == 0)), "{shot:?}");
            prop_assert!(n > 0 || (shot.stroke.is_none() && shot.wing.is_none()));
            prop_assert!(n == 0 || shot.pace.is_none());
        }
    }
    // Typing can contradict itself, and is warned: an ace that was said before two shots were keyed. A winner changed earlier can
    // change who serves, and so whose shot the last one was: that is told.
    let shots = |f: &crate::record::check::Finding| {
        f.severity == crate::record::check::Severity::Error
            && f.message.contains("shot")
            && !f.message.starts_with("by the shots ")
    };
    prop_assert_eq!(crate::record::check::check(record).into_iter().find(shots), None);
    Ok(())
}

proptest! {
    /// Whatever is typed at whatever moment, points and shots stay in order, undo gives all back, and a record that is
    /// opened again shows the same pad.
    #[test]
    fn any_typing_keeps_the_record_sound(
        keys in proptest::collection::vec((0usize..60, 0u64..60_000, 0u64..4), 0..120),
    ) {
        let (mut typist, mut last) = (Typist::default(), 0);
        for (k, ms, jump) in keys {
            // Mostly onwards, as a match goes; now and then anywhere.
            last = if jump == 0 { ms / 40 * 40 } else { last + jump * 80 };
            typist.press(KEYS[k], MatchTime::from_millis(last));
            let logger = &typist.logger;
            prop_assert!(logger.current().is_none_or(|c| c < typist.record.points.len()));
            sound(&typist.record)?;
            let mut same = Logger { ball: None, plain: Plain::default(), ..logger.clone() };
            same.choose(Logger::resume(&typist.record).current());
            let there = Logger::resume(&typist.record);
            prop_assert_eq!(typist.pad_of(&same), typist.pad_of(&there));
        }
        typist.undo_all();
        prop_assert_eq!(typist.record, Record::default());
    }
}
