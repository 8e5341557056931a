//! The clips of what is chosen in the Study room: listed, played in place, and said why where they cannot be.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::clip_model::ClipModel;
use super::kit::dialog::dialog;
use super::showing::{Row, fill_row, row_of, row_widget};
use super::study::{Study, children};
use super::study_table::{Fit, text};
use super::window::{Window, capital};
use crate::clips::{Lead, Why, clip_list};
use crate::facts::PointRef;
use crate::session::state::Session;
use crate::session::study::asking::Answered;
use crate::session::study::facets::teams;
use crate::session::study::spot::{Part, Spot, heads, points_word};
use crate::summary::study::Findings;

/// Those of these points that cannot be played here, with the reason: as [`Window::play_points`] plays them.
fn not_played(session: &Session, points: &[PointRef]) -> BTreeMap<PointRef, &'static str> {
    let (here, elsewhere): (Vec<PointRef>, Vec<PointRef>) = points.iter().partition(|p| p.record == 0);
    let list = clip_list(&[&*session.view.record], &here, Lead::default());
    let shown = list.clips.iter().filter(|c| session.parts.showing(c.span.start()).is_some());
    let shown: BTreeSet<usize> = shown.flat_map(|c| c.points.iter().copied()).collect();
    let missing = here.iter().filter(|p| !shown.contains(&p.point)).map(|p| (*p, Why::NoFootage.words()));
    let mut all: BTreeMap<_, _> = missing.collect();
    all.extend(list.unreachable.iter().map(|u| (u.point, u.why.words())));
    all.extend(elsewhere.into_iter().map(|p| (p, "its match is not open")));
    all
}

impl Study {
    /// Sets the list of clips up.
    pub fn wire_clips(&self) {
        let clips = &self.imp().clips;
        let factory = gtk::SignalListItemFactory::new();
        factory.connect_setup(|_, item| {
            if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
                item.set_child(Some(&row_widget()));
            }
        });
        let room = self.downgrade();
        factory.connect_bind(move |_, item| {
            let (Some(room), Some(item)) = (room.upgrade(), item.downcast_ref::<gtk::ListItem>()) else {
                return;
            };
            let at = item.item().and_downcast::<glib::BoxedAnyObject>().map(|o| *o.borrow::<PointRef>());
            if let (Some(at), Some(child)) = (at, item.child())
                && let Some(row) = room.clip_row(at)
            {
                fill_row(&child, &row);
                // What the row has no room for.
                child.set_tooltip_text(Some(&row.text).filter(|t| !t.is_empty()).map(String::as_str));
            }
        });
        clips.set_factory(Some(&factory));
        clips.set_model(Some(&gtk::NoSelection::new(Some(ClipModel::default()))));
        let room = self.downgrade();
        clips.connect_activate(move |_, n| {
            let Some(room) = room.upgrade() else { return };
            if let Some(at) = room.model().and_then(|m| m.at(n)) {
                room.play_these(&[at]);
            }
        });
    }

    fn model(&self) -> Option<ClipModel> {
        self.imp().clips.model().and_downcast::<gtk::NoSelection>()?.model().and_downcast()
    }

    /// The clips that are listed.
    #[cfg(test)]
    pub fn all_listed(&self) -> Vec<PointRef> {
        self.model().unwrap().all()
    }

    fn clip_row(&self, at: PointRef) -> Option<Row> {
        let answered = self.answered()?;
        let m = answered.pool.matches().get(at.record)?;
        let mut row = row_of(&m.record, m.facts.get(at.point)?, Vec::new());
        let several = answered.pool.matches().len() > 1;
        let why = self.imp().not_played.borrow().get(&at).map(|w| format!("not played: {w}"));
        let words =
            why.into_iter().chain(several.then(|| teams(m))).chain(Some(row.text).filter(|t| !t.is_empty()));
        row.text = words.collect::<Vec<_>>().join(" · ");
        Some(row)
    }

    /// Chooses a place: its clips are listed, and the ribbon dims the other points.
    pub fn choose(&self, spot: Spot) {
        let imp = self.imp();
        let Some(answered) = self.answered() else { return };
        imp.spot.set(Some(spot));
        let of_spot = |s: &Spot| *s == spot || (spot.row().is_some() && s.row() == spot.row());
        for (s, button) in imp.cells.borrow().iter() {
            if of_spot(s) { button.add_css_class("chosen") } else { button.remove_css_class("chosen") }
        }
        let f = &answered.findings;
        let points = spot.points(f);
        imp.clips_title.set_label(&format!("{} ({})", capital(&spot.title(f)), points.len()));
        imp.play_all.set_sensitive(!points.is_empty());
        self.show_strip(spot, f);
        self.dim_others(&answered, spot, &points);
        if let Some(model) = self.model() {
            model.set(points);
        }
    }

    /// Chooses the same place once more, in what is shown now.
    pub fn show_again(&self) {
        self.choose(self.imp().spot.get().unwrap_or(Spot::All));
    }

    /// The row in a sentence, and what it is compared with.
    fn show_strip(&self, spot: Spot, f: &Findings) {
        let imp = self.imp();
        let row =
            spot.row().and_then(|(s, r)| Some(((s, r), f.sections.get(s)?, f.sections[s].rows.get(r)?)));
        imp.says.set_visible(row.is_some());
        imp.strip.set_visible(row.is_some());
        if matches!(spot, Spot::Others { .. } | Spot::Unplaced { .. }) {
            // The focus is on one of its own buttons.
            return;
        }
        for old in children(&imp.strip) {
            imp.strip.remove(&old);
        }
        imp.cells.borrow_mut().retain(|(s, _)| !matches!(s, Spot::Others { .. } | Spot::Unplaced { .. }));
        let Some(((section, row), table, found)) = row else { return };
        imp.says.set_label(&format!("{}.", capital(&found.says)));
        let lines = gtk::Box::new(gtk::Orientation::Vertical, 0);
        lines.append(&text("Compared with", &["quiet"]));
        let [won, lost] = heads(table.counts);
        let of = |part| Spot::Others { section, row, part };
        let line = gtk::Box::new(gtk::Orientation::Horizontal, 2);
        for (part, words) in
            [(Part::Points, "others"), (Part::Won, won), (Part::Lost, lost), (Part::Unknown, "unknown")]
        {
            let words = format!("{} {words}", of(part).count(f));
            line.append(&self.cell(of(part), &text(&words, &[]), f));
        }
        lines.append(&line);
        if !found.unplaced.is_empty() {
            lines.append(&self.chip(Spot::Unplaced { section, row }, "perhaps not among them", f));
        }
        imp.strip.append(&lines);
    }

    /// Says what cannot be played here, and lets the ribbon dim what is not chosen.
    fn dim_others(&self, answered: &Rc<Answered>, spot: Spot, points: &[PointRef]) {
        let Some(window) = self.window().filter(Window::is_in_study) else { return };
        let count = {
            let mut session = window.model().session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let all = spot == Spot::All && answered.findings.points.len() == answered.pool.points();
            let here: BTreeSet<usize> = points.iter().filter(|p| p.record == 0).map(|p| p.point).collect();
            s.only = Some(here).filter(|_| !all);
            let not_played = not_played(s, points);
            let count = not_played.len();
            self.imp().not_played.replace(not_played);
            count
        };
        let words = match (count, points.len()) {
            (0, _) => String::new(),
            (n, all) if n == all => "None of them can be played here; the list says why.".into(),
            (n, _) => format!("{} cannot be played here; the list says why.", points_word(n)),
        };
        self.imp().not_here.set_label(&words);
        self.imp().not_here.set_visible(!words.is_empty());
        if let Some(s) = window.model().session().borrow().as_ref() {
            self.imp().picture.set_visible(!s.media.is_empty());
            window.show_ribbon(s);
        }
    }

    /// Plays the clips of what is chosen.
    pub fn play(&self) {
        self.bring_picture();
        if let (Some(answered), Some(spot)) = (self.answered(), self.imp().spot.get()) {
            self.play_these(&spot.points(&answered.findings));
        }
    }

    /// Where the clips stand below the answer, brings the picture into sight.
    fn bring_picture(&self) {
        let imp = self.imp();
        if let Some(top) = imp.side.compute_bounds(&*imp.body).filter(|_| imp.fit.get() == Fit::Stacked) {
            imp.body_scroll.vadjustment().set_value(top.y().into());
        }
    }

    /// Plays these points: those of the open match; of another match it asks whether to open that.
    fn play_these(&self, points: &[PointRef]) {
        let Some(window) = self.window() else { return };
        let here: Vec<usize> = points.iter().filter(|p| p.record == 0).map(|p| p.point).collect();
        let elsewhere = points.iter().find(|p| p.record != 0).map(|p| p.record);
        match elsewhere {
            _ if points.is_empty() => window.say("No points here to play."),
            Some(record) if here.is_empty() => self.ask_to_open(&window, record),
            _ => {
                window.be_quiet();
                window.play_points(here);
                let others = points.iter().filter(|p| p.record != 0).count();
                if others > 0 {
                    let words = format!(
                        "Only the clips of the open match are played; {} of other matches: choose one in the list to \
                         open its match.",
                        points_word(others)
                    );
                    window.say_too(&words);
                }
            }
        }
    }

    /// Asks whether to open another match of the pool in the place of this one.
    fn ask_to_open(&self, window: &Window, record: usize) {
        let Some(answered) = self.answered() else { return };
        let other =
            record.checked_sub(1).and_then(|n| self.imp().others.borrow().get(n).map(|o| o.0.clone()));
        let (Some(m), Some(path)) = (answered.pool.matches().get(record), other) else { return };
        let page = gtk::Box::new(gtk::Orientation::Vertical, 14);
        let words = format!(
            "These points are in {}, which is not open. Open it in place of this match? This one is saved, and is \
             counted here all the same.",
            teams(m)
        );
        let words = text(&words, &[]);
        words.set_max_width_chars(52);
        page.append(&words);
        let button =
            gtk::Button::builder().label("Open it").halign(gtk::Align::End).css_classes(["primary"]).build();
        page.append(&button);
        let dialog = dialog(window, "Open another match", &page, (460, -1));
        dialog.set_default_widget(Some(&button));
        let (weak, dialog_of) = (window.downgrade(), dialog.downgrade());
        button.connect_clicked(move |_| {
            if let (Some(w), Some(d)) = (weak.upgrade(), dialog_of.upgrade()) {
                d.close();
                w.open(std::slice::from_ref(&path));
            }
        });
        dialog.present();
    }
}
