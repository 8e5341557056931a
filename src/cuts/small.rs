//! A small grey picture: what is compared to find cuts.

/// Its width in pixels.
pub const WIDE: usize = 160;
/// Its height in pixels. Footage of every shape is squeezed into the same size.
pub const TALL: usize = 88;

/// A picture cut into square patches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Grid {
    /// Pixels along the side of a patch. It divides the sides of the picture.
    pub(super) side: usize,
}

impl Grid {
    /// Small enough for a player at the far end.
    pub(super) const FINE: Self = Self { side: 4 };
    /// Large enough that two patches are seldom alike by chance.
    pub(super) const COARSE: Self = Self { side: 8 };

    /// Patches in a row.
    pub(super) const fn across(self) -> usize {
        WIDE / self.side
    }

    /// Rows of patches.
    pub(super) const fn down(self) -> usize {
        TALL / self.side
    }

    /// Patches in the picture.
    pub(super) const fn patches(self) -> usize {
        self.across() * self.down()
    }

    /// The left and upper edge of a patch.
    const fn corner(self, n: usize) -> (usize, usize) {
        (n % self.across() * self.side, n / self.across() * self.side)
    }

    const fn area(self) -> f32 {
        (self.side * self.side) as f32
    }
}

/// What a comparison of a patch with another picture may do.
#[derive(Debug, Clone, Copy)]
pub(super) struct Search<'a> {
    /// How far things may have moved, pixels.
    pub(super) reach: isize,
    /// How each brightness of the other picture would be shown here.
    pub(super) shown: &'a [u8; 256],
    /// A difference below this is small enough.
    pub(super) enough: f32,
}

/// A grey picture of 160 × 88 pixels, row by row, 0 black and 255 white.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Small(Vec<u8>);

impl Small {
    /// From its pixels; `None` if there are not 160 × 88.
    pub fn of_pixels(pixels: Vec<u8>) -> Option<Self> {
        (pixels.len() == WIDE * TALL).then_some(Self(pixels))
    }

    /// A larger grey picture made small: each pixel is the mean of those it covers. `None` if `grey` has not
    /// `width` × `height` pixels, or is smaller than a small picture.
    pub fn of_grey(width: usize, height: usize, grey: &[u8]) -> Option<Self> {
        if grey.len() != width * height || width < WIDE || height < TALL {
            return None;
        }
        let mut pixels = Vec::with_capacity(WIDE * TALL);
        for y in 0..TALL {
            let rows = y * height / TALL..(y + 1) * height / TALL;
            for x in 0..WIDE {
                let columns = x * width / WIDE..(x + 1) * width / WIDE;
                let row = |r: usize| &grey[r * width + columns.start..r * width + columns.end];
                let sum: usize = rows.clone().flat_map(row).map(|p| usize::from(*p)).sum();
                pixels.push((sum / (rows.len() * columns.len())) as u8);
            }
        }
        Some(Self(pixels))
    }

    /// Its pixels, row by row.
    pub(super) fn pixels(&self) -> &[u8] {
        &self.0
    }

    /// The rows of a square.
    fn square(&self, (x, y): (usize, usize), side: usize) -> impl Iterator<Item = &[u8]> {
        (0..side).map(move |r| &self.0[(y + r) * WIDE + x..][..side])
    }

    fn patch(&self, grid: Grid, n: usize) -> impl Iterator<Item = &u8> {
        self.square(grid.corner(n), grid.side).flatten()
    }

    /// The mean of each patch.
    pub(super) fn means(&self, grid: Grid) -> Vec<f32> {
        let mean = |n| self.patch(grid, n).map(|p| f32::from(*p)).sum::<f32>() / grid.area();
        (0..grid.patches()).map(mean).collect()
    }

    /// Whether a patch shows more than a plain surface.
    pub(super) fn has_texture(&self, grid: Grid, n: usize) -> bool {
        let (low, high) = self.patch(grid, n).fold((255, 0), |(l, h), p| (l.min(*p), h.max(*p)));
        high - low >= 20
    }

    /// How much a patch differs from the same patch of another picture, a mean over its pixels.
    pub(super) fn differs(&self, other: &Self, grid: Grid, n: usize) -> f32 {
        let pairs = self.patch(grid, n).zip(other.patch(grid, n));
        pairs.map(|(a, b)| f32::from(a.abs_diff(*b))).sum::<f32>() / grid.area()
    }

    /// How much a patch differs from what is most like it in another picture.
    pub(super) fn differs_moved(&self, other: &Self, grid: Grid, n: usize, search: Search<'_>) -> f32 {
        let (left, top) = grid.corner(n);
        let enough = (search.enough * grid.area()) as u32;
        let mut best = u32::MAX;
        let far = -search.reach..=search.reach;
        for (dy, dx) in far.clone().flat_map(|dy| far.clone().map(move |dx| (dy, dx))) {
            let (Some(x), Some(y)) = (left.checked_add_signed(dx), top.checked_add_signed(dy)) else {
                continue;
            };
            if x + grid.side <= WIDE && y + grid.side <= TALL {
                let there = other.square((x, y), grid.side);
                best = best.min(sum(self.square((left, top), grid.side).zip(there), search.shown, best));
            }
            if best < enough {
                break;
            }
        }
        best as f32 / grid.area()
    }
}

/// The sum of the differences of two squares, or more than `most`.
fn sum<'a>(rows: impl Iterator<Item = (&'a [u8], &'a [u8])>, shown: &[u8; 256], most: u32) -> u32 {
    let mut sum = 0;
    for (a, b) in rows {
        sum += a.iter().zip(b).map(|(a, b)| u32::from(a.abs_diff(shown[usize::from(*b)]))).sum::<u32>();
        if sum >= most {
            break;
        }
    }
    sum
}
