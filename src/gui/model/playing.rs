//! Playing the footage: from file to file along the match clock, and from clip to clip.

use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::clips::{ClipList, Lead, clip_list};
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::gui::picture::paintable::Shown;
use crate::session::parts::Place;
use crate::session::state::Session;
use crate::time::{MatchTime, Span};
use crate::video::{Frame, Player, PlayerEvent};

const SPEEDS: [f64; 9] = [0.1, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0];
const SKIP: Duration = Duration::from_secs(5);

impl Model {
    /// The moment of the frame on the screen, on the match clock.
    pub fn shown(&self) -> Option<MatchTime> {
        Some(self.frames().painted()?.at)
    }

    fn with_player(&self, f: impl FnOnce(&Player)) {
        match &*self.player().borrow() {
            Some(player) => f(player),
            None if self.session().borrow().is_some() => self.say("There is no footage to play."),
            None => {}
        }
    }

    /// Whether it plays.
    pub fn is_playing(&self) -> bool {
        self.player().borrow().as_ref().is_some_and(Player::is_playing)
    }

    /// How fast it plays, or would.
    pub fn speed(&self) -> f64 {
        self.player().borrow().as_ref().map_or(1.0, Player::speed)
    }

    /// While the hand drags along the film: shows the frame at a moment, or one near it.
    pub fn drag_to(&self, at: MatchTime) {
        self.end_queue();
        let place = self.session().borrow_mut().as_mut().and_then(|s| {
            s.let_go();
            s.parts.nearest(at, true).map(|place| (place, s.part == place.part))
        });
        match (place, &*self.player().borrow()) {
            (Some((place, true)), Some(player)) => return player.drag(place.frame),
            (None, _) => return,
            _ => {}
        }
        self.rest_at(at);
    }

    /// The hand rests: shows the frame at that moment.
    pub fn rest_at(&self, at: MatchTime) {
        let place = self.session().borrow().as_ref().and_then(|s| s.parts.nearest(at, true));
        if let Some(place) = place {
            self.show_place(place, self.is_playing());
        }
    }

    fn end_queue(&self) {
        self.session().borrow_mut().iter_mut().for_each(|s| s.queue.clear());
    }

    /// Plays, or pauses on the frame shown.
    pub fn play_pause(&self) {
        self.end_queue();
        self.with_player(|p| if p.is_playing() { p.pause() } else { p.play() });
        self.tell(Event::Transport);
    }

    /// Plays backwards, or pauses on the frame shown when it does.
    pub fn play_backward(&self) {
        self.end_queue();
        self.with_player(|p| if p.is_backward() { p.pause() } else { p.play_backward() });
        self.tell(Event::Transport);
    }

    /// Whether it plays backwards.
    pub fn is_backward(&self) -> bool {
        self.player().borrow().as_ref().is_some_and(Player::is_backward)
    }

    /// Goes one frame on (1) or back (-1), over the border of a file too.
    pub fn step(&self, frames: i64) {
        self.end_queue();
        let over = {
            let (session, player) = (self.session().borrow(), self.player().borrow());
            let (Some(s), Some(player)) = (session.as_ref(), player.as_ref()) else { return };
            let here = Place { part: s.part, frame: player.here() };
            s.parts.over_the_border(here, frames > 0)
        };
        match over {
            Some(place) => self.show_place(place, false),
            None => self.with_player(|p| p.step(frames)),
        }
    }

    /// Goes five seconds on or back.
    pub fn skip(&self, forward: bool) {
        let Some(shown) = self.shown() else { return };
        let to = if forward { shown.later(SKIP) } else { shown.earlier(SKIP) };
        let place = self.session().borrow_mut().as_mut().and_then(|s| {
            s.let_go();
            s.parts.nearest(to, forward)
        });
        if let Some(place) = place {
            self.show_place(place, self.is_playing());
        }
    }

    /// Shows the frame at a moment of the match clock; says so when nothing was filmed then.
    pub fn go_to(&self, at: MatchTime) {
        let place = {
            let session = self.session().borrow();
            let Some(s) = session.as_ref().filter(|s| !s.parts.is_empty()) else { return };
            s.parts.showing(at)
        };
        match place {
            Some(place) => self.show_place(place, self.is_playing()),
            None => self.say(&format!("There is no footage at {}.", at.short())),
        }
    }

    /// Stops at the frame of a moment, or the one nearest to it.
    pub fn show_still(&self, at: MatchTime) {
        let place = self.session().borrow().as_ref().and_then(|s| s.parts.nearest(at, false));
        if let Some(place) = place {
            self.stop();
            self.show_place(place, false);
        }
    }

    /// Shows a frame, and plays on from it if asked to. Another file than the one open gets a player of its own.
    pub fn show_place(&self, place: Place, play: bool) {
        let here = self.session().borrow().as_ref().map(|s| s.part) == Some(place.part);
        if !here || self.player().borrow().is_none() {
            self.open_part(place.part);
        }
        if let Some(player) = &*self.player().borrow() {
            player.seek_frame(place.frame);
            if play {
                player.play();
            }
        }
    }

    /// Opens a player on one of the files, as fast and as loud as the one before it.
    fn open_part(&self, part: usize) {
        let media = {
            let mut session = self.session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let Some(media) = s.media.get(part).cloned() else { return };
            (s.part, s.looping) = (part, false);
            media
        };
        let speed = self.player().take().map_or(1.0, |p| p.speed());
        let events = match Player::open(Arc::clone(&media)) {
            Ok((player, events)) => {
                player.set_muted(self.muted().get());
                player.set_speed(speed);
                self.player().replace(Some(player));
                events
            }
            Err(e) => return self.say_too(&e.to_string()),
        };
        self.players().set(self.players().get() + 1);
        let turn = self.players().get();
        let events = Rc::new(events);
        self.events().replace(Some((events.clone(), part, turn)));
        let model = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(event) = events.recv().await {
                let Some(m) = model.upgrade().filter(|m| m.players().get() == turn) else { return };
                m.on_event(part, event);
            }
        });
    }

    /// Shows at once what the player has to show, before the main loop comes to it.
    pub(super) fn take_frame(&self) {
        let Some((events, part, turn)) = self.events().borrow().clone() else { return };
        while turn == self.players().get()
            && let Ok(event) = events.try_recv()
        {
            self.on_event(part, event);
        }
    }

    fn on_event(&self, part: usize, event: PlayerEvent) {
        match event {
            PlayerEvent::Frame(frame) => self.on_frame(part, frame),
            PlayerEvent::Playing | PlayerEvent::Paused | PlayerEvent::SpeedChanged(_) => {
                self.tell(Event::Transport);
            }
            PlayerEvent::Ended => {
                self.on_ended(part);
                self.tell(Event::Transport);
            }
            PlayerEvent::AtStart => {
                self.on_start(part);
                self.tell(Event::Transport);
            }
            PlayerEvent::Warning(text) => {
                if self.warned().replace(text.clone()) != text {
                    self.say_too(&text);
                }
            }
            PlayerEvent::Error(e) => self.say_too(&e.to_string()),
        }
    }

    /// A new frame: puts it up, and goes on to the next span of a queue when this one is over.
    fn on_frame(&self, part: usize, frame: Frame) {
        let (over, next, at) = {
            let mut session = self.session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let at = s.parts.get(part).map_or(frame.time, |p| p.on_clock(frame.time));
            let over = s.queue.last().is_some_and(|x| at >= x.end());
            if over {
                s.queue.pop();
            }
            (over, s.queue.last().map(|x| x.start()), at)
        };
        if over {
            if let Some(start) = next {
                return self.go_to(start);
            }
            self.with_player(Player::pause);
        }
        if let Some(player) = &*self.player().borrow() {
            player.shown(&frame);
        }
        let index = frame.index;
        let moved = self.session().borrow_mut().as_mut().is_some_and(|s| s.follow(at));
        self.frames().show(Shown { frame, part, at });
        self.moment().set(Some((at, Place { part, frame: index })));
        self.tell(Event::Moment);
        if moved {
            self.tell(Event::Current);
        }
    }

    /// A file is over: goes on with the next span of a queue, or in the next file.
    fn on_ended(&self, part: usize) {
        let next = {
            let mut session = self.session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let queued = s.queue.pop().is_some();
            match s.queue.last() {
                Some(span) => s.parts.showing(span.start()),
                None if queued => None,
                None => s.parts.run_on(part),
            }
        };
        if let Some(place) = next {
            self.show_place(place, true);
        }
    }

    /// Backwards, the first frame of a file was shown: goes on in the file before it.
    fn on_start(&self, part: usize) {
        let first = Place { part, frame: 0 };
        let before = self.session().borrow().as_ref().and_then(|s| s.parts.over_the_border(first, false));
        if let Some(place) = before {
            self.show_place(place, false);
            self.with_player(Player::play_backward);
        }
    }

    /// Stops on the frame shown.
    pub fn stop(&self) {
        self.end_queue();
        if let Some(player) = &*self.player().borrow() {
            player.pause();
        }
        self.tell(Event::Transport);
    }

    /// Goes to another of the speeds.
    pub fn faster(&self, faster: bool) {
        self.with_player(|p| {
            let now = SPEEDS.iter().position(|s| *s >= p.speed() - 1e-9).unwrap_or(4);
            let to = if faster { (now + 1).min(SPEEDS.len() - 1) } else { now.saturating_sub(1) };
            p.set_speed(SPEEDS[to]);
        });
        self.tell(Event::Transport);
    }

    /// Goes to speed 1.
    pub fn normal_speed(&self) {
        self.with_player(|p| p.set_speed(1.0));
        self.tell(Event::Transport);
    }

    /// Turns the sound off or on.
    pub fn mute(&self) {
        let muted = !self.muted().get();
        self.muted().set(muted);
        self.with_player(|p| p.set_muted(muted));
        self.tell(Event::Transport);
    }

    /// Plays the current point with its lead-in over and over, or stops doing so.
    pub fn loop_point(&self) {
        let lead = self.settings().borrow().lead_in();
        let found = {
            let session = self.session().borrow();
            let Some(s) = session.as_ref() else { return };
            let span = s.current().and_then(|i| s.loop_of(i, lead));
            let place = span.and_then(|x| s.parts.showing(x.start()));
            let part = place.and_then(|p| s.parts.get(p.part));
            let in_file =
                span.zip(part).and_then(|(x, p)| Span::new(p.in_file(x.start()), p.in_file(x.end())).ok());
            place.zip(in_file).filter(|_| !s.looping)
        };
        if let Some((place, _)) = found
            && self.session().borrow().as_ref().is_some_and(|s| s.part != place.part)
        {
            self.show_place(place, true);
        }
        self.with_player(|p| p.set_loop(found.map(|(_, span)| span)));
        self.session().borrow_mut().iter_mut().for_each(|s| s.looping = found.is_some());
        self.tell(Event::Transport);
    }

    /// Plays the points that the filter keeps.
    pub fn play_matching(&self) {
        let kept = self.session().borrow().as_ref().map(Session::kept);
        self.play_points(kept.unwrap_or_default());
    }

    /// Plays points, as the clips that `changeover clips` would list.
    pub fn play_points(&self, points: Vec<usize>) {
        let (first, left_out) = {
            let mut session = self.session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let points: Vec<_> = points.into_iter().map(|point| PointRef { record: 0, point }).collect();
            let ClipList { clips, unreachable } = clip_list(&[&*s.view.record], &points, Lead::default());
            let mut queue: Vec<Span> = clips.iter().map(|c| c.span).collect();
            queue.retain(|x| s.parts.showing(x.start()).is_some());
            queue.reverse();
            s.queue = queue;
            (s.queue.last().map(|x| x.start()), unreachable.len())
        };
        let Some(start) = first else {
            return self
                .say("None of these points can be played: each needs a start, an end and its footage.");
        };
        if left_out > 0 {
            let n = Counted(left_out, Noun::Point);
            self.say(&format!("{n} {} left out: no start, no end, or no footage.", n.is()));
        }
        self.go_to(start);
        self.with_player(Player::play);
    }
}
