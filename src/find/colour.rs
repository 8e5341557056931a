//! A small picture in colour, in which players are looked for.

use super::planar::{MOST, Planar};
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
        let [mut shades, mut blue, mut red] = [(); 3].map(|()| Vec::with_capacity(width));
        let columns = picture.columns(by);
        let (mut sums, mut pixels) = (Vec::new(), Vec::with_capacity(width * height));
        for y in 0..height {
            picture.shades(y, by, &mut sums, &mut shades);
            picture.colours(1, y, by, &columns, &mut blue);
            picture.colours(2, y, by, &columns, &mut red);
            pixels.extend(shades.iter().zip(&blue).zip(&red).map(|((y, b), r)| shade(*y, *b, *r)));
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

/// The colour of a brightness and two differences, by the inverse of ITU-R BT.601 in 64ths.
fn shade(y: u8, blue: u8, red: u8) -> Shade {
    let (y, blue, red) = (i32::from(y) * 75 - 1168, i32::from(blue) - 128, i32::from(red) - 128);
    let byte = |v: i32| (v >> 6).clamp(0, 255) as u8;
    [byte(y + 129 * blue), byte(y - 25 * blue - 52 * red), byte(y + 102 * red), 0]
}
