//! Numbers that take the focus: each is a list of clips. The arrow keys go from one to the next, and a new answer keeps the
//! place.

use std::cell::RefCell;

use gtk::glib;
use gtk::prelude::*;

use super::model::StudyModel;
use super::widgets::text;
use crate::counted::{Counted, Noun};
use crate::logging::Key;
use crate::session::study::found::Found;
use crate::session::study::spot::Spot;

/// The cells of one part of the page.
#[derive(Default)]
pub struct Cells {
    all: RefCell<Vec<(Spot, gtk::Button)>>,
    /// Line by line, for the arrow keys.
    lines: RefCell<Vec<Vec<gtk::Button>>>,
}

/// Where the focus is: the spot, its line, and its place in the line.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    spot: Spot,
    line: Option<(usize, usize)>,
}

impl Cells {
    /// Forgets all cells: others are made.
    pub fn clear(&self) {
        self.all.borrow_mut().clear();
        self.lines.borrow_mut().clear();
    }

    /// The buttons, each with its spot.
    pub fn all(&self) -> Vec<(Spot, gtk::Button)> {
        self.all.borrow().clone()
    }

    /// The lines that the arrow keys go along.
    #[cfg(test)]
    pub fn lines(&self) -> Vec<Vec<gtk::Button>> {
        self.lines.borrow().clone()
    }

    /// Puts buttons into one line for the arrow keys.
    pub fn line(&self, buttons: Vec<gtk::Button>) {
        if !buttons.is_empty() {
            self.lines.borrow_mut().push(buttons);
        }
    }

    /// A button that is a list of clips: the focus shows them, a click or Return plays them.
    pub fn cell(
        &self,
        study: &StudyModel,
        spot: Spot,
        child: &impl IsA<gtk::Widget>,
        f: &Found,
    ) -> gtk::Button {
        let button = gtk::Button::builder().child(child).css_classes(["cell"]).build();
        button.update_property(&[gtk::accessible::Property::Label(&spot.spoken(f))]);
        button.connect_has_focus_notify(glib::clone!(
            #[weak]
            study,
            move |b| {
                if b.has_focus() {
                    study.choose(spot);
                }
            }
        ));
        button.connect_clicked(glib::clone!(
            #[weak]
            study,
            move |_| {
                study.choose(spot);
                study.play();
            }
        ));
        self.all.borrow_mut().push((spot, button.clone()));
        button
    }

    /// A button with a number: how many points are behind it.
    pub fn number(&self, study: &StudyModel, spot: Spot, f: &Found) -> gtk::Button {
        let n = spot.count(f);
        let label = gtk::Label::builder().label(n.to_string()).xalign(1.0).build();
        if n == 0 {
            label.add_css_class("quiet");
        }
        self.cell(study, spot, &label, f)
    }

    /// A button with words around how many points are behind it: `{}` stands for `3 points`.
    pub fn chip(&self, study: &StudyModel, spot: Spot, words: &str, f: &Found) -> gtk::Button {
        let words = text(&words.replace("{}", &Counted(spot.count(f), Noun::Point).to_string()), &["quiet"]);
        words.set_natural_wrap_mode(gtk::NaturalWrapMode::None);
        let chip = self.cell(study, spot, &words, f);
        chip.set_halign(gtk::Align::Start);
        chip
    }

    /// Marks what belongs to the spot that is chosen.
    pub fn mark(&self, chosen: Spot) {
        for (spot, button) in self.all.borrow().iter() {
            let is = *spot == chosen || (chosen.row().is_some() && spot.row() == chosen.row());
            if is { button.add_css_class("chosen") } else { button.remove_css_class("chosen") }
        }
    }

    /// Where the focus is, if it is on one of the cells.
    pub fn place(&self) -> Option<Place> {
        let spot = self.all.borrow().iter().find(|(_, b)| b.has_focus()).map(|(s, _)| *s)?;
        let lines = self.lines.borrow();
        let find = |(n, line): (usize, &Vec<gtk::Button>)| {
            line.iter().position(gtk::prelude::WidgetExt::has_focus).map(|at| (n, at))
        };
        Some(Place { spot, line: lines.iter().enumerate().find_map(find) })
    }

    /// Gives the focus back to the place that had it, among the cells there are now.
    pub fn restore(&self, place: Option<Place>) {
        let Some(Place { spot, line }) = place else { return };
        let there = line.and_then(|(n, at)| self.lines.borrow().get(n)?.get(at).cloned());
        let all = self.all();
        let is = |b: &gtk::Button| all.iter().any(|(s, x)| *s == spot && x == b);
        let same = || all.iter().find(|(s, _)| *s == spot).map(|(_, b)| b.clone());
        if let Some(button) = there.filter(is).or_else(same) {
            button.grab_focus();
        }
    }

    /// Moves the focus among the cells, where the key is an arrow and the focus is on one. Says whether it did.
    pub fn walk(&self, key: &Key) -> bool {
        if key.ctrl || key.alt || key.shift {
            return false;
        }
        let Some((line, at)) = self.place().and_then(|p| p.line) else { return false };
        let lines = self.lines.borrow().clone();
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
        if let Some(button) = lines[to.0].get(to.1.min(last(to.0))) {
            button.grab_focus();
        }
        true
    }
}
