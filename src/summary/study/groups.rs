//! Whether a comparison holds in each group: by who serves, by kind of serve, by match.

use std::collections::BTreeMap;

use super::counts::Counts;
use super::findings::{Group, Strata};
use super::pool::{Brief, Pool};
use super::question::Part;
use crate::evidence::{
    Comparison, Excess, GroupWords, Interval, Percent, Proportion, Reversal, Stratified, compare_excess,
    compare_within, stratified,
};
use crate::facts::PointRef;
use crate::record::printable;
use crate::summary::Tally;
use crate::tennis::Side;

/// Whether whoever is asked about serves.
pub(super) const ROLES: GroupWords = GroupWords {
    by: "who serves",
    every: "both on serve and on return",
    each: "when points on serve and on return are compared apart",
    among: "on serve and on return",
};
const SERVES: GroupWords = GroupWords {
    by: "kind of serve",
    every: "in every kind of serve",
    each: "when each kind of serve is compared by itself",
    among: "in each kind of serve",
};
const MATCHES: GroupWords = GroupWords {
    by: "match",
    every: "in every match",
    each: "when each match is compared by itself",
    among: "in each match",
};

/// On serve, on return, not known.
const ROLE_NAMES: [&str; 3] = ["on serve", "on return", "server unknown"];

/// The fewest points of other games from which an expected rate is computed (our choice).
const OTHERS: usize = 5;

/// What points are told apart by.
pub(super) struct Groups<'p> {
    pool: &'p Pool,
    /// The side asked about in each match.
    asked: Vec<Option<Side>>,
    part: Part,
}

/// A point that counts, or does not, or may.
type Place = (PointRef, Option<bool>);

impl<'p> Groups<'p> {
    pub(super) const fn new(pool: &'p Pool, asked: Vec<Option<Side>>, part: Part) -> Self {
        Self { pool, asked, part }
    }

    fn brief(&self, at: PointRef) -> Brief {
        self.pool.matches[at.record].brief(at.point).copied().unwrap_or_default()
    }

    /// Whether the player whose point it is serves (0) or returns (1); 2 if that is not known. A won or lost point tells whose point
    /// it is, because patterns count for different players.
    fn role(&self, (at, counts): Place, of: Counts) -> usize {
        let b = self.brief(at);
        let whose = match (of, b.winner, counts) {
            (Counts::Won, Some(winner), Some(won)) => Some(if won { winner } else { winner.other() }),
            _ => self.asked[at.record].or(match self.part {
                Part::Server | Part::Player => b.server,
                Part::Receiver => b.server.map(Side::other),
                Part::LastStriker => b.last_by,
            }),
        };
        b.server.zip(whose).map_or(2, |(server, side)| usize::from(server != side))
    }

    /// Compares a row with its other points, separately on serve and on return.
    pub(super) fn compare(&self, this: &Tally, that: &Tally, of: Counts) -> Option<Comparison> {
        let cut = Cut { words: ROLES, groups: 3, of: &|p| Some(self.role(p, of)), name: &|_| String::new() };
        compare_within(&cut.counts(this, that))
    }

    /// Compares a row about the score with its other points. Each point is compared with what the player wins in the other games of
    /// the match, on serve or on return, because earlier points decide the score. `None` if there are too few matches.
    pub(super) fn compare_scores(&self, this: &Tally, that: &Tally, of: Counts) -> Option<Comparison> {
        let mut places: Vec<Vec<(Place, bool, usize, usize)>> = vec![Vec::new(); self.pool.matches.len()];
        for (is_this, tally) in [(true, this), (false, that)] {
            for place in places_of(tally).filter(|p| p.1.is_some()) {
                let game = self.brief(place.0).game;
                places[place.0.record].push((place, is_this, self.role(place, of), game));
            }
        }
        compare_excess(&places.iter().map(|m| excess(m)).collect::<Vec<_>>())
    }

    /// The comparison within groups of each kind; in each match only where that is fair.
    pub(super) fn strata(
        &self,
        when: &str,
        this: &Tally,
        that: &Tally,
        of: Counts,
        by_match: bool,
    ) -> Vec<Strata> {
        // The words of a reversal are of winning.
        if of != Counts::Won {
            return Vec::new();
        }
        let matches = &self.pool.matches;
        let role = |p: Place| self.role(p, of);
        let both = [this, that].iter().flat_map(|t| places_of(t)).any(|p| role(p) == 0)
            && [this, that].iter().flat_map(|t| places_of(t)).any(|p| role(p) == 1);
        let part = |n: usize| if both { format!(", {}", ROLE_NAMES[n]) } else { String::new() };
        let serve = |p: Place| self.brief(p.0).serve.map(|n| usize::from(n == 2) * 3 + role(p));
        let serves = |n: usize| ["first serve", "second serve"][n / 3].to_owned() + &part(n % 3);
        let teams = |n: usize| {
            let side = |s| printable(&matches[n / 3].record.about.side_name(s), 60);
            format!("match {}, {} – {}{}", n / 3 + 1, side(Side::A), side(Side::B), part(n % 3))
        };
        let cuts = [
            Cut { words: ROLES, groups: 3, of: &|p| Some(role(p)), name: &|n| ROLE_NAMES[n].into() },
            Cut { words: SERVES, groups: 6, of: &serve, name: &serves },
            Cut {
                words: MATCHES,
                groups: 3 * matches.len(),
                of: &|p| Some(p.0.record * 3 + role(p)),
                name: &teams,
            },
        ];
        let cuts = if by_match { &cuts[..] } else { &cuts[..2] };
        let mut all: Vec<Strata> = cuts.iter().filter_map(|cut| cut.strata(when, this, that)).collect();
        if let Some((roles, rest)) = all.split_first_mut().filter(|(first, _)| first.by == ROLES.by) {
            for s in rest {
                s.say_no_more_than(roles);
            }
        }
        all
    }
}

impl Strata {
    /// Groups that separate serve and return only repeat what serve and return say, unless they contradict them.
    fn say_no_more_than(&mut self, roles: &Self) {
        let sign = |s: &Self| s.compared.difference.map(|d| d > 0.0);
        if roles.says.is_some() && sign(self) == sign(roles) {
            self.says = None;
            self.groups.clear();
            self.cannot_tell.clear();
        }
    }
}

/// The points of a tally, each with whether it counts.
fn places_of(tally: &Tally) -> impl Iterator<Item = Place> {
    let lists = [(&tally.won, Some(true)), (&tally.lost, Some(false)), (&tally.unknown, None)];
    lists.into_iter().flat_map(|(list, counts)| list.iter().map(move |at| (*at, counts)))
}

/// The points of one match, on serve and on return, with what each was expected to win. Points are left out where the other
/// games have too few.
fn excess(points: &[(Place, bool, usize, usize)]) -> Vec<Excess> {
    let mut wins: BTreeMap<(usize, Option<usize>), [usize; 2]> = BTreeMap::new();
    for ((_, won), _, role, game) in points {
        for key in [(*role, None), (*role, Some(*game))] {
            let sum = wins.entry(key).or_default();
            sum[0] += usize::from(*won == Some(true));
            sum[1] += 1;
        }
    }
    let mut parts: BTreeMap<usize, Excess> = BTreeMap::new();
    for ((_, won), is_this, role, game) in points {
        let ([all, n], [inside, of]) = (wins[&(*role, None)], wins[&(*role, Some(*game))]);
        if n - of < OTHERS {
            continue;
        }
        let expected = (all - inside) as f64 / (n - of) as f64;
        let part = parts.entry(*role).or_insert_with(|| Excess { group: *role, ..Excess::default() });
        let (side, sum) = if *is_this {
            (&mut part.this, &mut part.expected_this)
        } else {
            (&mut part.that, &mut part.expected_that)
        };
        *sum += expected;
        if *won == Some(true) { side.won += 1 } else { side.lost += 1 }
    }
    parts.into_values().collect()
}

/// A way to put points into groups.
struct Cut<'c> {
    words: GroupWords,
    groups: usize,
    of: &'c dyn Fn(Place) -> Option<usize>,
    name: &'c dyn Fn(usize) -> String,
}

impl Cut<'_> {
    /// The numbers of both sides, group by group.
    fn counts(&self, this: &Tally, that: &Tally) -> Vec<(Proportion, Proportion)> {
        let mut counts = vec![(Proportion::default(), Proportion::default()); self.groups];
        for (second, tally) in [(false, this), (true, that)] {
            for place in places_of(tally) {
                let Some(group) = (self.of)(place).and_then(|n| counts.get_mut(n)) else { continue };
                let side = if second { &mut group.1 } else { &mut group.0 };
                match place.1 {
                    Some(true) => side.won += 1,
                    Some(false) => side.lost += 1,
                    None => {}
                }
            }
        }
        counts
    }

    /// The comparison within the groups; `None` if fewer than two groups have points on both sides.
    fn strata(&self, when: &str, this: &Tally, that: &Tally) -> Option<Strata> {
        let counts = self.counts(this, that);
        if counts.iter().filter(|(a, b)| a.n() > 0 && b.n() > 0).count() < 2 {
            return None;
        }
        let compared = stratified(&counts);
        let percent = |p: Proportion| p.rate().map(Percent::of);
        // A reversal is not mentioned if both rates look the same in print.
        let seen = compared.reversal != Reversal::No && percent(compared.this) != percent(compared.that);
        let hidden = self.hidden(&compared, &counts, when);
        let seen = seen || hidden.is_some();
        let says = if seen { hidden.or_else(|| compared.reversal_words(when, self.words)) } else { None };
        let (mut groups, mut cannot_tell) = (Vec::new(), Vec::new());
        if seen {
            let parts = [self.parts(this, &mut cannot_tell), self.parts(that, &mut cannot_tell)];
            let [these, those] = parts;
            groups = (these.into_iter().zip(those).enumerate())
                .filter(|(_, (a, b))| !a.points.is_empty() || !b.points.is_empty())
                .map(|(n, (this, that))| Group { name: (self.name)(n), this, that })
                .collect();
        }
        Some(Strata { by: self.words.by, compared, says, groups, cannot_tell })
    }

    /// That two rates that look the same in print differ on serve and on return: serving alone makes them alike.
    fn hidden(&self, all: &Stratified, counts: &[(Proportion, Proportion)], when: &str) -> Option<String> {
        let (this, that) = (all.this.rate()?, all.that.rate()?);
        let hides = |i: Interval| !i.holds(0.0) && !i.holds(this - that);
        let alike = self.words.by == ROLES.by && Percent::of(this) == Percent::of(that);
        if !alike || !all.difference_interval.is_some_and(hides) {
            return None;
        }
        let both = counts.iter().zip(ROLE_NAMES).filter(|((a, b), _)| a.n() > 0 && b.n() > 0);
        let told = |((a, b), name): (&(Proportion, Proportion), &str)| {
            format!("{name} {} of {}, and {} of the {} others", a.won, a.n(), b.won, b.n())
        };
        let parts = both.map(told).collect::<Vec<_>>().join("; ");
        let (rate, each) = (Percent::of(this), self.words.each);
        Some(format!("{rate} were won {when}, as of the other points, but they differ {each}: {parts}"))
    }

    /// The points of a tally, group by group.
    fn parts(&self, tally: &Tally, cannot_tell: &mut Vec<PointRef>) -> Vec<Tally> {
        let mut parts = vec![Tally::default(); self.groups];
        for place in places_of(tally) {
            match (self.of)(place).and_then(|n| parts.get_mut(n)) {
                Some(part) => part.add(place.0, place.1.into()),
                None => cannot_tell.push(place.0),
            }
        }
        for part in &mut parts {
            part.points.sort();
            part.close();
        }
        parts
    }
}

/// The numbers of a tally.
pub(super) fn of(tally: &Tally) -> Proportion {
    Proportion { won: tally.won.len(), lost: tally.lost.len(), unknown: tally.unknown.len() }
}
