//! Names for a screen reader, and text as a sentence.

use gtk::prelude::*;

pub use crate::session::words::{capital, time_left};

/// The sign of a contradiction, before its words.
pub const DOUBT: &str = "⚠";

/// Gives a control its spoken name. In a drop-down or a button with a menu the focus is on the button inside, so that
/// has it too.
pub fn named(control: &gtk::Widget, name: &str) {
    let inner = control.first_child();
    let inner = inner.filter(|_| control.is::<gtk::DropDown>() || control.is::<gtk::MenuButton>());
    for widget in [Some(control), inner.as_ref()].into_iter().flatten() {
        widget.update_property(&[gtk::accessible::Property::Label(name)]);
    }
}

/// A label with these style classes.
pub fn label(text: &str, classes: &[&str]) -> gtk::Label {
    gtk::Label::builder()
        .label(text)
        .css_classes(classes.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>())
        .build()
}
