//! Score marks: a score that the coach states at a point, for play that was not recorded.
//!
//! A mark holds the whole score just before a point, so it stays true if points before it are inserted or deleted. It deletes
//! nothing; after it the replay counts from it. If the score cannot follow from the points before it, that is a [`Conflict`],
//! which is shown at its place and never corrected.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::pair::Server;
use super::rules::{Deuce, Play, Rules, SetForm, SetRules, TieBreak};
use super::score::SetScore;
use super::{End, Side};

/// More games or points than any side of a match ever had.
const MOST: u16 = 200;
/// The same for the rallies that a side has won in a drill.
const MOST_RALLIES: u16 = 10_000;

/// The score at a place of the match, as it was seen or heard.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Mark {
    /// Sets finished, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sets: Vec<SetScore>,
    /// Games of A and B in the set being played.
    #[serde(default)]
    pub games: [u16; 2],
    /// Points won by A and B in the game being played: 30–15 is 2 and 1, deuce 3 and 3, advantage A 4 and 3.
    #[serde(default)]
    pub points: [u16; 2],
    /// Who serves next, if it was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub server: Option<Server>,
    /// The end at which A stands, if it was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub a_end: Option<End>,
}

/// Why a mark cannot follow from the points before it. Scores are A's first.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Conflict {
    /// No match under these rules can have this score; the mark is ignored.
    #[error("the score cannot be {stated} under these rules: {why}; it is ignored")]
    Impossible {
        /// The score of the mark.
        stated: Box<str>,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Each point is of another match.
    #[error(
        "the score is given as {stated}, but points of many matches have no common score; note it as the score of the point's own match"
    )]
    Apart {
        /// The score of the mark.
        stated: Box<str>,
    },
    /// The score counted from the points before it can never become the mark's.
    #[error(
        "the score is given as {stated}, but the points before give {counted}, and {stated} cannot follow from that; the count goes on from {stated}"
    )]
    Back {
        /// The score of the mark.
        stated: Box<str>,
        /// The score counted.
        counted: Box<str>,
    },
    /// Another serves than should by the points before it.
    #[error("{stated} is given as the server at {at}, but by the points before it is {counted}; the order goes on from {stated}", stated = name(*stated), counted = name(*counted))]
    Serves {
        /// The score of the mark.
        at: Box<str>,
        /// Who is said to serve.
        stated: Server,
        /// Who should.
        counted: Server,
    },
    /// A stands at another end than the points before it say.
    #[error("player A is given at the {stated} end at {at}, but by the points before it is the other end; the ends go on from the {stated} end", stated = end(*stated))]
    Ends {
        /// The score of the mark.
        at: Box<str>,
        /// The end of the mark.
        stated: End,
    },
}

pub(super) const fn name(server: Server) -> &'static str {
    match server {
        Server::A => "A",
        Server::B => "B",
        Server::A1 => "A's first player",
        Server::A2 => "A's second player",
        Server::B1 => "B's first player",
        Server::B2 => "B's second player",
    }
}

const fn end(end: End) -> &'static str {
    match end {
        End::Near => "near",
        End::Far => "far",
    }
}

/// A score in figures, A first: `6–4 7–6(5) 2–1, 30–15`; points in a tie-break, and those after 40 all, are counted.
pub(super) fn figures(sets: &[SetScore], games: [u16; 2], points: [u16; 2], tie_break: bool) -> Box<str> {
    let mut parts: Vec<String> = sets.iter().map(|s| format!("{}–{}", s.games[0], s.games[1])).collect();
    parts.push(format!("{}–{}", games[0], games[1]));
    let word = |n: u16| match n {
        0 => "0".to_owned(),
        1 => "15".to_owned(),
        2 => "30".to_owned(),
        3 => "40".to_owned(),
        n => n.to_string(),
    };
    let points = match points {
        [0, 0] => return parts.join(" ").into(),
        [a, b] if tie_break => format!("{a}–{b} in the tie-break"),
        [a, b] if a >= 3 && a == b => "deuce".to_owned(),
        [a, b] if a.min(b) >= 3 => format!("advantage {}", if a > b { "A" } else { "B" }),
        [a, b] => format!("{}–{}", word(a), word(b)),
    };
    format!("{}, {points}", parts.join(" ")).into()
}

/// Larger and smaller.
const fn sorted<const N: usize>(pair: [u16; N]) -> (u16, u16) {
    if pair[0] >= pair[1] { (pair[0], pair[1]) } else { (pair[1], pair[0]) }
}

fn games_of(games: [u16; 2]) -> (u16, u16) {
    sorted(games)
}

/// Whether a tie-break to `points` by `lead` ends at this score and not before.
fn ends_tie_break(score: [u16; 2], points: u8, lead: u8) -> bool {
    let ((hi, lo), to, lead) = (sorted(score), u16::from(points), u16::from(lead));
    hi <= MOST && ((hi == to && lo + lead <= hi) || (hi > to && lo + lead == hi))
}

/// Whether a set can be over at these games, and whether by the tie-break.
fn ends_set(games: [u16; 2], set: SetRules) -> Option<bool> {
    let ((hi, lo), to) = (games_of(games), u16::from(set.games));
    if hi > MOST {
        return None;
    }
    if set.tie_break.is_some_and(|t| (hi, lo) == (u16::from(t.at) + 1, u16::from(t.at))) {
        return Some(true);
    }
    let before_tie_break = set.tie_break.is_none_or(|t| lo < u16::from(t.at));
    (((hi == to && lo + 2 <= hi) || (hi > to && lo + 2 == hi)) && before_tie_break).then_some(false)
}

fn set_is_whole(set: SetScore, form: SetForm) -> bool {
    let (by_tie_break, points, lead) = match form {
        SetForm::MatchTieBreak { points } => {
            (matches!(set.games, [1, 0] | [0, 1]).then_some(true), points, 2)
        }
        SetForm::Set(rules) => {
            let TieBreak { points, lead, .. } = rules.tie_break.unwrap_or(TieBreak::by_two(0, 0));
            (ends_set(set.games, rules), points, lead)
        }
    };
    match (by_tie_break, set.tie_break) {
        (None, _) | (Some(false), Some(_)) => false,
        (Some(true), Some(score)) => {
            ends_tie_break(score, points, lead) && (score[0] > score[1]) == (set.games[0] > set.games[1])
        }
        (Some(_), None) => true,
    }
}

/// Whether a set can go on at these games.
fn set_goes_on(games: [u16; 2], form: SetForm) -> bool {
    let SetForm::Set(set) = form else { return games == [0, 0] };
    let (hi, lo) = games_of(games);
    let over = hi >= u16::from(set.games) && hi - lo >= 2;
    !over && set.tie_break.is_none_or(|t| hi <= u16::from(t.at)) && hi <= MOST
}

impl Mark {
    /// Whether the present game is a tie-break under these rules.
    pub(super) fn tie_break(&self, rules: Rules) -> Option<(u8, u8)> {
        match rules.form(self.sets.len()) {
            SetForm::MatchTieBreak { points } => Some((points, 2)),
            SetForm::Set(set) => {
                set.tie_break.filter(|t| self.games == [u16::from(t.at); 2]).map(|t| (t.points, t.lead))
            }
        }
    }

    /// The score in figures.
    pub(super) fn figures(&self, rules: Rules) -> Box<str> {
        figures(&self.sets, self.games, self.points, self.tie_break(rules).is_some())
    }

    /// Who has won the match at this score, if anybody has.
    pub(super) fn winner(&self, rules: Rules) -> Option<Side> {
        let won = |side| self.sets.iter().filter(|s| s.winner() == side).count();
        [Side::A, Side::B].into_iter().find(|s| won(*s) >= usize::from(rules.sets_to_win()))
    }

    /// What is wrong with the score under these rules, if anything.
    fn wrong(&self, rules: Rules) -> Option<&'static str> {
        if rules.play == Play::Drill {
            if !self.sets.is_empty() || self.games != [0, 0] {
                return Some("a drill has no games and sets");
            }
            return (self.points.iter().any(|n| *n > MOST_RALLIES)).then_some("no drill has so many rallies");
        }
        if self.sets.len() > usize::from(rules.best_of) {
            return Some("it has more sets than the match can");
        }
        if self.sets.iter().enumerate().any(|(n, s)| !set_is_whole(*s, rules.form(n))) {
            return Some("one of its finished sets cannot end with that score");
        }
        let before =
            Self { sets: self.sets[..self.sets.len().saturating_sub(1)].to_vec(), ..Self::default() };
        if before.winner(rules).is_some() {
            return Some("the match was over one set earlier");
        }
        if self.winner(rules).is_some() {
            let more = self.games != [0, 0] || self.points != [0, 0];
            return more.then_some("the match is over after its last set");
        }
        if !set_goes_on(self.games, rules.form(self.sets.len())) {
            return Some("the set is over at these games, or cannot reach them");
        }
        self.wrong_points(rules)
    }

    fn wrong_points(&self, rules: Rules) -> Option<&'static str> {
        let (hi, lo) = sorted(self.points);
        let (to, lead) = match self.tie_break(rules) {
            Some((points, lead)) => (u16::from(points), u16::from(lead)),
            None => (4, if rules.deuce == Deuce::NoAd { 1 } else { 2 }),
        };
        let over = hi > MOST || (hi >= to && hi >= lo + lead);
        over.then_some("the game is over at these points, or cannot reach them")
    }

    /// Checks the score against the rules.
    ///
    /// # Errors
    /// [`Conflict::Impossible`].
    pub fn check(&self, rules: Rules) -> Result<(), Conflict> {
        match self.wrong(rules) {
            Some(why) => Err(Conflict::Impossible { stated: self.figures(rules), why }),
            None => Ok(()),
        }
    }

    /// Whether this score can be reached from `from` by play alone. Both are possible under the rules.
    pub(super) fn follows(&self, from: &Self, rules: Rules) -> bool {
        let same = |a: &SetScore, b: &SetScore| {
            a.games == b.games && a.tie_break.zip(b.tie_break).is_none_or(|(a, b)| a == b)
        };
        let n = from.sets.len();
        if rules.play == Play::Drill {
            return no_less(self.points, from.points);
        }
        if self.sets.len() < n || !from.sets.iter().zip(&self.sets).all(|(a, b)| same(a, b)) {
            return false;
        }
        if let Some(set) = self.sets.get(n) {
            let points =
                from.tie_break(rules).is_none() || set.tie_break.is_none_or(|to| no_less(to, from.points));
            return no_less(set.games, from.games) && points;
        }
        if self.games != from.games {
            return no_less(self.games, from.games);
        }
        let level = self.tie_break(rules).is_none() && self.points[0].min(self.points[1]) >= 3;
        no_less(self.points, from.points) || (level && rules.deuce == Deuce::Advantage)
    }
}

fn no_less<T: PartialOrd + Copy>(to: [T; 2], from: [T; 2]) -> bool {
    to[0] >= from[0] && to[1] >= from[1]
}
