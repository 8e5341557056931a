//! A place in a picture, and how large a picture is.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A place in a picture, in pixels. It may lie between pixels and outside the picture.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Pixel {
    /// From the left edge; the middle of the first pixel is at 0.5.
    pub x: f64,
    /// From the top edge.
    pub y: f64,
}

impl Pixel {
    /// A place from its two numbers.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// How far another place is, in pixels.
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

impl fmt::Display for Pixel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1}, {:.1}", self.x, self.y)
    }
}

/// How large a picture is, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Size {
    /// From left to right.
    pub width: u32,
    /// From top to bottom.
    pub height: u32,
}

impl Size {
    /// A size from its two numbers.
    pub const fn new(width: u32, height: u32) -> Self {
        Self { width, height }
    }

    /// The middle of the picture.
    pub fn middle(self) -> Pixel {
        Pixel::new(f64::from(self.width) / 2.0, f64::from(self.height) / 2.0)
    }

    /// From the middle to a corner, in pixels.
    pub fn half_diagonal(self) -> f64 {
        // Much faster than by `hypot`, which is made for greater numbers.
        (f64::from(self.width).powi(2) + f64::from(self.height).powi(2)).sqrt() / 2.0
    }

    /// Whether a place is in the picture, at least `margin` pixels from its edges.
    pub fn holds(self, at: Pixel, margin: f64) -> bool {
        (margin..=f64::from(self.width) - margin).contains(&at.x)
            && (margin..=f64::from(self.height) - margin).contains(&at.y)
    }
}
