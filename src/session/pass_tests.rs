//! A film that is drawn: somebody stands at the near baseline, somewhere else in each point.

use std::time::Duration;

use proptest::prelude::*;

use super::super::proposing::Strike;
use super::*;
use crate::find::Planar;
use crate::measure::{Camera, Size};
use crate::record::{Corner, CourtMark, CourtMarks, Footage, FoundBy, Record};
use crate::tennis::court::Spot;
use crate::tennis::{End, Side};

const SIZE: Size = Size::new(320, 180);
/// Frames a second.
const RATE: u64 = 10;

fn camera() -> Camera {
    Camera::looking([0.0, -23.9, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap()
}

fn footage(seconds: u64) -> Footage {
    Footage {
        file: "a.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(seconds),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    }
}

fn record(seconds: u64) -> Record {
    let mark = |landmark: Corner| {
        let at = camera().see_ground(landmark.landmark().spot).unwrap().into();
        CourtMark { landmark, at }
    };
    let marks = CourtMarks {
        file: "a.mp4".into(),
        at: MatchTime::ZERO,
        size: SIZE,
        marks: Corner::ALL.map(mark).to_vec(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    };
    Record { footage: vec![footage(seconds)], calibrations: vec![marks], ..Record::default() }
}

fn index(seconds: u64, key: u64) -> FrameIndex {
    let frames = 0..seconds * RATE;
    let frames = frames.map(|n| (MatchTime::from_millis(1000 / RATE * n), n % key == 0)).collect();
    FrameIndex::new(frames, None).unwrap()
}

fn stretch(point: usize, seconds: u64, strikes: &[u64]) -> Stretch {
    let strike = |(k, ms): (usize, &u64)| Strike {
        shot: (point, k),
        fault: false,
        at: MatchTime::from_millis(*ms),
        near: Some(Side::A),
    };
    Stretch { footage: footage(seconds), strikes: strikes.iter().enumerate().map(strike).collect() }
}

/// Where the near player stands: another place every ten seconds.
fn stands(at: MatchTime) -> Spot {
    let tens = (at - MatchTime::ZERO).as_secs() / 10;
    Spot::new((tens * 7 % 9) as f64 - 4.0, -12.0)
}

/// The court in grey, and somebody dark on it.
fn picture(at: MatchTime) -> Option<Colour> {
    let (w, h) = (SIZE.width as usize, SIZE.height as usize);
    let mut shades = vec![150; w * h];
    let spot = stands(at);
    let foot = camera().see_ground(spot).unwrap();
    let head = camera().see([spot.x.0, spot.y.0, 1.75]).unwrap();
    for y in head.y as usize..=foot.y as usize {
        shades[y * w + foot.x as usize - 3..=y * w + foot.x as usize + 3].fill(40);
    }
    let grey = vec![128; w * h / 4];
    let planes = [(&shades[..], w), (&grey[..], w / 2), (&grey[..], w / 2)];
    Colour::of_planar(&Planar { shown: SIZE, stored: SIZE, planes })
}

/// What a pass finds, and how many frames were wanted twice.
fn passed(
    record: &Record,
    stretches: &[Stretch],
    index: &FrameIndex,
    room: usize,
) -> (Vec<Vec<Proposal>>, usize) {
    let cameras = Cameras::of(record);
    let mut pass = Pass::new(&cameras, stretches, index);
    pass.room = room;
    for frame in pass.frames() {
        let at = index.time(frame);
        pass.feed(frame, at, || picture(at));
        let waiting = pass.searches.iter().flat_map(|s| &s.waiting).map(|(_, p)| p.bytes()).sum::<usize>();
        assert_eq!(pass.room + waiting, room);
        // Those that are looked at again keep nothing until then, however many they are.
        let kept = |s: &Search<'_>| s.watcher.as_ref().map_or(0, Watcher::samples) + s.waiting.len();
        assert!(pass.searches.iter().filter(|s| s.again).all(|s| kept(s) == 0));
    }
    let (told, again) = (pass.waits_again(), pass.again());
    let mut twice = 0;
    for stretch in again {
        for samples in [true, false] {
            for frame in pass.wanted_again(stretch, samples) {
                let at = index.time(frame);
                pass.feed_again(stretch, samples, at, || picture(at));
                twice += usize::from(!samples);
            }
        }
        pass.end_again(stretch);
    }
    assert!(twice == told && pass.room == room && pass.waits_again() == 0);
    (pass.finish(), twice)
}

#[test]
fn one_pass_for_all_points_finds_what_a_pass_for_each_finds() {
    const SECONDS: u64 = 150;
    let (record, index) = (record(SECONDS), index(SECONDS, 100));
    // Two in the first minute, two of which one ends after the other's strikes, and one alone; not in their order.
    let all = [
        stretch(3, SECONDS, &[101_000, 108_000]),
        stretch(0, SECONDS, &[4_000]),
        stretch(1, SECONDS, &[25_000, 33_000]),
        stretch(4, SECONDS, &[105_000, 145_050]),
        stretch(2, SECONDS, &[82_000]),
    ];
    let (found, twice) = passed(&record, &all, &index, ROOM);
    assert_eq!(twice, 0);
    for (stretch, found) in all.iter().zip(&found) {
        assert_eq!(*found, passed(&record, std::slice::from_ref(stretch), &index, ROOM).0.concat());
        for strike in &stretch.strikes {
            let near = found.iter().find(|p| p.strike == *strike && p.end == End::Near);
            let off = near.map_or(f64::INFINITY, |p| p.place.spot.distance(stands(strike.at)).0);
            assert!(off < 0.4, "{off} at {:?}", strike.at);
        }
        assert_eq!(found.len(), stretch.strikes.len(), "nobody is at the far end");
    }
    // With room for 30 pictures some are looked at twice, without any room all.
    let looked: usize = all.iter().map(|s| s.looked(&index).len()).sum();
    for (room, least) in [(30 * 320 * 180 * 4, 1), (0, looked)] {
        let (narrow, twice) = passed(&record, &all, &index, room);
        assert!(narrow == found && twice >= least, "{twice} of {looked}");
    }
}

#[test]
fn nobody_is_looked_for_where_the_court_is_not_known() {
    let all = [stretch(0, 200, &[63_000]), stretch(1, 200, &[190_000])];
    let index = index(200, 20);
    let cameras = Cameras::default();
    let pass = Pass::new(&cameras, &all, &index);
    assert_eq!(pass.frames(), [0; 0]);
    assert_eq!(pass.finish(), [[], []]);
}

#[test]
fn a_film_that_ends_early_still_gives_what_was_seen() {
    let (record, index) = (record(150), index(150, 10));
    let cameras = Cameras::of(&record);
    let all = [stretch(0, 150, &[100_000, 140_000])];
    let mut pass = Pass::new(&cameras, &all, &index);
    for frame in pass.frames().into_iter().filter(|f| *f < 1200) {
        pass.feed(frame, index.time(frame), || picture(index.time(frame)));
    }
    let found = pass.finish().concat();
    assert!(found.len() == 1 && found[0].strike.shot == (0, 0), "{found:?}");
}

proptest! {
    /// Whatever the film and its points: all frames come in their order, each once.
    #[test]
    fn frames_are_wanted_in_order_and_none_twice(
        seconds in 1..300_u64,
        key in 1..200_u64,
        points in proptest::collection::vec(proptest::collection::vec(0..300_000_u64, 1..4), 1..6),
    ) {
        let (record, index) = (record(seconds), index(seconds, key));
        let cameras = Cameras::of(&record);
        let all: Vec<_> = points
            .into_iter()
            .map(|mut strikes| {
                for s in &mut strikes {
                    *s %= seconds * 1000;
                }
                strikes.sort_unstable();
                stretch(0, seconds, &strikes)
            })
            .collect();
        let pass = Pass::new(&cameras, &all, &index);
        let frames = pass.frames();
        prop_assert!(frames.is_sorted_by(|a, b| a < b) && frames.last() < Some(&index.len()));
        for search in &pass.searches {
            prop_assert!(search.samples.iter().chain(&search.looked).all(|f| frames.contains(f)));
        }
    }

    #[test]
    fn the_minute_around_a_strike_is_nearly_that_of_another_near_it(at in 70_000..500_000_u64) {
        let index = index(600, 20);
        let of = |ms: u64| stretch(0, 600, &[ms]).samples(&index);
        let (one, other) = (of(at), of(at + 10_000));
        prop_assert!(one.iter().filter(|f| other.contains(f)).count() >= one.len() - 6);
        let strike = MatchTime::from_millis(at);
        let half = Duration::from_secs(26);
        prop_assert!(index.time(one[0]).later(half) <= strike && strike.later(half) <= index.time(one[30]));
    }
}
