//! What the tables of an answer have in common: what they are of, how much they show, and their buttons.

use gtk::prelude::*;

use super::cells::Cells;
use super::model::StudyModel;
use crate::session::study::found::Found;
use crate::session::study::spot::Spot;

/// How much a table shows, by the width of the answer.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Fit {
    /// With a column for the verdict.
    Wide,
    /// The verdict stands below the name.
    #[default]
    Narrow,
}

impl Fit {
    /// For an answer of this width, in pixels of the usual text.
    pub const fn of(width: f64) -> Self {
        if width >= 660.0 { Self::Wide } else { Self::Narrow }
    }
}

/// What tables are made from, and where their cells go.
pub struct Tables<'t> {
    /// What the cells act on.
    pub study: &'t StudyModel,
    /// Where the cells go.
    pub cells: &'t Cells,
    /// How much is shown.
    pub fit: Fit,
    /// Only rows with all of these words in their names.
    pub typed: String,
    /// The answer.
    pub f: &'t Found,
}

impl Tables<'_> {
    /// Puts buttons beside each other, as a line for the arrow keys.
    pub fn chips(&self, into: &gtk::Box, chips: Vec<gtk::Button>) {
        if chips.is_empty() {
            return;
        }
        let line = gtk::FlowBox::builder()
            .selection_mode(gtk::SelectionMode::None)
            .column_spacing(4)
            .max_children_per_line(12)
            .build();
        for chip in &chips {
            let child =
                gtk::FlowBoxChild::builder().child(chip).focusable(false).halign(gtk::Align::Start).build();
            line.append(&child);
        }
        into.append(&line);
        self.cells.line(chips);
    }

    /// A button with words around its number of points.
    pub fn chip(&self, spot: Spot, words: &str) -> gtk::Button {
        self.cells.chip(self.study, spot, words, self.f)
    }

    /// A button whose points are those of a spot.
    pub fn cell(&self, spot: Spot, child: &impl IsA<gtk::Widget>) -> gtk::Button {
        self.cells.cell(self.study, spot, child, self.f)
    }
}
