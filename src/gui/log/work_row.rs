//! Work in the background as a page shows it: what is said of it, how far it is, and buttons that stop it and begin it.

use std::cell::Cell;
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit::focus::show_or_hide;
use crate::gui::kit::words::named;
use crate::gui::model::{Event, Model, Stage};

/// The parts that change.
#[derive(Debug)]
pub struct WorkRow {
    told: gtk::Label,
    bar: gtk::ProgressBar,
    cancel: gtk::Button,
    begin: gtk::Button,
}

impl WorkRow {
    /// Puts it at the end of a box: the work's name, and what its button says and explains.
    pub fn new(into: &gtk::Box, name: &str, [label, tooltip]: [&str; 2]) -> Self {
        let told =
            gtk::Label::builder().xalign(0.0).wrap(true).accessible_role(gtk::AccessibleRole::Status).build();
        let bar = gtk::ProgressBar::new();
        named(bar.upcast_ref(), name);
        let row = Self { told, bar, cancel: button("Cancel"), begin: button(label) };
        row.begin.set_tooltip_text(Some(tooltip));
        let parts: [&gtk::Widget; 4] =
            [row.told.upcast_ref(), row.bar.upcast_ref(), row.cancel.upcast_ref(), row.begin.upcast_ref()];
        for part in parts {
            into.append(part);
        }
        row
    }

    /// What the buttons do.
    pub fn wire(&self, model: &Model, cancel: impl Fn(&Model) + 'static, begin: impl Fn(&Model) + 'static) {
        on_click(&self.cancel, model, cancel);
        on_click(&self.begin, model, begin);
    }

    /// Shows how far it is: while it is under way that stands before all else, and a failure too.
    pub fn show(&self, stage: Option<&Stage>, [doing, failed]: [&str; 2], words: &str, can_begin: bool) {
        let (words, part) = match stage {
            Some(Stage::At(part)) => (format!("{doing}: {:.0} %", part * 100.0), Some(*part)),
            Some(Stage::Failed(why)) => (format!("{failed}: {why}"), None),
            _ => (words.to_owned(), None),
        };
        self.told.set_label(&words);
        self.told.set_visible(!words.is_empty());
        self.bar.set_fraction(part.unwrap_or_default());
        self.bar.set_visible(part.is_some());
        let [comes, goes] =
            if part.is_some() { [&self.cancel, &self.begin] } else { [&self.begin, &self.cancel] };
        let had_focus = goes.is_focus();
        show_or_hide(comes, part.is_some() || can_begin);
        if had_focus && comes.is_visible() {
            comes.grab_focus();
        }
        show_or_hide(goes, false);
    }

    /// Whether one of its buttons has the focus.
    pub fn has_focus(&self) -> bool {
        self.cancel.is_focus() || self.begin.is_focus()
    }

    /// What it says.
    #[cfg(test)]
    pub fn words(&self) -> String {
        self.told.label().into()
    }

    /// The button that begins it.
    #[cfg(test)]
    pub fn begin(&self) -> &gtk::Button {
        &self.begin
    }

    /// The button that stops it.
    #[cfg(test)]
    pub fn cancel(&self) -> &gtk::Button {
        &self.cancel
    }
}

/// A button of such a row.
pub fn button(label: &str) -> gtk::Button {
    gtk::Button::builder().label(label).halign(gtk::Align::Start).focus_on_click(false).build()
}

/// Does something with the model when a button is pressed.
pub fn on_click(button: &gtk::Button, model: &Model, act: impl Fn(&Model) + 'static) {
    button.connect_clicked(glib::clone!(
        #[weak]
        model,
        move |_| act(&model)
    ));
}

/// Shows something anew after these events and when its box comes to be seen: once for each frame that the window paints, however often
/// they come before it, and never while nobody sees it.
pub fn show_when_seen(
    within: &gtk::Box,
    model: &Model,
    events: &[Event],
    show: impl Fn(&Model) + Clone + 'static,
) {
    let waits = Rc::new(Cell::new(false));
    for event in events {
        let (there, show, waits) = (within.downgrade(), show.clone(), Rc::clone(&waits));
        model.on(*event, move |m| {
            let Some(within) = there.upgrade().filter(|b| b.is_mapped() && !waits.replace(true)) else {
                return;
            };
            let (m, show, waits) = (m.downgrade(), show.clone(), Rc::clone(&waits));
            within.add_tick_callback(move |within, _| {
                waits.set(false);
                if let Some(m) = m.upgrade().filter(|_| within.is_mapped()) {
                    show(&m);
                }
                glib::ControlFlow::Break
            });
        });
    }
    let weak = model.downgrade();
    within.connect_map(move |_| {
        if let Some(m) = weak.upgrade() {
            show(&m);
        }
    });
}
