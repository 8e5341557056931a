//! Playing a talk: its voice sounds, and the picture goes with it.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use gtk::glib;

use super::event::Event;
use super::object::Model;
use super::talking::{TalkState, Telling};
use crate::drawing::Drawing;
use crate::gui::kit::job::off_loop;
use crate::lesson::Clip;
use crate::lesson::talk::{Scene, Talk};
use crate::logging::Action;
use crate::session::play_list::Item;
use crate::session::show::keeper::Ask;
use crate::session::show::talking::TalkAct;
use crate::time::{MatchTime, Span};
use crate::video::{Player, VideoError, VoiceFilter, VoicePlayer};
use crate::voice::{Voice, sample_at};

/// How often the picture is compared with the voice.
const OFTEN: Duration = Duration::from_millis(20);
/// How far a playing picture may be from its place before it is put there.
const SLACK: Duration = Duration::from_millis(80);
/// How long a jump may take before the next one.
const PATIENCE: Duration = Duration::from_millis(400);
/// What is still played when somebody goes past the end.
const SHORT: Duration = Duration::from_millis(500);
/// How long the picture of a talk that stands may take to be there.
const SETTLES: Duration = Duration::from_secs(3);
/// How far a key goes forward or back.
const SKIP: Duration = Duration::from_secs(5);

impl Model {
    /// A number for another start of the voice, so that a late one is dropped.
    fn next_turn(&self) -> u32 {
        let turns = &self.talking().turns;
        turns.set(turns.get().wrapping_add(1));
        turns.get()
    }

    pub(super) fn telling_state(&self) -> TalkState {
        match &*self.talking().telling.borrow() {
            None => TalkState::Off,
            Some(Telling { voice: Some(voice), .. }) => TalkState::Playing(voice.at()),
            Some(Telling { at, .. }) => TalkState::Paused(*at),
        }
    }

    /// Whether the clips that are shown are those of the talk.
    pub fn tells(&self) -> bool {
        self.talking().telling.borrow().is_some()
    }

    /// While the talk is played: the clip at a place of the play list, without what the talk shows in its own time.
    pub(super) fn talk_clip(&self, place: usize) -> Option<Clip> {
        let telling = self.talking().telling.borrow();
        let telling = telling.as_ref()?;
        let (take, clip) = *telling.places.get(place)?;
        let clip = telling.talk.takes.get(take)?.clips.get(clip)?.clip.clone();
        Some(Clip { stretches: Vec::new(), freezes: Vec::new(), times: None, ..clip })
    }

    /// The clip of the talk that is shown, its chapter, and what the talk draws now.
    pub fn told(&self) -> Option<(Clip, String, Vec<Drawing>)> {
        let scene = self.talk_scene()?;
        let telling = self.talking().telling.borrow();
        let shown = telling.as_ref()?.talk.takes.get(scene.take)?.clips.get(scene.clip)?.clone();
        Some((shown.clip, shown.chapter, scene.drawings))
    }

    fn talk_scene(&self) -> Option<Scene> {
        let (TalkState::Playing(at) | TalkState::Paused(at)) = self.telling_state() else { return None };
        self.talking().telling.borrow().as_ref()?.talk.frame_at(at)
    }

    /// The key that plays: begins with the talk, or stops it and goes on.
    pub fn play_talk(&self) {
        match self.talk_state() {
            TalkState::Playing(_) => self.pause_talk(),
            TalkState::Paused(at) => self.talk_from(at),
            TalkState::Recording(_) => self.end_take(),
            TalkState::Testing => self.end_test(),
            TalkState::Ready if self.has_test() => self.play_test(),
            TalkState::Off | TalkState::Ready => self.begin_talk(),
        }
    }

    fn begin_talk(&self) {
        let Some(view) = self.lesson() else { return };
        let Some(talk) = view.lesson.talk.as_deref().cloned() else {
            let record = self.cap(Action::RecordTalk);
            return self.say(&format!("The lesson has no talk yet. {record} records one."));
        };
        let (mut places, mut items) = (Vec::new(), Vec::new());
        for (t, take) in talk.takes.iter().enumerate() {
            for (c, shown) in take.clips.iter().enumerate() {
                let clip = &shown.clip;
                let path = view.files.get(&clip.footage.file).and_then(|f| f.path());
                if let (Some(path), Ok(span)) = (path, Span::new(clip.from, clip.to)) {
                    places.push((t, c));
                    items.push(Item { footage: path.to_owned(), span });
                }
            }
        }
        let telling = Telling {
            talk: Arc::new(talk),
            places,
            voice: None,
            at: MatchTime::ZERO,
            cut: None,
            put: Instant::now(),
            turn: self.next_turn(),
        };
        self.talking().telling.replace(Some(telling));
        self.show_clips(items, 0, (false, true));
        self.talk_from(MatchTime::ZERO);
    }

    /// Plays the talk from a moment on.
    fn talk_from(&self, from: MatchTime) {
        let Some(view) = self.lesson() else { return };
        let turn = self.next_turn();
        let (talk, from) = {
            let mut telling = self.talking().telling.borrow_mut();
            let Some(telling) = telling.as_mut() else { return };
            // From its end it begins anew.
            let from = if from < telling.last() { from } else { MatchTime::ZERO };
            (telling.voice, telling.at, telling.turn) = (None, from, turn);
            (telling.talk.clone(), from)
        };
        let path = |file: &str| Some((file.to_owned(), view.files.get(file)?.path()?.to_owned()));
        let files: BTreeMap<String, PathBuf> = talk.voices().filter_map(|voice| path(&voice.file)).collect();
        off_loop(
            move || spoken(&talk, &files, from),
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                move |voice| m.on_voice(voice, turn)
            ),
        );
    }

    fn on_voice(&self, voice: Result<VoicePlayer, VideoError>, turn: u32) {
        if self.talking().telling.borrow().as_ref().is_none_or(|telling| telling.turn != turn) {
            return;
        }
        match voice {
            Ok(voice) => {
                if let Some(telling) = self.talking().telling.borrow_mut().as_mut() {
                    telling.voice = Some(voice);
                }
            }
            Err(why) => return self.say(&why.to_string()),
        }
        self.tell(Event::Talk);
        self.every(OFTEN, move |m| m.follow_voice(turn));
    }

    fn follow_voice(&self, turn: u32) -> glib::ControlFlow {
        let over = match &*self.talking().telling.borrow() {
            Some(Telling { voice: Some(voice), turn: now, talk, .. }) if *now == turn => {
                voice.is_over() || voice.at() >= talk.length()
            }
            _ => return glib::ControlFlow::Break,
        };
        if over {
            self.pause_talk();
            return glib::ControlFlow::Break;
        }
        self.put_picture();
        glib::ControlFlow::Continue
    }

    /// Puts the picture where the talk has it.
    pub(super) fn put_picture(&self) {
        let Some(scene) = self.talk_scene() else { return };
        let (place, waited) = {
            let telling = self.talking().telling.borrow();
            let Some(telling) = telling.as_ref() else { return };
            let place = telling.places.iter().position(|p| *p == (scene.take, scene.clip));
            (place, telling.put.elapsed())
        };
        let Some(place) = place else { return };
        if self.clip().map(|(at, _)| at) != Some(place) {
            if waited > PATIENCE || self.clip().is_some() {
                self.put_now();
                self.go_to_place(place);
            }
            return;
        }
        let Some(frame) = self.frame_of(&scene) else { return };
        match scene.pace {
            None => self.stand_at(frame),
            Some(pace) => self.run_from(frame, f64::from(pace.0) / 100.0, scene.moment, waited),
        }
    }

    fn stand_at(&self, frame: usize) {
        let here = self.player().borrow().as_ref().map(Player::here);
        if self.is_playing() || here != Some(frame) {
            self.with_player(|p| {
                p.pause();
                p.seek_frame(frame);
            });
            self.tell(Event::Transport);
        }
    }

    /// It plays at this speed, or is put to this frame if it does not, or is too far from the moment.
    fn run_from(&self, frame: usize, speed: f64, moment: MatchTime, waited: Duration) {
        let shown = self.frames().painted().map(|s| s.frame.time).unwrap_or_default();
        let off = Duration::from_nanos(moment.nanos().abs_diff(shown.nanos()));
        let far = off > SLACK.mul_f64(speed.max(1.0)) && waited > PATIENCE;
        if !self.is_playing() || (self.speed() - speed).abs() > 1e-6 || far {
            self.put_now();
            self.with_player(|p| {
                p.set_speed(speed.clamp(0.1, 2.0));
                p.seek_frame(frame);
                p.play();
            });
            self.tell(Event::Transport);
        }
    }

    fn put_now(&self) {
        if let Some(telling) = self.talking().telling.borrow_mut().as_mut() {
            telling.put = Instant::now();
        }
    }

    /// The talk stands, and the picture with it.
    pub(super) fn pause_talk(&self) {
        let turn = self.next_turn();
        {
            let mut telling = self.talking().telling.borrow_mut();
            let Some(telling) = telling.as_mut() else { return };
            if let Some(voice) = telling.voice.take() {
                telling.at = voice.at().min(telling.last());
            }
            telling.turn = turn;
        }
        self.with_player(Player::pause);
        self.put_still();
    }

    /// The picture of the moment at which the talk stands.
    fn put_still(&self) {
        self.tell(Event::Transport);
        self.tell(Event::Talk);
        let Some(turn) = self.talking().telling.borrow().as_ref().map(|t| t.turn) else { return };
        let begun = Instant::now();
        // Its clip may have to be opened first.
        self.every(OFTEN, move |m| {
            let now = m.talking().telling.borrow().as_ref().map(|t| (t.turn, t.voice.is_some()));
            if now != Some((turn, false)) || begun.elapsed() > SETTLES {
                return glib::ControlFlow::Break;
            }
            m.put_picture();
            glib::ControlFlow::Continue
        });
    }

    /// The frame that a scene of the talk shows of the footage that is open.
    fn frame_of(&self, scene: &Scene) -> Option<usize> {
        let events = self.events().borrow();
        events.as_ref().map(|(_, media, _)| media.index.at(scene.moment))
    }

    /// Goes a little forward or back in the talk.
    pub fn skip_talk(&self, forward: bool) {
        let (at, plays) = match self.telling_state() {
            TalkState::Playing(at) => (at, true),
            TalkState::Paused(at) => (at, false),
            _ => return,
        };
        let to = if forward { at.later(SKIP) } else { at.earlier(SKIP) };
        if plays {
            let end = self.talking().telling.borrow().as_ref().map(|t| t.last().earlier(SHORT));
            self.talk_from(end.map_or(to, |end| to.min(end)));
        } else {
            let turn = self.next_turn();
            if let Some(telling) = self.talking().telling.borrow_mut().as_mut() {
                (telling.at, telling.turn) = (to.min(telling.last()), turn);
            }
            self.put_still();
        }
    }

    /// Marks where a cut begins, and then where it ends.
    pub fn cut_talk(&self) {
        let (TalkState::Playing(at) | TalkState::Paused(at)) = self.telling_state() else {
            let play = self.cap(Action::PlayTalk);
            return self.say(&format!("Play the talk first ({play}), and stop where the cut begins."));
        };
        let begun =
            self.talking().telling.borrow_mut().as_mut().and_then(|telling| match telling.cut.take() {
                None => {
                    telling.cut = Some(at);
                    None
                }
                begun => begun,
            });
        match begun {
            None => {
                let cut = self.cap(Action::CutTalk);
                self.say(&format!(
                    "The cut begins at {}. Go to where it ends and press {cut} again.",
                    at.short()
                ));
            }
            Some(from) => {
                let (from, to) = (from.min(at), from.max(at));
                // If nothing can be cut, the answer says so over these words.
                let undo = self.cap(Action::Undo);
                self.say(&format!("Cut from {} to {}. {undo} takes it back.", from.short(), to.short()));
                self.ask_lesson(Ask::Talk(TalkAct::Cut(from, to)));
            }
        }
        self.tell(Event::Talk);
    }

    /// Changes the filters of the voice: both, even loudness, less noise, none.
    pub fn change_filters(&self) {
        let Some(talk) = self.lesson().and_then(|v| v.lesson.talk.clone()) else {
            return self.say("The lesson has no talk yet.");
        };
        let (gain, gate, said) = match (talk.gain, talk.gate) {
            (true, true) => (true, false, "evenly loud"),
            (true, false) => (false, true, "with less noise"),
            (false, true) => (false, false, "as it was recorded"),
            (false, false) => (true, true, "evenly loud, with less noise"),
        };
        self.ask_lesson(Ask::Talk(TalkAct::Filters { gain, gate }));
        self.say(&format!("The voice is now played {said}."));
    }

    /// The talk of the lesson is another: what is played goes on with it.
    pub fn talk_changed(&self) {
        if !self.tells() {
            return;
        }
        let new = self.lesson().and_then(|v| v.lesson.talk.clone());
        let same = self.talking().telling.borrow().as_ref().is_some_and(|t| new.as_deref() == Some(&*t.talk));
        if same {
            return;
        }
        let at = match self.telling_state() {
            TalkState::Playing(at) | TalkState::Paused(at) => at,
            _ => MatchTime::ZERO,
        };
        if new.is_none() {
            self.leave_talk();
            return self.tell(Event::Talk);
        }
        // Takes may be gone or new: the list of clips is made anew, and the talk stands.
        self.begin_talk();
        let turn = self.next_turn();
        if let Some(telling) = self.talking().telling.borrow_mut().as_mut() {
            (telling.at, telling.turn) = (at.min(telling.last()), turn);
        }
        self.put_still();
    }

    /// Ends playing the talk: the clips of the lesson are shown again, from the one that was shown. The moment at which it stood.
    pub(super) fn leave_talk(&self) -> Option<MatchTime> {
        let scene = self.talk_scene();
        self.pause_talk();
        let telling = self.talking().telling.take()?;
        let view = self.lesson()?;
        let clip = scene.and_then(|s| Some(telling.talk.takes.get(s.take)?.clips.get(s.clip)?.clip.clone()));
        self.with_player(|p| p.set_speed(1.0));
        let items = view.items();
        let same = |part: usize| {
            let shown = view.lesson.parts.get(part).and_then(|p| p.clips().next());
            shown.zip(clip.as_ref()).is_some_and(|(a, b)| (&a.footage, a.from) == (&b.footage, b.from))
        };
        let at = items.iter().position(|(part, _)| same(*part)).unwrap_or(0);
        self.show_clips(items.into_iter().map(|(_, item)| item).collect(), at, (false, true));
        Some(telling.at)
    }
}

/// The voice of a talk from a moment on, filtered as the talk says.
fn spoken(
    talk: &Talk,
    files: &BTreeMap<String, PathBuf>,
    from: MatchTime,
) -> Result<VoicePlayer, VideoError> {
    let mut voice = Voice::of(talk, files);
    voice.go(sample_at(from));
    let mut filter = VoiceFilter::new(talk.gain, talk.gate)?;
    let mut left = voice.samples().saturating_sub(voice.at());
    VoicePlayer::start(from, move |count| {
        let count = count.min(usize::try_from(left).unwrap_or(usize::MAX));
        left -= count as u64;
        // A voice that cannot be read is silent; `changeover lesson` names it.
        let mut read = |n: usize| Ok::<_, VideoError>(voice.read(n).unwrap_or_else(|_| vec![0; n]));
        let samples = match &mut filter {
            Some(filter) => filter.read(count, &mut read),
            None => read(count),
        };
        (count > 0).then(|| samples.unwrap_or_else(|_| vec![0; count]))
    })
}
