//! Where the window's wishes, the decoders' frames and the player's worker meet.
//!
//! Everything is decided under one lock: a frame is put in the queue only if nothing has been asked since that makes
//! it stale. So a pause or a seek is in force the moment its call returns, however far the decoders are.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use async_channel::{Receiver, RecvError, Sender, TryRecvError};

use super::busy::{Busy, is_light};
use super::error::VideoError;
use super::frame::{Frame, Ring};
use super::state::{Job, PlayerEvent, State};
use crate::frames::FootageFile;
use crate::time::{MatchTime, Span};

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

/// The shared state and its two bells.
#[derive(Debug)]
pub(super) struct Desk {
    state: Mutex<State>,
    work: Condvar,
    wake: Sender<()>,
    media: Arc<FootageFile>,
    /// Frames around the one on the screen.
    ring: Arc<Mutex<Ring>>,
    /// To which those who decode ahead give way.
    busy: Busy,
    /// Others can be decoded while it plays.
    light: bool,
}

/// How long the worker waits before it looks after what is not urgent.
pub(super) const TICK: Duration = Duration::from_millis(20);

impl Desk {
    pub(super) fn new(media: Arc<FootageFile>) -> (Arc<Self>, Events) {
        let (wake, woken) = async_channel::bounded(1);
        // Frame 0 is asked for at once.
        let state = State { request: 1, speed: 1.0, ..State::default() };
        let desk = Arc::new(Self {
            state: Mutex::new(state),
            work: Condvar::new(),
            wake,
            light: is_light(&media),
            media,
            ring: Arc::default(),
            busy: Busy::default(),
        });
        (desk.clone(), Events { desk, woken })
    }

    /// What the player is doing, for those who decode ahead.
    pub(super) fn busy(&self) -> Busy {
        self.busy.clone()
    }

    /// Whether others can be decoded while the footage plays.
    pub(super) const fn is_light(&self) -> bool {
        self.light
    }

    /// The frames that both decoders keep.
    pub(super) fn ring(&self) -> Arc<Mutex<Ring>> {
        self.ring.clone()
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Changes the state, then rings both bells.
    fn change(&self, how: impl FnOnce(&mut State)) {
        let mut s = self.lock();
        how(&mut s);
        self.busy.set(s.doing());
        drop(s);
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

    pub(super) fn play(&self, backward: bool) {
        self.change(|s| {
            if s.playing && s.backward == backward {
                return;
            }
            if !s.playing {
                s.push(PlayerEvent::Playing);
            }
            s.backward = backward;
            let here = self.media.index.time(s.target);
            if let Some(span) = s.span.filter(|l| !l.contains(here)) {
                s.target = self.start_of(span, backward);
            }
            s.supersede();
            (s.playing, s.restart) = (true, true);
        });
    }

    pub(super) fn pause(&self) {
        self.change(State::stop);
    }

    pub(super) fn seek(&self, index: usize) {
        let index = index.min(self.media.index.len() - 1);
        self.change(|s| {
            s.go_to(index);
            s.dragged = None;
            s.supersede();
            s.restart = s.playing;
            self.show_kept(s);
        });
    }

    /// Goes to a frame as a hand does that drags a slider: something near at once, the frame itself when the hand rests.
    pub(super) fn drag(&self, index: usize) {
        let index = index.min(self.media.index.len() - 1);
        self.change(|s| {
            s.stop();
            s.go_to(index);
            s.dragged = Some(Instant::now());
            // What is decoded exactly is not wanted any more; what is near and was not taken yet still is.
            s.epoch += 1;
            if self.kept(s, index).is_some() {
                s.dragged = None;
                self.show_kept(s);
            }
        });
    }

    /// Frames to decode ahead, the likeliest first.
    pub(super) fn expect(&self, frames: &[usize]) {
        let last = self.media.index.len() - 1;
        let frames = frames.iter().map(|i| *i.min(&last)).collect();
        let pixels = self.media.width as usize * self.media.height as usize;
        self.change(|s| {
            s.ahead.expect(frames, pixels);
            // The worker has something to make ready.
            s.moved = true;
        });
    }

    /// Whether all that was asked for and all that is expected is decoded.
    pub(super) fn is_ready(&self) -> bool {
        let s = self.lock();
        s.ahead.is_ready() && !s.has_work()
    }

    /// Where playing can start next, the likeliest first: where a loop begins, then the frames that are expected.
    pub(super) fn starts(&self) -> Vec<usize> {
        let s = self.lock();
        let looped = s.span.map(|span| self.start_of(span, s.backward));
        looped.into_iter().chain(s.ahead.expected().iter().copied()).collect()
    }

    /// A frame to which a playing pipeline has come that waits there.
    pub(super) fn offer(&self, frame: Frame) {
        self.change(|s| s.ahead.offer(frame));
    }

    /// A frame that need not be decoded.
    fn kept(&self, s: &State, i: usize) -> Option<Frame> {
        let ring = || self.ring.lock().unwrap_or_else(PoisonError::into_inner).get(i);
        s.ahead.get(i).cloned().or_else(ring)
    }

    /// Shows the frame asked for at once if it need not be decoded.
    fn show_kept(&self, s: &mut State) {
        let Some(frame) = self.kept(s, s.target) else { return };
        self.ring.lock().unwrap_or_else(PoisonError::into_inner).keep(frame.clone());
        self.measure(s, &frame);
        let request = s.request;
        s.push_frame(frame, request);
        self.busy.draws();
        s.moved = true;
    }

    pub(super) fn step(&self, frames: i64) {
        let last = self.media.index.len() as i64 - 1;
        self.change(|s| {
            s.stop();
            let target = (s.target as i64).saturating_add(frames).clamp(0, last);
            s.go_to(target as usize);
            s.dragged = None;
            self.show_kept(s);
        });
    }

    pub(super) fn set_speed(&self, speed: f64) {
        self.change(|s| {
            s.speed = if speed.is_finite() { speed.clamp(0.1, 2.0) } else { 1.0 };
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

    pub(super) fn is_backward(&self) -> bool {
        let s = self.lock();
        s.playing && s.backward
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
            if let Some(job) = s.due() {
                self.busy.set(s.doing());
                return job;
            }
            let hand = s.until_rest();
            let Some(time) = hand.or(patience).or(s.moved.then_some(TICK)) else {
                s = self.work.wait(s).unwrap_or_else(PoisonError::into_inner);
                continue;
            };
            let (back, late) = self.work.wait_timeout(s, time).unwrap_or_else(PoisonError::into_inner);
            s = back;
            if late.timed_out() && hand.is_none() {
                s.moved = false;
                return Job::Idle;
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
        self.lock().has_work()
    }

    /// A frame decoded on demand.
    pub(super) fn deliver(&self, frame: Frame, epoch: u64, request: u64) {
        self.change(|s| {
            if s.epoch == epoch && !s.playing {
                self.measure(s, &frame);
                s.push_frame(frame, request);
                self.busy.draws();
            }
        });
    }

    /// A frame near the one to which a slider is dragged. That one is still to come.
    pub(super) fn deliver_near(&self, frame: Frame) {
        self.change(|s| {
            if s.dragged.is_some() && !s.playing && s.request != s.served {
                s.forget_frames();
                // As of an older wish, so that steps go from where the slider is.
                let before = s.request - 1;
                s.queue.push_back((PlayerEvent::Frame(frame), before));
                self.busy.draws();
            }
        });
    }

    // The side of the thread that decodes ahead.

    /// The next frame to decode ahead; waits until nothing else is to be done. `None` when the player is gone.
    pub(super) fn errand(&self) -> Option<usize> {
        let mut s = self.lock();
        loop {
            if s.quit {
                return None;
            }
            if let Some(index) = s.ahead.missing().filter(|_| !s.has_work() && (self.light || !s.playing)) {
                return Some(index);
            }
            s = self.work.wait(s).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Whether that frame is still to be decoded ahead now.
    pub(super) fn is_errand(&self, index: usize) -> bool {
        let s = self.lock();
        !s.has_work() && s.ahead.is_expected(index)
    }

    pub(super) fn done_errand(&self, index: usize, frame: Option<Frame>) {
        self.change(|s| s.ahead.take_in(index, frame));
    }

    pub(super) fn give_up_errands(&self) {
        self.change(|s| s.ahead.give_up());
    }

    /// A frame whose time has come in playing.
    pub(super) fn deliver_played(&self, frame: Frame, epoch: u64) {
        self.change(|s| {
            if s.epoch != epoch || !s.playing {
                return;
            }
            s.starting = false;
            let is_over = |l: &Span| if s.backward { frame.time < l.start() } else { frame.time >= l.end() };
            if let Some(span) = s.span.filter(is_over) {
                self.go_round(s, span);
            } else {
                self.measure(s, &frame);
                s.push_frame(frame, s.request);
            }
        });
    }

    /// Playing has come to the end of the footage.
    pub(super) fn ended(&self, epoch: u64) {
        self.change(|s| {
            if s.epoch != epoch || !s.playing {
                return;
            }
            if let Some(span) = s.span {
                self.go_round(s, span);
            } else {
                (s.playing, s.starting) = (false, false);
                s.push(if s.backward { PlayerEvent::AtStart } else { PlayerEvent::Ended });
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
            s.starting = false;
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
        s.target = self.start_of(span, s.backward);
        s.supersede();
        s.restart = true;
    }

    /// The first frame that appears in a span, or the one on the screen at its start; backwards, the last in it.
    fn start_of(&self, span: Span, backward: bool) -> usize {
        if backward {
            let end = self.media.index.at(span.end());
            return if self.media.index.time(end) < span.end() { end } else { end.saturating_sub(1) };
        }
        let i = self.media.index.at(span.start());
        let next: MatchTime = self.media.index.time(i + 1);
        if self.media.index.time(i) < span.start() && span.contains(next) { i + 1 } else { i }
    }
}
