//! Tests of what `check` reports: each finding from one change of a record in which nothing is wrong.

use super::*;
use crate::record::Footage;
use crate::tennis::mark::Mark;
use crate::tennis::rules::Rules;
use crate::tennis::score::SetScore;

fn at(secs: u64) -> MatchTime {
    MatchTime::from_secs(secs)
}

fn file(name: &str, start: u64, length: u64) -> Footage {
    Footage {
        file: name.into(),
        fingerprint: None,
        duration: at(length),
        rate: None,
        rotation: 0,
        start: at(start),
    }
}

fn point(n: u64) -> Point {
    Point { start: Some(at(n * 20)), end: Some(at(n * 20 + 8)), winner: Some(Side::A), ..Point::default() }
}

fn sound() -> Record {
    let mut record = Record { points: (1..=4).map(point).collect(), ..Record::default() };
    record.footage.push(file("m.mp4", 0, 100));
    record
}

/// What is reported after one change of the sound record.
fn after(change: impl FnOnce(&mut Record)) -> Vec<String> {
    let mut record = sound();
    change(&mut record);
    check(&record).iter().map(ToString::to_string).collect()
}

#[test]
fn nothing_is_wrong_with_a_sound_record() {
    assert_eq!(after(|_| ()), [""; 0]);
    assert_eq!(check(&Record::default()), []);
}

#[test]
fn times_that_cannot_be() {
    let said = after(|r| r.points[1].end = r.points[1].start);
    assert_eq!(said, ["error: point 2: it ends at 00:00:40.000, not after its start at 00:00:40.000"]);
    let said = after(|r| r.points[1].start = None);
    assert_eq!(said[0], "error: point 2: it ends at 00:00:48.000 but never starts; stamp its start");
    let said = after(|r| {
        let point = r.points.remove(2);
        r.points.insert(1, point);
    });
    assert_eq!(
        said,
        ["error: point 3: it starts at 00:00:40.000, not after the point before it at 00:01:00.000"]
    );
    let said = after(|r| r.points[1].end = Some(at(65)));
    assert_eq!(
        said,
        ["error: point 3: it starts at 00:01:00.000, before the point before it ends at 00:01:05.000"]
    );
}

#[test]
fn footage_that_does_not_fit() {
    let said = after(|r| r.footage[0].duration = at(50));
    assert_eq!(said.len(), 4, "start and end of points 3 and 4: {said:?}");
    assert_eq!(said[0], "warning: point 3: no footage shows its start at 00:01:00.000");
    let said = after(|r| r.footage.push(file("n.mp4", 130, 10)));
    assert_eq!(said, ["note: footage 2: nothing was filmed between 00:01:40.000 and 00:02:10.000"]);
    let said = after(|r| r.footage.push(file("n.mp4", 90, 20)));
    assert_eq!(said, ["note: footage 2: it overlaps footage 1 until 00:01:40.000"]);
    let said = after(|r| r.footage.insert(0, file("n.mp4", 200, 10)));
    assert!(said[0].starts_with("error: footage 2: it starts at 00:00:00.000, before footage 1"), "{said:?}");
    let said = after(|r| r.footage[0].rotation = 45);
    assert_eq!(said, ["error: footage 1: its rotation is 45 degrees; allowed are 0, 90, 180 and 270"]);
    for name in ["/m.mp4", "../m.mp4", ""] {
        assert!(after(|r| r.footage[0].file = name.into())[0].contains("is outside the record's folder"));
    }
    let said = after(|r| r.footage[0].duration = MatchTime::ZERO);
    assert_eq!(said[0], "error: footage 1: its length is 0");
}

#[test]
fn how_a_point_ended_must_agree() {
    let said = after(|r| r.points[0].end = None);
    assert_eq!(said, ["warning: point 1: its winner is known but not when it ended; stamp its end"]);
    let said = after(|r| r.points[0].faults = Some(2));
    assert_eq!(said, ["warning: point 1: it has 2 faults, but does not end with a double fault"]);
    let ends = |faults, finish, winner| {
        after(|r| {
            r.points[0].faults = Some(faults);
            r.points[0].finish = Some(finish);
            r.points[0].winner = Some(winner);
        })
    };
    assert_eq!(ends(2, Finish::DoubleFault, Side::B), [""; 0]);
    assert_eq!(ends(1, Finish::Ace, Side::A), [""; 0]);
    let said = ends(2, Finish::Ace, Side::A);
    assert_eq!(said, ["error: point 1: it has 2 faults, but ends with an ace"]);
    let said = ends(1, Finish::DoubleFault, Side::B);
    assert_eq!(said, ["error: point 1: it is a double fault, but the number of faults is 1; it must be 2"]);
    assert_eq!(ends(3, Finish::Winner, Side::A), ["error: point 1: 3 faults; a point has at most 2"]);
    let said = ends(2, Finish::DoubleFault, Side::A);
    assert_eq!(said, ["error: point 1: it is a double fault, but the record says that the server won it"]);
    let said = ends(0, Finish::Ace, Side::B);
    assert_eq!(said, ["error: point 1: it is an ace, but the record says that the receiver won it"]);
}

#[test]
fn the_score_must_be_known_and_the_match_not_over() {
    let said = after(|r| r.points[1].winner = None);
    assert_eq!(said, ["warning: point 2: its winner is not known, so the score after it is not known"]);
    assert_eq!(after(|r| r.points[3].winner = None), [""; 0], "the last point may still be played");
    let said = after(|r| {
        r.about.rules = Rules::best_of_one();
        r.footage.clear();
        r.points = (1..=27).map(point).collect();
    });
    assert_eq!(
        said,
        ["error: point 25: the match was over before it (points too many: 3), or an earlier winner is wrong"]
    );
}

#[test]
fn the_match_must_make_sense() {
    let said = after(|r| r.about.rules.best_of = 2);
    assert_eq!(said, ["error: match: a match cannot be the best of 2 sets: 1, 3 or 5 are allowed"]);
    let said = after(|r| r.about.a.name = " ".into());
    assert_eq!(said, ["warning: match: player a has no name; a pseudonym will do"]);
    let said = after(|r| r.about.a.name = "Player B".into());
    assert_eq!(said, ["warning: match: both players are named Player B"]);
    let said = after(|r| r.about.b.consent = Some(false));
    assert_eq!(said, ["warning: match: Player B did not agree to be filmed"]);
}

/// The longest record that is read, under rules by which no set ever ends, is still counted.
#[test]
fn no_record_is_too_long_to_count() {
    let mut record = Record::default();
    record.about.rules.set.tie_break = None;
    let winner = |n: usize| Some(if (n / 4).is_multiple_of(2) { Side::A } else { Side::B });
    let points = |w: &dyn Fn(usize) -> Option<Side>| {
        (0..super::super::limits::MOST_POINTS).map(|n| Point { winner: w(n), ..Point::default() }).collect()
    };
    record.points = points(&winner);
    assert_eq!(check(&record), []);
    record.points = points(&|n| Some(if n.is_multiple_of(2) { Side::A } else { Side::B }));
    assert_eq!(check(&record), [], "one game, at deuce for ever");
}

/// A point without times in a match with footage is legal: played, not filmed.
#[test]
fn a_point_without_a_time_is_noted() {
    let said = after(|r| (r.points[1].start, r.points[1].end) = (None, None));
    assert_eq!(said, ["note: point 2: it has no time, so no clip can show it"]);
}

#[test]
fn balls_that_do_not_fit_their_point() {
    use crate::record::{Logged, Shot};
    let ball = |secs| Shot { at: Some(at(secs)), ..Shot::default() };
    assert_eq!(after(|r| r.points[0].shots = vec![ball(21), Shot::default(), ball(23)]), [""; 0]);
    let said = after(|r| r.points[0].shots = vec![ball(24), ball(22)]);
    assert_eq!(said, ["error: point 1: shot 2 at 00:00:22.000 comes before shot 1 at 00:00:24.000"]);
    let said = after(|r| r.points[0].shots = vec![ball(29)]);
    assert_eq!(said, ["error: point 1: shot 1 at 00:00:29.000 lies outside the point"]);
    let said = after(|r| {
        r.points[0].faults = Some(0);
        r.points[0].serves_out = vec![ball(21)];
    });
    assert_eq!(said, ["warning: point 1: serves described as faults: 1; faults counted: 0"]);
    let said = after(|r| r.points[0].logged = Some(Logged::Every));
    assert_eq!(said, ["warning: point 1: its shots are marked as logged, but it has none"]);
}

/// A mark that the points before it speak against is told at its place, an outcome that the score speaks against too.
#[test]
fn contradictions_are_told_at_their_place() {
    let mark = |games, points| Some(Mark { games, points, ..Mark::default() });
    let said = after(|r| r.points[2].score_before = mark([0, 0], [1, 0]));
    assert_eq!(
        said,
        [
            "error: point 3: the score is given as 0–0, 15–0, but the points before give 0–0, 30–0, and 0–0, 15–0 \
          cannot follow from that; the count goes on from 0–0, 15–0"
        ]
    );
    let said = after(|r| {
        r.points[1].winner = None;
        r.points[2].score_before = mark([0, 0], [1, 1]);
        r.points[2].finish = Some(Finish::DoubleFault);
    });
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[1].starts_with("error: point 3: it is a double fault, but"), "known again: {said:?}");
    let said = after(|r| r.closing_score = mark([9, 0], [0, 0]));
    assert!(said[0].starts_with("error: match: the score cannot be 9–0"), "{said:?}");
    let won = Mark { sets: vec![SetScore { games: [6, 0], tie_break: None }; 2], ..Mark::default() };
    assert_eq!(after(|r| r.closing_score = Some(won.clone())), [""; 0]);
    let said = after(|r| {
        r.closing_score = Some(won.clone());
        r.about.outcome = Some(Outcome::Retired(Side::B));
    });
    assert_eq!(
        said,
        ["error: match: the record says that it ended by a retirement, but by the score it was won"]
    );
}

#[test]
fn who_won_follows_from_the_outcome_or_the_score() {
    let mut record = Record::default();
    assert_eq!(record.winner(), None);
    for (outcome, winner) in [
        (Outcome::Retired(Side::A), Some(Side::B)),
        (Outcome::Defaulted(Side::B), Some(Side::A)),
        (Outcome::Unfinished, None),
    ] {
        record.about.outcome = Some(outcome);
        assert_eq!(record.winner(), winner);
    }
    record.about.outcome = None;
    record.points = (1..=48).map(point).collect();
    assert_eq!(record.winner(), Some(Side::A));
}

/// A game that is missing looks like rule 27: the first of its points is named, and nothing is called wrong.
#[test]
fn a_server_out_of_turn_is_a_note() {
    use crate::tennis::pair::Server;
    let served = |r: &mut Record, points: std::ops::Range<usize>, who| {
        r.points = (1..=12).map(point).collect();
        r.footage[0].duration = at(900);
        points.for_each(|n| r.points[n].served_by = Some(who));
    };
    assert_eq!(after(|r| served(r, 0..4, Server::A)), [""; 0]);
    let said = after(|r| served(r, 4..8, Server::A));
    assert_eq!(
        said,
        ["note: point 5: A served, but by the points before it was the turn of B; is a game missing?"]
    );
    let twice = after(|r| {
        served(r, 4..5, Server::A);
        r.points[6].served_by = Some(Server::A);
    });
    assert_eq!(twice.len(), 2, "{twice:?}");
    // Where the score is not known nobody has a turn, nor in a drill.
    let unknown = after(|r| {
        served(r, 4..8, Server::A);
        r.points[1].winner = None;
    });
    assert_eq!(unknown.len(), 1, "{unknown:?}");
    let drill = after(|r| {
        served(r, 4..8, Server::B);
        r.about.rules = Rules::named("drill").unwrap();
    });
    assert_eq!(drill, [""; 0]);
}

/// A serves the first game: of three shots the last one is A's.
#[test]
fn shots_that_speak_against_the_end_are_told_and_signed() {
    use crate::record::{Logged, Shot};
    use crate::tennis::stroke::{Cell, Column, Miss};
    let shot = || Shot { cell: Some(Cell { column: Column::Left, row: None }), ..Shot::default() };
    let said = |winner, finish, last: Shot| {
        let mut record = sound();
        let p = &mut record.points[0];
        (p.winner, p.finish, p.logged) = (Some(winner), finish, Some(Logged::Every));
        p.shots = vec![shot(), shot(), last];
        let all: Vec<String> = check(&record).iter().map(ToString::to_string).collect();
        let signed: Vec<String> =
            contradictions(&record, &record.replay()).iter().map(ToString::to_string).collect();
        assert_eq!(all, signed, "each has a sign in the window");
        all
    };
    let (won, missed) = (Some(Finish::Winner), Some(Finish::UnforcedError));
    assert_eq!(said(Side::A, won, shot()), [""; 0]);
    assert_eq!(
        said(Side::B, won, shot()),
        [
            "error: point 1: by the shots Player A hit the last shot for a winner, but the point is noted as won by Player B; correct \
             who served, who won, how it ended, or a shot"
        ]
    );
    let aimed = Shot { aim: shot().cell, ..Shot::default() };
    assert_eq!(said(Side::B, missed, aimed.clone()), [""; 0]);
    assert!(said(Side::A, missed, aimed)[0].contains(
        "Player A missed the last shot, an unforced error, but the point is noted as won by Player A"
    ));
    assert_eq!(
        said(Side::B, missed, shot()),
        [
            "warning: point 1: shot 3 landed in court, but the point ended with an unforced error; note the place as its aim if that \
             is meant, or correct the shot or the ending"
        ]
    );
    assert_eq!(
        said(Side::A, None, shot()),
        [
            "warning: point 1: every shot is logged, but not how the point ended: log whether the last shot was a winner or an \
             error"
        ]
    );
    let more = after(|r| {
        r.points[0].shots = vec![Shot { aim: shot().cell, ..Shot::default() }, Shot::default()];
        (r.points[0].also_wide, r.points[0].miss) = (true, Some(Miss::Net));
        r.points[1].penalty = Some(Side::A);
    });
    assert_eq!(
        more,
        [
            "warning: point 1: shot 1 has an aim, but the opponent returned it; only a missed shot has an aim",
            "warning: point 1: its miss is marked as wide too, but not as long",
            "error: point 2: it is a point penalty, but the record says that the penalized player won it"
        ]
    );
}

/// What a point says of its faults, its shots and its end that cannot be true together. Each has a sign in the window.
#[test]
fn what_a_point_says_against_itself_is_told_and_signed() {
    use crate::record::{Logged, Shot};
    use crate::tennis::stroke::{Cell, Column, Miss, Stroke, VolleyKind};
    let said = |change: &dyn Fn(&mut Point)| {
        let mut record = sound();
        change(&mut record.points[0]);
        let all: Vec<String> = check(&record).iter().map(ToString::to_string).collect();
        let signed: Vec<String> =
            contradictions(&record, &record.replay()).iter().map(ToString::to_string).collect();
        assert_eq!(all, signed, "each has a sign in the window");
        all.join("\n")
    };
    let shots = |n: usize| vec![Shot::default(); n];
    let ended = |p: &mut Point, finish, winner| (p.finish, p.winner) = (Some(finish), Some(winner));
    let aim = Some(Cell { column: Column::Left, row: None });
    let ace = |p: &mut Point, n| {
        ended(p, Finish::Ace, Side::A);
        p.shots = vec![Shot::default(); n];
    };
    assert_eq!(said(&|p| ace(p, 1)), "");
    insta::assert_snapshot!(said(&|p| ace(p, 2)), @"warning: point 1: it is an ace, but 2 shots are logged; delete the shots after the serve, or correct how it ended");
    let double = |p: &mut Point, faults| {
        ended(p, Finish::DoubleFault, Side::B);
        p.faults = Some(faults);
    };
    assert_eq!(said(&|p| double(p, 2)), "");
    insta::assert_snapshot!(said(&|p| double(p, 1)), @"error: point 1: it is a double fault, but the number of faults is 1; it must be 2");
    insta::assert_snapshot!(said(&|p| { double(p, 2); p.shots = shots(1); }), @"warning: point 1: it is a double fault, but shots are logged; delete them, or correct how it ended");
    insta::assert_snapshot!(said(&|p| { double(p, 2); p.unreturned = true; }), @"warning: point 1: it is a double fault, but its serve is marked as not returned; no serve was in play");
    insta::assert_snapshot!(said(&|p| { p.unreturned = true; p.shots = shots(3); }), @"warning: point 1: its serve is marked as not returned, but 3 shots are logged");
    insta::assert_snapshot!(said(&|p| { p.unreturned = true; p.winner = Some(Side::B); }), @"error: point 1: its serve is marked as not returned, but the record says that the receiver won it");
    let every = |p: &mut Point, n| (p.logged, p.shots) = (Some(Logged::Every), vec![Shot::default(); n]);
    insta::assert_snapshot!(said(&|p| { ended(p, Finish::Winner, Side::B); every(p, 1); }), @"error: point 1: by the shots Player A hit the last shot for a winner, but the point is noted as won by Player B; correct who served, who won, how it ended, or a shot");
    insta::assert_snapshot!(said(&|p| { ended(p, Finish::UnforcedError, Side::B); every(p, 1); }), @"warning: point 1: its only shot is the serve in play, and that shot is noted as missed; log the return, or the serve as a fault");
    insta::assert_snapshot!(said(&|p| { (p.miss, p.winner) = (Some(Miss::Net), Some(Side::B)); every(p, 1); }), @"warning: point 1: its only shot is the serve in play, and that shot is noted as missed; log the return, or the serve as a fault");
    insta::assert_snapshot!(said(&|p| { ended(p, Finish::Winner, Side::A); p.miss = Some(Miss::Long); }), @"warning: point 1: it ended with a winner, but it is noted where the last shot missed; delete one of the two");
    insta::assert_snapshot!(said(&|p| { ended(p, Finish::Winner, Side::A); every(p, 3); p.shots[2].aim = aim; }), @"warning: point 1: shot 3 has an aim, but it ended the point with a winner; only a missed shot has an aim");
    insta::assert_snapshot!(said(&|p| { p.penalty = Some(Side::B); p.finish = Some(Finish::Ace); }), @"warning: point 1: it is a point penalty, but it is noted that it ended with an ace; delete one of the two");
    insta::assert_snapshot!(said(&|p| { p.faults = Some(0); p.serves_out = shots(1); }), @"warning: point 1: serves described as faults: 1; faults counted: 0");
    let volley = |p: &mut Point, kind| {
        p.shots = vec![Shot::default(); 2];
        (p.shots[1].stroke, p.shots[1].volley) = (Some(Stroke::Volley), kind);
    };
    insta::assert_snapshot!(said(&|p| volley(p, None)), @"warning: point 1: shot 2, the return, is noted as a volley, but a serve must bounce before it is returned");
    assert_eq!(said(&|p| volley(p, Some(VolleyKind::Half))), "", "after the bounce");
    assert_eq!(
        said(&|p| {
            volley(p, None);
            p.joined_late = true;
        }),
        "",
        "which shot it was is not known"
    );
    let said = after(|r| r.points[0].replayed = true);
    assert_eq!(said, ["note: point 1: it is a replayed point (let), so its winner is not counted"]);
}

/// Whatever changed since, what is kept of the other points is what would be found anew.
#[test]
fn contradictions_are_kept_for_points_that_do_not_change() {
    let wrong = |n| Point { faults: Some(3), ..point(n) };
    let changes: [fn(&mut Record, Point); 7] = [
        |r, p| r.points.push(p),
        |r, p| r.points.insert(0, p),
        |r, p| r.points.insert(3, p),
        |r, _| r.points.truncate(r.points.len() - 1),
        |r, _| drop(r.points.remove(0)),
        |r, _| r.points[1].faults = Some(2),
        |r, _| r.points.truncate(0),
    ];
    for (first, second) in changes.iter().flat_map(|a| changes.map(|b| (a, b))) {
        let mut record = sound();
        record.points.push(wrong(9));
        record.points.insert(2, wrong(9));
        let mut kept = Contradictions::default();
        for change in [first, &second] {
            assert_eq!(kept.of(&record, &record.replay()), contradictions(&record, &record.replay()));
            if record.points.len() > 3 {
                change(&mut record, wrong(9));
            }
        }
        assert_eq!(kept.of(&record, &record.replay()), contradictions(&record, &record.replay()));
    }
}
