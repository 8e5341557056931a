//! The camera of a moment: from the marks of the court in the record, and where the camera moves, from following the court.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::followed::{Followed, KeptCourts};
use crate::measure::{Calibration, Place};
use crate::record::{self, CourtMarks, Edit, Footage, Measured, Position, Record};
use crate::time::MatchTime;

/// Why there is no camera at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoCamera {
    /// No marks of the court hold there.
    #[error("the court is not marked in this footage; mark the court")]
    NotMarked,
    /// In this frame the court is not seen.
    #[error("the court is not seen in this frame")]
    NotHeld,
    /// The camera moves, and nobody has followed the court.
    #[error("the camera moves, and the court was not followed in this footage; follow the court")]
    NotFollowed,
    /// What was kept is still being read.
    #[error("where the camera was is still being read")]
    NotRead,
}

/// The cameras of a record.
#[derive(Debug, Clone, Default)]
pub struct Cameras {
    /// The footage and the marks; nothing else of the record.
    record: Record,
    marks: record::Cameras,
    /// What is kept of each file of footage that was read, by its fingerprint.
    files: BTreeMap<String, Option<Arc<Followed>>>,
}

impl Cameras {
    /// Of a record, before anything that is kept was read.
    pub fn of(record: &Record) -> Self {
        let mut cameras = Self::default();
        cameras.follow(record);
        cameras
    }

    /// Of a record, with all that is kept. Takes a while for long footage.
    pub fn read(record: &Record, kept: &KeptCourts) -> Self {
        let mut cameras = Self::of(record);
        for print in cameras.unread() {
            let found = kept.of(&print).map(Arc::new);
            cameras.take(print, found);
        }
        cameras
    }

    /// Follows a change of the record.
    pub fn follow(&mut self, record: &Record) {
        if self.record.footage != record.footage || self.record.calibrations != record.calibrations {
            let (footage, calibrations) = (record.footage.clone(), record.calibrations.clone());
            self.record = Record { footage, calibrations, ..Record::default() };
            self.marks = record::Cameras::of(record);
        }
    }

    /// The fingerprints of the files of which nothing was read yet.
    pub fn unread(&self) -> Vec<String> {
        let prints = self.record.footage.iter().filter_map(|f| f.fingerprint.clone());
        prints.filter(|p| !self.files.contains_key(p)).collect()
    }

    /// Takes what is kept of a file, or that nothing is.
    pub fn take(&mut self, fingerprint: String, found: Option<Arc<Followed>>) {
        self.files.insert(fingerprint, found);
    }

    /// What following the court in a file has found, if that is known and was done from the marks that the record has now.
    pub fn followed(&self, file: &Footage) -> Option<&Arc<Followed>> {
        let found = self.files.get(file.fingerprint.as_deref()?)?.as_ref()?;
        found.is_from(&self.marks_of(file)).then_some(found)
    }

    /// The file that is shown at a moment.
    pub fn file_at(&self, at: MatchTime) -> Option<&Footage> {
        self.record.footage.iter().filter(|f| f.covers(at)).min_by_key(|f| f.start)
    }

    /// The marks of the court in a file.
    pub fn marks_of(&self, file: &Footage) -> Vec<CourtMarks> {
        self.record.calibrations.iter().filter(|c| c.file == file.file).cloned().collect()
    }

    /// The camera at this moment of the match clock, and how sure it is.
    pub fn at(&self, at: MatchTime) -> Option<Calibration> {
        self.look(at).ok()
    }

    /// The same, or why there is none. Marks hold where the camera stands still. Where it moves, they say that the user has seen the
    /// court in that footage, and the camera is that of the frame.
    ///
    /// # Errors
    /// [`NoCamera`].
    pub fn look(&self, at: MatchTime) -> Result<Calibration, NoCamera> {
        let file = self.file_at(at).ok_or(NoCamera::NotMarked)?;
        let in_file = at.earlier(file.start - MatchTime::ZERO);
        let mut of_file = self.record.calibrations.iter().filter(|c| c.file == file.file).peekable();
        of_file.peek().ok_or(NoCamera::NotMarked)?;
        let marked = || self.marks.at(at).map(|(_, c)| c.clone()).ok_or(NoCamera::NotMarked);
        if of_file.clone().any(|c| c.at == in_file) {
            return marked();
        }
        match file.fingerprint.as_deref().map(|print| self.files.get(print)) {
            Some(None) => Err(NoCamera::NotRead),
            Some(Some(Some(f))) if f.marks_hold(in_file) => marked(),
            Some(Some(Some(f))) => f.calibration(in_file).ok_or(NoCamera::NotHeld),
            Some(Some(None)) | None if of_file.all(|c| c.moving) => Err(NoCamera::NotFollowed),
            Some(Some(None)) | None => marked(),
        }
    }

    /// Whether the camera is known to move in the file that is shown at this moment.
    pub fn moves_at(&self, at: MatchTime) -> bool {
        let print = self.file_at(at).and_then(|f| f.fingerprint.as_deref());
        let found = print.and_then(|p| self.files.get(p)).and_then(Option::as_deref);
        found.is_some_and(Followed::moves)
    }

    /// The place on the ground of a position, with its error. Where the camera moves it is measured with the camera of that frame.
    pub fn place(&self, position: &Position) -> Option<Place> {
        let here = |c: Calibration| position.place(&c);
        let moves = self.moves_at(position.frame);
        let fresh = (moves || position.measured.is_none()).then(|| self.at(position.frame).and_then(here));
        fresh.flatten().or_else(|| position.measured.and_then(|_| self.marks.place(position)))
    }

    /// A position as it is stored: where the camera moves, the place is stored as well, because the marks do not give it.
    pub fn stored(&self, position: &Position) -> Position {
        let place = self.moves_at(position.frame).then(|| self.place(position)).flatten();
        Position { measured: place.map(Measured::from).or(position.measured), ..*position }
    }

    /// What following the court has found in the file that is shown at this moment; `None` if it was not followed from its marks.
    pub fn following_words(&self, at: MatchTime) -> Option<String> {
        let file = self.file_at(at)?;
        let found = self.followed(file)?;
        let words = if found.moves() {
            format!("The camera moves. The court is seen in {:.0} % of the frames.", found.held() * 100.0)
        } else if found.held() < 1.0 {
            format!(
                "The camera stands still. The court is seen in {:.0} % of the frames.",
                found.held() * 100.0
            )
        } else {
            "The camera stands still: the marks hold in all frames.".to_owned()
        };
        let bumps: Vec<_> = found.bumps().iter().map(|b| b.later(file.start - MatchTime::ZERO)).collect();
        Some(bumped(&bumps).map_or(words.clone(), |bumped| format!("{bumped} {words}")))
    }

    /// The edit after following the court: marks say whether their camera moves, and where it does, all positions are measured
    /// again with the camera of their frame. Also says how many positions that are. `None` if nothing changes.
    pub fn settled(&self, record: &Record) -> Option<(Edit, usize)> {
        let file = |name: &str| self.record.footage.iter().find(|f| f.file == name);
        let moves = |c: &CourtMarks| file(&c.file).and_then(|f| self.followed(f)).map(|f| f.moves());
        let told = |c: &CourtMarks| CourtMarks { moving: moves(c).unwrap_or(c.moving), ..c.clone() };
        let calibrations: Vec<_> = record.calibrations.iter().map(told).collect();
        let mut edits = Vec::new();
        if calibrations != record.calibrations {
            edits.push(Edit::SetCalibrations(calibrations));
        }
        let mut count = 0;
        for (at, point) in record.points.iter().enumerate() {
            let mut changed = point.clone();
            let mut here = 0;
            for shot in changed.serves_out.iter_mut().chain(&mut changed.shots) {
                for position in &mut shot.positions {
                    let new = self.stored(position);
                    here += usize::from(new != *position);
                    *position = new;
                }
            }
            if here > 0 {
                count += here;
                edits.push(Edit::SetPoint { at, point: changed });
            }
        }
        (!edits.is_empty()).then_some((Edit::Together(edits), count))
    }
}

/// When somebody touched the camera, and what to do; `None` if nobody did.
fn bumped(at: &[MatchTime]) -> Option<String> {
    const TOLD: usize = 3;
    let (times, after) = match at {
        [] => return None,
        [one] => (one.short(), "after it"),
        _ => {
            let mut times: Vec<_> = at.iter().take(TOLD).map(|t| t.short()).collect();
            let last = match at.len() - times.len() {
                0 => times.pop().unwrap_or_default(),
                1 => "one more time".into(),
                more => format!("{more} more times"),
            };
            (format!("{} and {last}", times.join(", ")), "after each time")
        }
    };
    Some(format!(
        "The camera was bumped at {times}. Look at the court lines {after}: if they are off the court, mark it again there."
    ))
}

#[cfg(test)]
mod tests {
    use super::super::followed::tests::{camera, followed};
    use super::*;
    use crate::measure::{Camera, Size};
    use crate::record::{Corner, CourtMark, FoundBy, Point, Shot, Touch};
    use crate::tennis::court::Spot;

    fn print() -> String {
        format!("sha256:{}", "07".repeat(32))
    }

    fn secs(n: u64) -> MatchTime {
        MatchTime::from_secs(n)
    }

    /// Footage from 100 s on, in whose first frame the court is marked.
    fn record() -> Record {
        let seen = |corner: Corner| camera(0.0).see_ground(corner.landmark().spot).unwrap();
        let marks = Corner::ALL.map(|landmark| CourtMark { landmark, at: seen(landmark).into() });
        let calibration = CourtMarks {
            file: "a.mp4".into(),
            at: MatchTime::ZERO,
            size: Size::new(1280, 720),
            marks: marks.to_vec(),
            by: FoundBy::Hand,
            centre: None,
            moving: false,
        };
        let footage = Footage {
            file: "a.mp4".into(),
            fingerprint: Some(print()),
            duration: secs(60),
            rate: None,
            rotation: 0,
            start: secs(100),
        };
        Record { footage: vec![footage], calibrations: vec![calibration], ..Record::default() }
    }

    fn cameras(record: &Record, seen: Option<&[Option<Camera>]>) -> Cameras {
        let mut cameras = Cameras::of(record);
        cameras.take(print(), seen.map(|seen| Arc::new(followed(seen, &record.calibrations))));
        cameras
    }

    fn moving() -> [Option<Camera>; 4] {
        [Some(camera(0.0)), Some(camera(0.1)), None, Some(camera(0.2))]
    }

    #[test]
    fn the_camera_is_that_of_the_frame_where_it_moves() {
        let record = record();
        let turn = |c: &Cameras, at| c.look(secs(at)).map(|c| c.camera().turn_from(&camera(0.0))[1]);
        let near = |found: Result<f64, NoCamera>, turn: f64| found.is_ok_and(|f| (f - turn).abs() < 0.02);
        assert!(near(turn(&cameras(&record, None), 101), 0.0), "it was not followed: the marks hold");
        assert!(near(turn(&cameras(&record, Some(&[Some(camera(0.0)); 4])), 101), 0.0));
        let follows = cameras(&record, Some(&moving()));
        assert!(near(turn(&follows, 100), 0.0), "the marks hold in their own frame");
        assert!(near(turn(&follows, 101), 0.1) && near(turn(&follows, 103), 0.2));
        assert_eq!(turn(&follows, 102), Err(NoCamera::NotHeld));
        assert_eq!(Cameras::of(&record).look(secs(101)).err(), Some(NoCamera::NotRead));
        let mut told = record.clone();
        told.calibrations[0].moving = true;
        assert_eq!(turn(&cameras(&told, None), 101), Err(NoCamera::NotFollowed));
        let unmarked = Record { calibrations: Vec::new(), ..record };
        assert_eq!(turn(&cameras(&unmarked, Some(&moving())), 101), Err(NoCamera::NotMarked));
    }

    /// Measured with the marks of another frame, a place would be metres off.
    #[test]
    fn positions_are_measured_again_when_the_camera_turns_out_to_move() {
        let mut record = record();
        let spot = Spot::new(1.0, -12.5);
        let seen = |turn, frame| {
            let at = camera(turn).see_ground(spot).unwrap().into();
            Position { of: Touch::A, frame: secs(frame), at, by: FoundBy::Hand, measured: None }
        };
        let shot = Shot { positions: vec![seen(0.1, 101), seen(0.1, 102)], ..Shot::default() };
        record.points = [Point { shots: vec![shot], ..Point::default() }].into();
        let place = |r: &Record, n: usize| {
            record::Cameras::of(r).place(&r.points[0].shots[0].positions[n]).map(|p| p.spot.distance(spot).0)
        };
        assert!(place(&record, 0).is_none_or(|off| off > 1.0), "with the marks it is wrong");
        let cameras = cameras(&record, Some(&moving()));
        let (edit, count) = cameras.settled(&record).unwrap();
        assert_eq!(count, 1);
        let _ = record.apply(edit).unwrap();
        assert!(record.calibrations[0].moving);
        assert!(place(&record, 0).is_some_and(|off| off < 0.02), "{:?}", place(&record, 0));
        assert_eq!(place(&record, 1), None, "where the court is not seen nothing is measured");
        let mut again = cameras;
        again.follow(&record);
        assert_eq!(again.settled(&record), None);
        assert!(again.place(&record.points[0].shots[0].positions[0]).is_some());
    }

    /// The window says the same times as `changeover court`, and what to do.
    #[test]
    fn a_bump_is_told_with_what_to_do() {
        use crate::find::{FramePose, Seen};
        let record = record();
        // 25 frames a second; at 2 s, on the file's clock, the camera turns by half a degree within three frames.
        let turn = |i: u64| 0.0087 * (i.saturating_sub(49).min(3) as f64) / 3.0;
        let frame = |i| FramePose {
            time: MatchTime::from_millis(40 * i),
            seen: Seen::Held { camera: camera(turn(i)), support: 0.9, rms: 0.5, start: 0 },
        };
        let found = Followed::new((0..100).map(frame).collect(), Vec::new(), &record.calibrations);
        assert_eq!(found.bumps(), [secs(2)]);
        let mut cameras = Cameras::of(&record);
        cameras.take(print(), Some(Arc::new(found)));
        let words = cameras.following_words(secs(101)).unwrap();
        assert_eq!(
            words,
            "The camera was bumped at 0:01:42. Look at the court lines after it: if they are off the court, mark it again there. \
             The camera moves. The court is seen in 100 % of the frames."
        );
        let all = [1, 2, 3, 4, 5].map(secs);
        assert_eq!(bumped(&all[..0]), None);
        let times = |n: usize| bumped(&all[..n]).unwrap();
        assert!(times(2).starts_with(
            "The camera was bumped at 0:00:01 and 0:00:02. Look at the court lines after each time:"
        ));
        assert!(times(3).contains("at 0:00:01, 0:00:02 and 0:00:03."), "{}", times(3));
        assert!(times(4).contains("0:00:03 and one more time."), "{}", times(4));
        assert!(times(5).contains("0:00:03 and 2 more times."), "{}", times(5));
    }

    #[test]
    fn a_camera_that_stands_changes_nothing() {
        let record = record();
        let mut cameras = Cameras::of(&record);
        cameras.take(print(), Some(Arc::new(Followed::still(&record.calibrations))));
        assert_eq!(cameras.settled(&record), None);
        assert!(cameras.at(secs(150)).is_some() && !cameras.moves_at(secs(150)));
        assert!(cameras.followed(&record.footage[0]).is_some());
    }
}
