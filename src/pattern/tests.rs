use super::*;
use crate::facts::facts;
use crate::facts::tests::{point, record};
use crate::record::{Finish, Record};

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
    for (key, _) in keys::KEYS {
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
    let all = p.explain(&facts(&r)[0]);
    let want = [
        ("won by server", Answer::Yes),
        ("drop shot", Answer::Unknown),
        ("second serve", Answer::No),
        ("not break point", Answer::Yes),
    ];
    assert_eq!(all, want.map(|(w, a)| (w.to_owned(), a)));
    assert_eq!(answer(&p, &facts(&r)[0]), Answer::No);
}

#[test]
fn a_mistake_is_named_with_its_place_and_remedy() {
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nserv = 2\n"),
        "my.toml, line 3, column 1: there is no key \"serv\" here; allowed: name, about, won_by, among, tags, \
         any_tag, no_tag, server, serve, court, score, standing, break_point, game_point, set_point, match_point, \
         tie_break, important, set, finish, finish_by, winner, any, not; did you mean \"serve\"?"
    );
    assert_eq!(
        said("[[pattern]]\nname = \"x\"\nwon_by = \"sever\"\n"),
        "my.toml, line 3, column 10: \"won_by\" cannot be \"sever\"; allowed: \"server\", \"receiver\", \"a\", \
         \"b\"; did you mean \"server\"?"
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
        "my.toml, line 1, column 1: there is no key \"patern\" here; allowed: untagged, groups, pattern; did you \
         mean \"pattern\"?"
    );
}

#[test]
fn what_is_missing_or_twice_is_said() {
    assert_eq!(said(""), "my.toml, line 1, column 1: no [[pattern]] in the file");
    assert_eq!(said("\n[[pattern]]\nserve = 1"), "my.toml, line 2, column 1: this pattern has no name");
    assert_eq!(
        said("[[pattern]]\nname = \"x\""),
        "my.toml, line 1, column 1: pattern \"x\" has no condition; every point would show it"
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
}

proptest::proptest! {
    #[test]
    fn no_text_makes_the_parser_panic(text in "(\\[\\[pattern\\]\\]\n)?(name = \"[a-zé]{0,3}\"\n)?([a-z_]{2,8} = (\\[|\\{|\"|[0-9tf])[ -~é]{0,12}\n){0,4}") {
        let _ = parse(&text, "x");
    }
}
