//! How the parts of a lesson look in a reel: where pictures and words lie.

use cairo::Context;

use super::error::ReelError;
use super::words::{Block, Layer, Set, boxed, label, measuring};
use crate::drawing::{Drawing, Units, View};
use crate::lesson::{Clip, Condition, Lesson, Met, Pair, Part, Picture};
use crate::measure::{Pixel, Size};
use crate::paint;
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, SERVICE_LINE};

/// The most conditions that are listed.
const CONDITIONS: usize = 6;
const LIGHT: [f64; 3] = [0.97, 0.97, 0.95];
const SOFT: [f64; 3] = [0.72, 0.76, 0.78];
const MET: [f64; 3] = [0.55, 0.87, 0.60];
const MISSED: [f64; 3] = [1.0, 0.66, 0.42];

/// A part of the picture, in pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
}

impl Area {
    pub(super) fn whole((width, height): (u32, u32)) -> Self {
        Self { x: 0.0, y: 0.0, width: f64::from(width), height: f64::from(height) }
    }

    /// Its two halves, left and right, with a little room between.
    pub(super) fn halves(self) -> [Self; 2] {
        let gap = (self.width / 200.0).round().max(1.0) * 2.0;
        let width = ((self.width - gap) / 2.0).floor();
        [self.x, self.x + self.width - width].map(|x| Self { x, width, ..self })
    }

    /// The largest area of these proportions in its middle, on whole pixels.
    pub(super) fn fitting(self, (width, height): (u32, u32)) -> Self {
        let (w, h) = (f64::from(width.max(1)), f64::from(height.max(1)));
        let by = (self.width / w).min(self.height / h);
        let (w, h) = ((w * by).round().max(1.0), (h * by).round().max(1.0));
        let at = |from: f64, room: f64, size: f64| from + ((room - size) / 2.0).floor();
        Self { x: at(self.x, self.width, w), y: at(self.y, self.height, h), width: w, height: h }
    }
}

/// One hundredth of the picture's height, or of its width where that is less than usual.
fn unit(size: (u32, u32)) -> f64 {
    (f64::from(size.1) / 100.0).min(f64::from(size.0) / 100.0)
}

/// The words that lie over a part as long as it is shown.
///
/// # Errors
/// [`ReelError`] when they cannot be painted.
pub(super) fn layers(part: &Part, size: (u32, u32)) -> Result<Vec<Layer>, ReelError> {
    let whole = Area::whole(size);
    let mut out = Vec::new();
    match part {
        Part::Clip(clip) => {
            // Narrow, so that the far player stays free.
            about(clip, whole, [0.5, 0.38], unit(size), &mut out)?;
            caption(&clip.caption, whole, (whole.height, 3), unit(size), &mut out)?;
        }
        Part::Pair(pair) => beside(pair, whole, unit(size), &mut out)?,
        Part::Still(still) if !matches!(still.shows, Picture::Words(_)) => {
            caption(&still.caption, whole, (whole.height, 3), unit(size), &mut out)?;
        }
        Part::Still(_) | Part::Chapter(_) => {}
    }
    Ok(out)
}

fn beside(pair: &Pair, whole: Area, unit: f64, out: &mut Vec<Layer>) -> Result<(), ReelError> {
    let bottom = caption(&pair.caption, whole, (whole.height, 2), unit, out)?;
    for (clip, half) in [&pair.left, &pair.right].into_iter().zip(whole.halves()) {
        about(clip, half, [0.86, 0.86], unit * 0.9, out)?;
        caption(&clip.caption, half, (bottom, 2), unit * 0.85, out)?;
    }
    Ok(())
}

/// A caption in the middle of an area above `bottom`, with at most so many lines; where its upper edge is.
fn caption(
    words: &str,
    area: Area,
    (bottom, lines): (f64, u16),
    unit: f64,
    out: &mut Vec<Layer>,
) -> Result<f64, ReelError> {
    if words.trim().is_empty() {
        return Ok(bottom);
    }
    let set =
        Set { size: (unit * 5.0).max(11.0), bold: false, width: area.width * 0.84, lines, middle: true };
    let layer = label(words, set, unit)?;
    let y = bottom - unit * 3.5 - layer.size.1;
    let x = area.x + (area.width - layer.size.0) / 2.0;
    out.push(layer.moved(x, y));
    Ok(y)
}

/// The score and the conditions of a clip, at the upper left of its area, each at most this part of the area wide.
fn about(clip: &Clip, area: Area, wide: [f64; 2], unit: f64, out: &mut Vec<Layer>) -> Result<(), ReelError> {
    let (x, mut y) = (area.x + unit * 3.5, area.y + unit * 3.5);
    let [width, narrow] = wide.map(|part| area.width * part);
    if !clip.score.trim().is_empty() {
        let set = Set { size: (unit * 4.0).max(10.0), bold: true, width, lines: 1, middle: false };
        let layer = label(&clip.score, set, unit * 0.8)?;
        let height = layer.size.1;
        out.push(layer.moved(x, y));
        y += height + unit * 1.4;
    }
    if !clip.conditions.is_empty() {
        out.push(conditions(&clip.conditions, narrow, unit)?.moved(x, y));
    }
    Ok(())
}

fn conditions(all: &[Condition], width: f64, unit: f64) -> Result<Layer, ReelError> {
    let cr = measuring()?;
    let set = Set { size: (unit * 3.6).max(10.0), bold: false, width, lines: 1, middle: false };
    let word = |met: Met| match met {
        Met::Met => ("✓ met", MET),
        Met::Missed => ("✗ missed", MISSED),
        Met::Unknown => ("? unknown", SOFT),
    };
    let first = |c: &Condition| {
        let (words, ink) = word(c.met);
        (Block::new(&cr, words, Set { bold: true, ..set }), ink)
    };
    let listed = if all.len() > CONDITIONS { &all[..CONDITIONS - 1] } else { all };
    // Words begin below each other.
    let column = listed.iter().map(|c| first(c).0.size.0).fold(0.0, f64::max);
    let mut lines = Vec::new();
    for condition in listed {
        let (mut head, ink) = first(condition);
        head.size.0 = column;
        let rest = Set { width: (width - column).max(unit * 10.0), ..set };
        lines.push(vec![(head, ink), (Block::new(&cr, &condition.words, rest), LIGHT)]);
    }
    if listed.len() < all.len() {
        let more = format!("and {} more", all.len() - listed.len());
        lines.push(vec![(Block::new(&cr, &more, set), SOFT)]);
    }
    boxed(&lines, unit * 0.8)
}

/// Paints a part that is words alone: the lesson's title (`None`), a heading, a still.
///
/// # Errors
/// [`ReelError`] when it cannot be painted.
pub(super) fn card(
    cr: &Context,
    lesson: &Lesson,
    part: Option<&Part>,
    size: (u32, u32),
) -> Result<(), ReelError> {
    let whole = Area::whole(size);
    let ground = cairo::LinearGradient::new(0.0, 0.0, 0.0, whole.height);
    ground.add_color_stop_rgb(0.0, 0.09, 0.19, 0.24);
    ground.add_color_stop_rgb(1.0, 0.05, 0.10, 0.14);
    cr.set_source(&ground)?;
    cr.paint()?;
    let (big, small) = match part {
        None => (lesson.title.as_str(), lesson.player.as_str()),
        Some(Part::Chapter(chapter)) => (chapter.title.as_str(), ""),
        Some(Part::Still(still)) => match &still.shows {
            Picture::Words(words) => (words.as_str(), still.caption.as_str()),
            Picture::Court(drawings) => return court(cr, drawings, size),
        },
        Some(Part::Clip(_) | Part::Pair(_)) => return Ok(()),
    };
    heading(cr, (big, small), whole, unit(size));
    Ok(())
}

/// The court from above, with drawings on its ground.
fn court(cr: &Context, drawings: &[Drawing], size: (u32, u32)) -> Result<(), ReelError> {
    let (width, height) = (f64::from(size.0), f64::from(size.1));
    // Half a court and the room behind it, upright.
    let metre = (height * 0.82 / (2.0 * HALF_LENGTH.0 + 5.0)).min(width * 0.9 / (2.0 * HALF_DOUBLES.0 + 3.0));
    let middle = (width / 2.0, height * 0.47);
    let at = |x: f64, y: f64| (middle.0 + x * metre, middle.1 - y * metre);
    let block = |x: f64, y: f64, (r, g, b): (f64, f64, f64)| {
        let (left, top) = at(-x, y);
        cr.rectangle(left, top, 2.0 * x * metre, 2.0 * y * metre);
        cr.set_source_rgb(r, g, b);
        cr.fill()
    };
    block(HALF_DOUBLES.0 + 1.5, HALF_LENGTH.0 + 2.5, (0.16, 0.36, 0.33))?;
    block(HALF_DOUBLES.0, HALF_LENGTH.0, (0.17, 0.37, 0.56))?;
    let line = |from: (f64, f64), to: (f64, f64)| {
        let ((a, b), (c, d)) = (at(from.0, from.1), at(to.0, to.1));
        cr.move_to(a, b);
        cr.line_to(c, d);
    };
    let (long, single, double, service) = (HALF_LENGTH.0, HALF_SINGLES.0, HALF_DOUBLES.0, SERVICE_LINE.0);
    for side in [-1.0, 1.0] {
        line((side * double, -long), (side * double, long));
        line((side * single, -long), (side * single, long));
        line((-double, side * long), (double, side * long));
        line((-single, side * service), (single, side * service));
    }
    line((0.0, -service), (0.0, service));
    line((-double - 0.9, 0.0), (double + 0.9, 0.0));
    cr.set_source_rgb(LIGHT[0], LIGHT[1], LIGHT[2]);
    cr.set_line_width((metre * 0.09).max(1.5));
    cr.stroke()?;
    let view = View::above(Pixel { x: middle.0, y: middle.1 }, metre, Size::new(size.0, size.1));
    Ok(paint::drawings(cr, drawings, &view, Units::Metres)?)
}

/// Large words in the middle, a short line under them, and small words.
fn heading(cr: &Context, (big, small): (&str, &str), whole: Area, unit: f64) {
    let long = big.chars().count() > 60;
    let size = if long { unit * 6.0 } else { unit * 9.0 };
    let set =
        Set { size, bold: true, width: whole.width * 0.84, lines: if long { 6 } else { 3 }, middle: true };
    let big = Block::new(cr, big, set);
    let set = Set { size: unit * 5.0, bold: false, lines: 2, ..set };
    let small = (!small.trim().is_empty()).then(|| Block::new(cr, small, set));
    let gap = unit * 4.0;
    let height = big.size.1 + small.as_ref().map_or(0.0, |s| s.size.1 + 2.0 * gap);
    let mut y = ((whole.height - height) / 2.0).round();
    let middle = |block: &Block| ((whole.width - block.size.0) / 2.0).round();
    big.paint(cr, (middle(&big), y), LIGHT);
    if let Some(small) = small {
        y += big.size.1 + gap;
        cr.set_source_rgb(0.93, 0.85, 0.35);
        cr.rectangle(
            (whole.width / 2.0 - unit * 6.0).round(),
            y.round(),
            (unit * 12.0).round(),
            (unit * 0.6).max(2.0),
        );
        let _ = cr.fill();
        small.paint(cr, (middle(&small), y + gap), SOFT);
    }
}
