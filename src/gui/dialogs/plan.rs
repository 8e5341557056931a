//! Choosing the plan: the pattern that is meant to be played, called before the point.

use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit;
use crate::gui::kit::fields::quiet;
use crate::gui::kit::words::named;
use crate::gui::model::Model;
use crate::session::keeper::Ask;
use crate::session::state::Session;

/// What can be chosen for a text: the names that hold it, and the text itself where it is none of them.
fn offered(names: &[String], text: &str) -> Vec<String> {
    let wanted = text.trim().to_lowercase();
    let mut rows: Vec<String> =
        names.iter().filter(|n| n.to_lowercase().contains(&wanted)).cloned().collect();
    // What begins with the text comes first; otherwise the order of the patterns stays.
    rows.sort_by_key(|n| !n.to_lowercase().starts_with(&wanted));
    if !wanted.is_empty() && !rows.iter().any(|n| n.to_lowercase() == wanted) {
        rows.push(text.trim().to_owned());
    }
    rows
}

impl Session {
    /// The names that a plan can have: the patterns, and plans of this match that are none of them.
    fn plans(&self) -> Vec<String> {
        let mut names: Vec<String> = self.patterns().iter().map(|p| p.name.clone()).collect();
        for plan in self.view.record.points.iter().map(|p| &p.plan).filter(|p| !p.is_empty()) {
            if !names.contains(plan) {
                names.push(plan.clone());
            }
        }
        names
    }
}

/// Asks for the plan of the point being played, or of the next one.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let (names, now, playing) = {
        let session = model.session().borrow();
        let Some(s) = session.as_ref() else { return };
        (s.plans(), s.view.plan.clone(), s.is_in_a_point())
    };
    let about = if playing { "Plan of this point" } else { "Plan of the next point" };
    let entry = gtk::SearchEntry::builder().placeholder_text("A pattern, or your own words").build();
    named(entry.upcast_ref(), "Plan: a pattern, or your own words");
    let list = gtk::ListBox::builder().selection_mode(gtk::SelectionMode::Browse).build();
    named(list.upcast_ref(), "Patterns");
    let scrolled = gtk::ScrolledWindow::builder()
        .child(&list)
        .vexpand(true)
        .hscrollbar_policy(gtk::PolicyType::Never)
        .css_classes(["card", "list"])
        .build();
    let none = gtk::Button::builder().label("Remove plan").halign(gtk::Align::Start).build();
    none.set_sensitive(!now.is_empty());
    let all = gtk::Box::new(gtk::Orientation::Vertical, 10);
    if !now.is_empty() {
        all.append(&quiet(&format!("Current plan: {now}")));
    }
    all.append(&entry);
    all.append(&scrolled);
    all.append(&none);
    let dialog = kit::dialog::dialog(parent, about, &all, (420, 460));
    fill(&list, &offered(&names, ""));
    let (rows, held) = (list.clone(), names);
    entry.connect_changed(move |e| fill(&rows, &offered(&held, &e.text())));
    wire(model, &dialog, &entry, &list, &none);
    dialog.present();
    entry.grab_focus();
}

fn wire(
    model: &Model,
    dialog: &gtk::Window,
    entry: &gtk::SearchEntry,
    list: &gtk::ListBox,
    none: &gtk::Button,
) {
    let keep = glib::clone!(
        #[weak]
        model,
        #[weak]
        dialog,
        move |plan: &str| {
            model.ask(Ask::Plan(plan.to_owned()));
            dialog.close();
        }
    );
    entry.connect_activate(glib::clone!(
        #[weak]
        list,
        #[strong]
        keep,
        move |_| {
            if let Some(row) = list.selected_row() {
                keep(&text_of(&row));
            }
        }
    ));
    entry.connect_stop_search(glib::clone!(
        #[weak]
        dialog,
        move |_| dialog.close()
    ));
    entry.add_controller(along(list));
    list.connect_row_activated(glib::clone!(
        #[strong]
        keep,
        move |_, row| keep(&text_of(row))
    ));
    none.connect_clicked(move |_| keep(""));
}

/// Up and Down go along the list while the text keeps the focus.
fn along(list: &gtk::ListBox) -> gtk::EventControllerKey {
    let keys = gtk::EventControllerKey::new();
    keys.set_propagation_phase(gtk::PropagationPhase::Capture);
    keys.connect_key_pressed(glib::clone!(
        #[weak]
        list,
        #[upgrade_or]
        glib::Propagation::Proceed,
        move |_, key, _, _| {
            let by = match key {
                gtk::gdk::Key::Down => 1,
                gtk::gdk::Key::Up => -1,
                _ => return glib::Propagation::Proceed,
            };
            let now = list.selected_row().map_or(-1, |r| r.index());
            if let Some(row) = list.row_at_index((now + by).max(0)) {
                list.select_row(Some(&row));
                scroll_to(&list, &row);
            }
            glib::Propagation::Stop
        }
    ));
    keys
}

/// Scrolls to a row, which does not take the focus from the text.
fn scroll_to(list: &gtk::ListBox, row: &gtk::ListBoxRow) {
    let scrolled = list.ancestor(gtk::ScrolledWindow::static_type()).and_downcast::<gtk::ScrolledWindow>();
    if let (Some(scrolled), Some(at)) = (scrolled, row.compute_bounds(list)) {
        let (top, height) = (f64::from(at.y()), f64::from(at.height()));
        scrolled.vadjustment().clamp_page(top, top + height);
    }
}

fn fill(list: &gtk::ListBox, rows: &[String]) {
    while let Some(row) = list.row_at_index(0) {
        list.remove(&row);
    }
    for text in rows {
        let label = gtk::Label::builder().label(text).xalign(0.0).wrap(true).build();
        let row = gtk::ListBoxRow::builder().child(&label).build();
        named(row.upcast_ref(), text);
        list.append(&row);
    }
    list.select_row(list.row_at_index(0).as_ref());
}

fn text_of(row: &gtk::ListBoxRow) -> String {
    row.child().and_downcast::<gtk::Label>().map(|l| l.label().to_string()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plan_is_a_pattern_or_the_coachs_own_words() {
        let names: Vec<String> =
            ["Serve wide", "Wide, then open court", "Drop shot"].map(String::from).into();
        assert_eq!(offered(&names, ""), names);
        assert_eq!(offered(&names, "wide"), ["Wide, then open court", "Serve wide", "wide"]);
        assert_eq!(offered(&names, "drop SHOT"), ["Drop shot"]);
        assert_eq!(offered(&names, " moonball "), ["moonball"]);
    }
}
