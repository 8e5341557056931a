//! How uncertain a place on the ground is.

use std::ops::{Add, Mul};

use nalgebra::{Matrix2, SymmetricEigen, Vector2};

use crate::tennis::court::{Metres, Spot};

/// The covariance of a place on the ground, in square metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread(pub(super) Matrix2<f64>);

/// An ellipse around a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ellipse {
    /// The longer half axis.
    pub long: Metres,
    /// The shorter half axis.
    pub short: Metres,
    /// The direction of the longer one: radians from the court's x axis toward its y axis, from −π/2 to π/2.
    pub turn: f64,
}

impl Spread {
    /// From the variances along the court's axes and their covariance, in square metres. `None` if no spread has these.
    pub fn new(xx: f64, xy: f64, yy: f64) -> Option<Self> {
        let all = [xx, xy, yy].iter().all(|v| v.is_finite());
        (all && xx >= 0.0 && yy >= 0.0 && xy * xy <= xx * yy * (1.0 + 1e-9))
            .then(|| Self(Matrix2::new(xx, xy, xy, yy)))
    }

    /// The same with an independent error of so many metres more, in each direction: one standard deviation.
    #[must_use]
    pub fn wider(&self, metres: f64) -> Self {
        Self(self.0 + Matrix2::identity() * (metres * metres))
    }

    /// The spread of a sample of places around their mean; `None` if there are fewer than two.
    pub fn of(sample: &[Spot]) -> Option<Self> {
        let n = sample.len() as f64;
        let points = || sample.iter().map(|s| Vector2::new(s.x.0, s.y.0));
        let mean = points().sum::<Vector2<f64>>() / n;
        (sample.len() >= 2).then(|| {
            Self(points().map(|p| (p - mean) * (p - mean).transpose()).sum::<Matrix2<f64>>() / (n - 1.0))
        })
    }

    /// The variances along the court's axes, with their covariance in the middle, in square metres.
    pub fn numbers(&self) -> [f64; 3] {
        [self.0[(0, 0)], self.0[(0, 1)], self.0[(1, 1)]]
    }

    /// Standard deviations along x and along y.
    pub fn deviations(&self) -> (Metres, Metres) {
        (Metres(self.0[(0, 0)].max(0.0).sqrt()), Metres(self.0[(1, 1)].max(0.0).sqrt()))
    }

    /// The ellipse that holds the true place with this probability (more than 0, less than 1), if errors are normal.
    ///
    /// In two dimensions the squared distance divided by the spread has a chi-squared distribution with two degrees
    /// of freedom, so its quantile is −2 ln(1 − p) (any textbook of multivariate statistics; from memory).
    pub fn ellipse(&self, probability: f64) -> Ellipse {
        let axes = SymmetricEigen::new(self.0);
        let (long, short) = if axes.eigenvalues[0] >= axes.eigenvalues[1] { (0, 1) } else { (1, 0) };
        let scale = quantile(probability);
        let along = axes.eigenvectors.column(long);
        let mut turn = along[1].atan2(along[0]);
        if turn.abs() > std::f64::consts::FRAC_PI_2 {
            turn -= std::f64::consts::PI * turn.signum();
        }
        let half = |k: usize| Metres((axes.eigenvalues[k].max(0.0) * scale).sqrt());
        Ellipse { long: half(long), short: half(short), turn }
    }

    /// Whether that ellipse around `at` holds `truth`.
    pub fn holds(&self, at: Spot, truth: Spot, probability: f64) -> bool {
        let d = Vector2::new(truth.x.0 - at.x.0, truth.y.0 - at.y.0);
        self.0.try_inverse().is_some_and(|inverse| d.dot(&(inverse * d)) <= quantile(probability))
    }
}

fn quantile(probability: f64) -> f64 {
    -2.0 * (-probability).ln_1p()
}

impl Add for Spread {
    type Output = Self;

    /// Of two independent errors together.
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Mul<f64> for Spread {
    type Output = Self;

    fn mul(self, by: f64) -> Self {
        Self(self.0 * by)
    }
}
