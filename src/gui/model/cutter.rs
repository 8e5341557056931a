//! A search for cuts that is under way.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::gui::kit::job::Job;

/// A search for cuts.
#[derive(Debug)]
pub struct Cutting {
    /// Its work.
    pub job: Job,
    /// Whether the footage plays: then it rests.
    pub plays: Arc<AtomicBool>,
}
