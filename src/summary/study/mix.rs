//! How mixed one player's serves are, and how predictable.
//!
//! A serve follows the last one of the same kind to the same court. Where a direction is not known, where a facet leaves a
//! point out, and at the end of a match, a stretch ends: nothing is said across it.

use super::by::By;
use super::by::{Value, tried};
use super::findings::{Changes, Mix};
use crate::evidence::{
    ALPHA, ChiSquared, Entropy, FEW, Proportion, conditional_entropy, entropy, equal_rates, false_discovery,
    joint, runs,
};
use crate::facts::{PointFacts, PointRef};
use crate::pattern::Answer;
use crate::tennis::CourtSide;
use crate::tennis::stroke::ServeTo;

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
            mix.says = says(mix, changes, equal);
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
            // The square of a normal number is chi-squared of one degree.
            _ if variance > 0.0 => {
                let q = (seen as f64 - expected).powi(2) / variance;
                joint(&[ChiSquared { q, df: 1, p: 1.0 }]).p
            }
            _ => 1.0,
        };
        Some(Changes { runs: seen, expected, p })
    }
}

/// Whether the test of equal rates is worth its name: in each direction that was played at least 5 wins and 5 losses are to be
/// expected (common practice; no source).
fn enough(directions: &[Proportion; 3]) -> bool {
    let (won, n) = directions.iter().fold((0, 0), |(won, n), d| (won + d.won, n + d.n()));
    let rate = won as f64 / n.max(1) as f64;
    directions.iter().filter(|d| d.n() > 0).all(|d| d.n() as f64 * rate.min(1.0 - rate) >= 5.0)
}

/// A mix in a sentence, with the false discovery rates of its two tests.
fn says(mix: &Mix, changes: Option<f64>, equal: Option<f64>) -> String {
    let n = mix.entropy.n;
    if n < FEW {
        let s = if n == 1 { "" } else { "s" };
        return format!("{}: {n} serve{s}, too few to say how mixed they are", mix.of);
    }
    let most = (ServeTo::WORDS.len() as f64).log2();
    let bits = |e: Entropy| e.corrected.clamp(0.0, most);
    let whole = bits(mix.entropy);
    let share = 100.0 * whole / most;
    let mut parts = vec![format!(
        "{}: {n} serves, {share:.0} % as hard to guess as an even mix ({whole:.2} of {most:.2} bits)",
        mix.of
    )];
    if let Some(after) = mix.knowing_last.filter(|e| e.n >= FEW && whole > 0.0) {
        let told = 100.0 * (1.0 - bits(after) / whole).max(0.0);
        parts.push(format!("knowing the serve before makes it {told:.0} % easier"));
    }
    parts.extend(mix.changes.zip(changes).map(|(c, q)| {
        let how = match c.runs as f64 {
            _ if q > ALPHA => "as often as by chance".into(),
            runs if runs > c.expected => {
                format!("too often ({} runs, {:.0} by chance)", c.runs, c.expected)
            }
            _ => format!("too seldom ({} runs, {:.0} by chance)", c.runs, c.expected),
        };
        format!("the direction changes {how}")
    }));
    let alike = match equal {
        None => "too few points to compare what each direction wins",
        Some(q) if q > ALPHA => "no direction wins more than another",
        Some(_) => "some directions win more than others",
    };
    parts.push(alike.into());
    parts.join("; ")
}
