//! The rules of a match, as data: how many sets, how a set and a game are won.
//!
//! Two formats have names so far, [`Rules::best_of_three`] and [`Rules::best_of_one`]; the replay reads only the
//! data, so that another format is another value, not other code.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Why a combination of rules makes no match.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RulesError {
    /// Best of an even number, or of none.
    #[error("a match cannot be the best of {found} sets: 1, 3 or 5 are allowed")]
    BestOf {
        /// The number found.
        found: u8,
    },
    /// A set to too few or too many games.
    #[error("a set cannot be to {found} games: 1 to 12 are allowed")]
    Games {
        /// The number found.
        found: u8,
    },
    /// A tie-break that can never be reached, or to too few points.
    #[error(
        "a tie-break at {at}–{at} to {points} points does not fit a set to {games} games: it starts at {least}–{least} or later and goes to 2 to 20 points"
    )]
    TieBreak {
        /// Games all at which it would start.
        at: u8,
        /// Points it would go to.
        points: u8,
        /// Games that a set is to.
        games: u8,
        /// Earliest games-all at which a tie-break makes sense.
        least: u8,
    },
}

/// A tie-break game: played at `at`–`at`, won by the first to `points` with a lead of two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TieBreak {
    /// Games all at which it is played.
    pub at: u8,
    /// Points to win it, by a lead of two.
    pub points: u8,
}

/// How one set is won: the first to `games` with a lead of two, or by the tie-break where there is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetRules {
    /// Games to win the set, by a lead of two.
    pub games: u8,
    /// The tie-break; without one the set is an advantage set.
    pub tie_break: Option<TieBreak>,
}

/// The rules of one match.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rules {
    /// Sets at most: 1, 3 or 5.
    pub best_of: u8,
    /// How each set is won.
    pub set: SetRules,
}

impl Rules {
    /// Tie-break set to six games (ITF Rules of Tennis, rule 6b).
    const TIE_BREAK_SET: SetRules = SetRules { games: 6, tie_break: Some(TieBreak { at: 6, points: 7 }) };

    /// Best of three tie-break sets (ITF Rules of Tennis, rules 5, 6b, 7).
    pub const fn best_of_three() -> Self {
        Self { best_of: 3, set: Self::TIE_BREAK_SET }
    }

    /// One tie-break set.
    pub const fn best_of_one() -> Self {
        Self { best_of: 1, set: Self::TIE_BREAK_SET }
    }

    /// Sets that win the match.
    pub const fn sets_to_win(self) -> u8 {
        self.best_of / 2 + 1
    }

    /// Checks that the rules make a match that can end.
    ///
    /// # Errors
    /// [`RulesError`] names the first combination that does not.
    pub const fn check(self) -> Result<(), RulesError> {
        if !matches!(self.best_of, 1 | 3 | 5) {
            return Err(RulesError::BestOf { found: self.best_of });
        }
        let games = self.set.games;
        if games < 1 || games > 12 {
            return Err(RulesError::Games { found: games });
        }
        if let Some(TieBreak { at, points }) = self.set.tie_break
            && (at.saturating_add(1) < games || at > 24 || points < 2 || points > 20)
        {
            return Err(RulesError::TieBreak { at, points, games, least: games.saturating_sub(1) });
        }
        Ok(())
    }
}

impl Default for Rules {
    fn default() -> Self {
        Self::best_of_three()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn named_formats_make_a_match() {
        assert_eq!(Rules::best_of_three().check(), Ok(()));
        assert_eq!(Rules::best_of_one().check(), Ok(()));
        assert_eq!(Rules::best_of_three().sets_to_win(), 2);
    }

    #[test]
    fn a_wrong_combination_says_why() {
        let even = Rules { best_of: 2, ..Rules::default() };
        assert_eq!(
            even.check().unwrap_err().to_string(),
            "a match cannot be the best of 2 sets: 1, 3 or 5 are allowed"
        );
        let early = SetRules { games: 6, tie_break: Some(TieBreak { at: 3, points: 7 }) };
        let text = Rules { best_of: 1, set: early }.check().unwrap_err().to_string();
        assert!(text.contains("5–5 or later"), "{text}");
    }
}
