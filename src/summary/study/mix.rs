//! How mixed one player's serves are, and how predictable.
//!
//! A serve is compared with the last serve of the same kind to the same court. An unknown direction, a point that a facet leaves
//! out, and the end of a match end a stretch; serves are never compared across it.

use super::by::By;
use super::by::{Value, tried};
use super::findings::{Changes, Mix};
use super::phrase;
use crate::counted::{Counted, Noun};
use crate::evidence::{
    ALPHA, ChiSquared, Entropy, FEW, Percent, Proportion, conditional_entropy, entropy, equal_rates,
    false_discovery, joint, runs,
};
use crate::facts::{PointFacts, PointRef};
use crate::pattern::Answer;
use crate::tennis::CourtSide;
use crate::tennis::stroke::ServeTo;

/// From so many pairs of serves on, it is said how much the first tells of the second: five for each pair of directions (common
/// practice for tables of counts; no source). With fewer, chance alone looks like a habit.
const PAIRS: usize = 45;

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
        let p = |m: &Mix| [m.changes.map(|c| c.p), m.equal.map(|e| e.p)];
        let asked: Vec<f64> = mixes.iter().flat_map(p).flatten().collect();
        let mut rates = false_discovery(&asked).into_iter();
        for mix in &mut mixes {
            let [changes, equal] = p(mix).map(|p| p.and_then(|_| rates.next()));
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
            is_regular: false,
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

/// A mix in a sentence, with the false discovery rate of what each direction wins.
fn says(mix: &Mix, equal: Option<f64>) -> String {
    let n = mix.entropy.n;
    let [wide, body, t] = mix.directions;
    if n < FEW {
        let serves = Counted(n, Noun::Serve);
        return format!("{}: {serves}, too few to say how mixed they are", mix.of);
    }
    let hard = hardness(mix.entropy);
    let told = match Percent::of(hard) {
        // Corrected for a small sample, an uneven mix may count as even.
        told if told.whole() == 100 => "not found to be easier to guess than an even mix".to_owned(),
        told => format!("{told} as hard to guess as an even mix"),
    };
    let mut parts = vec![format!("{}: {wide} wide, {body} to the body, {t} down the T; {told}", mix.of)];
    if mix.knowing_last.is_some_and(|e| e.n < PAIRS) {
        parts.push("too few serves to say whether the one before gives the next away".into());
    }
    if let Some(after) = mix.knowing_last.filter(|e| e.n >= PAIRS && hard > 0.0) {
        parts.push(match Percent::of((1.0 - hardness(after) / hard).max(0.0)) {
            told if told.whole() == 0 => "the serve before gives nothing away".into(),
            told => format!("{told} easier to guess for an opponent who knows the serve before"),
        });
    }
    parts.extend(mix.changes.map(|c| {
        if !mix.is_regular {
            return "no habit was found in how often the direction changes".into();
        }
        let how = if c.runs as f64 > c.expected { "more" } else { "less" };
        let expected = c.expected.round();
        format!("the direction changes {how} often than by chance ({} runs, {expected} expected)", c.runs)
    }));
    let alike = match equal {
        None => "too few points to compare what each direction wins",
        Some(q) if q > ALPHA => "no direction was found to win more than another",
        Some(_) => "some directions win more than others",
    };
    parts.push(alike.into());
    parts.join("; ")
}

/// Whether this player's serves are predictable, as the shortest answer; `None` if there are no serves.
pub(super) fn answer(mixes: &[Mix], who: &str) -> Option<String> {
    let most = mixes.iter().map(|m| m.entropy.n).max()?;
    let enough = || mixes.iter().filter(|m| m.entropy.n >= FEW);
    let easiest = enough().min_by(|a, b| hardness(a.entropy).total_cmp(&hardness(b.entropy)));
    let Some(easiest) = easiest else {
        return Some(format!(
            "too few serves to say whether {who} is predictable: at most {most} of a kind, and {FEW} are needed"
        ));
    };
    let (to, n) = ServeTo::WORDS.iter().zip(easiest.directions).max_by_key(|(_, n)| *n)?;
    let of = easiest.entropy.n;
    let guess = format!(
        "easiest to guess: {}, {n} of {of} {} ({})",
        easiest.of,
        phrase::to(to.0),
        Percent::of(n as f64 / of as f64)
    );
    let regular: Vec<&str> = enough().filter(|m| m.is_regular).map(|m| m.of.as_str()).collect();
    Some(if regular.is_empty() {
        format!("the order of serves was not found to give away the next serve of {who}; {guess}")
    } else {
        format!("the order of serves gives away the next serve of {who} ({}); {guess}", regular.join("; "))
    })
}
