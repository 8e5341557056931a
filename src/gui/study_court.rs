//! The court pictures of an answer: each cell a list of clips, with its numbers, filled by its share of the points.

use std::rc::Rc;

use gtk::cairo;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::ribbon::scale;
use super::study::{Study, children};
use super::study_table::text;
use super::window::{capital, named};
use crate::session::study::asking::Answered;
use crate::session::study::spot::{Part, Spot};
use crate::summary::study::{CourtMap, Findings, Place};
use crate::tennis::CourtSide;
use crate::tennis::stroke::ServeTo;

/// Column and row of a cell in the picture, from the top left: the net is below, as whoever struck the ball sees it.
const fn stand(at: Place) -> (i32, i32) {
    match at {
        // To the server's left lies the box of the deuce court; wide is at its outer side.
        Place::Box { court: CourtSide::Deuce, to } => (to as i32, 0),
        Place::Box { court: CourtSide::Ad, to } => (5 - to as i32, 0),
        Place::Half { column, depth } => (column as i32, 2 - depth as i32),
    }
}

fn is_boxes(map: &CourtMap) -> bool {
    map.cells.iter().any(|c| matches!(c.at, Place::Box { .. }))
}

/// The words of the boxes' thirds, below them.
fn thirds() -> gtk::Grid {
    let grid = gtk::Grid::builder().column_homogeneous(true).build();
    let words = ServeTo::WORDS.map(|w| w.0);
    for (column, word) in words.into_iter().chain(words.into_iter().rev()).enumerate() {
        let label = gtk::Label::builder().label(word).css_classes(["quiet", "small"]).build();
        grid.attach(&label, column as i32, 0, 1, 1);
    }
    grid
}

impl Study {
    /// Fills the court pictures; without one, they are put away.
    pub fn show_maps(&self, answered: &Rc<Answered>) {
        let (imp, f) = (self.imp(), &answered.findings);
        for old in children(&imp.maps) {
            imp.maps.remove(&old);
        }
        imp.map_lines.borrow_mut().clear();
        imp.maps.set_visible(!f.maps.is_empty() && !f.points.is_empty());
        let shown = imp.map.get().min(f.maps.len().saturating_sub(1));
        let Some(map) = f.maps.get(shown) else { return };
        if f.maps.len() > 1 {
            imp.maps.append(&self.map_menu(f, shown));
        } else {
            imp.maps.append(&text(&capital(&map.ball), &["heading"]));
        }
        imp.maps.append(&self.court(shown, map, f));
        let seen = if is_boxes(map) {
            imp.maps.append(&thirds());
            "as the server sees it, the deuce court on the left"
        } else {
            "as its striker sees it"
        };
        imp.maps.append(&text(&format!("Where it landed, {seen}; the net is below."), &["quiet", "small"]));
        let off = [("place unknown", false), (&*map.outside_means, true)];
        let line: Vec<_> =
            off.map(|(words, known)| self.chip(Spot::NoCell { map: shown, known }, words, f)).into();
        let below = gtk::Box::new(gtk::Orientation::Horizontal, 4);
        for chip in &line {
            below.append(chip);
        }
        imp.maps.append(&below);
        imp.map_lines.borrow_mut().push(line);
    }

    fn map_menu(&self, f: &Findings, shown: usize) -> gtk::DropDown {
        let balls: Vec<String> = f.maps.iter().map(|m| capital(&m.ball)).collect();
        let menu = gtk::DropDown::from_strings(&balls.iter().map(String::as_str).collect::<Vec<_>>());
        menu.set_selected(shown as u32);
        named(menu.upcast_ref(), "Which ball the court shows");
        let room = self.downgrade();
        menu.connect_selected_notify(move |m| {
            let (chosen, room) = (m.selected() as usize, room.clone());
            // The menu itself is made anew, which it must not be while it tells of the choice.
            gtk::glib::idle_add_local_once(move || {
                let Some(room) = room.upgrade() else { return };
                room.imp().map.set(chosen);
                if let Some(answered) = room.answered() {
                    let kept = |s: &Spot| !matches!(s, Spot::Cell { .. } | Spot::NoCell { .. });
                    room.imp().cells.borrow_mut().retain(|(s, _)| kept(s));
                    room.show_maps(&answered);
                    room.show_again();
                }
            });
        });
        menu
    }

    fn court(&self, n: usize, map: &CourtMap, f: &Findings) -> gtk::Overlay {
        let boxes = is_boxes(map);
        let grid = gtk::Grid::builder().row_homogeneous(true).column_homogeneous(true).build();
        grid.update_property(&[gtk::accessible::Property::Label(&format!("Court: {}", map.ball))]);
        let most = map.cells.iter().map(|c| c.tally.points.len()).max().unwrap_or(0);
        let mut placed: Vec<((i32, i32), [gtk::Button; 2])> = Vec::new();
        for (cell, c) in map.cells.iter().enumerate() {
            let spot = |part| Spot::Cell { map: n, cell, part };
            let all =
                gtk::Label::builder().label(c.tally.points.len().to_string()).css_classes(["strong"]).build();
            let won = gtk::Label::builder()
                .label(format!("{} won", c.tally.won.len()))
                .css_classes(["small"])
                .build();
            let both = [self.cell(spot(Part::Points), &all, f), self.cell(spot(Part::Won), &won, f)];
            let of_cell = gtk::Box::new(gtk::Orientation::Vertical, 0);
            of_cell.set_margin_top(4);
            of_cell.set_margin_bottom(4);
            for button in &both {
                button.add_css_class("court-cell");
                button.set_tooltip_text(Some(&spot(Part::Points).title(f)));
                of_cell.append(button);
            }
            of_cell.set_valign(gtk::Align::Center);
            let (column, row) = stand(c.at);
            grid.attach(&of_cell, column, row, 1, 1);
            placed.push(((row, column), both));
        }
        placed.sort_by_key(|(place, _)| *place);
        self.map_lines(&placed, if boxes { 6 } else { 3 });
        let shares: Vec<((i32, i32), f64)> = map
            .cells
            .iter()
            .map(|c| (stand(c.at), c.tally.points.len() as f64 / most.max(1) as f64))
            .collect();
        let picture = gtk::DrawingArea::builder().css_classes(["plot"]).hexpand(true).build();
        picture.set_content_height(((if boxes { 92.0 } else { 190.0 }) * scale()) as i32);
        picture.set_draw_func(move |area, cr, width, height| {
            let ink = area.style_context().color();
            // A fault of the drawing surface is cairo's to report.
            let _ = draw(cr, ink, (f64::from(width), f64::from(height)), &shares, boxes);
        });
        let overlay = gtk::Overlay::builder().child(&picture).build();
        overlay.add_overlay(&grid);
        overlay.set_measure_overlay(&grid, true);
        overlay
    }

    /// For the arrow keys: of each row of the court first the numbers of points, then those won.
    fn map_lines(&self, placed: &[((i32, i32), [gtk::Button; 2])], columns: usize) {
        for row in placed.chunks(columns) {
            for n in 0..2 {
                let line = row.iter().map(|(_, both)| both[n].clone()).collect();
                self.imp().map_lines.borrow_mut().push(line);
            }
        }
    }
}

fn draw(
    cr: &cairo::Context,
    ink: gtk::gdk::RGBA,
    (width, height): (f64, f64),
    shares: &[((i32, i32), f64)],
    boxes: bool,
) -> Result<(), cairo::Error> {
    let (columns, rows) = if boxes { (6.0, 1.0) } else { (3.0, 3.0) };
    let colour =
        |alpha: f64| cr.set_source_rgba(ink.red().into(), ink.green().into(), ink.blue().into(), alpha);
    let net = 3.0;
    let (left, right, bottom) = (1.0, width - 1.0, height - net);
    let x = |column: f64| left + (right - left) * column / columns;
    let y = |row: f64| 1.0 + (bottom - 1.0) * row / rows;
    for ((column, row), share) in shares {
        let (column, row) = (f64::from(*column), f64::from(*row));
        colour(0.30 * share);
        cr.rectangle(x(column), y(row), x(1.0) - x(0.0), y(1.0) - y(0.0));
        cr.fill()?;
    }
    // The lines of the court; those between cells are thinner, as there are none on a court.
    colour(0.8);
    cr.set_line_width(1.5);
    cr.rectangle(left, 1.0, right - left, bottom - 1.0);
    if boxes {
        cr.move_to(x(3.0), 1.0);
        cr.line_to(x(3.0), bottom);
    }
    cr.stroke()?;
    colour(0.3);
    cr.set_line_width(1.0);
    cr.set_dash(&[3.0, 3.0], 0.0);
    let inner: &[f64] = if boxes { &[1.0, 2.0, 4.0, 5.0] } else { &[1.0, 2.0] };
    for column in inner {
        cr.move_to(x(*column), 1.0);
        cr.line_to(x(*column), bottom);
    }
    for row in [1.0, 2.0].iter().filter(|_| !boxes) {
        cr.move_to(left, y(*row));
        cr.line_to(right, y(*row));
    }
    cr.stroke()?;
    cr.set_dash(&[], 0.0);
    colour(1.0);
    cr.set_line_width(net);
    cr.move_to(0.0, height - net / 2.0);
    cr.line_to(width, height - net / 2.0);
    cr.stroke()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::stroke::{Column, Depth, ServeTo};

    #[test]
    fn cells_stand_as_the_striker_sees_them() {
        let boxes = |court| ServeTo::WORDS.map(|(_, to)| stand(Place::Box { court, to }));
        assert_eq!(boxes(CourtSide::Deuce), [(0, 0), (1, 0), (2, 0)], "wide, body, T from the left");
        assert_eq!(boxes(CourtSide::Ad), [(5, 0), (4, 0), (3, 0)], "T, body, wide");
        assert_eq!(stand(Place::Half { column: Column::Left, depth: Depth::Deep }), (0, 0));
        assert_eq!(stand(Place::Half { column: Column::Right, depth: Depth::Short }), (2, 2));
    }
}
