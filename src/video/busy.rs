//! Decoding ahead gives way to what is asked for.

use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::{Arc, Mutex, PoisonError, Weak};
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
#[derive(Debug, Clone)]
pub(super) struct Busy(Arc<Known>);

/// What every player is doing, for those who decode for none of them.
static ALL: Mutex<Vec<Weak<Known>>> = Mutex::new(Vec::new());

/// Until when the user's last key keeps background work back.
static HELD: Mutex<Option<Instant>> = Mutex::new(None);

/// How long background work leaves the processors alone after a key.
const AFTER_KEY: Duration = Duration::from_millis(300);

/// A key was pressed: what is decoded in the background waits for a moment, so that the answer does not.
pub fn hold_back() {
    *HELD.lock().unwrap_or_else(PoisonError::into_inner) = Some(Instant::now() + AFTER_KEY);
}

/// Whether no player plays or looks for a frame, and no key was pressed a moment ago.
pub fn is_idle() -> bool {
    let held = HELD.lock().unwrap_or_else(PoisonError::into_inner);
    let held = held.is_some_and(|until| Instant::now() < until);
    let mut all = ALL.lock().unwrap_or_else(PoisonError::into_inner);
    all.retain(|known| known.strong_count() > 0);
    let at_work = |known| {
        let busy = Busy(known);
        busy.is(Doing::Works) || busy.is(Doing::Plays)
    };
    !held && !all.iter().filter_map(Weak::upgrade).any(at_work)
}

#[derive(Debug, Default)]
struct Known {
    doing: AtomicU8,
    /// Until when a frame is being drawn.
    drawn: Mutex<Option<Instant>>,
}

impl Default for Busy {
    fn default() -> Self {
        let known = Arc::default();
        ALL.lock().unwrap_or_else(PoisonError::into_inner).push(Arc::downgrade(&known));
        Self(known)
    }
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

/// To what a decoder gives way.
#[derive(Debug, Clone, Default)]
pub(super) enum To {
    /// To nothing.
    #[default]
    Nothing,
    /// To all that is asked of this player.
    Player(Busy),
    /// To every player, also while it plays, and to keys.
    Everything,
}

/// To what a decoder gives way now.
#[derive(Debug, Default)]
pub(super) struct GivesWay(Mutex<To>);

impl GivesWay {
    pub(super) fn to(&self, what: To) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = what;
    }

    fn must(&self, doing: Doing) -> bool {
        match &*self.0.lock().unwrap_or_else(PoisonError::into_inner) {
            To::Nothing => false,
            To::Player(busy) => busy.is(doing),
            To::Everything => !is_idle(),
        }
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
        ahead.to(To::Player(busy.clone()));
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
                ahead.to(To::Nothing);
            }
            thread.join().unwrap();
        }
    }

    /// The other tests' players are busy too, so only this is certain: a busy player or a key is never called idle.
    #[test]
    fn background_work_waits_for_every_player_and_for_keys() {
        let busy = Busy::default();
        for doing in [Doing::Plays, Doing::Works] {
            busy.set(doing);
            assert!(!is_idle());
        }
        busy.set(Doing::Rests);
        let since = Instant::now();
        hold_back();
        let ahead = GivesWay::default();
        ahead.to(To::Everything);
        ahead.wait();
        assert!(since.elapsed() >= AFTER_KEY);
        // Much more than it takes: a busy machine sleeps longer than it is told.
        assert!(since.elapsed() < MOST + Duration::from_secs(5), "it does not wait for ever");
    }

    #[test]
    fn a_decoder_waits_while_a_frame_is_drawn() {
        let (busy, ahead) = (Busy::default(), GivesWay::default());
        ahead.to(To::Player(busy.clone()));
        let since = Instant::now();
        busy.draws();
        ahead.wait();
        assert!(since.elapsed() >= DRAWING);
        ahead.to(To::Nothing);
        busy.draws();
        let since = Instant::now();
        ahead.wait();
        assert!(since.elapsed() < DRAWING, "wanted itself");
    }
}
