//! The camera that fits marks best.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DVector, Dyn, Matrix3, OMatrix, Owned, SMatrix, SVector, U8, Vector2, Vector3};

use super::camera::{Camera, NUMBERS, PoseStep, SeeSlope};
use super::homography::Homography;
use super::pixel::{Pixel, Size};
use crate::tennis::court::Spot;

/// The error of a careful click in each direction, one standard deviation, in pixels.
pub const CLICK: f64 = 1.0;
/// How large the radial term of cameras usually is, one standard deviation: real frames had up to ±0.1. It keeps the
/// term near zero when the marks are too few to tell.
pub const RADIAL_PRIOR: f64 = 0.1;

type Covariance = SMatrix<f64, NUMBERS, NUMBERS>;

/// A camera and how uncertain its numbers are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fitted {
    pub camera: Camera,
    /// Of the numbers of [`PoseStep`], at an error of one click.
    pub covariance: Covariance,
    /// Sum of the squared distances between marks and where the camera sees them, in pixels².
    pub cost: f64,
}

/// The camera that sees the places nearest to their pixels: least squares by Levenberg and Marquardt's method (Hartley &
/// Zisserman, appendix 6), from the homography's camera and from a few other focal lengths. `None` if there is none.
pub(super) fn fit(pairs: &[(Spot, Pixel)], size: Size, centre: Pixel) -> Option<Fitted> {
    let h = Homography::of(pairs).ok()?;
    let known = [25.0_f64, 40.0, 60.0, 85.0].into_iter().filter_map(|wide| {
        let focal = f64::from(size.width) / 2.0 / (wide.to_radians() / 2.0).tan();
        Camera::of_homography_with(h.rows(), size, centre, focal)
    });
    let starts = Camera::of_homography(&h, size, centre).into_iter().chain(known);
    let fits = starts.filter_map(|start| {
        // A wrong mark far outside bends the lens beyond what lenses do; then it is kept straight, and the mark is seen to be off.
        refine(start, pairs).or_else(|| refine_with(start, pairs, RADIAL_PRIOR / 20.0))
    });
    let fits = fits.filter(|f| f.camera.position()[2] > 0.0);
    fits.min_by(|a, b| a.cost.total_cmp(&b.cost))
}

/// The best camera near `start`.
pub(super) fn refine(start: Camera, pairs: &[(Spot, Pixel)]) -> Option<Fitted> {
    refine_with(start, pairs, RADIAL_PRIOR)
}

fn refine_with(start: Camera, pairs: &[(Spot, Pixel)], prior: f64) -> Option<Fitted> {
    let problem = Problem { start, pairs, step: PoseStep::zeros(), prior };
    let solver = LevenbergMarquardt::new().with_ftol(1e-14).with_xtol(1e-14).with_gtol(0.0).with_patience(60);
    let (found, _) = solver.minimize(problem);
    let camera = found.camera();
    let at_end = Problem { start: camera, pairs, step: PoseStep::zeros(), prior };
    let (residuals, slopes) = (at_end.residuals()?, at_end.jacobian()?);
    let marks = residuals.rows(0, 2 * pairs.len()).norm_squared();
    let covariance = (slopes.transpose() * &slopes).try_inverse()? * (CLICK * CLICK);
    let finite = covariance.iter().all(|v| v.is_finite()) && marks.is_finite();
    let lens = camera.radial().abs() < 0.3 && (2.0..170.0).contains(&camera.wide());
    (finite && lens).then_some(Fitted { camera, covariance, cost: marks })
}

/// Distances between marks and where the camera sees them; the last one is that of the radial term from none.
struct Problem<'a> {
    start: Camera,
    pairs: &'a [(Spot, Pixel)],
    step: PoseStep,
    /// One standard deviation of the radial term.
    prior: f64,
}

impl Problem<'_> {
    fn camera(&self) -> Camera {
        self.start.moved(&self.step)
    }

    /// How the pixel moves with the step. Angles that are not small turn about other axes than those of the camera after
    /// the turn: the left Jacobian of the rotation group leads from the one to the other (Barfoot, *State Estimation for
    /// Robotics*, 7.1; from memory).
    fn slope(&self, camera: &Camera, at: Spot) -> Option<SeeSlope> {
        let (_, mut slope) = camera.see_slope(at)?;
        let turn = Vector3::new(self.step[0], self.step[1], self.step[2]);
        let angle = turn.norm();
        if angle > 1e-9 {
            let cross = turn.cross_matrix();
            let first = (1.0 - angle.cos()) / angle.powi(2);
            let second = (angle - angle.sin()) / angle.powi(3);
            let left = Matrix3::identity() + cross * first + cross * cross * second;
            let by_turn = slope.fixed_columns::<3>(0) * left;
            slope.fixed_columns_mut::<3>(0).copy_from(&by_turn);
        }
        Some(slope)
    }
}

impl LeastSquaresProblem<f64, Dyn, U8> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U8>;
    type ParameterStorage = Owned<f64, U8>;

    fn set_params(&mut self, x: &SVector<f64, NUMBERS>) {
        self.step.copy_from(x);
    }

    fn params(&self) -> SVector<f64, NUMBERS> {
        self.step
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let camera = self.camera();
        let mut out = DVector::zeros(2 * self.pairs.len() + 1);
        for (i, (spot, pixel)) in self.pairs.iter().enumerate() {
            let seen = camera.see_ground(*spot)?;
            out.fixed_rows_mut::<2>(2 * i).copy_from(&Vector2::new(seen.x - pixel.x, seen.y - pixel.y));
        }
        out[2 * self.pairs.len()] = camera.radial() * CLICK / self.prior;
        Some(out)
    }

    fn jacobian(&self) -> Option<OMatrix<f64, Dyn, U8>> {
        let camera = self.camera();
        let mut out = OMatrix::<f64, Dyn, U8>::zeros(2 * self.pairs.len() + 1);
        for (i, (spot, _)) in self.pairs.iter().enumerate() {
            out.fixed_rows_mut::<2>(2 * i).copy_from(&self.slope(&camera, *spot)?);
        }
        out[(2 * self.pairs.len(), 4)] = CLICK / self.prior;
        Some(out)
    }
}
