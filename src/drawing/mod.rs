//! Drawings on a picture: what a coach draws to show something. Pure: what is drawn, where and when, not how it looks.
//!
//! A drawing lies on the ground of the court, in millimetres, or flat on the picture, in ten-thousandths of its width and height, so
//! that it fits every size. What lies on the ground stays there while the camera moves. Times are those of the document that holds
//! the drawing: the match clock in a record, the file's own time in a lesson.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::time::MatchTime;

/// A place of a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Anchor {
    /// On the ground, in millimetres: x to the right and y away from the camera, from the middle of the net.
    Ground(i32, i32),
    /// On the picture, in ten-thousandths of its width from the left and of its height from the top.
    Picture(i32, i32),
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// An arrow along these places, its head at the last.
    Arrow(Vec<Anchor>),
    /// The path that a player runs, dotted, its head at the last place.
    Run(Vec<Anchor>),
    /// A free line.
    Line(Vec<Anchor>),
    /// A ring around a place: under a player an ellipse in the picture, because it lies on the ground.
    Ring {
        /// Its middle.
        middle: Anchor,
        /// In millimetres on the ground, in ten-thousandths of the width on the picture.
        radius: u32,
    },
    /// Light on a place, the rest of the picture darker.
    Spotlight {
        /// Its middle.
        middle: Anchor,
        /// In millimetres on the ground, in ten-thousandths of the width on the picture.
        radius: u32,
    },
    /// An area with these corners.
    Zone(Vec<Anchor>),
    /// A line between two places with its length, which is known on the ground only.
    Distance(Anchor, Anchor),
    /// Words.
    Text {
        /// Where their first line begins.
        at: Anchor,
        /// What they say.
        words: String,
    },
}

/// A colour that can be told from the others without seeing colours, by its lightness and its own dash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Colour {
    /// Light yellow, a full line.
    #[default]
    Yellow,
    /// White, long dashes.
    White,
    /// Sky blue, short dashes.
    Blue,
    /// Orange, dashes and dots.
    Orange,
}

/// One drawing, seen from a moment to another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Drawing {
    /// What is drawn.
    pub shape: Shape,
    /// Its colour.
    #[serde(default)]
    pub colour: Colour,
    /// When it is first seen.
    pub from: MatchTime,
    /// When it is gone.
    pub to: MatchTime,
}

impl Drawing {
    /// Whether it is seen at this moment.
    pub fn seen_at(&self, at: MatchTime) -> bool {
        self.from <= at && at < self.to
    }
}
