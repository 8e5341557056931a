//! Which frame of which file each frame of a reel shows.

use std::collections::BTreeMap;

use thiserror::Error;

use super::seen::{Told, Voices};
use super::track::{Track, Way};
use crate::frames::FootageFile;
use crate::lesson::{Clip, Lesson, Pair, Part};
use crate::time::{FrameRate, MatchTime};

/// The opened footage of a lesson, by the name that the lesson has for it.
pub type Files = BTreeMap<String, FootageFile>;

/// How long a heading stands.
const CARD: MatchTime = MatchTime::from_millis(2500);
/// The longest reel.
const LONGEST: MatchTime = MatchTime::from_secs(6 * 3600);
/// The highest rate that is chosen without being asked for.
const FASTEST: u32 = 60;

/// Why no reel can be made of a lesson.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PlanError {
    /// There is nothing to show.
    #[error("the lesson has no parts; add clips to it first")]
    Empty,
    /// There is no talk.
    #[error("the lesson has no talk; record one on the Show page, or leave out --talk")]
    NoTalk,
    /// A file was not opened.
    #[error("part {part}: the footage \"{file}\" is not open")]
    NotOpen {
        /// Which part, from 1.
        part: usize,
        /// The file, as the lesson names it.
        file: String,
    },
    /// A clip lies after the end of its file.
    #[error("part {part}: the clip begins at {from}, but \"{file}\" ends at {end}; correct the clip's start")]
    AfterTheEnd {
        /// Which part, from 1.
        part: usize,
        /// The file, as the lesson names it.
        file: String,
        /// Where the clip begins.
        from: MatchTime,
        /// Where the file ends.
        end: MatchTime,
    },
    /// It would take too long.
    #[error("part {part}: the reel would be longer than 6 hours; shorten the freezes or make two lessons")]
    TooLong {
        /// The part that goes beyond it, from 1.
        part: usize,
    },
}

/// What is asked of a reel; what is not asked is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Wish {
    /// Width and height; else those of most of the clips' time, at most 1920 × 1080.
    pub size: Option<(u32, u32)>,
    /// Frames a second; else those of most of the clips' time, at most 60, and 30 where rates vary.
    pub rate: Option<FrameRate>,
}

/// A stretch of the reel with one look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scene {
    /// The part of the lesson, from 0; `None` for the lesson's own title.
    pub part: Option<usize>,
    /// Its first frame.
    pub starts: u64,
    /// How many frames it takes, at least one.
    pub frames: u64,
    /// What it shows.
    pub shows: Shows,
}

/// What a scene shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shows {
    /// Words, or a picture of the court: all is in the lesson.
    Card,
    /// A clip.
    One(Track),
    /// Two clips, each with the number of frames that its first frame stands before it runs.
    Two([(Track, u64); 2]),
    /// A clip as a talk shows it.
    Told(Told),
}

/// Sound of a file at full speed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sound {
    /// The file, as the lesson names it.
    pub file: String,
    /// Where it begins, on the file's own clock.
    pub from: MatchTime,
    /// The frame of the reel at which it begins.
    pub starts: u64,
    /// How many frames of the reel it lasts.
    pub frames: u64,
}

/// A chapter mark of a reel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Its words.
    pub title: String,
    /// The frame at which it begins.
    pub starts: u64,
}

/// A reel, frame by frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// Frames a second.
    pub rate: FrameRate,
    /// Width and height in pixels, both even.
    pub size: (u32, u32),
    /// What it shows, in order, without gaps.
    pub scenes: Vec<Scene>,
    /// In the reel of a talk its voice files.
    pub voices: Option<Voices>,
}

impl Scene {
    /// The part whose words lie over it; `None` for the lesson's own title.
    pub fn part_of<'a>(&'a self, lesson: &'a Lesson) -> Option<&'a Part> {
        match &self.shows {
            Shows::Told(told) => Some(&told.part),
            _ => lesson.parts.get(self.part?),
        }
    }
}

impl Plan {
    /// The reel of a lesson.
    ///
    /// # Errors
    /// [`PlanError`] when a file is missing in `files`, or there is nothing to show.
    pub fn new(lesson: &Lesson, files: &Files, wish: Wish) -> Result<Self, PlanError> {
        if lesson.parts.is_empty() {
            return Err(PlanError::Empty);
        }
        let (rate, size) =
            chosen(&lesson.parts.iter().flat_map(Part::clips).collect::<Vec<_>>(), files, wish);
        let mut plan = Self { rate, size, scenes: Vec::new(), voices: None };
        if !lesson.title.trim().is_empty() {
            plan.add(None, plan.frames_in(CARD), Shows::Card)?;
        }
        for (n, part) in lesson.parts.iter().enumerate() {
            let track = |clip: &Clip| track(clip, files, rate, n + 1);
            match part {
                Part::Chapter(_) => plan.add(Some(n), plan.frames_in(CARD), Shows::Card)?,
                Part::Still(still) => plan.add(Some(n), plan.frames_in(still.lasts), Shows::Card)?,
                Part::Clip(clip) => {
                    let track = track(clip)?;
                    plan.add(Some(n), track.frames(), Shows::One(track))?;
                }
                Part::Pair(pair) => {
                    let both = aligned(pair, [track(&pair.left)?, track(&pair.right)?], files);
                    let frames = both.iter().map(|(t, before)| t.frames() + before).max().unwrap_or(1);
                    plan.add(Some(n), frames, Shows::Two(both))?;
                }
            }
        }
        Ok(plan)
    }

    pub(super) fn add(&mut self, part: Option<usize>, frames: u64, shows: Shows) -> Result<(), PlanError> {
        let starts = self.frames();
        if starts.saturating_add(frames) > self.frames_in(LONGEST) {
            return Err(PlanError::TooLong { part: part.map_or(1, |n| n + 1) });
        }
        self.scenes.push(Scene { part, starts, frames, shows });
        Ok(())
    }

    /// How many frames the reel has.
    pub fn frames(&self) -> u64 {
        self.scenes.last().map_or(0, |s| s.starts + s.frames)
    }

    /// The scene that frame `k` belongs to; the last one after the end.
    pub fn scene(&self, k: u64) -> Option<&Scene> {
        self.scenes.get(self.scenes.partition_point(|s| s.starts <= k).saturating_sub(1))
    }

    /// The nearest number of frames to a time, at least one.
    pub(super) fn frames_in(&self, time: MatchTime) -> u64 {
        let x = u128::from(time.nanos()) * u128::from(self.rate.frames());
        let second = u128::from(self.rate.per()) * 1_000_000_000;
        u64::try_from((x + second / 2) / second).unwrap_or(u64::MAX).max(1)
    }

    /// The sounds of the reel, in order, none over another. Slow, fast and standing pictures are silent; of two clips side
    /// by side the left one is heard, or the right one if the left has no sound.
    pub fn sounds(&self, files: &Files) -> Vec<Sound> {
        let mut out = Vec::new();
        for scene in &self.scenes {
            let heard = |t: &Track| files.get(&t.file).is_some_and(|f| f.has_audio);
            match &scene.shows {
                Shows::One(track) if heard(track) => sounds_of(track, scene.starts, files, &mut out),
                Shows::Card | Shows::One(_) => {}
                Shows::Two(both) => {
                    if let Some((track, before)) = both.iter().find(|(t, _)| heard(t)) {
                        sounds_of(track, scene.starts + before, files, &mut out);
                    }
                }
                Shows::Told(told) => out.extend(told.heard.iter().map(|(first, last, from)| Sound {
                    file: told.file.clone(),
                    from: *from,
                    starts: scene.starts + first,
                    frames: last - first + 1,
                })),
            }
        }
        out
    }

    /// The chapter marks of the reel: the lesson's headings, or its parts where it has none. The first is at its beginning.
    pub fn marks(&self, lesson: &Lesson) -> Vec<Mark> {
        let headed = lesson.parts.iter().any(|p| matches!(p, Part::Chapter(_)));
        let mut out: Vec<Mark> = Vec::new();
        if self.voices.is_some() {
            return self.told_marks();
        }
        for scene in &self.scenes {
            let Some(n) = scene.part else {
                out.push(Mark { title: lesson.title.clone(), starts: 0 });
                continue;
            };
            let title = match lesson.parts.get(n) {
                Some(Part::Chapter(c)) => c.title.clone(),
                Some(Part::Clip(c)) if !headed => c.caption.clone(),
                Some(Part::Pair(p)) if !headed => p.caption.clone(),
                Some(Part::Still(s)) if !headed => s.caption.clone(),
                _ => continue,
            };
            let title = if title.trim().is_empty() { format!("Part {}", n + 1) } else { title };
            out.push(Mark { title, starts: scene.starts });
        }
        if let Some(first) = out.first_mut() {
            first.starts = 0;
        }
        out
    }
}

impl Plan {
    /// The chapter marks of a talk: where another chapter begins, or another clip if there are no chapters.
    fn told_marks(&self) -> Vec<Mark> {
        let told = |scene: &Scene| match &scene.shows {
            Shows::Told(told) => Some((told.clone(), scene.starts)),
            _ => None,
        };
        let all: Vec<(Told, u64)> = self.scenes.iter().filter_map(told).collect();
        let headed = all.iter().any(|(told, _)| !told.chapter.trim().is_empty());
        let mut out: Vec<Mark> = Vec::new();
        for (n, (told, starts)) in all.iter().enumerate() {
            let title = match &told.part {
                _ if headed => told.chapter.clone(),
                Part::Clip(clip) => clip.caption.clone(),
                _ => String::new(),
            };
            let title = if title.trim().is_empty() { format!("Part {}", n + 1) } else { title };
            if !headed || out.last().is_none_or(|last| last.title != title) {
                out.push(Mark { title, starts: *starts });
            }
        }
        out
    }
}

fn track(clip: &Clip, files: &Files, rate: FrameRate, part: usize) -> Result<Track, PlanError> {
    let name = || clip.footage.file.clone();
    let file = files.get(&clip.footage.file).ok_or_else(|| PlanError::NotOpen { part, file: name() })?;
    Track::new(clip, &file.index, rate).ok_or_else(|| PlanError::AfterTheEnd {
        part,
        file: name(),
        from: clip.from,
        end: file.index.end(),
    })
}

/// Two tracks, each with how long its first frame stands, so that both show their moment in the same frame of the reel.
fn aligned(pair: &Pair, [left, right]: [Track; 2], files: &Files) -> [(Track, u64); 2] {
    let moment =
        |track: &Track, at: MatchTime| files.get(&track.file).map_or(0, |f| track.reaches(f.index.at(at)));
    let (l, r) = (moment(&left, pair.left_at), moment(&right, pair.right_at));
    [(left, r.saturating_sub(l)), (right, l.saturating_sub(r))]
}

fn sounds_of(track: &Track, from: u64, files: &Files, out: &mut Vec<Sound>) {
    let Some(file) = files.get(&track.file) else { return };
    for piece in &track.pieces {
        if let Way::Play { first, pace, .. } = piece.way
            && pace.0 == 100
        {
            out.push(Sound {
                file: track.file.clone(),
                from: file.index.clock_time(first),
                starts: from + piece.starts,
                frames: piece.frames,
            });
        }
    }
}

/// What most of the clips' time has, of what `of` says about a file.
fn commonest<T: Ord + Copy>(
    clips: &[&Clip],
    files: &Files,
    of: impl Fn(&FootageFile) -> Option<T>,
) -> Option<T> {
    let mut lasting: BTreeMap<T, u128> = BTreeMap::new();
    for clip in clips {
        if let Some(what) = files.get(&clip.footage.file).and_then(&of) {
            *lasting.entry(what).or_default() += (clip.to - clip.from).as_nanos();
        }
    }
    lasting.into_iter().max_by_key(|(what, time)| (*time, *what)).map(|(what, _)| what)
}

pub(super) fn chosen(clips: &[&Clip], files: &Files, wish: Wish) -> (FrameRate, (u32, u32)) {
    let slow = |f: &FootageFile| f.rate.filter(|r| r.frames() <= FASTEST * r.per());
    let rate = commonest(clips, files, |f| slow(f).map(|r| (r.frames(), r.per())));
    let rate = wish.rate.or_else(|| rate.and_then(|(n, d)| FrameRate::new(n, d).ok()));
    let size = wish.size.or_else(|| commonest(clips, files, |f| Some((f.width, f.height))).map(fitted));
    let (width, height) = size.unwrap_or((1280, 720));
    let even = |n: u32| (n / 2 * 2).clamp(16, 8192);
    (rate.unwrap_or(FrameRate::THIRTY), (even(width), even(height)))
}

/// A size made smaller, in its proportions, until it fits into 1920 × 1080, upright or not.
fn fitted((w, h): (u32, u32)) -> (u32, u32) {
    let (long, short) = (w.max(h), w.min(h));
    let by = (1920.0 / f64::from(long)).min(1080.0 / f64::from(short)).min(1.0);
    let of = |n: u32| (f64::from(n) * by).round() as u32;
    (of(w), of(h))
}
