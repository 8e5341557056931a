//! A take of a talk that is being recorded: a thread writes it, so that the main loop never waits for the disk.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread::JoinHandle;

use async_channel::{Receiver, Sender};

use crate::lesson::talk::{Action, Shown};
use crate::time::MatchTime;
use crate::voice::{Kept, TakeWriter, VoiceError, sample_at, time_of};

/// Sound that is this much early or late, in samples, is rounding: 20 ms.
const SLACK: u64 = 960;
/// The longest gap that is filled with silence: a minute.
const LONGEST_GAP: u64 = 60 * 48_000;
/// The longest take: the talk itself may be longer.
const LONGEST: MatchTime = MatchTime::from_secs(2 * 3600);
/// The clock of a take before its first sample.
const NOT_BEGUN: u64 = u64::MAX;

/// What the writer is told.
#[derive(Debug)]
enum Say {
    /// Samples, and when the first was spoken on the microphone's clock.
    Heard(Vec<i16>, MatchTime),
    Shown(Box<Shown>),
    Done(Action),
    Stop,
}

/// What came of it.
#[derive(Debug)]
pub enum Recorded {
    /// The take is complete.
    Kept(Box<Kept>),
    /// It could not be written to its end; what was written comes as [`Recorded::Kept`] after this, if anything was.
    Trouble(VoiceError),
    /// It became too long and was ended.
    TooLong,
    /// Nothing was said.
    Nothing,
}

/// The end of the window. When it is dropped, the take is ended, and found when the lesson is opened again.
#[derive(Debug)]
pub struct Recorder {
    says: Sender<Say>,
    /// When the first sample was spoken, on the clock of the microphone.
    begun: Arc<AtomicU64>,
    thread: JoinHandle<()>,
}

/// What samples are sent to; for the thread of the microphone.
#[derive(Debug, Clone)]
pub struct Ear(Sender<Say>);

impl Ear {
    /// Sends samples.
    pub fn hear(&self, samples: &[i16], at: MatchTime) {
        // The channel is closed when the take is over.
        let _ = self.0.try_send(Say::Heard(samples.to_vec(), at));
    }
}

impl Recorder {
    /// Begins a take over the lesson at `lesson`, after a moment of its talk.
    pub fn start(lesson: PathBuf, after: Option<MatchTime>) -> (Self, Receiver<Recorded>) {
        let (says, said) = async_channel::unbounded();
        let (tells, told) = async_channel::unbounded();
        let begun = Arc::new(AtomicU64::new(NOT_BEGUN));
        let shared = begun.clone();
        let thread = std::thread::spawn(move || {
            match TakeWriter::begin(&lesson, after) {
                Ok(take) => run(take, &said, &tells, &shared),
                Err(why) => drop(tells.try_send(Recorded::Trouble(why))),
            }
            // Nothing more is heard: who sends samples finds it closed.
            said.close();
        });
        (Self { says, begun, thread }, told)
    }

    /// Where samples go.
    pub fn ear(&self) -> Ear {
        Ear(self.says.clone())
    }

    /// A moment of the microphone's clock on the clock of the take; `None` before its first sample.
    pub fn at(&self, now: MatchTime) -> Option<MatchTime> {
        match self.begun.load(Ordering::Acquire) {
            NOT_BEGUN => None,
            begun => Some(MatchTime::ZERO.later(now - MatchTime::from_nanos(begun))),
        }
    }

    /// Another clip is shown.
    pub fn show(&self, shown: Shown) {
        let _ = self.says.try_send(Say::Shown(Box::new(shown)));
    }

    /// Something was done.
    pub fn act(&self, action: Action) {
        let _ = self.says.try_send(Say::Done(action));
    }

    /// Ends the take; the answer tells what came of it.
    pub fn stop(self) -> JoinHandle<()> {
        let _ = self.says.try_send(Say::Stop);
        self.thread
    }
}

fn run(mut take: TakeWriter, said: &Receiver<Say>, tells: &Sender<Recorded>, begun: &AtomicU64) {
    let tell = |what| drop(tells.try_send(what));
    let mut written = 0;
    while let Ok(say) = said.recv_blocking() {
        let done = match say {
            Say::Heard(samples, at) => {
                let first = begun.load(Ordering::Acquire).min(at.nanos());
                begun.store(first, Ordering::Release);
                let samples = placed(samples, sample_at(at.earlier(time(first))), written);
                written += samples.len() as u64;
                take.hear(&samples)
            }
            Say::Shown(shown) => take.show(*shown).map(drop),
            Say::Done(action) => take.act(action),
            Say::Stop => break,
        };
        if let Err(why) = done {
            tell(Recorded::Trouble(why));
            break;
        }
        if time_of(written) > LONGEST {
            tell(Recorded::TooLong);
            break;
        }
    }
    match take.finish() {
        Ok(kept) => tell(Recorded::Kept(Box::new(kept))),
        Err(VoiceError::Nothing) => tell(Recorded::Nothing),
        Err(why) => tell(Recorded::Trouble(why)),
    }
}

fn time(nanos: u64) -> std::time::Duration {
    std::time::Duration::from_nanos(nanos)
}

/// Samples whose first one belongs to `place`, when `written` samples are there: a gap is filled with silence, and what comes twice is
/// left out.
fn placed(mut samples: Vec<i16>, place: u64, written: u64) -> Vec<i16> {
    if place > written + SLACK {
        let gap = (place - written).min(LONGEST_GAP) as usize;
        samples.splice(0..0, std::iter::repeat_n(0, gap));
    } else if place + SLACK < written {
        let twice = usize::try_from(written - place).unwrap_or(usize::MAX).min(samples.len());
        samples.drain(..twice);
    }
    samples
}

/// How loud a microphone is, in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loud {
    /// Nothing at all comes.
    Silent,
    /// A voice would be lost in noise.
    Quiet,
    /// As it should be.
    Good,
    /// Peaks are cut off.
    TooLoud,
}

impl Loud {
    /// Of the highest sample of the last seconds. Below -60 dB it is silence, below -30 dB quiet, above -1 dB too loud.
    pub const fn of(peak: u16) -> Self {
        match peak {
            0..=32 => Self::Silent,
            33..=1035 => Self::Quiet,
            1036..=29_203 => Self::Good,
            _ => Self::TooLoud,
        }
    }

    /// In words, and what to do.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Silent => "The microphone is silent. Is it muted?",
            Self::Quiet => "Speak: the microphone is quiet",
            Self::Good => "The microphone is good",
            Self::TooLoud => "Too loud: lower the microphone, or move away",
        }
    }
}

/// The highest sample of some.
pub fn peak(samples: &[i16]) -> u16 {
    samples.iter().map(|s| s.unsigned_abs()).max().unwrap_or(0)
}

/// How full the meter is: 0 at -60 dB, 1 at the loudest.
pub fn meter(peak: u16) -> f64 {
    if peak == 0 { 0.0 } else { (20.0 * (f64::from(peak) / 32_768.0).log10() / 60.0 + 1.0).clamp(0.0, 1.0) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::talk::{Deed, Talk};
    use crate::lesson::{Clip, Footage, Lesson, create, load};
    use crate::session::show::keeper::{Ask, Done, Keeper};
    use crate::session::show::talking::{NoTalk, TalkAct, talk_edit};

    const fn ms(n: u64) -> MatchTime {
        MatchTime::from_millis(n)
    }

    fn shown() -> Shown {
        let footage = Footage { file: "m.mp4".into(), fingerprint: None, duration: ms(90_000), rate: None };
        let clip = serde_json::json!({ "footage": footage, "from": ms(0), "to": ms(5000) });
        Shown { chapter: String::new(), clip: serde_json::from_value::<Clip>(clip).unwrap() }
    }

    fn appears() -> Action {
        Action { at: ms(0), does: Deed::Clip { clip: 0, moment: ms(0) } }
    }

    /// A take of so many pieces of 20 ms, whose clock begins at 7 s.
    fn take(lesson: &std::path::Path, after: Option<MatchTime>, pieces: u64) -> Kept {
        let (recorder, told) = Recorder::start(lesson.to_owned(), after);
        assert_eq!(recorder.at(ms(7000)), None);
        let ear = recorder.ear();
        recorder.show(shown());
        recorder.act(appears());
        for n in 0..pieces {
            ear.hear(&[1000; 960], ms(7000 + n * 20));
        }
        recorder.stop().join().unwrap();
        match told.recv_blocking().unwrap() {
            Recorded::Kept(kept) => *kept,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn gaps_are_filled_and_what_comes_twice_is_left_out() {
        assert_eq!(placed(vec![1; 10], 500, 0).len(), 10, "rounding");
        assert_eq!(placed(vec![1; 10], 2000, 0).len(), 2010);
        assert_eq!(placed(vec![1; 10], 2000, 0)[..2000], [0; 2000]);
        assert_eq!(placed(vec![1; 2000], 0, 1500).len(), 500);
        assert!(placed(vec![1; 10], 0, 5000).is_empty());
    }

    #[test]
    fn a_microphone_is_told_in_words() {
        let all = [0, 100, 8000, 32_768].map(Loud::of);
        assert_eq!(all, [Loud::Silent, Loud::Quiet, Loud::Good, Loud::TooLoud]);
        assert!(
            meter(0).abs() < 1e-9 && (meter(32_768) - 1.0).abs() < 1e-9 && (meter(33) - 0.0).abs() < 0.01
        );
        assert_eq!(peak(&[3, -7, i16::MIN]), 32_768);
    }

    #[test]
    fn a_take_goes_into_the_lesson_is_spoken_again_cut_and_undone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("l.lesson.json");
        create(&path, &Lesson::default()).unwrap();
        let (keeper, told) = Keeper::start(path.clone(), None);
        assert!(told.recv_blocking().unwrap().outcome.is_ok());
        let ask = |act| {
            keeper.ask(Ask::Talk(act));
            let told = told.recv_blocking().unwrap();
            (told.outcome, told.view.lesson.talk.clone().map_or(ms(0), |talk| talk.length()))
        };
        assert!(ask(TalkAct::Cut(ms(0), ms(1))).0.is_err(), "there is none");
        let kept = take(&path, None, 100);
        assert_eq!(ask(TalkAct::Keep(Box::new(kept))).1, ms(2000));
        let again = take(&path, Some(ms(1500)), 50);
        assert_eq!(ask(TalkAct::Keep(Box::new(again))).1, ms(2500));
        assert_eq!(ask(TalkAct::Cut(ms(500), ms(1000))).1, ms(2000));
        assert_eq!(ask(TalkAct::Until(ms(1800))).1, ms(1800));
        let off = ask(TalkAct::Filters { gain: false, gate: false });
        assert_eq!((off.0.unwrap(), off.1), (Done::Changed, ms(1800)));
        let talk: Talk = *load(&path).unwrap().0.talk.unwrap();
        assert_eq!((talk.takes.len(), talk.pieces.len(), talk.gain), (2, 3, false));
        for wanted in [1800, 2000, 2500, 2000, 0] {
            keeper.ask(Ask::Undo);
            let now = told.recv_blocking().unwrap().view.lesson.talk.clone().map_or(ms(0), |t| t.length());
            assert_eq!(now, ms(wanted));
        }
        assert_eq!(talk_edit(&Lesson::default(), TalkAct::Delete), Err(NoTalk::None));
    }

    #[test]
    fn a_take_that_was_killed_is_in_the_lesson_when_it_is_opened_again() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("l.lesson.json");
        create(&path, &Lesson::default()).unwrap();
        // As after a kill: the take was finished or not, and the lesson never heard of it.
        drop(take(&path, None, 100));
        let mut cut_off = TakeWriter::begin(&path, Some(ms(1000))).unwrap();
        cut_off.show(shown()).unwrap();
        cut_off.act(appears()).unwrap();
        cut_off.hear(&vec![500; 48_000]).unwrap();
        drop(cut_off);
        // The last quarter of a second may be missing.
        let (keeper, told) = Keeper::start(path.clone(), None);
        let first = told.recv_blocking().unwrap();
        let length = first.view.lesson.talk.as_ref().map_or(ms(0), |t| t.length());
        assert!(length >= ms(1000), "{length}");
        assert!(first.notices.iter().any(|n| n.contains("talk")), "{:?}", first.notices);
        keeper.close().join().unwrap();
        let (_, told) = Keeper::start(path, None);
        let again = told.recv_blocking().unwrap();
        assert_eq!(again.view.lesson.talk.as_ref().map_or(ms(0), |t| t.length()), length);
        assert!(again.notices.is_empty(), "{:?}", again.notices);
    }
}
