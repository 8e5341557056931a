//! Drawings over a picture.
//!
//! All lines are light with a dark border, so that they are seen on grass, clay, blue courts, shirts and white lines alike.

use cairo::Context;

use super::error::PaintError;
use super::text::{Align, Text};
use crate::drawing::{Colour, Drawing, Piece, Sits, Units, View, laid};
use crate::measure::Pixel;

/// The border of lines, and the ground of words on a line: almost black.
pub(super) const DARK: [f64; 3] = [0.05, 0.06, 0.08];
/// How dark each of the six steps around a spotlight is; together 0.6.
const SHADE: f64 = 0.142;
/// How strongly areas are filled.
const FILL: f64 = 0.24;

/// Paints these drawings where they lie in a view, whose pixels are the units of `cr`. When each is seen is the caller's matter.
///
/// # Errors
/// When cairo refuses; the state of `cr` is then undefined.
pub fn drawings<'a>(
    cr: &Context,
    all: impl IntoIterator<Item = &'a Drawing>,
    view: &View,
    units: Units,
) -> Result<(), PaintError> {
    let all: Vec<_> = all.into_iter().map(|d| (d.colour, laid(d, view, units))).collect();
    cr.save()?;
    cr.rectangle(0.0, 0.0, f64::from(view.size().width), f64::from(view.size().height));
    cr.clip();
    shade(cr, &all, view)?;
    for (colour, pieces) in &all {
        lines(cr, pieces, *colour, view)?;
    }
    for (colour, pieces) in &all {
        for piece in pieces {
            if let Piece::Words { at, words, sits } = piece {
                match sits {
                    Sits::Beginning => beginning(cr, *at, words, *colour, view)?,
                    Sits::OnLine => on_line(cr, *at, words, *colour, view)?,
                }
            }
        }
    }
    Ok(cr.restore()?)
}

/// The shade around all spotlights together: what is in the light of one is not darkened by another.
fn shade(cr: &Context, all: &[(Colour, Vec<Piece>)], view: &View) -> Result<(), PaintError> {
    let pieces = all.iter().flat_map(|(_, pieces)| pieces);
    let lights: Vec<&Vec<Vec<Pixel>>> =
        pieces.filter_map(|p| if let Piece::Shade(borders) = p { Some(borders) } else { None }).collect();
    let steps = lights.iter().map(|borders| borders.len()).max().unwrap_or(0);
    let (width, height) = (f64::from(view.size().width), f64::from(view.size().height));
    for step in 0..steps {
        cr.save()?;
        cr.set_fill_rule(cairo::FillRule::EvenOdd);
        for border in lights.iter().filter_map(|borders| borders.get(step)) {
            cr.new_path();
            cr.rectangle(0.0, 0.0, width, height);
            path(cr, border, true);
            cr.clip();
        }
        cr.set_source_rgba(0.0, 0.0, 0.0, SHADE);
        cr.paint()?;
        cr.restore()?;
    }
    Ok(())
}

fn path(cr: &Context, points: &[Pixel], closed: bool) {
    cr.new_sub_path();
    for p in points {
        cr.line_to(p.x, p.y);
    }
    if closed {
        cr.close_path();
    }
}

fn set(cr: &Context, [r, g, b]: [f64; 3], alpha: f64) {
    cr.set_source_rgba(r, g, b, alpha);
}

fn lines(cr: &Context, pieces: &[Piece], colour: Colour, view: &View) -> Result<(), PaintError> {
    let width = view.stroke();
    for piece in pieces {
        if let Piece::Area(points) = piece {
            path(cr, points, true);
            set(cr, colour.rgb(), FILL);
            cr.fill()?;
        }
    }
    cr.set_line_join(cairo::LineJoin::Round);
    // All borders first, so that the border of one part never crosses another part.
    for (wider, rgb, alpha) in [(0.8 * width, DARK, 0.75), (0.0, colour.rgb(), 1.0)] {
        set(cr, rgb, alpha);
        for piece in pieces {
            match piece {
                Piece::Line { points, closed, dotted, full } => {
                    let (times, cap, dashes): (_, _, &[f64]) = match (*dotted, *full) {
                        (true, _) => (1.7, cairo::LineCap::Round, colour.dots()),
                        (false, true) => (1.0, cairo::LineCap::Round, &[]),
                        (false, false) => (1.0, cairo::LineCap::Butt, colour.dashes()),
                    };
                    let own = width * times;
                    let dashes: Vec<f64> = dashes.iter().map(|d| d * own).collect();
                    cr.set_dash(&dashes, 0.0);
                    cr.set_line_cap(cap);
                    cr.set_line_width(own + wider);
                    path(cr, points, *closed);
                    cr.stroke()?;
                }
                Piece::Head(points) => {
                    cr.set_dash(&[], 0.0);
                    path(cr, points, true);
                    cr.set_line_width(wider.max(0.3 * width));
                    cr.stroke_preserve()?;
                    cr.fill()?;
                }
                Piece::Shade(_) | Piece::Area(_) | Piece::Words { .. } => {}
            }
        }
    }
    cr.set_dash(&[], 0.0);
    Ok(())
}

/// Keeps what is this wide and high in the picture, as far as there is room.
fn kept(view: &View, (x, y): (f64, f64), (w, h): (f64, f64)) -> (f64, f64) {
    let edge = view.text() * 0.3;
    let room = |at: f64, long: f64, whole: u32| at.min(f64::from(whole) - long - edge).max(edge);
    (room(x, w, view.size().width), room(y, h, view.size().height))
}

fn beginning(cr: &Context, at: Pixel, words: &str, colour: Colour, view: &View) -> Result<(), PaintError> {
    let most = f64::from(view.size().width) - view.text();
    let text = Text::new(cr, words, view.text(), true);
    let text = if text.extent().0 > most { text.within(most) } else { text };
    let at = kept(view, (at.x, at.y), text.extent());
    text.halo(cr, at, [DARK[0], DARK[1], DARK[2], 0.85])?;
    set(cr, colour.rgb(), 1.0);
    text.paint(cr, at, Align::Left);
    Ok(())
}

fn on_line(cr: &Context, at: Pixel, words: &str, colour: Colour, view: &View) -> Result<(), PaintError> {
    let text = Text::new(cr, words, view.text() * 0.85, true);
    let (w, h) = text.extent();
    let (left, top) = (0.45 * h, 0.12 * h);
    let whole = (w + 2.0 * left, h + 2.0 * top);
    let (x, y) = kept(view, (at.x - whole.0 / 2.0, at.y - whole.1 / 2.0), whole);
    let round = whole.1 / 2.0;
    let quarter = std::f64::consts::FRAC_PI_2;
    cr.new_path();
    cr.arc(x + round, y + round, round, quarter, 3.0 * quarter);
    cr.arc(x + whole.0 - round, y + round, round, -quarter, quarter);
    cr.close_path();
    set(cr, DARK, 0.85);
    cr.fill()?;
    set(cr, colour.rgb(), 1.0);
    text.paint(cr, (x + left, y + top), Align::Left);
    Ok(())
}

#[cfg(test)]
mod tests;
