//! Where the window's wishes, the decoders' frames and the player's worker meet.
//!
//! Everything is decided under one lock: a frame is put in the queue only if nothing has been asked since that makes
//! it stale. So a pause or a seek is in force the moment its call returns, however far the decoders are.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use async_channel::{Receiver, RecvError, Sender, TryRecvError};

use super::error::VideoError;
use super::frame::Frame;
use crate::frames::FootageFile;
use crate::time::{MatchTime, Span};

/// What the player tells the window.
#[derive(Debug, Clone)]
pub enum PlayerEvent {
    /// Show this frame. It stays on the screen until the next one is taken.
    Frame(Frame),
    /// Playing has been asked for.
    Playing,
    /// Playing has stopped where it was.
    Paused,
    /// Playing has come to the end of the film.
    Ended,
    /// The speed is now this many times the film's own.
    SpeedChanged(f64),
    /// Something works less well than it should; a whole sentence.
    Warning(String),
    /// Something does not work; playing has stopped.
    Error(VideoError),
}

/// The player's events, in order. Of frames only the newest waits, so that a slow window skips frames and does not lag.
///
/// Taking a frame counts as showing it: after [`super::Player::pause`], steps go from the frame taken last.
#[derive(Debug)]
pub struct Events {
    desk: Arc<Desk>,
    woken: Receiver<()>,
}

impl Events {
    /// The next event; waits for one without blocking the thread.
    ///
    /// # Errors
    /// [`RecvError`] when the player is gone and everything it sent has been taken.
    pub async fn recv(&self) -> Result<PlayerEvent, RecvError> {
        loop {
            if let Some(event) = self.desk.take() {
                return Ok(event);
            }
            if self.woken.recv().await.is_err() {
                return self.desk.take().ok_or(RecvError);
            }
        }
    }

    /// The next event, if there is one now.
    ///
    /// # Errors
    /// [`TryRecvError::Empty`] when there is none, [`TryRecvError::Closed`] when there will be none.
    pub fn try_recv(&self) -> Result<PlayerEvent, TryRecvError> {
        let none = if self.woken.is_closed() { TryRecvError::Closed } else { TryRecvError::Empty };
        self.desk.take().ok_or(none)
    }
}

/// A piece of work for the player's thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Job {
    /// Decode one frame for the screen.
    Show { index: usize, epoch: u64, request: u64 },
    /// Play from a frame.
    Start { index: usize, epoch: u64, speed: f64 },
    /// Stop the playing pipeline.
    Halt,
    /// Nothing to do, and a while has passed: look after the rest.
    Idle,
    /// The player is gone.
    Quit,
}

#[derive(Debug, Default)]
#[expect(clippy::struct_excessive_bools, reason = "wishes and facts that hold or not, each by itself")]
struct State {
    queue: VecDeque<(PlayerEvent, u64)>,
    /// Where the coach is: the frame taken last, or the one asked for since.
    target: usize,
    playing: bool,
    /// Playing has to start anew, because of a seek or another speed.
    restart: bool,
    /// The playing pipeline is at work.
    running: bool,
    /// Frames decoded for an older epoch are never delivered.
    epoch: u64,
    /// Rises with every wish for a frame.
    request: u64,
    /// The last wish that was fulfilled.
    served: u64,
    speed: f64,
    muted: bool,
    span: Option<Span>,
    /// It was said that the size of the pictures changes.
    resized: bool,
    quit: bool,
}

impl State {
    fn push(&mut self, event: PlayerEvent) {
        self.queue.push_back((event, self.request));
    }

    fn push_frame(&mut self, frame: Frame, request: u64) {
        self.forget_frames();
        self.queue.push_back((PlayerEvent::Frame(frame), request));
        self.served = request;
    }

    fn forget_frames(&mut self) {
        self.queue.retain(|(e, _)| !matches!(e, PlayerEvent::Frame(_)));
    }

    /// Whatever is being decoded is not wanted any more.
    fn supersede(&mut self) {
        self.epoch += 1;
        self.forget_frames();
    }

    fn stop(&mut self) {
        if self.playing {
            self.playing = false;
            self.restart = false;
            self.supersede();
            self.push(PlayerEvent::Paused);
        }
    }
}

/// The shared state and its two bells.
#[derive(Debug)]
pub(super) struct Desk {
    state: Mutex<State>,
    work: Condvar,
    wake: Sender<()>,
    media: Arc<FootageFile>,
}

impl Desk {
    pub(super) fn new(media: Arc<FootageFile>) -> (Arc<Self>, Events) {
        let (wake, woken) = async_channel::bounded(1);
        // Frame 0 is asked for at once.
        let state = State { request: 1, speed: 1.0, ..State::default() };
        let desk = Arc::new(Self { state: Mutex::new(state), work: Condvar::new(), wake, media });
        (desk.clone(), Events { desk, woken })
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Changes the state, then rings both bells.
    fn change(&self, how: impl FnOnce(&mut State)) {
        how(&mut self.lock());
        self.work.notify_all();
        let _ = self.wake.try_send(());
    }

    fn take(&self) -> Option<PlayerEvent> {
        let mut s = self.lock();
        let (event, request) = s.queue.pop_front()?;
        if let PlayerEvent::Frame(f) = &event
            && request == s.request
        {
            s.target = f.index;
        }
        Some(event)
    }

    // The window's side.

    pub(super) fn play(&self) {
        self.change(|s| {
            if !s.playing {
                let here = self.media.index.time(s.target);
                if let Some(span) = s.span.filter(|l| !l.contains(here)) {
                    s.target = self.first_in(span);
                }
                s.supersede();
                (s.playing, s.restart) = (true, true);
                s.push(PlayerEvent::Playing);
            }
        });
    }

    pub(super) fn pause(&self) {
        self.change(State::stop);
    }

    pub(super) fn seek(&self, index: usize) {
        let index = index.min(self.media.index.len() - 1);
        self.change(|s| {
            s.target = index;
            s.request += 1;
            s.supersede();
            s.restart = s.playing;
        });
    }

    pub(super) fn step(&self, frames: i64) {
        let last = self.media.index.len() as i64 - 1;
        self.change(|s| {
            s.stop();
            s.target = (s.target as i64).saturating_add(frames).clamp(0, last) as usize;
            s.request += 1;
        });
    }

    pub(super) fn set_speed(&self, speed: f64) {
        self.change(|s| {
            s.speed = if speed.is_finite() { speed.clamp(0.25, 2.0) } else { 1.0 };
            s.push(PlayerEvent::SpeedChanged(s.speed));
            if s.playing {
                s.supersede();
                s.restart = true;
            }
        });
    }

    pub(super) fn shown(&self, index: usize) {
        self.change(|s| {
            if s.request == s.served {
                s.target = index;
            }
        });
    }

    pub(super) fn set_muted(&self, muted: bool) {
        self.change(|s| s.muted = muted);
    }

    pub(super) fn set_loop(&self, span: Option<Span>) {
        self.change(|s| s.span = span);
    }

    pub(super) fn quit(&self) {
        self.change(|s| s.quit = true);
        self.wake.close();
    }

    pub(super) fn is_playing(&self) -> bool {
        self.lock().playing
    }

    pub(super) fn speed(&self) -> f64 {
        self.lock().speed
    }

    pub(super) fn is_muted(&self) -> bool {
        self.lock().muted
    }

    /// Where steps go from.
    pub(super) fn target(&self) -> usize {
        self.lock().target
    }

    // The worker's and the decoders' side.

    /// The next piece of work; waits for it, or for `patience` when that is given.
    pub(super) fn job(&self, patience: Option<Duration>) -> Job {
        let mut s = self.lock();
        loop {
            let (index, epoch) = (s.target, s.epoch);
            if s.quit {
                return Job::Quit;
            }
            if s.running && !s.playing {
                s.running = false;
                return Job::Halt;
            }
            if s.playing && s.restart {
                (s.restart, s.running) = (false, true);
                return Job::Start { index, epoch, speed: s.speed };
            }
            if !s.playing && s.request != s.served {
                return Job::Show { index, epoch, request: s.request };
            }
            match patience {
                None => s = self.work.wait(s).unwrap_or_else(PoisonError::into_inner),
                Some(time) => {
                    let (back, late) =
                        self.work.wait_timeout(s, time).unwrap_or_else(PoisonError::into_inner);
                    if late.timed_out() {
                        return Job::Idle;
                    }
                    s = back;
                }
            }
        }
    }

    /// Whether work begun in `epoch` has become pointless.
    pub(super) fn is_over(&self, epoch: u64) -> bool {
        let s = self.lock();
        s.quit || s.epoch != epoch
    }

    /// Whether something has been asked that is not done yet.
    pub(super) fn has_work(&self) -> bool {
        let s = self.lock();
        s.quit || s.restart || s.running != s.playing || s.request != s.served
    }

    /// A frame decoded on demand.
    pub(super) fn deliver(&self, frame: Frame, epoch: u64, request: u64) {
        self.change(|s| {
            if s.epoch == epoch && !s.playing {
                self.measure(s, &frame);
                s.push_frame(frame, request);
            }
        });
    }

    /// A frame whose time has come in playing.
    pub(super) fn deliver_played(&self, frame: Frame, epoch: u64) {
        self.change(|s| {
            if s.epoch != epoch || !s.playing {
                return;
            }
            if let Some(span) = s.span.filter(|l| frame.time >= l.end()) {
                self.go_round(s, span);
            } else {
                self.measure(s, &frame);
                s.push_frame(frame, s.request);
            }
        });
    }

    /// Playing has come to the end of the film.
    pub(super) fn ended(&self, epoch: u64) {
        self.change(|s| {
            if s.epoch != epoch || !s.playing {
                return;
            }
            if let Some(span) = s.span {
                self.go_round(s, span);
            } else {
                s.playing = false;
                s.push(PlayerEvent::Ended);
            }
        });
    }

    /// Playing has to start anew from the frame on the screen.
    pub(super) fn play_again(&self, epoch: u64) {
        self.change(|s| {
            if s.epoch == epoch && s.playing {
                s.supersede();
                s.restart = true;
            }
        });
    }

    pub(super) fn warn(&self, text: String) {
        self.change(|s| s.push(PlayerEvent::Warning(text)));
    }

    /// Something failed: playing stops, and what was asked is given up.
    pub(super) fn fail(&self, error: VideoError) {
        self.change(|s| {
            s.stop();
            s.served = s.request;
            s.push(PlayerEvent::Error(error));
        });
    }

    /// Whether playing is what the window wants, begun in this epoch.
    pub(super) fn still_plays(&self, epoch: u64) -> bool {
        let s = self.lock();
        s.playing && s.epoch == epoch
    }

    /// Says once that a frame is of another size than the first, unless that was said when the file was opened.
    fn measure(&self, s: &mut State, frame: &Frame) {
        let (w, h) = frame.display_size();
        if s.resized || self.media.resized.is_some() || (w, h) == (self.media.width, self.media.height) {
            return;
        }
        s.resized = true;
        let (before, after) = (format!("{} × {}", self.media.width, self.media.height), format!("{w} × {h}"));
        let text = format!("The size of the picture changes from {before} to {after} at {}.", frame.time);
        s.push(PlayerEvent::Warning(text));
    }

    fn go_round(&self, s: &mut State, span: Span) {
        s.target = self.first_in(span);
        s.supersede();
        s.restart = true;
    }

    /// The first frame that appears in a span, or the one on the screen at its start.
    fn first_in(&self, span: Span) -> usize {
        let i = self.media.index.at(span.start());
        let next: MatchTime = self.media.index.time(i + 1);
        if self.media.index.time(i) < span.start() && span.contains(next) { i + 1 } else { i }
    }
}
