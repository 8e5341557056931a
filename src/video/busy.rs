//! Decoding ahead gives way to what is asked for.

use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::frames::FootageFile;

/// How often a decoder that gives way looks whether it may go on.
const NAP: Duration = Duration::from_millis(2);

/// How long it gives way at most, so that nothing waits for ever.
const MOST: Duration = Duration::from_secs(2);

/// How long it rests before each picture while footage plays.
const BREATH: Duration = Duration::from_millis(3);

/// How long decoders that give way leave the processors to the window after it was given a frame that was asked for: without a
/// graphics card drawing it takes as long.
const DRAWING: Duration = Duration::from_millis(100);

/// More pixels a second than this leave the decoder no time for others while the footage plays: half as many again as
/// 1920 × 1080 at 30 frames a second.
const LIGHT: f64 = 1.5 * 1920.0 * 1080.0 * 30.0;

/// Whether the footage can be decoded ahead elsewhere while it plays.
pub(super) fn is_light(media: &FootageFile) -> bool {
    let pixels = f64::from(media.width) * f64::from(media.height);
    let seconds = media.index.end().nanos() as f64 / 1e9;
    media.index.len() as f64 * pixels <= LIGHT * seconds
}

/// What a player is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Doing {
    /// A frame is on the screen.
    Rests,
    /// It plays.
    Plays,
    /// Something was asked for and is not there yet.
    Works,
}

/// What the player is doing, for all who decode for it.
#[derive(Debug, Clone, Default)]
pub(super) struct Busy(Arc<Known>);

#[derive(Debug, Default)]
struct Known {
    doing: AtomicU8,
    /// Until when a frame is being drawn.
    drawn: Mutex<Option<Instant>>,
}

impl Busy {
    pub(super) fn set(&self, doing: Doing) {
        self.0.doing.store(doing as u8, Ordering::SeqCst);
    }

    /// The window has a frame to draw.
    pub(super) fn draws(&self) {
        *self.0.drawn.lock().unwrap_or_else(PoisonError::into_inner) = Some(Instant::now() + DRAWING);
    }

    fn is(&self, doing: Doing) -> bool {
        let is = self.0.doing.load(Ordering::SeqCst) == doing as u8;
        is || doing == Doing::Works && self.is_drawing()
    }

    fn is_drawing(&self) -> bool {
        let drawn = self.0.drawn.lock().unwrap_or_else(PoisonError::into_inner);
        drawn.is_some_and(|until| Instant::now() < until)
    }
}

/// To what a decoder gives way: to nothing, or to all that is asked for.
#[derive(Debug, Default)]
pub(super) struct GivesWay(Mutex<Option<Busy>>);

impl GivesWay {
    pub(super) fn to(&self, busy: Option<Busy>) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = busy;
    }

    fn must(&self, doing: Doing) -> bool {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).as_ref().is_some_and(|busy| busy.is(doing))
    }

    /// Returns when it is this decoder's turn.
    pub(super) fn wait(&self) {
        let since = Instant::now();
        while self.must(Doing::Works) && since.elapsed() < MOST {
            std::thread::sleep(NAP);
        }
        if self.must(Doing::Plays) {
            std::thread::sleep(BREATH);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decoder_waits_until_nothing_is_asked_for_or_it_is_wanted_itself() {
        let (busy, ahead) = (Busy::default(), Arc::new(GivesWay::default()));
        ahead.wait();
        ahead.to(Some(busy.clone()));
        ahead.wait();
        for go_on in [0, 1] {
            busy.set(Doing::Works);
            let waits = ahead.clone();
            let thread = std::thread::spawn(move || waits.wait());
            std::thread::sleep(Duration::from_millis(30));
            assert!(!thread.is_finished());
            if go_on == 0 {
                busy.set(Doing::Rests);
            } else {
                ahead.to(None);
            }
            thread.join().unwrap();
        }
    }

    #[test]
    fn a_decoder_waits_while_a_frame_is_drawn() {
        let (busy, ahead) = (Busy::default(), GivesWay::default());
        ahead.to(Some(busy.clone()));
        let since = Instant::now();
        busy.draws();
        ahead.wait();
        assert!(since.elapsed() >= DRAWING);
        ahead.to(None);
        busy.draws();
        let since = Instant::now();
        ahead.wait();
        assert!(since.elapsed() < DRAWING, "wanted itself");
    }
}
