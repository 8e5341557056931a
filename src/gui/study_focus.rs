//! The keyboard in an answer: arrows go from number to number, and a new answer keeps the place.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::study::Study;
use crate::logging::Key;
use crate::session::study::spot::Spot;

impl Study {
    /// The line and place of the button that has the focus.
    pub fn focus_place(&self) -> Option<(Spot, usize, usize, bool)> {
        let imp = self.imp();
        let spot = imp.cells.borrow().iter().find(|(_, b)| b.has_focus()).map(|(s, _)| *s)?;
        for (map, lines) in [(false, imp.lines.borrow()), (true, imp.map_lines.borrow())] {
            for (line, cells) in lines.iter().enumerate() {
                if let Some(place) = cells.iter().position(gtk::prelude::WidgetExt::has_focus) {
                    return Some((spot, line, place, map));
                }
            }
        }
        Some((spot, usize::MAX, 0, false))
    }

    /// Gives the focus back to the place that had it, in the new answer.
    pub fn restore_focus(&self, place: Option<(Spot, usize, usize, bool)>) {
        let Some((spot, line, at, map)) = place else { return };
        let imp = self.imp();
        let lines = if map { imp.map_lines.borrow() } else { imp.lines.borrow() };
        let there = lines.get(line).and_then(|l| l.get(at)).cloned();
        drop(lines);
        let cells = imp.cells.borrow().clone();
        let is = |b: &gtk::Button| cells.iter().any(|(s, x)| *s == spot && x == b);
        let button =
            there.filter(is).or_else(|| cells.iter().find(|(s, _)| *s == spot).map(|(_, b)| b.clone()));
        if let Some(button) = button {
            button.grab_focus();
        }
    }

    /// Moves the focus among the numbers, where the key is an arrow and the focus is on one. Says whether it did.
    pub fn move_focus(&self, key: &Key) -> bool {
        if key.ctrl || key.alt || key.shift {
            return false;
        }
        let imp = self.imp();
        let Some((_, line, at, map)) = self.focus_place().filter(|p| p.1 != usize::MAX) else { return false };
        let lines = if map { imp.map_lines.borrow().clone() } else { imp.lines.borrow().clone() };
        let last = |line: usize| lines[line].len().saturating_sub(1);
        let ways = [
            ("left", (line, at.saturating_sub(1))),
            ("right", (line, (at + 1).min(last(line)))),
            ("up", (line.saturating_sub(1), at)),
            ("down", ((line + 1).min(lines.len() - 1), at)),
            ("home", (line, 0)),
            ("end", (line, last(line))),
        ];
        let Some((_, to)) = ways.into_iter().find(|(way, _)| key.is(way)) else { return false };
        let Some(button) = lines[to.0].get(to.1.min(last(to.0))) else { return true };
        button.grab_focus();
        true
    }
}
