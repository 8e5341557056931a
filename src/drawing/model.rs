//! What a drawing is: its shape, its colour and its time.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::tennis::court::Spot;
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

impl Anchor {
    /// A picture's width and height.
    pub const WHOLE: f64 = 10_000.0;

    /// A place on the ground.
    pub fn on_ground(at: Spot) -> Self {
        Self::Ground((at.x.0 * 1000.0).round() as i32, (at.y.0 * 1000.0).round() as i32)
    }

    /// Where on the ground it is; `None` on the picture.
    pub fn spot(self) -> Option<Spot> {
        match self {
            Self::Ground(x, y) => Some(Spot::new(f64::from(x) / 1000.0, f64::from(y) / 1000.0)),
            Self::Picture(..) => None,
        }
    }
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

impl Shape {
    /// Every place of it.
    pub fn anchors(&self) -> Vec<Anchor> {
        match self {
            Self::Arrow(way) | Self::Run(way) | Self::Line(way) | Self::Zone(way) => way.clone(),
            Self::Ring { middle, .. } | Self::Spotlight { middle, .. } => vec![*middle],
            Self::Distance(a, b) => vec![*a, *b],
            Self::Text { at, .. } => vec![*at],
        }
    }

    /// What a coach calls it.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Arrow(_) => "arrow",
            Self::Run(_) => "run",
            Self::Line(_) => "free line",
            Self::Ring { .. } => "ring",
            Self::Spotlight { .. } => "spotlight",
            Self::Zone(_) => "zone",
            Self::Distance(..) => "distance",
            Self::Text { .. } => "text",
        }
    }
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

impl Colour {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Yellow, Self::White, Self::Blue, Self::Orange];

    /// Its name.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Yellow => "yellow",
            Self::White => "white",
            Self::Blue => "blue",
            Self::Orange => "orange",
        }
    }

    /// Red, green and blue, each from 0 to 1.
    pub const fn rgb(self) -> [f64; 3] {
        match self {
            Self::Yellow => [1.0, 0.886, 0.302],
            Self::White => [1.0, 1.0, 1.0],
            Self::Blue => [0.490, 0.827, 1.0],
            Self::Orange => [1.0, 0.620, 0.250],
        }
    }

    /// Its dashes and gaps in widths of the line; nothing for a full line.
    pub const fn dashes(self) -> &'static [f64] {
        match self {
            Self::Yellow => &[],
            Self::White => &[7.0, 3.0],
            Self::Blue => &[2.5, 2.5],
            Self::Orange => &[6.0, 2.5, 1.0, 2.5],
        }
    }

    /// Its dots along a path that is run, as [`Self::dashes`]: a dot has hardly a length and is as wide as the line.
    pub const fn dots(self) -> &'static [f64] {
        match self {
            Self::Yellow => &[0.02, 2.2],
            Self::White => &[0.02, 1.8, 0.02, 3.6],
            Self::Blue => &[0.02, 1.8, 0.02, 1.8, 0.02, 3.6],
            Self::Orange => &[0.02, 2.4, 2.0, 2.4],
        }
    }
}

impl Drawing {
    /// Whether it lies on the ground, at least in part: then it takes a camera to show it.
    pub fn is_on_ground(&self) -> bool {
        self.shape.anchors().iter().any(|a| a.spot().is_some())
    }

    /// Whether it is seen at this moment.
    pub fn seen_at(&self, at: MatchTime) -> bool {
        self.from <= at && at < self.to
    }
}
