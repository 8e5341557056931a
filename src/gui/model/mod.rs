//! The one object that widgets see, and what it does: it acts on a key, plays, plays clips, opens, attaches
//! footage, keeps the match clock, changes and shows a lesson, records and plays its
//! talk.
//!
//! A widget asks the model for something and shows what the model tells by its events; no widget needs to know the window.

mod acting;
mod alone;
mod answering;
mod attaching;
mod clips;
mod courts;
mod courtside;
mod cutter;
mod cutting;
mod event;
mod expecting;
mod follower;
mod habits;
mod listing;
mod looker;
mod object;
mod opening;
mod players;
mod playing;
mod recording;
mod running;
mod saying;
mod settling;
mod showing;
mod shown;
mod talking;
mod telling;

pub use answering::ANSWERS;
pub use event::Event;
pub use follower::Stage;
pub use object::Model;
pub use settling::Settled;
pub use talking::TalkState;
