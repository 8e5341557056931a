//! Shots by keys: what each key makes of the record. Player A serves the first point from the near end, to the deuce court.

use super::*;
use crate::facts::{Goes, Lane, facts};
use crate::logging::pad::Lands;
use crate::logging::typing::{Typist, log};
use crate::logging::{Phase, Plain};
use crate::tennis::stroke::{Depth, FaultKind, Miss, ServeTo, VolleyKind};
use crate::tennis::{CourtSide, End};

/// One key every 100 ms from one second on.
fn type_all(keys: &str) -> Typist {
    let mut typist = Typist::default();
    go_on(&mut typist, keys);
    typist
}

fn go_on(typist: &mut Typist, keys: &str) {
    for key in keys.split_whitespace() {
        let at = 1000 + 100 * typist.presses as u64;
        typist.press(key, MatchTime::from_millis(at));
    }
}

/// What the only point of a script holds; nothing may have been refused.
fn point(keys: &str) -> Point {
    let typist = type_all(keys);
    assert_eq!(typist.said, Vec::<String>::new(), "{keys}");
    assert_eq!(typist.record.points.len(), 1, "{keys}");
    typist.record.points[0].clone()
}

fn cells(point: &Point) -> Vec<Option<(Column, Option<Row>)>> {
    point.shots.iter().map(|s| s.cell.map(|c| (c.column, c.row))).collect()
}

#[test]
fn a_point_of_five_keys_says_all_of_its_balls() {
    use {Column as C, Row as R};
    // Wide, returned to the middle, then cross-court and down the line, where nobody comes.
    let typist = type_all("u k shift+i m 2");
    let p = &typist.record.points[0];
    assert_eq!(
        cells(p),
        [
            Some((C::Left, None)),
            Some((C::Middle, Some(R::Middle))),
            Some((C::Middle, Some(R::Up))),
            Some((C::Left, Some(R::Down)))
        ]
    );
    assert_eq!(p.start, Some(MatchTime::from_secs(1)));
    assert_eq!(p.end, Some(MatchTime::from_millis(1400)));
    assert_eq!((p.winner, p.finish, p.logged), (Some(Side::B), Some(Finish::Winner), Some(Logged::Every)));
    let f = &facts(&typist.record)[0];
    assert_eq!((f.shots[0].serve_to, f.shots[2].wing), (Some(ServeTo::Wide), Some(Wing::Backhand)));
    assert_eq!((f.shots[2].depth, f.shots[3].depth), (Some(Depth::Deep), Some(Depth::Deep)));
    assert_eq!((f.length, f.finish_by), (Some(4), Some(Side::B)));
    assert_eq!(f.shots[3].goes.map(|g| g.value), None, "A was in the middle");
    assert_eq!(f.shots[2].lane.map(|l| l.value), Some(Lane::Middle));
    assert_eq!(f.shots[1].goes.map(|g| g.value), Some(Goes::Middle));
}

#[test]
fn an_error_is_the_ball_after_the_last_one_unless_that_was_the_missed_one() {
    let p = point("u k i 4 6");
    assert_eq!((p.shots.len(), p.winner), (4, Some(Side::A)), "B missed ball 4");
    assert_eq!((p.finish, p.miss), (Some(Finish::UnforcedError), Some(Miss::Long)));
    assert_eq!(p.shots[3], Shot { at: p.end, ..Shot::default() });
    let p = point("u k i shift+Digit4");
    assert_eq!((p.shots.len(), p.winner), (3, Some(Side::B)), "A missed ball 3");
    // Where it went and of which kind it was, in either order; then how it was struck.
    let p = point("u k i 5 3 w q");
    assert_eq!((p.finish, p.miss, p.shots.len()), (Some(Finish::ForcedError), Some(Miss::Net), 4));
    assert_eq!((p.shots[3].wing, p.shots[3].spin), (Some(Wing::Backhand), Some(Spin::Slice)));
    let p = point("u k i shift+Digit7");
    assert_eq!((p.finish, p.miss, p.winner), (None, Some(Miss::Wide), Some(Side::B)));
}

#[test]
fn an_error_with_its_kind_and_place_in_one_key() {
    let said = |keys: &str| {
        let p: Point = point(keys);
        (p.finish, p.miss, p.winner, p.shots.len())
    };
    let (unforced, forced) = (Some(Finish::UnforcedError), Some(Finish::ForcedError));
    assert_eq!(said("u k i alt+5"), (unforced, Some(Miss::Net), Some(Side::A), 4));
    assert_eq!(said("u k i alt+shift+Digit6"), (forced, Some(Miss::Long), Some(Side::A), 4));
    // It takes the place of what was said of the end before.
    for before in ["4", "3", "5", "alt+6", "2"] {
        assert_eq!(
            said(&format!("u k i {before} alt+7")),
            (unforced, Some(Miss::Wide), Some(Side::A), 4),
            "{before}"
        );
    }
    assert_eq!(said("u k alt+5 alt+5"), (None, None, None, 2));
    assert_eq!(said("s a alt+5"), (unforced, Some(Miss::Net), Some(Side::A), 0), "of a point without balls");
    assert_eq!(said("s a alt+5 alt+5"), (None, None, Some(Side::A), 0));
}

#[test]
fn a_finish_can_be_changed_and_taken_off() {
    let p = point("u k 3 4");
    assert_eq!((p.finish, p.winner, p.shots.len()), (Some(Finish::UnforcedError), Some(Side::B), 3));
    let p = point("u k 3 2");
    assert_eq!((p.finish, p.winner, p.shots.len()), (Some(Finish::Winner), Some(Side::B), 2));
    let p = point("u k 2 4");
    assert_eq!((p.finish, p.winner, p.shots.len()), (Some(Finish::UnforcedError), Some(Side::B), 3));
    for keys in ["u k 2 2", "u k 4 4", "u k 5 5", "u k 4 5 4"] {
        let p = point(keys);
        assert_eq!(
            (p.finish, p.miss, p.winner, p.logged, p.shots.len()),
            (None, None, None, None, 2),
            "{keys}"
        );
        assert!(p.end.is_some(), "{keys}");
    }
    assert_eq!(point("u 2").finish, Some(Finish::Ace), "a serve that nobody touched is an ace");
    let typist = type_all("u k 1 2 5");
    assert_eq!(
        typist.said,
        [
            "an ace is a serve that nobody touched, but this point has 2 shots. Choose winner, or delete shots",
            "point 1 ended with a winner: no shot was missed"
        ]
    );
}

#[test]
fn faults_and_lets() {
    let p = point("u f l k 2");
    assert_eq!((p.faults, p.serves_out.len(), p.shots.len()), (Some(1), 1, 2));
    assert_eq!((p.serves_out[0].cell.map(|c| c.column), p.winner), (Some(Column::Left), Some(Side::B)));
    let p = point("u f 0 q l f 8 7");
    assert_eq!((p.faults, p.finish, p.winner), (Some(2), Some(Finish::DoubleFault), Some(Side::B)));
    assert_eq!(p.serves_out.iter().map(|s| s.pace).collect::<Vec<_>>(), [Some(Pace::Fast), Some(Pace::Slow)]);
    assert_eq!((p.serves_out[0].spin, p.miss, p.shots.len()), (Some(Spin::Slice), None, 0));
    assert_eq!(p.serves_out[1].fault, Some(FaultKind::Wide), "why the last fault was one");
    // The same in half of the keys.
    let p = point("shift+u shift+l");
    let thirds: Vec<_> = p.serves_out.iter().filter_map(|s| s.cell).map(|c| (c.column, c.row)).collect();
    assert_eq!(thirds, [(Column::Left, None), (Column::Right, None)]);
    assert_eq!((p.faults, p.finish, p.winner), (Some(2), Some(Finish::DoubleFault), Some(Side::B)));
    assert!(p.start < p.end && p.shots.is_empty());
    // A fault of which nothing was seen stands in its place among those that were.
    let p = point("s f u f");
    assert_eq!(p.serves_out.iter().map(|s| s.cell.is_some()).collect::<Vec<_>>(), [false, true]);
    let p = point("u z k 1");
    assert_eq!((p.faults, p.shots.len()), (Some(0), 1), "the serve after the let is the one that counts");
    assert_eq!(p.lets, Some(1), "and the let is counted");
    let p = point("u k z");
    assert!(p.replayed && p.end.is_some() && p.winner.is_none());
    let typist = type_all("s z u k i f");
    assert_eq!(
        typist.said,
        [
            "point 1 has no serve yet, so there is none to take back",
            "point 1 has 3 shots. A fault is a serve: delete the shots after it first"
        ]
    );
}

#[test]
fn a_ball_is_chosen_to_be_corrected() {
    use {Column as C, Row as R};
    let p = point("u k i ; l");
    assert_eq!(cells(&p)[2], Some((C::Right, Some(R::Middle))), "the last one");
    let p = point("u k i ; ; ; o m");
    assert_eq!(cells(&p)[0], Some((C::Right, None)), "the serve");
    assert_eq!(cells(&p)[3], Some((C::Left, Some(R::Down))), "and then on at the end");
    let p = point("u k i ; ; d w ' ' l");
    assert_eq!((p.shots[1].stroke, p.shots[1].wing), (Some(Stroke::DropShot), Some(Wing::Backhand)));
    assert_eq!(p.shots.len(), 4);
    let p = point("u k i ; ; Backspace");
    assert_eq!((p.shots.len(), cells(&p)[1]), (2, Some((C::Middle, Some(R::Up)))));
    let p = point("u k i ; ; ; Backspace");
    assert_eq!((p.shots.len(), &p.shots[0]), (3, &Shot::default()), "a serve that was answered was struck");
    let p = point("u k i ; ; Insert o l");
    assert_eq!(cells(&p)[2], Some((C::Right, Some(R::Up))));
    assert_eq!(p.shots.len(), 5);
    let p = point("u k i ; ; h");
    assert_eq!(p.shots[1], Shot { at: p.shots[1].at, ..Shot::default() });
    assert_eq!(type_all("u Backspace").record.points, [], "the key that began the point");
    assert_eq!(type_all("shift+u Backspace").record.points, []);
    assert_eq!(cells(&point("s u Backspace o")), [Some((C::Right, None))]);
    let p = point("s f u Backspace Backspace i");
    assert_eq!((p.faults, p.shots.len(), p.serves_out.len()), (Some(0), 1, 0), "the fault too");
}

#[test]
fn after_a_shot_is_deleted_the_choice_stays_where_it_was() {
    let chosen = |keys: &str| {
        let typist = type_all(keys);
        (typist.logger.chosen(&typist.record), typist.record.points[0].shots.len())
    };
    assert_eq!(chosen("u k i l ; ; ; Backspace"), (Some(1), 3), "the shot that came after it");
    assert_eq!(chosen("u k i l ; ; ; Backspace Backspace"), (Some(1), 2));
    assert_eq!(chosen("u k i l ; Backspace"), (None, 3), "the next key says the last shot anew");
    assert_eq!(chosen("u k i l 2 ; Backspace"), (Some(2), 3), "no key begins another point");
    assert_eq!(chosen("u k i l Backspace"), (None, 3), "none was chosen");
    assert_eq!(chosen("u k i ; ; ; Backspace"), (Some(0), 3), "a serve that was answered was struck");
}

#[test]
fn a_point_that_ended_is_corrected_too_and_its_winner_follows() {
    let p = point("u k i 2 ; l");
    assert_eq!((p.shots.len(), p.winner), (3, Some(Side::A)));
    let p = point("u k i 2 ; ; Insert j");
    assert_eq!((p.shots.len(), p.winner), (4, Some(Side::B)));
    let p = point("u k i 2 Backspace");
    assert_eq!((p.shots.len(), p.winner), (2, Some(Side::B)));
    let typist = type_all("u k i 2 u");
    assert_eq!(typist.record.points.len(), 2, "without a ball chosen the next point starts");
}

#[test]
fn the_same_key_again_takes_what_was_said_of_a_ball_off() {
    assert_eq!(point("u k d d w w q q r r"), point("u k"));
    assert_eq!(point("u 8 8 t t alt+1 alt+1"), point("u"));
    let p = point("u 9 k c t r alt+3");
    assert_eq!((p.shots[0].pace, p.stance), (Some(Pace::Medium), Some(Stance::Wide)));
    assert_eq!(
        (p.shots[1].stroke, p.shots[1].spin, p.shots[1].approach),
        (Some(Stroke::Lob), Some(Spin::Topspin), true)
    );
    let typist = type_all("u d w s");
    assert_eq!(
        typist.said[..2],
        [
            "shot 1 is the serve and has no stroke. Log the shot that you mean first, or choose it",
            "shot 1 is the serve and has no wing. Log the shot that you mean first, or choose it"
        ]
    );
    assert_eq!(type_all("s w").said, ["point 1 has no shot yet. First press where the serve went"]);
}

#[test]
fn a_plain_key_says_a_wing_and_a_stroke_only_when_told_to() {
    let p = point("u k shift+k");
    assert_eq!((p.shots[1].wing, p.shots[2].wing, p.shots[1].stroke), (None, Some(Wing::Backhand), None));
    let typist = type_all("alt+f alt+g u k shift+k d d");
    assert_eq!(typist.logger.plain(), Plain { forehand: true, groundstroke: true, misses: false });
    let p = &typist.record.points[0];
    assert_eq!((p.shots[0].wing, p.shots[0].stroke), (None, None));
    assert_eq!((p.shots[1].wing, p.shots[2].wing), (Some(Wing::Forehand), Some(Wing::Backhand)));
    assert_eq!(p.shots[2].stroke, Some(Stroke::Groundstroke), "a drop shot taken off again");
    assert_eq!(
        point("u h 4").shots[1..],
        [Shot::default(), Shot { at: point("u h 4").end, ..Shot::default() }]
    );
}

#[test]
fn the_three_depths() {
    let p = point("s a 2");
    assert_eq!((p.winner, p.logged, p.shots.len()), (Some(Side::A), None, 0));
    for keys in ["u k i g b 4", "u k i b 4"] {
        let p = point(keys);
        assert_eq!((p.winner, p.logged, p.shots.len()), (Some(Side::B), Some(Logged::Opening), 3), "{keys}");
        assert_eq!(p.finish, Some(Finish::UnforcedError));
    }
    assert_eq!(
        type_all("u k g i").said[0].split('.').next(),
        Some("the shots of point 1 are not logged from here on")
    );
    // Who was named wins, whatever alternation says.
    let p = point("u k 2 a");
    assert_eq!((p.winner, p.logged), (Some(Side::A), Some(Logged::Opening)));
    assert_eq!(point("u k 2 b"), point("u k 2"), "named as it follows: nothing changes");
}

#[test]
fn a_ball_keyed_on_an_earlier_frame_has_no_time() {
    let (record, _) = log("u@1000 k@2000 i@1500 l@3000 2@3200 shift+s@1200 shift+e@2900");
    let at: Vec<_> = record.points[0].shots.iter().map(|s| s.at.map(|t| t.nanos() / 1_000_000)).collect();
    assert_eq!(at, [Some(1200), Some(2000), None, None]);
}

/// What the line says of such a serve: "server serves left".
#[test]
fn without_a_known_server_the_keys_of_a_serve_say_where_it_lands_in_the_picture() {
    let mut typist = Typist::default();
    typist.record.about.shows = crate::record::Kind::Part;
    let pad = typist.pad();
    assert!(matches!(pad.lands, Lands::Box { from: None, court: None, .. }), "{:?}", pad.lands);
    assert_eq!(pad.cells.map(|c| c.word), ["left", "middle", "right"].repeat(3)[..]);
}

#[test]
fn the_pad_shows_whose_ball_comes_next_and_where() {
    let mut typist = Typist::default();
    let pad = typist.pad();
    assert_eq!((pad.phase, pad.striker, pad.serve), (Phase::Idle, Some(Side::A), Some(1)));
    let first =
        Lands::Box { from: Some(End::Near), court: Some(CourtSide::Deuce), column: Some(Column::Left) };
    assert_eq!(pad.lands, first);
    assert_eq!(pad.cells[..3].iter().map(|c| c.word).collect::<Vec<_>>(), ["wide", "body", "T"]);
    go_on(&mut typist, "u");
    let pad = typist.pad();
    assert_eq!((pad.phase, pad.ball, pad.striker), (Phase::Rally, 1, Some(Side::B)));
    assert_eq!((pad.lands, pad.goes_to), (Lands::Half(Some(End::Near)), Some(0)));
    assert_eq!(pad.cells.map(|c| c.word)[6], "deep");
    go_on(&mut typist, "f");
    assert_eq!((typist.pad().phase, typist.pad().serve), (Phase::Serve, Some(2)));
    go_on(&mut typist, "i k u m ;");
    let pad = typist.pad();
    assert_eq!((pad.phase, pad.ball, pad.chosen, pad.goes_to), (Phase::Rally, 3, true, Some(3)));
    assert!(pad.cells[6].marked && pad.cells.iter().filter(|c| c.marked).count() == 1);
    go_on(&mut typist, "' 2");
    let pad = typist.pad();
    assert_eq!((pad.phase, pad.striker), (Phase::Idle, Some(Side::A)));
    let ad = Lands::Box { from: Some(End::Near), court: Some(CourtSide::Ad), column: Some(Column::Right) };
    assert_eq!(pad.lands, ad);
    go_on(&mut typist, "; ;");
    assert_eq!((typist.pad().phase, typist.pad().ball), (Phase::Ended, 2));
}

#[test]
fn a_plan_is_kept_for_the_point_that_comes() {
    let mut typist = type_all("");
    typist.logger = typist.logger.plan(" serve and volley ", &typist.record).unwrap().after;
    go_on(&mut typist, "u");
    assert_eq!(typist.record.points[0].plan, "serve and volley");
    assert_eq!(typist.logger.next_plan(), "");
    let step = typist.logger.plan("", &typist.record).unwrap();
    let _ = typist.record.apply(step.edit.unwrap()).unwrap();
    assert_eq!(typist.record.points[0].plan, "");
}

/// Where each shot landed, and where it was aimed.
fn aims(point: &Point) -> Vec<(Option<Column>, Option<Column>)> {
    let column = |c: Option<Cell>| c.map(|c| c.column);
    point.shots.iter().map(|s| (column(s.cell), column(s.aim))).collect()
}

#[test]
fn the_cell_of_a_missed_shot_is_where_it_was_aimed() {
    use Column::{Left as L, Middle as M, Right as R};
    // With Shift of the shot keyed last; with plain-misses the same keys without Shift.
    for keys in ["u k shift+o shift+Digit6", "alt+h u k shift+o 6"] {
        let p = point(keys);
        assert_eq!(aims(&p), [(Some(L), None), (Some(M), None), (None, Some(R))], "{keys}");
        assert_eq!(
            (p.miss, p.winner, p.shots[2].wing),
            (Some(Miss::Long), Some(Side::B), Some(Wing::Backhand))
        );
        assert_eq!(p.shots[2].aim.and_then(|c| c.row), Some(Row::Up));
    }
    let one = point("alt+h u k o alt+5");
    assert_eq!(
        (one.finish, one.miss, one.winner),
        (Some(Finish::UnforcedError), Some(Miss::Net), Some(Side::B))
    );
    assert_eq!(aims(&one)[2], (None, Some(R)));
    // Not demanded: a shot that was not seen, or the error key of the next one.
    for keys in ["alt+h u k h 4", "alt+h u k shift+Digit4", "u k 4"] {
        let p = point(keys);
        assert_eq!(
            (p.finish, p.shots.len(), p.winner),
            (Some(Finish::UnforcedError), 3, Some(Side::B)),
            "{keys}"
        );
        assert_eq!(aims(&p)[1..], [(Some(M), None), (None, None)], "{keys}");
    }
    // A serve in play was not missed: the return was.
    for keys in ["alt+h u 4", "alt+h u alt+6"] {
        let p = point(keys);
        assert_eq!((p.shots.len(), p.winner, aims(&p)[0]), (2, Some(Side::A), (Some(L), None)), "{keys}");
    }
}

#[test]
fn an_aim_becomes_a_landing_again_where_the_shot_was_not_missed() {
    let landed = |keys: &str| (point(keys).shots.len(), aims(&point(keys)));
    let all = (3, aims(&point("u k o")));
    for keys in ["alt+h u k o 4 4", "alt+h u k o 6 6", "alt+h u k o alt+6 alt+6", "alt+h u k o 4 2"] {
        assert_eq!(landed(keys), all, "{keys}");
    }
    assert_eq!(point("alt+h u k o 4 2").finish, Some(Finish::Winner));
    assert_eq!(aims(&point("u k o 2 shift+Digit4"))[2], (None, Some(Column::Right)), "and the other way");
    // A shot after it was put in: it was answered, so it landed. Chosen, a pad key says anew where it was aimed.
    assert_eq!(landed("alt+h u k o 4 Insert").1[2], (Some(Column::Right), None));
    assert_eq!(aims(&point("alt+h u k o 4 ; j"))[2], (None, Some(Column::Left)));
    // Undone key by key nothing stays, and all of it is one edit each.
    let mut typist = type_all("alt+h u k o 6 4");
    for want in [(None, Some(Column::Right)), (Some(Column::Right), None)] {
        typist.undo();
        assert_eq!(aims(&typist.record.points[0])[2], want);
    }
}

#[test]
fn why_a_serve_was_a_fault() {
    use FaultKind::{Foot, Long, Net, Wide};
    let kinds = |keys: &str| point(keys).serves_out.iter().map(|s| s.fault).collect::<Vec<_>>();
    assert_eq!(kinds("u f 5 k 1"), [Some(Net)]);
    assert_eq!(kinds("shift+u 6 shift+l 7"), [Some(Long), Some(Wide)]);
    assert_eq!(kinds("shift+u 6 6"), [None], "the same again takes it off");
    assert_eq!(kinds("s f 5 f"), [Some(Net), None], "of serves that were not keyed too");
    assert_eq!(kinds("s shift+f u shift+f"), [Some(Foot), Some(Foot)]);
    // The shot keyed last went into the net: if that was the serve, it was a fault.
    assert_eq!(kinds("u shift+Digit5"), [Some(Net)]);
    assert_eq!(kinds("alt+h u 5 l 6"), [Some(Net), Some(Long)]);
    // A serves from the near end: the lower row of the box is the one by the net.
    assert_eq!(kinds("alt+h shift+m shift+o"), [Some(Net), Some(Long)]);
    assert_eq!(kinds("alt+h shift+k"), [Some(Wide)]);
    assert_eq!(kinds("alt+h shift+k 7"), [None], "the same key again removes it");
    assert_eq!(kinds("shift+m shift+o"), [None, None], "only where one asked for it");
    assert_eq!(point("alt+h shift+m shift+o").finish, Some(Finish::DoubleFault));
}

/// Alt with a pad key says that the shot was a slice; a plain pad key later keeps that.
#[test]
fn a_pad_key_with_alt_is_a_slice() {
    let sliced = |keys: &str| {
        let p = point(keys);
        let all = p.serves_out.iter().chain(&p.shots).map(|s| (s.spin, s.wing));
        all.collect::<Vec<_>>()
    };
    let (slice, backhand) = (Some(Spin::Slice), Some(Wing::Backhand));
    assert_eq!(sliced("u alt+k alt+shift+o"), [(None, None), (slice, None), (slice, backhand)]);
    assert_eq!(sliced("alt+shift+u alt+k"), [(slice, None), (slice, None)], "a sliced fault, a sliced serve");
    assert_eq!(point("alt+shift+u alt+k").faults, Some(1));
    assert_eq!(sliced("u alt+shift+k ; j")[1], (slice, backhand));
    assert_eq!(sliced("u k ; alt+j")[1], (slice, None));
    // With aims on, the missed shot too.
    let p = point("alt+h u alt+shift+o 6");
    assert_eq!((p.shots[1].spin, p.shots[1].aim.is_some()), (slice, true));
}

#[test]
fn what_else_can_be_said_of_a_shot_has_a_key_each() {
    let shot = |keys: &str| point(keys).shots.last().unwrap().clone();
    let half = shot("u k shift+v");
    assert_eq!((half.stroke, half.volley), (Some(Stroke::Volley), Some(VolleyKind::Half)));
    assert_eq!(shot("u k alt+v").volley, Some(VolleyKind::Swinging));
    assert_eq!((shot("u k shift+v d").volley, shot("u k shift+v shift+v")), (None, shot("u k")));
    assert!(shot("u k shift+n").at_net && shot("u k shift+c").net_cord && shot("u shift+c").net_cord);
    let deep = shot("u alt+0");
    assert_eq!((deep.cell, deep.depth), (None, Some(Depth::Deep)));
    assert_eq!(shot("u alt+0 ; k").depth, None, "a cell says more");
    assert_eq!(facts(&type_all("u alt+8 k").record)[0].shots[1].depth, Some(Depth::Short));
    assert_eq!(
        type_all("alt+8 u shift+n").said,
        [
            "shot 1 is the serve and has no depth. Log the shot that you mean first, or choose it",
            "shot 1 is the serve and has no place at the net. Log the shot that you mean first, or choose it"
        ]
    );
}

#[test]
fn what_else_can_be_said_of_a_point_has_a_key_each() {
    let p = point("u k shift+y 4");
    assert_eq!((p.miss, p.also_wide, p.finish), (Some(Miss::Long), true, Some(Finish::UnforcedError)));
    let p = point("u k 6 shift+y 7");
    assert_eq!((p.miss, p.also_wide), (Some(Miss::Wide), false));
    let p = point("u y");
    assert_eq!((p.unreturned, p.winner, p.logged), (true, Some(Side::A), Some(Logged::Opening)));
    assert!(p.end.is_some());
    assert!(point("s y").unreturned && !point("u y y").unreturned);
    let typist = type_all("u k o y");
    assert_eq!(
        typist.said,
        ["the serve of point 1 was returned. Delete shots first, or log how the rally ended"]
    );
    let p = point("u alt+shift+b alt+shift+a");
    assert_eq!(p.time_violation, Some(Side::A));
    // A penalty is a point of its own.
    let typist = type_all("u 1 alt+b");
    assert_eq!(typist.said, Vec::<String>::new());
    let p = &typist.record.points[1];
    assert_eq!((typist.record.points.len(), p.penalty, p.winner), (2, Some(Side::B), Some(Side::A)));
    assert!(p.start < p.end && p.shots.is_empty());
    let p = point("s alt+a");
    assert_eq!((p.penalty, p.winner, p.end.is_some()), (Some(Side::A), Some(Side::B), true));
}
