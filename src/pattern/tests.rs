use super::ball::{Ball, ShotTest};
use super::*;
use crate::facts::facts;
use crate::facts::tests::{only, point, rally, record};
use crate::record::{Finish, Point, Record, Shot};
use crate::tennis::court::Spot;
use crate::tennis::pair::{Partner, Server};
use crate::tennis::rules::Rules;

fn one(body: &str) -> Pattern {
    let text = format!("[[pattern]]\nname = \"p\"\n{body}\n");
    parse(&text, "p.toml").unwrap_or_else(|e| panic!("{e}")).patterns.remove(0)
}

fn answers(body: &str, r: &Record) -> String {
    let p = one(body);
    facts(r)
        .iter()
        .map(|f| match answer(&p, f) {
            Answer::Yes => 'y',
            Answer::No => 'n',
            Answer::Unknown => '?',
        })
        .collect()
}

fn said(text: &str) -> String {
    parse(text, "my.toml").unwrap_err().to_string()
}

/// Winner, faults, finish and tags of a point.
type Told<'a> = (char, Option<u8>, Option<Finish>, &'a [&'a str]);

fn tagged(points: &[Told<'_>]) -> Record {
    let mut r = record("");
    r.points = points.iter().zip(1..).map(|((w, s, f, t), n)| point(n, *w, *s, *f, t)).collect();
    r
}

#[test]
fn the_starter_file_parses_and_has_enough() {
    let file = PatternFile::starter().unwrap_or_else(|e| panic!("{e}"));
    assert!(file.patterns.len() >= 8);
    assert!(file.patterns.iter().all(|p| !p.about.is_empty()));
    assert_eq!(file.named("drop SHOT").unwrap().name, "Drop shot");
    let text = file.named("drop shop").unwrap_err().to_string();
    assert!(text.ends_with("did you mean \"Drop shot\"?"), "{text}");
}

#[test]
fn the_starter_file_names_every_key() {
    let balls = keys::SHOT_KEYS.iter().map(|k| k.name).chain(keys::SERVE_KEYS.iter().map(|k| k.name));
    for key in keys::KEYS.iter().map(|k| k.name).chain(balls) {
        assert!(STARTER.contains(key), "{key}");
    }
}

#[test]
fn tags_are_unknown_where_nobody_tagged() {
    let r = tagged(&[
        ('A', None, None, &["Wide serve", "drop shot"]),
        ('A', None, None, &["drop shot"]),
        ('A', None, None, &[]),
        ('A', None, None, &["body serve"]),
    ]);
    assert_eq!(answers("tags = \"wide serve\"", &r), "yn?n");
    assert_eq!(answers("tags = [\"wide serve\", \"drop shot\"]", &r), "yn?n");
    assert_eq!(answers("any_tag = [\"body serve\", \"drop shot\"]", &r), "yy?y");
    assert_eq!(answers("no_tag = \"drop shot\"", &r), "nn?y");
    let grouped = "[groups]\nserve = [\"wide serve\", \"body serve\"]\n[[pattern]]\nname = \"x\"\n\
                   tags = \"wide serve\"";
    let p = parse(grouped, "x").unwrap().patterns.remove(0);
    let all: Vec<_> = facts(&r).iter().map(|f| answer(&p, f)).collect();
    assert_eq!(all, [Answer::Yes, Answer::Unknown, Answer::Unknown, Answer::No]);
    let sure = grouped.replace("[groups]", "untagged = \"no\"\n[groups]");
    let p = parse(&sure, "x").unwrap().patterns.remove(0);
    assert_eq!(answer(&p, &facts(&r)[2]), Answer::No);
    assert_eq!(answer(&Pattern::tagged("DROP SHOT"), &facts(&r)[1]), Answer::Yes);
}

#[test]
fn serve_score_and_outcome() {
    let r = tagged(&[
        ('B', Some(0), Some(Finish::Winner), &[]),
        ('B', Some(1), Some(Finish::UnforcedError), &[]),
        ('B', Some(2), Some(Finish::DoubleFault), &[]),
        ('A', None, None, &[]),
        ('?', Some(0), Some(Finish::Ace), &[]),
        ('A', Some(0), None, &[]),
    ]);
    assert_eq!(answers("serve = 1", &r), "ynn?yy");
    assert_eq!(answers("serve = [1, 2]", &r), "yyy?yy");
    assert_eq!(answers("break_point = true", &r), "nnnyy?");
    assert_eq!(answers("break_point = false", &r), "yyynn?");
    assert_eq!(answers("score = [\"0-0\", \"0-40\"]", &r), "ynnyn?");
    assert_eq!(answers("standing = \"behind\"", &r), "nyyyy?");
    assert_eq!(answers("court = \"deuce\"", &r), "ynyny?");
    assert_eq!(answers("winner = \"server\"", &r), "nnny??");
    assert_eq!(answers("finish_by = \"server\"", &r), "nyy?y?");
    assert_eq!(answers("finish = [\"ace\", \"double-fault\"]", &r), "nny?y?");
    assert_eq!(answers("server = \"b\"", &r), "nnnnn?");
    assert_eq!(answers("set = 1\ntie_break = false\nmatch_point = false\nset_point = false", &r), "yyyyyy");
    assert_eq!(answers("game_point = true", &r), "nnnnnn");
    assert_eq!(answers("any = [{ serve = 1 }, { winner = \"b\" }]", &r), "yyy?yy");
    assert_eq!(answers("not = { serve = 1, court = \"deuce\" }", &r), "nyyyn?");
}

#[test]
fn a_pattern_explains_itself() {
    let p = one("tags = \"drop shot\"\nserve = 2\nbreak_point = false\namong = { winner = \"server\" }");
    let r = tagged(&[('A', Some(0), None, &[])]);
    let why = explain(&p, &facts(&r)[0]);
    let all: Vec<_> = why.parts.iter().map(|e| (e.asks.as_str(), e.answer, e.found.as_str())).collect();
    let want = [
        ("won by server", Answer::Yes, "server"),
        ("drop shot", Answer::Unknown, "no tag"),
        ("second serve", Answer::No, "first serve"),
        ("not break point", Answer::Yes, "not break point"),
    ];
    assert_eq!(all, want);
    assert_eq!((why.asks.as_str(), why.answer), ("p", Answer::No));
}

/// A rally of shots as in the facts' tests, one pattern.
fn of(balls: &str, body: &str) -> Answer {
    answer(&one(body), &only(&rally('A', Some(Finish::Winner), balls)))
}

fn of_opening(balls: &str, body: &str) -> Answer {
    let mut r = rally('A', None, balls);
    r.points[0].logged = Some(crate::record::Logged::Opening);
    answer(&one(body), &only(&r))
}

#[test]
fn balls_by_number_any_none_and_last() {
    use Answer::{No, Unknown, Yes};
    let r = "wide / left deep bh / right short drop";
    assert_eq!(of(r, "shots = [{ number = 2, wing = \"backhand\" }, { number = 3, by = \"server\" }]"), Yes);
    assert_eq!(of(r, "shots = { number = 4 }"), No);
    assert_eq!(of_opening(r, "shots = { number = 4 }"), Unknown);
    assert_eq!(of(r, "some_shot = { stroke = [\"lob\", \"drop shot\"] }"), Yes);
    assert_eq!(of(r, "some_shot = { stroke = \"lob\" }"), No);
    assert_eq!(of_opening(r, "some_shot = { stroke = \"lob\" }"), Unknown);
    assert_eq!(of_opening(r, "some_shot = { stroke = \"lob\", number = 2 }"), No);
    assert_eq!(of(r, "no_shot = { stroke = \"lob\" }"), Yes);
    assert_eq!(of("wide / ? / left deep", "no_shot = { stroke = \"lob\" }"), Unknown);
    assert_eq!(of(r, "last_shot = { depth = \"short\", missed = false }"), Yes);
    assert_eq!(of_opening(r, "last_shot = { depth = \"short\" }"), Unknown);
    assert_eq!(of(r, "rally = \"1-4\""), Yes);
    assert_eq!(of_opening(r, "rally_at_least = 3"), Yes);
    assert_eq!(of_opening(r, "rally_at_most = 2"), No);
    assert_eq!(of_opening(r, "rally = \"1-4\""), Unknown);
    assert_eq!(
        of(r, "some_shot = { any = [{ to = \"T\" }, { not = { by = \"server\" }, wing = \"backhand\" }] }"),
        Yes
    );
}

#[test]
fn balls_one_after_another() {
    use Answer::{No, Unknown, Yes};
    let r = "T / left deep / right short drop / left short / middle deep lob";
    let then = |rest: &str| format!("sequence = [{{ stroke = \"drop shot\" }}, {{ {rest} }}]");
    assert_eq!(of(r, &then("stroke = \"lob\"")), No, "the next ball is none");
    assert_eq!(of(r, &then("within = 2, stroke = \"lob\"")), Yes);
    assert_eq!(of(r, &then("within = 2, striker = \"other\", stroke = \"lob\"")), No);
    assert_eq!(of(r, &then("within = 9, striker = \"same\", stroke = \"lob\"")), Yes);
    let cut = "T / left deep / right short drop / left short";
    assert_eq!(of(cut, &then("within = 2, stroke = \"lob\"")), No, "the rally was over");
    assert_eq!(of_opening(cut, &then("within = 2, stroke = \"lob\"")), Unknown);
    assert_eq!(of_opening(cut, &then("stroke = \"lob\"")), Unknown, "another drop shot may have come");
    assert_eq!(of("T / ? / ?", &then("stroke = \"lob\"")), Unknown);
}

#[test]
fn serves_that_were_tried_count_in_the_mix() {
    let mut r = rally('A', None, "T");
    r.points[0].faults = Some(1);
    r.points[0].serves_out = vec![crate::facts::tests::ball(0, "wide fast")];
    assert_eq!(answers("first_serve = { to = [\"wide\", \"T\"], fault = true, pace = \"fast\" }", &r), "y");
    assert_eq!(answers("second_serve = { to = \"T\", to_wing = \"backhand\" }", &r), "y");
    assert_eq!(answers("first_serve = { to = \"T\" }", &r), "n");
    r.points[0].faults = Some(0);
    assert_eq!(answers("second_serve = { to = \"T\" }", &r), "n", "the first was in");
    r.points[0].faults = None;
    assert_eq!(answers("first_serve = { to = \"wide\" }", &r), "?");
    assert_eq!(answers("receiver_hand = \"right\"", &r), "y");
    r.about.b.hand = None;
    assert_eq!(answers("receiver_hand = \"right\"", &r), "?");
}

#[test]
fn the_weaker_wing_is_named_by_the_file() {
    let asks = |top: &str| {
        let text =
            format!("{top}\n[[pattern]]\nname = \"x\"\nsome_shot = {{ number = 1, to_wing = \"weaker\" }}");
        let p = parse(&text, "x").unwrap_or_else(|e| panic!("{e}")).patterns.remove(0);
        answer(&p, &only(&rally('A', None, "T")))
    };
    assert_eq!(asks("weaker_wing = \"backhand\""), Answer::Yes);
    assert_eq!(asks("weaker_wing = { a = \"backhand\", b = \"forehand\" }"), Answer::No);
    assert_eq!(asks("weaker_wing = { a = \"backhand\" }"), Answer::Unknown, "the ball goes to B");
    assert_eq!(asks(""), Answer::Unknown);
}

#[test]
fn named_conditions_of_a_point() {
    let body = "condition = [{ name = \"second\", serve = 2 }, { name = \"won\", winner = \"server\" }]\n";
    let r = tagged(&[
        ('A', Some(1), None, &[]),
        ('A', Some(0), None, &[]),
        ('?', Some(0), None, &[]),
        ('?', Some(1), None, &[]),
    ]);
    assert_eq!(answers(body, &r), "ynn?");
    assert_eq!(answers(&format!("{body}met = \"not all\""), &r), "nyy?");
    let why = explain(&one(body), &facts(&r)[3]);
    assert_eq!(why.parts[0].parts[1].asks, "won");
    assert_eq!(why.parts[0].parts[1].found, "not known");
}

#[test]
fn a_mistake_is_named_with_its_place_and_remedy() {
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nserv = 2\n"),
        "my.toml, line 3, column 1: there is no key \"serv\" here; allowed: name, about, won_by, among, \
         shot, condition, met, tags, any_tag, no_tag, has_tag, server, serve, court, score, standing, break_point, \
         game_point, set_point, match_point, tie_break, important, shots_logged, set, finish, finish_by, miss, winner, unreturned, let_serve, penalty, time_violation, server_hand, \
         receiver_hand, stance, first_serve, second_serve, rally, rally_at_least, rally_at_most, plan, plan_played, \
         shots, some_shot, no_shot, last_shot, sequence, any, all, not; did you mean \"serve\"?"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nwon_by = \"sever\"\n"),
        "my.toml, line 3, column 10: \"won_by\" cannot be \"sever\"; allowed: \"server\", \"receiver\", \"a\", \
         \"b\", \"striker\"; did you mean \"server\"?"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nserve = [1, 3]\n"),
        "my.toml, line 3, column 13: \"serve\" cannot be 3; allowed: a whole number from 1 to 2"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nbreak_point = \"yes\"\n"),
        "my.toml, line 3, column 15: \"break_point\" cannot be \"yes\"; allowed: true, false"
    );
    let score = said("[[pattern]]\nname = \"é\"\nany = [{ score = \"30-50\" }]\n");
    assert!(score.starts_with("my.toml, line 3, column 18: \"score\" cannot be \"30-50\"; allowed: \"0-0\""));
    assert_eq!(
        said("patern = 1"),
        "my.toml, line 1, column 1: there is no key \"patern\" here; allowed: untagged, weaker_wing, groups, \
         pattern; did you mean \"pattern\"?"
    );
}

#[test]
fn what_is_missing_or_twice_is_said() {
    assert_eq!(said(""), "my.toml, line 1, column 1: there is no [[pattern]] in the file");
    assert_eq!(said("\n[[pattern]]\nserve = 1"), "my.toml, line 2, column 1: this pattern has no name");
    assert_eq!(
        said("[[pattern]]\nname = \"x\""),
        "my.toml, line 1, column 1: pattern \"x\" has no condition, so every point would show it; add a condition"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nserve = 1\n[[pattern]]\nname = \"X\"\nserve = 2"),
        "my.toml, line 4, column 1: there is already a pattern \"X\""
    );
    assert_eq!(
        said("[groups]\na = [\"t\", \"u\"]\nb = [\"T\"]"),
        "my.toml, line 3, column 6: there is already a tag in a group, \"T\""
    );
    assert!(said("[[pattern]]\nname = \"x\"\ntags = []").contains("at least one value"));
    assert!(said("pattern = 3").contains("a table, or a list of tables"));
    assert!(said("[[pattern]\n").starts_with("my.toml, line 1, column "));
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nshots = [{ goes = \"behind\" }]"),
        "my.toml, line 3, column 10: this shot has no number; write number = 1 for the serve in play, 2 for the return"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nserve = 1\nwon_by = \"striker\""),
        "my.toml, line 1, column 1: won_by is \"striker\", but no condition is about a shot"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nserve = 1\nmet = \"not all\""),
        "my.toml, line 1, column 1: \"met\" needs tables in \"condition\", and this pattern has none"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nshot = { stroke = \"drop\" }"),
        "my.toml, line 3, column 19: \"stroke\" cannot be \"drop\"; allowed: \"groundstroke\", \"volley\", \
         \"overhead\", \"lob\", \"drop shot\"; did you mean \"drop shot\"?"
    );
    let key = said("[[pattern]]\nname = \"x\"\nsequence = [{ goes = \"behind\" }, { strker = \"same\" }]");
    assert!(key.starts_with(
        "my.toml, line 3, column 36: there is no key \"strker\" here; allowed: within, striker, by"
    ));
    assert!(key.ends_with("did you mean \"striker\"?"), "{key}");
    assert!(
        said("[[pattern]]\nname = \"x\"\ncondition = [{ serve = 1 }]").contains("this condition has no name")
    );
    assert!(said("[[pattern]]\nname = \"x\"\ncondition = { name = \"c\" }").contains("asks nothing"));
}

proptest::proptest! {
    #[test]
    fn no_text_makes_the_parser_panic(text in "(\\[\\[pattern\\]\\]\n)?(name = \"[a-zé]{0,3}\"\n)?([a-z_]{2,8} = (\\[|\\{|\"|[0-9tf])[ -~é]{0,12}\n){0,4}") {
        let _ = parse(&text, "x");
    }
}

#[test]
fn a_threshold_in_metres_and_what_explain_says_of_it() {
    let text = "[[pattern]]\nname = \"x\"\nwon_by = \"server\"\n\
        shots = [{ number = 1, opponent_behind_at_least = 1.5, inside_baseline = false }]";
    let file = parse(text, "ours.toml").unwrap();
    assert_eq!(parse(&write(&file), "again.toml").unwrap().patterns, file.patterns);
    let serve = Shot {
        players: Some([Spot::new(1.0, -12.0).into(), Spot::new(3.0, 13.5).into()]),
        ..Shot::default()
    };
    let point = Point { shots: vec![serve], faults: Some(0), ..Point::default() };
    let f = facts(&Record { points: vec![point].into(), ..Record::default() }).remove(0);
    let said = explain(&file.patterns[0], &f).parts[0].clone();
    let found: Vec<_> = said.parts.iter().map(|p| (p.asks.as_str(), p.answer, p.found.as_str())).collect();
    assert_eq!(
        found,
        [
            (
                "opponent at least 1.50 m behind the baseline",
                Answer::Yes,
                "measured: opponent 1.61 m behind the baseline; threshold 1.50 m"
            ),
            (
                "behind the baseline",
                Answer::Yes,
                "behind the baseline; measured: 0.11 m behind the baseline; threshold 0.00 m"
            ),
        ]
    );
}

#[test]
fn in_doubles_it_is_said_that_nobody_knows_which_partner_it_was() {
    let said = |doubles: bool| {
        let shots = vec![Shot::default(); 3];
        let mut r = Record { points: vec![Point { shots, ..Point::default() }].into(), ..Record::default() };
        if doubles {
            r.about.rules = Rules::named("doubles-best-of-3").unwrap();
            (r.points[0].served_by, r.points[0].received_by) = (Some(Server::A1), Some(Partner::Second));
        }
        let f = facts(&r).remove(0);
        let of = |n: usize, test: &ShotTest| test.found(Ball::logged(&f, n).unwrap(), &f);
        [(1, ShotTest::OpponentDeep(true)), (3, ShotTest::Inside(true)), (3, ShotTest::OpponentDeep(true))]
            .map(|(n, test)| of(n, &test))
    };
    assert_eq!(said(false), ["not known"; 3]);
    assert_eq!(
        said(true),
        [
            "not known",
            "not known: nothing tells which partner struck it",
            "not known: nothing tells which of the opponents plays the next ball"
        ]
    );
}
