//! The court without anybody on it: for each pixel the median of pictures from several moments, and what differs from it.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::colour::{Colour, Shade};
use super::middle::{MOST, middle};
use super::model::PAINTED;
use super::way::{BLOCK, Block, Way, margin, same_row};
use crate::measure::{Camera, Pixel, Size};
use crate::tennis::court::Spot;

/// How much farther a background reaches at most than the picture that it was made for, on each side, where the camera moves.
const MARGIN: f64 = 0.25;
/// So many samples must show a pixel.
const LEAST: usize = 5;
/// A camera that sees things this near to where another sees them, in small pixels, is the same.
const SAME: f64 = 0.3;
/// A pixel belongs to somebody when a colour differs by more.
const DIFFERS: u8 = 22;

/// So many places of each painted line are looked up: they are less than a pixel apart.
const PLACES: i32 = 800;

/// The empty court, and how its colours vary within a pixel to each side: a moving camera is known to a part of a pixel only.
#[derive(Debug)]
pub(super) struct Empty {
    camera: Camera,
    low: Colour,
    high: Colour,
    /// What is less than the first or more than the second differs, for each pixel, and for one more that is beyond the picture: nothing
    /// does there, nor where the court was not seen.
    limits: [Vec<Shade>; 2],
    /// Used again for each row.
    blocks: Vec<Block>,
}

impl Empty {
    /// From samples with their cameras, each for its own picture, to be held against pictures of these cameras. `None` if the samples are
    /// too few.
    pub fn of(samples: &[(Camera, Arc<Colour>)], looks: &[Camera]) -> Option<Self> {
        let samples = &samples[..samples.len().min(MOST)];
        let (first, picture) = samples.get(samples.len() / 2).filter(|_| samples.len() >= LEAST)?;
        let size = picture.size();
        let still =
            samples.iter().all(|(c, p)| p.size() == size && is_same(&first.resized(size), &c.resized(size)));
        let mut camera = first.resized(size);
        if !still {
            camera = camera.wider(margin(&camera, looks.iter().map(|c| c.resized(size)), MARGIN));
        }
        let (middle, known) = if still { still_court(samples, size) } else { moving_court(samples, &camera) };
        let (mut low, mut high) = (spread(&middle, u8::min), spread(&middle, u8::max));
        if !still {
            widen(&camera, &mut low, &mut high);
        }
        let limits = limits(&low, &high, &known);
        Some(Self { camera, low, high, limits, blocks: Vec::new() })
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
        let mut blocks = std::mem::take(&mut self.blocks);
        for y in first.min(h)..h {
            match &way {
                Some(way) => way.row(y, &mut blocks),
                None => same_row(w, y, &mut blocks),
            }
            let row = picture.row(y).chunks(BLOCK).zip(mask[y * w..(y + 1) * w].chunks_mut(BLOCK));
            for ((seen, to), block) in row.zip(&blocks) {
                self.differs_in(seen, block, y >= net, to);
            }
        }
        self.blocks = blocks;
    }

    /// Pixels that are at these places of the background.
    fn differs_in(&self, seen: &[Shade], block: &Block, near: bool, to: &mut [u8]) {
        let [least, most] = &self.limits;
        let is_other =
            |seen: Shade, least: Shade, most: Shade| (0..4).any(|k| seen[k] < least[k] || seen[k] > most[k]);
        let (low, high) = (self.low.pixels(), self.high.pixels());
        let is = |seen: Shade, at: usize| {
            is_other(seen, least[at], most[at]) && is_somebody(seen, low[at], high[at], near)
        };
        match block {
            Block::Beside(at) => {
                let all =
                    |limits: &[Shade]| limits.get(*at..at + BLOCK).and_then(|l| l.first_chunk().copied());
                let limits = all(least).zip(all(most));
                if limits.zip(seen.first_chunk()).is_none_or(|(limits, seen)| any_differs(seen, limits)) {
                    let seen = to.iter_mut().zip(seen).enumerate();
                    seen.for_each(|(n, (to, seen))| *to = u8::from(is(*seen, at + n)));
                }
            }
            Block::Each(places) => {
                let limits = [least, most].map(|limits| places.map(|at| limits[at as usize]));
                if seen.first_chunk().is_none_or(|seen| any_differs(seen, limits.into())) {
                    let seen = to.iter_mut().zip(seen).zip(places);
                    seen.for_each(|((to, seen), at)| *to = u8::from(is(*seen, *at as usize)));
                }
            }
        }
    }
}

/// Whether a byte of a block is less or more than these.
fn any_differs(seen: &[Shade; BLOCK], (least, most): ([Shade; BLOCK], [Shade; BLOCK])) -> bool {
    let bytes = seen.as_flattened().iter().zip(least.as_flattened()).zip(most.as_flattened());
    bytes.fold(0, |any, ((seen, least), most)| any | u8::from(seen < least) | u8::from(seen > most)) != 0
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
    let mut blocks = Vec::new();
    for (y, to) in pixels.chunks_exact_mut(w).enumerate() {
        let mut unseen = vec![0; w];
        for ((way, (_, picture)), row) in ways.iter().zip(samples).zip(&mut rows) {
            way.row(y, &mut blocks);
            let to = row.chunks_mut(BLOCK).zip(unseen.chunks_mut(BLOCK));
            to.zip(&blocks).for_each(|(to, block)| put(picture.pixels(), block, to, samples.len()));
        }
        let rows: Vec<&[u8]> = rows.iter().map(|row| row.as_flattened()).collect();
        middle(&rows, to.as_flattened_mut());
        known.extend(unseen.iter().map(|n| samples.len() - n >= LEAST));
    }
    (Colour::of(w, h, pixels), known)
}

/// Puts a block of a picture, one of so many, into a row. Of the pixels that it does not have one more is unseen.
fn put(from: &[Shade], block: &Block, (row, unseen): (&mut [Shade], &mut [usize]), samples: usize) {
    match block {
        Block::Beside(at) => row.copy_from_slice(&from[*at..at + row.len()]),
        Block::Each(places) if places.iter().all(|at| (*at as usize) < from.len()) => {
            row.iter_mut().zip(places).for_each(|(pixel, at)| *pixel = from[*at as usize]);
        }
        Block::Each(places) => {
            for ((pixel, unseen), at) in row.iter_mut().zip(unseen).zip(places) {
                *pixel = from.get(*at as usize).copied().unwrap_or_else(|| {
                    *unseen += 1;
                    // As many above all others as below: they leave the middle where it is.
                    [if (*unseen + samples).is_multiple_of(2) { 255 } else { 0 }; 4]
                });
            }
        }
    }
}

/// Least and most of what does not differ, and of one more pixel that is everything.
fn limits(low: &Colour, high: &Colour, known: &[bool]) -> [Vec<Shade>; 2] {
    let limit = |of: &Colour, all: u8, wider: fn(u8) -> u8| {
        let known =
            of.pixels().iter().zip(known).map(|(v, known)| if *known { v.map(wider) } else { [all; 4] });
        known.chain([[all; 4]]).collect()
    };
    [limit(low, 0, |v| v.saturating_sub(DIFFERS)), limit(high, 255, |v| v.saturating_add(DIFFERS))]
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
