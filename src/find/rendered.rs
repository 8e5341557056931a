//! Pictures of courts with known cameras, for tests: four surfaces, worn lines, neighbouring courts, shadows, a net that
//! hides lines, players, letters on the ground, a wall with lettering, a crowd. Then what a camera does with it: blur, sharpening
//! halos, exposure, noise, compression. One number makes one picture.

use super::grey::Grey;
use super::model::PAINTED;
use crate::measure::{Camera, Pixel, PoseStep, Size};
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, Metres, Spot, net_height};

/// Random numbers, the same in every run (SplitMix64, Steele, Lea & Flood 2014).
pub(super) struct Dice(u64);

impl Dice {
    pub fn new(number: u64) -> Self {
        Self(number.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    pub fn within(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        low + (high - low) * ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn normal(&mut self) -> f64 {
        (-2.0 * self.within(1e-12, 1.0).ln()).sqrt() * self.within(0.0, std::f64::consts::TAU).cos()
    }

    pub fn chance(&mut self, part: f64) -> bool {
        self.within(0.0, 1.0) < part
    }
}

/// A camera, and what it sees.
pub(super) struct Scene {
    pub camera: Camera,
    /// Of the camera, in metres.
    pub height: f64,
    pub picture: Grey,
}

/// What lies on the ground.
struct Ground {
    /// Shades of the court and of what surrounds it.
    court: f64,
    around: f64,
    paint: f64,
    /// How much of the paint has gone, from 0 to 1, and where more and less of it.
    worn: f64,
    phase: [f64; 9],
    /// Where courts are, to the side of ours.
    courts: Vec<f64>,
    /// A place, a direction across, half a width, and how much light is left.
    shadows: Vec<([f64; 2], [f64; 2], f64, f64)>,
    /// Letters on the ground beside the court: left, near, width, depth, shade.
    letters: Vec<[f64; 5]>,
    /// Where the shadow of the net ends, and how much light is left in it.
    net_shadow: (f64, f64),
    end: f64,
}

impl Ground {
    fn drawn(dice: &mut Dice, number: u64) -> Self {
        let (court, around) =
            [(98.0, 112.0), (109.0, 97.0), (113.0, 108.0), (104.0, 141.0)][number as usize % 4];
        let mut courts = vec![0.0];
        if dice.chance(0.5) {
            let far = dice.within(13.5, 17.0);
            courts.push(if dice.chance(0.5) { far } else { -far });
        }
        let count = if dice.chance(0.6) { dice.within(1.0, 4.0) as usize } else { 0 };
        let shadow = |_| {
            let turn = dice.within(0.0, std::f64::consts::PI);
            let wide = [0.25, 1.5, 8.0][dice.within(0.0, 3.0) as usize];
            (
                [dice.within(-20.0, 20.0), dice.within(-20.0, 20.0)],
                [turn.cos(), turn.sin()],
                wide,
                dice.within(0.45, 0.75),
            )
        };
        let shadows = (0..count).map(shadow).collect();
        let letters = (0..dice.within(0.0, 4.0) as usize).map(|_| {
            let behind = dice.chance(0.5);
            let side = if dice.chance(0.5) { 1.0 } else { -1.0 };
            let (x, y) = if behind {
                (dice.within(-5.0, 1.0), side * 13.2)
            } else {
                (side * 7.0, dice.within(-9.0, 6.0))
            };
            [x, y, dice.within(1.5, 4.0), dice.within(0.6, 1.2), dice.within(160.0, 235.0)]
        });
        let letters = letters.collect();
        let net_shadow =
            if dice.chance(0.5) { (dice.within(-1.5, 1.5), dice.within(0.6, 0.9)) } else { (0.0, 1.0) };
        let phase = std::array::from_fn(|_| dice.within(0.0, 6.3));
        let paint = 228.0 * dice.within(0.8, 1.05);
        Self {
            court,
            around,
            paint,
            worn: dice.within(0.0, 0.7),
            phase,
            courts,
            shadows,
            letters,
            net_shadow,
            end: HALF_LENGTH.0 + dice.within(4.0, 8.0),
        }
    }

    fn shade(&self, at: Spot) -> f64 {
        let (x, y) = (at.x.0, at.y.0);
        let inside = x.abs() < HALF_DOUBLES.0 && y.abs() < HALF_LENGTH.0;
        let mut shade = if inside { self.court } else { self.around };
        for court in &self.courts {
            for (painted, phase) in PAINTED.iter().zip(self.phase) {
                let half = painted.width / 2.0;
                let (from, to) = (painted.from, painted.to);
                let within = |k: usize, v: f64| (from[k] - half..to[k] + half).contains(&v);
                if within(0, x - court) && within(1, y) {
                    let along = x + y;
                    let gone = self.worn
                        * (0.5 + 0.35 * (along * 0.7 + phase).sin() + 0.15 * (along * 2.3 + phase).sin());
                    shade += (self.paint - shade) * (1.0 - gone).clamp(0.05, 1.0);
                }
            }
        }
        for [left, near, wide, deep, ink] in &self.letters {
            let (u, v) = ((x - left) / wide, (y - near) / deep);
            let stroke = ((u * 9.0) as u32).is_multiple_of(2) && (v * 3.0) as u32 != (u * 4.5) as u32 % 3;
            if (0.0..1.0).contains(&u) && (0.0..1.0).contains(&v) && stroke {
                shade = *ink;
            }
        }
        let (end, light) = self.net_shadow;
        let post = (x.abs() - HALF_DOUBLES.0 - 0.91).abs() < 0.04;
        if (y * (end - y) > 0.0) && (x.abs() < HALF_DOUBLES.0 + 0.91 || post) {
            shade *= light;
        }
        for (p, n, half, left) in &self.shadows {
            if ((x - p[0]) * n[0] + (y - p[1]) * n[1]).abs() < *half {
                shade *= left;
            }
        }
        shade
    }
}

const SIZE: Size = Size::new(1280, 720);

/// The picture with this number: a camera 2 to 8 m high, 3 to 15 m behind the baseline and up to 25° to the side.
pub(super) fn scene(number: u64) -> Scene {
    moved_scene(number, &PoseStep::zeros())
}

/// The same with the camera moved.
pub(super) fn moved_scene(number: u64, by: &PoseStep) -> Scene {
    let mut dice = Dice::new(number + 1);
    let height = dice.within(2.0, 8.0);
    let back = HALF_LENGTH.0 + dice.within(3.0, 15.0);
    let side = (dice.within(-25.0_f64, 25.0).to_radians().tan() * back).clamp(-9.0, 9.0);
    let aim = [dice.within(-1.5, 1.5), dice.within(-3.0, 3.0), 0.0];
    let wide = dice.within(45.0, 90.0);
    let mut roll = PoseStep::zeros();
    roll[2] = dice.normal().to_radians();
    roll[4] = dice.within(-0.1, 0.04);
    let camera = Camera::looking([side, -back, height], aim, wide, SIZE).unwrap().moved(&roll);
    drawn(camera.moved(by), dice, number, height)
}

/// Only the near half of a court, or less: nothing in it tells where the far half is.
pub(super) fn one_baseline(number: u64) -> Scene {
    let mut dice = Dice::new(number + 50_000);
    let height = dice.within(2.0, 8.0);
    let back = HALF_LENGTH.0 + dice.within(3.0, 15.0);
    let aim = [dice.within(-4.0, 4.0), dice.within(-11.0, -7.5), 0.0];
    let side = dice.within(-5.0, 5.0);
    let mut wide = dice.within(25.0, 60.0);
    loop {
        let camera = Camera::looking([side, -back, height], aim, wide, SIZE).unwrap();
        let net = [-HALF_DOUBLES.0, 0.0, HALF_DOUBLES.0].map(|x| camera.see_ground(Spot::new(x, 0.0)));
        if net.into_iter().flatten().all(|p| !SIZE.holds(p, 0.0)) {
            return drawn(camera, dice, number, height);
        }
        wide *= 0.9;
    }
}

fn drawn(camera: Camera, mut dice: Dice, number: u64, height: f64) -> Scene {
    let ground = Ground::drawn(&mut dice, number);
    let wall = dice.within(30.0, 90.0);
    let crowd = if dice.chance(0.4) { dice.within(0.0, 0.6) } else { 0.0 };
    let crowd = crowd * camera.see([0.0, ground.end, 0.0]).map_or(0.0, |p| p.y);
    let mut shades = vec![0.0_f64; 1280 * 720];
    for (i, shade) in shades.iter_mut().enumerate() {
        let (x, y) = ((i % 1280) as f64, (i / 1280) as f64);
        for (dx, dy) in [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)] {
            let spot = camera.ground(Pixel::new(x + dx, y + dy)).filter(|s| s.y.0 < ground.end);
            *shade += 0.25 * spot.map_or_else(|| lettering(wall, crowd, x, y), |s| ground.shade(s));
        }
    }
    net(&camera, &mut dice, &mut shades);
    for (x, y) in [(-2.0, -9.0), (1.5, 9.5), (7.0, 0.0)] {
        let at = [x + dice.within(-2.0, 2.0), y + dice.within(-3.0, 3.0)];
        player(&camera, at, dice.within(20.0, 240.0), &mut shades);
    }
    if dice.chance(0.4) {
        player(&camera, [-7.2, 0.0], dice.within(30.0, 90.0), &mut shades);
    }
    finish(&mut dice, shades, SIZE, camera, height)
}

/// A wall with posts and panels of letters, above it perhaps a crowd.
fn lettering(wall: f64, crowd: f64, x: f64, y: f64) -> f64 {
    if y < crowd {
        let cell = (x / 7.0) as u64 * 7919 + (y / 9.0) as u64;
        return Dice::new(cell).within(20.0, 230.0);
    }
    let panel = (x / 160.0) as u32 % 3 == 1 && (y / 14.0) as u32 % 4 == 1;
    if x % 80.0 < 2.0 || (panel && ((x / 7.0) as u32 + (y / 5.0) as u32).is_multiple_of(2)) {
        210.0
    } else {
        wall
    }
}

fn net(camera: &Camera, dice: &mut Dice, shades: &mut [f64]) {
    let mesh = dice.within(0.25, 0.55);
    for x in 0..1280 {
        // The net's place seen in this column: found along the net.
        let seen = |at: f64, up: f64| camera.see([at, 0.0, up]).map_or(f64::NAN, |p| p.x);
        let (mut low, mut high) = (-6.4, 6.4);
        if !(seen(low, 0.5) < f64::from(x) && f64::from(x) < seen(high, 0.5)) {
            continue;
        }
        for _ in 0..30 {
            let middle = f64::midpoint(low, high);
            if seen(middle, 0.5) < f64::from(x) { low = middle } else { high = middle }
        }
        let top = net_height(Metres(low)).0;
        let rows = |up: f64| camera.see([low, 0.0, up]).map_or(0.0, |p| p.y.clamp(0.0, 719.0));
        for y in rows(top) as usize..rows(0.0) as usize {
            let shade = &mut shades[y * 1280 + x as usize];
            *shade = if (y as f64) < rows(top - 0.06) { 235.0 } else { *shade * (1.0 - mesh) + 20.0 * mesh };
        }
    }
}

fn player(camera: &Camera, at: [f64; 2], shade: f64, shades: &mut [f64]) {
    let (Some(feet), Some(head)) = (camera.see([at[0], at[1], 0.0]), camera.see([at[0], at[1], 1.8])) else {
        return;
    };
    let (tall, middle) = ((feet.y - head.y).max(2.0), f64::midpoint(feet.y, head.y));
    for y in (head.y.max(0.0) as usize)..(feet.y.clamp(0.0, 719.0) as usize) {
        for x in
            ((feet.x - 0.15 * tall).max(0.0) as usize)..((feet.x + 0.15 * tall).clamp(0.0, 1279.0) as usize)
        {
            let (u, v) = ((x as f64 - feet.x) / (0.15 * tall), (y as f64 - middle) / (0.5 * tall));
            if u * u + v * v < 1.0 {
                shades[y * 1280 + x] = shade;
            }
        }
    }
}

/// Uneven light, exposure, blur, halos, noise, compression.
fn finish(dice: &mut Dice, mut shades: Vec<f64>, size: Size, camera: Camera, height: f64) -> Scene {
    let (exposure, noise, blur) = (dice.within(0.5, 1.25), dice.within(1.0, 6.0), dice.within(0.4, 1.3));
    let (a, b) = (dice.within(0.0, 6.3), dice.within(0.0, 6.3));
    for (i, shade) in shades.iter_mut().enumerate() {
        let (x, y) = ((i % 1280) as f64, (i / 1280) as f64);
        *shade *= exposure * (1.0 + 0.05 * (x / 90.0 + a).sin() * (y / 70.0 + b).sin());
    }
    let bytes: Vec<u8> = shades.iter().map(|s| s.round().clamp(0.0, 255.0) as u8).collect();
    let soft = Grey::of_bytes(size, &bytes).unwrap().smoothed(blur as f32);
    let wide = soft.smoothed(2.0);
    let halo = if dice.chance(0.5) { dice.within(0.2, 1.0) } else { 0.0 };
    let pairs = soft.shades().iter().zip(wide.shades());
    let mut noisy: Vec<f64> = pairs
        .map(|(s, w)| f64::from(*s) + halo * f64::from(s - w) + noise * dice.normal())
        .map(|s| s.round().clamp(0.0, 255.0))
        .collect();
    compress(&mut noisy, dice.within(2.0, 16.0));
    let bytes: Vec<u8> = noisy.iter().map(|s| s.round().clamp(0.0, 255.0) as u8).collect();
    Scene { camera, height, picture: Grey::of_bytes(size, &bytes).unwrap() }
}

/// What a still-picture encoder leaves: the cosine transform of blocks of 8 × 8 pixels, in steps that grow with the frequency.
fn compress(shades: &mut [f64], step: f64) {
    let wave = |k: usize, i: usize| {
        let norm = if k == 0 { 0.125_f64 } else { 0.25 }.sqrt();
        norm * ((2 * i + 1) as f64 * k as f64 * std::f64::consts::PI / 16.0).cos()
    };
    let table: [[f64; 8]; 8] = std::array::from_fn(|k| std::array::from_fn(|i| wave(k, i)));
    let each = |b: &[[f64; 8]; 8], f: &dyn Fn(usize, usize, usize) -> f64, across: bool| -> [[f64; 8]; 8] {
        std::array::from_fn(|y| {
            std::array::from_fn(|x| {
                (0..8).map(|k| if across { b[y][k] * f(x, k, 0) } else { b[k][x] * f(y, k, 0) }).sum()
            })
        })
    };
    let (there, back) = (|k: usize, i: usize, _| table[k][i], |i: usize, k: usize, _| table[k][i]);
    for block in 0..160 * 90 {
        let from = (block / 160) * 8 * 1280 + (block % 160) * 8;
        let pixels: [[f64; 8]; 8] =
            std::array::from_fn(|y| std::array::from_fn(|x| shades[from + y * 1280 + x]));
        let mut waves = each(&each(&pixels, &there, true), &there, false);
        for (y, row) in waves.iter_mut().enumerate() {
            for (x, w) in row.iter_mut().enumerate() {
                let step = step * (1.0 + 0.35 * (x + y) as f64);
                *w = (*w / step).round() * step;
            }
        }
        let pixels = each(&each(&waves, &back, true), &back, false);
        for (y, row) in pixels.iter().enumerate() {
            shades[from + y * 1280..][..8].copy_from_slice(row);
        }
    }
}
