//! The map from the ground to the picture of a camera without lens distortion.

use nalgebra::{Matrix3, SMatrix, SymmetricEigen, Vector3};

use super::pixel::Pixel;
use crate::tennis::court::Spot;

/// Why no homography can be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum HomographyError {
    /// Fewer than four places.
    #[error("{found} landmarks are marked; at least 4 are needed")]
    TooFew {
        /// How many there are.
        found: usize,
    },
    /// No four places of which no three lie on one line.
    #[error(
        "too many of the marked landmarks lie on one line; mark at least 4 of which no 3 lie on one line, such as corners of both baselines"
    )]
    OnOneLine,
}

/// Maps places on the ground to pixels, as a 3 × 3 matrix that is defined up to its scale.
///
/// It is scaled to length 1 with the ground at the net in front of the camera. It is never divided by its last
/// element, which is near zero when the horizon passes the picture's corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography(Matrix3<f64>);

impl Homography {
    /// The best one for pairs of a place and its pixel: normalised direct linear transformation, Hartley & Zisserman,
    /// *Multiple View Geometry*, 2nd edition, algorithm 4.2.
    ///
    /// # Errors
    /// When there are fewer than four pairs, or no four places of which no three lie on one line.
    pub fn of(pairs: &[(Spot, Pixel)]) -> Result<Self, HomographyError> {
        if pairs.len() < 4 {
            return Err(HomographyError::TooFew { found: pairs.len() });
        }
        let ground: Vec<[f64; 2]> = pairs.iter().map(|(s, _)| [s.x.0, s.y.0]).collect();
        let picture: Vec<[f64; 2]> = pairs.iter().map(|(_, p)| [p.x, p.y]).collect();
        if !spans(&ground) || !spans(&picture) {
            return Err(HomographyError::OnOneLine);
        }
        let (from, to) = (normalising(&ground), normalising(&picture));
        let mut normal = SMatrix::<f64, 9, 9>::zeros();
        for (a, b) in ground.iter().zip(&picture) {
            let p = from * Vector3::new(a[0], a[1], 1.0);
            let q = to * Vector3::new(b[0], b[1], 1.0);
            for row in rows(&p, &q) {
                normal += row * row.transpose();
            }
        }
        let axes = SymmetricEigen::new(normal);
        let h = axes.eigenvectors.column(axes.eigenvalues.imin()).into_owned();
        let h = Matrix3::from_row_slice(h.as_slice());
        let back = to.try_inverse().ok_or(HomographyError::OnOneLine)?;
        Ok(Self::scaled(back * h * from, pairs))
    }

    /// From its rows, of any scale.
    pub fn from_rows(rows: [[f64; 3]; 3]) -> Self {
        let h = Matrix3::from_fn(|r, c| rows[r][c]);
        Self::scaled(h, &[(Spot::default(), Pixel::default())])
    }

    /// With length 1 and the sign with which the places lie before the camera.
    fn scaled(h: Matrix3<f64>, pairs: &[(Spot, Pixel)]) -> Self {
        let depth = |s: &Spot| h[(2, 0)] * s.x.0 + h[(2, 1)] * s.y.0 + h[(2, 2)];
        let sum: f64 = pairs.iter().map(|(s, _)| depth(s)).sum();
        Self(h / (h.norm() * if sum < 0.0 { -1.0 } else { 1.0 }))
    }

    /// Its rows.
    pub fn rows(&self) -> [[f64; 3]; 3] {
        std::array::from_fn(|r| std::array::from_fn(|c| self.0[(r, c)]))
    }

    /// The pixel of a place; `None` if it is not before the camera.
    pub fn see(&self, at: Spot) -> Option<Pixel> {
        let v = self.0 * Vector3::new(at.x.0, at.y.0, 1.0);
        (v[2] > f64::EPSILON).then(|| Pixel::new(v[0] / v[2], v[1] / v[2]))
    }

    /// The place on the ground that is seen in a pixel; `None` on the horizon and above it.
    pub fn ground(&self, at: Pixel) -> Option<Spot> {
        let v = self.0.try_inverse()? * Vector3::new(at.x, at.y, 1.0);
        let spot = Spot::new(v[0] / v[2], v[1] / v[2]);
        let before = self.see(spot).is_some();
        (spot.x.0.is_finite() && spot.y.0.is_finite() && before).then_some(spot)
    }
}

/// The two equations of one pair.
fn rows(p: &Vector3<f64>, q: &Vector3<f64>) -> [SMatrix<f64, 9, 1>; 2] {
    let (x, y) = (q[0], q[1]);
    [
        SMatrix::from([0.0, 0.0, 0.0, -p[0], -p[1], -1.0, y * p[0], y * p[1], y]),
        SMatrix::from([p[0], p[1], 1.0, 0.0, 0.0, 0.0, -x * p[0], -x * p[1], -x]),
    ]
}

/// Moves the middle of the points to zero and their mean distance from it to √2.
fn normalising(points: &[[f64; 2]]) -> Matrix3<f64> {
    let n = points.len() as f64;
    let mean: [f64; 2] = std::array::from_fn(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
    let far = points.iter().map(|p| (p[0] - mean[0]).hypot(p[1] - mean[1])).sum::<f64>() / n;
    let s = std::f64::consts::SQRT_2 / far.max(f64::MIN_POSITIVE);
    Matrix3::new(s, 0.0, -s * mean[0], 0.0, s, -s * mean[1], 0.0, 0.0, 1.0)
}

/// Whether four of the points are there of which no three lie on one line.
fn spans(points: &[[f64; 2]]) -> bool {
    let extent = points.iter().flatten().fold(0.0_f64, |m, v| m.max(v.abs())).max(f64::MIN_POSITIVE);
    let corner = |a: usize, b: usize, c: usize| {
        let [p, q, r] = [points[a], points[b], points[c]];
        let area = (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
        area.abs() > 1e-6 * extent * extent
    };
    let n = points.len();
    (0..n).any(|a| {
        (a + 1..n).any(|b| {
            (b + 1..n)
                .filter(|c| corner(a, b, *c))
                .any(|c| (c + 1..n).any(|d| corner(a, b, d) && corner(a, c, d) && corner(b, c, d)))
        })
    })
}
