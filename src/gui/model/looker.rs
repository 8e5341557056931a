//! Looking for players that is under way.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use super::follower::Stage;
use crate::gui::kit::job::Job;
use crate::session::proposing::Stretch;

/// Looking for players.
#[derive(Debug)]
pub struct Looking {
    pub(super) job: Job,
    /// Which work it is: what is heard of earlier work does not count.
    pub(super) number: u32,
    /// Whether the footage plays: then it rests.
    pub(super) plays: Arc<AtomicBool>,
    pub(super) stretch: Stretch,
    pub(super) stage: Stage,
}
