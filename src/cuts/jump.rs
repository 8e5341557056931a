//! Players who are suddenly elsewhere, in front of a camera that stands still.

use super::compare::exposures;
use super::small::{Grid, Small, TALL, WIDE};

/// How much darker or brighter than all that was near a pixel must be, to be news.
const NEWS: u8 = 14;
/// Pixels that hang together, at least. Less is the ball, a racket, or noise.
const PART: usize = 6;
/// How many times more pixels came than went, or went than came, in a part that counts.
const MIXED: usize = 4;
/// As many that came and that went make a part count all the same: a player who came beside where they stood. A racket is smaller.
const BESIDE: usize = 24;
/// Of these, one in so many at most both came and went: a graphic takes the place of what it covers.
const REPLACED: usize = 8;

/// What came and what went from one picture to the next, at different places.
#[derive(Debug, Clone, Default)]
pub(super) struct Jump {
    /// Pixels that came, or that went, whichever are fewer. 0 while everything only moves.
    pub(super) pixels: usize,
    /// The fine patches in which these are.
    patches: Vec<bool>,
}

/// Whether a pixel came, and whether one went there.
type Change = [bool; 2];

impl Jump {
    /// Compares a picture with the one before it. What moved `reach` pixels at most neither came nor went. A change of the exposure
    /// is no news.
    pub(super) fn of(before: &Small, after: &Small, reach: usize) -> Self {
        let pairs = before.pixels().iter().zip(after.pixels());
        let changed: Vec<usize> =
            pairs.enumerate().filter(|(_, (a, b))| a.abs_diff(**b) >= NEWS).map(|(n, _)| n).collect();
        // With more than that, it is no longer the same view.
        if !(2 * PART..WIDE * TALL / 3).contains(&changed.len()) {
            return Self::default();
        }
        let [forth, back] = exposures(before, after);
        let mut changes = vec![[false; 2]; WIDE * TALL];
        for n in changed {
            changes[n] =
                [is_unlike(after, before, n, reach, &forth), is_unlike(before, after, n, reach, &back)];
        }
        Self::of_changes(changes)
    }

    /// A part in which pixels both came and went does not count, unless it is as large as a player: a graphic takes the place of what
    /// it covers, and a racket that swings comes beside where it went.
    fn of_changes(mut left: Vec<Change>) -> Self {
        let mut patches = vec![false; Grid::FINE.patches()];
        let mut sums = [0, 0];
        for first in 0..left.len() {
            let part = taken(&mut left, first);
            let counts = [0, 1].map(|kind| part.iter().filter(|(_, change)| change[kind]).count());
            let (less, more) = (counts[0].min(counts[1]), counts[0].max(counts[1]));
            let replaced = part.iter().filter(|(_, change)| *change == [true; 2]).count();
            if less >= BESIDE && REPLACED * replaced <= less {
                sums[0] += counts[0];
                sums[1] += counts[1];
            } else if more >= PART && MIXED * less <= more {
                sums[usize::from(counts[1] > counts[0])] += more;
            } else {
                continue;
            }
            for (n, _) in part {
                let (x, y) = (n % WIDE / Grid::FINE.side, n / WIDE / Grid::FINE.side);
                patches[y * Grid::FINE.across() + x] = true;
            }
        }
        Self { pixels: sums[0].min(sums[1]), patches }
    }

    /// Whether one of these patches is in the parts that came or went.
    pub(super) fn meets(&self, moves: &[bool]) -> bool {
        self.patches.iter().zip(moves).any(|(a, b)| *a && *b)
    }
}

/// Whether a pixel of a picture is like nothing near it in the other, whose brightness would be `shown` here.
fn is_unlike(here: &Small, other: &Small, n: usize, reach: usize, shown: &[u8; 256]) -> bool {
    let (x, y) = (n % WIDE, n / WIDE);
    let rows = y.saturating_sub(reach)..(y + reach + 1).min(TALL);
    let columns = x.saturating_sub(reach)..(x + reach + 1).min(WIDE);
    let (mut least, mut most) = (u8::MAX, u8::MIN);
    for y in rows {
        for p in &other.pixels()[y * WIDE + columns.start..y * WIDE + columns.end] {
            (least, most) = (least.min(*p), most.max(*p));
        }
    }
    let pixel = here.pixels()[n];
    let outside =
        |least: u8, most: u8| pixel > most.saturating_add(NEWS) || pixel < least.saturating_sub(NEWS);
    outside(least, most) && outside(shown[usize::from(least)], shown[usize::from(most)])
}

/// The changes that hang together with one of them, a gap of one pixel allowed. They are taken out of `left`.
fn taken(left: &mut [Change], first: usize) -> Vec<(usize, Change)> {
    let mut part = Vec::new();
    let mut next = Vec::new();
    if left[first] != [false; 2] {
        next.push(first);
    }
    while let Some(n) = next.pop() {
        let change = std::mem::take(&mut left[n]);
        if change == [false; 2] {
            continue;
        }
        part.push((n, change));
        let (x, y) = (n % WIDE, n / WIDE);
        for y in y.saturating_sub(2)..(y + 3).min(TALL) {
            next.extend((x.saturating_sub(2)..(x + 3).min(WIDE)).map(|x| y * WIDE + x));
        }
    }
    part
}
