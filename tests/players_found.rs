//! Players found by themselves in demo footage, against the truth of each strike.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "helpers of tests fail by panicking")]

use std::ops::ControlFlow;
use std::path::Path;

use changeover::demo::{Demo, Truth, make_unless_stopped};
use changeover::measure::{Camera, Size};
use changeover::record::{Corner, CourtMark, CourtMarks, Footage, FoundBy, Record};
use changeover::session::cameras::Cameras;
use changeover::session::proposing::{Stretch, Strike};
use changeover::session::seeing::players;
use changeover::tennis::End;
use changeover::time::{FrameRate, MatchTime};
use changeover::video::probe;

const SIZE: Size = Size::new(640, 360);
const FILM: &str = "holt-okafor.mp4";

fn filmed(folder: &Path) -> Truth {
    let demo = Demo {
        points: Some(3),
        brisk: true,
        width: SIZE.width,
        height: SIZE.height,
        rate: FrameRate::new(25, 1).ok(),
        ..Demo::default()
    };
    make_unless_stopped(&demo, folder, &mut |_, _| ControlFlow::Continue(())).unwrap();
    serde_json::from_str(&std::fs::read_to_string(folder.join("holt-okafor.truth.json")).unwrap()).unwrap()
}

/// The camera of the demo, as it is marked in the record.
fn record(truth: &Truth) -> Record {
    let camera = Camera::looking([0.0, -23.8872, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap();
    let mark = |landmark: Corner| {
        let at = camera.see_ground(landmark.landmark().spot).unwrap().into();
        CourtMark { landmark, at }
    };
    let marks = CourtMarks {
        file: FILM.into(),
        at: MatchTime::ZERO,
        size: SIZE,
        marks: Corner::ALL.map(mark).to_vec(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    };
    let footage = Footage {
        file: FILM.into(),
        fingerprint: None,
        duration: truth.files[0].end,
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    Record { footage: vec![footage], calibrations: vec![marks], ..Record::default() }
}

#[test]
fn players_are_found_at_most_strikes() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed(folder.path());
    let record = record(&truth);
    let cameras = Cameras::of(&record);
    let media = probe(&folder.path().join(FILM)).unwrap();
    let (mut all, mut near_enough) = (0, 0);
    let mut stretches = Vec::new();
    let mut each: Vec<Vec<_>> = Vec::new();
    for (n, point) in truth.points.iter().enumerate() {
        let near = if point.server_end == End::Near { point.server } else { point.server.other() };
        let strike = |(k, s): (usize, &changeover::demo::truth::Strike)| Strike {
            shot: (n, k),
            fault: false,
            at: s.time,
            near: Some(near),
        };
        let strikes: Vec<_> = point.strikes.iter().enumerate().map(strike).collect();
        let stretch = Stretch { footage: record.footage[0].clone(), strikes };
        let one = std::slice::from_ref(&stretch);
        let found = players(&media, &cameras, one, &mut |_| ControlFlow::Continue(())).unwrap().concat();
        for (k, strike) in point.strikes.iter().enumerate() {
            for spot in strike.positions {
                let (end, most) = if spot.y.0 < 0.0 { (End::Near, 0.4) } else { (End::Far, 0.8) };
                let mine = found.iter().find(|p| p.strike.shot.1 == k && p.end == end);
                let off = mine.map_or(f64::INFINITY, |p| p.place.spot.distance(spot).0);
                println!("point {n}, strike {k}, {end:?}: {off:.2} m");
                all += 1;
                near_enough += usize::from(off <= most);
            }
        }
        stretches.push(stretch);
        each.push(found);
    }
    println!("{near_enough} of {all}");
    let together = players(&media, &cameras, &stretches, &mut |_| ControlFlow::Continue(())).unwrap();
    assert_eq!(together, each, "one pass through the film finds the same");
    assert!(all >= 10 && near_enough * 10 >= all * 9, "{near_enough} of {all}");
}
