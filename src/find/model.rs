//! The painted lines of the court as the picture shows them: their middles and widths.

use std::sync::LazyLock;

use crate::tennis::court::{
    BASELINE_WIDTH, CENTRE_LINE_WIDTH, HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, LINE_WIDTH, SERVICE_LINE,
    Spot,
};

/// How many lines there are. The first [`ACROSS`] run from left to right.
pub(super) const LINES: usize = 9;
/// How many of them run from left to right: near and far baseline, near and far service line.
pub(super) const ACROSS: usize = 4;
/// The lines' middles are half a width inside the measures of the rules, which go to the outer edges.
const BASE: f64 = HALF_LENGTH.0 - BASELINE_WIDTH.0 / 2.0;
const SERVICE: f64 = SERVICE_LINE.0 - LINE_WIDTH.0 / 2.0;
const SINGLES: f64 = HALF_SINGLES.0 - LINE_WIDTH.0 / 2.0;
const DOUBLES: f64 = HALF_DOUBLES.0 - LINE_WIDTH.0 / 2.0;
/// Where lines that run along the court are.
pub(super) const XS: [f64; 5] = [-DOUBLES, -SINGLES, 0.0, SINGLES, DOUBLES];
/// Where lines across the court are.
pub(super) const YS: [f64; 4] = [-BASE, -SERVICE, SERVICE, BASE];

/// One painted line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Painted {
    pub from: [f64; 2],
    pub to: [f64; 2],
    pub width: f64,
}

impl Painted {
    /// The place a part of the way along it; less than 0 or more than 1 is beyond its ends.
    pub fn at(&self, part: f64) -> [f64; 2] {
        std::array::from_fn(|k| self.from[k] + (self.to[k] - self.from[k]) * part)
    }

    pub fn length(&self) -> f64 {
        (self.to[0] - self.from[0]).hypot(self.to[1] - self.from[1])
    }

    /// Its direction, of length 1.
    pub fn along(&self) -> [f64; 2] {
        std::array::from_fn(|k| (self.to[k] - self.from[k]) / self.length())
    }
}

/// The nine painted lines: near baseline, far baseline, near service line, far service line; then left doubles and
/// singles sideline, centre service line, right singles and doubles sideline.
pub(super) const PAINTED: [Painted; LINES] = {
    const fn line(x0: f64, y0: f64, x1: f64, y1: f64, width: f64) -> Painted {
        Painted { from: [x0, y0], to: [x1, y1], width }
    }
    let w = LINE_WIDTH.0;
    [
        line(-DOUBLES, -BASE, DOUBLES, -BASE, BASELINE_WIDTH.0),
        line(-DOUBLES, BASE, DOUBLES, BASE, BASELINE_WIDTH.0),
        line(-SINGLES, -SERVICE, SINGLES, -SERVICE, w),
        line(-SINGLES, SERVICE, SINGLES, SERVICE, w),
        line(-DOUBLES, -BASE, -DOUBLES, BASE, w),
        line(-SINGLES, -BASE, -SINGLES, BASE, w),
        line(0.0, -SERVICE, 0.0, SERVICE, CENTRE_LINE_WIDTH.0),
        line(SINGLES, -BASE, SINGLES, BASE, w),
        line(DOUBLES, -BASE, DOUBLES, BASE, w),
    ]
};

/// A place on a painted line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    pub line: usize,
    pub at: [f64; 2],
}

impl Sample {
    /// The place moved by metres along the line and across it (to the left of its direction).
    pub fn moved(&self, along: f64, across: f64) -> Spot {
        let d = PAINTED[self.line].along();
        Spot::new(self.at[0] + d[0] * along - d[1] * across, self.at[1] + d[1] * along + d[0] * across)
    }

    pub fn spot(&self) -> Spot {
        Spot::new(self.at[0], self.at[1])
    }
}

/// Metres between samples.
pub(super) const STEP: f64 = 0.35;

/// Places along all lines, a third of a metre apart.
pub(super) static SAMPLES: LazyLock<Vec<Sample>> = LazyLock::new(|| {
    let each = PAINTED.iter().enumerate().flat_map(|(line, painted)| {
        let count = ((painted.length() / STEP) as usize).max(8);
        (0..count).map(move |i| Sample { line, at: painted.at((i as f64 + 0.5) / count as f64) })
    });
    each.collect()
});
