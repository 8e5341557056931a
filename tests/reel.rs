//! Reels of films whose frames show their numbers: every frame of the reel is the one that the plan says.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, clippy::panic, reason = "helpers of tests fail by panicking")]

#[path = "reel/asked.rs"]
mod asked;
#[expect(dead_code, reason = "the player's tests use more of it")]
#[path = "video/film.rs"]
mod film;
#[path = "reel/grounds.rs"]
mod grounds;
#[path = "reel/made.rs"]
mod made;
#[path = "reel/program.rs"]
mod program;
#[path = "reel/sound.rs"]
mod sound;
#[path = "reel/talk.rs"]
mod talk;
