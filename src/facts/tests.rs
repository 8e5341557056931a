//! Tests of the facts, and the small records that other rooms' tests share.

use proptest::prelude::*;

use super::by_score::agreed;
use super::*;
use crate::record::{Finish, Footage, Hand, Logged, Player, Point, Record, Shot};
use crate::tennis::mark::Mark;
use crate::tennis::odds::{Odds, USUAL};
use crate::tennis::pair::Server;
use crate::tennis::possible::Possible;
use crate::tennis::rules::Rules;
use crate::tennis::score::{PointState, SetScore};
use crate::tennis::stroke::{Cell, Column, Depth, Pace, Row, ServeTo, Spin, Stroke, Wing};
use crate::tennis::{CourtSide, End, Side};
use crate::time::MatchTime;

/// A point from 10 n to 10 n + 5 seconds: `winner` A, B or ? for unknown, then faults, finish, tags.
pub(crate) fn point(
    n: u64,
    winner: char,
    faults: Option<u8>,
    finish: Option<Finish>,
    tags: &[&str],
) -> Point {
    Point {
        start: Some(MatchTime::from_secs(10 * n)),
        end: Some(MatchTime::from_secs(10 * n + 5)),
        faults,
        winner: match winner {
            'A' => Some(Side::A),
            'B' => Some(Side::B),
            _ => None,
        },
        finish,
        tags: tags.iter().map(|t| (*t).to_owned()).collect(),
        ..Point::default()
    }
}

/// Holt against Okafor, the winners given one letter a point; one file of an hour.
pub(crate) fn record(winners: &str) -> Record {
    let mut r = Record::default();
    r.about.a = Player::named("Holt");
    r.about.b = Player::named("Okafor");
    r.footage = vec![footage("match.webm", 0, 3600)];
    r.points = winners.chars().zip(1..).map(|(w, n)| point(n, w, None, None, &[])).collect();
    r
}

/// A file that starts at `start` seconds of the match clock and plays for `length`.
pub(crate) fn footage(file: &str, start: u64, length: u64) -> Footage {
    Footage {
        file: file.into(),
        fingerprint: None,
        duration: MatchTime::from_secs(length),
        rate: None,
        rotation: 0,
        start: MatchTime::from_secs(start),
    }
}

/// The first point of a match, which A serves from the near end to the deuce court, both right-handed, every shot
/// logged. Shots part at `/`; of each: `wide`, `body`, `T`; the third as the camera sees it, `left`, `middle`, `right`;
/// `short`, `mid`, `deep`; `fh`, `bh`; `slice`, `topspin`, `flat`, `slow`, `fast`; `volley`, `overhead`, `lob`, `drop`; `approach`; `?`
/// when nothing was seen.
pub(crate) fn rally(winner: char, finish: Option<Finish>, balls: &str) -> Record {
    let mut r = record("");
    r.about.a.hand = Some(Hand::Right);
    r.about.b.hand = Some(Hand::Right);
    let shots = balls.split('/').enumerate().map(|(n, words)| ball(n, words)).collect();
    let logged = Some(Logged::Every);
    r.points.push(Point { shots, logged, ..point(1, winner, Some(0), finish, &[]) });
    r
}

/// One shot in words, the `n`th from 0.
pub(crate) fn ball(n: usize, words: &str) -> Shot {
    let mut shot = Shot::default();
    let half = if n.is_multiple_of(2) { End::Far } else { End::Near };
    for word in words.split_whitespace() {
        match word {
            "wide" => place(&mut shot, ServeTo::Wide.third(End::Near, CourtSide::Deuce)),
            "T" => place(&mut shot, ServeTo::T.third(End::Near, CourtSide::Deuce)),
            "left" => place(&mut shot, Column::Left),
            "body" | "middle" => place(&mut shot, Column::Middle),
            "right" => place(&mut shot, Column::Right),
            "short" | "mid" | "deep" => {
                let depth = Depth::WORDS.iter().find(|d| d.0 == word).unwrap().1;
                let row = Row::ALL.into_iter().find(|r| Depth::of(*r, half) == depth);
                shot.cell.as_mut().expect("the third comes before the depth").row = row;
            }
            "fh" => shot.wing = Some(Wing::Forehand),
            "bh" => shot.wing = Some(Wing::Backhand),
            "volley" => shot.stroke = Some(Stroke::Volley),
            "overhead" => shot.stroke = Some(Stroke::Overhead),
            "lob" => shot.stroke = Some(Stroke::Lob),
            "drop" => shot.stroke = Some(Stroke::DropShot),
            "slow" => shot.pace = Some(Pace::Slow),
            "fast" => shot.pace = Some(Pace::Fast),
            "approach" => shot.approach = true,
            "?" => return Shot::default(),
            spin => shot.spin = Some(Spin::WORDS.iter().find(|s| s.0 == spin).unwrap().1),
        }
    }
    if n > 0 && shot.stroke.is_none() {
        shot.stroke = Some(Stroke::Groundstroke);
    }
    shot
}

fn place(shot: &mut Shot, column: Column) {
    shot.cell = Some(Cell { column, row: None });
}

/// The facts of one point alone.
pub(crate) fn only(r: &Record) -> PointFacts {
    facts(r).remove(0)
}

#[test]
fn a_point_in_words() {
    let mut r = record("AAB");
    r.points[2] = point(3, 'B', Some(1), Some(Finish::UnforcedError), &["wide serve", "drop shot"]);
    r.points.push(point(4, '?', None, None, &[]));
    let told = |n: usize| words_of(&r, &facts(&r)[n]);
    assert_eq!(
        told(2),
        "Holt serves, 30–0, deuce court, second serve, drop shot, wide serve; Okafor wins, unforced error"
    );
    assert_eq!(told(3), "Holt serves, 30–15, ad court; winner not known");
    assert_eq!(heading_of(&r, &facts(&r)[2]), "point 3: Holt serves at 0–0, 30–0");
}

#[test]
fn an_unknown_winner_leaves_known_what_must_be() {
    let f = facts(&record("A?AAAAA"));
    assert!(f[1].score_known);
    assert_eq!((f[2].score_known, f[2].called), (false, None));
    assert_eq!(f[2].server, Some(Side::A), "the game cannot be over yet");
    assert_eq!(f[2].court, Some(CourtSide::Deuce));
    assert_eq!(f[2].break_point, Some(false));
    assert_eq!(f[3].game_point, None, "40–0 or 30–15");
    assert_eq!(f[4].server, None, "the game may be over");
    assert_eq!(f[4].set, Some(1));
}

#[test]
fn points_that_show_the_match_was_not_over_settle_the_score() {
    let mut r = record("AAA?AAAAA");
    r.about.rules = Rules { best_of: 1, ..Rules::default() };
    r.about.rules.set.games = 1;
    r.about.rules.set.tie_break = None;
    let f = facts(&r);
    // 40–0, unknown: a next point at 40–15 or 15–0 of the next game.
    assert_eq!(f[4].server, None);
    assert_eq!(f[3].game_point, Some(true));
}

#[test]
fn after_the_match_nothing_is_known() {
    let f = facts(&record(&"A".repeat(50)));
    assert!(f[47].score_known);
    assert_eq!(f[47].match_point, Some(true));
    assert_eq!((f[48].score_known, f[48].server), (false, None));
}

#[test]
fn serve_and_striker_follow_from_faults_and_finish() {
    let mut r = record("AAAA");
    r.points = [
        point(1, 'A', Some(0), Some(Finish::Ace), &[]),
        point(2, 'B', Some(2), Some(Finish::DoubleFault), &[]),
        point(3, 'B', None, Some(Finish::DoubleFault), &[]),
        point(4, 'B', None, Some(Finish::UnforcedError), &[]),
        point(5, '?', Some(1), Some(Finish::Winner), &[]),
    ]
    .into();
    let f = facts(&r);
    assert_eq!(f.iter().map(|f| f.serve).collect::<Vec<_>>(), [Some(1), Some(2), Some(2), None, Some(2)]);
    let by: Vec<_> = f.iter().map(|f| f.finish_by).collect();
    assert_eq!(by, [Some(Side::A), Some(Side::A), Some(Side::A), Some(Side::A), None]);
}

#[test]
fn without_any_winner_the_room_stays_quick_and_honest() {
    let f = facts(&record(&"?".repeat(400)));
    assert!(f[0].score_known && !f[399].score_known);
    assert_eq!(f[399].server, None);
}

/// Importance, 0.6 on either serve: at 4–4, 30–40 in the first of three sets it is 9/52 (Morris 1977, recomputed exactly).
#[test]
fn importance_follows_from_the_score() {
    let games: String = (0..8).map(|n| if n % 2 == 0 { "AAAA" } else { "BBBB" }).collect();
    let f = facts(&record(&(games + "ABABBB")));
    let at = |n: usize| f[n].importance.unwrap();
    assert_eq!(f[37].called, Some(Call::points(2, 3)));
    assert!((at(37) - 9.0 / 52.0).abs() < 1e-9, "{}", at(37));
    assert_eq!(f[37].important, Some(true));
    let important = f.iter().filter(|f| f.important == Some(true)).count();
    assert!((10..20).contains(&important), "{important} of {}", f.len());
    assert_eq!(f.iter().filter(|f| f.important.is_none()).count(), 0);
    let least =
        f.iter().filter(|f| f.important == Some(true)).map(|f| f.importance.unwrap()).fold(1.0, f64::min);
    assert!(f.iter().all(|f| f.important == Some(f.importance.unwrap() >= least - 1e-12)));
}

#[test]
fn importance_is_unknown_where_the_score_is() {
    let f = facts(&record("A?A"));
    assert_eq!((f[2].importance, f[2].important), (None, None));
    let mut drill = record("ABAB");
    drill.about.rules = Rules::drill();
    let f = facts(&drill);
    assert!(f.iter().all(|f| f.important.is_none() && f.court.is_none() && f.standing.is_none()));
    assert!(facts(&record("")).is_empty());
}

#[test]
fn a_mark_makes_the_score_known_again() {
    let mut r = record("A?AA");
    r.points[3].score_before = Some(Mark { games: [0, 1], points: [2, 1], ..Mark::default() });
    let f = facts(&r);
    assert_eq!((f[2].score_known, f[3].score_known), (false, true));
    assert_eq!((f[3].called, f[3].server), (Some(Call::points(1, 2)), Some(Side::B)));
    assert_eq!(f[3].break_point, Some(false));
}

#[test]
fn what_was_seen_of_a_point_comes_before_what_follows() {
    let mut r = record("AAABBBAA");
    r.about.rules = Rules::named("no-ad-best-of-3").unwrap();
    let f = facts(&r);
    assert_eq!((f[6].court, f[6].break_point, f[6].game_point), (None, Some(true), Some(true)));
    r.points[6].side = Some(CourtSide::Ad);
    r.points[1].replayed = true;
    r.points[2].served_by = Some(Server::B);
    let f = facts(&r);
    assert_eq!(f[6].court, Some(CourtSide::Ad));
    assert_eq!((f[2].called, f[2].server), (Some(Call::points(0, 1)), Some(Side::B)));
    assert_eq!(f[3].server, Some(Side::A));
}

/// Scores worked out by two counts beside each other, one of what is known and one of all that is possible, with odds
/// made anew.
fn by_two_counts(r: &Record) -> Vec<(PointState, bool, Option<f64>)> {
    let mut possible = Possible::new(r.about.setup());
    let odds = Odds::new(r.about.rules, [USUAL; 2]);
    let states = r.replay().states;
    let both = r.points.iter().zip(states).enumerate();
    both.map(|(number, (point, counted))| {
        let played = point.played();
        if let Some(mark) = played.score_before {
            let _ = possible.mark(mark, number > 0);
        }
        let before = possible.states(&played);
        possible.take(&played);
        let certain = agreed(&before, Clone::clone);
        let importance = odds.as_ref().and_then(|o| agreed(&before, |s| o.importance(s)).flatten());
        (certain.clone().unwrap_or(counted), certain.is_some(), importance)
    })
    .collect()
}

proptest! {
    #[test]
    fn one_count_says_what_two_say(
        winners in prop::collection::vec(prop_oneof![40 => "A", 40 => "B", 1 => "\\?"], 0..260),
        marks in prop::collection::vec((any::<prop::sample::Index>(), [0..8_u16, 0..8], [0..5_u16, 0..5], 0..3_usize), 0..4),
        rules in prop::sample::select(vec!["best-of-3", "best-of-5", "no-ad-best-of-3"]),
        served in prop::collection::vec((any::<prop::sample::Index>(), any::<bool>()), 0..4),
    ) {
        let mut r = record(&winners.concat());
        r.about.rules = Rules::named(rules).unwrap();
        let all = r.points.len().max(1);
        for (at, games, points, sets) in marks {
            // At the end of a match no point follows: such a mark is passed over, which is tested with the replay.
            let sets = sets.min(usize::from(r.about.rules.sets_to_win()) - 1);
            let sets = vec![SetScore { games: [6, 4], tie_break: None }; sets];
            let mark = Mark { sets, games, points, ..Mark::default() };
            if let Some(point) = r.points.get_mut(at.index(all)) {
                point.score_before = Some(mark);
            }
        }
        for (at, replayed) in served {
            let Some(point) = r.points.get_mut(at.index(all)) else { continue };
            (point.replayed, point.served_by) = (replayed, (!replayed).then_some(Server::B));
        }
        let told: Vec<_> = facts(&r).into_iter().map(|f| (f.state, f.score_known, f.importance)).collect();
        prop_assert_eq!(told, by_two_counts(&r));
    }
}
