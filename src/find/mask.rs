//! Which pixels of a picture belong to somebody, and how many of them are in a rectangle.

use crate::measure::Size;

/// So many pixels of a row are asked at once whether somebody is there.
const BLOCK: usize = 32;

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
            // Mostly nobody is in a row, or on a short part of it.
            let blocks = is.chunks(BLOCK).map(|block| block.iter().fold(0, |any, is| any | is));
            let mut filled = blocks.enumerate().filter(|(_, any)| *any != 0).map(|(n, _)| n);
            let first = filled.next().map_or(width, |n| n * BLOCK);
            let end = filled.next_back().map_or(first, |n| n * BLOCK).saturating_add(BLOCK).min(width);
            sums[..=first].copy_from_slice(&above[..=first]);
            let mut row = 0;
            for ((sum, above), is) in
                sums[first + 1..=end].iter_mut().zip(&above[first + 1..=end]).zip(&is[first..end])
            {
                row += u32::from(*is);
                *sum = above + row;
            }
            sums[end + 1..].iter_mut().zip(&above[end + 1..]).for_each(|(sum, above)| *sum = above + row);
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_rectangle_has_as_many_as_are_counted_one_by_one(
            (w, h) in (1..150_usize, 1..6_usize),
            dice in proptest::collection::vec((0..150_usize, 0..6_usize), 0..40),
            (a, b, c, d) in (0..150_usize, 0..6_usize, 0..150_usize, 0..6_usize),
        ) {
            let mut is = vec![0; w * h];
            dice.iter().filter(|(x, y)| *x < w && *y < h).for_each(|(x, y)| is[y * w + x] = 1);
            let mask = Mask::new(Size::new(w as u32, h as u32), is.clone());
            let one_by_one = (b..d.min(h)).flat_map(|y| (a..c.min(w)).map(move |x| (x, y)));
            let count: u32 = one_by_one.map(|(x, y)| u32::from(is[y * w + x])).sum();
            prop_assert_eq!(mask.within(a as f64, b as f64, c as f64, d as f64) as u32, count);
        }
    }
}
