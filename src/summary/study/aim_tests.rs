//! A simulated match whose missed shots have known aims: rates are those of the attempts, and without the aims they are off by what
//! theory says.

use super::test_matches::Dice;
use super::*;
use crate::evidence::Caution;
use crate::facts::tests::{point, record};
use crate::pattern::parse;
use crate::record::{Finish, Logged, Record, Shot};
use crate::summary::{Whose, summarise};
use crate::tennis::pair::Server;
use crate::tennis::rules::Rules;
use crate::tennis::stroke::{Cell, Column, Miss, Row};
use crate::tennis::{CourtSide, End, Side};

/// What the server does with shot 3: open court, then behind. In a thousand, so many land, and of those so many win the point.
const PLAY: [(usize, usize); 2] = [(600, 850), (900, 620)];

/// How often each was tried, landed, and won.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
struct Truth {
    tried: usize,
    landed: usize,
    won: usize,
}

/// Points served wide from the near end to the deuce court: the receiver is pulled to the camera's left, so that shot 3 to the right
/// goes into the open court and to the left behind. The direction is chosen by lot.
fn simulated(points: u64) -> (Record, [Truth; 2]) {
    let mut dice = Dice(42);
    let mut truth = [Truth::default(); 2];
    let mut r = record("");
    r.about.rules = Rules::drill();
    let cell = |column, row| Some(Cell { column, row });
    for n in 1..=points {
        let way = dice.below(2);
        let (lands, wins) = PLAY[way];
        let landed = dice.below(1000) < lands;
        let won = landed && dice.below(1000) < wins;
        truth[way].tried += 1;
        truth[way].landed += usize::from(landed);
        truth[way].won += usize::from(won);
        let goes = cell([Column::Right, Column::Left][way], Some(Row::Up));
        let shot = |cell| Shot { cell, ..Shot::default() };
        let mut shots = vec![shot(cell(Column::Left, None)), shot(cell(Column::Middle, Some(Row::Down)))];
        shots.push(Shot { cell: goes.filter(|_| landed), aim: goes.filter(|_| !landed), ..Shot::default() });
        let finish = match (landed, won) {
            (false, _) => Finish::UnforcedError,
            (true, true) => Finish::Winner,
            // The receiver's passing shot.
            (true, false) => {
                shots.push(shot(cell(Column::Left, Some(Row::Down))));
                Finish::Winner
            }
        };
        let mut p = point(n, if won { 'A' } else { 'B' }, Some(0), Some(finish), &[]);
        (p.served_by, p.side, p.server_end) = (Some(Server::A), Some(CourtSide::Deuce), Some(End::Near));
        (p.shots, p.logged) = (shots, Some(Logged::Every));
        p.miss = (!landed).then_some(Miss::Long);
        r.points.push(p);
    }
    (r, truth)
}

/// The same as it was logged before there were aims.
fn without_aims(record: &Record) -> Record {
    let mut old = record.clone();
    for shot in old.points.iter_mut().flat_map(|p| &mut p.shots) {
        shot.aim = None;
    }
    old
}

fn asked(record: &Record) -> Findings {
    let text = "[[question]]\nname = \"x\"\nof = \"server\"\nrows = [\"serve plus one\"]";
    let question =
        questions(text, "ours.toml", &crate::pattern::PatternFile::starter().unwrap()).unwrap().remove(0);
    let facets = Facets { whose: Whose::Side(Side::A), ..Facets::default() };
    ask(&Pool::new(vec![record.clone()]), &question, &facets)
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-12, "{a} {b}");
}

#[test]
fn with_aims_the_rates_are_those_of_the_attempts() {
    let (record, truth) = simulated(4000);
    let found = asked(&record);
    assert_eq!(found.sections[0].by, "serve plus one");
    for (row, t) in found.sections[0].rows.iter().zip(truth) {
        assert_eq!((row.tally.points.len(), row.tally.won.len()), (t.tried, t.won), "{}", row.name);
        assert!(!row.cautions.iter().any(|c| matches!(c, Caution::LandedOnly { .. })));
        assert!(!row.says.contains("of those that landed"), "{}", row.says);
    }
    // What was put in: .6 × .85 = .51 into the open court, .9 × .62 = .558 behind.
    for (row, (lands, wins)) in found.sections[0].rows.iter().zip(PLAY) {
        let rate = row.tally.rate.unwrap();
        assert!(rate.interval.holds((lands * wins) as f64 / 1e6), "{}: {rate:?}", row.name);
    }
}

/// Theory: a missed shot is lost, so the rate of those that landed is that of all, divided by the share that landed. Here that turns
/// the answer round.
#[test]
fn without_aims_the_rates_are_off_by_the_share_that_missed() {
    let (record, truth) = simulated(4000);
    let (new, old) = (asked(&record), asked(&without_aims(&record)));
    let rate = |f: &Findings, n: usize| f.sections[0].rows[n].tally.rate.unwrap().rate;
    for (n, t) in truth.iter().enumerate() {
        close(rate(&new, n), rate(&old, n) * t.landed as f64 / t.tried as f64);
    }
    assert!(
        rate(&old, 0) > rate(&old, 1) + 0.15 && rate(&new, 0) < rate(&new, 1),
        "the open court only seemed to pay"
    );
    println!(
        "open court {:.3} of those that landed, {:.3} of all; behind {:.3} and {:.3}",
        rate(&old, 0),
        rate(&new, 0),
        rate(&old, 1),
        rate(&new, 1)
    );
    // It is said, with which way it leans, and the truth is within what is said to be the most.
    assert_eq!(old.sections[0].by, "serve plus one, of those that landed");
    let missed: usize = truth.iter().map(|t| t.tried - t.landed).sum();
    for (n, row) in old.sections[0].rows.iter().enumerate().take(2) {
        assert!(row.says.contains("of those that landed"), "{}", row.says);
        let caution = row.cautions.iter().find(|c| matches!(c, Caution::LandedOnly { .. })).unwrap();
        let Caution::LandedOnly { missed: told, high, low } = *caution else { unreachable!() };
        close(low, 0.0);
        assert_eq!(told, missed);
        assert!(rate(&old, n) - rate(&new, n) <= high && high < 1.0, "{high}");
        assert!(caution.to_string().contains("the rate may be too high by up to"), "{caution}");
    }
}

/// Only a shot that landed has a depth, whatever is known of aims: the words say so, and how far the rate can be off.
#[test]
fn a_depth_is_of_shots_that_landed() {
    let (record, truth) = simulated(1000);
    let text = "[[pattern]]\nname = \"Deep\"\nwon_by = \"server\"\nshots = [{ number = 3, depth = \"deep\" }]\n\
                [[pattern]]\nname = \"Return\"\nwon_by = \"server\"\nshots = [{ number = 2, depth = \"deep\" }]\n";
    let file = parse(text, "ours.toml").unwrap();
    let table = summarise(&[&record], &file.patterns, &Whose::Both);
    let landed: usize = truth.iter().map(|t| t.landed).sum();
    let missed: usize = truth.iter().map(|t| t.tried - t.landed).sum();
    let [deep, returned] = &table.rows[..] else { panic!("two") };
    assert_eq!((deep.happened.points.len(), deep.missed.points.len(), deep.aimed), (landed, missed, false));
    assert_eq!(returned.missed.points.len(), 0, "another shot missed, not the return");
    // Of a question, the words say it, with which way it leans.
    let all = "[[question]]\nname = \"x\"\nof = \"server\"\npatterns = [\"Deep\"]\n";
    let question = questions(all, "ours.toml", &file).unwrap().remove(0);
    let found = ask(&Pool::new(vec![record]), &question, &Facets::default());
    let row = &found.sections[0].rows[0];
    assert!(row.says.contains("“Deep”, of those that landed"), "{}", row.says);
    assert!(row.cautions.iter().any(|c| matches!(c, Caution::LandedOnly { .. })), "{:?}", row.cautions);
}

/// Patterns likewise; and where only some aims are known, the words say so.
#[test]
fn patterns_count_attempts_too() {
    let (record, truth) = simulated(1000);
    let text = "[[pattern]]\nname = \"Open\"\nwon_by = \"server\"\nshots = [{ number = 3, goes = \"open court\" }]\n";
    let patterns = parse(text, "ours.toml").unwrap().patterns;
    let row = |r: &Record| summarise(&[r], &patterns, &Whose::Both).rows.remove(0);
    let new = row(&record);
    assert_eq!((new.happened.points.len(), new.happened.won.len()), (truth[0].tried, truth[0].won));
    assert_eq!((new.cannot_tell.len(), new.missed.points.len(), new.aimed), (0, 0, true));
    let old = row(&without_aims(&record));
    assert_eq!((old.happened.points.len(), old.happened.won.len()), (truth[0].landed, truth[0].won));
    assert_eq!(old.missed.points, old.cannot_tell);
    assert_eq!(old.missed.lost.len(), truth.iter().map(|t| t.tried - t.landed).sum::<usize>());
    let mut some = record;
    for p in some.points.iter_mut().skip(500) {
        p.shots.iter_mut().for_each(|s| s.aim = None);
    }
    assert_eq!(asked(&some).sections[0].by, "serve plus one, of those that landed or whose aim is known");
}

/// Of one player's shots only that player's misses can be among them: what the opponent misses makes no rate too low.
#[test]
fn a_shot_that_the_opponent_missed_is_not_among_the_missed_shots_of_a_player() {
    let (record, _) = simulated(400);
    let text = "[[pattern]]\nname = \"Line\"\nwon_by = \"striker\"\nshot = { lane = \"down the line\" }\n";
    let patterns = parse(text, "ours.toml").unwrap().patterns;
    let old = without_aims(&record);
    let row = |side| summarise(&[&old], &patterns, &Whose::Side(side)).rows.remove(0);
    let [a, b] = [Side::A, Side::B].map(row);
    let missed = old.points.iter().filter(|p| p.miss.is_some()).count();
    assert_eq!((a.missed.points.len(), a.missed.lost.len()), (missed, missed), "all of them were A's");
    assert_eq!(b.missed.points.len(), 0, "B missed none");
    assert!(!b.cannot_tell.is_empty(), "the lines of B's returns, struck in the middle, are not known");
}
