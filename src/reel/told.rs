//! A talk as a reel: which frame of which file each frame of the reel shows.

use super::plan::{Files, Plan, PlanError, Shows, Wish, chosen};
use super::seen::{Told, Voices};
use crate::frames::FrameIndex;
use crate::lesson::talk::{Scene as Seen, Talk, Timeline};
use crate::lesson::{Clip, Lesson, Part};
use crate::time::{FrameRate, MatchTime};

/// The moment of a talk that frame `k` of its reel shows: the middle of the time for which it is seen. So an action is at most half
/// a frame from its place.
pub fn shown_at(k: u64, rate: FrameRate) -> MatchTime {
    let x = (u128::from(k) * 2 + 1) * u128::from(rate.per()) * 1_000_000_000;
    MatchTime::from_nanos(u64::try_from(x / (u128::from(rate.frames()) * 2)).unwrap_or(u64::MAX))
}

/// What is on the screen in frame `k` of the reel; the last moment of the talk after its end.
pub(super) fn seen(line: &Timeline<'_>, k: u64, rate: FrameRate, length: MatchTime) -> Option<Seen> {
    let last = MatchTime::from_nanos(length.nanos().saturating_sub(1));
    line.frame_at(shown_at(k, rate).min(last))
}

impl Plan {
    /// The reel of a lesson's talk: as long as the talk, and every frame from the footage. `voices` are its voice files.
    ///
    /// # Errors
    /// [`PlanError`] when the lesson has no talk, or a file is missing in `files`.
    pub fn told(lesson: &Lesson, files: &Files, voices: Voices, wish: Wish) -> Result<Self, PlanError> {
        let talk = lesson.talk.as_deref().ok_or(PlanError::NoTalk)?;
        let clips = talk.takes.iter().flat_map(|take| take.clips.iter().map(|shown| &shown.clip));
        let (rate, size) = chosen(&clips.collect::<Vec<_>>(), files, wish);
        let mut plan = Self { rate, size, scenes: Vec::new(), voices: Some(voices) };
        let line = Timeline::of(talk);
        let (length, turns) = (talk.length(), line.turns());
        let mut writer = Writer { talk, files, plan: &mut plan, now: None };
        for k in 0..writer.plan.frames_in(length) {
            let Some(scene) = seen(&line, k, rate, length) else { break };
            let turn = turns.partition_point(|t| *t <= shown_at(k, rate));
            writer.put(k, &scene, turn)?;
        }
        writer.sound()?;
        Ok(plan)
    }
}

/// Puts scenes together frame by frame.
struct Writer<'a> {
    talk: &'a Talk,
    files: &'a Files,
    plan: &'a mut Plan,
    /// What the last frame showed: take, clip, and the turn since which nothing was done.
    now: Option<(usize, usize, usize)>,
}

impl Writer<'_> {
    fn put(&mut self, k: u64, seen: &Seen, turn: usize) -> Result<(), PlanError> {
        let Some(shown) = self.talk.takes.get(seen.take).and_then(|take| take.clips.get(seen.clip)) else {
            return Ok(());
        };
        let clip = &shown.clip;
        let file = self
            .files
            .get(&clip.footage.file)
            .ok_or_else(|| PlanError::NotOpen { part: seen.clip + 1, file: clip.footage.file.clone() })?;
        let here = (seen.take, seen.clip, turn);
        let same = self.now.is_some_and(|(take, clip, _)| (take, clip) == (here.0, here.1));
        if !same {
            let told = Told {
                file: clip.footage.file.clone(),
                chapter: shown.chapter.clone(),
                part: Part::Clip(Box::new(silent(clip))),
                frames: Vec::new(),
                heard: Vec::new(),
            };
            self.plan.add(None, 0, Shows::Told(told))?;
        }
        let Some(scene) = self.plan.scenes.last_mut() else { return Ok(()) };
        let Shows::Told(told) = &mut scene.shows else { return Ok(()) };
        let n = k - scene.starts;
        told.frames.push(file.index.at(seen.moment));
        scene.frames = n + 1;
        if file.has_audio && seen.pace.is_some_and(|pace| pace.0 == 100) {
            match told.heard.last_mut() {
                Some(heard) if self.now == Some(here) && heard.1 + 1 == n => heard.1 = n,
                _ => {
                    // The frame is seen from half its length before the moment that it shows.
                    let begins = seen.moment.earlier(self.plan.rate.frame_length() / 2);
                    told.heard.push((n, n, on_clock(&file.index, begins)));
                }
            }
        }
        self.now = Some(here);
        Ok(())
    }

    fn sound(&self) -> Result<(), PlanError> {
        if self.plan.scenes.is_empty() { Err(PlanError::Empty) } else { Ok(()) }
    }
}

/// A moment of footage on the clock of its file.
fn on_clock(index: &FrameIndex, moment: MatchTime) -> MatchTime {
    let i = index.at(moment);
    index.clock_time(i).later(moment - index.time(i)).earlier(index.time(i) - moment)
}

/// A clip without what the talk shows in its own time.
fn silent(clip: &Clip) -> Clip {
    Clip { stretches: Vec::new(), freezes: Vec::new(), times: None, ..clip.clone() }
}
