//! The search for the court in the frame shown: what it found, as marks and in words. No widgets.

use crate::find::{Belief, Grey, find_court};
use crate::record::{Corner, CourtMark, FoundBy};
use crate::session::marking::LEAST;

/// What came of a search.
#[derive(Debug)]
pub struct Found {
    /// The landmarks where the court that was found has them, if it may be proposed.
    pub marks: Option<(Vec<CourtMark>, FoundBy)>,
    /// What to do now.
    pub words: String,
}

/// Looks for the court: tenths of a second.
pub fn search(grey: &Grey) -> Found {
    let size = grey.size();
    let by_hand = "Click the corners by hand";
    match find_court(grey) {
        Err(why) => Found { marks: None, words: format!("Not found: {why}. {by_hand}.") },
        Ok(court) => {
            let camera = court.calibration.camera();
            let mark = |landmark: Corner| {
                let at = camera.see_ground(landmark.landmark().spot).filter(|p| size.holds(*p, 0.0))?;
                Some(CourtMark { landmark, at: at.into() })
            };
            let marks: Vec<_> = Corner::ALL.into_iter().filter_map(mark).collect();
            if marks.len() < LEAST {
                return Found {
                    marks: None,
                    words: format!("Not found: too little of a court is seen. {by_hand}."),
                };
            }
            let (by, words) = match court.belief {
                Belief::Sure => (FoundBy::Found, "Found. Press Return if the lines lie on the court.".into()),
                Belief::Proposal => (
                    FoundBy::Checked,
                    "This may be the court. Check the far baseline. If the lines lie on it, press Return; else mark the court again."
                        .into(),
                ),
            };
            Found { marks: Some((marks, by)), words }
        }
    }
}
