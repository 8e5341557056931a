//! Logging: keys and times in, edits out. No window here, so that a script of (key, time) can drive it in a test.
//!
//! [`action`] is the one table of what can be done; [`card`] gives [`key`]s their meaning, and [`code`] knows where on a
//! keyboard they are; [`log`] turns an action at a moment into one [`crate::record::Edit`], `ball` those of the court
//! pad; [`pad`] is what the pad shows and [`mod@line`] the point in words as it grows; [`react`] learns how long the coach takes;
//! [`clock`] is where the moment comes from when nothing is filmed.

pub mod action;
pub mod ball;
pub mod card;
pub mod clock;
pub mod code;
pub mod draft;
mod ending;
mod error;
mod fault;
pub mod key;
pub mod line;
pub mod log;
pub mod pad;
pub mod react;
#[cfg(all(test, feature = "video"))]
mod truth_tests;
#[cfg(test)]
pub(crate) mod typing;

pub use action::Action;
pub use card::{KeyCard, Lost, Meaning};
pub use clock::RunningClock;
pub use code::{Code, Layout};
pub use error::{LogError, NotAKey};
pub use key::{Key, Press};
pub use line::{Line, Segment};
pub use log::{FrameClock, Logger, Moment, Plain, Step};
pub use pad::{PadView, Phase};
