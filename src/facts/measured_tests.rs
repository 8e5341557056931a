//! The simulated match measured: its places are clicked in the picture of the demo's camera, with the error of a careful click, and
//! compared with the truth. The numbers are printed.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use super::*;
use crate::demo::{Demo, logged, truth};
use crate::measure::{CLICK, Camera, Pixel, Size};
use crate::record::{
    Cameras, Corner, CourtMark, CourtMarks, Footage, FoundBy, Position, Record, Shot, Touch,
};
use crate::tennis::court::Spot;
use crate::time::MatchTime;

const SIZE: Size = Size::new(1280, 720);

/// Normal numbers, the same in every run: a congruential generator (Knuth's MMIX constants) and Box and Muller's method.
struct Dice(u64);

impl Dice {
    fn part(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.part().ln()).sqrt() * (std::f64::consts::TAU * self.part()).cos()
    }

    fn click(&mut self, at: Spot) -> Pixel {
        let camera = Camera::looking([0.0, -23.8872, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap();
        let seen = camera.see_ground(at).unwrap();
        Pixel::new(seen.x + CLICK * self.normal(), seen.y + CLICK * self.normal())
    }
}

/// The same match with pixels in place of metres.
fn clicked(exact: &Record, dice: &mut Dice) -> Record {
    let mut record = exact.clone();
    record.footage = vec![Footage {
        file: "m.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(100_000),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    }];
    let mark = |landmark: Corner| CourtMark { landmark, at: dice.click(landmark.landmark().spot).into() };
    record.calibrations = vec![CourtMarks {
        file: "m.mp4".into(),
        at: MatchTime::ZERO,
        size: SIZE,
        marks: Corner::ALL.map(mark).to_vec(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    }];
    for point in &mut record.points {
        for shot in &mut point.shots {
            *shot = of_pixels(shot, dice);
        }
    }
    record
}

fn of_pixels(shot: &Shot, dice: &mut Dice) -> Shot {
    let frame = shot.at.unwrap();
    let players = shot.players.unwrap();
    let places = [(Touch::A, Some(players[0])), (Touch::B, Some(players[1])), (Touch::Ball, shot.landing)];
    let seen = places.into_iter().filter_map(|(of, at)| {
        let at = dice.click(at?.into()).into();
        Some(Position { of, frame, at, by: FoundBy::Hand, measured: None })
    });
    Shot { positions: seen.collect(), players: None, landing: None, ..shot.clone() }
}

#[test]
fn clicked_positions_are_where_the_players_were() {
    let exact = logged(&truth(&Demo::default()).unwrap(), true);
    let measured = clicked(&exact, &mut Dice(13));
    let cameras = Cameras::of(&measured);
    let (mut near, mut far, mut held) = (Vec::new(), Vec::new(), 0);
    for (was, is) in exact.points.iter().zip(&measured.points) {
        for (was, is) in was.shots.iter().zip(&*is.shots) {
            for (n, at) in was.players.unwrap().into_iter().enumerate() {
                let (truth, place) = (Spot::from(at), cameras.place(&is.positions[n]).unwrap());
                let off = place.spot.distance(truth).0;
                if truth.y.0 < 0.0 {
                    near.push(off);
                } else {
                    far.push(off);
                }
                held += usize::from(place.spread.holds(place.spot, truth, 0.95));
            }
        }
    }
    let all = near.len() + far.len();
    let within =
        |all: &[f64], most: f64| all.iter().filter(|o| **o <= most).count() as f64 / all.len() as f64;
    let (n, f, held) = (within(&near, 0.15), within(&far, 0.6), held as f64 / all as f64);
    println!(
        "{all} places: near within 0.15 m: {n:.3}; far within 0.6 m: {f:.3}; in the 95 % ellipse: {held:.3}"
    );
    assert!(n >= 0.95 && f >= 0.9, "near {n}, far {f}");
    assert!((0.90..=0.99).contains(&held), "{held}");
}

#[test]
fn measured_facts_are_the_truth_outside_the_uncertain_band() {
    let exact = logged(&truth(&Demo::default()).unwrap(), true);
    let measured = clicked(&exact, &mut Dice(29));
    let (mut same, mut other, mut unknown, mut estimated) = ([0; 5], [0; 5], [0; 5], 0);
    for (was, is) in facts(&exact).iter().zip(facts(&measured)) {
        for (was, is) in was.shots.iter().zip(&*is.shots) {
            let goes = |s: &ShotFacts| s.goes.map(|f| f.map(|g| g as u8));
            let push = |s: &ShotFacts| s.push.map(|f| f.map(|p| p as u8));
            let yes = |f: Option<Fact<bool>>| f.map(|f| f.map(u8::from));
            let pairs = [
                (yes(was.inside), yes(is.inside)),
                (yes(was.opponent_deep), yes(is.opponent_deep)),
                (yes(was.opponent_leaving), yes(is.opponent_leaving)),
                (goes(was), goes(is)),
                (push(was), push(is)),
            ];
            for (n, (was, is)) in pairs.into_iter().enumerate() {
                match (was, is) {
                    (Some(w), Some(i)) if w.value == i.value => same[n] += 1,
                    (Some(_), Some(_)) => other[n] += 1,
                    (Some(_), None) => unknown[n] += 1,
                    (None, _) => {}
                }
                // The last shot of a point says nothing of where the opponent strikes next.
                estimated += usize::from(
                    n < 3 && is.is_some_and(|f| f.estimated) && was.is_some_and(|f| !f.estimated),
                );
            }
        }
    }
    println!("inside, deep, leaving, goes, push: same {same:?}, other {other:?}, uncertain {unknown:?}");
    assert_eq!(estimated, 0, "measured replaces estimated");
    for n in 0..5 {
        assert!(50 * other[n] <= same[n], "{n}: {} of {}", other[n], same[n]);
    }
}
