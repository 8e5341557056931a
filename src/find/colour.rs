//! A small picture in colour, in which players are looked for.

use super::planar::{MOST, Planar, Row};
use crate::measure::Size;

/// Players are looked for at this width or more.
const WIDTH: usize = 640;

/// Blue, green, red and 0.
pub(super) type Shade = [u8; 4];

/// A small picture in colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Colour {
    width: usize,
    height: usize,
    pixels: Vec<Shade>,
}

impl Colour {
    /// A picture made smaller by a whole number, but not below 640 pixels of width. `None` if it is smaller than 32 pixels or rows are missing.
    pub fn of_planar(picture: &Planar<'_>) -> Option<Self> {
        let by = (picture.shown.width as usize / WIDTH).clamp(1, MOST);
        let (width, height) = picture.boxed_size(by)?;
        let columns = picture.columns(by);
        let (mut sums, mut shades, mut tints) = (Vec::new(), Vec::new(), Tints::default());
        let mut pixels = vec![[0; 4]; width * height];
        for (y, to) in pixels.chunks_exact_mut(width).enumerate() {
            picture.shades(y, by, &mut sums, &mut shades);
            tints.of_row(picture, (y, by), &columns);
            tints.colour(&shades, to);
        }
        Some(Self { width, height, pixels })
    }

    /// How large it is.
    pub fn size(&self) -> Size {
        Size::new(self.width as u32, self.height as u32)
    }

    /// How much memory it takes.
    pub fn bytes(&self) -> usize {
        self.pixels.as_flattened().len()
    }

    pub(super) fn of(width: usize, height: usize, pixels: Vec<Shade>) -> Self {
        Self { width, height, pixels }
    }

    pub(super) fn width(&self) -> usize {
        self.width
    }

    pub(super) fn height(&self) -> usize {
        self.height
    }

    pub(super) fn row(&self, y: usize) -> &[Shade] {
        &self.pixels[y * self.width..(y + 1) * self.width]
    }

    pub(super) fn pixels(&self) -> &[Shade] {
        &self.pixels
    }

    pub(super) fn pixels_mut(&mut self) -> &mut [Shade] {
        &mut self.pixels
    }

    #[cfg(test)]
    pub(super) fn at(&self, x: usize, y: usize) -> Shade {
        self.pixels[y * self.width + x]
    }
}

/// What the colours of a row add to its brightness, in 64ths: to blue, green and red.
#[derive(Debug, Default)]
struct Tints {
    /// The stored row that they are of: rows that lie together have the same.
    of: Option<usize>,
    blue: Row,
    red: Row,
    adds: [Vec<i16>; 3],
}

impl Tints {
    fn of_row(&mut self, picture: &Planar<'_>, (y, by): (usize, usize), columns: &[u32]) {
        let row = picture.colour_row(y, by);
        if self.of.replace(row) == Some(row) {
            return;
        }
        picture.colours(1, row, by, columns, &mut self.blue);
        picture.colours(2, row, by, columns, &mut self.red);
        let adds: [fn(i16, i16) -> i16; 3] = [|b, _| 129 * b, |b, r| -25 * b - 52 * r, |_, r| 102 * r];
        for (to, add) in self.adds.iter_mut().zip(adds) {
            let both = self.blue.iter().zip(&self.red);
            to.clear();
            to.extend(both.map(|(b, r)| add(i16::from(*b) - 128, i16::from(*r) - 128)));
        }
    }

    /// The colours of these brightnesses, by the inverse of ITU-R BT.601. Sums that do not fit in 16 bits are white all the same.
    fn colour(&self, shades: &[u8], to: &mut [Shade]) {
        let [blue, green, red] = &self.adds;
        for ((((to, y), blue), green), red) in to.iter_mut().zip(shades).zip(blue).zip(green).zip(red) {
            let y = i16::from(*y) * 75 - 1168;
            let byte = |add: i16| (y.saturating_add(add) >> 6).clamp(0, 255) as u8;
            *to = [byte(*blue), byte(*green), byte(*red), 0];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_those_that_larger_numbers_give() {
        let exact = |y: u8, blue: u8, red: u8| {
            let (y, blue, red) = (i32::from(y) * 75 - 1168, i32::from(blue) - 128, i32::from(red) - 128);
            [y + 129 * blue, y - 25 * blue - 52 * red, y + 102 * red].map(|v| (v >> 6).clamp(0, 255) as u8)
        };
        let all: Vec<u8> = (0..=255_u8).step_by(3).chain([255]).collect();
        let wide = 2 * all.len() as u32;
        let (size, row) =
            (Size::new(wide, 32), |of: &[u8]| of.iter().flat_map(|v| [*v; 2]).collect::<Vec<_>>());
        for (blue, y) in all.iter().flat_map(|blue| all.iter().map(move |y| (*blue, *y))) {
            // Every red in a row of one brightness and one blue.
            let [shades, blues, reds] =
                [vec![y; 32 * wide as usize], vec![blue; 16 * all.len()], all.repeat(16)];
            let planes = [(&shades[..], wide as usize), (&blues[..], all.len()), (&reds[..], all.len())];
            let made = Colour::of_planar(&Planar { shown: size, stored: size, planes }).unwrap();
            for (x, red) in row(&all).into_iter().enumerate() {
                assert_eq!(made.at(x, 5)[..3], exact(y, blue, red), "{y} {blue} {red}");
            }
        }
    }
}
