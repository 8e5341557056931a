//! What the window does at a key press or a click: one edit, one seek, or one thing of its own.

use std::time::Duration;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::session::{Filter, Frames};
use super::window::Window;
use crate::logging::{Action, Meaning};
use crate::time::{MatchTime, Span};
use crate::video::Frame;

const SPEEDS: [f64; 8] = [0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0];
const SKIP: Duration = Duration::from_secs(5);
/// Footage kept before and after a point when points are played one after another, as for clips.
const LEAD_IN: Duration = Duration::from_secs(2);
const LEAD_OUT: Duration = Duration::from_secs(1);

impl Window {
    /// Does what a key means.
    pub fn perform(&self, meaning: &Meaning) {
        match meaning {
            Meaning::Tag(tag) => self.log(|s, _| s.logger.tag(tag, s.store.record())),
            Meaning::Do(action) => self.act(*action),
        }
    }

    fn act(&self, action: Action) {
        match action {
            Action::PlayPause => self.play_pause(),
            Action::FrameForward => self.step(1),
            Action::FrameBack => self.step(-1),
            Action::SkipForward => self.skip(true),
            Action::SkipBack => self.skip(false),
            Action::Faster => self.change_speed(|i| (i + 1).min(SPEEDS.len() - 1)),
            Action::Slower => self.change_speed(|i| i.saturating_sub(1)),
            Action::NormalSpeed => self.change_speed(|_| 3),
            Action::LoopPoint => self.loop_point(),
            Action::Mute => self.mute(),
            Action::Note => self.begin_note(),
            Action::Undo => self.history(true),
            Action::Redo => self.history(false),
            Action::PointBack
            | Action::PointForward
            | Action::GameBack
            | Action::GameForward
            | Action::FirstPoint
            | Action::LastPoint
            | Action::MatchBack
            | Action::MatchForward => self.walk(action),
            Action::Filter => self.open_filter(),
            Action::ClearFilter => self.clear_filter(),
            Action::PlayMatching => self.play_matching(),
            Action::Open => self.ask_for_file(),
            Action::MatchDetails => self.show_details(),
            Action::Save => self.save(),
            Action::LightDark => self.light_dark(),
            Action::Help => self.show_help(),
            Action::FullScreen => self.set_fullscreened(!self.is_fullscreen()),
            Action::Quit => self.close(),
            logging => self.log(|s, shown| {
                let index = s.media.as_ref().map(|m| &*m.index);
                let frames = Frames { index, start: s.start };
                s.logger.act(logging, shown, &frames, s.store.record())
            }),
        }
    }

    /// The moment of the frame on the screen, on the match clock.
    fn shown(&self) -> Option<MatchTime> {
        let frame = self.imp().paintable.painted()?;
        self.imp().session.borrow().as_ref().map(|s| s.on_clock(frame.time))
    }

    /// Logs: asks the logger for the edit, applies it, shows the change.
    fn log(
        &self,
        ask: impl FnOnce(
            &super::session::Session,
            MatchTime,
        ) -> Result<crate::logging::Step, crate::logging::LogError>,
    ) {
        let shown = self.shown();
        let outcome = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let step = ask(s, shown.unwrap_or_default()).map_err(|e| e.to_string());
            step.and_then(|step| {
                let change = s.store.apply(step.edit).map_err(|e| e.to_string())?;
                s.logger.choose(step.current);
                s.derive();
                Ok(change)
            })
        };
        match outcome {
            Ok(_) => self.show_change(),
            Err(message) => self.say(&message),
        }
    }

    fn show_change(&self) {
        self.imp().message_revealer.set_reveal_child(false);
        self.show_record();
        let trouble = self.imp().session.borrow().as_ref().and_then(|s| s.store.trouble().map(str::to_owned));
        if let Some(trouble) = trouble {
            self.say(&trouble);
        }
    }

    fn history(&self, back: bool) {
        let outcome = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let change = if back { s.store.undo() } else { s.store.redo() };
            s.derive();
            if let Ok(Some(crate::record::Change::Inserted(i) | crate::record::Change::Point(i))) = change {
                s.logger.choose(Some(i));
            }
            change
        };
        match outcome {
            Ok(Some(_)) => self.show_change(),
            Ok(None) => {
                self.say(if back { "There is nothing to undo." } else { "There is nothing to redo." });
            }
            Err(e) => self.say(&e.to_string()),
        }
    }

    fn with_player(&self, f: impl FnOnce(&crate::video::Player)) {
        match &*self.imp().player.borrow() {
            Some(player) => f(player),
            None if self.imp().session.borrow().is_some() => self.say("There is no footage to play."),
            None => {}
        }
    }

    fn play_pause(&self) {
        self.imp().session.borrow_mut().iter_mut().for_each(|s| s.queue.clear());
        self.with_player(|p| if p.is_playing() { p.pause() } else { p.play() });
        self.show_transport();
    }

    fn step(&self, frames: i64) {
        self.imp().session.borrow_mut().iter_mut().for_each(|s| s.queue.clear());
        self.with_player(|p| p.step(frames));
    }

    fn skip(&self, forward: bool) {
        if let Some(shown) = self.shown() {
            self.go_to(if forward { shown.later(SKIP) } else { shown.earlier(SKIP) });
        }
    }

    /// Shows the frame at a moment of the match clock.
    pub fn go_to(&self, at: MatchTime) {
        let frame = self.imp().session.borrow().as_ref().and_then(|s| s.frame_at(at));
        if let (Some(frame), Some(player)) = (frame, &*self.imp().player.borrow()) {
            player.seek_frame(frame);
        }
    }

    fn change_speed(&self, to: impl FnOnce(usize) -> usize) {
        self.with_player(|p| {
            let now = SPEEDS.iter().position(|s| *s >= p.speed() - 1e-9).unwrap_or(3);
            p.set_speed(SPEEDS[to(now)]);
        });
        self.show_transport();
    }

    fn mute(&self) {
        let muted = !self.imp().muted.get();
        self.imp().muted.set(muted);
        self.with_player(|p| p.set_muted(muted));
        self.show_transport();
    }

    fn loop_point(&self) {
        let span = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut() else { return };
            s.looping = !s.looping;
            let current = s.logger.current().and_then(|i| s.facts().get(i)).and_then(|f| f.span);
            let back = |t: MatchTime| MatchTime::from_nanos(t.nanos().saturating_sub(s.start.nanos()));
            let file_span = current.and_then(|c| Span::new(back(c.start()), back(c.end())).ok());
            s.looping = s.looping && file_span.is_some();
            file_span.filter(|_| s.looping)
        };
        self.with_player(|p| p.set_loop(span));
        self.show_transport();
    }

    /// Makes a point current and shows its first frame.
    pub fn choose(&self, point: usize) {
        let start = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut().filter(|s| point < s.facts().len()) else { return };
            s.logger.choose(Some(point));
            s.queue.clear();
            s.store.record().points[point].start
        };
        self.show_record();
        if let Some(start) = start {
            self.go_to(start);
        }
    }

    fn walk(&self, action: Action) {
        let to = {
            let session = self.imp().session.borrow();
            let Some(s) = session.as_ref() else { return };
            let last = s.facts().len().checked_sub(1);
            match action {
                Action::PointBack => s.logger.current().and_then(|c| c.checked_sub(1)),
                Action::PointForward => s.logger.current().map(|c| c + 1).filter(|c| Some(*c) <= last),
                Action::GameBack => s.game_from(false),
                Action::GameForward => s.game_from(true),
                Action::FirstPoint => last.map(|_| 0),
                Action::LastPoint => last,
                Action::MatchBack => s.kept_from(false),
                _ => s.kept_from(true),
            }
        };
        if let Some(point) = to {
            self.choose(point);
        }
    }

    /// Sees the points of one row of the filter menu.
    pub fn filter_by(&self, row: usize) {
        let Some(filter) = self.imp().filters.borrow().get(row).cloned() else { return };
        let first = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut() else { return };
            s.filter = filter;
            let current = s.logger.current();
            if current.is_some_and(|c| s.keeps(c)) { None } else { s.kept().first().copied() }
        };
        match first {
            Some(point) => self.choose(point),
            None => self.show_record(),
        }
        self.imp().picture.grab_focus();
    }

    fn open_filter(&self) {
        self.show_filters();
        self.imp().filter.grab_focus();
        self.imp().filter.activate();
    }

    fn clear_filter(&self) {
        if let Some(s) = self.imp().session.borrow_mut().as_mut() {
            s.filter = Filter::All;
            s.queue.clear();
        }
        self.imp().message_revealer.set_reveal_child(false);
        self.show_filters();
        self.show_record();
    }

    fn play_matching(&self) {
        let first = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let spans = s.kept().into_iter().filter_map(|i| s.facts()[i].span);
            let mut queue: Vec<Span> = Vec::new();
            for span in spans.map(|x| x.widened(LEAD_IN, LEAD_OUT)) {
                match queue.last().and_then(|l| l.joined(span)) {
                    Some(joined) => drop(queue.splice(queue.len() - 1.., [joined])),
                    None => queue.push(span),
                }
            }
            queue.reverse();
            s.queue = queue;
            s.queue.last().map(|x| x.start())
        };
        let Some(start) = first else { return self.say("No point here has both its start and its end yet.") };
        self.go_to(start);
        self.with_player(crate::video::Player::play);
    }

    /// A new frame: puts it up, and goes on to the next span of a queue when this one is over.
    pub fn on_frame(&self, frame: Frame) {
        let (over, next, at) = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let at = s.on_clock(frame.time);
            let over = s.queue.last().is_some_and(|x| at >= x.end());
            if over {
                s.queue.pop();
            }
            (over, s.queue.last().map(|x| x.start()), at)
        };
        if over {
            match next {
                Some(start) => self.go_to(start),
                None => self.with_player(crate::video::Player::pause),
            }
            if next.is_some() {
                return;
            }
        }
        if let Some(player) = &*self.imp().player.borrow() {
            player.shown(&frame);
        }
        let index = frame.index;
        self.imp().paintable.show(frame);
        self.show_moment(at, index);
    }

    /// The footage is over: so is a queue that ran to its end.
    pub fn on_ended(&self) {
        self.imp().session.borrow_mut().iter_mut().for_each(|s| s.queue.clear());
    }

    fn begin_note(&self) {
        let note = {
            let session = self.imp().session.borrow();
            let Some(s) = session.as_ref() else { return };
            s.logger.current().map(|c| s.store.record().points[c].note.clone())
        };
        let Some(note) = note else { return self.say("There is no point to write a note on yet.") };
        let entry = &self.imp().note_entry;
        entry.set_text(&note);
        entry.set_visible(true);
        entry.grab_focus();
    }

    /// Puts the note's entry away.
    pub fn end_note(&self) {
        self.imp().note_entry.set_visible(false);
        self.imp().picture.grab_focus();
    }

    /// Keeps a note.
    pub fn keep_note(&self, text: &str) {
        self.log(|s, _| s.logger.note(text, s.store.record()));
        self.end_note();
    }

    fn save(&self) {
        let outcome = self.imp().session.borrow_mut().as_mut().map(|s| s.store.save());
        if let Some(Err(e)) = outcome {
            self.say(&e.to_string());
        }
        self.show_saved();
    }

    fn light_dark(&self) {
        let dark = !self.imp().dark.get();
        self.imp().dark.set(dark);
        if dark {
            self.add_css_class("dark");
        } else {
            self.remove_css_class("dark");
        }
        self.imp().ribbon.set_dark(dark);
    }

    /// Says something in the bar at the top.
    pub fn say(&self, text: &str) {
        let mut chars = text.chars();
        let text = chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect());
        self.imp().message.set_label(&text);
        self.imp().message_revealer.set_reveal_child(true);
    }
}
