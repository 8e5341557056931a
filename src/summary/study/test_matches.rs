//! Matches for tests: charted, made up shot by shot, and anything at all.

use std::cmp::Ordering;

use proptest::prelude::*;

use super::facets::{Facets, Role};
use crate::facts::facts;
use crate::facts::tests::{point, record};
use crate::record::{Finish, Hand, Logged, Point, Record, Shot};
use crate::summary::Whose;
use crate::tennis::pair::Server;
use crate::tennis::score::Called;
use crate::tennis::scorer::Scorer;
use crate::tennis::stroke::{Cell, Column, Miss, Row, ServeTo, Stroke, VolleyKind, Wing};
use crate::tennis::{CourtSide, Side};

/// A match in which each point is a serve there, after so many faults, and won by Holt or not.
pub(super) fn served(points: &[(ServeTo, u8, bool)]) -> Record {
    served_by(None, points)
}

/// The same, each of them served by this player.
pub(super) fn served_by(by: Option<Server>, points: &[(ServeTo, u8, bool)]) -> Record {
    let mut r = record("");
    r.about.rules.best_of = 5;
    r.points = (points.iter().zip(1..))
        .map(|((_, faults, won), n)| Point {
            shots: vec![Shot::default()],
            logged: Some(Logged::Every),
            served_by: by,
            ..point(n, if *won { 'A' } else { 'B' }, Some(*faults), Some(Finish::Ace), &[])
        })
        .collect();
    // The keys stand for places as the camera sees them: the score says from where it is served.
    for (f, (to, ..)) in facts(&r).iter().zip(points) {
        let column = to.third(f.server_end.unwrap(), f.court.unwrap());
        r.points[f.number].shots[0].cell = Some(Cell { column, row: None });
    }
    r
}

/// So many of a kind, the won ones first.
pub(super) fn kind(to: ServeTo, faults: u8, won: usize, n: usize) -> Vec<(ServeTo, u8, bool)> {
    (0..n).map(|i| (to, faults, i < won)).collect()
}

fn any_cell() -> impl Strategy<Value = Option<Cell>> {
    prop::option::of(
        (0..3usize, prop::option::of(0..3usize))
            .prop_map(|(c, r)| Cell { column: Column::ALL[c], row: r.map(|r| Row::ALL[r]) }),
    )
}

fn any_shot() -> impl Strategy<Value = Shot> {
    let kind = prop::sample::select(vec![None, None, Some(VolleyKind::Half), Some(VolleyKind::Swinging)]);
    let wing = prop::sample::select(vec![None, Some(Wing::Forehand), Some(Wing::Backhand)]);
    let stroke = prop::option::of((0..5usize).prop_map(|s| Stroke::WORDS[s].1));
    let yes = || prop::bool::weighted(0.1);
    (any_cell(), any_cell(), wing, stroke, kind, [yes(), yes(), yes()]).prop_map(
        |(cell, aim, wing, stroke, volley, [approach, at_net, net_cord])| Shot {
            stroke,
            volley,
            wing,
            approach,
            at_net,
            net_cord,
            cell,
            aim,
            ..Shot::default()
        },
    )
}

/// Points with anything known and unknown: winner, faults, finish, how it was missed, shots and whether all were logged, a serve that
/// did not come back, lets, penalties, and play that was played again.
pub(crate) fn any_record() -> impl Strategy<Value = Record> {
    let finish = prop::option::of(prop::sample::select(Finish::ALL.to_vec()));
    let miss = prop::sample::select(vec![None, None, Some(Miss::Net), Some(Miss::Long), Some(Miss::Wide)]);
    let seldom = || prop::sample::select([&[None; 9][..], &[Some(Side::A)]].concat());
    let yes = || prop::bool::weighted(0.1);
    let told =
        ("[AAABBB?]", prop::option::of(0..3u8), finish, miss, prop::collection::vec(any_shot(), 0..11));
    let more = (any::<bool>(), [yes(), yes(), yes()], [seldom(), seldom()], prop::option::of(0..2u8));
    prop::collection::vec((told, more), 0..70).prop_map(|all| {
        let mut r = record("");
        r.points = (all.into_iter().zip(1..))
            .map(|((told, more), n)| {
                let (winner, faults, finish, miss, shots) = told;
                let (every, [also_wide, unreturned, replayed], [penalty, time_violation], lets) = more;
                Point {
                    replayed,
                    miss,
                    also_wide,
                    unreturned,
                    lets,
                    penalty,
                    time_violation,
                    shots,
                    logged: every.then_some(Logged::Every),
                    ..point(n, winner.chars().next().unwrap(), faults, finish, &[])
                }
            })
            .collect();
        r
    })
}

pub(crate) fn any_facets() -> impl Strategy<Value = Facets> {
    let whose = prop::sample::select(vec![Whose::Both, Whose::Side(Side::B), Whose::Named("Holt".into())]);
    let court = prop::sample::select(vec![None, None, Some(CourtSide::Deuce), Some(CourtSide::Ad)]);
    let standing =
        prop::sample::select(vec![None, None, None, Some(Ordering::Less), Some(Ordering::Greater)]);
    let few = || prop::sample::select(vec![None, None, None, Some(1), Some(2)]);
    let important = prop::sample::select(vec![None, None, Some(true), Some(false)]);
    let role = prop::sample::select(vec![None, None, None, Some(Role::Serving), Some(Role::Returning)]);
    (whose, court, standing, few(), few(), important, role).prop_map(
        |(whose, court, standing, set, serve, important, role)| Facets {
            whose,
            court,
            standing,
            set: set.map(usize::from),
            serve,
            important,
            role,
            ..Facets::default()
        },
    )
}

/// Matches of best of three to their end in which whoever serves wins a point with this chance in a thousand, given how the
/// server stands in the game: nothing else makes a difference.
pub(crate) fn played_out(number: u64, chance: impl Fn(Side, Ordering) -> usize) -> Record {
    let mut dice = Dice(number.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5bf0_3635);
    let mut r = record("");
    let mut score = Scorer::new(r.about.setup());
    while !score.finished() {
        let state = score.state();
        let (s, o) = (state.server.index(), state.server.other().index());
        let stands = match state.called {
            Called::Points(p) => p[s].cmp(&p[o]),
            Called::TieBreak(p) => p[s].cmp(&p[o]),
            Called::Advantage(side) if side == state.server => Ordering::Greater,
            Called::Advantage(_) => Ordering::Less,
            Called::Deuce | Called::Deciding | Called::NoScore => Ordering::Equal,
        };
        let held = dice.below(1000) < chance(state.server, stands);
        let winner = if held { state.server } else { state.server.other() };
        let faults = u8::from(dice.below(3) == 0);
        let letter = if winner == Side::A { 'A' } else { 'B' };
        r.points.push(point(r.points.len() as u64 + 1, letter, Some(faults), None, &[]));
        score.award(winner);
    }
    r
}

/// Numbers that look random and are the same each time (Knuth's MMIX constants).
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }
}

/// Matches of 120 points in which much is known: the same number gives the same match.
pub(crate) fn charted(number: u64) -> Record {
    let mut dice = Dice(number);
    let mut r = record("");
    r.about.rules.best_of = 5;
    for side in [&mut r.about.a, &mut r.about.b] {
        side.hand = Some(Hand::Right);
    }
    r.points = (1..=120).map(|n| charted_point(n, &mut dice)).collect();
    r
}

fn charted_point(n: u64, dice: &mut Dice) -> Point {
    let length = 1 + dice.below(11);
    let faults = u8::from(dice.below(3) == 0);
    let mut shots: Vec<Shot> = (0..length)
        .map(|_| Shot {
            cell: Some(Cell { column: Column::ALL[dice.below(3)], row: Some(Row::ALL[dice.below(3)]) }),
            wing: Some([Wing::Forehand, Wing::Backhand][dice.below(2)]),
            stroke: Some(Stroke::Groundstroke),
            ..Shot::default()
        })
        .collect();
    let column = [Column::Left, Column::Left, Column::Middle, Column::Right][dice.below(4)];
    shots[0] = Shot { cell: Some(Cell { column, row: None }), ..Shot::default() };
    // Luck turns every seven points, and lasts longer where the first serve is in.
    let lucky = if (n / 7).is_multiple_of(2) { ['A', 'B'] } else { ['B', 'A'] };
    let winner = match dice.below(200) {
        0 => '?',
        b => lucky[usize::from(b >= if faults == 0 { 130 } else { 90 })],
    };
    let finish = [Finish::Winner, Finish::UnforcedError, Finish::ForcedError][dice.below(3)];
    let logged = (dice.below(12) > 0).then_some(Logged::Every);
    Point { shots, logged, ..point(n, winner, Some(faults), Some(finish), &[]) }
}
