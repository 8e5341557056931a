//! Going through the points and counting.

use super::asked;
use super::table::{Item, Missed, Most, Numbers, Part, Row, Share, Value};
use super::what::{Number, Topic};
use crate::facts::{PointFacts, PointRef};
use crate::pattern::Answer;
use crate::record::Kind;
use crate::summary::Whose;
use crate::summary::study::{Match, Pool};
use crate::tennis::Side;

/// Counts all numbers of the matches in which the player asked about plays. That player comes first, and the opponents
/// second; where both are asked about, the first-named and the second-named.
pub fn numbers(pool: &Pool, whose: &Whose) -> Numbers {
    numbers_in(pool, whose, None)
}

/// As [`numbers`], of one match alone where its place in the pool is given.
pub fn numbers_in(pool: &Pool, whose: &Whose, record: Option<usize>) -> Numbers {
    let played = Played::of(pool, whose, record);
    let mut sets: Vec<usize> = played.points.iter().filter_map(|p| p.facts.set).collect();
    sets.sort_unstable();
    sets.dedup();
    let parts = std::iter::once(None).chain(sets.into_iter().map(Some));
    Numbers {
        players: players(pool, whose, record),
        parts: parts.map(|set| played.part(set)).collect(),
        no_set: played.points.iter().filter(|p| p.facts.set.is_none()).map(|p| p.at).collect(),
        replayed: played.replayed,
    }
}

/// Whose columns they are.
fn players(pool: &Pool, whose: &Whose, record: Option<usize>) -> [String; 2] {
    let names = matches(pool, whose, record).map(|(_, m)| {
        let first = first(m, whose);
        [first, first.other()].map(|side| m.record.about.side_name(side))
    });
    let mut columns = [Vec::new(), Vec::new()];
    for pair in names {
        for (column, name) in columns.iter_mut().zip(pair) {
            if !column.contains(&name) {
                column.push(name);
            }
        }
    }
    let [ours, theirs] = columns;
    let opponents = |n: usize| format!("{n} opponents");
    let many = |all: Vec<String>, words: &dyn Fn(usize) -> String| match <[String; 1]>::try_from(all) {
        Ok([one]) => one,
        Err(all) => words(all.len()),
    };
    [many(ours, &|n| format!("{n} players")), many(theirs, &opponents)]
}

/// The matches that count, with their places.
fn matches<'p>(
    pool: &'p Pool,
    whose: &Whose,
    record: Option<usize>,
) -> impl Iterator<Item = (usize, &'p Match)> {
    let all = pool.matches().iter().enumerate().map(|(n, m)| (n, &**m));
    all.filter(move |(n, m)| record.is_none_or(|r| r == *n) && whose.is_in(&m.record))
}

/// Who is in the first column of a match.
fn first(m: &Match, whose: &Whose) -> Side {
    whose.side(&m.record).unwrap_or(Side::A)
}

/// A point that counts.
struct Point<'p> {
    at: PointRef,
    facts: &'p PointFacts,
    /// The sides of the two columns.
    sides: [Side; 2],
    /// Whether play before it was not recorded, or was another match.
    after_gap: bool,
    /// Whether games were recorded as they were played. In points of many matches, somebody chose which points to keep.
    whole_games: bool,
}

/// The points that count, in the order played.
struct Played<'p> {
    points: Vec<Point<'p>>,
    replayed: Vec<PointRef>,
}

impl<'p> Played<'p> {
    fn of(pool: &'p Pool, whose: &Whose, record: Option<usize>) -> Self {
        let mut all = Self { points: Vec::new(), replayed: Vec::new() };
        for (record, m) in matches(pool, whose, record) {
            let first = first(m, whose);
            for facts in &m.facts {
                let at = PointRef { record, point: facts.number };
                if facts.replayed {
                    all.replayed.push(at);
                    continue;
                }
                let marked = m.record.points.get(facts.number).is_some_and(|p| p.score_before.is_some());
                let whole_games = m.record.about.kind() != Kind::Points;
                let after_gap = facts.number == 0 || !whole_games || marked;
                all.points.push(Point { at, facts, sides: [first, first.other()], after_gap, whole_games });
            }
        }
        all
    }

    /// The numbers of one set, or of all.
    fn part(&self, set: Option<usize>) -> Part {
        let missed = [0, 1].map(|column| self.missed(set, column));
        let mut part = Part { set, rows: self.rows(set), missed };
        let title = part.title(Topic::Lines);
        for row in part.rows.iter_mut().filter(|r| r.about() == Topic::Lines) {
            row.topic = title.into();
        }
        part
    }

    fn missed(&self, set: Option<usize>, column: usize) -> Missed {
        let mut missed = Missed::default();
        for shot in self.within(set).filter_map(|p| asked::missed(p.facts, p.sides[column])) {
            missed.add(shot.direction.is_some(), shot.wing);
        }
        missed
    }

    fn rows(&self, set: Option<usize>) -> Vec<Row> {
        let one = |number, column| match number {
            Number::MostInARow => Value::Most(self.most_in_a_row(set, column)),
            Number::LongestRally => Value::Most(self.longest(set, column)),
            number => Value::Share(self.share(number, set, column)),
        };
        Number::all().into_iter().map(|n| Row::new(n, [one(n, 0), one(n, 1)])).collect()
    }

    fn within(&self, set: Option<usize>) -> impl Iterator<Item = &Point<'p>> {
        self.points.iter().filter(move |p| is_in(p, set))
    }

    fn share(&self, number: Number, set: Option<usize>, column: usize) -> Share {
        let mut share = Share::default();
        let mut add = |item: Item, answer: Answer| match answer {
            Answer::Yes => share.counted.push(item),
            Answer::No => share.others.push(item),
            Answer::Unknown => share.unknown.push(item),
        };
        let games = matches!(number, Number::GamesHeld | Number::GamesBroken);
        for p in self.within(set).filter(|p| p.whole_games || !games) {
            let side = p.sides[column];
            if let Number::Lines(wing, lane) = number {
                for (shot, answer) in asked::shots(wing, lane, p.facts, side) {
                    add(Item { at: p.at, shot }, answer);
                }
            } else if let Some(answer) = asked::point(number, p.facts, side) {
                add(p.at.into(), answer);
            }
        }
        share.close(number)
    }

    fn longest(&self, set: Option<usize>, column: usize) -> Most {
        let mut most = Most::default();
        let mut unknown = Vec::new();
        for p in self.within(set) {
            match (asked::is(p.facts.winner, p.sides[column]), p.facts.length) {
                (Answer::Yes, Some(length)) if length > most.value => {
                    (most.value, most.points) = (length, vec![p.at.into()]);
                }
                (Answer::Yes, Some(length)) if length == most.value && length > 0 => {
                    most.points.push(p.at.into());
                }
                (Answer::No, _) | (Answer::Yes, Some(_)) => {}
                _ => unknown.push((p.at, *p.facts.lengths().end())),
            }
        }
        // What is known to be shorter is not among them, whoever won it.
        unknown.retain(|(_, longest)| *longest >= most.value.max(1));
        most.unknown = unknown.into_iter().map(|(at, _)| at.into()).collect();
        most
    }

    /// The first of the longest. What is not known, and what was not recorded, ends a row.
    fn most_in_a_row(&self, set: Option<usize>, column: usize) -> Most {
        let (mut most, mut row): (Most, Vec<Item>) = (Most::default(), Vec::new());
        for p in &self.points {
            if p.after_gap || !is_in(p, set) || p.facts.winner != Some(p.sides[column]) {
                row.clear();
            }
            if !is_in(p, set) {
                continue;
            }
            match p.facts.winner {
                None => most.unknown.push(p.at.into()),
                Some(winner) if winner == p.sides[column] => row.push(p.at.into()),
                Some(_) => {}
            }
            if row.len() > most.value {
                (most.value, most.points) = (row.len(), row.clone());
            }
        }
        most
    }
}

fn is_in(p: &Point<'_>, set: Option<usize>) -> bool {
    set.is_none() || p.facts.set == set
}
