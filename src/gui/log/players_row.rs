//! The players proposed on the Measure page: what is said of them, the keys' buttons, and their rings over the picture, of which one can
//! be dragged.

use std::cell::RefCell;
use std::rc::Rc;

use gtk::cairo::{Context, Error};
use gtk::glib;
use gtk::prelude::*;

use super::court_lines::{Onto, draw_ring, draw_words};
use super::work_row::{WorkRow, button, on_click, show_when_seen};
use crate::gui::model::{Event, Model};
use crate::logging::Action;
use crate::measure::{Calibration, Pixel};
use crate::session::positions::name;
use crate::session::proposed::trust;
use crate::session::proposing::Proposal;

/// A ring is caught this near to its middle, in pixels of the screen.
const REACH: f64 = 18.0;

/// One that is dragged, from where and to where.
#[derive(Debug, Clone, Copy)]
struct Dragged {
    proposal: Proposal,
    from: Pixel,
    to: Pixel,
}

/// The row.
#[derive(Debug)]
pub struct PlayersRow {
    pub(super) row: WorkRow,
    buttons: [(gtk::Button, Action); 3],
    model: glib::WeakRef<Model>,
    dragged: RefCell<Option<Dragged>>,
}

impl PlayersRow {
    /// Fills a box that is empty.
    pub fn fill(into: &gtk::Box, model: &Model) -> Rc<Self> {
        let begin = ["Find the players", "Looks for both players at each shot of this point"];
        let row = WorkRow::new(into, "Looking for the players", begin);
        row.wire(model, Model::cancel_players, Model::find_players);
        let buttons = [
            ("Accept these", Action::AcceptPlayers),
            ("Next shot", Action::NextProposal),
            ("Accept the whole point", Action::AcceptPointPlayers),
        ]
        .map(|(label, action)| (button(label), action));
        put(&buttons, into, model);
        let players = Rc::new(Self { row, buttons, model: model.downgrade(), dragged: RefCell::default() });
        players.show(model);
        let events = [
            Event::Court,
            Event::Changed,
            Event::Current,
            Event::Opened,
            Event::Moment,
            Event::Transport,
            Event::Card,
        ];
        show_when_seen(
            into,
            model,
            &events,
            glib::clone!(
                #[strong]
                players,
                move |m| {
                    m.look_for_players();
                    players.show(m);
                }
            ),
        );
        players
    }

    fn show(&self, model: &Model) {
        let known = model.players_here();
        // At a moment its frame is about to be painted.
        let shown = model.moment().get().map(|(at, _)| at).filter(|_| !model.is_playing());
        let words = {
            let session = model.session().borrow();
            let said = session.as_ref().zip(known.as_ref());
            said.map(|(s, known)| known.words(&s.view.record, shown)).unwrap_or_default()
        };
        let says = ["Looking for the players of this point", "The players were not looked for"];
        self.row.show(model.players_stage().as_ref(), says, &words, model.can_find_players());
        let waiting = model.proposals();
        for (button, action) in &self.buttons {
            let seen = match action {
                Action::AcceptPlayers => waiting.iter().any(|p| Some(p.frame) == shown),
                Action::NextProposal => waiting.iter().any(|p| Some(p.frame) != shown),
                _ => !waiting.is_empty(),
            };
            // The cell of a flow box stays where only what it holds is hidden.
            button.parent().iter().for_each(|cell| cell.set_visible(seen));
            button.set_tooltip_text(Some(&format!("{} ({})", action.title(), model.cap(*action))));
        }
    }

    /// Those of the frame that is shown.
    pub fn here(&self) -> Vec<Proposal> {
        let Some(model) = self.model.upgrade() else { return Vec::new() };
        let shown = model.shown().filter(|_| !model.is_playing());
        model.proposals().into_iter().filter(|p| Some(p.frame) == shown).collect()
    }

    /// Takes hold of a ring near a pixel. Says whether there is one.
    pub fn press(&self, at: Pixel, scale: f64) -> bool {
        let here = self.here().into_iter().map(|p| (p.pixel.distance(at) * scale, p));
        let near = here.filter(|(far, _)| *far <= REACH).min_by(|a, b| a.0.total_cmp(&b.0));
        let taken = near.map(|(_, proposal)| Dragged { proposal, from: at, to: at });
        let there = taken.is_some();
        self.dragged.replace(taken);
        there
    }

    /// Moves the one that is held.
    pub fn drag(&self, to: Pixel) {
        if let Some(dragged) = self.dragged.borrow_mut().as_mut() {
            dragged.to = to;
        }
    }

    /// Lets it go: it is stored there; or leaves it where it was.
    pub fn drop(&self, store: bool) {
        let Some(d) = self.dragged.take().filter(|_| store) else { return };
        if let Some(model) = self.model.upgrade() {
            model.correct_player(&d.proposal, d.at());
        }
    }

    /// Draws those of the frame that is shown: dashed, with whose feet they are and how far to believe it.
    pub fn draw(&self, cr: &Context, camera: &Calibration, onto: Onto) -> Result<(), Error> {
        let dragged = *self.dragged.borrow();
        for p in self.here() {
            let held = dragged.filter(|d| (d.proposal.strike, d.proposal.of) == (p.strike, p.of));
            let at = held.map_or(p.pixel, Dragged::at);
            let Some(spot) = camera.camera().ground(at) else { continue };
            draw_ring(cr, camera, spot, held.is_none(), onto)?;
            let whose = self.model.upgrade().and_then(|m| {
                let session = m.session().borrow();
                Some(name(&session.as_ref()?.view.record, p.of?))
            });
            let words = format!("{} · {}", whose.unwrap_or_default(), trust(p.confidence));
            let (x, y) = onto.of(at);
            draw_words(cr, &words, (x, y + 10.0))?;
        }
        Ok(())
    }
}

/// Puts the buttons in a row that has two lines where it is narrow.
fn put(buttons: &[(gtk::Button, Action); 3], into: &gtk::Box, model: &Model) {
    let flow = gtk::FlowBox::builder()
        .selection_mode(gtk::SelectionMode::None)
        .max_children_per_line(2)
        .column_spacing(4)
        .row_spacing(4)
        .build();
    into.append(&flow);
    for (button, action) in buttons {
        let action = *action;
        flow.insert(button, -1);
        on_click(button, model, move |m| m.do_with_players(action));
    }
}

impl Dragged {
    /// Where the feet are then: it moves as far as the pointer, wherever it was taken hold of.
    fn at(self) -> Pixel {
        let pixel = self.proposal.pixel;
        Pixel::new(pixel.x + self.to.x - self.from.x, pixel.y + self.to.y - self.from.y)
    }
}
