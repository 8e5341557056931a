//! The match in a few sentences.

use super::table::{Numbers, Part, Share, Value};
use super::what::Number;
use crate::counted::{Counted, Noun};
use crate::evidence::{FEW, Percent};

impl Numbers {
    /// The match, or a set of it, in sentences that can be read aloud; each names both players and of how many.
    pub fn headline(&self, part: &Part) -> Vec<String> {
        let [a, b] = &self.players;
        let of = |number, column| part.of(number, column);
        let mut said = Vec::new();
        if let Some([(won, all), (lost, _)]) = both(&of, Number::PointsWon) {
            let share = |n: usize| {
                if all < FEW { String::new() } else { format!(" ({})", Percent::of(n as f64 / all as f64)) }
            };
            let points = Counted(all, Noun::Point);
            said.push(format!("{a} won {won} of {points}{}, {b} {lost}{}", share(won), share(lost)));
        }
        let games = |column| {
            let held =
                of(Number::GamesHeld, column).map(|(n, all)| format!("held {n} of {all} service games"));
            let broke =
                of(Number::GamesBroken, column).map(|(n, all)| format!("broke in {n} of {all} return games"));
            let parts: Vec<String> = held.into_iter().chain(broke).collect();
            (!parts.is_empty()).then(|| parts.join(" and "))
        };
        if let (Some(ours), Some(theirs)) = (games(0), games(1)) {
            said.push(format!("{a} {ours}; {b} {theirs}"));
        }
        said.extend(
            part.ends(0).zip(part.ends(1)).map(|(ours, theirs)| format!("{a}: {ours}; {b}: {theirs}")),
        );
        said
    }
}

/// Of both players, if it was counted of both.
fn both(
    of: &impl Fn(Number, usize) -> Option<(usize, usize)>,
    number: Number,
) -> Option<[(usize, usize); 2]> {
    Some([of(number, 0)?, of(number, 1)?])
}

impl Part {
    /// `5 winners and at least 3 unforced errors`; none if one of them was not seen, but may have been there.
    fn ends(&self, column: usize) -> Option<String> {
        let one = |number, noun| {
            let share = self.share(number, column).filter(|s| !s.at_least || s.count > 0)?;
            Some(format!("{}{}", if share.at_least { "at least " } else { "" }, Counted(share.count, noun)))
        };
        let winners = one(Number::Winners, Noun::Winner)?;
        Some(format!("{winners} and {}", one(Number::UnforcedErrors, Noun::UnforcedError)?))
    }

    /// So many of so many; none where nothing was counted.
    fn of(&self, number: Number, column: usize) -> Option<(usize, usize)> {
        self.share(number, column).map(|s| (s.count, s.of))
    }

    fn share(&self, number: Number, column: usize) -> Option<&Share> {
        match &self.rows.iter().find(|r| r.number == number)?.values[column] {
            Value::Share(s) if s.of > 0 => Some(s),
            _ => None,
        }
    }
}
