//! Logging: keys and times in, edits out. It uses no window, so a test can drive it with a script of keys and times.
//!
//! [`action`] is the table of all actions. [`card`] gives [`key`]s their meaning, and [`code`] knows where on a keyboard they are.
//! [`log`] turns an action at a moment into one [`crate::record::Edit`]; `ball` does this for the keys of the court pad. [`pad`]
//! works out what the pad shows, [`mod@line`] the words of the current point. [`react`] learns the coach's reaction time.
//! [`clock`] gives the time of a match without footage.

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
mod said;
mod scored;
mod seen;
#[cfg(all(test, feature = "video"))]
mod truth_tests;
#[cfg(test)]
pub(crate) mod typing;
mod whose;

pub use action::Action;
pub use card::{KeyCard, Lost, Meaning};
pub use clock::RunningClock;
pub use code::{Code, Layout};
pub use error::{LogError, NotAKey};
pub use key::{Key, Press};
pub use line::{Line, Segment};
pub use log::{FrameClock, Logger, Moment, Plain, Step};
pub use pad::{PadView, Phase};
pub use scored::Scored;
