//! A small picture in colour, in which players are looked for.

use crate::measure::Size;

/// Players are looked for at this width or more.
const WIDTH: usize = 640;

/// A small picture in colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Colour {
    width: usize,
    height: usize,
    pixels: Vec<[u8; 3]>,
}

impl Colour {
    /// From rows of blue, green, red and one byte more, `stride` bytes apart, as they are `stored`; `shown` is the size in square
    /// pixels. It is made smaller by a whole number, but not below 640 pixels of width. `None` if there are too few bytes.
    pub fn of_bgra(shown: Size, stored: Size, stride: usize, pixels: &[u8]) -> Option<Self> {
        let (wide, high) = (shown.width as usize, shown.height as usize);
        let by = (wide / WIDTH).max(1);
        let (width, height) = (wide / by, high / by);
        let (across, down) = (stored.width as usize, stored.height as usize);
        if width < 32 || height < 32 || pixels.len() < (down - 1) * stride + across * 4 {
            return None;
        }
        let places: Vec<usize> = (0..width * by).map(|x| 4 * (x * across / wide)).collect();
        let mut small = Vec::with_capacity(width * height);
        let mut sums = vec![[0_u32; 3]; width];
        let all = (by * by) as u32;
        for y in 0..height {
            sums.fill([0; 3]);
            for row in (y * by..(y + 1) * by).map(|v| &pixels[v * down / high * stride..]) {
                for (sum, group) in sums.iter_mut().zip(places.chunks_exact(by)) {
                    for at in group {
                        for (s, b) in sum.iter_mut().zip(&row[*at..*at + 3]) {
                            *s += u32::from(*b);
                        }
                    }
                }
            }
            small.extend(sums.iter().map(|s| s.map(|v| (v / all) as u8)));
        }
        Some(Self { width, height, pixels: small })
    }

    /// How large it is.
    pub fn size(&self) -> Size {
        Size::new(self.width as u32, self.height as u32)
    }

    pub(super) fn of(width: usize, height: usize, pixels: Vec<[u8; 3]>) -> Self {
        Self { width, height, pixels }
    }

    pub(super) fn width(&self) -> usize {
        self.width
    }

    pub(super) fn height(&self) -> usize {
        self.height
    }

    pub(super) fn row(&self, y: usize) -> &[[u8; 3]] {
        &self.pixels[y * self.width..(y + 1) * self.width]
    }

    pub(super) fn pixels_mut(&mut self) -> &mut [[u8; 3]] {
        &mut self.pixels
    }

    pub(super) fn at(&self, x: usize, y: usize) -> [u8; 3] {
        self.pixels[y * self.width + x]
    }
}
