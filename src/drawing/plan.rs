//! A picture of the court from above: what is on it, and where it lies on a page.

use super::view::{Units, View};
use crate::measure::{Pixel, Size};
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, Spot};

/// What a dot stands for. Each has its own shape, so that no colour is needed to tell them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dot {
    /// A ball that landed in.
    In,
    /// A ball that landed out.
    Out,
    /// The player who strikes.
    Striker,
    /// The opponent at that moment.
    Opponent,
}

impl Dot {
    /// All, in the order of the legend.
    pub const ALL: [Self; 4] = [Self::In, Self::Out, Self::Striker, Self::Opponent];

    /// In words, for the legend.
    pub const fn words(self) -> &'static str {
        match self {
            Self::In => "landed in",
            Self::Out => "landed out",
            Self::Striker => "striker",
            Self::Opponent => "opponent",
        }
    }
}

/// A line from a place to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Where it begins.
    pub from: Spot,
    /// Where its head is.
    pub to: Spot,
    /// Whether a player went it; else a ball did.
    pub run: bool,
}

/// A part of the court and how many shots landed in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellCount {
    /// A corner.
    pub from: Spot,
    /// The opposite corner.
    pub to: Spot,
    /// How many.
    pub count: usize,
}

/// A picture of the court from above. Places are as the camera sees them, unless both ends are folded into one.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CourtPlan {
    /// Over the court.
    pub title: String,
    /// Under the court: what is counted, and what is unknown.
    pub notes: Vec<String>,
    /// Whether the doubles alleys count.
    pub doubles: bool,
    /// Whether both ends are folded: whoever strikes is below.
    pub folded: bool,
    /// In which measure the bar tells the scale.
    pub units: Units,
    /// Counts, the undermost.
    pub cells: Vec<CellCount>,
    /// Whether the dots are shown as how densely they lie, not one by one.
    pub dense: bool,
    /// Places.
    pub dots: Vec<(Spot, Dot)>,
    /// Lines.
    pub ways: Vec<Way>,
}

/// Ground behind the baselines and beside the sidelines, metres.
const BEHIND: f64 = 4.5;
const BESIDE: f64 = 2.5;

impl CourtPlan {
    /// How high a line of text is on a page of this size, in pixels.
    pub fn text(size: Size) -> f64 {
        (f64::from(size.width.min(size.height)) * 0.03).max(9.0)
    }

    /// The lines under the court: notes and legend.
    pub fn below(&self) -> usize {
        self.notes.len() + usize::from(!self.legend().is_empty())
    }

    /// The kinds of dots that the legend explains.
    pub fn legend(&self) -> Vec<Dot> {
        let there = |kind: &Dot| !self.dense && self.dots.iter().any(|(_, k)| k == kind);
        Dot::ALL.into_iter().filter(there).collect()
    }

    /// Where the court lies on a page of this size: drawings on the ground can be painted with it.
    pub fn view(&self, size: Size) -> View {
        let line = Self::text(size) * 1.5;
        let top = if self.title.is_empty() { 0.5 * line } else { 2.0 * line };
        let bottom = line * (self.below() as f64 + 0.7);
        let (width, height) = (f64::from(size.width), f64::from(size.height));
        let room = (height - top - bottom).max(1.0);
        let wide = 2.0 * (HALF_DOUBLES.0 + BESIDE);
        let long = 2.0 * (HALF_LENGTH.0 + BEHIND);
        let metre = (width / wide).min(room / long);
        View::above(Pixel::new(width / 2.0, top + room / 2.0), metre, size)
    }

    /// The ground that is shown around the court: its left far and right near corner.
    pub const GROUND: [Spot; 2] = [
        Spot::new(-HALF_DOUBLES.0 - BESIDE, HALF_LENGTH.0 + BEHIND),
        Spot::new(HALF_DOUBLES.0 + BESIDE, -HALF_LENGTH.0 - BEHIND),
    ];
}
