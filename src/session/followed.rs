//! Where the camera was in each frame of footage in which the court was followed, kept in the user's cache folder by the footage's
//! fingerprint, so that it is followed once.

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::folders;
use crate::measure::{Camera, Stand, Turn};
use crate::textfile::{self, Limit};
use crate::time::MatchTime;

/// The form of a file: of this version of the program, so that a better search looks again.
const FORM: &str = concat!("changeover-court 1 ", env!("CARGO_PKG_VERSION"));
/// How many files of footage the cameras are kept of: each takes 10 megabytes for two hours. The oldest go first.
const MOST: usize = 100;
/// A camera that turns by less than this, in pixels at a width of 1280, stands still: the marks of the court hold for all frames.
const STILL: f64 = 2.0;

/// The cameras of one file of footage.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Followed {
    frames: Vec<(MatchTime, Option<Camera>)>,
    moves: bool,
}

impl Followed {
    /// Of frames in the order of their times from the start of the file; `None` where the court was not held.
    pub fn new(frames: Vec<(MatchTime, Option<Camera>)>) -> Self {
        let first = frames.iter().find_map(|(_, c)| *c);
        let moves =
            first.is_some_and(|first| frames.iter().any(|(_, c)| c.is_some_and(|c| turned(&first, &c))));
        Self { frames, moves }
    }

    /// The camera of the frame that is shown at a time from the start of the file; `None` if the court is not held in it.
    pub fn at(&self, time: MatchTime) -> Option<&Camera> {
        let after = self.frames.partition_point(|(t, _)| *t <= time);
        self.frames[after.checked_sub(1)?].1.as_ref()
    }

    /// Whether the camera ever turned or zoomed.
    pub fn moves(&self) -> bool {
        self.moves
    }
}

/// Whether the second camera looks at another place than the first one.
fn turned(first: &Camera, other: &Camera) -> bool {
    let turn = other.turn_from(first);
    let wide = f64::from(first.size().width);
    let pixels = turn[0].hypot(turn[1]) * first.focal() + (turn[2].abs() + turn[3].abs()) * wide / 4.0;
    pixels * 1280.0 / wide > STILL
}

/// A file: where cameras stood, and how they were turned in each frame.
#[derive(Debug, Serialize, Deserialize)]
struct File {
    form: String,
    stands: Vec<Stand>,
    frames: Vec<(u64, Option<(usize, Turn)>)>,
}

impl File {
    fn of(followed: &Followed) -> Self {
        let mut stands: Vec<Stand> = Vec::new();
        let mut one = |camera: &Camera| {
            let (stand, pose) = camera.parts();
            let known = stands.iter().rposition(|s| *s == stand);
            let known = known.unwrap_or_else(|| {
                stands.push(stand);
                stands.len() - 1
            });
            (known, pose)
        };
        let frames = followed.frames.iter().map(|(t, c)| (t.nanos(), c.as_ref().map(&mut one))).collect();
        Self { form: FORM.to_owned(), stands, frames }
    }

    /// `None` if a number of it cannot be.
    fn followed(&self) -> Option<Followed> {
        let one = |(time, seen): &(u64, Option<(usize, Turn)>)| {
            let camera = match seen {
                Some((stand, pose)) => Some(Camera::of_parts(*self.stands.get(*stand)?, *pose)?),
                None => None,
            };
            Some((MatchTime::from_nanos(*time), camera))
        };
        let frames: Option<Vec<_>> = self.frames.iter().map(one).collect();
        frames.filter(|f| f.is_sorted_by_key(|(t, _)| *t)).map(Followed::new)
    }
}

/// Where the cameras of footage are kept.
#[derive(Debug, Clone)]
pub struct KeptCourts(PathBuf);

impl Default for KeptCourts {
    fn default() -> Self {
        Self(folders::cache().join("courts"))
    }
}

impl KeptCourts {
    /// In this folder.
    pub fn within(folder: PathBuf) -> Self {
        Self(folder)
    }

    /// The cameras of the footage with this fingerprint; `None` if the court was not followed in it.
    pub fn of(&self, fingerprint: &str) -> Option<Followed> {
        let bytes = textfile::bytes(&self.file(fingerprint)?, Limit::TABLE).ok()?;
        let found: File = serde_json::from_slice(&bytes).ok()?;
        (found.form == FORM).then(|| found.followed())?
    }

    /// Keeps cameras. Whether that works does not matter to anybody: the court can be followed again.
    pub fn keep(&self, fingerprint: &str, followed: &Followed) {
        let Some(file) = self.file(fingerprint) else { return };
        let Ok(text) = serde_json::to_vec(&File::of(followed)) else { return };
        if std::fs::create_dir_all(&self.0).is_err() {
            return;
        }
        // Another program that reads it meanwhile finds the old file or the new one.
        let part = file.with_extension(format!("part-{}", std::process::id()));
        if std::fs::write(&part, text).and_then(|()| std::fs::rename(&part, &file)).is_err() {
            let _ = std::fs::remove_file(&part);
        }
        folders::keep_newest(&self.0, MOST);
    }

    /// The file for a fingerprint, if it is one.
    fn file(&self, fingerprint: &str) -> Option<PathBuf> {
        let sum = fingerprint.strip_prefix("sha256:")?;
        let plain = sum.len() == 64 && sum.bytes().all(|b| b.is_ascii_hexdigit());
        plain.then(|| self.0.join(format!("{sum}.json")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{PoseStep, Size};
    use crate::tennis::court::LANDMARKS;

    fn camera(turn: f64) -> Camera {
        let camera =
            Camera::looking([1.0, -24.0, 5.0], [0.0, -2.0, 0.0], 60.0, Size::new(1280, 720)).unwrap();
        let mut by = PoseStep::zeros();
        (by[0], by[1], by[3]) = (turn / 3.0, turn, turn / 2.0);
        camera.with_radial(-0.03).moved(&by)
    }

    fn print(n: u8) -> String {
        format!("sha256:{}", format!("{n:02x}").repeat(32))
    }

    #[test]
    fn cameras_are_kept_to_a_hundredth_of_a_pixel() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCourts::within(folder.path().join("courts"));
        let frame = |i: u64| (MatchTime::from_millis(i * 40), (i != 3).then(|| camera(i as f64 / 50.0)));
        let followed = Followed::new((0..6).map(frame).collect());
        kept.keep(&print(1), &followed);
        kept.keep("sha256:../../evil", &followed);
        let again = kept.of(&print(1)).unwrap();
        assert!(again.moves() && kept.of(&print(2)).is_none());
        assert_eq!(std::fs::read_dir(&kept.0).unwrap().count(), 1);
        for i in 0..6 {
            let (was, is) =
                (followed.at(MatchTime::from_millis(i * 40 + 39)), again.at(MatchTime::from_millis(i * 40)));
            assert_eq!((was.is_some(), is.is_some()), (i != 3, i != 3));
            for (was, is) in was.into_iter().zip(is) {
                let off = |s| was.see_ground(s).unwrap().distance(is.see_ground(s).unwrap());
                assert!(LANDMARKS.iter().all(|l| off(l.spot) < 0.01));
            }
        }
    }

    #[test]
    fn a_damaged_file_is_as_good_as_none() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCourts::within(folder.path().to_owned());
        kept.keep(&print(1), &Followed::new(vec![(MatchTime::ZERO, Some(camera(0.0)))]));
        let file = kept.file(&print(1)).unwrap();
        let good = std::fs::read_to_string(&file).unwrap();
        assert!(kept.of(&print(1)).is_some_and(|f| !f.moves()));
        let changes =
            [("1280", "0"), ("[[0,[0,", "[[0,[7,"), ("changeover-court 1", "changeover-court 0"), ("}", "")];
        for (from, to) in changes {
            let bad = good.replace(from, to);
            assert_ne!(bad, good, "{from} is not in {good}");
            std::fs::write(&file, bad).unwrap();
            assert_eq!(kept.of(&print(1)), None, "{from}");
        }
    }
}
