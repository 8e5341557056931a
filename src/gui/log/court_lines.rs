//! The court drawn: its lines over the footage, marks and ellipses on it, and the small court that shows the next landmark. No
//! widgets.

use gtk::cairo::{Context, Error};

use crate::measure::{Calibration, Pixel, Place};
use crate::paint::{Align, Text};
use crate::record::{Corner, CourtMark};
use crate::tennis::court::{
    BASELINE_WIDTH, HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, LINE_WIDTH, SERVICE_LINE, Spot,
};

/// The radius of a ring about a player, in metres.
const RING: f64 = 0.6;
/// How large the words beside a place are.
const WORDS: f64 = 13.0;
/// So many pieces are drawn of each line: a lens bends it.
const PIECES: usize = 24;

/// Where a pixel of the picture is in the view.
#[derive(Debug, Clone, Copy)]
pub struct Onto {
    /// Of the picture's left top corner.
    pub left: f64,
    /// Likewise.
    pub top: f64,
    /// How large a pixel is.
    pub scale: f64,
}

impl Onto {
    /// A pixel's place in the view.
    pub fn of(self, at: Pixel) -> (f64, f64) {
        (self.left + at.x * self.scale, self.top + at.y * self.scale)
    }
}

/// The ends of each line of the court, on the ground: the middle of the paint, so that a line that is right lies on the one in the picture.
fn lines() -> Vec<[Spot; 2]> {
    let l = HALF_LENGTH.0 - BASELINE_WIDTH.0 / 2.0;
    let [s, d, v] = [HALF_SINGLES, HALF_DOUBLES, SERVICE_LINE].map(|edge| edge.0 - LINE_WIDTH.0 / 2.0);
    let line = |a: (f64, f64), b: (f64, f64)| [Spot::new(a.0, a.1), Spot::new(b.0, b.1)];
    let mut all = vec![line((0.0, -v), (0.0, v))];
    for x in [-d, -s, s, d] {
        all.push(line((x, -l), (x, l)));
    }
    for y in [-l, l] {
        all.push(line((-d, y), (d, y)));
    }
    for y in [-v, v] {
        all.push(line((-s, y), (s, y)));
    }
    all
}

/// A dark line under a light one: seen on every ground.
fn double(cr: &Context, wide: f64) -> Result<(), Error> {
    cr.set_source_rgba(0.0, 0.0, 0.0, 0.7);
    cr.set_line_width(wide + 2.0);
    cr.stroke_preserve()?;
    cr.set_source_rgba(1.0, 0.85, 0.2, 1.0);
    cr.set_line_width(wide);
    cr.stroke()
}

/// The lines of the court as the camera sees them.
pub fn draw_court(cr: &Context, camera: &Calibration, onto: Onto) -> Result<(), Error> {
    for [a, b] in lines() {
        let mut drawn = false;
        for n in 0..=PIECES {
            let part = n as f64 / PIECES as f64;
            let at = Spot::new(a.x.0 + (b.x.0 - a.x.0) * part, a.y.0 + (b.y.0 - a.y.0) * part);
            let Some((x, y)) = camera.camera().see_ground(at).map(|p| onto.of(p)) else {
                drawn = false;
                continue;
            };
            if drawn {
                cr.line_to(x, y);
            } else {
                cr.move_to(x, y);
            }
            drawn = true;
        }
    }
    double(cr, 1.5)
}

/// The marks as crosses; the one that disagrees has a ring.
pub fn draw_marks(cr: &Context, marks: &[CourtMark], wrong: Option<Corner>, onto: Onto) -> Result<(), Error> {
    for mark in marks {
        let (x, y) = onto.of(mark.at.into());
        for (dx, dy) in [(7.0, 0.0), (0.0, 7.0)] {
            cr.move_to(x - dx, y - dy);
            cr.line_to(x + dx, y + dy);
        }
        if wrong == Some(mark.landmark) {
            cr.new_sub_path();
            cr.arc(x, y, 13.0, 0.0, std::f64::consts::TAU);
        }
        double(cr, 1.5)?;
    }
    Ok(())
}

/// The path of an ellipse on the ground: its half axes in metres, and the turn of the first one.
fn ellipse(
    cr: &Context,
    camera: &Calibration,
    middle: Spot,
    (long, short, turn): (f64, f64, f64),
    onto: Onto,
) {
    let mut drawn = false;
    let (turn_sin, turn_cos) = turn.sin_cos();
    for n in 0..=48 {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(n) / 48.0).sin_cos();
        let (u, v) = (long * cos, short * sin);
        let at =
            Spot::new(middle.x.0 + u * turn_cos - v * turn_sin, middle.y.0 + u * turn_sin + v * turn_cos);
        let Some((x, y)) = camera.camera().see_ground(at).map(|p| onto.of(p)) else { continue };
        if drawn {
            cr.line_to(x, y);
        } else {
            cr.move_to(x, y);
        }
        drawn = true;
    }
}

fn dot(cr: &Context, camera: &Calibration, at: Spot, onto: Onto) -> Result<(), Error> {
    let Some((x, y)) = camera.camera().see_ground(at).map(|p| onto.of(p)) else { return Ok(()) };
    cr.new_sub_path();
    cr.arc(x, y, 2.5, 0.0, std::f64::consts::TAU);
    double(cr, 1.5)
}

/// The ellipse that holds a measured place with 95 %, as it lies on the ground, and the place.
pub fn draw_place(cr: &Context, camera: &Calibration, place: &Place, onto: Onto) -> Result<(), Error> {
    let e = place.spread.ellipse(0.95);
    ellipse(cr, camera, place.spot, (e.long.0, e.short.0, e.turn), onto);
    double(cr, 1.5)?;
    dot(cr, camera, place.spot, onto)
}

/// A ring on the ground about a place that is only proposed: dashed, or whole while it is held.
pub fn draw_ring(
    cr: &Context,
    camera: &Calibration,
    at: Spot,
    dashed: bool,
    onto: Onto,
) -> Result<(), Error> {
    ellipse(cr, camera, at, (RING, RING, 0.0), onto);
    if dashed {
        cr.set_dash(&[6.0, 5.0], 0.0);
    }
    let drawn = double(cr, 2.0);
    cr.set_dash(&[], 0.0);
    drawn?;
    dot(cr, camera, at, onto)
}

/// Words with their top below a place, on a dark ground: legible on every picture.
pub fn draw_words(cr: &Context, words: &str, (x, y): (f64, f64)) -> Result<(), Error> {
    let text = Text::new(cr, words, WORDS, true);
    let (wide, high) = text.extent();
    cr.rectangle(x - wide / 2.0 - 5.0, y - 1.0, wide + 10.0, high + 2.0);
    cr.set_source_rgba(0.0, 0.0, 0.0, 0.7);
    cr.fill()?;
    cr.set_source_rgb(1.0, 0.85, 0.2);
    text.paint(cr, (x, y), Align::Middle);
    Ok(())
}

/// The court from above, the camera below: marked landmarks full, the next one with a ring.
pub fn draw_small(
    cr: &Context,
    ink: (f64, f64, f64),
    size: (f64, f64),
    marked: &[Corner],
    next: Option<Corner>,
) -> Result<(), Error> {
    let metre = ((size.0 - 24.0) / (2.0 * HALF_DOUBLES.0)).min((size.1 - 24.0) / (2.0 * HALF_LENGTH.0));
    let onto = |s: Spot| (size.0 / 2.0 + s.x.0 * metre, size.1 / 2.0 - s.y.0 * metre);
    cr.set_source_rgb(ink.0, ink.1, ink.2);
    cr.set_line_width(1.0);
    let net = [Spot::new(-HALF_DOUBLES.0 - 0.9, 0.0), Spot::new(HALF_DOUBLES.0 + 0.9, 0.0)];
    for [a, b] in lines().into_iter().chain([net]) {
        let (from, to) = (onto(a), onto(b));
        cr.move_to(from.0, from.1);
        cr.line_to(to.0, to.1);
    }
    cr.stroke()?;
    for corner in marked {
        let (x, y) = onto(corner.landmark().spot);
        cr.arc(x, y, 3.0, 0.0, std::f64::consts::TAU);
        cr.fill()?;
    }
    if let Some(corner) = next {
        let (x, y) = onto(corner.landmark().spot);
        cr.new_sub_path();
        cr.arc(x, y, 6.5, 0.0, std::f64::consts::TAU);
        cr.set_line_width(2.5);
        cr.stroke()?;
    }
    Ok(())
}
