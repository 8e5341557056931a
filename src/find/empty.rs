//! The court without anybody on it: for each pixel the median of pictures from several moments, and what differs from it.

use std::collections::BTreeSet;

use super::colour::Colour;
use super::model::PAINTED;
use crate::measure::{Camera, Pixel};
use crate::tennis::court::Spot;

/// How much farther a background reaches than the picture that it was made for, on each side, where the camera moves.
const MARGIN: f64 = 0.25;
/// So many samples must show a pixel.
const LEAST: usize = 5;
/// A camera that sees things this near to where another sees them, in small pixels, is the same.
const SAME: f64 = 0.3;
/// A pixel belongs to somebody when a colour differs by more.
const DIFFERS: u8 = 22;

/// Between every eighth pixel the way from one picture into another is straight enough.
const STEP: usize = 8;

/// So many places of each painted line are looked up: they are less than a pixel apart.
const PLACES: i32 = 800;

/// The empty court, and how its colours vary within a pixel to each side: a moving camera is known to a part of a pixel only.
#[derive(Debug)]
pub(super) struct Empty {
    camera: Camera,
    low: Colour,
    high: Colour,
    known: Vec<bool>,
}

impl Empty {
    /// From samples with their cameras, each for its own picture. `None` if they are too few.
    pub fn of(samples: &[(Camera, Colour)]) -> Option<Self> {
        let (first, picture) = samples.get(samples.len() / 2)?;
        let size = picture.size();
        let still = samples.iter().all(|(c, _)| is_same(&first.resized(size), &c.resized(size)));
        let camera = if still { first.resized(size) } else { first.resized(size).wider(MARGIN) };
        let (w, h) = (camera.size().width as usize, camera.size().height as usize);
        let mut middle = vec![[0; 3]; w * h];
        let mut known = vec![false; w * h];
        let mut values: [Vec<u8>; 3] = Default::default();
        let ways: Vec<_> =
            samples.iter().map(|(c, p)| (!still).then(|| Way::new(&camera, &c.resized(p.size())))).collect();
        let mut rows = vec![Vec::new(); samples.len()];
        for y in 0..h {
            for (way, row) in ways.iter().zip(&mut rows) {
                match way {
                    Some(way) => way.row(y, row),
                    None => same_row(w, y, row),
                }
            }
            for x in 0..w {
                values.iter_mut().for_each(Vec::clear);
                for ((_, picture), row) in samples.iter().zip(&rows) {
                    if let Some(p) = inside(picture, row[x]) {
                        values.iter_mut().zip(p).for_each(|(v, p)| v.push(p));
                    }
                }
                let n = values[0].len();
                if n >= LEAST.min(samples.len()) {
                    known[y * w + x] = true;
                    middle[y * w + x] = values.each_mut().map(|v| *v.select_nth_unstable(n / 2).1);
                }
            }
        }
        let middle = Colour::of(w, h, middle);
        let (mut low, mut high) = (spread(&middle, u8::min), spread(&middle, u8::max));
        if !still {
            widen(&camera, &mut low, &mut high);
        }
        (samples.len() >= LEAST).then_some(Self { camera, low, high, known })
    }

    /// Which pixels of a picture belong to somebody: 1, else 0. Shadows do not, in the near half by a strict test.
    pub fn differs(&self, camera: &Camera, picture: &Colour, net: usize) -> Vec<u8> {
        let (w, h) = (picture.width(), picture.height());
        let camera = camera.resized(picture.size());
        let same = self.camera.size() == camera.size() && is_same(&self.camera, &camera);
        let way = (!same).then(|| Way::new(&camera, &self.camera));
        let (mut mask, mut places) = (vec![0; w * h], Vec::new());
        for y in 0..h {
            let (row, to) = (picture.row(y), &mut mask[y * w..(y + 1) * w]);
            match &way {
                Some(way) => {
                    way.row(y, &mut places);
                    self.differs_elsewhere(row, &places, y >= net, to);
                }
                None => self.differs_here(row, y, y >= net, to),
            }
        }
        mask
    }

    /// A row of a picture of the same camera.
    fn differs_here(&self, row: &[[u8; 3]], y: usize, near: bool, to: &mut [u8]) {
        let w = self.low.width();
        let known = &self.known[y * w..(y + 1) * w];
        let ground = self.low.row(y).iter().zip(self.high.row(y)).zip(known);
        for ((to, seen), ((low, high), known)) in to.iter_mut().zip(row).zip(ground) {
            *to = u8::from(*known && is_somebody(*seen, *low, *high, near));
        }
    }

    /// A row whose pixels are at these places of the background.
    fn differs_elsewhere(&self, row: &[[u8; 3]], places: &[(i32, i32)], near: bool, to: &mut [u8]) {
        let w = self.low.width();
        for ((to, seen), place) in to.iter_mut().zip(row).zip(places) {
            let Some((i, j)) = within(&self.low, *place).filter(|(i, j)| self.known[j * w + i]) else {
                continue;
            };
            *to = u8::from(is_somebody(*seen, self.low.at(i, j), self.high.at(i, j), near));
        }
    }
}

/// Whether a colour is neither that of the ground nor that of the ground in shadow.
fn is_somebody(seen: [u8; 3], low: [u8; 3], high: [u8; 3], near: bool) -> bool {
    let off = |k: usize| low[k].saturating_sub(seen[k]).max(seen[k].saturating_sub(high[k]));
    if (0..3).map(off).max().unwrap_or(0) <= DIFFERS {
        return false;
    }
    let ground: [f32; 3] =
        std::array::from_fn(|k| f32::midpoint(f32::from(low[k]), f32::from(high[k])) + 1.0);
    let seen = seen.map(|v| f32::from(v) + 1.0);
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
    /// Of every eighth pixel across and down; far beyond the picture where the other camera does not see it.
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
        Self { wide, knots: rows.collect(), across }
    }

    /// The places of the pixels of a row, between the knots.
    fn row(&self, y: usize, places: &mut Vec<(i32, i32)>) {
        let part = (y % STEP) as f32 / STEP as f32;
        let above = &self.knots[y / STEP * self.across..][..self.across];
        let below = &self.knots[(y / STEP + 1) * self.across..][..self.across];
        let between = |k: usize| [0, 1].map(|n| above[k][n] + (below[k][n] - above[k][n]) * part);
        places.clear();
        let mut left = between(0);
        for k in 1..self.across {
            let right = between(k);
            let step = [0, 1].map(|n| (right[n] - left[n]) / STEP as f32);
            let is_seen = [left, right].iter().all(|p| p[0] > NOWHERE / 100.0);
            places.extend((0..STEP).map(|i| {
                // Rounded down from −1 on; what is less stays less than 0.
                let at = [0, 1].map(|n| (left[n] + step[n] * i as f32 + 1.0) as i32 - 1);
                if is_seen { (at[0], at[1]) } else { (-1, -1) }
            }));
            left = right;
        }
        places.truncate(self.wide);
    }
}

fn same_row(wide: usize, y: usize, places: &mut Vec<(i32, i32)>) {
    places.clear();
    places.extend((0..wide as i32).map(|x| (x, y as i32)));
}

/// A place that is in a picture.
fn within(picture: &Colour, (x, y): (i32, i32)) -> Option<(usize, usize)> {
    let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
    (x < picture.width() && y < picture.height()).then_some((x, y))
}

fn inside(picture: &Colour, place: (i32, i32)) -> Option<[u8; 3]> {
    within(picture, place).map(|(x, y)| picture.at(x, y))
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

/// For each pixel the least or the most of the nine around it.
fn spread(picture: &Colour, of: fn(u8, u8) -> u8) -> Colour {
    let (w, h) = (picture.width(), picture.height());
    let both = |a: [u8; 3], b: [u8; 3]| std::array::from_fn(|k| of(a[k], b[k]));
    let mut pixels = Vec::with_capacity(w * h);
    for y in 0..h {
        for x in 0..w {
            let (left, right) = (x.saturating_sub(1), (x + 1).min(w - 1));
            let rows = y.saturating_sub(1)..=(y + 1).min(h - 1);
            let all = rows.flat_map(|j| (left..=right).map(move |i| (i, j)));
            pixels.push(all.fold(picture.at(x, y), |sum, (i, j)| both(sum, picture.at(i, j))));
        }
    }
    Colour::of(w, h, pixels)
}
