//! Handles between panes: what the user moves, and not what a smaller window does to them.

use std::cell::RefCell;

use gtk::gdk::EventType;
use gtk::glib;
use gtk::prelude::*;

/// Calls `moved` once the user has moved a handle inside `page` and let go of it. `places` tells where the handles are.
pub fn when_moved<P: PartialEq + 'static>(
    page: &impl IsA<gtk::Widget>,
    places: impl Fn() -> Option<P> + 'static,
    moved: impl Fn() + 'static,
) {
    let before = RefCell::new(None);
    let events = gtk::EventControllerLegacy::new();
    events.set_propagation_phase(gtk::PropagationPhase::Capture);
    events.connect_event(move |_, event| {
        match event.event_type() {
            EventType::ButtonPress | EventType::TouchBegin | EventType::KeyPress => {
                before.replace(places());
            }
            EventType::ButtonRelease | EventType::TouchEnd | EventType::KeyRelease => {
                let was = before.take();
                if was.is_some() && was != places() {
                    moved();
                }
            }
            _ => {}
        }
        glib::Propagation::Proceed
    });
    page.add_controller(events);
}

/// Does something after the layout that is under way and before the next frame: a usual idle waits while a busy machine draws.
pub fn before_drawing(then: impl FnOnce() + 'static) {
    let mut then = Some(then);
    glib::idle_add_local_full(glib::Priority::HIGH_IDLE, move || {
        if let Some(then) = then.take() {
            then();
        }
        glib::ControlFlow::Break
    });
}
