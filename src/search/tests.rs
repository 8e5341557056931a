//! What is typed, what it means, and which points it finds. All names are invented.

use super::*;
use crate::facts::facts;
use crate::facts::tests::{rally, record};
use crate::facts::{Goes, Lane, Push, Target};
use crate::logging::KeyCard;
use crate::pattern::{Answer, CALLS, PatternFile};
use crate::record::{Finish, Hand, Kind, Record, Source};
use crate::tennis::stroke::{Depth, Pace, ServeTo, Spin, Stance, Stroke};
use crate::tennis::{CourtSide, Side};

fn archive() -> Vec<Record> {
    let mut one = record("AB");
    one.about.surface = "clay".into();
    one.about.venue = "Riverside".into();
    one.about.date = "2026-05-03".parse().ok();
    one.about.b.hand = Some(Hand::Left);
    one.points[0].tags.insert("good choice".into());
    one.points[1].note = "A low toss again".into();
    let mut two = record("AA");
    two.about.a.name = "Mira Solberg".into();
    two.about.b.name = "Erin Vance".into();
    two.about.surface = "hard".into();
    vec![one, two]
}

fn vocabulary() -> Vocabulary {
    Vocabulary::of(&archive(), &PatternFile::starter().unwrap().patterns)
}

fn understood(text: &str, v: &Vocabulary) -> String {
    let search = Search::read(text, v);
    let unknown = search.unknown().map(|c| format!("?{}", c.words));
    std::iter::once(search.to_string()).chain(unknown).collect::<Vec<_>>().join(" ").trim().to_owned()
}

/// Each with how the search says that it understood it.
const PHRASINGS: [(&str, &str); 68] = [
    (
        "Holt drop shot behind break point clay",
        "drop shot by Holt · Holt behind in the game · break point · on clay",
    ),
    ("Holt drop shot", "drop shot by Holt"),
    ("drop shots by Okafor", "drop shot by Okafor"),
    ("Okafor's drop shots, winner", "drop shot by Okafor · winner by Okafor"),
    ("drop shot then a lob", "drop shot, then lob within two shots"),
    ("drop shot, then a lob", "drop shot, then lob within two shots"),
    ("drop shot answered by a lob", "drop shot, answered by lob"),
    ("serve then volley later overhead", "serve, then volley within two shots, later overhead"),
    ("Holt backhand winner", "backhand by Holt, the last shot · winner by Holt"),
    ("forehand unforced error long", "forehand, the last shot · unforced error · missed long"),
    ("wide serve deuce court", "wide serve · deuce court"),
    ("second serve return deep", "second serve · return deep"),
    ("Holt serving 30-40", "Holt serves · 30–40"),
    ("at least 9 shots", "at least 9 shots"),
    ("9+ shots", "at least 9 shots"),
    ("5-8 shots", "5 to 8 shots"),
    ("rally 5-8", "5 to 8 shots"),
    ("more than 10 shots", "at least 11 shots"),
    ("set 2", "set 2"),
    ("second set tie-break", "set 2 · tie-break"),
    ("ace wide", "ace · wide serve, the last shot"),
    ("double fault at 30–40", "double fault · 30–40"),
    ("Holt won", "won by Holt"),
    ("lost by Okafor", "lost by Okafor"),
    ("break point saved", "break point · saved"),
    ("break points converted", "break point · converted"),
    ("approach then volley or overhead", "approach, then volley or overhead within two shots"),
    ("backhand slice cross-court", "backhand slice cross-court"),
    ("Holt inside-out forehand", "inside-out forehand by Holt"),
    ("serve plus one open court", "serve plus one open court"),
    ("return down the line", "return down the line"),
    ("not winner", "not: winner"),
    ("no drop shot", "not: drop shot"),
    ("good choice", "tag good choice"),
    ("Long rally", "long rally"),
    ("Holt at the net", "at the net by Holt"),
    ("clay or hard", "on clay or hard"),
    ("since May 2026", "since 2026-05-01"),
    ("3 May 2026", "on 2026-05-03"),
    ("Riverside", "at Riverside"),
    ("Holt against a left-hander", "opponent of Holt is left-handed"),
    ("Solberg against Erin Vance", "matches of Mira Solberg · matches of Erin Vance"),
    ("Okafor or Solberg ace", "ace by Okafor or Mira Solberg"),
    ("\"low toss\"", "note with \"low toss\""),
    ("shot 5 lob", "shot 5 lob"),
    ("last shot volley", "volley, the last shot"),
    ("serve T ad court big points", "T serve · ad court · big points"),
    ("Holt ahead", "Holt ahead in the game"),
    ("level", "level in the game"),
    ("deuce", "deuce"),
    ("ad out", "advantage receiver"),
    ("10-shot rally", "10 shots"),
    ("forehand in the net", "forehand, the last shot · missed into the net"),
    ("drpo shot", "?drpo"),
    ("Hlot ace", "ace ?Hlot"),
    ("", ""),
    ("server wins", "won by the server"),
    ("receiver error", "forced error or unforced error by the receiver"),
    ("missed backhand", "missed backhand"),
    ("Holt on return", "Holt receives"),
    ("overhead smash short", "overhead short"),
    (
        "unforced errors by Okafor on clay 2026",
        "unforced error by Okafor · on clay · 2026-01-01 to 2026-12-31",
    ),
    ("rally under 5 shots", "at most 4 shots"),
    ("first serve wide, deuce court", "first serve · wide serve · deuce court"),
    ("pattern Inside-out forehand", "pattern Inside-out forehand"),
    ("Impatient drop shot", "pattern Impatient drop shot"),
    ("tag good choice", "tag good choice"),
    ("winner Holt backhand down-the-line", "winner · backhand down the line by Holt, the last shot"),
];

#[test]
fn phrasings_mean_what_they_must() {
    let v = vocabulary();
    for (typed, meant) in PHRASINGS {
        assert_eq!(understood(typed, &v), meant, "{typed}");
    }
}

/// Words that a screen shows are understood, with nothing left over.
#[test]
fn every_word_of_the_screens_is_understood() {
    let v = vocabulary();
    let mut words: Vec<String> = Vec::new();
    let mut add = |all: &[&str]| words.extend(all.iter().map(ToString::to_string));
    add(&Stroke::WORDS.map(|w| w.0));
    add(&Spin::WORDS.map(|w| w.0));
    add(&Pace::WORDS.map(|w| w.0));
    add(&Stance::WORDS.map(|w| w.0));
    add(&Depth::WORDS.map(|w| w.0));
    add(&Lane::WORDS.map(|w| w.0));
    add(&Goes::WORDS.map(|w| w.0));
    add(&Target::WORDS.map(|w| w.0));
    add(&[Push::In, Push::Back, Push::Held].map(Push::words));
    add(&Finish::ALL.map(Finish::words));
    add(&[CourtSide::Deuce, CourtSide::Ad].map(CourtSide::words));
    add(&ServeTo::WORDS.map(|w| w.0));
    add(&CALLS.map(|c| c.0));
    add(&["forehand", "backhand", "net", "long", "wide", "set 1", "big points", "other points"]);
    add(&["behind in the game", "level in the game", "ahead in the game", "first serve", "second serve"]);
    words.extend(PatternFile::starter().unwrap().patterns.into_iter().map(|p| p.name));
    for word in words {
        let search = Search::read(&word, &v);
        assert_eq!(search.unknown().count(), 0, "{word}: {:?}", search.chips);
        assert!(!search.is_empty(), "{word} asks nothing");
    }
}

#[test]
fn the_tags_of_the_built_in_card_are_understood_once_they_are_used() {
    let card = KeyCard::parse(include_str!("../../sample-tags/built-in.keys.toml")).unwrap();
    let mut r = record("A");
    r.points[0].tags.extend(card.tags().map(|(_, tag)| tag.to_owned()));
    let v = Vocabulary::of([&r], &[]);
    for (_, tag) in card.tags() {
        let search = Search::read(tag, &v);
        assert_eq!(search.of(&r).map(|s| s.answer(&facts(&r)[0], &r.points[0])), Some(Answer::Yes), "{tag}");
    }
}

fn answers(text: &str, r: &Record) -> Option<String> {
    let v = Vocabulary::of([r], &PatternFile::starter().unwrap().patterns);
    let search = Search::read(text, &v);
    assert_eq!(search.unknown().count(), 0, "{text}");
    let asked = search.of(r)?;
    let each = facts(r).iter().zip(&r.points).map(|(f, p)| asked.answer(f, p).word()).collect::<Vec<_>>();
    Some(each.join(" "))
}

#[test]
fn finds_the_points_that_are_meant() {
    // Holt serves wide, Okafor's backhand is deep, Holt wins with a drop shot; then Okafor's backhand goes out.
    let mut r = rally('A', Some(Finish::Winner), "wide/left deep bh/right short drop");
    r.points.extend(rally('A', Some(Finish::UnforcedError), "body/right deep bh").points);
    r.points.extend(record("B").points);
    for (typed, found) in [
        ("Holt drop shot", "yes no unknown"),
        ("Okafor drop shot", "no no unknown"),
        ("drop shot", "yes no unknown"),
        ("no drop shot", "no yes unknown"),
        ("drop shot winner", "yes no unknown"),
        ("Holt drop shot winner", "yes no unknown"),
        ("backhand winner", "unknown no unknown"),
        ("backhand unforced error", "no yes unknown"),
        ("Okafor backhand error", "no yes unknown"),
        ("Holt error", "no no unknown"),
        ("wide serve then drop shot", "yes no unknown"),
        ("wide serve answered by backhand", "yes no unknown"),
        ("drop shot then backhand", "no no unknown"),
        ("backhand then drop shot", "yes no unknown"),
        ("wide serve or body serve", "yes yes unknown"),
        ("deuce court", "yes no yes"),
        ("30-0", "no no yes"),
        ("Holt ahead", "no yes yes"),
        ("Okafor behind", "no yes yes"),
        ("Holt serving", "yes yes yes"),
        ("Okafor serving", "no no no"),
        ("Okafor won", "no no yes"),
        ("lost by Okafor", "yes yes no"),
        ("set 1", "yes yes yes"),
        ("at least 3 shots", "yes no unknown"),
    ] {
        assert_eq!(answers(typed, &r).as_deref(), Some(found), "{typed}");
    }
}

#[test]
fn a_tag_counts_as_the_shot_but_does_not_say_whose() {
    let mut r = record("AB");
    r.points[0].tags.insert("Drop shot".into());
    assert_eq!(answers("drop shot", &r).as_deref(), Some("yes unknown"));
    assert_eq!(answers("Holt drop shot", &r).as_deref(), Some("unknown unknown"));
    r.points[0].tags_by.insert("Drop shot".into(), Side::B.into());
    assert_eq!(answers("Holt drop shot", &r).as_deref(), Some("no unknown"), "it says so now");
    assert_eq!(answers("Okafor drop shot", &r).as_deref(), Some("yes unknown"));
}

#[test]
fn points_of_many_matches_are_found_by_their_own_players() {
    let mut r = record("AB");
    r.about.shows = Kind::Points;
    let source = |a: &str, b: &str, score: &str| {
        Some(Box::new(Source { a: a.into(), b: b.into(), score: score.into(), ..Source::default() }))
    };
    r.points[0].source = source("Reyes", "Vale", "30-40");
    r.points[1].source = source("Vale", "Holt", "");
    let v = Vocabulary::of(std::slice::from_ref(&r), &[]);
    let found = |text: &str| Search::read(text, &v).answers(&r);
    assert_eq!(found("Vale won"), [(0, Answer::No), (1, Answer::No)]);
    assert_eq!(found("Reyes won"), [(0, Answer::Yes)]);
    assert_eq!(found("break point"), [(0, Answer::Yes), (1, Answer::Unknown)]);
}

#[test]
fn what_is_asked_of_the_match_leaves_out_whole_records() {
    let all = archive();
    let v = Vocabulary::of(&all, &[]);
    for (typed, wanted) in [
        ("clay", [true, false]),
        ("not clay", [false, true]),
        ("clay or hard", [true, true]),
        ("Riverside", [true, false]),
        ("2026", [true, false]),
        ("before 2026", [false, false]),
        ("Holt", [true, false]),
        ("Vance", [false, true]),
        ("Okafor or Solberg", [true, true]),
        ("Holt against Solberg", [false, false]),
        ("Holt against a left-hander", [true, false]),
    ] {
        let search = Search::read(typed, &v);
        assert_eq!([0, 1].map(|n| search.of(&all[n]).is_some()), wanted, "{typed}");
    }
    let left = Search::read("Holt against a left-hander", &v).of(&all[0]).unwrap();
    assert_eq!(left.answer(&facts(&all[0])[0], &all[0].points[0]), Answer::Yes);
    let note = Search::read("\"low toss\"", &v).of(&all[0]).unwrap();
    let found: Vec<_> = facts(&all[0]).iter().zip(&all[0].points).map(|(f, p)| note.answer(f, p)).collect();
    assert_eq!(found, [Answer::No, Answer::Yes]);
}

#[test]
fn an_unknown_word_is_said_with_the_nearest() {
    let v = vocabulary();
    let search = Search::read("Hlot drop shot", &v);
    let unknown: Vec<_> = search.unknown().collect();
    assert_eq!(unknown.len(), 1);
    assert_eq!(unknown[0].words, "Hlot");
    assert!(matches!(&unknown[0].meaning, Meaning::Unknown(hint) if hint.0.as_deref() == Some("holt")));
    assert_eq!(search.to_string(), "drop shot");
}

#[test]
fn a_player_is_found_by_each_word_of_a_name_that_hyphens_join() {
    let mut r = record("AB");
    (r.about.a.name, r.about.b.name) = ("Anna Solberg-Vane".into(), "Marin–Okafor".into());
    let v = Vocabulary::of([&r], &[]);
    for (typed, who) in [
        ("Anna", "Anna Solberg-Vane"),
        ("Solberg", "Anna Solberg-Vane"),
        ("vane", "Anna Solberg-Vane"),
        ("Solberg-Vane", "Anna Solberg-Vane"),
        ("solberg vane", "Anna Solberg-Vane"),
        ("Anna Solberg-Vane", "Anna Solberg-Vane"),
        ("marin", "Marin–Okafor"),
        ("Okafor", "Marin–Okafor"),
        ("Marin-Okafor", "Marin–Okafor"),
    ] {
        assert_eq!(understood(&format!("{typed} won"), &v), format!("won by {who}"), "{typed}");
    }
    // Two of one word are both meant.
    (r.about.a.name, r.about.b.name) = ("Ida Holt-Marsh".into(), "Ben Marsh".into());
    let v = Vocabulary::of([&r], &[]);
    assert_eq!(v.players("marsh").unwrap(), ["Ida Holt-Marsh", "Ben Marsh"]);
}

#[test]
fn a_chip_can_be_taken_off() {
    let typed = "Holt drop shot behind, break point";
    let v = vocabulary();
    let search = Search::read(typed, &v);
    let chips: Vec<&str> = search.chips.iter().map(|c| c.words.as_str()).collect();
    assert_eq!(chips, ["Holt", "drop shot", "behind in the game", ",", "break point"]);
    assert_eq!(Search::without(typed, &search.chips[1]), "Holt behind, break point");
    assert_eq!(Search::without(typed, &search.chips[4]), "Holt drop shot behind,");
}

#[test]
fn what_is_being_typed_is_completed() {
    let v = vocabulary();
    let words = |typed: &str| v.suggest(typed, 4).into_iter().map(|s| s.text).collect::<Vec<_>>();
    assert_eq!(words("clay Ok"), ["clay Okafor"]);
    assert_eq!(words("Holt drop s").first().map(String::as_str), Some("Holt drop shot"));
    assert_eq!(words("backhand down th"), ["backhand down the line"]);
    assert_eq!(words("Erin"), ["Erin Vance"]);
    assert_eq!(words("impat"), ["Impatient drop shot"]);
    assert_eq!(words(""), [""; 0]);
    assert_eq!(words("clay "), [""; 0]);
}

proptest::proptest! {
    /// Whatever is typed, every chip is a piece of it, in order, and asking never fails.
    #[test]
    fn any_text_is_read(typed in "[ -~“”–é,\"]{0,80}") {
        let all = archive();
        let v = vocabulary();
        let search = Search::read(&typed, &v);
        let mut at = 0;
        for chip in &search.chips {
            proptest::prop_assert!(chip.place.start >= at && typed.get(chip.place.clone()).is_some());
            at = chip.place.start;
            let _ = Search::without(&typed, chip);
        }
        for r in &all {
            if let Some(asked) = search.of(r) {
                for (f, p) in facts(r).iter().zip(&r.points) {
                    let _ = asked.answer(f, p);
                }
            }
        }
        let _ = (search.to_string(), v.suggest(&typed, 8));
    }

    /// Words alone, in any order, are understood or said to be unknown: none is lost.
    #[test]
    fn no_word_is_lost(picked in proptest::collection::vec(0..PHRASINGS.len(), 1..5)) {
        let typed = picked.iter().map(|n| PHRASINGS[*n].0).collect::<Vec<_>>().join(" , ");
        let v = vocabulary();
        let covered: usize = Search::read(&typed, &v).chips.iter().map(|c| c.place.len()).sum();
        // A comma ends the phrase before it; where there is none it says nothing.
        let letters = typed.split(',').flat_map(str::chars).filter(|c| !c.is_whitespace()).count();
        proptest::prop_assert!(covered >= letters, "{typed}");
    }
}
