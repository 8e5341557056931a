//! Everything GStreamer; the only room that touches it.
//!
//! [`probe`] (or [`probe_watched`], which tells how far it is and can be stopped) opens a film and lists its frames in a [`crate::frames::FrameIndex`]; a [`Player`] shows them, each with its true
//! place in the film; [`strikes`] listens for rackets that meet balls; [`Encoder`] writes footage (the simulated match and the tests' films). What the other rooms
//! see is plain numbers, pixels and [`VideoError`].

mod atoms;
mod band;
mod desk;
mod ear;
mod encode;
mod error;
mod frame;
mod nonref;
mod orient;
mod play;
mod player;
mod probe;
mod reader;
mod scan;
mod scrub;
mod strikes;
mod table;

use std::sync::OnceLock;

pub(crate) use band::Band;
pub use desk::{Events, PlayerEvent};
#[cfg(test)]
pub(crate) use ear::Ear;
pub use ear::{Decibels, Strike};
pub use encode::{AudioSpec, Container, EncodeSpec, Encoder, partial};
pub use error::VideoError;
pub use frame::{Frame, Pixels};
pub use player::Player;
pub use probe::{probe, probe_watched};
// The window still has these names from here.
pub use crate::frames::{FootageFile as Media, FrameIndex};
pub use strikes::{strikes, strikes_of_match};
pub use table::{Listed, listed};

/// Makes GStreamer ready. May be called any number of times, from any thread.
///
/// # Errors
/// [`VideoError::Start`] when GStreamer cannot start on this machine.
pub fn init() -> Result<(), VideoError> {
    static STARTED: OnceLock<Result<(), VideoError>> = OnceLock::new();
    STARTED.get_or_init(|| gst::init().map_err(|e| VideoError::Start { reason: e.to_string() })).clone()
}

/// Makes one element, or says which Debian package holds it.
fn make(factory: &str) -> Result<gst::Element, VideoError> {
    gst::ElementFactory::make(factory).build().map_err(|_| error::missing_element(factory))
}

/// A GStreamer call that failed for a reason no user can act on alone.
fn failed(what: &str, why: &impl std::fmt::Display) -> VideoError {
    VideoError::Pipeline { what: what.to_owned(), reason: why.to_string() }
}
