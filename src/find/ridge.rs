//! Pixels that may lie on a bright line: brighter than both sides at one of a few distances.

use super::grey::Grey;

/// How much brighter than both sides a line's pixel is, in shades of grey: less is noise.
const BRIGHTER: f32 = 6.0;
/// The distances of both sides, in pixels: narrow far lines and wide near ones.
const SIDES: [usize; 4] = [2, 4, 8, 14];
/// Where more than this part of the surroundings are ridges, it is a crowd or lettering.
const CROWDED: f32 = 0.16;
/// Half the side of those surroundings, in pixels.
const AROUND: usize = 15;

/// Which way a line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Run {
    /// More or less up and down in the picture: found from left to right.
    Up,
    /// More or less from left to right.
    Across,
}

/// Pixels of ridges that run one way.
#[derive(Debug, Clone)]
pub(super) struct Ridges {
    pub width: usize,
    pub height: usize,
    pub on: Vec<bool>,
}

impl Ridges {
    /// Finds them in a picture.
    pub fn of(picture: &Grey, run: Run) -> Self {
        let smooth = picture.smoothed(1.2);
        let (w, h) = (picture.width(), picture.height());
        let mut on = vec![false; w * h];
        let (step, edge) = match run {
            Run::Up => (1, w),
            Run::Across => (w, h),
        };
        for y in 2..h - 2 {
            for x in 2..w - 2 {
                let i = y * w + x;
                let along = if run == Run::Up { x } else { y };
                on[i] =
                    is_top(smooth.shades(), i, step) && stands_out(picture.shades(), i, step, along, edge);
            }
        }
        let mut ridges = Self { width: w, height: h, on };
        ridges.drop_crowds();
        ridges
    }

    fn drop_crowds(&mut self) {
        let (w, h) = (self.width, self.height);
        let mut sums = vec![0_u32; (w + 1) * (h + 1)];
        for y in 0..h {
            let mut row = 0;
            for x in 0..w {
                row += u32::from(self.on[y * w + x]);
                sums[(y + 1) * (w + 1) + x + 1] = sums[y * (w + 1) + x + 1] + row;
            }
        }
        for y in 0..h {
            for x in 0..w {
                let (left, right) = (x.saturating_sub(AROUND), (x + AROUND + 1).min(w));
                let (top, low) = (y.saturating_sub(AROUND), (y + AROUND + 1).min(h));
                let at = |x: usize, y: usize| sums[y * (w + 1) + x];
                let count = at(right, low) + at(left, top) - at(left, low) - at(right, top);
                let area = ((right - left) * (low - top)) as f32;
                self.on[y * w + x] &= (count as f32) < CROWDED * area;
            }
        }
    }

    /// How near a ridge each pixel is: 255 on it, 0 from `reach` pixels on, by the square of the distance between. The
    /// distance is that of two passes with steps of 1 and √2 (Borgefors 1986), which is at most 8 % off.
    pub fn nearness(&self, reach: f32) -> Vec<u8> {
        const DIAGONAL: f32 = std::f32::consts::SQRT_2;
        let (w, h) = (self.width, self.height);
        let mut far: Vec<f32> = self.on.iter().map(|on| if *on { 0.0 } else { 1e6 }).collect();
        for y in 1..h {
            for x in 1..w - 1 {
                let i = y * w + x;
                let above = (far[i - w] + 1.0).min(far[i - w - 1] + DIAGONAL).min(far[i - w + 1] + DIAGONAL);
                far[i] = far[i].min(far[i - 1] + 1.0).min(above);
            }
        }
        for y in (0..h - 1).rev() {
            for x in (1..w - 1).rev() {
                let i = y * w + x;
                let below = (far[i + w] + 1.0).min(far[i + w - 1] + DIAGONAL).min(far[i + w + 1] + DIAGONAL);
                far[i] = far[i].min(far[i + 1] + 1.0).min(below);
            }
        }
        far.iter().map(|d| (255.0 * (1.0 - (d / reach).powi(2)).max(0.0)) as u8).collect()
    }
}

/// Whether a pixel is at least as bright as its two neighbours on both sides.
fn is_top(smooth: &[f32], i: usize, step: usize) -> bool {
    let least = smooth[i] + 0.01;
    [i - step, i + step, i - 2 * step, i + 2 * step].iter().all(|k| smooth[*k] <= least)
}

fn stands_out(shades: &[f32], i: usize, step: usize, along: usize, edge: usize) -> bool {
    SIDES.iter().any(|side| {
        along >= *side
            && along + side < edge
            && shades[i] - shades[i - side * step].max(shades[i + side * step]) > BRIGHTER
    })
}
