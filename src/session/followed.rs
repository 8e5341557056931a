//! Where the camera was in each frame of footage in which the court was followed, kept so that it is followed once.

use std::time::Duration;

use nalgebra::SMatrix;
use serde::{Deserialize, Serialize};

use super::folders;
use super::kept::Kept;
use crate::find::{Belief, FramePose, Poses, Seen, Start, Unseen};
use crate::measure::{Calibration, Camera, NUMBERS, Stand, Turn};
use crate::record::CourtMarks;
use crate::time::MatchTime;

const FORM: &str = concat!("changeover-court 2 ", env!("CARGO_PKG_VERSION"));
/// How many files of footage the cameras are kept of: each takes 15 megabytes for two hours of a camera that moves.
const MOST: usize = 100;
/// A camera that turns by less than this, in pixels at a width of 1280, stands still: the marks of the court hold for all frames.
const STILL: f64 = 2.0;
/// For so long somebody may stand before a camera that does not move.
const HIDDEN: Duration = Duration::from_secs(20);

/// What following the court through one file of footage has found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Followed {
    poses: Poses,
    marks: Vec<CourtMarks>,
    moves: bool,
}

impl Followed {
    /// From the poses of the frames and the marks of the court from which it was followed; none if it was found without any.
    pub fn new(mut frames: Vec<FramePose>, starts: Vec<Start>, marks: &[CourtMarks]) -> Self {
        bridge(&mut frames);
        let held = || frames.iter().filter_map(|f| camera_of(&f.seen));
        let moves = held().next().is_some_and(|first| held().any(|c| turned(first, c)));
        Self { poses: Poses::new(frames, starts), marks: same_marks(marks), moves }
    }

    /// A camera that stands still: the marks hold in all frames.
    pub fn still(marks: &[CourtMarks]) -> Self {
        Self { marks: same_marks(marks), ..Self::default() }
    }

    /// Whether it was followed from these marks.
    pub fn is_from(&self, marks: &[CourtMarks]) -> bool {
        self.marks == same_marks(marks)
    }

    /// Whether the marks of the court hold in the frame that is shown at a time from the start of the file: the camera stands still, and
    /// the court is seen.
    pub fn marks_hold(&self, time: MatchTime) -> bool {
        !self.moves && (self.poses.frames().is_empty() || self.camera(time).is_some())
    }

    /// The camera of the frame that is shown at a time; `None` if the court is not held in it.
    pub fn camera(&self, time: MatchTime) -> Option<&Camera> {
        camera_of(&self.poses.at(time)?.seen)
    }

    /// The same with its error.
    pub fn calibration(&self, time: MatchTime) -> Option<Calibration> {
        self.poses.calibration(time)
    }

    /// Whether the camera ever turned or zoomed.
    pub fn moves(&self) -> bool {
        self.moves
    }

    /// When somebody touched a camera that otherwise stands still.
    pub fn bumps(&self) -> Vec<MatchTime> {
        self.poses.bumps()
    }

    /// The part of the frames in which the court is held, from 0 to 1.
    pub fn held(&self) -> f64 {
        let frames = self.poses.frames();
        let held = frames.iter().filter(|f| camera_of(&f.seen).is_some()).count();
        if frames.is_empty() { 1.0 } else { held as f64 / frames.len() as f64 }
    }
}

fn camera_of(seen: &Seen) -> Option<&Camera> {
    match seen {
        Seen::Held { camera, .. } => Some(camera),
        Seen::No(_) => None,
    }
}

/// Marks as they are compared: whether the camera moves follows from following it.
fn same_marks(marks: &[CourtMarks]) -> Vec<CourtMarks> {
    marks.iter().map(|m| CourtMarks { moving: false, ..m.clone() }).collect()
}

/// Where the court was lost for a short time without a cut, and the camera looks at the same place before and after, it looked there
/// meanwhile too: somebody stood before it.
fn bridge(frames: &mut [FramePose]) {
    let mut at = 0;
    while at < frames.len() {
        let run = frames[at..].iter().take_while(|f| camera_of(&f.seen).is_none()).count();
        let end = at + run;
        if run > 0 && at > 0 && end < frames.len() {
            let (before, after) = (frames[at - 1].seen, frames[end].seen);
            let same = camera_of(&before).zip(camera_of(&after)).is_some_and(|(a, b)| !turned(a, b));
            let cut = frames[at..end].iter().any(|f| f.seen == Seen::No(Unseen::Cut));
            if same && !cut && frames[end].time - frames[at].time < HIDDEN {
                frames[at..end].iter_mut().for_each(|f| f.seen = before);
            }
        }
        at = end + 1;
    }
}

/// Whether the second camera looks at another place than the first one.
fn turned(first: &Camera, other: &Camera) -> bool {
    let turn = other.turn_from(first);
    let wide = f64::from(first.size().width);
    let pixels = turn[0].hypot(turn[1]) * first.focal() + (turn[2].abs() + turn[3].abs()) * wide / 4.0;
    let apart = std::iter::zip(first.position(), other.position()).map(|(a, b)| (a - b).powi(2)).sum::<f64>();
    pixels * 1280.0 / wide > STILL || apart.sqrt() > 0.5
}

/// A file: where cameras stood, and how they were turned in each frame.
#[derive(Debug, Serialize, Deserialize)]
struct File {
    moves: bool,
    marks: Vec<CourtMarks>,
    starts: Vec<FileStart>,
    stands: Vec<Stand>,
    frames: Vec<(u64, Option<Frame>)>,
}

/// The stand, how it is turned, the start, the support and the error of the lines in hundredths.
type Frame = (usize, Turn, usize, u16, u16);

#[derive(Debug, Serialize, Deserialize)]
struct FileStart {
    time: MatchTime,
    sure: bool,
    rms: f64,
    covariance: Vec<f64>,
}

impl File {
    fn of(followed: &Followed) -> Self {
        let start = |s: &Start| FileStart {
            time: s.time,
            sure: s.belief == Belief::Sure,
            rms: s.rms,
            covariance: s.covariance.as_slice().to_vec(),
        };
        let mut stands: Vec<Stand> = Vec::new();
        let mut one = |seen: &Seen| {
            let Seen::Held { camera, support, rms, start } = seen else { return None };
            let (stand, pose) = camera.parts();
            let known = stands.iter().rposition(|s| *s == stand);
            let known = known.unwrap_or_else(|| {
                stands.push(stand);
                stands.len() - 1
            });
            let hundredths = |v: f64| (v * 100.0).round().clamp(0.0, 60_000.0) as u16;
            Some((known, pose, *start, hundredths(*support), hundredths(*rms)))
        };
        let frames = followed.poses.frames().iter().map(|f| (f.time.nanos(), one(&f.seen))).collect();
        let starts = followed.poses.starts().iter().map(start).collect();
        Self { moves: followed.moves, marks: followed.marks.clone(), starts, stands, frames }
    }

    /// `None` if a number of it cannot be.
    fn followed(self) -> Option<Followed> {
        let one = |(time, seen): &(u64, Option<Frame>)| {
            let seen = match seen {
                Some((stand, pose, start, support, rms)) => Seen::Held {
                    camera: Camera::of_parts(*self.stands.get(*stand)?, *pose)?,
                    support: f64::from(*support) / 100.0,
                    rms: f64::from(*rms) / 100.0,
                    start: *start,
                },
                None => Seen::No(Unseen::NotFound),
            };
            Some(FramePose { time: MatchTime::from_nanos(*time), seen })
        };
        let frames: Vec<_> = self.frames.iter().map(one).collect::<Option<_>>()?;
        let start = |s: &FileStart| {
            let whole = s.covariance.len() == NUMBERS * NUMBERS && s.covariance.iter().all(|v| v.is_finite());
            whole.then(|| Start {
                time: s.time,
                belief: if s.sure { Belief::Sure } else { Belief::Proposal },
                covariance: SMatrix::from_column_slice(&s.covariance),
                rms: s.rms,
            })
        };
        let starts = self.starts.iter().map(start).collect::<Option<_>>()?;
        let poses = Poses::new(frames, starts);
        poses.frames().is_sorted_by_key(|f| f.time).then_some(Followed {
            poses,
            marks: self.marks,
            moves: self.moves,
        })
    }
}

/// Where the cameras of footage are kept.
#[derive(Debug, Clone)]
pub struct KeptCourts(Kept);

impl Default for KeptCourts {
    fn default() -> Self {
        Self(Kept::new(folders::cache().join("courts"), FORM, MOST))
    }
}

impl KeptCourts {
    /// In this folder.
    pub fn within(folder: std::path::PathBuf) -> Self {
        Self(Kept::new(folder, FORM, MOST))
    }

    /// What is kept for the footage with this fingerprint; `None` if the court was not followed in it. Takes a while for long footage.
    pub fn of(&self, fingerprint: &str) -> Option<Followed> {
        self.0.of::<File>(fingerprint)?.followed()
    }

    /// Keeps it.
    pub fn keep(&self, fingerprint: &str, followed: &Followed) {
        self.0.keep(fingerprint, File::of(followed));
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::measure::{PoseStep, Size};
    use crate::tennis::court::LANDMARKS;

    pub(crate) fn camera(turn: f64) -> Camera {
        let camera =
            Camera::looking([1.0, -24.0, 5.0], [0.0, -2.0, 0.0], 60.0, Size::new(1280, 720)).unwrap();
        let mut by = PoseStep::zeros();
        (by[0], by[1], by[3]) = (turn / 3.0, turn, turn / 2.0);
        camera.with_radial(-0.03).moved(&by)
    }

    /// Frames of a second each; `None`: the court is not seen in it.
    pub(crate) fn followed(cameras: &[Option<Camera>], marks: &[CourtMarks]) -> Followed {
        let seen = |c: &Option<Camera>| match c {
            Some(camera) => Seen::Held { camera: *camera, support: 0.9, rms: 0.5, start: 0 },
            None => Seen::No(Unseen::Lost),
        };
        let frame = |(n, c)| FramePose { time: MatchTime::from_secs(n), seen: seen(c) };
        let start = Start {
            time: MatchTime::ZERO,
            belief: Belief::Sure,
            covariance: SMatrix::identity() * 1e-8,
            rms: 0.5,
        };
        Followed::new((0..).zip(cameras).map(frame).collect(), vec![start], marks)
    }

    fn print(n: u8) -> String {
        format!("sha256:{}", format!("{n:02x}").repeat(32))
    }

    #[test]
    fn cameras_are_kept_to_a_hundredth_of_a_pixel() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCourts::within(folder.path().join("courts"));
        let cameras: Vec<_> = (0..6).map(|i| (i != 3).then(|| camera(f64::from(i) / 50.0))).collect();
        let followed = followed(&cameras, &[]);
        kept.keep(&print(1), &followed);
        let again = kept.of(&print(1)).unwrap();
        assert!(again.moves() && again.is_from(&[]) && kept.of(&print(2)).is_none());
        assert!((again.held() - 5.0 / 6.0).abs() < 1e-9);
        for i in 0..6 {
            let at = MatchTime::from_millis(i * 1000 + 39);
            let (was, is) = (followed.calibration(at), again.calibration(at));
            assert_eq!((was.is_some(), is.is_some()), (i != 3, i != 3));
            for (was, is) in was.into_iter().zip(is) {
                let see = |c: &Calibration, s| c.camera().see_ground(s).unwrap();
                let off = |s| see(&was, s).distance(see(&is, s));
                assert!(LANDMARKS.iter().all(|l| off(l.spot) < 0.01));
                assert!((was.covariance() - is.covariance()).amax() < 1e-15);
            }
        }
    }

    #[test]
    fn a_damaged_file_is_as_good_as_none() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCourts::within(folder.path().to_owned());
        kept.keep(&print(1), &followed(&[Some(camera(0.0))], &[]));
        let file = folder.path().join(format!("{}.json", "01".repeat(32)));
        let good = std::fs::read_to_string(&file).unwrap();
        assert!(kept.of(&print(1)).is_some_and(|f| !f.moves()));
        for (from, to) in [("1280", "0"), ("[[0,[0,", "[[0,[7,"), ("\"covariance\":[", "\"covariance\":[3,")]
        {
            let bad = good.replace(from, to);
            assert_ne!(bad, good, "{from} is not in {good}");
            std::fs::write(&file, bad).unwrap();
            assert_eq!(kept.of(&print(1)), None, "{from}");
        }
    }

    #[test]
    fn somebody_before_a_camera_that_stands_hides_the_court_but_a_cut_does_not() {
        let (here, away, secs) = (Some(camera(0.0)), Some(camera(0.1)), MatchTime::from_secs);
        let hidden = followed(&[here, None, None, here], &[]);
        assert!(hidden.marks_hold(secs(1)) && hidden.camera(secs(2)).is_some());
        let turned = followed(&[here, None, away], &[]);
        assert!(!turned.marks_hold(secs(0)) && turned.camera(secs(1)).is_none());
        let mut frames = followed(&[here, None, here], &[]).poses.frames().to_vec();
        frames[1].seen = Seen::No(Unseen::Cut);
        let cut = Followed::new(frames, Vec::new(), &[]);
        assert!(cut.marks_hold(secs(0)) && !cut.marks_hold(secs(1)) && cut.marks_hold(secs(2)));
        assert!(Followed::still(&[]).marks_hold(secs(5)));
    }
}
