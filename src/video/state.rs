//! What is wished and what holds in a player: no thread, no clock, no decoder.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

use super::ahead::Ahead;
use super::busy::Doing;
use super::error::VideoError;
use super::frame::Frame;
use crate::time::Span;

/// How long a hand that drags a slider must be still to rest.
const REST: Duration = Duration::from_millis(60);

/// What the player tells the window.
#[derive(Debug, Clone)]
pub enum PlayerEvent {
    /// Show this frame. It stays on the screen until the next one is taken.
    Frame(Frame),
    /// Playing has been asked for.
    Playing,
    /// Playing has stopped where it was.
    Paused,
    /// Playing has come to the end of the footage.
    Ended,
    /// Playing backwards has come to the first frame.
    AtStart,
    /// The speed is now this many times the footage's own.
    SpeedChanged(f64),
    /// Something works less well than it should; a whole sentence.
    Warning(String),
    /// Something does not work; playing has stopped.
    Error(VideoError),
}

/// A piece of work for the player's thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Job {
    /// Decode one frame for the screen, to which the coach goes from another.
    Show { index: usize, from: usize, epoch: u64, request: u64 },
    /// Decode a frame near this one, quickly.
    Glance { index: usize },
    /// Play from a frame.
    Start { index: usize, epoch: u64, speed: f64, backward: bool },
    /// Stop the playing pipeline.
    Halt,
    /// Nothing to do, and a while has passed: look after the rest.
    Idle,
    /// The player is gone.
    Quit,
}

#[derive(Debug, Default)]
#[expect(clippy::struct_excessive_bools, reason = "wishes and facts that hold or not, each by itself")]
pub(super) struct State {
    pub(super) queue: VecDeque<(PlayerEvent, u64)>,
    /// Where the coach is: the frame taken last, or the one asked for since.
    pub(super) target: usize,
    /// Where the coach was before the last wish.
    pub(super) from: usize,
    /// A frame was shown that the worker does not know of.
    pub(super) moved: bool,
    pub(super) playing: bool,
    /// Playing goes, or went last, from the end to the start.
    pub(super) backward: bool,
    /// Playing has to start anew, because of a seek or another speed.
    pub(super) restart: bool,
    /// The playing pipeline is at work.
    pub(super) running: bool,
    /// The playing pipeline has been started and has shown nothing yet.
    pub(super) starting: bool,
    /// Frames decoded for an older epoch are never delivered.
    pub(super) epoch: u64,
    /// Rises with every wish for a frame.
    pub(super) request: u64,
    /// The last wish that was fulfilled.
    pub(super) served: u64,
    pub(super) speed: f64,
    pub(super) muted: bool,
    pub(super) span: Option<Span>,
    /// When a slider was dragged last, until the hand rests.
    pub(super) dragged: Option<Instant>,
    /// The last wish for which something near was looked for.
    pub(super) glanced: u64,
    pub(super) ahead: Ahead,
    /// It was said that the size of the pictures changes.
    pub(super) resized: bool,
    pub(super) quit: bool,
}

impl State {
    pub(super) fn push(&mut self, event: PlayerEvent) {
        self.queue.push_back((event, self.request));
    }

    pub(super) fn push_frame(&mut self, frame: Frame, request: u64) {
        self.forget_frames();
        self.queue.push_back((PlayerEvent::Frame(frame), request));
        self.served = request;
    }

    pub(super) fn forget_frames(&mut self) {
        self.queue.retain(|(e, _)| !matches!(e, PlayerEvent::Frame(_)));
    }

    /// Whatever is being decoded is not wanted any more.
    pub(super) fn supersede(&mut self) {
        self.epoch += 1;
        self.forget_frames();
    }

    pub(super) fn go_to(&mut self, index: usize) {
        (self.from, self.target) = (self.target, index);
        self.request += 1;
    }

    pub(super) fn has_work(&self) -> bool {
        self.quit
            || self.restart
            || self.starting
            || self.running != self.playing
            || self.request != self.served
    }

    pub(super) fn doing(&self) -> Doing {
        match (self.has_work() && !self.quit, self.playing) {
            (true, _) => Doing::Works,
            (false, true) => Doing::Plays,
            (false, false) => Doing::Rests,
        }
    }

    pub(super) fn stop(&mut self) {
        if self.playing {
            (self.playing, self.restart, self.starting) = (false, false, false);
            self.supersede();
            self.push(PlayerEvent::Paused);
        }
    }

    /// The piece of work that is to be done now.
    pub(super) fn due(&mut self) -> Option<Job> {
        let (index, epoch) = (self.target, self.epoch);
        if self.quit {
            return Some(Job::Quit);
        }
        if self.running && !self.playing {
            self.running = false;
            return Some(Job::Halt);
        }
        if self.playing && self.restart {
            (self.restart, self.running, self.starting) = (false, true, true);
            return Some(Job::Start { index, epoch, speed: self.speed, backward: self.backward });
        }
        if self.playing || self.request == self.served {
            return None;
        }
        if self.dragged.is_some() && self.glanced != self.request {
            self.glanced = self.request;
            return Some(Job::Glance { index });
        }
        if self.until_rest().is_some_and(|left| !left.is_zero()) {
            return None;
        }
        self.dragged = None;
        Some(Job::Show { index, from: self.from, epoch, request: self.request })
    }

    /// How long a hand that drags a slider must still be still to rest.
    pub(super) fn until_rest(&self) -> Option<Duration> {
        let waiting = !self.playing && self.request != self.served;
        self.dragged.filter(|_| waiting).map(|since| REST.saturating_sub(since.elapsed()))
    }
}
