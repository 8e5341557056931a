//! Everything GStreamer; the only room that touches it.
//!
//! [`probe`] (or [`probe_watched`], which tells how far it is and can be stopped) opens footage and lists its frames in a [`crate::frames::FrameIndex`]; a [`Player`] shows them, each with its true
//! place in the footage; [`strikes`] listens for rackets that meet balls; [`cuts`] finds the cuts; [`Encoder`] writes footage (the simulated match and the tests' footage). What the other rooms
//! see is plain numbers, pixels and [`VideoError`].

mod ahead;
mod atoms;
mod band;
mod base;
mod busy;
mod cuts;
mod desk;
mod drain;
mod ear;
mod earlier;
mod early;
mod encode;
mod error;
mod fragments;
mod frame;
mod holes;
#[cfg(test)]
mod in_step_tests;
mod jpeg;
mod kind;
#[cfg(all(test, feature = "gui"))]
pub(crate) mod listener;
mod microphone;
mod nonref;
mod one_way;
mod order;
mod orient;
mod pads;
mod planes;
mod play;
mod player;
mod pool;
mod probe;
mod program;
mod reader;
mod recode;
mod rewind;
mod scan;
mod scout;
mod scrub;
mod size;
mod sound;
mod source;
mod spares;
mod state;
mod still;
mod strikes;
mod table;
mod tap;
mod trim;
mod voice_filter;

pub(crate) use band::Band;
pub use base::{init, version};
pub use busy::{hold_back, is_idle};
pub use cuts::{Pace, cuts, cuts_of};
pub use desk::Events;
#[cfg(test)]
pub(crate) use ear::Ear;
pub use ear::{Decibels, Strike};
pub use encode::{AudioSpec, Container, EncodeSpec, Encoder, Heading, partial};
pub use error::VideoError;
pub use frame::{Frame, Pixels};
pub use jpeg::jpeg;
pub use microphone::{MICROPHONE, Microphone, VoicePlayer};
pub use one_way::{FrameReader, SOUND_CHANNELS, SOUND_RATE, SoundReader};
pub use planes::{Planes, each_planes, these_planes};
pub use player::Player;
pub use probe::{probe, probe_watched};
pub use recode::{BURST, Recode, Recoded, recode};
// The window still has these names from here.
pub use crate::frames::{FootageFile as Media, FrameIndex};
pub use source::changed;
pub use state::PlayerEvent;
pub use still::{Stills, each_frame, frame_at, frame_of, still, these_frames};
pub use strikes::{strikes, strikes_of_match};
pub use table::{Listed, listed};
pub use trim::{Reason, Trimmed, Trimmer, Way, bytes_a_second};
pub use voice_filter::VoiceFilter;
