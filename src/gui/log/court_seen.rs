//! What the Measure page draws over the picture: the court, marks, places, and proposed players.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::court_lines::{Onto, draw_court, draw_marks, draw_place, draw_words};
use super::court_panel::CourtPanel;
use crate::measure::Pixel;
use crate::record::Record;
use crate::session::positions::name;

impl CourtPanel {
    /// Draws over the picture.
    ///
    /// # Errors
    /// What the drawing surface says.
    pub fn draw(&self, cr: &gtk::cairo::Context, onto: Onto) -> Result<(), gtk::cairo::Error> {
        if !self.is_mapped() {
            return Ok(());
        }
        let state = self.imp().state.borrow();
        let Some(shown) = self.shown() else { return Ok(()) };
        let lines = self.imp().lines.is_active();
        if let Some(marking) = &state.marking {
            if let Some(Ok(camera)) = marking.camera().filter(|_| lines) {
                draw_court(cr, camera, onto)?;
            }
            return draw_marks(cr, marking.marks(), marking.wrong(), onto);
        }
        let Some(camera) = state.cameras.at(shown) else { return Ok(()) };
        if lines {
            draw_court(cr, &camera, onto)?;
        }
        let here = |r: &Record| -> Vec<_> {
            let pending = state.pending.iter().filter(|p| p.frame == shown);
            let all = pending.chain(state.stored(r, shown));
            all.filter_map(|p| Some((state.cameras.place(p)?, p.at, name(r, p.of)))).collect()
        };
        for (place, at, whose) in self.with_record(|r, _| here(r)).unwrap_or_default() {
            draw_place(cr, &camera, &place, onto)?;
            let (x, y) = onto.of(at.into());
            draw_words(cr, &whose, (x, y + 10.0))?;
        }
        self.players().map_or(Ok(()), |p| p.draw(cr, &camera, onto))
    }

    /// The pixel that the magnifier shows, while the page takes clicks.
    pub fn magnified(&self) -> Option<Pixel> {
        self.imp().pointer.get().filter(|_| self.takes_clicks())
    }
}
