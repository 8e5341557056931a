//! Which pixel of a picture shows a place.

use super::model::Anchor;
use super::path::At;
use crate::measure::{Camera, Pixel, Size};
use crate::tennis::court::{Metres, Spot};

/// In which measure lengths are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Metres.
    #[default]
    Metres,
    /// Feet.
    Feet,
}

impl Units {
    /// A length with one decimal, as `8.3 m` or `27.2 ft`.
    pub fn words(self, length: Metres) -> String {
        match self {
            Self::Metres => format!("{:.1} m", length.0),
            Self::Feet => format!("{:.1} ft", length.feet()),
        }
    }
}

/// What maps the ground to the picture.
#[derive(Debug, Clone, PartialEq)]
enum Ground {
    /// Nothing does.
    Unknown,
    /// A camera whose picture has the view's size.
    Camera(Box<Camera>),
    /// The court from above: the pixel of the net's middle and the pixels of a metre.
    Above { middle: Pixel, metre: f64 },
}

/// A picture of a size, and what is known of its ground.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    size: Size,
    ground: Ground,
}

/// Nearer than this to the camera's plane (metres) nothing on the ground is drawn.
const NEAREST: f64 = 0.2;

impl View {
    /// A picture of this size in pixels that was taken by this camera, at whatever size. Without a camera nothing can be drawn on
    /// the ground.
    pub fn of(camera: Option<&Camera>, size: Size) -> Self {
        let ground = match camera {
            Some(c) if c.size() == size => Ground::Camera(Box::new(*c)),
            Some(c) => Ground::Camera(Box::new(c.resized(size))),
            None => Ground::Unknown,
        };
        Self { size, ground }
    }

    /// The court from above, the far end at the top: the pixel of the net's middle and the pixels of a metre.
    pub fn above(middle: Pixel, metre: f64, size: Size) -> Self {
        Self { size, ground: Ground::Above { middle, metre } }
    }

    /// How large the picture is.
    pub fn size(&self) -> Size {
        self.size
    }

    /// Whether the ground is known.
    pub fn has_ground(&self) -> bool {
        self.ground != Ground::Unknown
    }

    /// How wide lines are, in pixels.
    pub fn stroke(&self) -> f64 {
        (f64::from(self.size.height) * 0.0065).max(1.5)
    }

    /// How high a line of text is, in pixels.
    pub fn text(&self) -> f64 {
        (f64::from(self.size.height) * 0.042).max(11.0)
    }

    pub(super) fn corner(&self) -> At {
        [f64::from(self.size.width), f64::from(self.size.height)]
    }

    /// The pixel of a place; `None` on the ground if it is behind the camera or no camera is known.
    pub fn see(&self, at: Anchor) -> Option<Pixel> {
        let [width, height] = self.corner();
        match at {
            Anchor::Ground(..) => self.see_spot(at.spot()?),
            Anchor::Picture(x, y) => {
                Some(Pixel::new(f64::from(x) / Anchor::WHOLE * width, f64::from(y) / Anchor::WHOLE * height))
            }
        }
    }

    /// The pixel of a place on the ground.
    pub fn see_spot(&self, at: Spot) -> Option<Pixel> {
        self.see_high(at, Metres(0.0))
    }

    /// The pixel of a place above the ground.
    pub(super) fn see_high(&self, at: Spot, height: Metres) -> Option<Pixel> {
        match &self.ground {
            Ground::Unknown => None,
            Ground::Camera(c) => c.see([at.x.0, at.y.0, height.0]),
            Ground::Above { middle, metre } => {
                Some(Pixel::new(middle.x + at.x.0 * metre, middle.y - at.y.0 * metre))
            }
        }
    }

    /// The place on the ground that a pixel shows; `None` at the horizon and above it, and without a camera.
    pub fn ground(&self, at: Pixel) -> Option<Spot> {
        match &self.ground {
            Ground::Unknown => None,
            Ground::Camera(c) => c.ground(at),
            Ground::Above { middle, metre } => {
                Some(Spot::new((at.x - middle.x) / metre, (middle.y - at.y) / metre))
            }
        }
    }

    /// How far inside the border beyond which nothing on the ground is drawn a place is: linear, negative behind it.
    pub(super) fn before(&self, at: Spot) -> f64 {
        match &self.ground {
            Ground::Unknown => -1.0,
            Ground::Camera(c) => c.depth(at) - NEAREST,
            Ground::Above { .. } => 1.0,
        }
    }

    /// The place of a drawing that a pixel shows: on the ground if that is wanted and the pixel shows it, else on the picture.
    pub fn anchor(&self, at: Pixel, on_ground: bool) -> Anchor {
        let [width, height] = self.corner();
        let flat = |v: f64, whole: f64| (v / whole * Anchor::WHOLE).round() as i32;
        let spot = self.ground(at).filter(|_| on_ground).map(Anchor::on_ground);
        spot.unwrap_or(Anchor::Picture(flat(at.x, width), flat(at.y, height)))
    }
}
