//! The court without anybody on it: for each pixel the median of pictures from several moments, and what differs from it.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::colour::{Colour, Shade};
use super::middle::{MOST, middle};
use super::model::PAINTED;
use crate::measure::{Camera, Pixel, Size};
use crate::tennis::court::Spot;

/// How much farther a background reaches than the picture that it was made for, on each side, where the camera moves.
const MARGIN: f64 = 0.25;
/// So many samples must show a pixel.
const LEAST: usize = 5;
/// A camera that sees things this near to where another sees them, in small pixels, is the same.
const SAME: f64 = 0.3;
/// A pixel belongs to somebody when a colour differs by more.
const DIFFERS: u8 = 22;

/// Between every sixteenth pixel the way from one picture into another is straight enough.
const STEP: usize = 16;

/// So many places of each painted line are looked up: they are less than a pixel apart.
const PLACES: i32 = 800;

/// The empty court, and how its colours vary within a pixel to each side: a moving camera is known to a part of a pixel only.
#[derive(Debug)]
pub(super) struct Empty {
    camera: Camera,
    low: Colour,
    high: Colour,
    /// What is less or more than these differs, for each pixel, and for one more that is beyond the picture: nothing does there, nor where
    /// the court was not seen.
    limits: Vec<Limits>,
    rows: Rows,
}

/// The least and the most of what does not differ. They are side by side, for they are looked up together.
type Limits = [Shade; 2];

/// Rows that are used again for each picture.
#[derive(Debug, Default)]
struct Rows {
    places: Vec<u32>,
    least: Vec<Shade>,
    most: Vec<Shade>,
    differs: Vec<u8>,
}

impl Empty {
    /// From samples with their cameras, each for its own picture. `None` if they are too few.
    pub fn of(samples: &[(Camera, Arc<Colour>)]) -> Option<Self> {
        let samples = &samples[..samples.len().min(MOST)];
        let (first, picture) = samples.get(samples.len() / 2).filter(|_| samples.len() >= LEAST)?;
        let size = picture.size();
        let still =
            samples.iter().all(|(c, p)| p.size() == size && is_same(&first.resized(size), &c.resized(size)));
        let camera = if still { first.resized(size) } else { first.resized(size).wider(MARGIN) };
        let (middle, known) = if still { still_court(samples, size) } else { moving_court(samples, &camera) };
        let (mut low, mut high) = (spread(&middle, u8::min), spread(&middle, u8::max));
        if !still {
            widen(&camera, &mut low, &mut high);
        }
        let (limits, rows) = (limits(&low, &high, &known), Rows::default());
        Some(Self { camera, low, high, limits, rows })
    }

    /// Which pixels of a picture belong to somebody: 1, else 0. Shadows do not, below the row `net` by a strict test. Rows before `first`
    /// are not looked at.
    pub fn differs(
        &mut self,
        camera: &Camera,
        picture: &Colour,
        (first, net): (usize, usize),
        mask: &mut Vec<u8>,
    ) {
        let (w, h) = (picture.width(), picture.height());
        let camera = camera.resized(picture.size());
        let same = self.camera.size() == camera.size() && is_same(&self.camera, &camera);
        let way = (!same).then(|| Way::new(&camera, &self.camera));
        mask.clear();
        mask.resize(w * h, 0);
        let mut rows = std::mem::take(&mut self.rows);
        for y in first.min(h)..h {
            match &way {
                Some(way) => way.row(y, &mut rows.places),
                None => same_row(w, y, &mut rows.places),
            }
            self.differs_in(picture.row(y), &mut rows, y >= net, &mut mask[y * w..(y + 1) * w]);
        }
        self.rows = rows;
    }

    /// A row whose pixels are at these places of the background.
    fn differs_in(&self, row: &[Shade], rows: &mut Rows, near: bool, to: &mut [u8]) {
        let Rows { places, least, most, differs } = rows;
        least.resize(row.len(), [0; 4]);
        most.resize(row.len(), [0; 4]);
        for ((least, most), at) in least.iter_mut().zip(most.iter_mut()).zip(&*places) {
            [*least, *most] = self.limits[*at as usize];
        }
        differing(row, least, most, differs);
        let (low, high) = (self.low.pixels(), self.high.pixels());
        for (x, four) in differs.as_chunks::<4>().0.iter().enumerate() {
            if u32::from_ne_bytes(*four) != 0 {
                let at = places[x] as usize;
                to[x] = u8::from(is_somebody(row[x], low[at], high[at], near));
            }
        }
    }
}

/// The median of pictures of one camera that stands still, and that all of it is known.
fn still_court(samples: &[(Camera, Arc<Colour>)], size: Size) -> (Colour, Vec<bool>) {
    let (w, h) = (size.width as usize, size.height as usize);
    let mut pixels = vec![[0; 4]; w * h];
    let rows: Vec<&[u8]> = samples.iter().map(|(_, p)| p.pixels().as_flattened()).collect();
    middle(&rows, pixels.as_flattened_mut());
    (Colour::of(w, h, pixels), vec![true; w * h])
}

/// The median of pictures of a camera that turns, as another one sees them, and which pixels of it are known.
fn moving_court(samples: &[(Camera, Arc<Colour>)], camera: &Camera) -> (Colour, Vec<bool>) {
    let (w, h) = (camera.size().width as usize, camera.size().height as usize);
    let (mut pixels, mut known) = (vec![[0; 4]; w * h], Vec::with_capacity(w * h));
    let ways: Vec<_> = samples.iter().map(|(c, p)| Way::new(camera, &c.resized(p.size()))).collect();
    let mut rows = vec![vec![[0; 4]; w]; samples.len()];
    let mut places = Vec::new();
    for (y, to) in pixels.chunks_exact_mut(w).enumerate() {
        let mut unseen = vec![0; w];
        for ((way, (_, picture)), row) in ways.iter().zip(samples).zip(&mut rows) {
            way.row(y, &mut places);
            for ((pixel, at), unseen) in row.iter_mut().zip(&places).zip(&mut unseen) {
                *pixel = picture.pixels().get(*at as usize).copied().unwrap_or_else(|| {
                    *unseen += 1;
                    // As many above all others as below: they leave the middle where it is.
                    [if (*unseen + samples.len()).is_multiple_of(2) { 255 } else { 0 }; 4]
                });
            }
        }
        let rows: Vec<&[u8]> = rows.iter().map(|row| row.as_flattened()).collect();
        middle(&rows, to.as_flattened_mut());
        known.extend(unseen.iter().map(|n| samples.len() - n >= LEAST));
    }
    (Colour::of(w, h, pixels), known)
}

/// Least and most of what does not differ.
fn limits(low: &Colour, high: &Colour, known: &[bool]) -> Vec<Limits> {
    let all = [[0; 4], [255; 4]];
    let limit = |((low, high), known): ((&Shade, &Shade), &bool)| {
        let wider = [low.map(|v| v.saturating_sub(DIFFERS)), high.map(|v| v.saturating_add(DIFFERS))];
        if *known { wider } else { all }
    };
    low.pixels().iter().zip(high.pixels()).zip(known).map(limit).chain([all]).collect()
}

/// For each byte of a row whether it is less or more than these.
fn differing(row: &[Shade], least: &[Shade], most: &[Shade], to: &mut Vec<u8>) {
    let bytes = row.as_flattened().iter().zip(least.as_flattened()).zip(most.as_flattened());
    to.clear();
    to.extend(bytes.map(|((seen, least), most)| u8::from(seen < least) | u8::from(seen > most)));
}

/// Whether a colour that is not that of the ground is not that of the ground in shadow either.
fn is_somebody(seen: Shade, low: Shade, high: Shade, near: bool) -> bool {
    let ground: [f32; 3] =
        std::array::from_fn(|k| f32::midpoint(f32::from(low[k]), f32::from(high[k])) + 1.0);
    let seen: [f32; 3] = std::array::from_fn(|k| f32::from(seen[k]) + 1.0);
    let (bright, ground_bright) = (seen.iter().sum::<f32>(), ground.iter().sum::<f32>());
    let part = bright / ground_bright;
    let tint: f32 = (0..3).map(|k| (seen[k] / bright - ground[k] / ground_bright).abs()).sum();
    let (darkest, most) = if near { (0.4, 0.06) } else { (0.5, 0.035) };
    !((darkest..0.98).contains(&part) && tint < most)
}

fn is_same(a: &Camera, b: &Camera) -> bool {
    let (w, h) = (f64::from(a.size().width), f64::from(a.size().height));
    let places = [(0.1, 0.5), (0.9, 0.5), (0.5, 0.9)].map(|(x, y)| Pixel::new(x * w, y * h));
    places.iter().all(|p| a.ground(*p).and_then(|g| b.see_ground(g)).is_none_or(|q| q.distance(*p) < SAME))
}

/// Where the pixels of one camera's picture are in another's: the same directions, as both stand at the same place.
struct Way {
    wide: usize,
    /// The size of the other picture.
    to: (usize, usize),
    /// Of every sixteenth pixel across and down; far beyond the picture where the other camera does not see it.
    knots: Vec<[f32; 2]>,
    across: usize,
}

/// Beyond every picture.
const NOWHERE: f32 = -1e6;

impl Way {
    fn new(from: &Camera, to: &Camera) -> Self {
        let (wide, high) = (from.size().width as usize, from.size().height as usize);
        let (across, down) = (wide / STEP + 2, high / STEP + 2);
        let exact = |x: usize, y: usize| {
            let at = Pixel::new(x as f64 + 0.5, y as f64 + 0.5);
            from.toward(at).and_then(|way| to.see(way)).map_or([NOWHERE; 2], |p| [p.x as f32, p.y as f32])
        };
        let rows = (0..down).flat_map(|j| (0..across).map(move |i| exact(i * STEP, j * STEP)));
        let to = (to.size().width as usize, to.size().height as usize);
        Self { wide, to, knots: rows.collect(), across }
    }

    /// The places of the pixels of a row, between the knots: how many pixels of the other picture come before; all of them where it is
    /// not seen.
    fn row(&self, y: usize, places: &mut Vec<u32>) {
        let part = (y % STEP) as f32 / STEP as f32;
        let above = &self.knots[y / STEP * self.across..][..self.across];
        let below = &self.knots[(y / STEP + 1) * self.across..][..self.across];
        let between = |k: usize| [0, 1].map(|n| above[k][n] + (below[k][n] - above[k][n]) * part);
        let (w, h) = (self.to.0 as u32, self.to.1 as u32);
        places.resize((self.across - 1) * STEP, 0);
        let mut left = between(0);
        for (k, places) in places.as_chunks_mut::<STEP>().0.iter_mut().enumerate() {
            let right = between(k + 1);
            if [left, right].iter().flatten().all(|v| v.abs() < FARTHEST) {
                // In parts of a pixel that are a power of two the loop needs no conversions.
                let from = left.map(|v| (v * 65536.0) as i32);
                let step = [0, 1].map(|n| ((right[n] - left[n]) * (65536.0 / STEP as f32)) as i32);
                let at = |i: usize| [0, 1].map(|n| ((from[n] + step[n] * i as i32) >> 16) as u32);
                let ([x, y], end) = (at(0), at(STEP - 1));
                if end == [x.wrapping_add(STEP as u32 - 1), y] && end[0] < w && x < w && y < h {
                    // Mostly all of them lie side by side.
                    for (i, place) in places.iter_mut().enumerate() {
                        *place = y * w + x + i as u32;
                    }
                } else {
                    for (i, place) in places.iter_mut().enumerate() {
                        let [x, y] = at(i);
                        *place = if x < w && y < h { y * w + x } else { w * h };
                    }
                }
            } else {
                places.fill(w * h);
            }
            left = right;
        }
        places.truncate(self.wide);
    }
}

/// Farther from a corner of the picture nothing is looked up, in pixels.
const FARTHEST: f32 = 16000.0;

fn same_row(wide: usize, y: usize, places: &mut Vec<u32>) {
    places.clear();
    places.extend((0..wide).map(|x| (y * wide + x) as u32));
}

/// At the painted lines, wider apart: a thin line that moves through the pixels is brighter in a frame than the median of many frames, and
/// it would join the feet of who stands behind it.
fn widen(camera: &Camera, low: &mut Colour, high: &mut Colour) {
    let (wide, tall) = (low.width() as i32, low.height() as i32);
    let mut lines = BTreeSet::new();
    let places =
        PAINTED.iter().flat_map(|line| (0..=PLACES).map(|k| line.at(f64::from(k) / f64::from(PLACES))));
    for at in places.filter_map(|[x, y]| camera.see_ground(Spot::new(x, y))) {
        let (x, y) = (at.x.floor() as i32, at.y.floor() as i32);
        for (i, j) in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy))) {
            if (0..wide).contains(&i) && (0..tall).contains(&j) {
                lines.insert((j * wide + i) as usize);
            }
        }
    }
    let (low, high) = (low.pixels_mut(), high.pixels_mut());
    for at in lines {
        for (low, high) in low[at].iter_mut().zip(&mut high[at]) {
            let apart = *high - (*low).min(*high);
            *low = low.saturating_sub(apart / 3);
            *high = high.saturating_add(apart / 3 * 2);
        }
    }
}

/// For each pixel the least or the most of the nine around it; of the fewer at the edges.
fn spread(picture: &Colour, of: impl Fn(u8, u8) -> u8) -> Colour {
    let (w, h) = (picture.width(), picture.height());
    let both = |to: &mut [u8], other: &[u8]| to.iter_mut().zip(other).for_each(|(to, v)| *to = of(*to, *v));
    let beside = |y: usize| {
        let row = picture.row(y).as_flattened();
        let mut all = row.to_vec();
        both(&mut all[4..], &row[..4 * (w - 1)]);
        both(&mut all, &row[4..]);
        all
    };
    let mut pixels = Vec::with_capacity(w * h);
    let (mut above, mut here) = (None, beside(0));
    for y in 0..h {
        let below = (y + 1 < h).then(|| beside(y + 1));
        let mut all = here.clone();
        for row in above.iter().chain(&below) {
            both(&mut all, row);
        }
        pixels.extend_from_slice(all.as_chunks().0);
        above = Some(std::mem::replace(&mut here, below.unwrap_or_default()));
    }
    Colour::of(w, h, pixels)
}

#[cfg(test)]
#[path = "empty_tests.rs"]
mod tests;
