//! The keyboard help, made from the table of actions and the key card.

use gtk::glib;
use gtk::prelude::*;

use super::window::Window;

impl Window {
    /// Shows what each key does.
    pub fn show_help(&self) {
        let Some(card) = self.card() else { return };
        let columns = gtk::Box::new(gtk::Orientation::Horizontal, 36);
        let places: Vec<gtk::Box> = (0..3).map(|_| gtk::Box::new(gtk::Orientation::Vertical, 18)).collect();
        for place in &places {
            columns.append(place);
        }
        // Watch and the window's own keys share a column; logging, the longest, has one of its own.
        for ((title, rows), column) in card.help().iter().zip([0, 1, 2, 0, 2]) {
            places[column].append(&group(title, rows));
        }
        let scroll = gtk::ScrolledWindow::builder()
            .child(&columns)
            .focusable(true)
            .margin_top(14)
            .margin_bottom(14)
            .margin_start(18)
            .margin_end(18)
            .build();
        let dialog = gtk::Window::builder()
            .title(format!("Keys: {}", card.name()))
            .transient_for(self)
            .modal(true)
            .default_width(1010)
            .default_height(620)
            .child(&scroll)
            .build();
        dialog.set_css_classes(&self.css_classes().iter().map(glib::GString::as_str).collect::<Vec<_>>());
        close_on_escape(&dialog);
        dialog.present();
    }
}

/// Closes a dialog at Escape.
pub fn close_on_escape(dialog: &gtk::Window) {
    let keys = gtk::EventControllerKey::new();
    let weak = dialog.downgrade();
    keys.connect_key_pressed(move |_, key, _, _| {
        if key != gtk::gdk::Key::Escape {
            return glib::Propagation::Proceed;
        }
        if let Some(d) = weak.upgrade() {
            d.close();
        }
        glib::Propagation::Stop
    });
    dialog.add_controller(keys);
}

fn group(title: &str, rows: &[(String, String)]) -> gtk::Grid {
    let grid = gtk::Grid::builder().column_spacing(14).row_spacing(3).valign(gtk::Align::Start).build();
    let heading = gtk::Label::builder().label(title).xalign(0.0).css_classes(["heading"]).build();
    grid.attach(&heading, 0, 0, 2, 1);
    for (i, (keys, what)) in rows.iter().enumerate() {
        let keys = gtk::Label::builder().label(keys).xalign(1.0).css_classes(["caps"]).build();
        let what = gtk::Label::builder().label(what).xalign(0.0).wrap(true).build();
        grid.attach(&keys, 0, i as i32 + 1, 1, 1);
        grid.attach(&what, 1, i as i32 + 1, 1, 1);
    }
    grid
}
