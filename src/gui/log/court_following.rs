//! What the Measure page says of following the court: how far it is, with a way to stop it, and what came of it.

use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit::words::named;
use crate::gui::model::{Event, Model, Stage};

/// The parts that change.
struct Row {
    told: gtk::Label,
    bar: gtk::ProgressBar,
    cancel: gtk::Button,
    follow: gtk::Button,
}

/// Fills a box that is empty.
pub fn fill(into: &gtk::Box, model: &Model) {
    let told =
        gtk::Label::builder().xalign(0.0).wrap(true).accessible_role(gtk::AccessibleRole::Status).build();
    let bar = gtk::ProgressBar::new();
    named(bar.upcast_ref(), "Following the court");
    let button = |label: &str| {
        gtk::Button::builder().label(label).halign(gtk::Align::Start).focus_on_click(false).build()
    };
    let row =
        std::rc::Rc::new(Row { told, bar, cancel: button("Cancel"), follow: button("Follow the court") });
    row.follow.set_tooltip_text(Some("Finds out in all frames where the camera looks"));
    let parts: [&gtk::Widget; 4] =
        [row.told.upcast_ref(), row.bar.upcast_ref(), row.cancel.upcast_ref(), row.follow.upcast_ref()];
    for part in parts {
        into.append(part);
    }
    let wire = |button: &gtk::Button, act: fn(&Model)| {
        button.connect_clicked(glib::clone!(
            #[weak]
            model,
            move |_| act(&model)
        ));
    };
    wire(&row.cancel, Model::cancel_following);
    wire(&row.follow, Model::follow_court);
    for event in [Event::Court, Event::Changed, Event::Opened, Event::Moment] {
        let row = row.clone();
        let within = into.downgrade();
        model.on(event, move |m| {
            // Each frame that is painted is a moment: nothing is worked out for a page that nobody sees.
            if within.upgrade().is_some_and(|b| b.is_mapped()) {
                show(&row, m);
            }
        });
    }
    let (seen, model_seen) = (row.clone(), model.downgrade());
    into.connect_map(move |_| {
        if let Some(m) = model_seen.upgrade() {
            show(&seen, &m);
        }
    });
    show(&row, model);
}

fn show(row: &Row, model: &Model) {
    let stage = model.following_stage();
    let part = match &stage {
        Some(Stage::At(part)) => Some(*part),
        _ => None,
    };
    let known = {
        let (session, shown) = (model.session().borrow(), model.shown());
        session.as_ref().zip(shown).map(|(s, at)| s.cameras.following_words(at)).unwrap_or_default()
    };
    let words = match stage {
        Some(Stage::At(part)) => format!("Following the court: {:.0} %", part * 100.0),
        Some(Stage::Failed(why)) => format!("The court was not followed: {why}"),
        _ => known.unwrap_or_default(),
    };
    row.told.set_label(&words);
    row.told.set_visible(!words.is_empty());
    row.bar.set_fraction(part.unwrap_or_default());
    row.bar.set_visible(part.is_some());
    row.cancel.set_visible(part.is_some());
    row.follow.set_visible(part.is_none() && model.can_follow());
}
