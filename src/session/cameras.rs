//! The camera of a moment, from the marks of the court in the record.

use crate::measure::Camera;
use crate::record::{CourtMarks, Record};
use crate::time::MatchTime;

/// Works the camera out once for each set of marks.
#[derive(Debug, Default)]
pub struct Cameras(Option<(CourtMarks, Option<Camera>)>);

impl Cameras {
    /// The camera of this moment of the match clock; `None` if the court is not marked there, or the marks fit no camera.
    pub fn at(&mut self, record: &Record, at: MatchTime) -> Option<Camera> {
        let marks = record.court_at(at)?;
        match &self.0 {
            Some((known, camera)) if known == marks => *camera,
            _ => {
                let camera = marks.solve().ok().map(|c| *c.camera());
                self.0 = Some((marks.clone(), camera));
                camera
            }
        }
    }
}
