//! What each point means: the score, the server, the serve, the outcome, each known or unknown.
//!
//! A record holds only what was seen. Here the rest is derived from it: [`facts`] gives one [`PointFacts`] a point, and
//! in it one [`ShotFacts`] a ball.
//! Where a winner was not noted, several scores are possible from there on; a fact is known as long as all of them
//! agree on it (so the server of the next point mostly is), and unknown after that. Unknown is never no.

mod balls;
mod call;
mod place;
mod point;
mod shot;
mod tally;
mod words;

pub use call::Call;
pub use place::cell as cell_of;
pub use point::{PointFacts, PointRef, ToldBy};
pub use shot::{Band, Fact, Goes, Lane, Push, ServeFacts, ShotFacts, Target};
pub use tally::{Tally, facts};
pub use words::{ball_of, ball_words, heading, heading_of, rally_of, start_of, words, words_of};

#[cfg(test)]
mod shot_tests;
#[cfg(test)]
mod tally_tests;
#[cfg(test)]
pub(crate) mod tests;
#[cfg(all(test, feature = "video"))]
pub(crate) mod truth_tests;
