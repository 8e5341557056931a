//! The lesson that is open on the Show page, without a toolkit. `keeper` is the thread that changes it, `act` what it may be asked,
//! `view` is the lesson as it stands, in rows and words, `adding` makes parts of clips, `run` says how a clip runs when it is shown,
//! `recording` writes a take of its talk, `talking` is what the talk may be asked.

pub mod act;
pub mod adding;
pub mod keeper;
pub mod recording;
pub mod run;
pub mod talking;
pub mod view;

#[cfg(test)]
mod tests;
