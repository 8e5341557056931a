//! A search for cuts that is under way.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use super::follower::Stage;
use crate::gui::kit::job::Job;

/// A search for cuts.
#[derive(Debug)]
pub struct Cutting {
    /// Its work.
    pub job: Job,
    /// Which search it is: what is heard of an earlier one does not count.
    pub number: u32,
    /// How far it is; none until a file that was not searched before is being read.
    pub stage: Option<Stage>,
    /// Whether the footage plays: then it rests.
    pub plays: Arc<AtomicBool>,
}
