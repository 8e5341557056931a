//! What is known of the lesson's talk: see `recording` and `telling`.

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Instant;

use crate::lesson::talk::{Talk, Watcher};
use crate::session::show::recording::{Ear, Recorder};
use crate::time::MatchTime;
use crate::video::{Microphone, VoicePlayer};
use crate::voice::VOICE_RATE;

/// What the talk is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TalkState {
    /// Nothing.
    Off,
    /// The microphone is heard, and nothing is recorded.
    Ready,
    /// What was said to test the microphone is played back.
    Testing,
    /// So much was recorded.
    Recording(MatchTime),
    /// The talk is played, and is at this moment.
    Playing(MatchTime),
    /// It is played, and stands at this moment.
    Paused(MatchTime),
}

/// What the thread of the microphone shares with the window.
#[derive(Debug, Default)]
pub struct Heard {
    /// The highest sample since somebody asked.
    peak: AtomicU32,
    /// Where samples go while a take is recorded.
    ear: Mutex<Option<Ear>>,
    /// What was said before the first take, to test the microphone.
    test: Mutex<Test>,
}

/// What is kept of a test: the last five seconds.
const MOST_OF_TEST: usize = 5 * VOICE_RATE as usize;

#[derive(Debug, Default)]
struct Test {
    said: VecDeque<i16>,
    /// While it is played back, and once a take was recorded, nothing more is kept.
    closed: bool,
}

impl Heard {
    /// Takes in what the microphone gives.
    pub fn hear(&self, samples: &[i16], at: MatchTime) {
        self.peak.fetch_max(u32::from(crate::session::show::recording::peak(samples)), Ordering::Relaxed);
        if let Ok(ear) = self.ear.lock()
            && let Some(ear) = &*ear
        {
            return ear.hear(samples, at);
        }
        if let Ok(mut test) = self.test.lock()
            && !test.closed
        {
            test.said.extend(samples);
            let beyond = test.said.len().saturating_sub(MOST_OF_TEST);
            test.said.drain(..beyond);
        }
    }

    /// Whether something was said before the first take.
    pub fn has_test(&self) -> bool {
        self.test.lock().is_ok_and(|test| !test.said.is_empty())
    }

    /// What was said before the first take; from now on nothing is kept, until [`Heard::test_again`].
    pub fn take_test(&self) -> Vec<i16> {
        let Ok(mut test) = self.test.lock() else { return Vec::new() };
        test.closed = true;
        std::mem::take(&mut test.said).into()
    }

    /// What is said from now on is another test.
    pub fn test_again(&self) {
        if let Ok(mut test) = self.test.lock() {
            test.closed = false;
        }
    }

    /// Sends samples there from now on, or nowhere.
    pub fn send_to(&self, ear: Option<Ear>) {
        if let Ok(mut now) = self.ear.lock() {
            *now = ear;
        }
    }

    /// The highest sample since the last time.
    pub fn take_peak(&self) -> u16 {
        u16::try_from(self.peak.swap(0, Ordering::Relaxed)).unwrap_or(u16::MAX)
    }
}

/// A take that is recorded.
pub struct Taking {
    /// Writes it.
    pub recorder: Recorder,
    /// Turns the screen into actions.
    pub watcher: Watcher,
    /// Which part of the lesson each clip of the take is.
    pub shown: Vec<usize>,
    /// The clip that is on the screen, by its place in the play list and in the lesson, and since when.
    pub since: Option<(usize, usize, Instant)>,
}

/// The talk while it is played.
pub struct Telling {
    /// The talk.
    pub talk: Arc<Talk>,
    /// The clips of its takes, as the places of the play list.
    pub places: Vec<(usize, usize)>,
    /// Its voice; none while it stands.
    pub voice: Option<VoicePlayer>,
    /// Where it stands.
    pub at: MatchTime,
    /// Where a cut begins, once that is marked.
    pub cut: Option<MatchTime>,
    /// When the picture was last put where it should be.
    pub put: Instant,
    /// Which start of the voice it is, so that a late one is dropped.
    pub turn: u32,
}

impl Telling {
    /// The last moment of the talk.
    pub fn last(&self) -> MatchTime {
        MatchTime::from_nanos(self.talk.length().nanos().saturating_sub(1))
    }
}

/// The talk of the lesson.
#[derive(Default)]
pub struct Talking {
    /// The microphone, while it is open.
    pub mic: RefCell<Option<Microphone>>,
    /// What was said to test it, while it is played back.
    pub test: RefCell<Option<VoicePlayer>>,
    /// What it hears.
    pub heard: RefCell<Arc<Heard>>,
    /// Whether it is being opened.
    pub opening: Cell<bool>,
    /// What is recorded.
    pub taking: RefCell<Option<Taking>>,
    /// Whether a take that is over is still being written.
    pub finishing: Cell<bool>,
    /// What is played.
    pub telling: RefCell<Option<Telling>>,
    /// Counts the starts of the voice.
    pub turns: Cell<u32>,
}
