//! The drawings of the lesson over the footage, each at its time.

use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use crate::drawing::{Drawing, View};
use crate::gui::model::{Event, Model};
use crate::gui::picture::drawn::painting;
use crate::gui::picture::view::FootageView;

/// How often the picture is drawn while it stands: its drawings may come one after another.
const OFTEN: Duration = Duration::from_millis(100);

/// Shows what the lesson draws over this picture, and what `also` draws.
pub fn show_lesson_drawings(view: &FootageView, model: &Model, also: impl Fn() -> Vec<Drawing> + 'static) {
    let weak = model.downgrade();
    view.add_layer(Box::new(move |size| {
        let mut all = weak.upgrade()?.lesson_drawings();
        all.extend(also());
        (!all.is_empty()).then(|| painting(all, View::of(None, size)))
    }));
    model.on(
        Event::Transport,
        glib::clone!(
            #[weak]
            view,
            move |m| {
                view.queue_draw();
                if m.stands() {
                    redraw_while_it_stands(&view, m);
                }
            }
        ),
    );
}

fn redraw_while_it_stands(view: &FootageView, model: &Model) {
    glib::timeout_add_local(
        OFTEN,
        glib::clone!(
            #[weak]
            view,
            #[weak]
            model,
            #[upgrade_or]
            glib::ControlFlow::Break,
            move || {
                view.queue_draw();
                if model.stands() { glib::ControlFlow::Continue } else { glib::ControlFlow::Break }
            }
        ),
    );
}
