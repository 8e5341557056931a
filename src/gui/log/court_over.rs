//! What the Measure page draws over the picture: the court, marks, places, and a magnifier at the pointer.

use gtk::prelude::*;
use gtk::{gdk, graphene, gsk};

use super::court_lines::Onto;
use super::court_panel::CourtPanel;
use crate::gui::model::Model;
use crate::gui::picture::view::Placed;

/// Width and height of the magnifier, and how large it shows a pixel.
const GLASS: f64 = 168.0;
const LARGER: f64 = 8.0;
/// From the edge of the view.
const EDGE: f64 = 10.0;

/// Draws it.
pub fn over(snapshot: &gtk::Snapshot, panel: &CourtPanel, model: &Model, at: Placed, size: (i32, i32)) {
    let size = (f64::from(size.0), f64::from(size.1));
    let onto = Onto { left: at.left, top: at.top, scale: at.scale };
    {
        let cr = snapshot.append_cairo(&graphene::Rect::new(0.0, 0.0, size.0 as f32, size.1 as f32));
        // A surface that cannot be drawn on shows nothing.
        let _ = panel.draw(&cr, onto);
    }
    let Some(pixel) = panel.magnified() else { return };
    // In the corner that is farthest from the pointer.
    let (x, y) = (at.left + pixel.x * at.scale, at.top + pixel.y * at.scale);
    let left = if x < size.0 / 2.0 { size.0 - GLASS - EDGE } else { EDGE };
    let top = if y < size.1 / 2.0 { size.1 - GLASS - EDGE } else { EDGE };
    let glass = graphene::Rect::new(left as f32, top as f32, GLASS as f32, GLASS as f32);
    let frames = model.frames();
    let (wide, high) = (f64::from(frames.intrinsic_width()), f64::from(frames.intrinsic_height()));
    // Never smaller than the picture shows it.
    let scale = LARGER.max(2.0 * at.scale);
    snapshot.push_clip(&glass);
    snapshot.append_color(&gdk::RGBA::BLACK, &glass);
    snapshot.save();
    let (dx, dy) = (left + GLASS / 2.0 - pixel.x * scale, top + GLASS / 2.0 - pixel.y * scale);
    snapshot.translate(&graphene::Point::new(dx as f32, dy as f32));
    frames.snapshot(snapshot, wide * scale, high * scale);
    snapshot.restore();
    let cr = snapshot.append_cairo(&glass);
    let inner = Onto { left: dx, top: dy, scale };
    // As above.
    let _ = panel.draw(&cr, inner).and_then(|()| cross(&cr, left + GLASS / 2.0, top + GLASS / 2.0));
    drop(cr);
    snapshot.pop();
    let outline = gsk::RoundedRect::from_rect(glass, 0.0);
    snapshot.append_border(&outline, &[2.0; 4], &[gdk::RGBA::WHITE; 4]);
}

fn cross(cr: &gtk::cairo::Context, x: f64, y: f64) -> Result<(), gtk::cairo::Error> {
    cr.set_source_rgb(1.0, 1.0, 1.0);
    cr.set_line_width(1.0);
    for (dx, dy) in [(1.0, 0.0), (0.0, 1.0)] {
        for side in [-1.0, 1.0] {
            cr.move_to(x + side * dx * 5.0, y + side * dy * 5.0);
            cr.line_to(x + side * dx * 24.0, y + side * dy * 24.0);
        }
    }
    cr.stroke()
}
