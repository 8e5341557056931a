//! Following the court that is under way, and how far work in the background is.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::gui::kit::job::Job;
use crate::record::CourtMarks;

/// How far work in the background is.
#[derive(Debug, Clone, PartialEq)]
pub enum Stage {
    /// So much is done, from 0 to 1.
    At(f64),
    /// All is done.
    Done,
    /// Somebody stopped it.
    Stopped,
    /// It failed, and why.
    Failed(String),
}

/// Following the court.
#[derive(Debug)]
pub struct Following {
    /// Its work.
    pub job: Job,
    /// Which work it is: what is heard of earlier work does not count.
    pub number: u32,
    /// Whether the footage plays: then it rests.
    pub plays: Arc<AtomicBool>,
    /// From which marks.
    pub marks: Vec<CourtMarks>,
    /// How far it is.
    pub stage: Stage,
}
