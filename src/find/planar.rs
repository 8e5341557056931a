//! A picture as brightness and colour, as decoders give it.

use std::borrow::Cow;

use super::grey::Grey;
use crate::measure::Size;

/// Pictures are made smaller by this at most: sums of so many brightnesses squared fit into 16 bits.
pub(super) const MOST: usize = 16;

/// Rows of brightness, and rows of half as many values of blue and of red for every second of them: Y′CbCr 4:2:0 of ITU-R BT.601, with
/// black at 16 and white at 235.
#[derive(Debug, Clone, Copy)]
pub struct Planar<'a> {
    /// The size in square pixels, and as it is stored.
    pub shown: Size,
    /// Likewise.
    pub stored: Size,
    /// Brightness, blue, red: the bytes of each, and how many there are from one row to the next.
    pub planes: [(&'a [u8], usize); 3],
}

/// A value for each pixel of one small row, as decoders store brightness.
pub(super) type Row = Vec<u8>;

impl Planar<'_> {
    /// The size of a picture smaller by a whole number. `None` if that is less than 32 pixels in one direction, or rows are missing.
    pub(super) fn boxed_size(&self, by: usize) -> Option<(usize, usize)> {
        let (width, height) = (self.shown.width as usize / by.max(1), self.shown.height as usize / by.max(1));
        let (across, down) = (self.stored.width as usize, self.stored.height as usize);
        let holds = |(bytes, stride): (&[u8], usize), half: usize| {
            let (across, down) = (across.div_ceil(half), down.div_ceil(half));
            down > 0 && stride >= across && bytes.len() >= (down - 1) * stride + across
        };
        let [shades, blue, red] = self.planes;
        let is_whole = holds(shades, 1) && holds(blue, 2) && holds(red, 2);
        (width >= 32 && height >= 32 && is_whole).then_some((width, height))
    }

    /// A stored row of a plane; `half` is 2 for colours.
    fn row(&self, plane: usize, y: usize, half: usize) -> &[u8] {
        let (bytes, stride) = self.planes[plane];
        &bytes[y * stride..y * stride + (self.stored.width as usize).div_ceil(half)]
    }

    /// The same with as many values as pixels are shown.
    fn wide_row(&self, plane: usize, y: usize) -> Cow<'_, [u8]> {
        let y = y * self.stored.height as usize / self.shown.height as usize;
        let (row, wide) = (self.row(plane, y, 1), self.shown.width as usize);
        if row.len() == wide {
            return Cow::Borrowed(row);
        }
        Cow::Owned((0..wide).map(|x| row[x * row.len() / wide]).collect())
    }

    /// The means of the brightness over squares of `by` pixels, in one row of them.
    pub(super) fn shades(&self, y: usize, by: usize, sums: &mut Vec<u16>, to: &mut Row) {
        let wide = self.shown.width as usize / by;
        to.clear();
        if by == 1 {
            return to.extend_from_slice(&self.wide_row(0, y));
        }
        sums.clear();
        sums.resize(wide, 0);
        for k in 0..by {
            let row = self.wide_row(0, y * by + k);
            match by {
                2 => add::<2>(sums, &row),
                3 => add::<3>(sums, &row),
                _ => {
                    let groups = row.chunks_exact(by);
                    sums.iter_mut()
                        .zip(groups)
                        .for_each(|(s, g)| *s += g.iter().map(|v| u16::from(*v)).sum::<u16>());
                }
            }
        }
        let part = 65536 / (by * by) as u32;
        to.extend(sums.iter().map(|s| ((u32::from(*s) * part + 32768) >> 16) as u8));
    }

    /// The values of a stored row of colours that are in the middles of the squares of `by` pixels.
    pub(super) fn columns(&self, by: usize) -> Vec<u32> {
        let (shown, stored) = (self.shown.width as usize, self.stored.width as usize);
        (0..shown / by).map(|x| ((x * by + by / 2) * stored / shown / 2) as u32).collect()
    }

    /// The stored row of colours that is in the middle of squares of `by` pixels, in one row of them.
    pub(super) fn colour_row(&self, y: usize, by: usize) -> usize {
        (y * by + by / 2) * self.stored.height as usize / self.shown.height as usize / 2
    }

    /// One of the colours of a stored row in the middle of each square of `by` pixels.
    pub(super) fn colours(&self, plane: usize, row: usize, by: usize, columns: &[u32], to: &mut Row) {
        let row = self.row(plane, row, 2);
        to.clear();
        match by {
            2 if self.stored.width == self.shown.width => to.extend_from_slice(&row[..columns.len()]),
            1 if self.stored.width == self.shown.width => {
                to.resize(2 * row.len(), 0);
                to.as_chunks_mut().0.iter_mut().zip(row).for_each(|(two, v)| *two = [*v; 2]);
                to.truncate(columns.len());
            }
            _ => to.extend(columns.iter().map(|at| row[*at as usize])),
        }
    }

    /// Its brightness, smaller by a whole number. `None` as for [`Grey::of_bytes`].
    pub(super) fn grey(&self, by: usize) -> Option<Grey> {
        let (width, height) = self.boxed_size(by)?;
        let (mut sums, mut row, mut all) = (Vec::new(), Vec::new(), Vec::with_capacity(width * height));
        for y in 0..height {
            self.shades(y, by, &mut sums, &mut row);
            all.extend(row.iter().map(|v| (f32::from(*v) - 16.0) * (255.0 / 219.0)));
        }
        Some(Grey::of_shades(width, height, all))
    }
}

fn add<const N: usize>(sums: &mut [u16], row: &[u8]) {
    let (groups, _) = row.as_chunks::<N>();
    for (sum, group) in sums.iter_mut().zip(groups) {
        *sum += group.iter().map(|v| u16::from(*v)).sum::<u16>();
    }
}

#[cfg(test)]
mod tests {
    use super::super::colour::Colour;
    use super::*;

    /// The left half is red, the right half white, in pixels that are stored at half the width they are shown at.
    fn picture(shown: Size, stored: Size) -> (Vec<u8>, Vec<u8>, Vec<u8>) {
        let (w, h) = (stored.width as usize, stored.height as usize);
        let rows = |wide: usize, tall: usize, of: [u8; 2]| -> Vec<u8> {
            (0..tall).flat_map(|_| (0..wide).map(move |x| of[usize::from(2 * x >= wide)])).collect()
        };
        assert!(shown.width >= stored.width);
        (rows(w, h, [81, 235]), rows(w / 2, h / 2, [90, 128]), rows(w / 2, h / 2, [240, 128]))
    }

    #[test]
    fn brightness_and_colour_become_the_colours_that_are_seen() {
        for (shown, stored) in [
            (Size::new(1280, 64), Size::new(1280, 64)),
            (Size::new(1280, 64), Size::new(960, 64)),
            (Size::new(640, 64), Size::new(640, 64)),
            (Size::new(1920, 96), Size::new(1920, 96)),
        ] {
            let (y, u, v) = picture(shown, stored);
            let (wide, half) = (stored.width as usize, stored.width as usize / 2);
            let planar = Planar { shown, stored, planes: [(&y, wide), (&u, half), (&v, half)] };
            let small = Colour::of_planar(&planar).unwrap();
            assert_eq!(small.size(), Size::new(640, 64 * 640 / shown.width.min(1280)));
            let red = small.at(100, 20);
            assert!(red[0] <= 2 && red[1] <= 2 && red[2] >= 251, "{red:?}");
            let white = small.at(600, 20);
            assert!(white[..3].iter().all(|v| *v >= 253), "{white:?}");
            let grey = planar.grey(1).unwrap();
            assert_eq!(grey.size(), shown);
            let (dark, light) = (grey.row(20)[100], grey.row(20)[shown.width as usize - 100]);
            assert!((dark - 75.7).abs() < 0.1 && (light - 255.0).abs() < 0.1, "{dark} {light}");
        }
    }

    #[test]
    fn a_picture_with_rows_missing_is_none() {
        let size = Size::new(640, 360);
        let (y, c) = (vec![16; 640 * 360], vec![128; 320 * 180]);
        let of = |y: &[u8], blue: &[u8], red: &[u8]| {
            let planar = Planar { shown: size, stored: size, planes: [(y, 640), (blue, 320), (red, 320)] };
            Colour::of_planar(&planar).is_some() && planar.grey(1).is_some()
        };
        assert!(of(&y, &c, &c) && !of(&y[1..], &c, &c) && !of(&y, &c[1..], &c) && !of(&y, &c, &c[1..]));
        let none = Planar { shown: Size::new(0, 0), stored: Size::new(0, 0), planes: [(&[], 0); 3] };
        assert!(Colour::of_planar(&none).is_none());
    }
}
