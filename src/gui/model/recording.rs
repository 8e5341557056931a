//! Recording a talk: the microphone, and what is seen on the screen meanwhile.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use gtk::glib;
use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use super::talking::{Heard, Taking, TalkState};
use crate::drawing::{Colour, Shape};
use crate::gui::kit::job::off_loop;
use crate::lesson::talk::{Action as Done, Deed, Screen, Shown, Watcher};
use crate::lesson::{Pace, Part};
use crate::logging::Action;
use crate::session::show::keeper::Ask;
use crate::session::show::recording::{Recorded, Recorder};
use crate::session::show::talking::TalkAct;
use crate::time::MatchTime;
use crate::video::{MICROPHONE, Microphone, VideoError, VoicePlayer};

/// How often the screen is looked at while a take is recorded.
const OFTEN: Duration = Duration::from_millis(10);
/// How long the frame of the clip before may still be on the screen.
const LATE: Duration = Duration::from_millis(400);

impl Model {
    /// What the talk is doing.
    pub fn talk_state(&self) -> TalkState {
        let talking = self.talking();
        if let Some(taking) = &*talking.taking.borrow() {
            let now = talking.mic.borrow().as_ref().map(Microphone::now);
            return TalkState::Recording(now.and_then(|now| taking.recorder.at(now)).unwrap_or_default());
        }
        if talking.test.borrow().is_some() {
            return TalkState::Testing;
        }
        match self.telling_state() {
            TalkState::Off if talking.mic.borrow().is_some() => TalkState::Ready,
            state => state,
        }
    }

    /// Whether the microphone is open.
    pub fn listens(&self) -> bool {
        self.talking().mic.borrow().is_some()
    }

    /// The highest sample that the microphone gave since the last call.
    pub fn talk_peak(&self) -> u16 {
        self.talking().heard.borrow().take_peak()
    }

    /// The key that records: opens the microphone, then begins a take, then ends it.
    pub fn record_talk(&self) {
        let talking = self.talking();
        if self.lesson().is_none_or(|v| v.read_only.is_some()) {
            return self.say("A talk can only be recorded over a lesson that may be changed.");
        }
        if talking.taking.borrow().is_some() {
            self.end_take();
        } else if talking.finishing.get() || !self.lesson_is_settled() {
            // Where the next take comes is known only when the one before is in the lesson.
            self.say("What you said is still being written. Press the key again.");
        } else if talking.mic.borrow().is_some() {
            self.begin_take();
        } else if !talking.opening.replace(true) {
            self.pause_talk();
            self.open_microphone();
        }
    }

    fn open_microphone(&self) {
        let name = self.settings().borrow().microphone.clone().unwrap_or_else(|| MICROPHONE.to_owned());
        let heard = Arc::new(Heard::default());
        self.talking().heard.replace(heard.clone());
        off_loop(
            move || Microphone::open(&name, move |samples, at| heard.hear(samples, at)),
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                move |mic: Result<Microphone, VideoError>| {
                    m.talking().opening.set(false);
                    match mic {
                        Ok(mic) => drop(m.talking().mic.replace(Some(mic))),
                        Err(why) => m.say(&why.to_string()),
                    }
                    m.tell(Event::Talk);
                }
            ),
        );
    }

    /// Begins a take: after the moment at which the talk stands, else after its end.
    fn begin_take(&self) {
        let Some(view) = self.lesson() else { return };
        let length = view.lesson.talk.as_ref().map(|talk| talk.length());
        let after = self.leave_talk().or(length);
        let path: PathBuf = view.path;
        let (recorder, told) = Recorder::start(path, after);
        let talking = self.talking();
        talking.test.take();
        // The test is over.
        drop(talking.heard.borrow().take_test());
        talking.heard.borrow().send_to(Some(recorder.ear()));
        let taking = Taking { recorder, watcher: Watcher::default(), shown: Vec::new(), since: None };
        talking.taking.replace(Some(taking));
        self.tell(Event::Talk);
        let model = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(told) = told.recv().await {
                let Some(m) = model.upgrade() else { return };
                m.on_recorded(told);
            }
            if let Some(m) = model.upgrade() {
                m.talking().finishing.set(false);
            }
        });
        self.every(OFTEN, Self::look_at_screen);
    }

    /// Ends the take; it goes into the lesson.
    pub(super) fn end_take(&self) {
        let talking = self.talking();
        talking.heard.borrow().send_to(None);
        if let Some(taking) = talking.taking.take() {
            // It ends by itself; the answer comes later.
            talking.finishing.set(true);
            drop(taking.recorder.stop());
        }
        self.tell(Event::Talk);
    }

    fn on_recorded(&self, told: Recorded) {
        let again = self.cap(Action::RecordTalk);
        match told {
            Recorded::Kept(kept) => {
                let lasts = kept.take.voice.duration.short();
                self.ask_lesson(Ask::Talk(TalkAct::Keep(kept)));
                let play = self.cap(Action::PlayTalk);
                self.say_too(&format!("{lasts} recorded. {again} goes on, {play} plays the talk."));
            }
            Recorded::Trouble(why) => self.say_too(&why.to_string()),
            Recorded::TooLong => {
                self.say_too(
                    "The recording reached two hours and was stopped. Press the key again to go on.",
                );
            }
            Recorded::Nothing => self.say_too("Nothing was recorded: no sound came from the microphone."),
        }
        // What ended by itself is over here too.
        self.end_take();
    }

    /// Closes the microphone and stops what is recorded or played. Says whether there was anything.
    pub fn stop_talk(&self) -> bool {
        let was = self.talk_state() != TalkState::Off;
        if self.talking().taking.borrow().is_some() {
            self.end_take();
        }
        self.talking().mic.take();
        self.talking().test.take();
        self.leave_talk();
        if was {
            self.tell(Event::Talk);
        }
        was
    }

    /// Whether something was said to test the microphone that can be played back.
    pub fn has_test(&self) -> bool {
        self.listens() && self.talking().heard.borrow().has_test()
    }

    /// Plays back what was said to test the microphone.
    pub(super) fn play_test(&self) {
        let said = self.talking().heard.borrow().take_test();
        let mut left = said.into_iter();
        let voice =
            move |count| Some(left.by_ref().take(count).collect()).filter(|s: &Vec<i16>| !s.is_empty());
        off_loop(
            move || VoicePlayer::start(MatchTime::ZERO, voice),
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                move |player| m.on_test(player)
            ),
        );
    }

    fn on_test(&self, player: Result<VoicePlayer, VideoError>) {
        let talking = self.talking();
        // Meanwhile a take was begun, or the microphone closed.
        if !self.listens() || talking.taking.borrow().is_some() {
            return;
        }
        match player {
            Ok(player) => drop(talking.test.replace(Some(player))),
            Err(why) => return self.say(&why.to_string()),
        }
        self.tell(Event::Talk);
        self.every(OFTEN, |m| {
            let goes_on = m.talking().test.borrow().as_ref().is_some_and(|test| !test.is_over());
            if !goes_on {
                m.end_test();
                return glib::ControlFlow::Break;
            }
            glib::ControlFlow::Continue
        });
    }

    /// Looks again and again, until `look` breaks off or the window is gone.
    pub(super) fn every(&self, rest: Duration, look: impl Fn(&Self) -> glib::ControlFlow + 'static) {
        glib::timeout_add_local(
            rest,
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                #[upgrade_or]
                glib::ControlFlow::Break,
                move || look(&m)
            ),
        );
    }

    /// Stops playing back the test; what is said from now on is another one.
    pub(super) fn end_test(&self) {
        if self.talking().test.take().is_some() {
            self.talking().heard.borrow().test_again();
            self.tell(Event::Talk);
        }
    }

    fn look_at_screen(&self) -> glib::ControlFlow {
        if self.talking().taking.borrow().is_none() {
            return glib::ControlFlow::Break;
        }
        let trouble = self.talking().mic.borrow().as_ref().and_then(|mic| mic.trouble().err());
        if let Some(why) = trouble {
            self.say_too(&why.to_string());
            self.talking().mic.take();
            self.end_take();
            return glib::ControlFlow::Break;
        }
        if let Some((part, screen)) = self.screen()
            && let Some(at) = self.take_time()
        {
            self.note(part, screen, at);
        }
        glib::ControlFlow::Continue
    }

    /// The moment of the take that is recorded.
    pub fn take_time(&self) -> Option<MatchTime> {
        let now = self.talking().mic.borrow().as_ref().map(Microphone::now)?;
        self.talking().taking.borrow().as_ref()?.recorder.at(now)
    }

    /// What is on the screen: which part of the lesson, and which frame.
    fn screen(&self) -> Option<(usize, Screen)> {
        let (at, _) = self.clip().filter(|_| self.in_lesson())?;
        let shown = self.frames().painted()?;
        let events = self.events().borrow();
        let (_, media, _) = events.as_ref()?;
        let i = shown.frame.index;
        let (moment, lasts) = (media.index.time(i), media.index.gone(i) - media.index.time(i));
        let mut taking = self.talking().taking.borrow_mut();
        let taking = taking.as_mut()?;
        let (_, part, since) = match taking.since.filter(|(was, ..)| *was == at) {
            Some(same) => same,
            None => *taking.since.insert((at, self.lesson()?.items().get(at)?.0, Instant::now())),
        };
        // Right after another clip began, the frame of the one before may still be painted.
        let (first, last) = (self.listing().first.get()?, self.listing().last.get()?);
        let fresh = since.elapsed() < LATE;
        if shown.frame.time != moment || (fresh && !(first..=last).contains(&i)) {
            return None;
        }
        let pace = self.is_playing().then(|| Pace((self.speed() * 100.0).round().clamp(10.0, 400.0) as u16));
        Some((part, Screen { clip: 0, moment, lasts, pace }))
    }

    fn note(&self, part: usize, screen: Screen, at: MatchTime) {
        let mut taking = self.talking().taking.borrow_mut();
        let Some(taking) = taking.as_mut() else { return };
        let known = taking.shown.iter().position(|p| *p == part);
        let clip = known.unwrap_or_else(|| {
            let Some(view) = self.lesson() else { return 0 };
            let chapter = view.chapter_of(part).unwrap_or_default().to_owned();
            if let Some(clip) = view.lesson.parts.get(part).and_then(|p| p.clips().next()) {
                let mut clip = clip.clone();
                if let Some(Part::Pair(pair)) = view.lesson.parts.get(part) {
                    clip.caption.clone_from(&pair.caption);
                }
                taking.recorder.show(Shown { chapter, clip });
                taking.shown.push(part);
            }
            taking.shown.len().saturating_sub(1)
        });
        for action in taking.watcher.see(at, Screen { clip, ..screen }) {
            taking.recorder.act(action);
        }
    }

    /// Something was drawn over the picture, begun at a moment of the take or of the talk.
    pub fn drew(&self, shape: Shape, colour: Colour, begun: Option<MatchTime>) {
        let now = self.take_time();
        if let Some(taking) = &*self.talking().taking.borrow() {
            if let (Some(at), Some(now)) = (begun, now) {
                let took = MatchTime::ZERO.later(now - at);
                taking.recorder.act(Done { at, does: Deed::Draw { shape, colour, took } });
            }
            return;
        }
        if let TalkState::Paused(at) = self.talk_state() {
            self.ask_lesson(Ask::Talk(TalkAct::Draw(at, shape, colour)));
        }
    }

    /// What was drawn was wiped away.
    pub fn wiped(&self) {
        let now = self.take_time();
        if let Some(taking) = &*self.talking().taking.borrow() {
            if let Some(at) = now {
                taking.recorder.act(Done { at, does: Deed::Wipe });
            }
            return;
        }
        if let TalkState::Paused(at) | TalkState::Playing(at) = self.talk_state() {
            self.ask_lesson(Ask::Talk(TalkAct::Wipe(at)));
        }
    }
}
