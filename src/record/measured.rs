//! Places on the ground, worked out from the marks of the court.

use super::court_marks::CourtMarks;
use super::model::Record;
use super::position::Position;
use crate::measure;
use crate::tennis::court::Spot;
use crate::time::MatchTime;

impl Record {
    /// The marks of the court that hold at this moment of the match clock. If files overlap, the earlier one is shown.
    pub fn court_at(&self, at: MatchTime) -> Option<&CourtMarks> {
        let file = self.footage.iter().filter(|f| f.covers(at)).min_by_key(|f| f.start)?;
        let in_file = at.earlier(file.start - MatchTime::ZERO);
        let all = self.calibrations.iter().filter(|c| c.file == file.file);
        let before = all.clone().filter(|c| c.at <= in_file).max_by_key(|c| c.at);
        let found = before.or_else(|| all.min_by_key(|c| c.at))?;
        (!found.moving || found.at == in_file).then_some(found)
    }
}

/// The cameras of a record's marks, each worked out once.
#[derive(Debug, Clone, Default)]
pub struct Cameras {
    /// The footage and the marks; nothing else of the record.
    record: Record,
    solved: Vec<Option<measure::Calibration>>,
}

impl Cameras {
    /// Of a record.
    pub fn of(record: &Record) -> Self {
        let (footage, calibrations) = (record.footage.clone(), record.calibrations.clone());
        let solved = calibrations.iter().map(|c| c.solve().ok()).collect();
        Self { record: Record { footage, calibrations, ..Record::default() }, solved }
    }

    /// Whether these are the cameras of this record, as it is now.
    pub fn is_of(&self, record: &Record) -> bool {
        self.record.footage == record.footage && self.record.calibrations == record.calibrations
    }

    /// The camera at this moment of the match clock, and the marks that it follows from.
    pub fn at(&self, at: MatchTime) -> Option<(&CourtMarks, &measure::Calibration)> {
        let marks = self.record.court_at(at)?;
        let n = self.record.calibrations.iter().position(|c| std::ptr::eq(c, marks))?;
        Some((marks, self.solved.get(n)?.as_ref()?))
    }

    /// The place on the ground of a position, with its error. `None` if the court is not marked in that footage, its marks fit no
    /// camera, or no ground is seen there.
    pub fn place(&self, position: &Position) -> Option<measure::Place> {
        if let Some(stored) = position.measured {
            return Some(measure::Place { spot: Spot::from(stored.place), spread: stored.spread()? });
        }
        position.place(self.at(position.frame)?.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Size;
    use crate::record::{Footage, FoundBy};

    fn marked(file: &str, at: u64, moving: bool) -> CourtMarks {
        CourtMarks {
            file: file.into(),
            at: MatchTime::from_secs(at),
            size: Size::new(1280, 720),
            marks: Vec::new(),
            by: FoundBy::Hand,
            centre: None,
            moving,
        }
    }

    #[test]
    fn marks_hold_until_the_next_ones_of_their_file() {
        let film = |file: &str, start| Footage {
            file: file.into(),
            fingerprint: None,
            duration: MatchTime::from_secs(100),
            rate: None,
            rotation: 0,
            start: MatchTime::from_secs(start),
        };
        let mut record = Record { footage: vec![film("1", 10), film("2", 105)], ..Record::default() };
        record.calibrations = vec![marked("1", 50, false), marked("1", 20, false), marked("2", 30, true)];
        let at = |secs| record.court_at(MatchTime::from_secs(secs)).map(|c| (c.file.as_str(), c.at));
        let secs = MatchTime::from_secs;
        assert_eq!(at(5), None, "nothing was filmed");
        assert_eq!(at(12), Some(("1", secs(20))), "the first ones hold before their frame");
        assert_eq!(at(59), Some(("1", secs(20))));
        assert_eq!(at(60), Some(("1", secs(50))));
        assert_eq!(at(108), Some(("1", secs(50))), "the earlier file is shown");
        assert_eq!((at(130), at(135)), (None, Some(("2", secs(30)))), "the camera moves");
    }
}
