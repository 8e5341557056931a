//! A rate with its interval, drawn.

use gtk::prelude::*;
use gtk::{cairo, gdk};

use super::outside::scale;
use crate::summary::Rate;

/// The size of a drawn interval, and its width where the answer is narrow.
const PLOT: (f64, f64) = (92.0, 22.0);
const SHORT: f64 = 50.0;

/// What the signs of an interval mean.
pub const LEGEND: &str = "● rate with 95 % interval   ┆ the others";

/// The scale over the intervals; over short ones without the middle.
pub fn axis(short: bool) -> gtk::Box {
    let ends = gtk::Box::new(gtk::Orientation::Horizontal, 0);
    for (label, xalign) in
        [("0", 0.0), ("50", 0.5), ("100 %", 1.0)].into_iter().filter(|l| !short || l.0 != "50")
    {
        let label = gtk::Label::builder()
            .label(label)
            .xalign(xalign)
            .hexpand(true)
            .css_classes(["quiet", "small"])
            .build();
        ends.append(&label);
    }
    ends.set_homogeneous(!short);
    ends.add_css_class("head");
    ends.set_valign(gtk::Align::End);
    ends
}

/// A rate with its interval, from 0 to 100 %, and a mark where the others are.
pub fn plot(rate: Option<Rate>, others: Option<Rate>, short: bool) -> gtk::DrawingArea {
    let (wide, tall) = (if short { SHORT } else { PLOT.0 } * scale(), PLOT.1 * scale());
    let area = gtk::DrawingArea::builder()
        .content_width(wide as i32)
        .content_height(tall as i32)
        .hexpand(true)
        .css_classes(["plot"])
        .build();
    area.set_draw_func(move |area, cr, width, height| {
        // The colours are those of the style, so that light and dark need nothing here.
        let ink = area.style_context().color();
        // A fault of the drawing surface is cairo's to report.
        let _ = draw_plot(cr, ink, (f64::from(width), f64::from(height)), rate, others);
    });
    area
}

fn draw_plot(
    cr: &cairo::Context,
    ink: gdk::RGBA,
    (width, height): (f64, f64),
    rate: Option<Rate>,
    others: Option<Rate>,
) -> Result<(), cairo::Error> {
    let edge = 6.0;
    let x = |share: f64| edge + share * 2.0f64.mul_add(-edge, width);
    let middle = (height / 2.0).round();
    let colour =
        |alpha: f64| cr.set_source_rgba(ink.red().into(), ink.green().into(), ink.blue().into(), alpha);
    colour(0.22);
    cr.set_line_width(1.0);
    cr.move_to(x(0.0), middle);
    cr.line_to(x(1.0), middle);
    cr.stroke()?;
    if let Some(rate) = rate {
        colour(1.0);
        cr.set_line_width(2.0);
        cr.move_to(x(rate.interval.low), middle);
        cr.line_to(x(rate.interval.high), middle);
        cr.stroke()?;
        cr.arc(x(rate.rate), middle, 4.5, 0.0, std::f64::consts::TAU);
        cr.fill()?;
    }
    if let Some(others) = others {
        colour(0.75);
        cr.set_line_width(1.5);
        cr.set_dash(&[2.5, 2.0], 0.0);
        cr.move_to(x(others.rate), 1.0);
        cr.line_to(x(others.rate), height - 1.0);
        cr.stroke()?;
        cr.set_dash(&[], 0.0);
    }
    Ok(())
}
