//! The court without anybody on it: for each pixel the median of pictures from several moments, and what differs from it.

use super::colour::Colour;
use crate::measure::{Camera, Pixel};

/// How much farther a background reaches than the picture that it was made for, on each side, where the camera moves.
const MARGIN: f64 = 0.25;
/// So many samples must show a pixel.
const LEAST: usize = 5;
/// A camera that sees things this near to where another sees them, in small pixels, is the same.
const SAME: f64 = 0.3;
/// A pixel belongs to somebody when a colour differs by more.
const DIFFERS: u8 = 22;

/// Between every eighth pixel the way from one picture into another is straight enough.
const STEP: i32 = 8;

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
        for y in 0..h {
            let maps: Vec<_> =
                samples.iter().map(|(c, p)| row_map(&camera, &c.resized(p.size()), y, still)).collect();
            for x in 0..w {
                values.iter_mut().for_each(Vec::clear);
                for ((_, picture), map) in samples.iter().zip(&maps) {
                    if let Some(p) = map[x].and_then(|(i, j)| inside(picture, i, j)) {
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
        let (low, high) = (spread(&middle, u8::min), spread(&middle, u8::max));
        (samples.len() >= LEAST).then_some(Self { camera, low, high, known })
    }

    /// Which pixels of a picture belong to somebody: 1, else 0. Shadows do not, in the near half by a strict test.
    pub fn differs(&self, camera: &Camera, picture: &Colour, net: usize) -> Vec<u8> {
        let (w, h) = (picture.width(), picture.height());
        let camera = camera.resized(picture.size());
        let same = self.camera.size() == camera.size() && is_same(&self.camera, &camera);
        let mut mask = vec![0; w * h];
        for y in 0..h {
            let map = row_map(&camera, &self.camera, y, same);
            let row = picture.row(y);
            for (x, to) in mask[y * w..(y + 1) * w].iter_mut().enumerate() {
                let Some((i, j)) = map[x] else { continue };
                if inside(&self.low, i, j).is_none()
                    || !self.known[j as usize * self.low.width() + i as usize]
                {
                    continue;
                }
                let (low, high) = (self.low.at(i as usize, j as usize), self.high.at(i as usize, j as usize));
                *to = u8::from(is_somebody(row[x], low, high, y >= net));
            }
        }
        mask
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

/// Where the pixels of a row of one camera's picture are in another's: the same directions, as both stand at the same place.
fn row_map(from: &Camera, to: &Camera, y: usize, same: bool) -> Vec<Option<(i32, i32)>> {
    let wide = from.size().width as i32;
    if same {
        return (0..wide).map(|x| Some((x, y as i32))).collect();
    }
    let exact = |x: i32| to.see(from.toward(Pixel::new(f64::from(x) + 0.5, y as f64 + 0.5))?);
    let knots: Vec<_> = (0..=wide / STEP + 1).map(|k| exact(k * STEP)).collect();
    (0..wide)
        .map(|x| {
            let (k, part) = ((x / STEP) as usize, f64::from(x % STEP) / f64::from(STEP));
            let (a, b) = (knots[k]?, knots[k + 1]?);
            Some(((a.x + (b.x - a.x) * part).floor() as i32, (a.y + (b.y - a.y) * part).floor() as i32))
        })
        .collect()
}

fn inside(picture: &Colour, x: i32, y: i32) -> Option<[u8; 3]> {
    let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
    (x < picture.width() && y < picture.height()).then(|| picture.at(x, y))
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
