//! Cuts within footage: where the whole picture changes from one frame to the next. Pure.
//!
//! Whoever decodes footage hands each frame as a [`Small`] grey picture to a [`Cutter`], with its time. It names the cuts, each by
//! the time of the first frame after it. Pans, flashes, steps of the exposure, a player close to the camera and graphics that
//! appear are no cuts. Dissolves and fades are not found: there is no one frame at which the footage changes.

mod compare;
mod cutter;
mod jump;
mod small;
#[cfg(test)]
mod tests;

pub use cutter::Cutter;
pub use small::{Small, TALL, WIDE};
