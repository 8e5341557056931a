//! How mixed one player's serves are, and how predictable.
//!
//! A serve is compared with the last serve of the same kind to the same court. An unknown direction, a point that a facet leaves
//! out, and the end of a match end a stretch; serves are never compared across it.

use super::by::By;
use super::by::{Value, tried};
use super::findings::{Changes, Mix};
use super::phrase;
use crate::evidence::{
    ALPHA, ChiSquared, Entropy, Percent, Proportion, conditional_entropy, entropy, equal_rates,
    false_discovery, joint, runs,
};
use crate::facts::{PointFacts, PointRef};
use crate::pattern::Answer;
use crate::tennis::CourtSide;
use crate::tennis::stroke::ServeTo;

/// From so many pairs of serves on, it is said how much the first tells of the second: five for each pair of directions (common
/// practice for tables of counts; no source). With fewer, chance alone looks like a habit.
const PAIRS: usize = 45;

/// From so many serves on, it is said how mixed they are: five for each direction if all are alike (common practice for this test;
/// no source).
const GUESS: usize = 15;

/// The four kinds of serve.
const KINDS: [(u8, CourtSide); 4] =
    [(1, CourtSide::Deuce), (1, CourtSide::Ad), (2, CourtSide::Deuce), (2, CourtSide::Ad)];

/// The serves seen so far.
#[derive(Default)]
pub(super) struct Serves {
    kinds: [Kind; 4],
}

/// One kind of serve, to one court.
#[derive(Default)]
struct Kind {
    points: Vec<PointRef>,
    /// Directions in the order played; each list is a stretch without a break.
    stretches: Vec<Vec<usize>>,
    /// Whether the next direction starts a new one.
    broken: bool,
    /// Points by direction.
    directions: [Proportion; 3],
}

impl Serves {
    pub(super) fn next_match(&mut self) {
        self.kinds.iter_mut().for_each(|k| k.broken = true);
    }

    /// A point: whether it is looked at, and whether the player serves it.
    pub(super) fn take(&mut self, at: PointRef, f: &PointFacts, looked_at: Answer, theirs: Answer) {
        if theirs == Answer::No {
            return;
        }
        for ((serve, court), kind) in KINDS.into_iter().zip(&mut self.kinds) {
            match (tried(f, serve, court), looked_at) {
                (Value::Outside, _) => {}
                (Value::Is(to), Answer::Yes) => kind.add(at, to, f),
                _ => kind.broken = true,
            }
        }
    }

    /// The mixes of all kinds that were seen.
    pub(super) fn close(self) -> Vec<Mix> {
        let mut mixes: Vec<Mix> = KINDS
            .into_iter()
            .zip(self.kinds)
            .filter_map(|((n, court), k)| k.close(By::Tried(n, court)))
            .collect();
        let p = |m: &Mix| {
            [m.changes.map(|c| c.p), m.equal.map(|e| e.p), m.even.map(|e| e.p), m.linked.map(|l| l.p)]
        };
        let asked: Vec<f64> = mixes.iter().flat_map(p).flatten().collect();
        let mut rates = false_discovery(&asked).into_iter();
        for mix in &mut mixes {
            let [changes, equal, even, linked] = p(mix).map(|p| p.and_then(|_| rates.next()));
            mix.is_uneven = even.is_some_and(|q| q <= ALPHA);
            mix.is_linked = linked.is_some_and(|q| q <= ALPHA);
            mix.is_regular = changes.is_some_and(|q| q <= ALPHA);
            mix.says = says(mix, equal);
        }
        mixes
    }
}

impl Kind {
    fn add(&mut self, at: PointRef, to: usize, f: &PointFacts) {
        self.points.push(at);
        let direction = &mut self.directions[to];
        match f.winner.zip(f.server).map(|(a, b)| a == b) {
            Some(true) => direction.won += 1,
            Some(false) => direction.lost += 1,
            None => direction.unknown += 1,
        }
        match self.stretches.last_mut() {
            Some(stretch) if !self.broken => stretch.push(to),
            _ => self.stretches.push(vec![to]),
        }
        self.broken = false;
    }

    fn close(self, by: By) -> Option<Mix> {
        let counts = self.directions.map(|d| d.n() + d.unknown);
        let pairs: Vec<(usize, usize)> =
            self.stretches.iter().flat_map(|s| s.windows(2).map(|w| (w[0], w[1]))).collect();
        Some(Mix {
            of: by.words().into(),
            entropy: entropy(&counts)?,
            knowing_last: conditional_entropy(&pairs),
            changes: self.changes(counts),
            equal: equal_rates(&self.directions).filter(|_| enough(&self.directions)),
            points: self.points,
            directions: counts,
            linked: linked(&pairs),
            is_linked: false,
            is_regular: false,
            even: even(counts),
            is_uneven: false,
            says: String::new(),
        })
    }

    /// The runs of the direction chosen most, stretch by stretch: sums of the numbers that chance gives in each.
    fn changes(&self, counts: [usize; 3]) -> Option<Changes> {
        let most = (0..3).max_by_key(|to| counts[*to])?;
        let all: Vec<_> = (self.stretches.iter())
            .filter_map(|s| runs(&s.iter().map(|to| *to == most).collect::<Vec<bool>>()))
            .collect();
        let (seen, expected) = (all.iter().map(|r| r.runs).sum(), all.iter().map(|r| r.mean).sum::<f64>());
        let variance: f64 = all.iter().map(|r| r.variance).sum();
        let p = match all.as_slice() {
            [] => return None,
            [one] => one.p,
            // The square of a standard normal value is chi-squared with one degree of freedom.
            _ if variance > 0.0 => {
                let q = (seen as f64 - expected).powi(2) / variance;
                joint(&[ChiSquared { q, df: 1, p: 1.0 }]).p
            }
            _ => 1.0,
        };
        Some(Changes { runs: seen, expected, p })
    }
}

/// Whether the test of equal rates is reliable: in each direction that was played at least 5 wins and 5 losses are to be
/// expected (common practice; no source).
fn enough(directions: &[Proportion; 3]) -> bool {
    let (won, n) = directions.iter().fold((0, 0), |(won, n), d| (won + d.won, n + d.n()));
    let rate = won as f64 / n.max(1) as f64;
    directions.iter().filter(|d| d.n() > 0).all(|d| d.n() as f64 * rate.min(1.0 - rate) >= 5.0)
}

/// The greatest uncertainty: all directions alike.
fn most() -> f64 {
    (ServeTo::WORDS.len() as f64).log2()
}

/// How hard to guess a serve is: 0 always the same, 1 all directions alike.
fn hardness(e: Entropy) -> f64 {
    e.corrected.clamp(0.0, most()) / most()
}

/// Whether so many of each direction could come from an even mix (Pearson's test); `None` with too few serves.
fn even(counts: [usize; 3]) -> Option<ChiSquared> {
    let n: usize = counts.iter().sum();
    let each = n as f64 / counts.len() as f64;
    let q = counts.iter().map(|seen| (*seen as f64 - each).powi(2) / each).sum();
    (n >= GUESS).then(|| joint(&[ChiSquared { q, df: 2, p: 1.0 }]))
}

/// Whether the next direction depends on the one before: the likelihood ratio test of independence, of pairs that follow each other
/// (Anderson & Goodman 1957, *Ann. Math. Stat.* 28:89; from memory). `None` with too few pairs.
fn linked(pairs: &[(usize, usize)]) -> Option<ChiSquared> {
    let mut counts = [[0; 3]; 2];
    for (before, after) in pairs {
        counts[0][*before] += 1;
        counts[1][*after] += 1;
    }
    let kinds = |of: [usize; 3]| of.iter().filter(|n| **n > 0).count();
    let df = (kinds(counts[0]).max(1) - 1) * (kinds(counts[1]).max(1) - 1);
    let shared = entropy(&counts[1])?.bits - conditional_entropy(pairs)?.bits;
    let q = 2.0 * pairs.len() as f64 * std::f64::consts::LN_2 * shared.max(0.0);
    (pairs.len() >= PAIRS && df > 0).then(|| joint(&[ChiSquared { q, df, p: 1.0 }]))
}

/// The direction chosen most, and how often.
fn favourite(mix: &Mix) -> (&'static str, usize) {
    let all = ServeTo::WORDS.iter().map(|w| w.0).zip(mix.directions);
    all.max_by_key(|(_, n)| *n).unwrap_or(("", 0))
}

/// A mix in a sentence, with the false discovery rate of what each direction wins.
fn says(mix: &Mix, equal: Option<f64>) -> String {
    let n = mix.entropy.n;
    let [wide, body, t] = mix.directions;
    let counts = format!("{}: {wide} wide, {body} to the body, {t} down the T", mix.of);
    if n < GUESS {
        return format!("{counts}; too few serves to say how mixed they are");
    }
    let (to, most) = favourite(mix);
    let even = (n as f64 / 3.0).round();
    let chance = if mix.is_uneven { "" } else { "; that may be chance" };
    let mut parts = vec![format!(
        "{counts}; an opponent who always expects it {} is right {most} times of {n}; with an even mix, about {even} times{chance}",
        phrase::to(to)
    )];
    parts.push(order(mix));
    let alike = match equal {
        None => "too few points to compare what each direction wins",
        Some(q) if q > ALPHA => "no direction was found to win more than another",
        Some(_) => "some directions win more than others",
    };
    parts.push(alike.into());
    parts.join("; ")
}

/// Whether the serve before gives the next away.
fn order(mix: &Mix) -> String {
    let changes = mix.changes.filter(|_| mix.is_regular).map(|c| {
        let how = if c.runs as f64 > c.expected { "more" } else { "less" };
        let expected = c.expected.round();
        format!("the direction changes {how} often than by chance ({} runs, {expected} expected)", c.runs)
    });
    let hard = hardness(mix.entropy);
    let knowing = mix.knowing_last.filter(|e| e.n >= PAIRS && hard > 0.0).map(|after| {
        match Percent::of((1.0 - hardness(after) / hard).max(0.0)) {
            told if told.whole() == 0 || !mix.is_linked => {
                "the serve before was not found to give anything away".into()
            }
            told => format!("{told} easier to guess for an opponent who knows the serve before"),
        }
    });
    let told: Vec<String> = changes.into_iter().chain(knowing).collect();
    match told.as_slice() {
        [] => "too few serves to say whether the one before gives the next away".into(),
        told => told.join("; "),
    }
}

/// Whether this player's serves are predictable, as the shortest answer; `None` if there are no serves.
pub(super) fn answer(mixes: &[Mix], who: &str) -> Option<String> {
    let most = mixes.iter().map(|m| m.entropy.n).max()?;
    let share = |m: &Mix| favourite(m).1 as f64 / m.entropy.n as f64;
    let mut enough: Vec<&Mix> = mixes.iter().filter(|m| m.entropy.n >= GUESS).collect();
    enough.sort_by(|a, b| b.is_uneven.cmp(&a.is_uneven).then(share(b).total_cmp(&share(a))));
    let Some(first) = enough.first() else {
        return Some(format!(
            "cannot tell yet whether {who} is predictable: too few serves, at most {most} of a kind, and {GUESS} are needed"
        ));
    };
    let told = |m: &Mix| {
        let (to, n) = favourite(m);
        format!("{}, {} {n} times of {} ({})", m.of, phrase::to(to), m.entropy.n, Percent::of(share(m)))
    };
    let uneven: Vec<String> = enough.iter().filter(|m| m.is_uneven).map(|m| told(m)).collect();
    let direction = if uneven.is_empty() {
        format!(
            "no favourite direction was found for {who}, beyond chance; the nearest to one: {}",
            told(first)
        )
    } else {
        format!("yes, {who} has a favourite direction: {}", uneven.join("; "))
    };
    let regular: Vec<&str> =
        enough.iter().filter(|m| m.is_regular || m.is_linked).map(|m| m.of.as_str()).collect();
    let pairs = |m: &&Mix| m.knowing_last.is_some_and(|e| e.n >= PAIRS);
    let next = match (regular.is_empty(), enough.iter().any(pairs)) {
        (false, _) => format!("One serve gives away the next: {}", regular.join("; ")),
        (true, true) => "One serve was not found to give away the next".into(),
        (true, false) => "Whether one serve gives away the next: too few serves to say".into(),
    };
    Some(format!("{direction}. {next}"))
}
