//! The plan of a reel keeps its laws: exact ends, no drift, nothing lost in the count.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use proptest::prelude::*;

use super::*;
use crate::frames::{FootageFile, FrameIndex};
use crate::lesson::{Chapter, Clip, Footage, Freeze, Lesson, Pace, Pair, Part, Picture, Still, Stretch};
use crate::time::{FrameRate, MatchTime};

fn rate(text: &str) -> FrameRate {
    text.parse().unwrap()
}

fn file(times: Vec<MatchTime>) -> FootageFile {
    let index = FrameIndex::new(times.into_iter().map(|t| (t, true)).collect(), None).unwrap();
    FootageFile {
        path: PathBuf::from("x.mp4"),
        width: 1280,
        height: 720,
        duration: index.end(),
        rate: index.rate(),
        rotation: 0,
        has_audio: true,
        index: Arc::new(index),
        warnings: Vec::new(),
        stream: None,
        transparent: false,
        resized: None,
        stored: None,
    }
}

fn constant(r: &str, frames: u64) -> FootageFile {
    file((0..frames).map(|n| rate(r).time_of(n)).collect())
}

fn clip(name: &str, from: MatchTime, to: MatchTime) -> Clip {
    Clip {
        footage: Footage { file: name.into(), fingerprint: None, duration: to, rate: None },
        from,
        to,
        caption: String::new(),
        score: String::new(),
        notes: String::new(),
        of: None,
        pattern: String::new(),
        conditions: Vec::new(),
        stretches: Vec::new(),
        freezes: Vec::new(),
        drawings: Vec::new(),
        times: None,
    }
}

fn lesson(parts: Vec<Part>) -> Lesson {
    Lesson { parts, ..Lesson::default() }
}

fn of_clip(c: Clip) -> Lesson {
    lesson(vec![Part::Clip(Box::new(c))])
}

fn files(all: impl IntoIterator<Item = (&'static str, FootageFile)>) -> Files {
    all.into_iter().map(|(name, f)| (name.to_owned(), f)).collect()
}

/// The frame of the file that each frame of the reel shows of its left or only clip.
fn shown(plan: &Plan) -> Vec<Option<usize>> {
    (0..plan.frames())
        .map(|k| {
            let scene = plan.scene(k).unwrap();
            match &scene.shows {
                Shows::Card | Shows::Told(_) => None,
                Shows::One(t) => Some(t.at(k - scene.starts, plan.rate).frame),
                Shows::Two([(t, before), _]) => {
                    Some(t.at((k - scene.starts).saturating_sub(*before), plan.rate).frame)
                }
            }
        })
        .collect()
}

const RATES: [&str; 8] = ["24000/1001", "25", "30000/1001", "30", "50", "60000/1001", "60", "120"];

fn ms(n: u64) -> MatchTime {
    MatchTime::from_millis(n)
}

proptest! {
    /// How long a lesson says that a clip plays, and how long its reel is.
    #[test]
    fn a_clip_plays_as_long_as_its_reel(
        a in 0u64..200, n in 30u64..300, slow in (0u64..200, 1u64..200, 10u16..=400), still in (0u64..400, 0u64..9_000)
    ) {
        let f = constant("30", 800);
        let at = |frame: u64| f.index.time(frame as usize);
        let mut c = clip("x", at(a), at(a + n));
        c.stretches = vec![Stretch { from: at(a + slow.0), to: at(a + slow.0 + slow.1), pace: Pace(slow.2) }];
        c.freezes = vec![Freeze { at: at(a + still.0), lasts: ms(still.1), drawings: Vec::new() }];
        let plays = Part::Clip(Box::new(c.clone())).plays(|c| (c.from, c.to)).as_secs_f64();
        let plan = Plan::new(&of_clip(c), &files([("x", f)]), Wish { rate: Some(rate("60")), size: None }).unwrap();
        let reel = plan.frames() as f64 / 60.0;
        prop_assert!((plays - reel).abs() < 0.1 || still.0 == n, "{} {}", plays, reel);
    }

    #[test]
    fn the_first_and_the_last_frame_of_a_clip_are_exact(
        own in 0usize..8, out in 0usize..8, a in 0u64..400, n in 2u64..300, pace in 10u16..=400
    ) {
        let f = constant(RATES[own], 800);
        let (from, to) = (f.index.time(a as usize), f.index.time((a + n) as usize));
        let mut c = clip("x", from, to);
        c.stretches = vec![Stretch { from, to, pace: Pace(pace) }];
        let wish = Wish { rate: Some(rate(RATES[out])), size: None };
        let plan = Plan::new(&of_clip(c), &files([("x", f)]), wish).unwrap();
        let shown: Vec<usize> = shown(&plan).into_iter().flatten().collect();
        prop_assert_eq!(shown.len() as u64, plan.frames());
        prop_assert_eq!(shown[0] as u64, a);
        if shown.len() > 1 {
            prop_assert_eq!(*shown.last().unwrap() as u64, a + n - 1);
        }
        prop_assert!(shown.is_sorted());
        // Its length, to half a frame of the reel.
        let exact = f64::from(rate(RATES[out]).frames()) / f64::from(rate(RATES[out]).per()) * n as f64 * 100.0
            / f64::from(pace) * f64::from(rate(RATES[own]).per()) / f64::from(rate(RATES[own]).frames());
        prop_assert!((shown.len() as f64 - exact).abs() <= 0.51 || shown.len() == 1, "{} {exact}", shown.len());
    }

    #[test]
    fn slow_motion_has_an_even_cadence(n in 2u64..200, pace in prop_oneof![Just(50u16), Just(25), Just(20), Just(10)]) {
        let f = constant("30", 300);
        let (from, to) = (f.index.time(5), f.index.time(5 + n as usize));
        let mut c = clip("x", from, to);
        c.stretches = vec![Stretch { from, to, pace: Pace(pace) }];
        let plan = Plan::new(&of_clip(c), &files([("x", f)]), Wish::default()).unwrap();
        let shown = shown(&plan);
        let each = 100 / u64::from(pace);
        prop_assert_eq!(shown.len() as u64, n * each);
        for (k, frame) in shown.into_iter().enumerate() {
            prop_assert_eq!(frame, Some(5 + k / each as usize));
        }
    }

    #[test]
    fn any_lesson_adds_up(
        parts in proptest::collection::vec((0u64..9000, 0u64..4000, 10u16..400, 0u64..3000, 1u8..4), 1..8),
        out in 0usize..8, gaps in proptest::collection::vec(1u64..300, 2..80)
    ) {
        let mut t = 0;
        let uneven = file(gaps.iter().map(|g| { t += g; ms(t) }).collect());
        let all = files([("x", constant("30000/1001", 400)), ("y", uneven)]);
        let wish = Wish { rate: Some(rate(RATES[out])), size: None };
        let parts = parts.into_iter().enumerate().map(|(i, (from, length, pace, at, times))| {
            let mut c = clip(if i % 2 == 0 { "x" } else { "y" }, ms(from), ms(from + length));
            let stretch = Stretch { from: ms(from + at / 2), to: ms(from + at), pace: Pace(pace) };
            c.stretches = vec![stretch, stretch];
            c.freezes = vec![Freeze { at: ms(from + at), lasts: ms(at), drawings: Vec::new() }; 2];
            c.times = Some(times);
            if i % 3 == 2 {
                let (left_at, right_at) = (ms(from + at), ms(at));
                Part::Pair(Box::new(Pair { left: c.clone(), right: c, left_at, right_at, caption: String::new(), notes: String::new() }))
            } else {
                Part::Clip(Box::new(c))
            }
        }).collect();
        let lesson = lesson(parts);
        match Plan::new(&lesson, &all, wish) {
            Ok(plan) => {
                let mut next = 0;
                for scene in &plan.scenes {
                    prop_assert_eq!(scene.starts, next);
                    prop_assert!(scene.frames > 0);
                    next += scene.frames;
                }
                prop_assert_eq!(next, plan.frames());
                for (s, frame) in shown(&plan).into_iter().enumerate() {
                    let scene = plan.scene(s as u64).unwrap();
                    if let (Some(frame), Shows::One(track)) = (frame, &scene.shows) {
                        prop_assert!(frame < all[&track.file].index.len());
                    }
                }
                let sounds = plan.sounds(&all);
                for pair in sounds.windows(2) {
                    prop_assert!(pair[0].starts + pair[0].frames <= pair[1].starts);
                }
                prop_assert!(sounds.last().is_none_or(|s| s.starts + s.frames <= plan.frames()));
            }
            Err(PlanError::AfterTheEnd { .. }) => {}
            Err(e) => prop_assert!(false, "{e}"),
        }
    }

    #[test]
    fn clips_side_by_side_show_their_strikes_together(
        a in 0u64..100, b in 0u64..100, l in 0u64..60, r in 0u64..60, pace in 20u16..200
    ) {
        let all = files([("x", constant("30", 300)), ("y", constant("25", 300))]);
        let at = |name: &str, n: u64| all[name].index.time(n as usize);
        let mut left = clip("x", at("x", a), at("x", a + 60));
        left.stretches = vec![Stretch { from: left.from, to: left.to, pace: Pace(pace) }];
        let right = clip("y", at("y", b), at("y", b + 60));
        let (left_at, right_at) = (at("x", a + l), at("y", b + r));
        let pair = Pair { left, right, left_at, right_at, caption: String::new(), notes: String::new() };
        let plan = Plan::new(&lesson(vec![Part::Pair(Box::new(pair))]), &all, Wish { rate: Some(rate("50")), size: None }).unwrap();
        let Shows::Two(both) = &plan.scenes[0].shows else { panic!() };
        let looks = |k: u64| both.clone().map(|(t, before)| t.at(k.saturating_sub(before), plan.rate).frame as u64);
        let first = |side: usize, frame: u64| (0..plan.frames()).find(|k| looks(*k)[side] >= frame).unwrap();
        // The one that waits stands at its first frame: its strike is the first one only if it does not wait.
        let (kl, kr) = (first(0, a + l), first(1, b + r));
        if l > 0 && r > 0 {
            prop_assert_eq!(kl, kr);
        }
        prop_assert_eq!(looks(0), [a, b]);
        prop_assert_eq!(looks(plan.frames() - 1), [a + 59, b + 59]);
    }
}

/// Every frame of an hour, at every pair of rates: what is shown is never much more than a frame away from where it should be.
#[test]
fn nothing_drifts_over_an_hour() {
    for (own, out) in
        [("30000/1001", "30"), ("60000/1001", "25"), ("25", "30000/1001"), ("24000/1001", "60"), ("30", "30")]
    {
        let count = 3600 * u64::from(rate(own).frames()) / u64::from(rate(own).per());
        let all = files([("x", constant(own, count))]);
        let c = clip("x", MatchTime::ZERO, all["x"].index.end());
        let plan = Plan::new(&of_clip(c), &all, Wish { rate: Some(rate(out)), size: None }).unwrap();
        // A frame of the coarser rate, and the half of one by which the whole length is rounded.
        let both = [rate(own), rate(out)].map(|r| r.frame_length().as_nanos() as u64);
        let allowed = both[0].max(both[1]) + both[1] / 2;
        for (k, frame) in shown(&plan).into_iter().enumerate() {
            let (is, should) = (rate(own).time_of(frame.unwrap() as u64), rate(out).time_of(k as u64));
            let off = is.nanos().abs_diff(should.nanos());
            assert!(off <= allowed, "{own} in {out}: frame {k} is {off} ns off");
        }
        let exact = count as f64 * f64::from(rate(own).per()) / f64::from(rate(own).frames())
            * f64::from(rate(out).frames())
            / f64::from(rate(out).per());
        assert!((plan.frames() as f64 - exact).abs() <= 0.51);
    }
}

#[test]
fn a_freeze_stands_where_it_is_and_the_clip_goes_on() {
    let all = files([("x", constant("25", 100))]);
    let mut c = clip("x", ms(400), ms(1000));
    c.freezes = vec![Freeze { at: ms(600), lasts: ms(200), drawings: Vec::new() }];
    let plan = Plan::new(&of_clip(c), &all, Wish::default()).unwrap();
    let seen: Vec<usize> = shown(&plan).into_iter().flatten().collect();
    let wanted: Vec<usize> = (10..=15).chain([15; 5]).chain(16..25).collect();
    assert_eq!(seen, wanted);
    let Shows::One(track) = &plan.scenes[0].shows else { panic!() };
    assert_eq!(track.at(8, plan.rate).freeze, Some(Freezing { number: 0, since: ms(80) }));
    assert_eq!(track.at(11, plan.rate).freeze, None);
    let sounds: Vec<_> = plan.sounds(&all).iter().map(|s| (s.from, s.starts, s.frames)).collect();
    assert_eq!(sounds, [(ms(400), 0, 6), (ms(640), 11, 9)], "the freeze is silent");
}

#[test]
fn headings_and_stills_have_their_time_and_chapters_their_marks() {
    let all = files([("x", constant("25", 100))]);
    let c = clip("x", ms(0), ms(1000));
    let still = Still {
        caption: String::new(),
        lasts: ms(1200),
        shows: Picture::Words("Well done".into()),
        notes: String::new(),
    };
    let parts = vec![
        Part::Clip(Box::new(c.clone())),
        Part::Chapter(Chapter { title: "Drop shots".into(), notes: String::new() }),
        Part::Still(Box::new(still)),
        Part::Clip(Box::new(c)),
    ];
    let lesson = Lesson { title: "Short court".into(), parts, ..Lesson::default() };
    let plan = Plan::new(&lesson, &all, Wish::default()).unwrap();
    let lengths: Vec<u64> = plan.scenes.iter().map(|s| s.frames).collect();
    assert_eq!(lengths, [63, 25, 63, 30, 25]);
    assert_eq!((plan.rate, plan.size), (rate("25"), (1280, 720)));
    let marks: Vec<_> = plan.marks(&lesson).into_iter().map(|m| (m.title, m.starts)).collect();
    assert_eq!(marks, [("Short court".to_owned(), 0), ("Drop shots".to_owned(), 88)]);
}

#[test]
fn the_commonest_rate_and_size_are_chosen() {
    let big = FootageFile { width: 2160, height: 3840, ..constant("60000/1001", 600) };
    let all = files([("x", constant("25", 100)), ("y", big), ("z", constant("240", 2400))]);
    let parts = [("x", 2000), ("y", 3000), ("x", 500), ("z", 9000)];
    let parts = parts.map(|(f, to)| Part::Clip(Box::new(clip(f, ms(0), ms(to)))));
    let plan = Plan::new(&lesson(parts[..3].to_vec()), &all, Wish::default()).unwrap();
    assert_eq!((plan.rate, plan.size), (rate("60000/1001"), (1080, 1920)));
    let plan = Plan::new(&lesson(parts.to_vec()), &all, Wish::default()).unwrap();
    assert_eq!(plan.rate, rate("60000/1001"), "no more than sixty by itself");
    let wish = Wish { size: Some((641, 361)), rate: Some(rate("240")) };
    let plan = Plan::new(&lesson(parts.to_vec()), &all, wish).unwrap();
    assert_eq!((plan.rate, plan.size), (rate("240"), (640, 360)));
}

#[test]
fn what_cannot_be_shown_is_told() {
    let all = files([("x", constant("25", 100))]);
    let of = |lesson: &Lesson| Plan::new(lesson, &all, Wish::default()).unwrap_err().to_string();
    assert_eq!(of(&Lesson::default()), "the lesson has no parts; add clips to it first");
    let late = of(&of_clip(clip("x", ms(9000), ms(9500))));
    assert_eq!(
        late,
        "part 1: the clip begins at 00:00:09.000, but \"x\" ends at 00:00:04.000; correct the clip's start"
    );
    assert_eq!(of(&of_clip(clip("y", ms(0), ms(9))),), "part 1: the footage \"y\" is not open");
    let mut c = clip("x", ms(0), ms(1000));
    c.freezes = vec![Freeze { at: ms(5), lasts: MatchTime::from_nanos(u64::MAX), drawings: Vec::new() }];
    assert!(of(&of_clip(c)).starts_with("part 1: the reel would be longer than 6 hours"));
    let empty = BTreeMap::new();
    assert!(Plan::new(&of_clip(clip("x", ms(0), ms(1))), &empty, Wish::default()).is_err());
}
