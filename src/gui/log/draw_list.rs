//! The drawings of the current point, each to be gone to or deleted.

use gtk::glib;
use gtk::prelude::*;

use crate::drawing::{Drawing, Shape};
use crate::gui::kit::words::{capital, named};
use crate::gui::model::Model;
use crate::record::Edit;
use crate::session::keeper::Ask;

/// The drawings of the current point with their places in the record; without a point, all of them.
pub fn listed(model: &Model) -> Vec<(usize, Drawing)> {
    let session = model.session().borrow();
    let Some(s) = session.as_ref() else { return Vec::new() };
    let point = s.current().and_then(|c| s.view.record.points.get(c));
    let span = point.and_then(|p| p.start.zip(p.end));
    let within = |d: &Drawing| span.is_none_or(|(start, end)| d.to > start && d.from < end);
    s.view.record.drawings.iter().cloned().enumerate().filter(|(_, d)| within(d)).collect()
}

fn words(drawing: &Drawing) -> String {
    let what = match &drawing.shape {
        Shape::Text { words, .. } => format!("“{}”", words.chars().take(40).collect::<String>()),
        shape => format!("{}, {}", capital(shape.name()), drawing.colour.words()),
    };
    format!("{what} · {} to {}", drawing.from.short(), drawing.to.short())
}

/// Lists them in the menu of a button.
pub fn fill_list(button: &gtk::MenuButton, model: &Model) {
    let rows = gtk::Box::new(gtk::Orientation::Vertical, 4);
    let popover = gtk::Popover::new();
    for (n, drawing) in listed(model) {
        let row = gtk::Box::new(gtk::Orientation::Horizontal, 8);
        let go = gtk::Button::builder().label(words(&drawing)).hexpand(true).css_classes(["flat"]).build();
        go.connect_clicked(glib::clone!(
            #[weak]
            model,
            #[weak]
            popover,
            move |_| {
                popover.popdown();
                model.show_still(drawing.from);
            }
        ));
        let delete = gtk::Button::with_label("Delete");
        named(delete.upcast_ref(), &format!("Delete: {}", words(&drawing)));
        delete.connect_clicked(glib::clone!(
            #[weak]
            model,
            #[weak]
            popover,
            move |_| {
                popover.popdown();
                delete_drawing(&model, n);
            }
        ));
        row.append(&go);
        row.append(&delete);
        rows.append(&row);
    }
    let scrolled = gtk::ScrolledWindow::builder()
        .child(&rows)
        .hscrollbar_policy(gtk::PolicyType::Never)
        .propagate_natural_height(true)
        .max_content_height(360)
        .build();
    popover.set_child(Some(&scrolled));
    button.set_popover(Some(&popover));
}

fn delete_drawing(model: &Model, n: usize) {
    let record = model.session().borrow().as_ref().map(|s| s.view.record.clone());
    let Some(record) = record.filter(|r| n < r.drawings.len()) else { return };
    let mut all = record.drawings.clone();
    all.remove(n);
    model.ask(Ask::Edit(Box::new(Edit::SetDrawings(all))));
}
