//! What a careful click on the true place of a player measures with the court that was found by itself.

use changeover::measure::{CLICK, Pixel};
use changeover::record::{FoundBy, Position, Touch};
use changeover::tennis::Side;
use changeover::tennis::court::Spot;

use crate::filmed::{Film, Found, strikes};

/// One click: the half, how far off, and whether the stated ellipse of 95 % holds the truth.
pub struct Clicks(Vec<(bool, f64, bool)>);

impl Clicks {
    pub fn within(&self, far: bool, most: f64) -> f64 {
        let half = || self.0.iter().filter(|c| c.0 == far);
        half().filter(|c| c.1 <= most).count() as f64 / half().count().max(1) as f64
    }

    pub fn held(&self) -> f64 {
        self.0.iter().filter(|c| c.2).count() as f64 / self.0.len().max(1) as f64
    }
}

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
}

/// Where the true camera of a frame sees a place on the ground.
fn see(camera: &serde_json::Value, at: Spot, size: (f64, f64)) -> Option<Pixel> {
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let from: Vec<f64> = camera["position"].as_array().unwrap().iter().map(number).collect();
    let away = [at.x.0 - from[0], at.y.0 - from[1], -from[2]];
    let along = |n: usize| -> f64 {
        camera["axes"][n].as_array().unwrap().iter().map(number).zip(away).map(|(a, b)| a * b).sum()
    };
    let focal = number(&camera["focal"]);
    let [right, down, forward] = [0, 1, 2].map(along);
    let at = Pixel::new(size.0 / 2.0 + focal * right / forward, size.1 / 2.0 + focal * down / forward);
    (forward > 0.1 && (0.0..size.0).contains(&at.x) && (0.0..size.1).contains(&at.y)).then_some(at)
}

impl Film {
    /// A click on each player whose feet are in the picture, at each strike.
    pub fn clicks(&self, found: &Found) -> Clicks {
        let (mut dice, mut all) = (Dice(17), Vec::new());
        let cameras = self.cameras();
        let size = (f64::from(self.truth.files[0].width), f64::from(self.truth.files[0].height));
        for (strike, _) in strikes(&found.record) {
            let Some((frame, camera)) = cameras.iter().rev().find(|(at, _)| *at <= strike.at) else {
                continue;
            };
            for side in [Side::A, Side::B] {
                let spot = self.struck(&strike).positions[side.index()];
                let Some(at) = see(camera, spot, size) else { continue };
                let at = Pixel::new(at.x + CLICK * dice.normal(), at.y + CLICK * dice.normal());
                let of = Touch::feet(side, None);
                let click = Position { of, frame: *frame, at: at.into(), by: FoundBy::Hand, measured: None };
                let Some(place) = found.cameras.place(&click) else { continue };
                let held = place.spread.holds(place.spot, spot, 0.95);
                all.push((spot.y.0 > 0.0, place.spot.distance(spot).0, held));
            }
        }
        Clicks(all)
    }
}
