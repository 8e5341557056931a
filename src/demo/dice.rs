//! The match's source of chance: one number, one stream, the same match every time.
//!
//! The distributions are fits to frame-accurate labels of professional play (7,593 clips); medians and ranges are
//! held by the tests of `play`.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Chance for one match. Durations are seconds.
#[derive(Debug, Clone)]
pub(super) struct Dice(ChaCha8Rng);

impl Dice {
    /// The stream of `number`; `purpose` keeps play, sound and pictures from disturbing one another.
    pub fn new(number: u64, purpose: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(number);
        rng.set_stream(purpose);
        Self(rng)
    }

    /// Evenly between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }

    /// True with this probability.
    pub fn chance(&mut self, p: f64) -> bool {
        self.0.random::<f64>() < p
    }

    /// Standard normal, by Box and Muller (Annals of Mathematical Statistics 29, 1958, 610–611).
    pub fn normal(&mut self) -> f64 {
        let u: f64 = 1.0 - self.0.random::<f64>();
        let v: f64 = self.0.random();
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    /// Index of one of the weights, in proportion to it.
    pub fn pick(&mut self, weights: &[f64]) -> usize {
        let mut left = self.0.random::<f64>() * weights.iter().sum::<f64>();
        for (i, w) in weights.iter().enumerate() {
            left -= w;
            if left < 0.0 {
                return i;
            }
        }
        weights.len().saturating_sub(1)
    }

    fn log_normal(&mut self, median: f64, sigma: f64) -> f64 {
        median * (sigma * self.normal()).exp()
    }

    fn log_logistic(&mut self, shape: f64, scale: f64) -> f64 {
        let u = self.between(1e-6, 1.0 - 1e-6);
        scale * (u / (1.0 - u)).powf(1.0 / shape)
    }

    /// Gamma with a shape above 1, by Marsaglia and Tsang (ACM TOMS 26, 2000, 363–372).
    fn gamma(&mut self, shape: f64, scale: f64) -> f64 {
        let d = shape - 1.0 / 3.0;
        let c = 1.0 / (9.0 * d).sqrt();
        loop {
            let x = self.normal();
            let v = (1.0 + c * x).powi(3);
            if v > 0.0 && self.between(1e-12, 1.0).ln() < 0.5 * x * x + d - d * v + d * v.ln() {
                return d * v * scale;
            }
        }
    }

    /// From the serve to the return.
    pub fn serve_to_return(&mut self) -> f64 {
        (0.476 + self.log_normal((-1.190_f64).exp(), 0.417)).min(1.6)
    }

    /// From one rally stroke to the next; slices and lobs are the slow part of the mixture.
    pub fn stroke_to_stroke(&mut self, slow: bool) -> f64 {
        let draw = if slow {
            self.log_normal(1.72, 0.20)
        } else if self.chance(0.75) {
            self.log_normal(1.27, 0.139)
        } else {
            self.log_normal(1.35, 0.342)
        };
        draw.clamp(0.7, 3.2)
    }

    /// Part of the serve–return interval that passes before the bounce.
    pub fn serve_bounce_part(&mut self) -> f64 {
        (0.55 + 0.07 * self.normal()).clamp(0.42, 0.68)
    }

    /// Part of a stroke–stroke interval that passes before the bounce.
    pub fn bounce_part(&mut self) -> f64 {
        (0.70 + 0.09 * self.normal()).clamp(0.5, 0.86)
    }

    /// From a first fault to the second serve.
    pub fn second_serve(&mut self, brisk: bool) -> f64 {
        if brisk { self.between(5.0, 6.5) } else { self.log_logistic(6.93, 12.3).clamp(6.5, 30.0) }
    }

    /// Dead time after a point of so many shots.
    pub fn dead_time(&mut self, shots: usize, change_of_ends: bool, brisk: bool) -> f64 {
        match (brisk, change_of_ends) {
            (true, true) => self.between(15.0, 17.0),
            (true, false) => self.between(5.5, 6.5),
            (false, true) => self.log_normal(91.0, 0.12).clamp(65.0, 130.0),
            // Of all dead times 23 % are longer than a minute; one in twelve is a change of ends.
            (false, false) if self.chance(0.16) => self.log_normal(91.0, 0.25).clamp(60.0, 180.0),
            (false, false) => {
                let longer = match shots {
                    0..=3 => 0.97,
                    4..=8 => 1.03,
                    _ => 1.13,
                };
                (self.gamma(9.78, 3.39) * longer).clamp(14.0, 59.9)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn median(mut draws: Vec<f64>) -> f64 {
        draws.sort_by(f64::total_cmp);
        draws[draws.len() / 2]
    }

    #[test]
    fn one_number_gives_one_stream() {
        let draw = |n, p| Dice::new(n, p).between(0.0, 1.0);
        assert!((draw(1, 0) - draw(1, 0)).abs() < 1e-15);
        assert!((draw(1, 0) - draw(2, 0)).abs() > 1e-9);
        assert!((draw(1, 0) - draw(1, 1)).abs() > 1e-9);
    }

    fn under_a_minute(d: &mut Dice, shots: usize) -> f64 {
        loop {
            let drawn = d.dead_time(shots, false, false);
            if drawn < 60.0 {
                return drawn;
            }
        }
    }

    #[test]
    fn the_draws_have_the_measured_medians() {
        let mut d = Dice::new(7, 0);
        let mut of = |f: fn(&mut Dice) -> f64| median((0..4000).map(|_| f(&mut d)).collect());
        for (name, got, low, high) in [
            ("serve to return", of(Dice::serve_to_return), 0.75, 0.80),
            ("second serve", of(|d| d.second_serve(false)), 11.8, 12.8),
            ("dead time, short rally", of(|d| under_a_minute(d, 2)), 29.0, 33.0),
            ("dead time, long rally", of(|d| under_a_minute(d, 12)), 33.5, 38.5),
            ("change of ends", of(|d| d.dead_time(5, true, false)), 88.0, 94.0),
        ] {
            assert!((low..=high).contains(&got), "{name}: median {got}");
        }
    }
}
