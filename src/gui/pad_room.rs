//! The court pad in the log room: what it asks, its keys, the point as a line of balls, and the chips below.

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib};

use super::chips::{Chip, OF_A_BALL, OF_A_SERVE, OF_THE_END, lit};
use super::courtside::match_won;
use super::pad::Face;
use super::pad_court::Part as Shown;
use super::window::Window;
use crate::logging::line::Line;
use crate::logging::log::open_point;
use crate::logging::pad::{Lands, PadView, Phase};
use crate::logging::{Action, KeyCard, Meaning, Plain};
use crate::record::{Logged, Point, Record};
use crate::session::state::Session;
use crate::tennis::stroke::{Column, Row};
use crate::tennis::{CourtSide, End, Side};

/// A window of fewer lines of text is low: the picture needs what the hints would take.
const LOW: i32 = 42;

impl Window {
    /// Wires the pad, its chips, and the line of balls.
    pub fn wire_pad(&self) {
        let imp = self.imp();
        let window = self.downgrade();
        imp.pad.connect_pressed(move |column, row, shift| {
            if let Some(w) = window.upgrade() {
                w.press_cell(column, row, shift);
            }
        });
        for (name, all) in [("serve", &OF_A_SERVE[..]), ("ball", &OF_A_BALL[..])] {
            let grid = gtk::Grid::builder().column_spacing(4).row_spacing(4).column_homogeneous(true).build();
            for (i, (action, word)) in all.iter().enumerate() {
                let chip = Chip::new(self, *action, word);
                grid.attach(chip.button(), i as i32 % 3, i as i32 / 3, 1, 1);
                imp.chips.borrow_mut().push(chip);
            }
            imp.ball_keys.add_named(&grid, Some(name));
        }
        for (action, word) in OF_THE_END {
            let chip = Chip::new(self, action, word);
            let place = gtk::FlowBoxChild::builder().child(chip.button()).focusable(false).build();
            imp.finish_keys.insert(&place, -1);
            imp.chips.borrow_mut().push(chip);
        }
        for (button, action) in [
            (&imp.plain_forehand, Action::PlainForehand),
            (&imp.plain_groundstroke, Action::PlainGroundstroke),
        ] {
            let window = self.downgrade();
            button.connect_clicked(move |_| {
                if let Some(w) = window.upgrade() {
                    w.perform(&Meaning::Do(action));
                    w.show_pad();
                }
            });
        }
        let window = self.downgrade();
        imp.balls.connect_activate_link(move |_, ball| {
            if let (Some(w), Ok(ball)) = (window.upgrade(), ball.parse()) {
                w.choose_ball(ball);
            }
            glib::Propagation::Stop
        });
        let window = self.downgrade();
        self.connect_is_active_notify(move |_| {
            if let Some(w) = window.upgrade() {
                w.model().follow_layout(w.model().group().get());
            }
        });
    }

    /// What the pad's key of a cell does; with Shift, that of a backhand.
    fn press_cell(&self, column: Column, row: Row, shift: bool) {
        let action = {
            let session = self.model().session().borrow();
            let Some(s) = session.as_ref() else { return };
            let cell = &s.view.pad.cells[row as usize * 3 + column as usize];
            if shift { cell.backhand } else { cell.action }
        };
        self.perform(&Meaning::Do(action));
    }

    /// Chooses a ball of the current point, as its keys do.
    fn choose_ball(&self, ball: usize) {
        let (now, chosen) = {
            let session = self.model().session().borrow();
            let Some(pad) = session.as_ref().map(|s| &s.view.pad) else { return };
            let Some(now) = pad.goes_to else { return };
            (now, pad.chosen)
        };
        if !chosen {
            self.perform(&Meaning::Do(Action::BallBack));
        }
        let way = if ball < now { Action::BallBack } else { Action::BallForward };
        for _ in 0..ball.abs_diff(now) {
            self.perform(&Meaning::Do(way));
        }
    }

    /// Whether a point is being played.
    pub fn is_in_a_point(&self) -> bool {
        self.model().session().borrow().as_ref().is_some_and(Session::is_in_a_point)
    }

    /// Shows the pad, the balls of the current point, and what is lit.
    pub fn show_pad(&self) {
        let session = self.model().session().borrow();
        let (Some(s), Some(card)) = (session.as_ref(), self.card()) else { return };
        let imp = self.imp();
        let (view, record) = (&s.view.pad, &*s.view.record);
        let stopped = open_point(record)
            .is_some_and(|i| Some(i) == s.current() && record.points[i].logged == Some(Logged::Opening));
        let asks = if stopped && !view.chosen {
            "The rest is not logged: name the winner".to_owned()
        } else {
            asks(record, view, s.view.won)
        };
        imp.pad_title.set_label(&asks);
        imp.pad_title.set_tooltip_text(Some(&asks));
        imp.pad_place.set_label(place(view));
        imp.pad.set_face(face(view, &card, asks));
        imp.plain_forehand.set_active(view.plain.forehand);
        imp.plain_groundstroke.set_active(view.plain.groundstroke);
        let none = Point::default();
        let point = s.current().and_then(|c| record.points.get(c)).unwrap_or(&none);
        let serve = view.goes_to.is_none_or(|n| n == 0);
        imp.ball_keys.set_visible_child_name(if serve { "serve" } else { "ball" });
        let names = [Side::A, Side::B].map(|side| record.about.side_name(side));
        for chip in &*imp.chips.borrow() {
            let planned = chip.action() == Action::Plan && !s.view.plan.is_empty();
            let on = planned || lit(chip.action(), point, view.goes_to);
            chip.show(&card.cap(chip.action()), on, [&names[0], &names[1]]);
        }
        self.show_balls(s);
        self.show_shown(s);
    }

    /// Leaves out what can be, in a window of this height.
    pub fn fit(&self, height: i32) {
        let line = self.create_pango_layout(Some("U")).pixel_size().1.max(1);
        let low = height / line < LOW;
        if self.imp().low.replace(low) != low {
            let window = self.downgrade();
            // Not while places are being given.
            glib::idle_add_local_once(move || {
                let Some(w) = window.upgrade() else { return };
                w.imp().hints.set_visible(!low);
                for label in [&w.imp().words, &w.imp().balls] {
                    label.set_lines(if low { 2 } else { 3 });
                }
                w.show_record();
            });
        }
    }

    /// How many letters the line of balls has room for.
    fn room(&self) -> usize {
        let letter = self.imp().balls.create_pango_layout(Some("Holt returns deep, ")).pixel_size().0 / 19;
        let lines = if self.imp().low.get() { 2 } else { 3 };
        // Lines break at words: not every line is full.
        let letters = self.imp().balls.width() / letter.max(1) * lines * 4 / 5;
        usize::try_from(letters).ok().filter(|n| *n > 40).unwrap_or(240)
    }

    fn show_balls(&self, s: &Session) {
        let line = Line::of(&s.view.record, s.facts(), s.current(), &s.view.pad);
        let mut parts = parts(&line);
        let open = open_point(&s.view.record).is_some();
        if !open && !s.view.plan.is_empty() {
            let plan = format!("next plan: {}", s.view.plan);
            let letters = plan.chars().count() + 3;
            parts.push(Part { ball: None, letters, markup: glib::markup_escape_text(&plan).into() });
        }
        let text = markup(&parts, s.view.pad.goes_to, s.view.pad.chosen, self.room());
        // The picture keeps its size while a point grows: the room for its words is there from the first key.
        let pad = self.card().is_some_and(|c| !c.cap(Action::PadMiddle).is_empty());
        self.imp().balls.set_visible(!text.is_empty() || open && pad);
        self.imp().balls.set_markup(&text);
    }

    /// Keeps what a key of the pad says besides the cell, where a key changed that.
    pub fn keep_plain(&self, plain: Plain) {
        let changed = {
            let mut settings = self.model().settings().borrow_mut();
            let before = (settings.plain_forehand, settings.plain_groundstroke);
            (settings.plain_forehand, settings.plain_groundstroke) = (plain.forehand, plain.groundstroke);
            before != (plain.forehand, plain.groundstroke)
        };
        if changed && let Err(message) = self.model().settings().borrow().write() {
            self.say_too(&message);
        }
    }
}

/// What the pad asks.
fn asks(record: &Record, view: &PadView, won: Option<Side>) -> String {
    let who = view.striker.map(|side| record.about.player(side).name.clone());
    let of = who.as_deref().map_or_else(String::new, |w| format!("{w}’s "));
    let serve = match view.serve {
        Some(1) => "first serve",
        Some(_) => "second serve",
        None => "serve",
    };
    match (view.phase, view.ball, view.chosen) {
        (_, 0, true) => "Correct the serve: where did it land?".into(),
        (_, n, true) => format!("Correct ball {}: where did it land?", n + 1),
        (Phase::Idle, ..) => match_won(record, won).unwrap_or_else(|| format!("Next: {of}{serve}")),
        (_, 0, _) => format!("Where did {of}{serve} land?"),
        _ => format!("Where did {of}ball land?"),
    }
}

/// Where on the court that is.
fn place(view: &PadView) -> &'static str {
    let place = match view.lands {
        Lands::Half(end) => end.map(half),
        Lands::Box { court, .. } => court.map(CourtSide::words),
    };
    place.unwrap_or("the end is not known")
}

const fn half(end: End) -> &'static str {
    match end {
        End::Near => "near half",
        End::Far => "far half",
    }
}

/// What the pad draws.
fn face(view: &PadView, card: &KeyCard, asks: String) -> Face {
    let part = match view.lands {
        Lands::Half(end) => Shown::Half(end.unwrap_or(End::Near)),
        Lands::Box { from, column, .. } => {
            Shown::Box(from.map_or(End::Near, End::other), column.unwrap_or(Column::Middle))
        }
    };
    let serve = matches!(view.lands, Lands::Box { .. });
    let word = |i: usize, of_a_serve| if serve == of_a_serve { view.cells[i].word } else { "" };
    Face {
        part,
        caps: [0, 3, 6].map(|row| [0, 1, 2].map(|column| card.cap(view.cells[row + column].action))),
        columns: [3, 4, 5].map(|i| word(i, true)),
        rows: [0, 3, 6].map(|i| word(i, false)),
        ball: view.cells.iter().find(|c| c.marked).map(|c| c.cell),
        asks,
    }
}

/// What is said of one ball, of a fault, or of the end.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Part {
    ball: Option<usize>,
    letters: usize,
    markup: String,
}

/// The parts of a line: who in plain letters, what was seen in bold ones, what is estimated with a question mark.
fn parts(line: &Line) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for s in &line.said {
        let text = glib::markup_escape_text(&s.text);
        let letters = s.text.chars().count() + 3;
        let (between, part) = match parts.last_mut() {
            Some(part) if !s.strong => (
                if part.markup.ends_with("</b>") || part.markup.ends_with("</i>") { ", " } else { " " },
                part,
            ),
            _ => {
                parts.push(Part { ball: s.ball, letters, markup: text.into() });
                continue;
            }
        };
        part.letters += letters;
        let (open, close) = if s.estimated { ("<i>", "?</i>") } else { ("<b>", "</b>") };
        for piece in [between, open, &text, close] {
            part.markup.push_str(piece);
        }
    }
    parts
}

/// The parts in Pango's markup: each ball can be chosen, the one that keys go to is underlined, and filled where it was
/// chosen. Of a long rally the middle is left out, but for what is marked.
fn markup(parts: &[Part], goes_to: Option<usize>, chosen: bool, room: usize) -> String {
    let marked = parts.iter().rposition(|p| p.ball.is_some() && p.ball == goes_to);
    let one = |(i, part): (usize, &Part)| {
        let text = match part.ball {
            Some(n) => format!("<a href=\"{n}\">{}</a>", part.markup),
            None => part.markup.clone(),
        };
        match (Some(i) == marked, chosen) {
            (false, _) => text,
            (true, false) => format!("<u>{text}</u>"),
            (true, true) => format!("<span background=\"#f2cf45\" color=\"#20252a\">▸ {text}</span>"),
        }
    };
    let mut line: Vec<String> = Vec::new();
    let mut next = 0;
    for i in shown(parts, marked.unwrap_or(parts.len().saturating_sub(1)), room) {
        line.extend((i != next).then(|| "…".into()));
        line.push(one((i, &parts[i])));
        next = i + 1;
    }
    line.extend((next != parts.len()).then(|| "…".into()));
    line.join(" · ")
}

/// Which parts have room: the marked one, the last, the first two, then those nearest to the marked one.
fn shown(parts: &[Part], marked: usize, room: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by_key(|i| (*i != marked, *i + 1 != parts.len(), *i > 1, i.abs_diff(marked)));
    let mut letters = 0;
    let mut fits = |i: &usize| {
        letters += parts[*i].letters;
        letters <= room || *i == marked
    };
    let mut kept: Vec<usize> = order.into_iter().take_while(|i| fits(i)).collect();
    kept.sort_unstable();
    kept
}

/// Whether a key event is one that moves about the pad or presses its cap, when the focus is there.
pub fn moves_in_pad(key: gdk::Key, mods: gdk::ModifierType) -> bool {
    let free = !mods.intersects(gdk::ModifierType::CONTROL_MASK | gdk::ModifierType::ALT_MASK);
    let keys =
        [gdk::Key::Left, gdk::Key::Right, gdk::Key::Up, gdk::Key::Down, gdk::Key::Return, gdk::Key::KP_Enter];
    free && keys.contains(&key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::logging::Logger;
    use crate::logging::line::Segment;

    use crate::tennis::rules::Rules;
    use crate::time::MatchTime;

    fn of(words: &[&str]) -> Vec<Part> {
        let part = |(n, w): (usize, &&str)| Part { ball: Some(n), letters: w.len(), markup: (*w).to_owned() };
        words.iter().enumerate().map(part).collect()
    }

    #[test]
    fn when_the_match_is_won_no_serve_is_asked_for() {
        let mut record = Record::default();
        record.about.rules = Rules::named("one-short-set").unwrap();
        let title = |record: &Record| {
            let logger = Logger::resume(record);
            asks(
                record,
                &PadView::of(record, &facts(record), &record.replay().end.state(), &logger),
                record.winner(),
            )
        };
        let won = Point { end: Some(MatchTime::ZERO), winner: Some(Side::A), ..Point::default() };
        record.points = vec![won.clone(); 15];
        assert_eq!(title(&record), "Next: Player B’s first serve");
        record.points.push(won);
        assert_eq!(title(&record), "Player A has won the match");
    }

    #[test]
    fn what_was_seen_is_bold_and_what_is_estimated_asks() {
        let segment = |text: &str, strong, estimated| Segment {
            text: text.into(),
            strong,
            cursor: false,
            estimated,
            ball: Some(0),
        };
        let said = vec![
            segment("Holt & co", true, false),
            segment("deep", false, false),
            segment("behind", false, true),
        ];
        let parts = parts(&Line { said, next: String::new() });
        assert_eq!(parts[0].markup, "Holt &amp; co <b>deep</b>, <i>behind?</i>");
        assert_eq!(parts.len(), 1);
    }

    #[test]
    fn the_line_marks_the_ball_that_keys_go_to() {
        let all = of(&["serves", "returns", "deep"]);
        assert_eq!(
            markup(&all, Some(2), false, 240),
            "<a href=\"0\">serves</a> · <a href=\"1\">returns</a> · <u><a href=\"2\">deep</a></u>"
        );
        assert!(markup(&all, Some(0), true, 240).contains("▸ <a href=\"0\">"));
    }

    #[test]
    fn a_long_rally_leaves_its_middle_out() {
        let all = of(&["Holt forehand deep"; 40]);
        let kept = shown(&all, 39, 240);
        assert!(kept.starts_with(&[0, 1]) && kept.ends_with(&[38, 39]) && kept.len() < 15, "{kept:?}");
        assert!(shown(&all, 20, 240).contains(&20));
        assert_eq!(markup(&all, Some(39), false, 240).matches('…').count(), 1);
        assert_eq!(shown(&all[..3], 2, 240), [0, 1, 2]);
        assert_eq!(shown(&all, 20, 10), [20], "the ball that keys go to is always there");
    }
}
