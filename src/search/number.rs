//! Phrases that hold a number: `set 2`, `shot 3`, `30-40`, `5-8 shots`, `9+`, `more than 10 shots`.

use super::chip::Meaning;
use crate::pattern::{CALLS, Condition, ShotTest};

/// More shots than any rally has.
const MOST: usize = 10_000;

/// A phrase with a number at the start of these words: how many of them it takes, its words, and its meaning.
pub(super) fn number(words: &[&str]) -> Option<(usize, String, Meaning)> {
    match words {
        ["set", n, ..] => {
            let n = whole(n).filter(|n| (1..=5).contains(n))?;
            Some((2, format!("set {n}"), Meaning::Point(Condition::Set(n))))
        }
        ["shot", n, ..] => {
            let n = whole(n)?;
            Some((2, format!("shot {n}"), Meaning::Shot(vec![ShotTest::Number(n)])))
        }
        ["more" | "longer", "than", n, rest @ ..] | ["over", n, rest @ ..] => {
            rally(words.len() - rest.len(), rest, whole(n)? + 1, usize::MAX)
        }
        ["less" | "fewer" | "shorter", "than", n, rest @ ..] | ["under", n, rest @ ..] => {
            rally(words.len() - rest.len(), rest, 1, whole(n)?.checked_sub(1)?)
        }
        ["at", "least", n, rest @ ..] => rally(3, rest, whole(n)?, usize::MAX),
        ["at", "most", n, rest @ ..] | ["up", "to", n, rest @ ..] => rally(3, rest, 1, whole(n)?),
        ["rally" | "rallies", n, ..] => {
            let (taken, words, meaning) = range(n, &[])?;
            Some((taken + 1, words, meaning))
        }
        [n, rest @ ..] => range(n, rest),
        [] => None,
    }
}

fn range(n: &str, rest: &[&str]) -> Option<(usize, String, Meaning)> {
    let call = |(word, call): &(&str, _)| (*word == n).then_some(Condition::Called(*call));
    if let Some(called) = CALLS.iter().find_map(call) {
        return Some((1, n.replace('-', "–"), Meaning::Point(called)));
    }
    if let Some(least) = n.strip_suffix('+') {
        return rally(1, rest, whole(least)?, usize::MAX);
    }
    if let Some((from, to)) = n.split_once('-') {
        return rally(1, rest, whole(from)?, whole(to)?);
    }
    // A number alone says nothing.
    let (first, _) = rest.split_first()?;
    COUNTED.contains(first).then(|| rally(1, rest, whole(n)?, whole(n)?))?
}

/// What a rally's length is counted in.
const COUNTED: [&str; 4] = ["shot", "shots", "ball", "balls"];

fn rally(taken: usize, rest: &[&str], from: usize, to: usize) -> Option<(usize, String, Meaning)> {
    let more = rest.iter().take_while(|w| COUNTED.contains(w) || ["rally", "rallies"].contains(w)).count();
    if from > to || from == 0 {
        return None;
    }
    let words = match (from, to) {
        (1, to) => format!("at most {to} shots"),
        (from, usize::MAX) => format!("at least {from} shots"),
        (from, to) if from == to => format!("{from} shots"),
        (from, to) => format!("{from} to {to} shots"),
    };
    Some((taken + more, words, Meaning::Point(Condition::Rally(from..=to))))
}

fn whole(word: &str) -> Option<usize> {
    word.parse().ok().filter(|n| *n <= MOST)
}
