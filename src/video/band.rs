//! One octave of sound.

/// A band-pass of one octave (second order, constant peak gain; R. Bristow-Johnson, audio EQ cookbook).
#[derive(Debug, Clone)]
pub(crate) struct Band {
    b: f64,
    a: [f64; 2],
    x: [f64; 2],
    y: [f64; 2],
}

impl Band {
    /// A band around `middle` (hertz) for `rate` samples a second.
    pub(crate) fn new(middle: f64, rate: u32) -> Self {
        let w = std::f64::consts::TAU * middle / f64::from(rate);
        let alpha = w.sin() / (2.0 * 1.2);
        let a0 = 1.0 + alpha;
        Self { b: alpha / a0, a: [-2.0 * w.cos() / a0, (1.0 - alpha) / a0], x: [0.0; 2], y: [0.0; 2] }
    }

    /// What it lets through of the next sample.
    pub(crate) fn next(&mut self, x: f64) -> f64 {
        let y = self.b * (x - self.x[1]) - self.a[0] * self.y[0] - self.a[1] * self.y[1];
        self.x = [x, self.x[0]];
        self.y = [y, self.y[0]];
        y
    }
}
