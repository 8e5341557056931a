//! Where the camera was in the frames of a lesson's clips: as the records of the clips know it.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::ops::ControlFlow;
use std::sync::Arc;

use thiserror::Error;

use super::error::MakingError;
use super::source::{Source, Watch};
use crate::drawing::Drawing;
use crate::frames::FootageFile;
use crate::lesson::{Clip, Lesson, Part};
use crate::measure::{Calibration, Camera};
use crate::record::footage::name_path;
use crate::record::{CourtMarks, Footage, Record, RecordError};
use crate::reel::Files;
use crate::session::cameras::{Cameras, NoCamera};
use crate::session::followed::KeptCourts;
use crate::session::seeing::stands;
use crate::session::standing::{self, FOLLOW, Stands};
use crate::time::MatchTime;

/// Why nothing can be drawn on the ground in a frame of a clip.
#[derive(Debug, Clone, Error)]
enum NoGround {
    #[error("the lesson does not say which record this clip is from")]
    NoRecord,
    #[error("its record does not name this footage")]
    NotItsFootage,
    #[error(transparent)]
    Record(#[from] Arc<RecordError>),
    #[error("the court is not seen there")]
    NotSeen,
    #[error("{why}; {FOLLOW}", why = Stands::No.words().unwrap_or_default())]
    Moves,
    #[error(transparent)]
    NoCamera(NoCamera),
}

/// The cameras of the footage of a lesson's clips, for what is drawn on the ground of the court.
#[derive(Debug, Default)]
pub struct Grounds {
    /// By the record's name and the footage's name in the lesson: its cameras, or why they are not known.
    files: BTreeMap<(String, String), Result<Known, NoGround>>,
}

/// The cameras of one file of footage.
#[derive(Debug)]
struct Known {
    /// Where the footage begins on the record's clock.
    start: MatchTime,
    cameras: Cameras,
    /// Whether the camera stands still. `None` if the court was followed or is not marked.
    stands: Option<Stands>,
}

impl Grounds {
    /// Reads the records of the clips on which something is drawn on the ground, and what is kept of following the court. `files` are
    /// those of [`Source::files`]: where the court was not followed, some frames tell whether the camera stands. Waits.
    ///
    /// # Errors
    /// [`MakingError::Stopped`].
    pub fn of(
        source: &Source,
        kept: &KeptCourts,
        files: &Files,
        watch: Watch<'_>,
    ) -> Result<Self, MakingError> {
        let (mut grounds, mut records) = (Self::default(), BTreeMap::new());
        for clip in clips(&source.lesson, true).filter(|clip| is_drawn_on_ground(clip)) {
            let Some((record, file)) = key(clip) else { continue };
            let path = source.folder().join(name_path(&record));
            let read = || crate::record::load(&path).map(|(record, _)| record).map_err(Arc::new);
            let whole: &Result<Record, Arc<RecordError>> = records.entry(record.clone()).or_insert_with(read);
            let media = files.get(&file);
            if let Entry::Vacant(new) = grounds.files.entry((record, file)) {
                new.insert(match whole {
                    Ok(whole) => known(whole, clip, kept, media, watch)?,
                    Err(why) => Err(Arc::clone(why).into()),
                });
            }
        }
        Ok(grounds)
    }

    /// The same from the records and what is kept alone: where the court was not followed, its marks hold in all frames, as in the
    /// window. Waits for the disk.
    pub fn read(source: &Source) -> Self {
        let mut never = |_: f64| ControlFlow::Continue(());
        // Nothing else than being stopped fails.
        Self::of(source, &KeptCourts::default(), &Files::new(), &mut never).unwrap_or_default()
    }

    /// Which clips something is drawn on the ground of, each by its record and its footage.
    pub fn wanted(lesson: &Lesson) -> Vec<(String, String)> {
        clips(lesson, true).filter(|clip| is_drawn_on_ground(clip)).filter_map(key).collect()
    }

    /// The camera of a clip in the frame of its footage that is shown at `at`, if it is known.
    pub fn camera(&self, clip: &Clip, at: MatchTime) -> Option<Camera> {
        self.look(clip, at).ok().map(|calibration| *calibration.camera())
    }

    /// The same with its error, or why it is not known.
    fn look(&self, clip: &Clip, at: MatchTime) -> Result<Calibration, NoGround> {
        let known = self.known(clip)?;
        known.cameras.look(at.later(known.start - MatchTime::ZERO)).map_err(|why| match why {
            NoCamera::NotHeld => NoGround::NotSeen,
            _ if known.stands == Some(Stands::No) => NoGround::Moves,
            why => NoGround::NoCamera(why),
        })
    }

    fn known(&self, clip: &Clip) -> Result<&Known, NoGround> {
        let known = key(clip).and_then(|key| self.files.get(&key));
        known.ok_or(NoGround::NoRecord)?.as_ref().map_err(Clone::clone)
    }

    /// From which clips drawings on the ground are left out and why, and where they may lie wrong: of the lesson, or of its talk.
    pub fn left_out(&self, lesson: &Lesson, talk: bool, files: &Files) -> Vec<String> {
        let (first, of) = if talk { (clips(lesson, false).count(), " of the talk") } else { (0, "") };
        let shown = clips(lesson, talk).skip(first).zip(1..);
        let said = |(clip, n): (&Clip, u32)| {
            let why = self.lacking(clip, files.get(&clip.footage.file)?);
            let out = why.map(|why| format!("what is drawn on the ground is left out{why}"));
            Some(format!("clip {n}{of}: {}", out.or_else(|| self.doubt(clip))?))
        };
        shown.filter_map(said).collect()
    }

    /// Why what is drawn on the ground of a clip may lie elsewhere.
    fn doubt(&self, clip: &Clip) -> Option<String> {
        let stands = self.known(clip).ok()?.stands.filter(|_| is_drawn_on_ground(clip))?;
        let why = stands.words().filter(|_| stands == Stands::Unknown)?;
        Some(format!("{why}; if it does, what is drawn on the ground lies elsewhere; {FOLLOW}"))
    }

    /// Of how many frames the drawings on the ground of a clip are left out, and why. `None` if all can be drawn.
    fn lacking(&self, clip: &Clip, media: &FootageFile) -> Option<String> {
        let frames = drawn_on(clip, media);
        let missing: Vec<NoGround> = frames.iter().filter_map(|at| self.look(clip, *at).err()).collect();
        let why = missing.first()?;
        let some = format!(" of {} of {} frames", missing.len(), frames.len());
        Some(format!("{}: {why}", if missing.len() == frames.len() { "" } else { &some }))
    }
}

/// The clips of a lesson, and those of its talk after them.
fn clips(lesson: &Lesson, talk: bool) -> impl Iterator<Item = &Clip> {
    let talk = lesson.talk.as_deref().filter(|_| talk);
    let told = talk.into_iter().flat_map(|talk| &talk.takes).flat_map(|take| &take.clips);
    lesson.parts.iter().flat_map(Part::clips).chain(told.map(|shown| &shown.clip))
}

fn key(clip: &Clip) -> Option<(String, String)> {
    Some((clip.of.as_ref()?.record.clone(), clip.footage.file.clone()))
}

/// The cameras of the footage of a clip, or why they are not known. Other footage that ran at the same time is left out, because its
/// camera stood elsewhere.
fn known(
    record: &Record,
    clip: &Clip,
    kept: &KeptCourts,
    media: Option<&FootageFile>,
    watch: Watch<'_>,
) -> Result<Result<Known, NoGround>, MakingError> {
    let same = |f: &&Footage| match (&f.fingerprint, &clip.footage.fingerprint) {
        (Some(a), Some(b)) => a == b,
        _ => name_path(&f.file).file_name() == name_path(&clip.footage.file).file_name(),
    };
    let Some(file) = record.footage.iter().find(same) else { return Ok(Err(NoGround::NotItsFootage)) };
    let of_file = record.calibrations.iter().filter(|marks| marks.file == file.file);
    let only =
        Record { footage: vec![file.clone()], calibrations: of_file.cloned().collect(), ..Record::default() };
    let mut look = |_: &Footage, marks: &[CourtMarks]| {
        media.map_or(Ok(Stands::Unknown), |media| stands(media, marks, &mut |_| watch(0.0)))
    };
    let (cameras, told) = standing::cameras(&only, kept, &mut look)?;
    Ok(Ok(Known { start: file.start, cameras, stands: told.first().map(|(_, stands)| *stands) }))
}

fn is_drawn_on_ground(clip: &Clip) -> bool {
    let freezes = clip.freezes.iter().flat_map(|f| &f.drawings);
    clip.drawings.iter().chain(freezes).any(Drawing::is_on_ground)
}

/// The times of the frames of a clip on which something is drawn on the ground.
fn drawn_on(clip: &Clip, media: &FootageFile) -> Vec<MatchTime> {
    let moving = clip.drawings.iter().filter(|d| d.is_on_ground());
    let moving: Vec<&Drawing> = moving.collect();
    let frozen = clip.freezes.iter().filter(|f| f.drawings.iter().any(Drawing::is_on_ground));
    let frozen: Vec<usize> = frozen.map(|f| media.index.at(f.at)).collect();
    let frames = media.index.clip(clip.from, clip.to).into_iter().flatten().map(|i| (i, media.index.time(i)));
    let drawn = |i: &usize, at: MatchTime| frozen.contains(i) || moving.iter().any(|d| d.seen_at(at));
    frames.filter(|(i, at)| drawn(i, *at)).map(|(_, at)| at).collect()
}
