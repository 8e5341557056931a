//! What the dialogs are made of: entries, choices, grids.

use gtk::prelude::*;

use super::words::named;

/// A line of text; Return presses the dialog's button.
pub fn entry(text: &str) -> gtk::Entry {
    gtk::Entry::builder().text(text).hexpand(true).width_chars(8).activates_default(true).build()
}

/// A choice of one of these; an unknown one is the first.
pub fn choice<T: PartialEq + Copy>(all: &[(impl AsRef<str>, T)], now: T) -> gtk::DropDown {
    let drop = gtk::DropDown::builder().build();
    offer(&drop, all, now);
    drop
}

/// Lets one of these be chosen; an unknown one is the first.
pub fn offer<T: PartialEq + Copy>(drop: &gtk::DropDown, all: &[(impl AsRef<str>, T)], now: T) {
    let words: Vec<&str> = all.iter().map(|(word, _)| word.as_ref()).collect();
    drop.set_model(Some(&gtk::StringList::new(&words)));
    drop.set_selected(all.iter().position(|(_, x)| *x == now).unwrap_or(0) as u32);
}

/// What is chosen.
pub fn chosen<T: Copy>(drop: &gtk::DropDown, all: &[(impl AsRef<str>, T)]) -> T {
    all[drop.selected() as usize % all.len()].1
}

/// The text, cut where it is longer than a choice has room for.
pub fn short(text: &str) -> String {
    const MOST: usize = 24;
    match text.char_indices().nth(MOST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// A grid of fields with their names before them.
pub fn grid() -> gtk::Grid {
    gtk::Grid::builder().column_spacing(14).row_spacing(8).build()
}

/// The name of a field, or a heading.
pub fn title(text: &str) -> gtk::Label {
    gtk::Label::builder().label(text).xalign(0.0).build()
}

/// Puts a field in a grid's row, its name before it.
pub fn attach(grid: &gtk::Grid, row: i32, text: &str, field: &impl IsA<gtk::Widget>) {
    let label = title(text);
    label.set_mnemonic_widget(Some(field));
    named(field.upcast_ref(), text);
    field.set_hexpand(true);
    grid.attach(&label, 0, row, 1, 1);
    grid.attach(field, 1, row, 1, 1);
}

/// Quiet words that run over several lines.
pub fn quiet(text: &str) -> gtk::Label {
    gtk::Label::builder()
        .label(text)
        .wrap(true)
        .xalign(0.0)
        .max_width_chars(60)
        .css_classes(["quiet"])
        .build()
}

/// A heading within a page.
pub fn heading(text: &str) -> gtk::Label {
    let label = title(text);
    label.add_css_class("heading");
    label.set_margin_top(6);
    label
}
