//! Where the pixels of one camera's picture are in another's: the same directions, as both stand at the same place.

use crate::measure::{Camera, Pixel, Size};

/// So many pixels that lie side by side are looked up together.
pub(super) const BLOCK: usize = 16;
/// The way is exact at every so many pixels, and straight between them: that is off by less than a tenth of a pixel where the cameras
/// turn from each other by ten degrees.
const KNOT: usize = 2 * BLOCK;
/// Beyond every picture.
const NOWHERE: f32 = -1e6;
/// Farther from a corner of the picture nothing is looked up, in pixels.
const FARTHEST: f32 = 16000.0;

/// Where a block of pixels is in the other picture: how many pixels of it come before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Block {
    /// Side by side there too, from this one.
    Beside(usize),
    /// Each elsewhere; as many as there are pixels where the picture does not reach.
    Each([u32; BLOCK]),
}

impl Block {
    /// One by one.
    #[cfg(test)]
    pub fn places(&self) -> [u32; BLOCK] {
        match self {
            Self::Beside(at) => std::array::from_fn(|i| (at + i) as u32),
            Self::Each(places) => *places,
        }
    }
}

/// The way from one picture to another.
pub(super) struct Way {
    wide: usize,
    /// The size of the other picture.
    to: (usize, usize),
    /// Of every knot across and down; far beyond the picture where the other camera does not see it.
    knots: Vec<[f32; 2]>,
    across: usize,
}

impl Way {
    pub fn new(from: &Camera, to: &Camera) -> Self {
        let (wide, high) = (from.size().width as usize, from.size().height as usize);
        let (across, down) = (wide / KNOT + 2, high / KNOT + 2);
        let exact = |x: usize, y: usize| {
            let at = seen_from(from, to, Pixel::new(x as f64 + 0.5, y as f64 + 0.5));
            at.map_or([NOWHERE; 2], |p| [p.x as f32, p.y as f32])
        };
        let rows = (0..down).flat_map(|j| (0..across).map(move |i| exact(i * KNOT, j * KNOT)));
        let to = (to.size().width as usize, to.size().height as usize);
        Self { wide, to, knots: rows.collect(), across }
    }

    /// The blocks of a row; of the last one some pixels may be beyond the row.
    pub fn row(&self, y: usize, blocks: &mut Vec<Block>) {
        let part = (y % KNOT) as f32 / KNOT as f32;
        let above = &self.knots[y / KNOT * self.across..][..self.across];
        let below = &self.knots[(y / KNOT + 1) * self.across..][..self.across];
        let between = |k: usize| [0, 1].map(|n| above[k][n] + (below[k][n] - above[k][n]) * part);
        let count = self.wide.div_ceil(BLOCK);
        blocks.clear();
        let mut left = between(0);
        for k in 0..count.div_ceil(2) {
            let right = between(k + 1);
            if [left, right].iter().flatten().all(|v| v.abs() < FARTHEST) {
                let step = [0, 1].map(|n| (right[n] - left[n]) / KNOT as f32);
                let second = [0, 1].map(|n| left[n] + step[n] * BLOCK as f32);
                blocks.extend([self.block(left, step), self.block(second, step)]);
            } else {
                blocks.extend([Block::Each([self.beyond(); BLOCK]); 2]);
            }
            left = right;
        }
        blocks.truncate(count);
    }

    fn beyond(&self) -> u32 {
        (self.to.0 * self.to.1) as u32
    }

    fn block(&self, from: [f32; 2], step: [f32; 2]) -> Block {
        let (w, h) = (self.to.0 as u32, self.to.1 as u32);
        // In parts of a pixel that are a power of two the loop needs no conversions.
        let [from, step] = [from, step].map(|at| at.map(|v| (v * 65536.0) as i32));
        let at = |i: usize| [0, 1].map(|n| ((from[n] + step[n] * i as i32) >> 16) as u32);
        let ([x, y], end) = (at(0), at(BLOCK - 1));
        if end == [x.wrapping_add(BLOCK as u32 - 1), y] && end[0] < w && x < w && y < h {
            return Block::Beside((y * w + x) as usize);
        }
        let is_inside = |[x, y]: [u32; 2]| x < w && y < h;
        if y == end[1] && is_inside([x, y]) && is_inside(end) {
            // Those between two that are inside are inside too.
            return Block::Each(std::array::from_fn(|i| {
                y * w + ((from[0] + step[0] * i as i32) >> 16) as u32
            }));
        }
        Block::Each(std::array::from_fn(|i| {
            let [x, y] = at(i);
            if is_inside([x, y]) { y * w + x } else { self.beyond() }
        }))
    }
}

/// The pixel in which another camera at the same place sees what this one sees in a pixel.
fn seen_from(from: &Camera, to: &Camera, at: Pixel) -> Option<Pixel> {
    from.toward(at).and_then(|way| to.see(way))
}

/// The blocks of a row of a picture that is the other one.
pub(super) fn same_row(wide: usize, y: usize, blocks: &mut Vec<Block>) {
    blocks.clear();
    blocks.extend((0..wide).step_by(BLOCK).map(|x| Block::Beside(y * wide + x)));
}

/// How much more of the picture is needed to each side, and above and below, so that one camera sees all that others see from there; in
/// pixels, and at most so much of its width and height.
pub(super) fn margin(camera: &Camera, others: impl Iterator<Item = Camera>, most: f64) -> Size {
    let (w, h) = (f64::from(camera.size().width), f64::from(camera.size().height));
    let (mut beside, mut over) = (0.0_f64, 0.0_f64);
    for other in others {
        let (right, low) = (f64::from(other.size().width), f64::from(other.size().height));
        let along = [0.0, 0.25, 0.5, 0.75, 1.0];
        let edge = along.iter().flat_map(|part| {
            let (x, y) = (part * right, part * low);
            [Pixel::new(x, 0.0), Pixel::new(x, low), Pixel::new(0.0, y), Pixel::new(right, y)]
        });
        for at in edge.filter_map(|at| seen_from(&other, camera, at)) {
            beside = beside.max(-at.x).max(at.x - w);
            over = over.max(-at.y).max(at.y - h);
        }
    }
    let whole = |v: f64, most: f64| (v.min(most) - 0.01).ceil().max(0.0) as u32;
    Size::new(whole(beside, most * w), whole(over, most * h))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Size = Size::new(640, 360);

    fn camera(turn: f64, wide: f64) -> Camera {
        let at = [23.9 * turn.to_radians().tan(), 0.0, -2.0];
        Camera::looking([0.0, -23.9, 5.0], at, wide, SIZE).unwrap().with_radial(-0.05)
    }

    fn places(way: &Way, y: usize) -> Vec<u32> {
        let mut blocks = Vec::new();
        way.row(y, &mut blocks);
        blocks.iter().flat_map(Block::places).take(way.wide).collect()
    }

    #[test]
    fn every_pixel_is_where_the_cameras_say() {
        for (turn, wide) in [(0.0, 60.0), (0.2, 60.0), (10.0, 58.0), (-10.0, 64.0), (40.0, 60.0)] {
            let (from, to) = (camera(0.0, 60.0), camera(turn, wide));
            let (way, most) = (Way::new(&from, &to), (640 * 360) as u32);
            let (mut unseen, mut off) = (0, 0.0_f64);
            for (x, y) in (0..640).flat_map(|x| (0..360).step_by(7).map(move |y| (x, y))) {
                let exact = seen_from(&from, &to, Pixel::new(x as f64 + 0.5, y as f64 + 0.5)).unwrap();
                let place = places(&way, y)[x];
                if place == most {
                    let inside = SIZE.holds(exact, 0.2);
                    assert!(!inside, "{x} {y} is seen at {exact:?}");
                    unseen += 1;
                } else {
                    let (i, j) = (f64::from(place % 640), f64::from(place / 640));
                    let beyond = |v: f64, from: f64| (from - v).max(v - from - 1.0).max(0.0);
                    off = off.max(beyond(exact.x, i)).max(beyond(exact.y, j));
                }
            }
            assert!(off < if turn > 10.0 { 0.2 } else { 0.1 }, "{off} at {turn} degrees");
            assert_eq!(unseen > 0, turn != 0.0 || wide < 60.0);
        }
    }

    #[test]
    fn the_margin_is_what_the_other_cameras_need() {
        let own = camera(0.0, 60.0);
        assert_eq!(margin(&own, [own].into_iter(), 0.25), Size::new(0, 0));
        let others = || [camera(3.0, 60.0), camera(0.0, 64.0)].into_iter();
        let size = margin(&own, others(), 0.25);
        let wider = own.wider(size);
        for other in others() {
            assert_eq!(margin(&wider, [other].into_iter(), 0.25), Size::new(0, 0));
        }
        assert!((20..60).contains(&size.width) && (5..40).contains(&size.height), "{size:?}");
        assert_eq!(margin(&own, [camera(40.0, 60.0)].into_iter(), 0.25).width, 160);
    }
}
