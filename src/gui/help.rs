//! The keyboard help, made from the table of actions and the key card.

use gtk::glib;
use gtk::prelude::*;

use super::window::Window;

impl Window {
    /// Shows what each key does.
    pub fn show_help(&self) {
        let Some(card) = self.card() else { return };
        let columns = gtk::FlowBox::builder()
            .selection_mode(gtk::SelectionMode::None)
            .max_children_per_line(3)
            .min_children_per_line(1)
            .column_spacing(28)
            .row_spacing(12)
            .homogeneous(false)
            .build();
        for (title, rows) in card.help() {
            columns.insert(&group(&title, &rows), -1);
        }
        let scroll = gtk::ScrolledWindow::builder()
            .child(&columns)
            .hscrollbar_policy(gtk::PolicyType::Never)
            .margin_top(14)
            .margin_bottom(14)
            .margin_start(18)
            .margin_end(18)
            .build();
        let dialog = gtk::Window::builder()
            .title(format!("Keys: {}", card.name()))
            .transient_for(self)
            .modal(true)
            .default_width(920)
            .default_height(600)
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
