//! The scoresheet that the ribbon shows: which points make a game, which games a set, and the words for each. No widgets.
//!
//! The score below a game follows from its own last point. So a gap in the record, or a winner that nobody logged, never shows a
//! score that was not reached.

use std::sync::Arc;

use crate::facts::{PointFacts, players};
use crate::pattern::Answer;
use crate::record::{Kind, Outcome, Record, Shared};
use crate::tennis::Side;
use crate::tennis::rules::{Play, SetForm};
use crate::tennis::score::{Called, PointState};

/// What the ribbon shows of one point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Who won.
    pub winner: Option<Side>,
    /// Shots, if known; 0 in a double fault.
    pub length: Option<usize>,
    /// Whether the filter keeps it.
    pub kept: Answer,
    /// Whether something speaks against the score there.
    pub doubted: bool,
    /// What a screen reader says.
    pub spoken: String,
}

/// A game, a tie-break, or ten rallies of a drill.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Game {
    /// How many points it has in the record.
    pub points: usize,
    /// The score after it, A first; while it is played, the score in it. `?` when that is not known.
    pub below: String,
    /// The receiver who won it.
    pub broken_by: Option<Side>,
}

/// A set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Set {
    /// `Set 1`.
    pub title: String,
    /// Its score, A first: `6–3`, `7–6(5)`, `2–3 so far`.
    pub score: String,
    /// Its games.
    pub games: Vec<Game>,
}

/// The rallies of a drill that share a bed.
const TOGETHER: usize = 10;

/// The sets of a match. `after` is the score after the last point.
pub fn sets(record: &Record, facts: &Shared<PointFacts>, after: &PointState) -> Vec<Set> {
    if record.about.counted_by().play == Play::Drill {
        let title = if record.about.kind() == Kind::Points { "Points of many matches" } else { "Rallies" };
        return drill(facts.len(), title);
    }
    let all = facts.len();
    let is_last = |part: &[Arc<PointFacts>]| part.last().is_some_and(|f| f.number + 1 == all);
    let game = |g: &[Arc<PointFacts>]| game(record, g, is_last(g).then_some(after));
    facts
        .held()
        .chunk_by(|a, b| a.state.set == b.state.set)
        .map(|set| {
            let games = set.chunk_by(|a, b| a.state.game == b.state.game).map(game).collect();
            Set { title: title(record, set), score: score(record, set, is_last(set)), games }
        })
        .collect()
}

/// Rallies without a score, in tens: below each ten, how many there were by then.
fn drill(all: usize, title: &str) -> Vec<Set> {
    let games = (0..all).step_by(TOGETHER).map(|from| {
        let points = TOGETHER.min(all - from);
        Game { points, below: (from + points).to_string(), broken_by: None }
    });
    let games: Vec<_> = games.collect();
    let set = Set { title: title.into(), score: all.to_string(), games };
    if all == 0 { Vec::new() } else { vec![set] }
}

/// Who won the game with this point, if it is certain that somebody did.
fn won_game(record: &Record, f: &PointFacts) -> Option<Side> {
    let counts = f.score_known && !record.points[f.number].replayed;
    f.winner.filter(|w| counts && f.state.game_point[w.index()])
}

fn game(record: &Record, points: &[Arc<PointFacts>], after: Option<&PointState>) -> Game {
    let Some(end) = points.last() else { return Game::default() };
    let won = won_game(record, end);
    let below = match (won, end.state.called, after) {
        _ if !end.score_known => "?".into(),
        (Some(side), Called::TieBreak(points), _) => format!("tie-break {}", figures(plus(points, side))),
        (Some(side), _, _) => figures(plus(end.state.games, side)),
        (None, _, Some(after)) => in_game(after.called),
        (None, called, None) => format!("{}…", in_game(called)),
    };
    let broken_by =
        won.filter(|w| !end.state.in_tie_break() && end.server.is_some_and(|server| server != *w));
    Game { points: points.len(), below, broken_by }
}

fn title(record: &Record, set: &[Arc<PointFacts>]) -> String {
    let Some(first) = set.first() else { return String::new() };
    let rules = record.about.rules;
    let won = |side| first.state.sets.iter().filter(|s| s.winner() == side).count();
    let enough = usize::from(rules.sets_to_win());
    match rules.form(first.state.set) {
        _ if won(Side::A) >= enough || won(Side::B) >= enough => "After the match".into(),
        SetForm::MatchTieBreak { .. } => "Match tie-break".into(),
        SetForm::Set(_) => format!("Set {}", first.state.set + 1),
    }
}

fn score(record: &Record, set: &[Arc<PointFacts>], last: bool) -> String {
    let Some(end) = set.last() else { return String::new() };
    if !end.score_known {
        return "score not known".into();
    }
    let (state, won) = (&end.state, won_game(record, end));
    let games = won.map_or(state.games, |side| plus(state.games, side));
    match (won.filter(|w| state.set_point[w.index()]), state.called) {
        (Some(w), Called::TieBreak(points)) => {
            let points = plus(points, w);
            match record.about.rules.form(state.set) {
                SetForm::MatchTieBreak { .. } => figures(points),
                SetForm::Set(_) => format!("{}({})", figures(games), points[w.other().index()]),
            }
        }
        (Some(_), _) => figures(games),
        (None, _) if !last => format!("{}…", figures(games)),
        (None, _) => format!("{}{}", figures(games), ended(record.about.outcome)),
    }
}

const fn ended(outcome: Option<Outcome>) -> &'static str {
    match outcome {
        None => " so far",
        Some(Outcome::Retired(_)) => ", retired",
        Some(Outcome::Defaulted(_)) => ", defaulted",
        Some(Outcome::Unfinished) => ", unfinished",
    }
}

fn plus<T: From<u8> + Copy + std::ops::AddAssign>(mut score: [T; 2], side: Side) -> [T; 2] {
    score[side.index()] += T::from(1);
    score
}

fn figures<T: std::fmt::Display>([a, b]: [T; 2]) -> String {
    format!("{a}–{b}")
}

/// The score in a game, A first.
fn in_game(called: Called) -> String {
    let part = |side| Some(called.of(side)).filter(|t| !t.is_empty()).unwrap_or_else(|| "40".into());
    figures([part(Side::A), part(Side::B)])
}

/// What a screen reader says of a point: `point 37: set 2, 3–1, 40–15, Holt serves, 7 shots, won by Holt, break`, the
/// server's games and points first.
pub fn spoken(record: &Record, f: &PointFacts) -> String {
    let about = record.about_at(f.number);
    let name = |side| about.side_name(side);
    let mut parts = Vec::new();
    parts.extend(players(record, f));
    if record.about.counted_by().play == Play::Drill {
        parts.push(f.called.map_or_else(|| "no score".to_owned(), |c| c.to_string()));
    } else {
        parts.push(f.set.map_or_else(|| "set not known".into(), |n| format!("set {n}")));
        match (f.called, f.server, f.score_known) {
            (Some(call), Some(s), true) => {
                parts.push(figures([f.state.games[s.index()], f.state.games[s.other().index()]]));
                parts.push(call.to_string());
            }
            (Some(call), ..) => parts.push(format!("games not known, {call}")),
            (None, ..) => parts.push("score not known".into()),
        }
    }
    parts.push(f.server.map_or_else(
        || "server not known".into(),
        |side| format!("{} serves", about.name_of(side, f.server_partner)),
    ));
    parts.push(match f.length {
        None => "length not known".into(),
        Some(0) => "no serve in play".into(),
        Some(1) => "1 shot".into(),
        Some(n) => format!("{n} shots"),
    });
    parts.push(f.winner.map_or_else(|| "winner not known".into(), |w| format!("won by {}", name(w))));
    parts.extend(f.finish.map(|x| x.words().to_owned()));
    let broke = won_game(record, f).is_some_and(|w| f.break_point == Some(true) && f.server != Some(w));
    parts.extend(broke.then(|| "break".to_owned()));
    format!("point {}: {}", f.number + 1, parts.join(", "))
}

/// The same of a point that a filter does not keep.
pub fn filtered(spoken: String, kept: Answer) -> String {
    match kept {
        Answer::Yes => spoken,
        Answer::No => format!("{spoken}; not in the filter"),
        Answer::Unknown => format!("{spoken}; may be in the filter"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::facts::tests::{rally, record};
    use crate::record::Finish;
    use crate::tennis::rules::Rules;

    fn of(record: &Record) -> Vec<Set> {
        sets(record, &facts(record), &record.replay().end.state())
    }

    fn belows(set: &Set) -> Vec<&str> {
        set.games.iter().map(|g| g.below.as_str()).collect()
    }

    /// A serves first; games won by these, to love.
    fn games(winners: &str) -> String {
        winners.chars().map(|w| w.to_string().repeat(4)).collect()
    }

    #[test]
    fn games_carry_the_score_after_them_and_breaks_their_winner() {
        let all = of(&record(&format!("{}BB", games("AABAAAAB"))));
        assert_eq!(all.len(), 2);
        assert_eq!((all[0].title.as_str(), all[0].score.as_str()), ("Set 1", "6–1"));
        assert_eq!(belows(&all[0]), ["1–0", "2–0", "2–1", "3–1", "4–1", "5–1", "6–1"]);
        let broken: Vec<_> = all[0].games.iter().map(|g| g.broken_by).collect();
        let a = Some(Side::A);
        assert_eq!(broken, [None, a, Some(Side::B), a, None, a, None]);
        assert_eq!(belows(&all[1]), ["0–1", "0–30"]);
        assert_eq!(all[1].score, "0–1 so far");
        assert_eq!(all[0].games[0].points, 4);
    }

    #[test]
    fn a_tie_break_stands_in_the_set_score() {
        let all = of(&record(&format!("{}AAAAABBBBBAA", games("ABABABABABAB"))));
        assert_eq!(all[0].score, "7–6(5)");
        assert_eq!(all[0].games.last().unwrap().below, "tie-break 7–5");
        assert_eq!(all[0].games.last().unwrap().points, 12);
        assert_eq!(all[0].games.last().unwrap().broken_by, None, "a tie-break is no break");
        let going = of(&record(&format!("{}AB", games("ABABABABABAB"))));
        assert_eq!(going[0].games.last().unwrap().below, "1–1");
        assert_eq!(going[0].score, "6–6 so far");
    }

    #[test]
    fn what_is_not_known_is_a_question_mark() {
        let all = of(&record("AAA?AAAA"));
        assert_eq!(belows(&all[0]), ["?", "?"]);
        assert_eq!(all[0].score, "score not known");
        let open = of(&record("AA?"));
        assert_eq!((belows(&open[0]), open[0].score.as_str()), (vec!["30–0"], "0–0 so far"));
    }

    #[test]
    fn a_replayed_game_point_and_a_gap_win_no_game() {
        let mut r = record("AAAA");
        r.points[3].replayed = true;
        assert_eq!(belows(&of(&r)[0]), ["40–0"]);
        let mut r = record("AAA");
        r.points[2].score_before = Some(crate::tennis::mark::Mark { games: [3, 1], ..Default::default() });
        assert_eq!(belows(&of(&r)[0]), ["15–0…", "15–0"]);
        assert_eq!(of(&r)[0].score, "3–1 so far");
    }

    #[test]
    fn how_the_match_ended_stands_in_its_last_set() {
        let mut r = record(&games("AB"));
        r.about.outcome = Some(Outcome::Retired(Side::B));
        assert_eq!(of(&r)[0].score, "1–1, retired");
        let two_sets = games("AAAAAAAAAAAA");
        let all = of(&record(&format!("{two_sets}A")));
        assert_eq!(all[2].title, "After the match");
    }

    #[test]
    fn a_match_tie_break_and_a_drill() {
        let mut r = record(&format!("{}{}AAAAAAAABBBAA", games("AAAAAA"), games("BBBBBB")));
        r.about.rules = Rules::named("best-of-3-match-tie-break-10").unwrap();
        let all = of(&r);
        assert_eq!((all[2].title.as_str(), all[2].score.as_str()), ("Match tie-break", "10–3"));
        r.about.rules = Rules::drill();
        r.points.truncate(23);
        let all = of(&r);
        assert_eq!((all[0].title.as_str(), belows(&all[0])), ("Rallies", vec!["10", "20", "23"]));
        r.points.truncate(0);
        assert!(of(&r).is_empty());
    }

    #[test]
    fn a_point_is_spoken() {
        let r = record("BBBB");
        let f = facts(&r);
        let want = "point 4: set 1, 0–0, 0–40, Holt serves, length not known, won by Okafor, break";
        assert_eq!(spoken(&r, &f[3]), want);
        let r = rally('A', Some(Finish::Winner), "wide/?/left");
        let f = facts(&r);
        let want = "point 1: set 1, 0–0, 0–0, Holt serves, 3 shots, won by Holt, winner";
        assert_eq!(spoken(&r, &f[0]), want);
        assert!(filtered("x".into(), Answer::Unknown).contains("may be in the filter"));
        let r = record("AAA?AB");
        let f = facts(&r);
        assert!(
            spoken(&r, &f[4]).starts_with("point 5: set 1, score not known, server not known"),
            "{}",
            spoken(&r, &f[4])
        );
    }
}
