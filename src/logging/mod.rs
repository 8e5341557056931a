//! Logging: keys and times in, edits out. No window here, so that a script of (key, time) can drive it in a test.
//!
//! [`action`] is the one table of what can be done; [`card`] gives keys their meaning; [`log`] turns an action at a
//! moment into one [`crate::record::Edit`]; [`clock`] is where the moment comes from when nothing is filmed.

pub mod action;
pub mod card;
pub mod clock;
pub mod log;

pub use action::Action;
pub use card::{Key, KeyCard, Meaning};
pub use clock::RunningClock;
pub use log::{FrameClock, LogError, Logger, Step};
