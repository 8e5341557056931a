//! A hand that drags over the ribbon goes along the film, as on the bar under the picture. A click still chooses the point.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::along::moment_at;
use super::widget::{Ribbon, scale};
use crate::gui::model::Model;

/// What is moved less was clicked, in pixels.
const CLICK: f64 = 6.0;

impl Ribbon {
    /// From now on a drag goes along the film.
    pub(super) fn follow_drags(&self, model: &Model) {
        let drag = gtk::GestureDrag::new();
        drag.connect_drag_begin(glib::clone!(
            #[weak(rename_to = ribbon)]
            self,
            move |drag, _, _| ribbon.imp().pressed.set(on_surface(drag))
        ));
        drag.connect_drag_update(glib::clone!(
            #[weak(rename_to = ribbon)]
            self,
            #[weak]
            model,
            move |drag, dx, _| {
                if let Some((x, _)) = drag.start_point().filter(|_| ribbon.is_dragged(drag)) {
                    ribbon.drag_to(&model, x + dx);
                }
            }
        ));
        drag.connect_drag_end(glib::clone!(
            #[weak(rename_to = ribbon)]
            self,
            #[weak]
            model,
            move |_, _, _| {
                ribbon.imp().pressed.set(None);
                if let Some(at) = ribbon.imp().dragged.take() {
                    model.rest_at(at);
                }
            }
        ));
        self.add_controller(drag);
    }

    /// Whether the hand has left the place that it pressed. The ribbon itself may have been scrolled under it.
    fn is_dragged(&self, drag: &gtk::GestureDrag) -> bool {
        let far = |(x, _): (f64, f64)| on_surface(drag).is_some_and(|(now, _)| (now - x).abs() > CLICK);
        self.imp().dragged.get().is_some() || self.imp().pressed.get().is_some_and(far)
    }

    fn drag_to(&self, model: &Model, x: f64) {
        let at = {
            let session = model.session().borrow();
            let Some(s) = session.as_ref().filter(|s| !s.parts.is_empty()) else { return };
            let points = &s.view.record.points;
            let played = |i: usize| points.get(i).and_then(|p| Some((p.start?, p.end.or(p.start)?)));
            moment_at(&self.imp().layout.borrow(), x / scale(), played)
        };
        if let Some(at) = at.filter(|_| !model.is_attaching()) {
            if self.imp().dragged.replace(Some(at)) != Some(at) {
                model.drag_to(at);
            }
            self.scroll_to(x);
        }
    }

    /// Brings a place into sight that the hand has left the ribbon's bed for.
    fn scroll_to(&self, x: f64) {
        let Some(at) = self.scroller().map(|s| s.hadjustment()) else { return };
        let seen = at.value()..at.value() + at.page_size();
        if x < seen.start {
            at.set_value(x);
        } else if x > seen.end {
            at.set_value(x - at.page_size());
        }
    }
}

/// Where the hand is, on the window: a place that no scrolling moves.
fn on_surface(drag: &gtk::GestureDrag) -> Option<(f64, f64)> {
    drag.current_event()?.position()
}
