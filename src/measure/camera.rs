//! A camera: where it is, how it is turned, and its lens.

use nalgebra::{Matrix2, Matrix2x3, Matrix3, Rotation3, SMatrix, SVector, Vector2, Vector3};
use serde::{Deserialize, Serialize};

use super::homography::Homography;
use super::pixel::{Pixel, Size};
use crate::tennis::court::Spot;

/// How many numbers describe a camera: see [`PoseStep`].
pub const NUMBERS: usize = 8;
/// A small change of a camera: three angles in radians (about the picture's right, down and forward axes), the
/// logarithm of the zoom, the radial term, and the place in metres. The first four are those of a camera on a stand.
pub type PoseStep = SVector<f64, NUMBERS>;
/// How a pixel moves with the numbers of [`PoseStep`].
pub type SeeSlope = SMatrix<f64, 2, NUMBERS>;

/// Nearer than this to the camera's plane (metres) nothing is seen.
const NEAREST: f64 = 0.05;
/// Beyond this squared distance from the middle, in half diagonals, the radial term grows no more. Otherwise the lens
/// would fold far places back into the picture.
const RADIAL_END: f64 = 2.0;

/// A camera with square pixels and one radial term.
///
/// A point at (x, y, z) in the camera's axes is first at u = f·(x, y)/z from the picture's middle. In units of half the
/// diagonal, the lens moves it to u·(1 + k·|u|²): the first term of Brown's model (Brown 1971; Hartley & Zisserman 7.4).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    position: Vector3<f64>,
    /// From the court's axes to right, down, forward.
    rotation: Rotation3<f64>,
    /// In pixels.
    focal: f64,
    radial: f64,
    centre: Pixel,
    size: Size,
}

/// What stays while a camera turns and zooms: where it stands, its lens, and its picture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Stand {
    position: [f64; 3],
    radial: f64,
    centre: Pixel,
    size: Size,
}

/// How a camera on a stand is turned: an axis times an angle in radians, and the focal length in pixels; rounded to a hundredth of a
/// pixel, for files.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Turn([f64; 3], f64);

impl Camera {
    /// Its stand, and how it is turned.
    pub fn parts(&self) -> (Stand, Turn) {
        let round = |v: f64, to: f64| (v * to).round() / to;
        let turn = self.rotation.scaled_axis();
        let stand = Stand {
            position: self.position.into(),
            radial: self.radial,
            centre: self.centre,
            size: self.size,
        };
        (stand, Turn([0, 1, 2].map(|k| round(turn[k], 1e7)), round(self.focal, 1e4)))
    }

    /// The camera of both; `None` if their numbers are no camera.
    pub fn of_parts(stand: Stand, turn: Turn) -> Option<Self> {
        let Stand { position, radial, centre, size } = stand;
        let rotation = Rotation3::new(Vector3::from(turn.0));
        let camera = Self { position: position.into(), rotation, focal: turn.1, radial, centre, size };
        let has_picture = size.width > 0 && size.height > 0 && centre.x.is_finite() && centre.y.is_finite();
        (camera.is_finite() && camera.focal > 0.0 && has_picture).then_some(camera)
    }

    /// A level camera without distortion at `position` that looks at a place, both in metres as x, y, height, and sees
    /// `wide` degrees from left to right (more than 0, less than 180). `None` if it looks straight up or down.
    pub fn looking(position: [f64; 3], at: [f64; 3], wide: f64, size: Size) -> Option<Self> {
        let ahead = (Vector3::from(at) - Vector3::from(position)).try_normalize(1e-9)?;
        let right = ahead.cross(&Vector3::z()).try_normalize(1e-9)?;
        let axes = [right, ahead.cross(&right), ahead].map(|v| v.transpose());
        Some(Self {
            position: position.into(),
            rotation: Rotation3::from_matrix_unchecked(Matrix3::from_rows(&axes)),
            focal: f64::from(size.width) / 2.0 / (wide.to_radians() / 2.0).tan(),
            radial: 0.0,
            centre: size.middle(),
            size,
        })
    }

    /// The camera of a homography with the picture's middle at `centre`. `None` if no camera above the ground has it.
    ///
    /// The first two columns of K⁻¹H are two axes of the rotation: at right angles and of the same length. Both
    /// conditions are linear in 1/f² and solved together by least squares (Zhang 2000; Hartley & Zisserman 8.8).
    pub fn of_homography(h: &Homography, size: Size, centre: Pixel) -> Option<Self> {
        let h = h.rows();
        let r = size.half_diagonal();
        let column = |c: usize| {
            Vector3::new((h[0][c] - centre.x * h[2][c]) / r, (h[1][c] - centre.y * h[2][c]) / r, h[2][c])
        };
        let (a, b) = (column(0), column(1));
        let lengths = (a[0] * a[0] + a[1] * a[1] - b[0] * b[0] - b[1] * b[1], b[2] * b[2] - a[2] * a[2]);
        let angle = (a[0] * b[0] + a[1] * b[1], -a[2] * b[2]);
        let inverse =
            (lengths.0 * lengths.1 + angle.0 * angle.1) / (lengths.0 * lengths.0 + angle.0 * angle.0);
        (inverse.is_finite() && inverse > 1e-6)
            .then(|| Self::of_homography_with(h, size, centre, r / inverse.sqrt()))?
    }

    /// The same for a known focal length in pixels.
    pub(super) fn of_homography_with(
        h: [[f64; 3]; 3],
        size: Size,
        centre: Pixel,
        focal: f64,
    ) -> Option<Self> {
        let column = |c: usize| {
            let [x, y, z] = [h[0][c], h[1][c], h[2][c]];
            Vector3::new((x - centre.x * z) / focal, (y - centre.y * z) / focal, z)
        };
        let (a, b) = (column(0), column(1));
        let s = (a.norm() * b.norm()).sqrt();
        let (a, b, t) = (a / s, b / s, column(2) / s);
        let sign = if t[2] < 0.0 { -1.0 } else { 1.0 };
        let (a, b, t) = (a * sign, b * sign, t * sign);
        let axes = Matrix3::from_columns(&[a, b, a.cross(&b)]).svd(true, true);
        let rotation = axes.u? * axes.v_t?;
        let position = -rotation.transpose() * t;
        let rotation = Rotation3::from_matrix_unchecked(rotation);
        let camera = Self { position, rotation, focal, radial: 0.0, centre, size };
        (camera.is_finite() && position[2] > 0.0 && rotation.matrix().determinant() > 0.0).then_some(camera)
    }

    /// The same camera with another radial term.
    #[must_use]
    pub fn with_radial(self, radial: f64) -> Self {
        Self { radial, ..self }
    }

    /// The same camera with its picture at another size, of about the same shape.
    #[must_use]
    pub fn resized(self, size: Size) -> Self {
        let by = size.half_diagonal() / self.size.half_diagonal();
        let (x, y) = (
            f64::from(size.width) / f64::from(self.size.width),
            f64::from(size.height) / f64::from(self.size.height),
        );
        Self {
            focal: self.focal * by,
            centre: Pixel::new(self.centre.x * x, self.centre.y * y),
            size,
            ..self
        }
    }

    /// The camera after a small change.
    #[must_use]
    pub fn moved(&self, by: &PoseStep) -> Self {
        Self {
            rotation: Rotation3::new(Vector3::new(by[0], by[1], by[2])) * self.rotation,
            focal: self.focal * by[3].exp(),
            radial: self.radial + by[4],
            position: self.position + Vector3::new(by[5], by[6], by[7]),
            ..*self
        }
    }

    /// The change of angles and zoom that leads from another camera to this one; the other numbers are zero.
    pub fn turn_from(&self, other: &Self) -> PoseStep {
        let turn = (self.rotation * other.rotation.inverse()).scaled_axis();
        let mut step = PoseStep::zeros();
        step.fixed_rows_mut::<3>(0).copy_from(&turn);
        step[3] = (self.focal / other.focal).ln();
        step
    }

    /// Where it is, in metres: x, y, height.
    pub fn position(&self) -> [f64; 3] {
        self.position.into()
    }

    /// The focal length in pixels.
    pub fn focal(&self) -> f64 {
        self.focal
    }

    /// The radial term, for a distance of half the diagonal.
    pub fn radial(&self) -> f64 {
        self.radial
    }

    /// How large its picture is.
    pub fn size(&self) -> Size {
        self.size
    }

    /// The angle between the left and the right edge of the picture, in degrees, without the lens's distortion.
    pub fn wide(&self) -> f64 {
        2.0 * (f64::from(self.size.width) / 2.0 / self.focal).atan().to_degrees()
    }

    fn is_finite(&self) -> bool {
        let turned = self.rotation.matrix().iter().all(|v| v.is_finite());
        turned && self.position.iter().chain([&self.focal, &self.radial]).all(|v| v.is_finite())
    }

    fn in_axes(&self, at: [f64; 3]) -> Vector3<f64> {
        self.rotation * (Vector3::from(at) - self.position)
    }

    /// How far before the camera's plane a place on the ground is, in metres; negative behind it.
    pub fn depth(&self, at: Spot) -> f64 {
        self.in_axes([at.x.0, at.y.0, 0.0])[2]
    }

    /// The pixel of a place in the world (metres: x, y, height); `None` if it is not before the camera.
    pub fn see(&self, at: [f64; 3]) -> Option<Pixel> {
        let v = self.in_axes(at);
        (v[2] > NEAREST).then(|| {
            let r = self.size.half_diagonal();
            let u = Vector2::new(v[0], v[1]) * (self.focal / (v[2] * r));
            let q = u * (1.0 + self.radial * u.norm_squared().min(RADIAL_END)) * r;
            Pixel::new(self.centre.x + q[0], self.centre.y + q[1])
        })
    }

    /// The pixel of a place on the ground.
    pub fn see_ground(&self, at: Spot) -> Option<Pixel> {
        self.see([at.x.0, at.y.0, 0.0])
    }

    /// The pixel of a place on the ground, and how it moves with the camera's numbers. `None` as for [`Self::see`].
    pub fn see_slope(&self, at: Spot) -> Option<(Pixel, SeeSlope)> {
        let v = self.in_axes([at.x.0, at.y.0, 0.0]);
        if v[2] <= NEAREST {
            return None;
        }
        let r = self.size.half_diagonal();
        let scale = self.focal / (v[2] * r);
        let u = Vector2::new(v[0], v[1]) * scale;
        let (square, inner) = (u.norm_squared().min(RADIAL_END), u.norm_squared() < RADIAL_END);
        let grown = 1.0 + self.radial * square;
        let bend = if inner { u * u.transpose() * (2.0 * self.radial) } else { Matrix2::zeros() };
        let by_u = (Matrix2::identity() * grown + bend) * r;
        let by_v = by_u * Matrix2x3::new(scale, 0.0, -u[0] / v[2], 0.0, scale, -u[1] / v[2]);
        let mut slope = SeeSlope::zeros();
        slope.fixed_columns_mut::<3>(0).copy_from(&(-by_v * v.cross_matrix()));
        slope.set_column(3, &(by_u * u));
        slope.set_column(4, &(u * (square * r)));
        slope.fixed_columns_mut::<3>(5).copy_from(&(-by_v * self.rotation.matrix()));
        let q = u * (grown * r);
        Some((Pixel::new(self.centre.x + q[0], self.centre.y + q[1]), slope))
    }

    /// The same camera with a larger picture around its own: so many more pixels to each side, and above and below.
    #[must_use]
    pub fn wider(self, more: Size) -> Self {
        let size = Size::new(self.size.width + 2 * more.width, self.size.height + 2 * more.height);
        let by = size.half_diagonal() / self.size.half_diagonal();
        let centre =
            Pixel::new(self.centre.x + f64::from(more.width), self.centre.y + f64::from(more.height));
        Self { centre, size, radial: self.radial * by * by, ..self }
    }

    /// A place ten metres away that is seen in a pixel. `None` where no place is seen.
    pub fn toward(&self, at: Pixel) -> Option<[f64; 3]> {
        let r = self.size.half_diagonal();
        let q = Vector2::new(at.x - self.centre.x, at.y - self.centre.y) / r;
        let u = q * (self.undistorted(q.norm())? * r / self.focal);
        let ray = self.rotation.inverse() * Vector3::new(u[0], u[1], 1.0).normalize();
        Some((self.position + ray * 10.0).into())
    }

    /// The place on the ground that is seen in a pixel; `None` on the horizon and above it.
    pub fn ground(&self, at: Pixel) -> Option<Spot> {
        let r = self.size.half_diagonal();
        let q = Vector2::new(at.x - self.centre.x, at.y - self.centre.y) / r;
        let u = q * (self.undistorted(q.norm())? * r / self.focal);
        let ray = self.rotation.inverse() * Vector3::new(u[0], u[1], 1.0);
        let far = -self.position[2] / ray[2];
        let spot = self.position + ray * far;
        (ray[2] < -1e-9 && far > NEAREST).then(|| Spot::new(spot[0], spot[1]))
    }

    /// What a distance from the middle (half diagonals) is to be multiplied by to take the lens's distortion out;
    /// `None` where no place is seen. Newton's method.
    fn undistorted(&self, seen: f64) -> Option<f64> {
        let k = self.radial;
        let end = RADIAL_END.sqrt();
        if seen >= end * (1.0 + k * RADIAL_END) {
            return Some(1.0 / (1.0 + k * RADIAL_END)).filter(|by| by.is_finite() && *by > 0.0);
        }
        let mut u = seen;
        for _ in 0..30 {
            let slope = 1.0 + 3.0 * k * u * u;
            if slope < 0.05 {
                return None;
            }
            let step = (u * (1.0 + k * u * u) - seen) / slope;
            u -= step;
            if step.abs() < 1e-14 {
                break;
            }
        }
        let wrong = (u * (1.0 + k * u * u) - seen).abs();
        (wrong < 1e-9).then(|| if seen > 1e-12 { u / seen } else { 1.0 })
    }

    /// How the place on the ground moves with the pixel: metres per pixel. `None` as for [`Self::ground`].
    pub(super) fn ground_slope(&self, at: Spot) -> Option<Matrix2<f64>> {
        const STEP: f64 = 1e-4;
        let column = |dx: f64, dy: f64| {
            let a = self.see_ground(Spot::new(at.x.0 + dx, at.y.0 + dy))?;
            let b = self.see_ground(Spot::new(at.x.0 - dx, at.y.0 - dy))?;
            Some(Vector2::new(a.x - b.x, a.y - b.y) / (2.0 * STEP))
        };
        Matrix2::from_columns(&[column(STEP, 0.0)?, column(0.0, STEP)?]).try_inverse()
    }
}
