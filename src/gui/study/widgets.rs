//! Small widgets that several parts of the page are made of.

use gtk::prelude::*;

/// A label that wraps, with its text at the left.
pub fn text(words: &str, classes: &[&str]) -> gtk::Label {
    gtk::Label::builder()
        .label(words)
        .wrap(true)
        .wrap_mode(gtk::pango::WrapMode::WordChar)
        .xalign(0.0)
        .css_classes(classes.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>())
        .build()
}

/// A sheet.
pub fn card() -> gtk::Box {
    let card = gtk::Box::new(gtk::Orientation::Vertical, 4);
    card.add_css_class("card");
    card
}

/// The widgets in a box, in their order.
pub fn children(of: &gtk::Box) -> Vec<gtk::Widget> {
    std::iter::successors(of.first_child(), gtk::prelude::WidgetExt::next_sibling).collect()
}

/// Takes all widgets out of a box.
pub fn empty(of: &gtk::Box) {
    for old in children(of) {
        of.remove(&old);
    }
}
