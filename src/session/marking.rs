//! Marking the court in a picture, step by step: which landmark is next, what the marks say so far. Pure.

use crate::measure::{Agreement, Calibration, CalibrationError, Pixel, Size};
use crate::record::{Corner, CourtMark, CourtMarks, Dot, FoundBy};
use crate::time::MatchTime;

/// The order in which landmarks are asked for: the corners of the singles court decide most, then what lies inside, then the
/// doubles corners.
const ORDER: [Corner; 14] = [
    Corner::NearLeftSinglesCorner,
    Corner::NearRightSinglesCorner,
    Corner::FarRightSinglesCorner,
    Corner::FarLeftSinglesCorner,
    Corner::NearT,
    Corner::FarT,
    Corner::NearServiceLineLeft,
    Corner::NearServiceLineRight,
    Corner::FarServiceLineRight,
    Corner::FarServiceLineLeft,
    Corner::NearLeftDoublesCorner,
    Corner::NearRightDoublesCorner,
    Corner::FarRightDoublesCorner,
    Corner::FarLeftDoublesCorner,
];

/// How many marks make a camera.
pub const LEAST: usize = 4;

/// The marks of a picture while they are made.
#[derive(Debug, Clone)]
pub struct Marking {
    size: Size,
    marks: Vec<CourtMark>,
    passed: Vec<Corner>,
    by: FoundBy,
    /// Worked out again at every change.
    camera: Option<Result<Calibration, CalibrationError>>,
}

impl Marking {
    /// No marks yet, in a picture of this size.
    pub const fn new(size: Size) -> Self {
        Self { size, marks: Vec::new(), passed: Vec::new(), by: FoundBy::Hand, camera: None }
    }

    /// From marks that something proposed or somebody made before.
    pub fn of(size: Size, marks: Vec<CourtMark>, by: FoundBy) -> Self {
        let mut marking = Self { marks, by, ..Self::new(size) };
        marking.solve();
        marking
    }

    /// The marks, in the order in which they were made.
    pub fn marks(&self) -> &[CourtMark] {
        &self.marks
    }

    /// How large the picture is.
    pub const fn size(&self) -> Size {
        self.size
    }

    /// The landmark to be marked next; `None` once all are marked or were passed over.
    pub fn next(&self) -> Option<Corner> {
        let done = |c: &Corner| self.marks.iter().any(|m| m.landmark == *c) || self.passed.contains(c);
        ORDER.into_iter().find(|c| !done(c))
    }

    /// Marks the next landmark. Returns whether there was one.
    pub fn put(&mut self, at: Pixel) -> bool {
        let Some(landmark) = self.next() else { return false };
        self.marks.push(CourtMark { landmark, at: at.into() });
        self.changed();
        true
    }

    /// Passes over the next landmark, because it cannot be seen.
    pub fn pass(&mut self) {
        self.passed.extend(self.next());
    }

    /// Moves the last mark by so many pixels.
    pub fn nudge(&mut self, dx: f64, dy: f64) {
        let Some(last) = self.marks.last_mut() else { return };
        let at = Pixel::from(last.at);
        last.at = Dot::from(Pixel::new(at.x + dx, at.y + dy));
        self.changed();
    }

    /// Takes the last mark back, and then the last landmark that was passed over. Returns whether there was one.
    pub fn undo(&mut self) -> bool {
        let undone = self.marks.pop().is_some() || self.passed.pop().is_some();
        self.changed();
        undone
    }

    /// Takes back the mark of one landmark, to be made again.
    pub fn remove(&mut self, landmark: Corner) {
        self.marks.retain(|m| m.landmark != landmark);
        self.passed.retain(|c| *c != landmark);
        self.changed();
    }

    /// What the marks say of the camera; `None` while they are fewer than four.
    pub fn camera(&self) -> Option<Result<&Calibration, CalibrationError>> {
        self.camera.as_ref().map(|found| found.as_ref().map_err(|e| *e))
    }

    /// How far each mark is from where the camera sees it, in pixels. Nothing for marks that a search found: it puts them where its
    /// own camera sees them, so that they agree whether it is right or not.
    pub fn residuals(&self) -> Vec<(Corner, f64)> {
        let Some(Ok(camera)) = self.camera.as_ref().filter(|_| self.by != FoundBy::Found) else {
            return Vec::new();
        };
        self.marks.iter().map(|m| m.landmark).zip(camera.residuals().map(|(_, off)| off)).collect()
    }

    /// The mark that the others disagree with, if that can be told.
    pub fn wrong(&self) -> Option<Corner> {
        let Some(Ok(camera)) = &self.camera else { return None };
        let Agreement::Wrong { landmark, .. } = camera.agreement() else { return None };
        Corner::ALL.into_iter().find(|c| c.landmark().name == landmark.name)
    }

    /// How it stands, in words.
    pub fn words(&self) -> String {
        match &self.camera {
            None => match LEAST.saturating_sub(self.marks.len()) {
                1 => "1 more mark is needed.".into(),
                n => format!("{n} more marks are needed."),
            },
            Some(Err(e)) => format!("{}.", capital(&e.to_string())),
            Some(Ok(camera)) => match camera.agreement() {
                Agreement::Wrong { landmark, off } => format!(
                    "{} is {off:.0} pixels from where the other marks put it. Mark it again.",
                    capital(landmark.name)
                ),
                Agreement::SomeWrong { off } => {
                    format!(
                        "The marks do not fit together: one is {off:.0} pixels off. Mark one more, or start again."
                    )
                }
                Agreement::Agree if self.marks.len() == LEAST => {
                    "Four marks fit any court. Check that the far lines lie on the picture, or mark more."
                        .into()
                }
                Agreement::Agree if self.by == FoundBy::Found => {
                    "A search found the court. Check that the lines lie on the picture, the far ones too."
                        .into()
                }
                Agreement::Agree => {
                    let worst = self.residuals().into_iter().map(|r| r.1).fold(0.0, f64::max);
                    format!("{} marks agree within {worst:.1} pixels.", self.marks.len())
                }
            },
        }
    }

    /// What the record keeps of it, for a frame of a file.
    pub fn kept(&self, file: &str, at: MatchTime) -> Option<CourtMarks> {
        matches!(self.camera, Some(Ok(_))).then(|| CourtMarks {
            file: file.into(),
            at,
            size: self.size,
            marks: self.marks.clone(),
            by: self.by,
            centre: None,
            moving: false,
        })
    }

    fn changed(&mut self) {
        // What was changed by hand was looked at.
        if self.by == FoundBy::Found {
            self.by = FoundBy::Checked;
        }
        self.solve();
    }

    fn solve(&mut self) {
        self.camera = (self.marks.len() >= LEAST).then(|| {
            let mark =
                |m: &CourtMark| crate::measure::Mark { landmark: m.landmark.landmark(), pixel: m.at.into() };
            Calibration::of(&self.marks.iter().map(mark).collect::<Vec<_>>(), self.size)
        });
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Camera;

    const SIZE: Size = Size::new(1280, 720);

    fn see(c: Corner) -> Pixel {
        let camera = Camera::looking([0.5, -23.9, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap();
        camera.see_ground(c.landmark().spot).unwrap()
    }

    fn marked(n: usize) -> Marking {
        let mut marking = Marking::new(SIZE);
        for _ in 0..n {
            let next = marking.next().unwrap();
            assert!(marking.put(see(next)));
        }
        marking
    }

    #[test]
    fn it_asks_for_one_landmark_after_the_other() {
        let mut marking = marked(3);
        assert_eq!(marking.words(), "1 more mark is needed.");
        assert_eq!(marking.next(), Some(Corner::FarLeftSinglesCorner));
        marking.pass();
        assert_eq!(marking.next(), Some(Corner::NearT));
        assert!(marking.kept("m.mp4", MatchTime::ZERO).is_none());
        let at = see(Corner::NearT);
        marking.put(Pixel::new(at.x - 1.0, at.y));
        marking.nudge(1.0, 0.0);
        assert!(marking.words().starts_with("Four marks fit any court."), "{}", marking.words());
        assert_eq!(marking.kept("m.mp4", MatchTime::ZERO).unwrap().marks.len(), 4);
        assert!(marking.undo() && marking.undo() && marking.undo() && marking.undo());
        assert!(marking.undo(), "the landmark that was passed over");
        assert!(!marking.undo());
        assert_eq!(marking.next(), Some(Corner::NearLeftSinglesCorner));
    }

    #[test]
    fn marks_that_were_found_are_not_praised_for_agreeing_with_themselves() {
        let mut found = Marking::of(SIZE, marked(14).marks().to_vec(), FoundBy::Found);
        assert!(found.residuals().is_empty() && found.words().starts_with("A search found the court."));
        found.nudge(0.5, 0.0);
        assert_eq!(found.residuals().len(), 14, "what was changed by hand says something");
        assert!(found.words().starts_with("14 marks agree within 0."), "{}", found.words());
    }

    #[test]
    fn every_landmark_can_be_marked_and_a_wrong_one_is_named() {
        let mut marking = marked(14);
        assert!(!marking.put(Pixel::default()) && marking.next().is_none());
        assert_eq!(marking.words(), "14 marks agree within 0.0 pixels.");
        marking.nudge(25.0, 9.0);
        assert_eq!(marking.wrong(), Some(Corner::FarLeftDoublesCorner));
        assert!(marking.words().starts_with("Far-left doubles corner is "), "{}", marking.words());
        assert!(marking.residuals().iter().any(|(c, off)| *c == Corner::FarLeftDoublesCorner && *off > 5.0));
        marking.remove(Corner::FarLeftDoublesCorner);
        assert_eq!(marking.next(), Some(Corner::FarLeftDoublesCorner));
        assert_eq!(marking.wrong(), None);
    }

    #[test]
    fn a_proposal_that_is_changed_was_checked() {
        let mut found = Marking::of(SIZE, marked(14).marks().to_vec(), FoundBy::Found);
        assert_eq!(found.kept("m.mp4", MatchTime::ZERO).unwrap().by, FoundBy::Found);
        found.nudge(0.5, 0.0);
        assert_eq!(found.kept("m.mp4", MatchTime::ZERO).unwrap().by, FoundBy::Checked);
    }
}
