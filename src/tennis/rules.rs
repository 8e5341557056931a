//! The rules of a match, as data: how many sets, how a set and a game are won, how many play.
//!
//! The replay reads only the data, so that another format is another value, not other code. Formats that people
//! know by name are in [`super::presets`], which also reads them from a file. The numbers are those of the ITF Rules
//! of Tennis (rules 5 to 7 and appendix V, alternative procedures and scoring methods); any other combination that
//! makes a match which can end is allowed too.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Why rules make no match, or are not rules at all.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RulesError {
    /// The number of sets is even or zero.
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
        "a tie-break at {at}–{at} to {points} points does not fit a set to {games} games: it may start from {least}–{least} to 24–24 and go to 2 to 20 points"
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
    /// A tie-break won by a lead that nobody plays.
    #[error(
        "a tie-break cannot need a lead of {found} points: allowed are 2, or 1 for a single deciding point"
    )]
    Lead {
        /// The number found.
        found: u8,
    },
    /// A match tie-break to too few or too many points.
    #[error("a match tie-break cannot be to {found} points: 2 to 20 are allowed")]
    MatchTieBreak {
        /// The number found.
        found: u8,
    },
    /// One change of ends after four points, in a longer tie-break.
    #[error(
        "\"after-four\" changes ends once, after four points: it is for tie-breaks to 5 points or fewer, but a tie-break here goes to {found}"
    )]
    Ends {
        /// Points of the tie-break found.
        found: u8,
    },
    /// A drill with something that only a score has.
    #[error("a drill has no score, so {found} has no meaning in it: leave it out, or set play to \"match\"")]
    Drill {
        /// The name as given.
        found: &'static str,
    },
    /// A name that no format has.
    #[error("there are no rules named \"{found}\"; allowed: {allowed}")]
    Name {
        /// The name as given.
        found: Box<str>,
        /// The names there are.
        allowed: Box<str>,
    },
    /// A rules file that cannot be read.
    #[error("line {line}, column {column}: {found}")]
    File {
        /// Line, from 1.
        line: usize,
        /// Column in characters, from 1.
        column: usize,
        /// What was found there, and what is allowed.
        found: Box<str>,
    },
}

/// Whether a score is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Play {
    /// Points, games and sets.
    #[default]
    Match,
    /// Rallies without a score, timed or not. Whoever was last seen to serve goes on serving, from the same end; the
    /// court is known only where it was seen.
    Drill,
}

/// How many play on each side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Sides {
    /// One against one.
    #[default]
    Singles,
    /// Pair against pair.
    Doubles,
    /// Pair against pair, a woman and a man in each: at a deciding point the receiver is of the server's gender.
    MixedDoubles,
}

/// How a game goes on after 40–40.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Deuce {
    /// Advantage, then game: won by two points (ITF Rules of Tennis, rule 5a).
    #[default]
    Advantage,
    /// One deciding point, to the court that the receivers choose (appendix V, no-ad).
    NoAd,
}

/// When ends are changed in a tie-break.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TieBreakEnds {
    /// After every six points (ITF Rules of Tennis, rule 10).
    #[default]
    EverySix,
    /// After the first point, then after every four (appendix V, alternative change of ends).
    FirstThenEveryFour,
    /// Once, after four points: the tie-break to five of short sets (appendix V, from memory).
    AfterFour,
}

impl TieBreakEnds {
    /// How many changes of ends come before the point that `played` points precede.
    pub(super) const fn changes(self, played: u16) -> u16 {
        match self {
            Self::EverySix => played / 6,
            Self::FirstThenEveryFour => played.div_ceil(4),
            Self::AfterFour => (played >= 4) as u16,
        }
    }
}

/// A tie-break game: played at `at`–`at`, won by the first to `points` with a lead of `lead`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TieBreak {
    /// Games all at which it is played.
    pub at: u8,
    /// Points to win it.
    pub points: u8,
    /// The lead that wins it: 2, or 1 where one point decides at the last.
    #[serde(default = "two", skip_serializing_if = "is_two")]
    pub lead: u8,
}

impl TieBreak {
    /// A tie-break at `at`–`at` to `points` points, by two.
    pub const fn by_two(at: u8, points: u8) -> Self {
        Self { at, points, lead: 2 }
    }
}

const fn two() -> u8 {
    2
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
const fn is_two(n: &u8) -> bool {
    *n == 2
}

/// How one set is won: the first to `games` with a lead of two, or by the tie-break where there is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetRules {
    /// Games to win the set, by a lead of two.
    pub games: u8,
    /// The tie-break; without one the set is an advantage set.
    #[serde(default)]
    pub tie_break: Option<TieBreak>,
}

/// What is played as a set of the match.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum SetForm {
    /// A set of games.
    Set(SetRules),
    /// A tie-break that counts as a set (appendix V, match tie-break).
    MatchTieBreak {
        /// Points to win it, by two.
        points: u8,
    },
}

/// The rules of one match.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rules {
    /// A match, or a drill without score.
    #[serde(default, skip_serializing_if = "is_default")]
    pub play: Play,
    /// Singles, doubles or mixed doubles.
    #[serde(default, skip_serializing_if = "is_default")]
    pub sides: Sides,
    /// Sets at most: 1, 3 or 5.
    pub best_of: u8,
    /// How each set is won.
    pub set: SetRules,
    /// The last possible set, if it differs from the others.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub final_set: Option<SetForm>,
    /// How a game goes on after 40–40.
    #[serde(default, skip_serializing_if = "is_default")]
    pub deuce: Deuce,
    /// When ends are changed in a tie-break.
    #[serde(default, skip_serializing_if = "is_default")]
    pub tie_break_ends: TieBreakEnds,
}

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

impl Rules {
    /// Tie-break set to six games (ITF Rules of Tennis, rule 6b).
    pub(super) const TIE_BREAK_SET: SetRules = SetRules { games: 6, tie_break: Some(TieBreak::by_two(6, 7)) };

    /// Singles with advantage games, every set alike.
    pub const fn of(best_of: u8, set: SetRules) -> Self {
        Self {
            play: Play::Match,
            sides: Sides::Singles,
            best_of,
            set,
            final_set: None,
            deuce: Deuce::Advantage,
            tie_break_ends: TieBreakEnds::EverySix,
        }
    }

    /// Best of three tie-break sets (ITF Rules of Tennis, rules 5, 6b, 7).
    pub const fn best_of_three() -> Self {
        Self::of(3, Self::TIE_BREAK_SET)
    }

    /// One tie-break set.
    pub const fn best_of_one() -> Self {
        Self::of(1, Self::TIE_BREAK_SET)
    }

    /// Rallies without a score.
    pub const fn drill() -> Self {
        Self { play: Play::Drill, ..Self::best_of_one() }
    }

    /// Sets that win the match.
    pub const fn sets_to_win(self) -> u8 {
        self.best_of / 2 + 1
    }

    /// What is played once `finished` sets are over.
    pub const fn form(self, finished: usize) -> SetForm {
        match self.final_set {
            Some(form) if finished + 1 >= self.best_of as usize => form,
            _ => SetForm::Set(self.set),
        }
    }

    /// Checks that the rules make a match that can end, or a drill and nothing more.
    ///
    /// # Errors
    /// [`RulesError`] names the first combination that does not.
    pub fn check(self) -> Result<(), RulesError> {
        if self.play == Play::Drill {
            return self.check_drill();
        }
        if !matches!(self.best_of, 1 | 3 | 5) {
            return Err(RulesError::BestOf { found: self.best_of });
        }
        self.check_form(SetForm::Set(self.set))?;
        self.final_set.map_or(Ok(()), |form| self.check_form(form))
    }

    const fn check_drill(self) -> Result<(), RulesError> {
        let found = match self {
            Self { final_set: Some(_), .. } => "a final set",
            Self { deuce: Deuce::NoAd, .. } => "no-ad",
            Self { tie_break_ends: TieBreakEnds::EverySix, .. } => return Ok(()),
            _ => "a change of ends in the tie-break",
        };
        Err(RulesError::Drill { found })
    }

    fn check_form(self, form: SetForm) -> Result<(), RulesError> {
        let longest = match form {
            SetForm::MatchTieBreak { points } if !(2..=20).contains(&points) => {
                return Err(RulesError::MatchTieBreak { found: points });
            }
            SetForm::MatchTieBreak { points } => points,
            SetForm::Set(set) => set.check()?,
        };
        if self.tie_break_ends == TieBreakEnds::AfterFour && longest > 5 {
            return Err(RulesError::Ends { found: longest });
        }
        Ok(())
    }
}

impl SetRules {
    /// Points of the tie-break, 0 without one.
    fn check(self) -> Result<u8, RulesError> {
        let games = self.games;
        if !(1..=12).contains(&games) {
            return Err(RulesError::Games { found: games });
        }
        let Some(TieBreak { at, points, lead }) = self.tie_break else { return Ok(0) };
        let least = games - 1;
        if !(least..=24).contains(&at) || !(2..=20).contains(&points) {
            return Err(RulesError::TieBreak { at, points, games, least });
        }
        if matches!(lead, 1 | 2) { Ok(points) } else { Err(RulesError::Lead { found: lead }) }
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

    fn said(rules: Rules) -> String {
        rules.check().unwrap_err().to_string()
    }

    #[test]
    fn a_wrong_combination_says_why() {
        let base = Rules::default();
        assert_eq!(
            said(Rules { best_of: 2, ..base }),
            "a match cannot be the best of 2 sets: 1, 3 or 5 are allowed"
        );
        let set = |games, at, points| SetRules { games, tie_break: Some(TieBreak::by_two(at, points)) };
        assert!(said(Rules::of(1, set(6, 3, 7))).contains("start from 5–5 to 24–24"));
        assert!(said(Rules::of(1, set(6, 255, 7))).contains("a tie-break at 255–255"));
        assert!(said(Rules::of(1, set(6, 6, 1))).contains("to 1 points does not fit"));
        assert!(said(Rules::of(1, set(0, 0, 7))).contains("a set cannot be to 0 games"));
        assert!(
            said(Rules { final_set: Some(SetForm::Set(set(13, 13, 7))), ..base }).contains("to 13 games")
        );
        assert!(
            said(Rules { final_set: Some(SetForm::MatchTieBreak { points: 1 }), ..base })
                .contains("to 1 points: 2 to 20")
        );
        let mut lead = set(6, 6, 7);
        lead.tie_break.as_mut().unwrap().lead = 3;
        assert!(said(Rules::of(3, lead)).contains("a lead of 3"));
        assert!(said(Rules { tie_break_ends: TieBreakEnds::AfterFour, ..base }).contains("here goes to 7"));
        assert!(said(Rules { deuce: Deuce::NoAd, ..Rules::drill() }).contains("so no-ad has no meaning"));
        assert_eq!(Rules::drill().check(), Ok(()));
    }

    #[test]
    fn the_final_set_is_the_last_that_can_be_played() {
        let ten = SetForm::MatchTieBreak { points: 10 };
        let rules = Rules { final_set: Some(ten), ..Rules::default() };
        assert_eq!([0, 1, 2].map(|n| rules.form(n)), [SetForm::Set(rules.set), SetForm::Set(rules.set), ten]);
        assert_eq!(Rules { final_set: Some(ten), ..Rules::best_of_one() }.form(0), ten);
    }

    /// Ends in tie-breaks: ITF Rules of Tennis, rule 10 and appendix V (alternative procedure: after point 1, then
    /// every 4).
    #[test]
    fn both_procedures_change_ends_where_they_should() {
        let ends = |how: TieBreakEnds| -> String {
            (0..24).map(|n| if how.changes(n).is_multiple_of(2) { '0' } else { '1' }).collect()
        };
        assert_eq!(ends(TieBreakEnds::EverySix), "000000111111000000111111");
        assert_eq!(ends(TieBreakEnds::FirstThenEveryFour), "011110000111100001111000");
        assert_eq!(&ends(TieBreakEnds::AfterFour)[..9], "000011111");
    }

    /// What version 1 of the record wrote is read as it was meant.
    #[test]
    fn older_rules_are_read() {
        let old = r#"{"best_of":3,"set":{"games":6,"tie_break":{"at":6,"points":7}}}"#;
        let rules: Rules = serde_json::from_str(old).unwrap();
        assert_eq!(rules, Rules::best_of_three());
        assert_eq!(serde_json::to_string(&rules).unwrap(), old);
    }
}
