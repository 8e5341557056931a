//! The camera of a moment: from the marks of the court in the record, and where the camera moves, from following the court.

use super::followed::{Followed, KeptCourts};
use crate::measure::Camera;
use crate::record::{CourtMarks, Footage, Record};
use crate::time::MatchTime;

/// Why there is no camera at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoCamera {
    /// No marks of the court hold there.
    #[error("the court is not marked in this footage; mark the court")]
    NotMarked,
    /// The camera moves, and in this frame the court is not seen.
    #[error("the camera moves, and in this frame the court is not seen")]
    NotHeld,
}

/// Works the camera out once for each set of marks, and reads once what is kept of each file.
#[derive(Debug, Default)]
pub struct Cameras {
    kept: KeptCourts,
    marks: Option<(CourtMarks, Option<Camera>)>,
    followed: Option<(String, Option<Followed>)>,
}

impl Cameras {
    /// From what is kept there.
    pub fn of(kept: KeptCourts) -> Self {
        Self { kept, ..Self::default() }
    }

    /// The camera at this moment of the match clock; `None` if the court is not marked there, the marks fit no camera, or the camera
    /// moves and the court is not held.
    pub fn at(&mut self, record: &Record, at: MatchTime) -> Option<Camera> {
        self.look(record, at).ok()
    }

    /// The same, or why there is none. Marks hold where the camera stands still. Where it moves, they say that the user has seen the
    /// court in that footage, and the camera is that of the frame.
    ///
    /// # Errors
    /// [`NoCamera`].
    pub fn look(&mut self, record: &Record, at: MatchTime) -> Result<Camera, NoCamera> {
        let file = record.footage.iter().filter(|f| f.covers(at)).min_by_key(|f| f.start);
        if let Some(file) = file.filter(|f| record.calibrations.iter().any(|c| c.file == f.file))
            && let Some(followed) = self.followed(file).filter(|f| f.moves())
        {
            let in_file = at.earlier(file.start - MatchTime::ZERO);
            return followed.at(in_file).copied().ok_or(NoCamera::NotHeld);
        }
        self.marked(record, at).ok_or(NoCamera::NotMarked)
    }

    fn followed(&mut self, file: &Footage) -> Option<&Followed> {
        let print = file.fingerprint.as_deref()?;
        if self.followed.as_ref().is_none_or(|(known, _)| known != print) {
            self.followed = Some((print.to_owned(), self.kept.of(print)));
        }
        self.followed.as_ref()?.1.as_ref()
    }

    fn marked(&mut self, record: &Record, at: MatchTime) -> Option<Camera> {
        let marks = record.court_at(at)?;
        match &self.marks {
            Some((known, camera)) if known == marks => *camera,
            _ => {
                let camera = marks.solve().ok().map(|c| *c.camera());
                self.marks = Some((marks.clone(), camera));
                camera
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{PoseStep, Size};
    use crate::record::{Corner, CourtMark, FoundBy};

    fn camera(turn: f64) -> Camera {
        let camera =
            Camera::looking([0.0, -24.0, 5.0], [0.0, -2.0, 0.0], 60.0, Size::new(1280, 720)).unwrap();
        let mut by = PoseStep::zeros();
        by[1] = turn;
        camera.moved(&by)
    }

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
            fingerprint: Some(format!("sha256:{}", "07".repeat(32))),
            duration: MatchTime::from_secs(60),
            rate: None,
            rotation: 0,
            start: MatchTime::from_secs(100),
        };
        Record { footage: vec![footage], calibrations: vec![calibration], ..Record::default() }
    }

    fn looked(followed: Option<Vec<Option<Camera>>>, record: &Record, secs: u64) -> Result<f64, NoCamera> {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCourts::within(folder.path().to_owned());
        if let Some(cameras) = followed {
            let frames = (0..).map(MatchTime::from_secs).zip(cameras).collect();
            kept.keep(record.footage[0].fingerprint.as_deref().unwrap(), &Followed::new(frames));
        }
        let found = Cameras::of(kept).look(record, MatchTime::from_secs(secs))?;
        Ok(found.turn_from(&camera(0.0))[1])
    }

    #[test]
    fn the_camera_is_that_of_the_frame_where_it_moves() {
        let record = record();
        let moving = || Some(vec![Some(camera(0.0)), Some(camera(0.1)), None, Some(camera(0.2))]);
        let near = |found: Result<f64, NoCamera>, turn: f64| found.is_ok_and(|f| (f - turn).abs() < 1e-3);
        assert!(near(looked(None, &record, 101), 0.0), "it was not followed: the marks hold");
        assert!(near(looked(Some(vec![Some(camera(0.0)); 4]), &record, 101), 0.0));
        assert!(near(looked(moving(), &record, 101), 0.1) && near(looked(moving(), &record, 103), 0.2));
        assert_eq!(looked(moving(), &record, 102), Err(NoCamera::NotHeld));
        let unmarked = Record { calibrations: Vec::new(), ..record };
        assert_eq!(looked(moving(), &unmarked, 101), Err(NoCamera::NotMarked), "nobody has seen the court");
    }
}
