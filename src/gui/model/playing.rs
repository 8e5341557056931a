//! Playing the footage: from file to file along the match clock.

use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::frames::FootageFile;
use crate::gui::picture::paintable::Shown;
use crate::session::parts::Place;
use crate::time::{MatchTime, Span};
use crate::video::{Events, Frame, Player, PlayerEvent};

const SPEEDS: [f64; 9] = [0.1, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0];
const SKIP: Duration = Duration::from_secs(5);

impl Model {
    /// The moment of the frame on the screen, on the match clock. `None` if it is of footage that the open record has not.
    pub fn shown(&self) -> Option<MatchTime> {
        self.frames().painted().filter(|s| !s.elsewhere).map(|s| s.at)
    }

    /// Whether the frame on the screen is of footage that the open record has not.
    pub fn is_elsewhere(&self) -> bool {
        self.frames().painted().is_some_and(|s| s.elsewhere)
    }

    pub(super) fn with_player(&self, f: impl FnOnce(&Player)) {
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
        self.end_clips();
        let here = self.part();
        let place = self.session().borrow_mut().as_mut().and_then(|s| {
            s.let_go();
            s.parts.nearest(at, true).map(|place| (place, here == Some(place.part)))
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

    /// Plays, or pauses on the frame shown. Clips go on where they were paused.
    pub fn play_pause(&self) {
        if self.is_at_clip_end() {
            return self.replay_clip();
        }
        self.run_on();
        self.with_player(|p| if p.is_playing() { p.pause() } else { p.play() });
        self.tell(Event::Transport);
    }

    /// Plays backwards, or pauses on the frame shown when it does.
    pub fn play_backward(&self) {
        self.leave_clips();
        self.with_player(|p| if p.is_backward() { p.pause() } else { p.play_backward() });
        self.tell(Event::Transport);
    }

    /// Whether it plays backwards.
    pub fn is_backward(&self) -> bool {
        self.player().borrow().as_ref().is_some_and(Player::is_backward)
    }

    /// Goes one frame on (1) or back (-1), over the border of a file too.
    pub fn step(&self, frames: i64) {
        self.leave_clips();
        let over = {
            let (session, player) = (self.session().borrow(), self.player().borrow());
            let Some(player) = player.as_ref() else { return };
            let part = self.part();
            session.as_ref().zip(part).and_then(|(s, part)| {
                s.parts.over_the_border(Place { part, frame: player.here() }, frames > 0)
            })
        };
        match over {
            Some(place) => self.show_place(place, false),
            None => self.with_player(|p| p.step(frames)),
        }
    }

    /// Goes five seconds on or back.
    pub fn skip(&self, forward: bool) {
        let shown = self.shown().filter(|_| !self.in_lesson());
        let Some(shown) = shown else { return self.skip_elsewhere(forward) };
        self.leave_clips();
        let to = if forward { shown.later(SKIP) } else { shown.earlier(SKIP) };
        let place = self.session().borrow_mut().as_mut().and_then(|s| {
            s.let_go();
            s.parts.nearest(to, forward)
        });
        if let Some(place) = place {
            self.show_place(place, self.is_playing());
        }
    }

    /// Goes five seconds on or back in footage that the open record has not.
    fn skip_elsewhere(&self, forward: bool) {
        let in_file = |s: &Shown| s.elsewhere || self.in_lesson();
        let Some(shown) = self.frames().painted().filter(in_file).map(|s| s.frame.time) else { return };
        self.leave_clips();
        let to = if forward { shown.later(SKIP) } else { shown.earlier(SKIP) };
        if let (Some((_, media, _)), Some(player)) = (&*self.events().borrow(), &*self.player().borrow()) {
            player.seek_frame(media.index.at(to));
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
        self.end_clips();
        if self.part() != Some(place.part) || self.player().borrow().is_none() {
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
        match Player::open(Arc::clone(&media)) {
            Ok((player, events)) => {
                player.set_muted(self.muted().get());
                player.set_speed(speed);
                self.put_player(media, player, events);
            }
            Err(e) => self.say_too(&e.to_string()),
        }
    }

    /// From now on this player plays, in the place of the one before.
    pub(super) fn put_player(&self, media: Arc<FootageFile>, player: Player, events: Events) {
        drop(self.player().replace(Some(player)));
        self.players().set(self.players().get() + 1);
        let turn = self.players().get();
        let events = Rc::new(events);
        self.events().replace(Some((events.clone(), media.clone(), turn)));
        if let (Some(part), Some(s)) = (self.part(), self.session().borrow_mut().as_mut()) {
            (s.part, s.looping) = (part, false);
        }
        let model = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(event) = events.recv().await {
                let Some(m) = model.upgrade().filter(|m| m.players().get() == turn) else { return };
                m.on_event(&media, event);
            }
        });
    }

    /// Which file of the open record the player plays; `None` if it is none of them, or nothing is played.
    pub fn part(&self) -> Option<usize> {
        let (session, events) = (self.session().borrow(), self.events().borrow());
        let (s, (_, media, _)) = session.as_ref().zip(events.as_ref())?;
        let is = |part: &usize| s.media.get(*part).is_some_and(|m| m.path == media.path);
        Some(s.part).filter(is).or_else(|| (0..s.media.len()).find(is))
    }

    /// Shows at once what the player has to show, before the main loop comes to it.
    pub(super) fn take_frame(&self) {
        let Some((events, media, turn)) = self.events().borrow().clone() else { return };
        while turn == self.players().get()
            && let Ok(event) = events.try_recv()
        {
            self.on_event(&media, event);
        }
    }

    fn on_event(&self, media: &FootageFile, event: PlayerEvent) {
        match event {
            PlayerEvent::Frame(frame) => self.on_frame(media, frame),
            PlayerEvent::Playing | PlayerEvent::Paused | PlayerEvent::SpeedChanged(_) => {
                self.tell(Event::Transport);
            }
            PlayerEvent::Ended => {
                self.on_ended();
                self.tell(Event::Transport);
            }
            PlayerEvent::AtStart => {
                self.on_start();
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

    /// A new frame: puts it up, unless the clip that is played is over.
    fn on_frame(&self, media: &FootageFile, frame: Frame) {
        if self.ends_clip(media, frame.index) {
            return;
        }
        if let Some(player) = &*self.player().borrow() {
            player.shown(&frame);
        }
        let (part, index) = (self.part(), frame.index);
        let (at, moved) = {
            let mut session = self.session().borrow_mut();
            let place =
                session.as_mut().zip(part).and_then(|(s, n)| Some((s.parts.get(n)?.on_clock(frame.time), s)));
            match place {
                Some((at, s)) => (Some(at), s.follow(at)),
                None => (None, false),
            }
        };
        let place = at.zip(part).map(|(at, part)| (at, Place { part, frame: index }));
        let (time, elsewhere) = (frame.time, place.is_none());
        self.frames().show(Shown { frame, part: part.unwrap_or(0), at: at.unwrap_or(time), elsewhere });
        self.moment().set(place);
        self.run_frame(media, time);
        self.tell(Event::Moment);
        if moved {
            self.tell(Event::Current);
        }
    }

    /// A file is over: goes on with the next clip, or in the next file.
    fn on_ended(&self) {
        if self.plays_clips() {
            self.clip_over();
            return;
        }
        let part = self.part();
        let next = self.session().borrow().as_ref().zip(part).and_then(|(s, part)| s.parts.run_on(part));
        if let Some(place) = next {
            self.show_place(place, true);
        }
    }

    /// Backwards, the first frame of a file was shown: goes on in the file before it.
    fn on_start(&self) {
        let part = self.part();
        let before = self
            .session()
            .borrow()
            .as_ref()
            .zip(part)
            .and_then(|(s, part)| s.parts.over_the_border(Place { part, frame: 0 }, false));
        if let Some(place) = before {
            self.show_place(place, false);
            self.with_player(Player::play_backward);
        }
    }

    /// Goes back to the footage of the open record, if clips of other footage were shown. Says whether it did.
    pub fn leave_elsewhere(&self) -> bool {
        let elsewhere = self.is_elsewhere();
        if elsewhere {
            self.stop();
            self.resume();
        }
        elsewhere
    }

    /// Stops on the frame shown.
    pub fn stop(&self) {
        self.end_clips();
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
        self.tune_next();
        self.tell(Event::Transport);
    }

    /// Goes to speed 1.
    pub fn normal_speed(&self) {
        self.with_player(|p| p.set_speed(1.0));
        self.tune_next();
        self.tell(Event::Transport);
    }

    /// Turns the sound off or on.
    pub fn mute(&self) {
        let muted = !self.muted().get();
        self.muted().set(muted);
        self.with_player(|p| p.set_muted(muted));
        self.tune_next();
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
        self.end_clips();
        if let Some((place, _)) = found
            && self.part() != Some(place.part)
        {
            self.show_place(place, true);
        }
        self.with_player(|p| p.set_loop(found.map(|(_, span)| span)));
        self.session().borrow_mut().iter_mut().for_each(|s| s.looping = found.is_some());
        self.tell(Event::Transport);
    }
}
