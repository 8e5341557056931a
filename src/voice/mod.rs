//! The files of a talk: the coach's voice, written so that at most half a second is lost whatever happens, and read again.
//!
//! A take is `take-N.wav` in the folder `NAME.talk` beside `NAME.lesson.json`: 48,000 samples a second, 16 bits, one channel, without
//! loss, so that every program reads it and every sample keeps its place. While it is recorded, `take-N.wav.part` grows, and
//! `take-N.actions.part` holds what was done, one JSON object in a line; both are brought to the disk four times a second.
//! [`TakeWriter`] writes them, [`recover`] makes a take of what a kill left behind, [`VoiceFile`] reads a voice, [`Voice`] the voice of
//! a whole talk. `erase` takes a person out of a lesson with its talk.

pub mod erase;
#[cfg(test)]
mod erase_tests;
mod error;
mod recover;
mod take;
#[cfg(test)]
mod tests;
mod track;
mod wav;

pub use error::VoiceError;
pub use recover::{forget, recover, takes_left};
pub use take::{Kept, TakeWriter, talk_folder};
pub use track::Voice;
pub use wav::{VOICE_RATE, VoiceFile, sample_at, time_of, too_short};
