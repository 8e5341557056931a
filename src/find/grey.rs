//! A picture in shades of grey.

use crate::measure::Size;

/// A picture in shades of grey, from 0 (black) to 255.
#[derive(Debug, Clone, PartialEq)]
pub struct Grey {
    width: usize,
    height: usize,
    shades: Vec<f32>,
}

impl Grey {
    /// From rows of bytes, each as long as the picture is wide. `None` if their number is not width × height, or the
    /// picture is smaller than 32 pixels in one direction.
    pub fn of_bytes(size: Size, bytes: &[u8]) -> Option<Self> {
        let (width, height) = (size.width as usize, size.height as usize);
        (width >= 32 && height >= 32 && bytes.len() == width * height).then(|| Self {
            width,
            height,
            shades: bytes.iter().map(|b| f32::from(*b)).collect(),
        })
    }

    /// From rows of blue, green, red and one byte more, `stride` bytes apart, as they are `stored`; `shown` is the size in square
    /// pixels. The weights are those of ITU-R BT.601. `None` as for [`Self::of_bytes`].
    pub fn of_bgra(shown: Size, stored: Size, stride: usize, pixels: &[u8]) -> Option<Self> {
        let (width, height) = (shown.width as usize, shown.height as usize);
        if width < 32 || height < 32 {
            return None;
        }
        let mut shades = Vec::with_capacity(width * height);
        let shade = |p: &[u8]| 0.114 * f32::from(p[0]) + 0.587 * f32::from(p[1]) + 0.299 * f32::from(p[2]);
        for y in 0..height {
            let from = y * stored.height as usize / height * stride;
            let row = pixels.get(from..from + 4 * stored.width as usize)?;
            if stored.width == shown.width {
                shades.extend(row.chunks_exact(4).map(shade));
            } else {
                let place = |x: usize| 4 * (x * stored.width as usize / width);
                shades.extend((0..width).map(|x| shade(&row[place(x)..place(x) + 4])));
            }
        }
        Some(Self { width, height, shades })
    }

    /// From shades, row by row; their number is width × height.
    pub(super) fn of_shades(width: usize, height: usize, shades: Vec<f32>) -> Self {
        debug_assert_eq!(shades.len(), width * height);
        Self { width, height, shades }
    }

    /// How large it is.
    pub fn size(&self) -> Size {
        Size::new(self.width as u32, self.height as u32)
    }

    /// Its shades as bytes, rounded.
    pub(super) fn bytes(&self) -> Vec<u8> {
        self.shades.iter().map(|s| (s + 0.5) as u8).collect()
    }

    pub(super) fn width(&self) -> usize {
        self.width
    }

    pub(super) fn height(&self) -> usize {
        self.height
    }

    pub(super) fn shades(&self) -> &[f32] {
        &self.shades
    }

    pub(super) fn row(&self, y: usize) -> &[f32] {
        &self.shades[y * self.width..(y + 1) * self.width]
    }

    /// At another width and the same shape. Shrinking averages over the area of each new pixel; enlarging interpolates.
    #[must_use]
    pub fn resized(&self, width: usize) -> Self {
        if width == self.width || width == 0 {
            return self.clone();
        }
        let height = ((self.height * width) as f64 / self.width as f64).round().max(1.0) as usize;
        let (across, down) = (weights(self.width, width), weights(self.height, height));
        let mut rows = vec![0.0; width * self.height];
        for y in 0..self.height {
            let from = self.row(y);
            for (to, (first, parts)) in rows[y * width..(y + 1) * width].iter_mut().zip(&across) {
                *to = from[*first..].iter().zip(parts).map(|(s, w)| s * w).sum();
            }
        }
        let mut shades = vec![0.0; width * height];
        for (to, (first, parts)) in shades.chunks_exact_mut(width).zip(&down) {
            for (k, weight) in parts.iter().enumerate() {
                let from = &rows[(first + k) * width..(first + k + 1) * width];
                to.iter_mut().zip(from).for_each(|(t, s)| *t += s * weight);
            }
        }
        Self { width, height, shades }
    }

    /// Smaller by a whole number: each new pixel is the mean of a square of old ones. What is left over at the right and at
    /// the bottom is cut off.
    #[must_use]
    pub(super) fn boxed(&self, by: usize) -> Self {
        let (width, height) = (self.width / by.max(1), self.height / by.max(1));
        if by <= 1 {
            return self.clone();
        }
        let mut shades = vec![0.0; width * height];
        let part = 1.0 / (by * by) as f32;
        for (y, to) in shades.chunks_exact_mut(width).enumerate() {
            for k in 0..by {
                let row = self.row(y * by + k).chunks_exact(by);
                to.iter_mut().zip(row).for_each(|(t, s)| *t += part * s.iter().sum::<f32>());
            }
        }
        Self { width, height, shades }
    }

    /// Smoothed by a Gaussian of this many pixels.
    #[must_use]
    pub(super) fn smoothed(&self, sigma: f32) -> Self {
        let reach = (sigma * 2.5).ceil() as usize;
        let half: Vec<f32> = (0..=reach).map(|i| (-((i * i) as f32) / (2.0 * sigma * sigma)).exp()).collect();
        let sum = half[0] + 2.0 * half[1..].iter().sum::<f32>();
        let half: Vec<f32> = half.iter().map(|w| w / sum).collect();
        let (w, h) = (self.width, self.height);
        let mut across = vec![0.0; w * h];
        for (to, from) in across.chunks_exact_mut(w).zip(self.shades.chunks_exact(w)) {
            for (x, to) in to.iter_mut().enumerate() {
                let sides = half.iter().enumerate().skip(1);
                let sides = sides.map(|(i, p)| p * (from[x.saturating_sub(i)] + from[(x + i).min(w - 1)]));
                *to = half[0] * from[x] + sides.sum::<f32>();
            }
        }
        let mut shades = vec![0.0; w * h];
        for (y, to) in shades.chunks_exact_mut(w).enumerate() {
            for (i, p) in half.iter().enumerate() {
                let above = &across[y.saturating_sub(i) * w..][..w];
                let below = &across[(y + i).min(h - 1) * w..][..w];
                let p = if i == 0 { p / 2.0 } else { *p };
                to.iter_mut().zip(above.iter().zip(below)).for_each(|(t, (a, b))| *t += p * (a + b));
            }
        }
        Self { width: w, height: h, shades }
    }

    /// The shade at a place (pixels from the edges), between the pixels around it; beyond the edge, that of the edge.
    pub(super) fn at(&self, x: f64, y: f64) -> f32 {
        let x = (x - 0.5).clamp(0.0, (self.width - 1) as f64) as f32;
        let y = (y - 0.5).clamp(0.0, (self.height - 1) as f64) as f32;
        let (i, j) = (x as usize, y as usize);
        let (u, v) = (x - i as f32, y - j as f32);
        let (right, below) = ((i + 1).min(self.width - 1), (j + 1).min(self.height - 1));
        let (a, b) = (j * self.width, below * self.width);
        let top = self.shades[a + i] * (1.0 - u) + self.shades[a + right] * u;
        let low = self.shades[b + i] * (1.0 - u) + self.shades[b + right] * u;
        top * (1.0 - v) + low * v
    }
}

/// For each new pixel: the first old one, and the parts of it and of those after it.
fn weights(from: usize, to: usize) -> Vec<(usize, Vec<f32>)> {
    let by = from as f64 / to as f64;
    (0..to)
        .map(|i| {
            let middle = (i as f64 + 0.5) * by;
            let half = by.max(1.0) / 2.0;
            let (low, high) = ((middle - half).max(0.0), (middle + half).min(from as f64));
            let (first, last) = (low.floor() as usize, (high.ceil() as usize).clamp(1, from));
            let first = first.min(last - 1);
            let parts: Vec<f64> =
                (first..last).map(|k| (high.min((k + 1) as f64) - low.max(k as f64)).max(0.0)).collect();
            let sum: f64 = parts.iter().sum();
            (first, parts.iter().map(|p| (p / sum) as f32).collect())
        })
        .collect()
}
