//! The player: plays and pauses, goes to any frame, and always says which one it shows.

use std::sync::{Arc, Mutex};

use super::base::{failed, init};
use super::desk::{Desk, Events, TICK};
use super::early;
use super::error::VideoError;
use super::frame::{Frame, Ring};
use super::play::Play;
use super::rewind;
use super::scout;
use super::scrub::Scrubber;
use super::sound::has_device;
use super::spares::Spares;
use super::state::Job;
use crate::frames::FootageFile;
use crate::time::Span;

/// Plays one file of footage. No call waits for a decoder; what comes of it is told through [`Events`].
///
/// Two decoders share the work: one plays in time and with sound, one gives single frames (see `scrub`). The law they
/// obey: a [`Frame`] says its true place in the footage, and after [`Player::pause`] returns no frame is sent until one
/// is asked for, so that the frame taken last stays the one on the screen.
#[derive(Debug)]
pub struct Player {
    desk: Arc<Desk>,
}

impl Player {
    /// Opens footage, paused at frame 0, which is sent.
    ///
    /// # Errors
    /// [`VideoError::Pipeline`] when no thread can be started; what is wrong with the footage comes as an event.
    pub fn open(media: Arc<FootageFile>) -> Result<(Self, Events), VideoError> {
        init()?;
        let (desk, events) = Desk::new(media.clone());
        let ahead = media.clone();
        let spares = Spares::new(&media);
        let (told, ring) = (desk.clone(), desk.ring());
        let worker = Worker { media, desk: told, ring, scrub: None, play: None, spares, silent: false };
        std::thread::Builder::new()
            .name("player".to_owned())
            .spawn(move || worker.run())
            .map_err(|e| failed("starting the player's thread", &e))?;
        scout::start(ahead, desk.clone())?;
        Ok((Self { desk }, events))
    }

    /// Plays from where the coach is, at the speed that is set.
    pub fn play(&self) {
        self.desk.play(false);
    }

    /// Plays backwards and without sound from where the coach is, at the speed that is set, or slower where the decoder
    /// cannot keep up: every frame is shown. It ends at the first frame.
    ///
    /// Up to 72 frames are decoded ahead for it, or 384 MiB of them if that is less.
    pub fn play_backward(&self) {
        self.desk.play(true);
    }

    /// Whether playing backwards is wanted.
    pub fn is_backward(&self) -> bool {
        self.desk.is_backward()
    }

    /// Stops. The frame taken last stays on the screen.
    pub fn pause(&self) {
        self.desk.pause();
    }

    /// Whether playing is wanted.
    pub fn is_playing(&self) -> bool {
        self.desk.is_playing()
    }

    /// Goes to frame `index`, or the last one. Paused, that frame is shown; playing goes on from there.
    pub fn seek_frame(&self, index: usize) {
        self.desk.seek(index);
    }

    /// As [`Player::seek_frame`], for a slider that is dragged: pauses, shows something near at once (the frame itself if it
    /// is kept, else the nearest key frame), and the frame itself as soon as the hand rests, which is 60 ms after the last call.
    pub fn drag(&self, index: usize) {
        self.desk.drag(index);
    }

    /// Says to which frames the next key can lead, the likeliest first, in the place of those said before. A second decoder
    /// decodes them while nothing else is asked for; going to one of them then shows it at once.
    ///
    /// At most 16 frames are expected. Of them and of those that were expected before 20 frames and 160 MiB are kept, or one
    /// frame if that is larger. At the likeliest three also playing is made ready, which takes 288 MiB at most.
    pub fn expect(&self, frames: &[usize]) {
        self.desk.expect(frames);
    }

    /// Whether the frame that was asked for last is there, and all that are expected, as far as there is room for them, are decoded.
    pub fn is_ready(&self) -> bool {
        self.desk.is_ready()
    }

    /// Pauses, and goes so many frames on from the frame shown or asked for last; back when negative.
    pub fn step(&self, frames: i64) {
        self.desk.step(frames);
    }

    /// The frame that steps go from: the one taken last, or the one asked for since.
    pub fn here(&self) -> usize {
        self.desk.target()
    }

    /// Plays at so many times the footage's own speed, from 0.1 to 2, at the same pitch.
    pub fn set_speed(&self, speed: f64) {
        self.desk.set_speed(speed);
    }

    /// The speed that is set.
    pub fn speed(&self) -> f64 {
        self.desk.speed()
    }

    /// Turns the sound off or on.
    pub fn set_muted(&self, muted: bool) {
        self.desk.set_muted(muted);
    }

    /// Whether the sound is off.
    pub fn is_muted(&self) -> bool {
        self.desk.is_muted()
    }

    /// Plays a span over and over, until it is taken away with `None`.
    pub fn set_loop(&self, span: Option<Span>) {
        self.desk.set_loop(span);
    }

    /// Says which frame is on the screen, for a window that does not show every frame it takes.
    pub fn shown(&self, frame: &Frame) {
        self.desk.shown(frame.index);
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        self.desk.quit();
    }
}

struct Worker {
    media: Arc<FootageFile>,
    desk: Arc<Desk>,
    ring: Arc<Mutex<Ring>>,
    scrub: Option<Scrubber>,
    play: Option<Play>,
    spares: Spares,
    /// The sound cannot be played.
    silent: bool,
}

impl Worker {
    fn run(mut self) {
        let mut playing = None;
        let mut settled = true;
        loop {
            let patience = (playing.is_some() || !settled).then_some(TICK);
            let done = match self.desk.job(patience) {
                Job::Quit => return,
                Job::Show { index, from, epoch, request } => {
                    settled = false;
                    self.show(index, from, epoch, request)
                }
                Job::Glance { index } => {
                    settled = false;
                    self.glance(index)
                }
                Job::Start { index, epoch, speed, backward } => {
                    settled = false;
                    playing = Some(epoch).filter(|_| !backward);
                    if backward { self.rewind(index, epoch, speed) } else { self.start(index, epoch, speed) }
                }
                Job::Halt => {
                    playing = None;
                    self.play.as_ref().map_or(Ok(()), Play::halt)
                }
                Job::Idle => {
                    if let Some(epoch) = playing {
                        self.look_after(epoch)
                    } else if self.desk.is_backward() {
                        Ok(())
                    } else {
                        self.settle().map(|done| settled = done)
                    }
                }
            };
            if let Err(error) = done {
                self.give_up(error);
            }
        }
    }

    fn show(&mut self, index: usize, from: usize, epoch: u64, request: u64) -> Result<(), VideoError> {
        let desk = self.desk.clone();
        let over = || desk.is_over(epoch);
        let mut frame = self.scrubber()?.frame_from(from, index, &over);
        if frame.is_err() {
            // A decoder that got stuck is replaced once.
            self.scrub = None;
            frame = self.scrubber()?.frame_from(from, index, &over);
        }
        let frame = frame?;
        if let Some(frame) = frame {
            self.desk.deliver(frame, epoch, request);
        }
        Ok(())
    }

    fn glance(&mut self, index: usize) -> Result<(), VideoError> {
        let mut frame = self.scrubber()?.glance(index);
        if frame.is_err() {
            self.scrub = None;
            frame = self.scrubber()?.glance(index);
        }
        if let Some(frame) = frame? {
            self.desk.deliver_near(frame);
        }
        Ok(())
    }

    /// A start that comes to nothing is made once more with a new pipeline, then without sound, then reported.
    fn start(&mut self, index: usize, epoch: u64, speed: f64) -> Result<(), VideoError> {
        let mut started = self.try_start(index, epoch, speed);
        if started.is_err() {
            self.play = None;
            started = self.try_start(index, epoch, speed);
        }
        match started {
            Err(e) if self.may_be_the_sound() => {
                self.give_up_sound(&e.to_string());
                self.try_start(index, epoch, speed)
            }
            other => other,
        }
    }

    fn rewind(&mut self, index: usize, epoch: u64, speed: f64) -> Result<(), VideoError> {
        self.play.as_ref().map_or(Ok(()), Play::halt)?;
        rewind::start(&self.media, &self.desk, index, speed, epoch)
    }

    fn try_start(&mut self, index: usize, epoch: u64, speed: f64) -> Result<(), VideoError> {
        let desk = self.desk.clone();
        let before = self.spares.take(index, speed).and_then(|spare| self.play.replace(spare));
        if let Some(before) = &before {
            before.hush();
        }
        let play = self.player()?;
        play.set_muted(desk.is_muted());
        let started = play.start(index, speed, epoch, &|| desk.still_plays(epoch));
        if let Some(before) = before {
            before.halt()?;
            self.spares.give(before);
        }
        started
    }

    fn look_after(&mut self, epoch: u64) -> Result<(), VideoError> {
        let Some(play) = &self.play else { return Ok(()) };
        play.set_muted(self.desk.is_muted());
        match play.is_at_end() {
            Ok(true) => self.desk.ended(epoch),
            Ok(false) if self.desk.is_light() => {
                self.make_ready(false);
            }
            Ok(false) => {}
            Err(e) if self.may_be_the_sound() => {
                self.give_up_sound(&e.to_string());
                self.desk.play_again(epoch);
            }
            Err(e) => return Err(e),
        }
        Ok(())
    }

    fn may_be_the_sound(&self) -> bool {
        self.media.has_audio && !self.silent
    }

    /// From now on this footage plays without sound.
    fn give_up_sound(&mut self, why: &str) {
        (self.silent, self.play) = (true, None);
        self.spares.clear(false);
        self.desk.warn(format!("The footage plays without sound. {why}"));
    }

    /// What can be done ahead while the coach looks at a frame. Says whether all is done.
    fn settle(&mut self) -> Result<bool, VideoError> {
        let here = self.desk.target();
        self.scrubber()?.prepare(here)?;
        if self.desk.has_work() {
            return Ok(true);
        }
        self.player()?;
        Ok(self.make_ready(true))
    }

    /// Goes on bringing pipelines to the places from which playing is likely to start; the one in use waits at the frame
    /// shown, if it may. Says whether all are there. What does not work is left alone: playing starts without it.
    fn make_ready(&mut self, with_own: bool) -> bool {
        let (desk, media, ring, sound) = (&self.desk, &self.media, &self.ring, !self.silent);
        let own = self.play.as_ref().filter(|_| with_own).map(|play| (play, desk.target()));
        let open = || Play::open(media, desk, ring, sound);
        self.spares.tend(own, &desk.starts(), desk.speed(), open).unwrap_or_else(|_| {
            self.spares.clear(true);
            true
        })
    }

    fn give_up(&mut self, error: VideoError) {
        self.scrub = None;
        self.play = None;
        self.spares.clear(false);
        self.desk.fail(error);
    }

    fn scrubber(&mut self) -> Result<&mut Scrubber, VideoError> {
        match &mut self.scrub {
            Some(scrub) => Ok(scrub),
            none => {
                let ready = early::taken(&self.media, &self.ring);
                let opened = || Scrubber::with_ring(&self.media, self.ring.clone());
                Ok(none.insert(ready.map_or_else(opened, Ok)?))
            }
        }
    }

    fn player(&mut self) -> Result<&mut Play, VideoError> {
        if self.play.is_none() && self.may_be_the_sound() && !has_device(&self.media) {
            self.give_up_sound(NO_DEVICE);
        }
        match &mut self.play {
            Some(play) => Ok(play),
            none => Ok(none.insert(Play::open(&self.media, &self.desk, &self.ring, !self.silent)?)),
        }
    }
}

const NO_DEVICE: &str =
    "No sound device works on this computer; check the sound settings and open the footage again.";
