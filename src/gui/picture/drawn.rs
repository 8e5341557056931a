//! The drawings of the record over the footage, each at its time.

use gtk::glib;
use gtk::prelude::*;

use super::view::{FootageView, Painting};
use crate::drawing::{Colour, Drawing, Units, View};
use crate::gui::model::{Event, Model};
use crate::measure::{Calibration, Size};
use crate::paint;

/// Shows the drawings of the open record over this picture.
pub fn show_drawings(view: &FootageView, model: &Model) {
    let weak = model.downgrade();
    view.add_layer(Box::new(move |size| seen(size, &weak.upgrade()?)));
    for event in [Event::Changed, Event::Court] {
        model.on(
            event,
            glib::clone!(
                #[weak]
                view,
                move |_| view.queue_draw()
            ),
        );
    }
}

fn seen(size: Size, model: &Model) -> Option<Painting> {
    let at = model.shown()?;
    let session = model.session().borrow();
    let s = session.as_ref()?;
    let all: Vec<Drawing> = s.view.record.drawings.iter().filter(|d| d.seen_at(at)).cloned().collect();
    let camera = || s.cameras.at(at);
    (!all.is_empty()).then(|| painting(all, View::of(camera().as_ref().map(Calibration::camera), size)))
}

/// Paints drawings; a picture that cannot be painted on stays as it is.
pub fn painting(all: Vec<Drawing>, view: View) -> Painting {
    Box::new(move |cr| {
        if let Err(e) = paint::drawings(cr, &all, &view, Units::Metres) {
            glib::g_warning!("changeover", "{e}");
        }
    })
}

/// A line in a colour, with its dashes, as it is drawn.
pub fn swatch(colour: Colour) -> gtk::DrawingArea {
    let area = gtk::DrawingArea::builder().content_width(34).content_height(14).build();
    area.set_draw_func(move |_, cr, width, height| {
        let line = |wide: f64, [r, g, b]: [f64; 3]| {
            cr.set_source_rgb(r, g, b);
            cr.set_line_width(wide);
            cr.move_to(2.0, f64::from(height) / 2.0);
            cr.line_to(f64::from(width) - 2.0, f64::from(height) / 2.0);
            cr.stroke()
        };
        let dashes: Vec<f64> = colour.dashes().iter().map(|d| d * 3.0).collect();
        let drawn = line(7.0, [0.15, 0.16, 0.18]).and_then(|()| {
            cr.set_dash(&dashes, 0.0);
            line(3.5, colour.rgb())
        });
        if let Err(e) = drawn {
            glib::g_warning!("changeover", "{e}");
        }
    });
    area
}
