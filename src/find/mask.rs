//! Which pixels of a picture belong to somebody, and how many of them are in a rectangle.

use crate::measure::Size;

/// What belongs to somebody, with sums over the rectangles from the left top corner.
#[derive(Debug, Default)]
pub(super) struct Mask {
    pub width: usize,
    pub height: usize,
    /// 1 or 0.
    pub is: Vec<u8>,
    sums: Vec<u32>,
}

impl Mask {
    #[cfg(test)]
    pub fn new(size: Size, is: Vec<u8>) -> Self {
        let mut mask = Self { is, ..Self::default() };
        mask.count(size);
        mask
    }

    /// Counts anew, after `is` was written for a picture of this size.
    pub fn count(&mut self, size: Size) {
        let (width, height) = (size.width as usize, size.height as usize);
        (self.width, self.height) = (width, height);
        self.sums.resize((width + 1) * (height + 1), 0);
        let (mut above, rest) = self.sums.split_at_mut(width + 1);
        above.fill(0);
        for (is, sums) in self.is.chunks_exact(width).zip(rest.chunks_exact_mut(width + 1)) {
            let mut row = 0;
            sums[0] = 0;
            for ((sum, above), is) in sums[1..].iter_mut().zip(&above[1..]).zip(is) {
                row += u32::from(*is);
                *sum = above + row;
            }
            above = sums;
        }
    }

    /// Another mask without what is in a rectangle of pixels.
    pub fn without(&self, left: f64, top: f64, right: f64, bottom: f64) -> Self {
        let x = |v: f64| v.clamp(0.0, self.width as f64) as usize;
        let y = |v: f64| v.clamp(0.0, self.height as f64) as usize;
        let mut mask = Self { is: self.is.clone(), ..Self::default() };
        for row in y(top)..y(bottom) {
            mask.is[row * self.width + x(left)..row * self.width + x(right)].fill(0);
        }
        mask.count(Size::new(self.width as u32, self.height as u32));
        mask
    }

    /// How many pixels of a rectangle belong to somebody.
    pub fn within(&self, left: f64, top: f64, right: f64, bottom: f64) -> f64 {
        // Rounded: much faster than by `round`, which is a call.
        let x = |v: f64| (v.clamp(0.0, self.width as f64) + 0.5) as usize;
        let y = |v: f64| (v.clamp(0.0, self.height as f64) + 0.5) as usize;
        let (l, t, r, b) = (x(left), y(top), x(right), y(bottom));
        if r <= l || b <= t {
            return 0.0;
        }
        let sum = |x: usize, y: usize| f64::from(self.sums[y * (self.width + 1) + x]);
        sum(r, b) - sum(l, b) - sum(r, t) + sum(l, t)
    }
}
