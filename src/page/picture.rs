//! Drawings and the court as the parts of an SVG picture.

use std::fmt::Write;

use crate::drawing::{Colour, Drawing, Piece, Sits, Units, View, laid};
use crate::measure::{Camera, Pixel, Size};
use crate::tennis::court::{
    CENTRE_MARK, HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, POST_OUTSIDE, SERVICE_LINE,
};

use super::text::readable;

/// A picture made of lines, areas and words. Sizes are in its own pixels.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Svg {
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
    /// How wide lines are.
    pub stroke: f64,
    /// How high words are.
    pub text: f64,
    /// The lines of a court under it.
    pub court: Option<String>,
    /// The area of that court.
    pub ground: String,
    /// What is drawn, the undermost first.
    pub marks: Vec<Mark>,
}

#[cfg(any(feature = "video", test))]
impl Svg {
    /// How many bytes it takes in a page, about.
    pub(super) fn bytes(&self) -> u64 {
        let mark = |mark: &Mark| match mark {
            Mark::Shade(path) | Mark::Area { path, .. } | Mark::Head { path, .. } => 80 + path.len(),
            Mark::Line { path, dashes, .. } => 220 + 2 * (path.len() + dashes.len()),
            Mark::Words { lines, .. } => 140 + lines.iter().map(|l| 60 + l.1.len()).sum::<usize>(),
        };
        180 + self.marks.iter().map(mark).sum::<usize>() as u64
    }
}

/// One part of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// Everything darker except inside this path.
    Shade(String),
    /// An area.
    Area {
        /// Its path.
        path: String,
        /// Its colour.
        colour: String,
    },
    /// A line.
    Line {
        /// Its path.
        path: String,
        /// Its colour.
        colour: String,
        /// Its dashes; empty for a full line.
        dashes: String,
        /// Whether its dashes are round dots.
        dotted: bool,
    },
    /// The head of an arrow.
    Head {
        /// Its path.
        path: String,
        /// Its colour.
        colour: String,
    },
    /// Words.
    Words {
        /// From the left.
        x: f64,
        /// From the top.
        y: f64,
        /// Their lines, each with its own height.
        lines: Vec<(f64, String)>,
        /// Their colour.
        colour: String,
        /// Whether their middle is at the place.
        middle: bool,
    },
}

/// The height of the picture that drawings are laid on; it is stretched to the size of the footage.
const HEIGHT: u32 = 720;

/// Drawings over a frame of footage of this size. Those on the ground need the camera.
pub(super) fn over(drawings: &[&Drawing], size: (u32, u32), camera: Option<&Camera>) -> Svg {
    let (w, h) = (u64::from(size.0.max(1)), u64::from(size.1.max(1)));
    let width = (w * u64::from(HEIGHT) / h).clamp(1, 10_000) as u32;
    drawn(&View::of(camera, Size { width, height: HEIGHT }), drawings)
}

/// Pixels of a metre in a picture of the court, and the ground around its lines.
const METRE: f64 = 24.0;
const AROUND: f64 = 3.2;

/// The court from above, the far end at the top, with drawings on its ground.
pub(super) fn court(drawings: &[&Drawing]) -> Svg {
    let width = ((HALF_DOUBLES.0 + AROUND) * 2.0 * METRE) as u32;
    let height = ((HALF_LENGTH.0 + AROUND) * 2.0 * METRE) as u32;
    let middle = Pixel::new(f64::from(width) / 2.0, f64::from(height) / 2.0);
    let view = View::above(middle, METRE, Size { width, height });
    Svg {
        court: Some(lines(middle)),
        ground: ground(middle),
        stroke: 4.0,
        text: 20.0,
        ..drawn(&view, drawings)
    }
}

/// The area inside the lines for doubles, as a path.
fn ground(middle: Pixel) -> String {
    let corner = |x: f64, y: f64| {
        Pixel::new(middle.x + x * HALF_DOUBLES.0 * METRE, middle.y + y * HALF_LENGTH.0 * METRE)
    };
    path(&[corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)], true)
}

/// The lines of a court around this middle, as one path.
fn lines(middle: Pixel) -> String {
    let mut path = String::new();
    let mut line = |from: (f64, f64), to: (f64, f64)| {
        let at = |(x, y): (f64, f64)| format!("{:.1} {:.1}", middle.x + x * METRE, middle.y - y * METRE);
        // Writing to a text cannot fail.
        let _ = write!(path, "M{}L{}", at(from), at(to));
    };
    let (doubles, singles) = (HALF_DOUBLES.0, HALF_SINGLES.0);
    let (base, service, mark) = (HALF_LENGTH.0, SERVICE_LINE.0, CENTRE_MARK.0);
    for side in [-1.0, 1.0] {
        line((-doubles, base * side), (doubles, base * side));
        line((doubles * side, -base), (doubles * side, base));
        line((singles * side, -base), (singles * side, base));
        line((-singles, service * side), (singles, service * side));
        line((0.0, base * side), (0.0, (base - mark * 2.0) * side));
    }
    line((0.0, -service), (0.0, service));
    let post = doubles + POST_OUTSIDE.0;
    line((-post, 0.0), (post, 0.0));
    path
}

fn drawn(view: &View, drawings: &[&Drawing]) -> Svg {
    let size = view.size();
    let marks = drawings
        .iter()
        .flat_map(|d| laid(d, view, Units::Metres).into_iter().map(|piece| mark(piece, d.colour, view)));
    Svg {
        width: size.width,
        height: size.height,
        stroke: view.stroke(),
        text: view.text(),
        court: None,
        ground: String::new(),
        marks: marks.collect(),
    }
}

fn mark(piece: Piece, colour: Colour, view: &View) -> Mark {
    let paint = hex(colour);
    match piece {
        Piece::Shade(borders) => {
            let size = view.size();
            let all = format!("M0 0H{}V{}H0Z", size.width, size.height);
            // One border is enough here: the light fades in the footage only.
            let hole = borders.get(borders.len() / 2).map(|b| path(b, true)).unwrap_or_default();
            Mark::Shade(all + &hole)
        }
        Piece::Area(points) => Mark::Area { path: path(&points, true), colour: paint },
        Piece::Head(points) => Mark::Head { path: path(&points, true), colour: paint },
        Piece::Line { points, closed, dotted, full } => {
            let dashes = match (dotted, full) {
                (true, _) => colour.dots(),
                (false, false) => colour.dashes(),
                (false, true) => &[],
            };
            let dashes: Vec<String> = dashes.iter().map(|d| format!("{:.1}", d * view.stroke())).collect();
            Mark::Line { path: path(&points, closed), colour: paint, dashes: dashes.join(" "), dotted }
        }
        Piece::Words { at, words, sits } => {
            let words = readable(&words);
            let lines = words.lines().enumerate();
            let lines = lines.map(|(n, l)| (at.y + view.text() * (0.85 + 1.25 * n as f64), l.to_owned()));
            let middle = sits == Sits::OnLine;
            Mark::Words { x: at.x, y: at.y, lines: lines.collect(), colour: paint, middle }
        }
    }
}

fn hex(colour: Colour) -> String {
    let [r, g, b] = colour.rgb().map(|part| (part * 255.0).round() as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn path(points: &[Pixel], closed: bool) -> String {
    let mut out = String::new();
    for (n, p) in points.iter().enumerate() {
        let _ = write!(out, "{}{:.1} {:.1}", if n == 0 { 'M' } else { 'L' }, p.x, p.y);
    }
    if closed {
        out.push('Z');
    }
    out
}
