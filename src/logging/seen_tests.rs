//! Points joined in mid-rally or left early, what the score does not tell, whose a tag is, and points of many matches: by keys.

use crate::facts::facts;
use crate::logging::pad::{Lands, Phase};
use crate::logging::typing::{Typist, log};
use crate::logging::{Line, LogError};
use crate::record::{Finish, Kind, Logged, Point, Record, Source, Whose};
use crate::tennis::pair::Server;
use crate::tennis::stroke::{Depth, Row, Stroke, Wing};
use crate::tennis::{CourtSide, End, Side};
use crate::time::MatchTime;

fn typed(typist: &mut Typist, script: &str) {
    for word in script.split_whitespace() {
        let (key, at) = word.rsplit_once('@').unwrap_or((word, "0"));
        typist.press(key, MatchTime::from_millis(at.parse().unwrap()));
    }
}

fn many() -> Typist {
    let mut typist = Typist::default();
    typist.record.about.shows = Kind::Points;
    typist
}

#[test]
fn a_point_joined_in_mid_rally_has_no_serve_and_no_numbers() {
    let mut t = Typist::default();
    typed(&mut t, "ctrl+j@1000");
    let pad = t.pad();
    assert_eq!((pad.phase, pad.joined, pad.serve, pad.striker), (Phase::Rally, true, None, None));
    assert!(matches!(pad.lands, Lands::Half(_)));
    // A backhand key is a backhand and no fault; a row is a depth; strokes are allowed for the first shot.
    typed(&mut t, "shift+u@1200 d@1200 shift+F8@1200");
    let p = &t.record.points[0];
    assert_eq!((p.joined_late, p.faults, p.serves_out.len()), (true, None, 0));
    assert_eq!(p.shots[0].cell.unwrap().row, Some(Row::Up));
    assert_eq!((p.shots[0].wing, p.shots[0].stroke), (Some(Wing::Backhand), Some(Stroke::DropShot)));
    assert_eq!(p.first_by, Some(Side::A));
    // A serves the first point from the near end, so B strikes from the far end.
    assert_eq!((t.pad().striker, t.pad().lands), (Some(Side::B), Lands::Half(Some(End::Near))));
    typed(&mut t, "k@1500 2@1800");
    let p = &t.record.points[0];
    assert_eq!((p.winner, p.finish, p.logged), (Some(Side::B), Some(Finish::Winner), Some(Logged::Every)));
    let f = &facts(&t.record)[0];
    assert_eq!((f.length, f.serve, f.serves), (None, None, [None; 2]));
    assert_eq!(f.shots.iter().map(|s| s.by).collect::<Vec<_>>(), [Some(Side::A), Some(Side::B)]);
    assert_eq!(t.said, Vec::<String>::new());
    let line = Line::of(&t.record, &facts(&t.record), Some(0), &t.pad()).to_string();
    assert!(line.starts_with("joined late … · Player A backhand, drop shot"), "{line}");
    assert!(!line.contains("serves") && !line.contains("returns"), "{line}");
}

/// Who struck first is not known: the ending does not name a winner, and the winner's key does not undo the ending.
#[test]
fn the_winner_is_named_where_nobody_knows_who_struck() {
    let (r, said) = log("ctrl+j@1000 u@1200 k@1500 2@1800 a@1800");
    assert_eq!(said, Vec::<String>::new());
    let p = &r.points[0];
    assert_eq!((p.winner, p.finish, p.logged), (Some(Side::A), Some(Finish::Winner), Some(Logged::Every)));
    let by: Vec<_> = facts(&r)[0].shots.iter().map(|s| s.by).collect();
    assert_eq!(by, [Some(Side::B), Some(Side::A)], "by who won");
}

#[test]
fn one_shot_of_a_point_joined_late_is_a_winner_and_no_ace() {
    let (r, said) = log("ctrl+j@1000 u@1200 2@1800 1@1800");
    assert_eq!(r.points[0].finish, Some(Finish::Winner));
    assert_eq!(said, [LogError::Joined { number: 1 }.to_string()]);
}

#[test]
fn joined_late_is_for_a_point_being_logged_too_and_goes_off_again() {
    let (r, said) = log("s@1000 u@1000 ctrl+j@1100");
    assert_eq!((r.points.len(), r.points[0].joined_late, r.points[0].faults), (1, true, None));
    assert_eq!(said, Vec::<String>::new());
    let (r, _) = log("s@1000 ctrl+j@1100 u@1200 shift+F8@1 ctrl+j@1300");
    let p = &r.points[0];
    assert_eq!((p.joined_late, p.first_by, p.faults), (false, None, Some(0)));
    assert_eq!(p.shots[0].cell.unwrap().row, None, "a serve again");
    let (r, said) = log("s@1000 f@1100 ctrl+j@1200 shift+F8@1300");
    assert!(!r.points[0].joined_late);
    assert_eq!(
        said,
        [LogError::HasServe { number: 1 }, LogError::NotJoined { number: 1 }].map(|e| e.to_string())
    );
}

#[test]
fn keys_about_the_serve_are_refused_once_it_was_missed() {
    let (r, said) = log("ctrl+j@1000 u@1100 f@1200 y@1200 8@1200 alt+1@1200 1@1200");
    assert_eq!(said, vec![LogError::Joined { number: 1 }.to_string(); 5]);
    assert_eq!((r.points[0].shots.len(), r.points[0].winner), (1, None));
    // The whole point can still be a let.
    let (r, _) = log("ctrl+j@1000 u@1100 z@1300");
    assert!(r.points[0].replayed);
}

#[test]
fn a_depth_alone_is_no_error_for_the_first_shot_of_a_point_joined_late() {
    let (r, said) = log("ctrl+j@1000 alt+9@1100");
    assert_eq!((r.points[0].shots[0].depth, said.len()), (Some(Depth::Mid), 0));
}

#[test]
fn a_point_is_left_before_its_end() {
    let (r, said) = log("s@1000 u@1000 shift+k@1500 ctrl+shift+j@1800");
    assert_eq!(said, Vec::<String>::new());
    let p = &r.points[0];
    assert_eq!((p.left_early, p.end, p.winner), (true, Some(MatchTime::from_millis(1800)), None));
    let f = &facts(&r)[0];
    assert_eq!((f.length, f.winner, f.left_early), (None, None, true));
    // Who won may have been heard; an ending that was seen says that the point was not left.
    let (r, _) = log("s@1000 u@1000 shift+k@1500 ctrl+shift+j@1800 b@1800");
    assert_eq!((r.points[0].left_early, r.points[0].winner), (true, Some(Side::B)));
    let (r, said) = log("s@1000 u@1000 shift+k@1500 ctrl+shift+j@1800 2@1800 ctrl+shift+j@1800");
    assert_eq!((r.points[0].left_early, r.points[0].winner), (false, Some(Side::B)));
    assert_eq!(said, [LogError::HasEnding { number: 1 }.to_string()]);
    let (r, _) = log("s@1000 u@1000 ctrl+shift+j@1800 ctrl+shift+j@1800");
    assert_eq!((r.points[0].left_early, r.points[0].logged), (false, None));
}

#[test]
fn what_the_score_does_not_tell_is_said_by_one_key_each() {
    let mut t = many();
    typed(&mut t, "s@1000");
    assert_eq!((t.pad().striker, t.pad().server), (None, None));
    typed(&mut t, "F8@0 F8@0 F9@0 shift+F9@0 shift+F9@0 u@1000");
    let p = &t.record.points[0];
    assert_eq!((p.served_by, p.server_end, p.side), (Some(Server::B), Some(End::Near), Some(CourtSide::Ad)));
    let f = &facts(&t.record)[0];
    assert_eq!((f.server, f.server_end, f.court), (Some(Side::B), Some(End::Near), Some(CourtSide::Ad)));
    assert!(f.shots[0].serve_to.is_some() && t.said.is_empty(), "{:?}", t.said);
    typed(&mut t, "F8@0 F9@0 F9@0 shift+F9@0");
    let p = &t.record.points[0];
    assert_eq!((p.served_by, p.server_end, p.side), (None, None, None), "and is not known again");
    // In a match the score tells; changing that is a correction.
    let (r, said) = log("s@1000 F8@0 F9@0 shift+F9@0");
    assert_eq!((r.points[0].served_by, r.points[0].server_end, r.points[0].side), (None, None, None));
    assert_eq!(said.len(), 3);
    assert!(
        said[0].starts_with("who serves of point 1 follows") || said[0].contains("follows from the score")
    );
}

#[test]
fn who_serves_names_the_winner_of_shots_that_were_logged_before() {
    let mut t = many();
    typed(&mut t, "s@1000 u@1000 2@1200 F8@1200");
    let p = &t.record.points[0];
    assert_eq!((p.finish, p.winner), (Some(Finish::Ace), Some(Side::A)));
}

#[test]
fn a_stroke_without_shots_is_a_tag_and_then_says_whose() {
    let (r, said) = log("s@1000 d@1500 b@1600 c@1700 a@1800 a@1900");
    assert_eq!(said, Vec::<String>::new());
    let p = &r.points[0];
    assert_eq!(p.tags, ["drop shot", "lob"].map(String::from).into());
    assert_eq!(p.tags_by, [("drop shot".into(), Whose::B), ("lob".into(), Whose::A)].into());
    assert_eq!(
        (p.winner, p.end),
        (Some(Side::A), Some(MatchTime::from_millis(1900))),
        "the third a is the winner"
    );
    for (key, tag) in [("v", "volley"), ("x", "overhead"), ("r", "approach"), ("shift+v", "volley")] {
        let (r, _) = log(&format!("s@1000 {key}@1500 a@1600"));
        assert_eq!(r.points[0].tags_by, [(tag.into(), Whose::A)].into(), "{key}");
        assert_eq!(r.points[0].winner, None);
    }
}

#[test]
fn the_question_whose_is_over_with_any_other_key() {
    let mut t = Typist::default();
    typed(&mut t, "s@1000 d@1500");
    assert_eq!(t.pad().whose.as_deref(), Some("drop shot"));
    typed(&mut t, "2@1600 a@1700");
    assert_eq!((t.pad().whose, t.record.points[0].winner), (None, Some(Side::A)));
    assert!(t.record.points[0].tags_by.is_empty(), "nobody said whose");
    typed(&mut t, "shift+b@1700 shift+a@1700");
    assert_eq!(t.record.points[0].tags_by, [("drop shot".into(), Whose::Both)].into());
    typed(&mut t, "shift+a@1700 d@1700");
    let p = &t.record.points[0];
    assert!(p.tags.is_empty() && p.tags_by.is_empty(), "the key again takes both off");
}

#[test]
fn whose_can_be_said_of_any_tag_and_the_winner_key_stays_the_winner() {
    let (r, said) = log("s@1000 F5@1200 a@1500 shift+b@1500");
    let p = &r.points[0];
    assert_eq!((p.winner, said.len()), (Some(Side::A), 0));
    assert_eq!(p.tags_by, [("poor choice".into(), Whose::B)].into());
    let (_, said) = log("s@1000 shift+b@1500");
    assert_eq!(said, [LogError::NoTag { number: 1 }.to_string()]);
}

#[test]
fn with_shots_a_stroke_is_said_of_the_shot() {
    let (r, _) = log("s@1000 u@1000 k@1500 d@1500 a@1800");
    let p = &r.points[0];
    assert_eq!((p.shots[1].stroke, p.tags.len(), p.winner), (Some(Stroke::DropShot), 0, Some(Side::A)));
}

#[test]
fn the_players_are_the_same_as_before() {
    let mut t = many();
    typed(&mut t, "s@1000 ctrl+b@0 a@2000");
    assert_eq!(t.said, [LogError::NoSource { number: 1 }.to_string()]);
    let source =
        Source { a: "Holt".into(), b: "Okafor".into(), score: "30–40".into(), ..Source::default() };
    let named = Point { source: Some(Box::new(source)), ..t.record.points[0].clone() };
    t.record.points.replace(0, named);
    typed(&mut t, "s@3000 b@4000 s@5000 ctrl+b@0");
    let of = |r: &Record, n: usize| r.points[n].source.as_ref().map(|s| (s.a.clone(), s.score.clone()));
    assert_eq!(of(&t.record, 1), None);
    assert_eq!(of(&t.record, 2), Some(("Holt".into(), String::new())), "the score is each point's own");
    let words = crate::facts::words_of(&t.record, &facts(&t.record)[2]);
    assert!(words.starts_with("Holt – Okafor, server not known, score not known"), "{words}");
    let (_, said) = log("s@1000 ctrl+b@0");
    assert_eq!(said, [LogError::OneMatch.to_string()]);
}

#[test]
fn everything_is_taken_back() {
    let mut t = many();
    typed(
        &mut t,
        "ctrl+j@1000 u@1 shift+F8@1 F8@1 F9@1 shift+F9@1 ctrl+shift+j@2000 s@3000 d@3000 a@3000 F2@1 shift+b@1",
    );
    t.undo_all();
    assert_eq!(t.record.points.len(), 0);
}
