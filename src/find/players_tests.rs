//! Players in masks that are drawn: who stands where is known exactly.

use super::super::bodies::stands;
use super::*;
use crate::measure::Size;

const SIZE: Size = Size::new(640, 360);

fn camera() -> Camera {
    Camera::looking([0.0, -23.9, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap()
}

/// Somebody at each of these places, as an upright board.
fn mask(all: &[Spot]) -> Mask {
    let mut is = vec![0; 640 * 360];
    for at in all {
        let (foot, head, metre) = stands(&camera(), *at).unwrap();
        let half = 0.25 * metre;
        for y in head.y.max(0.0) as usize..=(foot.y as usize).min(359) {
            let row = y * 640;
            is[row + (foot.x - half) as usize..=row + (foot.x + half) as usize].fill(1);
        }
    }
    Mask::new(SIZE, is)
}

fn best(mask: &Mask, far: bool) -> Option<Spot> {
    bodies(mask, &Ground::new(&camera()), far).first().map(|b| b.spot)
}

#[test]
fn somebody_is_found_on_either_side_of_the_net() {
    let places = [Spot::new(2.0, -12.5), Spot::new(-3.0, 13.0)];
    let mask = mask(&places);
    for (far, at) in [false, true].into_iter().zip(places) {
        let found = best(&mask, far).unwrap();
        assert!(found.distance(at).0 < 0.45, "{found:?} for {at:?}");
    }
}

/// Their head is seen before the far half: with a raised racket it would be the legs of who is behind.
#[test]
fn somebody_at_the_net_is_left_out_of_the_far_half() {
    let (at_net, behind) = (Spot::new(0.0, -3.4), Spot::new(0.0, 12.6));
    let both = mask(&[at_net, behind]);
    assert!(best(&both, false).unwrap().distance(at_net).0 < 0.4);
    let alone = without(&both, &camera(), at_net).unwrap();
    let (foot, head, metre) = stands(&camera(), at_net).unwrap();
    let seen = |mask: &Mask| mask.within(foot.x - metre, head.y, foot.x + metre, foot.y + 1.0);
    assert!(seen(&both) > 500.0 && seen(&alone) == 0.0, "{} {}", seen(&both), seen(&alone));
    assert!(best(&alone, true).unwrap().distance(behind).0 < 0.6, "{:?}", best(&alone, true));
    assert!(
        without(&both, &camera(), Spot::new(0.0, -12.0)).is_none(),
        "at the baseline nobody is in the way"
    );
}

#[test]
fn somebody_whose_feet_are_cut_off_is_nowhere() {
    let low = Camera::looking([0.0, -23.9, 5.0], [0.0, -1.0, 0.0], 45.0, SIZE).unwrap();
    let at = Spot::new(0.5, -14.7);
    assert!(low.see_ground(at).is_some_and(|p| p.y > 360.0), "below the picture");
    let (foot, head, metre) = stands(&low, at).unwrap();
    let mut is = vec![0; 640 * 360];
    for y in head.y as usize..360 {
        let (left, right) = ((foot.x - 0.25 * metre) as usize, (foot.x + 0.25 * metre) as usize);
        is[y * 640 + left..=y * 640 + right].fill(1);
    }
    assert_eq!(bodies(&Mask::new(SIZE, is), &Ground::new(&low), false), []);
}

/// Somebody runs to the ball, strikes it and runs back: one line through all of it would lie half a metre inside.
#[test]
fn the_place_at_a_strike_is_where_the_run_turns() {
    let run = |t: f64| Body { spot: Spot::new(3.9 - 2.5 * t.abs(), -11.3), value: 0.6 };
    let way: Vec<_> = (-7..=7).map(|k| f64::from(k) * 0.06).map(|t| (t, run(t))).collect();
    let feet = line(&way, way.len()).unwrap();
    assert!(feet.spot.distance(Spot::new(3.9, -11.3)).0 < 0.02 && feet.scatter < 0.02, "{feet:?}");
    // Of a run without frames after the strike the line goes on.
    let before: Vec<_> = way.iter().filter(|(t, _)| *t < 0.0).copied().collect();
    assert!(line(&before, 7).unwrap().spot.distance(Spot::new(3.9, -11.3)).0 < 0.05);
}

/// The feet are cut off at the first strike, for longer than a way may leave frames out: the later ones still count, and so do the earlier.
#[test]
fn a_way_goes_on_after_many_frames_without_anybody() {
    let camera = camera();
    let court = Arc::new(Colour::of(640, 360, vec![[90; 4]; 640 * 360]));
    let samples: Vec<_> = (0..5).map(|_| (camera, court.clone())).collect();
    let mut players = Players::new(&samples, &[]).unwrap();
    let at = |k: u64| MatchTime::from_millis(60 * k);
    let stands = |x: f64| vec![Body { spot: Spot::new(x, -12.5), value: 0.6 }];
    for k in 0..60 {
        let bodies = match k {
            0..15 => stands(1.0),
            15..40 => Vec::new(),
            _ => stands(2.0),
        };
        players.frames.push((at(k), [bodies, Vec::new()]));
    }
    for (k, x) in [(7, 1.0), (50, 2.0)] {
        let [near, far] = players.at(at(k));
        assert!(near.is_some_and(|f| f.spot.distance(Spot::new(x, -12.5)).0 < 0.05), "{k}: {near:?}");
        assert!(far.is_none());
    }
    assert!(players.at(at(28))[0].is_none());
}

/// Squares of the ground are passed over only if nothing is seen about any place in them: the same places are found without squares.
#[test]
fn no_place_is_lost_with_the_squares_that_are_passed_over() {
    use super::super::bodies::is_anything_passed_over;
    let from_the_side = Camera::looking([9.0, -21.0, 3.2], [-1.0, 0.0, 0.0], 64.0, SIZE).unwrap();
    for camera in [camera(), from_the_side.with_radial(-0.08)] {
        for (x, y) in [(40, 330), (320, 180), (600, 120), (333, 90), (10, 355), (500, 250)] {
            let mut is = vec![0; 640 * 360];
            is[y * 640 + x] = 1;
            let mask = Mask::new(SIZE, is);
            assert_eq!(is_anything_passed_over(&mask, &Ground::new(&camera)), None, "{x} {y}");
        }
    }
}
