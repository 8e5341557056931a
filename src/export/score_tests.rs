use proptest::prelude::*;

use super::*;
use crate::record::{MatchInfo, Player, Point};
use crate::tennis::mark::Mark;

/// A match of invented players: each letter a point, `?` one without a winner, `l` one played again.
fn record(rules: &str, points: &str) -> Record {
    let about = MatchInfo {
        a: Player::named("Holt"),
        b: Player::named("Okafor"),
        rules: Rules::named(rules).unwrap(),
        ..MatchInfo::default()
    };
    let point = |c| Point {
        winner: match c {
            'a' => Some(Side::A),
            'b' => Some(Side::B),
            _ => None,
        },
        replayed: c == 'l',
        ..Point::default()
    };
    Record { about, points: points.chars().map(point).collect(), ..Record::default() }
}

/// Games won without losing a point.
fn games(order: &str) -> String {
    order.chars().map(|c| c.to_string().repeat(4)).collect()
}

fn both(record: &Record) -> String {
    let line = line("m.points.json", record, false);
    format!("{}\n{}", words(record, &line), serde_json::to_string(&line).unwrap())
}

/// 6–4, 6–7(5), 7–5 to A.
fn three_sets() -> String {
    let to_six_all = games("abababababab");
    let tie_break = "abababababbb";
    [games("ababababaa"), to_six_all, tie_break.into(), games("ababababab"), games("aa")].concat()
}

#[test]
fn a_match_in_words_and_as_json() {
    let text = three_sets();
    insta::assert_snapshot!(both(&record("best-of-3", &text)), @r#"
    Holt d. Okafor 6–4, 6–7(5), 7–5
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":4},{"a":6,"b":7,"tiebreak":{"a":5,"b":7}},{"a":7,"b":5}],"winner":"a","finished":true,"points":148}
    "#);
    let mirrored: String = text.chars().map(|c| if c == 'a' { 'b' } else { 'a' }).collect();
    insta::assert_snapshot!(both(&record("best-of-3", &mirrored)), @r#"
    Okafor d. Holt 6–4, 6–7(5), 7–5
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":4,"b":6},{"a":7,"b":6,"tiebreak":{"a":7,"b":5}},{"a":5,"b":7}],"winner":"b","finished":true,"points":148}
    "#);
}

#[test]
fn a_match_that_stands_still() {
    let mut said = Vec::new();
    for (rules, points) in [
        ("best-of-3", String::new()),
        ("best-of-3", "b".into()),
        ("best-of-3", games("aaaaaa")),
        ("best-of-3", games("aaaaaaba") + "aaabbbb"),
        ("best-of-3", games("abababababab")),
        ("best-of-3", games("abababababab") + "aab"),
        ("best-of-3-match-tie-break-10", games("aaaaaabbbbbb") + "aaab"),
        ("best-of-3-match-tie-break-10", games("aaaaaabbbbbb") + &"ab".repeat(9) + "bb"),
        ("pro-set-8", games("abababababababab") + "aaaaaaa"),
        ("drill", "aab?l".into()),
    ] {
        said.push(format!("{rules}\n{}", both(&record(rules, &points))));
    }
    insta::assert_snapshot!(said.join("\n"), @r#"
    best-of-3
    Holt v. Okafor, not finished
    {"record":"m.points.json","rules":"best-of-3","sets":[],"winner":null,"finished":false,"points":0}
    best-of-3
    Holt v. Okafor 0–0, 0–15, not finished
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":0,"b":0}],"winner":null,"finished":false,"points":1,"game":{"a":"0","b":"15"}}
    best-of-3
    Holt v. Okafor 6–0, not finished
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0}],"winner":null,"finished":false,"points":24}
    best-of-3
    Holt v. Okafor 6–0, 1–1, 40–Ad, not finished
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0},{"a":1,"b":1}],"winner":null,"finished":false,"points":39,"game":{"a":"","b":"Ad"}}
    best-of-3
    Holt v. Okafor 6–6, not finished
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":6}],"winner":null,"finished":false,"points":48}
    best-of-3
    Holt v. Okafor 6–6(2–1), not finished
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":6,"tiebreak":{"a":2,"b":1}}],"winner":null,"finished":false,"points":51}
    best-of-3-match-tie-break-10
    Holt v. Okafor 6–0, 0–6, [3–1], not finished
    {"record":"m.points.json","rules":"best-of-3-match-tie-break-10","sets":[{"a":6,"b":0},{"a":0,"b":6},{"a":0,"b":0,"tiebreak":{"a":3,"b":1}}],"winner":null,"finished":false,"points":52}
    best-of-3-match-tie-break-10
    Okafor d. Holt 0–6, 6–0, [11–9]
    {"record":"m.points.json","rules":"best-of-3-match-tie-break-10","sets":[{"a":6,"b":0},{"a":0,"b":6},{"a":0,"b":1,"tiebreak":{"a":9,"b":11}}],"winner":"b","finished":true,"points":68}
    pro-set-8
    Holt d. Okafor 9–8(0)
    {"record":"m.points.json","rules":"pro-set-8","sets":[{"a":9,"b":8,"tiebreak":{"a":7,"b":0}}],"winner":"a","finished":true,"points":71}
    drill
    Holt v. Okafor 2–1 in 5 rallies
    {"record":"m.points.json","rules":"drill","sets":[],"winner":null,"finished":false,"points":5,"rallies":{"a":2,"b":1}}
    "#);
}

#[test]
fn a_match_that_ended_otherwise() {
    let mut record = record("best-of-3", &(games("aaaaaaba") + "ab"));
    let mut said = Vec::new();
    for outcome in [Outcome::Retired(Side::A), Outcome::Defaulted(Side::B), Outcome::Unfinished] {
        record.about.outcome = Some(outcome);
        said.push(both(&record));
    }
    insta::assert_snapshot!(said.join("\n"), @r#"
    Okafor d. Holt 0–6, 1–1, 15–15 ret.
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0},{"a":1,"b":1}],"winner":"b","finished":false,"points":34,"game":{"a":"15","b":"15"},"outcome":{"retired":"a"}}
    Holt d. Okafor 6–0, 1–1, 15–15 def.
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0},{"a":1,"b":1}],"winner":"a","finished":false,"points":34,"game":{"a":"15","b":"15"},"outcome":{"defaulted":"b"}}
    Holt v. Okafor 6–0, 1–1, 15–15, unfinished
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0},{"a":1,"b":1}],"winner":null,"finished":false,"points":34,"game":{"a":"15","b":"15"},"outcome":"unfinished"}
    "#);
}

#[test]
fn a_score_is_told_as_far_as_it_is_known() {
    let mut record = record("best-of-3", &(games("aaaaaaba") + "ab?" + &games("aaaaa")));
    insta::assert_snapshot!(both(&record), @r#"
    Holt v. Okafor 6–0, 1–1, 15–15; not known from there: point 35 of 55 has no winner
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0},{"a":1,"b":1}],"winner":null,"finished":false,"points":55,"game":{"a":"15","b":"15"},"unknown_from":35}
    "#);
    // A mark after it makes the score known again; one that cannot be does not.
    let mark =
        |games| Mark { sets: vec![SetScore { games: [6, 0], tie_break: None }], games, ..Mark::default() };
    record.closing_score = Some(mark([9, 1]));
    assert_eq!(line("m", &record, false).unknown_from, Some(35));
    record.closing_score = Some(mark([4, 1]));
    insta::assert_snapshot!(both(&record), @r#"
    Holt v. Okafor 6–0, 4–1, not finished
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0},{"a":4,"b":1}],"winner":null,"finished":false,"points":55}
    "#);
    // After the end of the match nothing is unknown.
    let over = self::record("one-set", &(games("aaaaaa") + "a?"));
    assert_eq!(line("m", &over, false).unknown_from, None);
    assert!(line("m", &over, false).finished);
}

#[test]
fn rules_of_their_own_are_told_whole() {
    let mut record = record("best-of-3", "a");
    record.about.rules.set.games = 5;
    record.about.rules.set.tie_break = None;
    insta::assert_snapshot!(both(&record), @r#"
    Holt v. Okafor 0–0, 15–0, not finished
    {"record":"m.points.json","rules":{"best_of":3,"set":{"games":5,"tie_break":null}},"sets":[{"a":0,"b":0}],"winner":null,"finished":false,"points":1,"game":{"a":"15","b":"0"}}
    "#);
}

#[test]
fn pairs_and_strangers_names() {
    let mut record = record("doubles-best-of-3", "a");
    record.about.a_partner = Some(Player::named("Reyes"));
    record.about.b = Player::named("O\u{1b}[2Jkafor");
    insta::assert_snapshot!(both(&record).lines().next().unwrap(), @r"
    Holt/Reyes v. O\u{1b}[2Jkafor 0–0, 15–0, not finished
    ");
}

#[test]
fn the_state_before_each_point() {
    let record = record("best-of-3", &(games("aaaaa") + "aaabbbabl?a"));
    let line = line("m", &record, true);
    let mut all = line.states.unwrap();
    for (state, facts) in all.iter_mut().zip(facts(&record)) {
        assert_eq!(state.importance, facts.importance);
        // Its last digits are for the tests of the odds.
        state.importance = state.importance.map(|_| 0.5);
    }
    insta::assert_snapshot!(states(&record, &all[19..]), @r"
    point  sets  games  called              serves  court  from  at stake
       20        4–0    40–0                Holt    ad     near  3 game points Holt
       21        5–0    0–0                 Okafor  deuce  near
       22        5–0    0–15                Okafor  ad     near
       23        5–0    0–30                Okafor  deuce  near
       24        5–0    0–40                Okafor  ad     near  3 set points Holt
       25        5–0    15–40               Okafor  deuce  near  2 set points Holt
       26        5–0    30–40               Okafor  ad     near  set point Holt
       27        5–0    deuce               Okafor  deuce  near
       28        5–0    advantage receiver  Okafor  ad     near  set point Holt
       29        5–0    deuce               Okafor  deuce  near
       30        5–0    deuce               Okafor  deuce  near
       31  ?     ?      ?                   Okafor  ad     ?
    ");
    insta::assert_snapshot!(serde_json::to_string(&all[23]).unwrap(), @r#"
    {"point":24,"sets":[],"games":{"a":5,"b":0},"called":"0–40","board":{"a":"40","b":"0"},"tie_break":false,"server":"b","side":"ad","server_end":"near","a_end":"far","break_point":true,"game_points":{"a":3,"b":0},"set_points":{"a":3,"b":0},"match_points":{"a":0,"b":0},"importance":0.5}
    "#);
    insta::assert_snapshot!(serde_json::to_string(&all[30]).unwrap(), @r#"
    {"point":31,"sets":null,"games":null,"called":null,"board":null,"tie_break":false,"server":"b","side":"ad","server_end":null,"a_end":null,"break_point":null,"game_points":null,"set_points":null,"match_points":null,"importance":null}
    "#);
}

#[test]
fn points_held_are_those_the_other_must_win_to_be_level() {
    let at = |rules: &str, points: &str| {
        let record = record(rules, &(points.to_owned() + "a"));
        let state = line("m", &record, true).states.unwrap().pop().unwrap();
        (state.game_points.unwrap(), state.match_points.unwrap(), state.break_point.unwrap())
    };
    let none = Both { a: 0, b: 0 };
    assert_eq!(at("best-of-3", "aaa"), (Both { a: 3, b: 0 }, none, false));
    assert_eq!(at("best-of-3", "bbba"), (Both { a: 0, b: 2 }, none, true));
    assert_eq!(at("best-of-3", "bbbaaa"), (none, none, false));
    assert_eq!(at("best-of-3", "bbbaaab"), (Both { a: 0, b: 1 }, none, true));
    assert_eq!(at("no-ad-best-of-3", "ababab"), (Both { a: 1, b: 1 }, none, true));
    let mtb = "match-tie-break-10";
    assert_eq!(at(mtb, "aaaaaaaaabbb"), (Both { a: 6, b: 0 }, Both { a: 6, b: 0 }, false));
    assert_eq!(at(mtb, &"ab".repeat(9)), (none, none, false));
}

#[test]
fn footage_that_is_no_whole_match_has_no_score_of_its_own() {
    let mut r = record("best-of-3", "aab");
    let said = |r: &Record| words(r, &line("m", r, false));
    r.about.shows = Kind::Points;
    assert_eq!(said(&r), "points of many matches: 3 points, no score in common");
    assert_eq!(line("m", &r, false).rallies, None);
    r.about.shows = Kind::Part;
    assert_eq!(said(&r), "Holt v. Okafor, part of a match: the score is not known; say it at a point");
    let mark = Mark { games: [3, 2], ..Default::default() };
    r.points[1].score_before = Some(Mark { server: Some(crate::tennis::pair::Server::A), ..mark });
    assert_eq!(said(&r), "Holt v. Okafor 3–2, 15–15, not finished");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// A's and B's scores mirror, and the JSON says what the replay says.
    #[test]
    fn the_line_says_what_the_replay_says(points in "[ab]{0,250}") {
        let here = record("best-of-3", &points);
        let (said, replay) = (line("m", &here, true), here.replay());
        prop_assert_eq!(said.finished, replay.end.finished());
        prop_assert_eq!(said.winner, replay.end.winner());
        prop_assert_eq!(said.states.unwrap().len(), points.len());
        let swapped = points.chars().map(|c| if c == 'a' { 'b' } else { 'a' }).collect::<String>();
        let there = line("m", &record("best-of-3", &swapped), false);
        let turned: Vec<_> = there.sets.iter().map(|s| SetLine { a: s.b, b: s.a, tiebreak: s.tiebreak.map(|t| Both { a: t.b, b: t.a }) }).collect();
        prop_assert_eq!(turned, said.sets);
    }
}
