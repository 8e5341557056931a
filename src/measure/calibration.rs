//! From marks of the court in a picture to a camera, and from pixels to places with their error.

use nalgebra::{Matrix2, SMatrix, Vector2};

use super::camera::{Camera, NUMBERS};
use super::fit::{CLICK, Fitted, fit};
use super::homography::{Homography, HomographyError};
use super::pixel::{Pixel, Size};
use super::spread::Spread;
use crate::tennis::court::{Landmark, Spot};

/// A mark is said to disagree when the others predict it this many standard deviations away. Of 14 right marks with
/// normal errors, one in 3,000 calibrations would have one.
const FAR_OFF: f64 = 4.8;

/// A landmark of the court and where it is in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// Which one.
    pub landmark: Landmark,
    /// Where somebody or something saw it.
    pub pixel: Pixel,
}

/// Whether the marks fit one camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Agreement {
    /// As well as careful clicks do.
    Agree,
    /// One mark is far from where the others put it.
    Wrong {
        /// Which one.
        landmark: Landmark,
        /// How far off, in pixels.
        off: f64,
    },
    /// They do not fit together, but the marks are too few to tell which is wrong.
    SomeWrong {
        /// Of the mark that is farthest off, in pixels.
        off: f64,
    },
}

/// Why marks give no camera.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CalibrationError {
    /// There is no homography.
    #[error(transparent)]
    Homography(#[from] HomographyError),
    /// A landmark was marked twice.
    #[error("{name} is marked twice; delete one of the marks")]
    Twice {
        /// Its name.
        name: &'static str,
    },
    /// A mark's pixel is not a number.
    #[error("the mark of {name} has no place in the picture; mark it again")]
    NoPlace {
        /// Its name.
        name: &'static str,
    },
    /// No camera above the ground sees the marks there.
    #[error(
        "no camera sees the court like this; check that each mark has the right name, left and right, near and far"
    )]
    NoCamera,
}

/// A place on the ground and how uncertain it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Where, if what was clicked touches the ground.
    pub spot: Spot,
    /// How uncertain.
    pub spread: Spread,
}

/// A camera that was found from marks, and how sure it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    camera: Camera,
    covariance: SMatrix<f64, NUMBERS, NUMBERS>,
    marks: Vec<Mark>,
    agreement: Agreement,
}

impl Calibration {
    /// From at least four marks in a picture of this size whose middle is the middle of the lens's picture.
    ///
    /// # Errors
    /// When the marks are too few, lie on one line, or no camera sees them like this.
    pub fn of(marks: &[Mark], size: Size) -> Result<Self, CalibrationError> {
        Self::cropped(marks, size, size.middle())
    }

    /// The same for a picture that was cropped: `centre` is where the middle of the lens's picture was.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn cropped(marks: &[Mark], size: Size, centre: Pixel) -> Result<Self, CalibrationError> {
        for (i, mark) in marks.iter().enumerate() {
            let name = mark.landmark.name;
            if marks[..i].iter().any(|m| m.landmark.name == name) {
                return Err(CalibrationError::Twice { name });
            }
            if !(mark.pixel.x.is_finite() && mark.pixel.y.is_finite()) {
                return Err(CalibrationError::NoPlace { name });
            }
        }
        let pairs: Vec<_> = marks.iter().map(|m| (m.landmark.spot, m.pixel)).collect();
        Homography::of(&pairs)?;
        let fitted = fit(&pairs, size, centre).ok_or(CalibrationError::NoCamera)?;
        let agreement = agreement(marks, &fitted, size, centre);
        // Marks that scatter more than careful clicks make everything less certain; marks that happen to scatter less prove nothing.
        let scatter = scatter(&fitted, marks.len()).max(1.0);
        let covariance = fitted.covariance * (scatter * scatter);
        Ok(Self { camera: fitted.camera, covariance, marks: marks.to_vec(), agreement })
    }

    /// From a camera that was fitted to something other than marks, with the covariance of its numbers.
    pub(crate) fn fitted(camera: Camera, covariance: &SMatrix<f64, NUMBERS, NUMBERS>) -> Self {
        Self { camera, covariance: *covariance, marks: Vec::new(), agreement: Agreement::Agree }
    }

    /// The camera.
    pub fn camera(&self) -> &Camera {
        &self.camera
    }

    /// How uncertain the camera's numbers are.
    pub fn covariance(&self) -> SMatrix<f64, NUMBERS, NUMBERS> {
        self.covariance
    }

    /// Whether the marks fit together.
    pub fn agreement(&self) -> Agreement {
        self.agreement
    }

    /// Each mark and how far the camera sees it from there, in pixels.
    pub fn residuals(&self) -> impl Iterator<Item = (Mark, f64)> {
        self.marks.iter().map(|m| {
            let seen = self.camera.see_ground(m.landmark.spot);
            (*m, seen.map_or(f64::INFINITY, |p| p.distance(m.pixel)))
        })
    }

    /// The place on the ground of a pixel that was clicked with an error of `click` pixels in each direction (one
    /// standard deviation); `None` on the horizon and above it.
    ///
    /// The errors of the click and of the calibration are carried over to the ground by their derivatives (Hartley &
    /// Zisserman 5.2) and added, as they are independent.
    pub fn place(&self, at: Pixel, click: f64) -> Option<Place> {
        let spot = self.camera.ground(at)?;
        let slope = self.camera.ground_slope(spot)?;
        let picture = Matrix2::identity() * (click * click) + self.seen(spot)?;
        Some(Place { spot, spread: Spread(slope * picture * slope.transpose()) })
    }

    /// How uncertain it is where the camera sees a place: pixels².
    fn seen(&self, spot: Spot) -> Option<Matrix2<f64>> {
        let (_, by_camera) = self.camera.see_slope(spot)?;
        Some(by_camera * self.covariance * by_camera.transpose())
    }

    /// How far off the camera's court may be in the picture there, in pixels: the longer half axis of one standard deviation.
    pub fn seen_error(&self, spot: Spot) -> Option<f64> {
        let s = self.seen(spot)?;
        Some(s.symmetric_eigenvalues().max().max(0.0).sqrt())
    }
}

/// One mark against the others.
#[derive(Debug, Clone, Copy)]
struct LeftOut {
    landmark: Landmark,
    /// How far it is from where the others put it, in pixels.
    off: f64,
    /// The same in standard deviations.
    deviations: f64,
    /// How much the others scatter, in errors of a careful click.
    rest: f64,
}

fn left_out(marks: &[Mark], one: usize, size: Size, centre: Pixel) -> Option<LeftOut> {
    let others = marks.iter().enumerate().filter(|(i, _)| *i != one);
    let others: Vec<_> = others.map(|(_, m)| (m.landmark.spot, m.pixel)).collect();
    let fitted = fit(&others, size, centre)?;
    let Mark { landmark, pixel } = marks[one];
    let (seen, slope) = fitted.camera.see_slope(landmark.spot)?;
    let expected = slope * fitted.covariance * slope.transpose() + Matrix2::identity() * (CLICK * CLICK);
    let d = Vector2::new(seen.x - pixel.x, seen.y - pixel.y);
    let deviations = d.dot(&(expected.try_inverse()? * d)).max(0.0).sqrt();
    Some(LeftOut { landmark, off: d.norm(), deviations, rest: scatter(&fitted, others.len()) })
}

/// How much marks scatter around where the camera sees them, in errors of a careful click. The radial term is not counted
/// as free: marks determine seven numbers even if there are only four.
fn scatter(fitted: &Fitted, marks: usize) -> f64 {
    let free = (2 * marks).saturating_sub(NUMBERS - 1).max(1) as f64;
    (fitted.cost / free).sqrt() / CLICK
}

/// Leaves out one mark after the other, predicts it from the rest, and names the one whose absence explains the error.
fn agreement(marks: &[Mark], all: &Fitted, size: Size, centre: Pixel) -> Agreement {
    let far =
        |m: &Mark| all.camera.see_ground(m.landmark.spot).map_or(f64::INFINITY, |p| p.distance(m.pixel));
    let some_wrong = || Agreement::SomeWrong { off: marks.iter().map(far).fold(0.0, f64::max) };
    let each = (0..marks.len()).filter_map(|i| left_out(marks, i, size, centre));
    let mut suspects: Vec<_> = each.filter(|l| l.deviations > FAR_OFF).collect();
    // A wrong mark moves the others' predictions too; it is the one without which the rest fits.
    suspects.sort_by(|a, b| a.rest.total_cmp(&b.rest));
    match suspects.as_slice() {
        [] if scatter(all, marks.len()) > 3.0 => some_wrong(),
        [] => Agreement::Agree,
        [first, others @ ..]
            if first.rest < 2.5 && others.first().is_none_or(|o| o.rest > 1.4 * first.rest) =>
        {
            Agreement::Wrong { landmark: first.landmark, off: first.off }
        }
        _ => some_wrong(),
    }
}
