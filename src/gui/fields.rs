//! What the dialogs are made of: entries, choices, grids, a page with its button.

use gtk::prelude::*;

use super::window::{Window, named};

/// A line of text; Return presses the dialog's button.
pub fn entry(text: &str) -> gtk::Entry {
    gtk::Entry::builder().text(text).hexpand(true).width_chars(8).activates_default(true).build()
}

/// A choice of one of these; an unknown one is the first.
pub fn choice<T: PartialEq + Copy>(all: &[(impl AsRef<str>, T)], now: T) -> gtk::DropDown {
    let words: Vec<&str> = all.iter().map(|(word, _)| word.as_ref()).collect();
    let drop = gtk::DropDown::from_strings(&words);
    drop.set_selected(all.iter().position(|(_, x)| *x == now).unwrap_or(0) as u32);
    drop
}

/// A long choice of words in which one can search.
pub fn searched(drop: gtk::DropDown) -> gtk::DropDown {
    let words = gtk::StringObject::static_type();
    drop.set_expression(Some(gtk::PropertyExpression::new(words, gtk::Expression::NONE, "string")));
    drop.set_enable_search(true);
    drop
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

/// A dialog of one or more pages that scroll where the window is small, with a button that keeps what `keep` reads;
/// it closes unless that says what is wrong.
pub fn ask_with_pages(
    window: &Window,
    about: &str,
    pages: &[(&str, gtk::Box)],
    keep: impl Fn(&Window) -> Result<(), String> + 'static,
) -> gtk::Window {
    let stack = gtk::Stack::builder().vexpand(true).vhomogeneous(true).build();
    for (name, page) in pages {
        // Room for the ring around what has the focus.
        page.set_margin_start(3);
        page.set_margin_end(12);
        page.set_margin_top(3);
        page.set_margin_bottom(3);
        // What is over the window's own height scrolls.
        let most = (window.height() - 190).clamp(260, 620);
        let scrolled = gtk::ScrolledWindow::builder()
            .child(page)
            .hscrollbar_policy(gtk::PolicyType::Never)
            .propagate_natural_height(true)
            .max_content_height(most)
            .build();
        // A page that is not to be seen has no switch either.
        page.bind_property("visible", &stack.add_titled(&scrolled, Some(name), name), "visible")
            .sync_create()
            .build();
    }
    let wrong = gtk::Label::builder().wrap(true).xalign(0.0).hexpand(true).css_classes(["wrong"]).build();
    let button =
        gtk::Button::builder().label("Keep").halign(gtk::Align::End).css_classes(["primary"]).build();
    let below = gtk::Box::new(gtk::Orientation::Horizontal, 12);
    below.append(&wrong);
    below.append(&button);
    let all = gtk::Box::new(gtk::Orientation::Vertical, 12);
    if pages.len() > 1 {
        all.append(&gtk::StackSwitcher::builder().stack(&stack).halign(gtk::Align::Center).build());
    }
    all.append(&stack);
    all.append(&below);
    let dialog = window.dialog(about, &all, (640, -1));
    dialog.set_default_widget(Some(&button));
    let (window, weak) = (window.downgrade(), dialog.downgrade());
    button.connect_clicked(move |_| {
        let (Some(w), Some(d)) = (window.upgrade(), weak.upgrade()) else { return };
        match keep(&w) {
            Ok(()) => d.close(),
            Err(message) => wrong.set_label(&super::window::capital(&message)),
        }
    });
    dialog
}
