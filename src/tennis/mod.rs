//! The court, the rules of the match, the score.
