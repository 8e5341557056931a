//! What each point means: the score, the server, the serve, the outcome, each known or unknown.
//!
//! A record holds only what was seen. The rest is derived here: [`facts`] gives one [`PointFacts`] for each point, with one
//! [`ShotFacts`] for each shot.
//!
//! If the winner of a point is not known, several scores are possible after it. A fact is known as long as all possible scores
//! agree on it, and unknown after that. The server of the next point, for example, mostly stays known. Unknown is never no.

mod at;
mod balls;
mod by_score;
mod call;
mod hands;
mod metres;
mod pairs;
mod place;
mod point;
mod shot;
mod stands;
mod tally;
mod words;

pub(crate) use at::AT_THE_STRIKE;
pub use balls::{CHANGE, MOVES, USUAL_DEPTH};
pub use call::Call;
pub use metres::{Length, Lengths, Metric};
pub use pairs::Pairs;
pub use place::{MIDDLE, cell as cell_of};
pub use point::{PointFacts, PointRef, ToldBy};
pub use shot::{Band, Fact, Goes, Lane, Push, ServeFacts, ShotFacts, Target};
pub use tally::{Tally, facts};
pub use words::{ball_of, ball_words, heading_of, players, rally_of, score_of, start_of, striker, words_of};

#[cfg(test)]
mod doubles_tests;
#[cfg(all(test, feature = "video"))]
mod measured_tests;
#[cfg(test)]
mod shot_tests;
#[cfg(test)]
mod tally_tests;
#[cfg(test)]
pub(crate) mod tests;
#[cfg(all(test, feature = "video"))]
pub(crate) mod truth_tests;
