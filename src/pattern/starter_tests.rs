//! The starter patterns, each on a point that shows it, one that does not, and one that does not say.

use super::*;
use crate::facts::tests::{ball, only, point, rally};
use crate::record::{Finish, Logged, Place, Record};
use crate::tennis::Side;
use crate::tennis::court::Spot;

/// A rally of which every shot was logged, won by the server.
fn won(balls: &str) -> Record {
    rally('A', Some(Finish::Winner), balls)
}

/// The first shots of a rally.
fn opening(balls: &str) -> Record {
    let mut r = won(balls);
    r.points[0].logged = Some(Logged::Opening);
    r.points[0].finish = None;
    r
}

/// The same point served to the ad court: the point before it was won by the server.
fn ad(r: &Record) -> Record {
    let mut r = r.clone();
    r.points.insert(0, point(0, 'A', Some(0), Some(Finish::Ace), &[]));
    r
}

fn tagged(tags: &[&str]) -> Record {
    let mut r = rally('A', None, "?");
    r.points = [point(1, 'A', Some(0), None, tags)].into();
    r
}

fn with(r: &Record, change: impl FnOnce(&mut crate::record::Point)) -> Record {
    let mut r = r.clone();
    change(r.points.last_mut().unwrap());
    r
}

/// A drop shot by the server as shot 3, from so far behind (or, less than 0, inside) the baseline, with the receiver so
/// far behind the other, running across from `from` to `to`; it lands short on the right.
fn drop_shot(hitter: f64, receiver: f64, from: f64, to: f64) -> Record {
    let mut r = won("T / middle mid / right short drop");
    let at = |x, y| Place::from(Spot::new(x, y));
    for (shot, x) in r.points[0].shots.iter_mut().zip([0.0, from, to]) {
        shot.players = Some([at(0.0, -11.8872 - hitter), at(x, 11.8872 + receiver)]);
    }
    r
}

fn late_drop_shot(hitter: f64) -> Record {
    let mut r = drop_shot(hitter, 3.5, 2.0, 0.0);
    let shots = &mut r.points[0].shots;
    for _ in 0..2 {
        let [a, b] = [shots[0].clone(), shots[1].clone()];
        shots.splice(1..1, [b, crate::record::Shot { cell: None, ..a }]);
    }
    r
}

#[expect(clippy::too_many_lines, reason = "one row a pattern")]
fn rows() -> Vec<(&'static str, Record, Record, Record)> {
    let plan = |name: &str, r: &Record| with(r, |p| p.plan = name.into());
    let finish = |finish| with(&tagged(&[]), |p| p.finish = finish);
    let faults = |n| with(&tagged(&[]), |p| p.faults = n);
    let none = tagged(&[]);
    let unseen = opening("? / ?");
    let break_point = |winners: &str| {
        let mut r = tagged(&[]);
        let before = winners.chars().map(|w| point(0, w, None, None, &[]));
        r.points = before.chain(r.points).collect();
        r
    };
    let behind = |n| with(&break_point("B"), |p| p.faults = n);
    let wide_out = |out: &str| with(&won("T"), |p| (p.faults, p.serves_out) = (Some(1), vec![ball(0, out)]));
    vec![
        (
            "Wide serve, open court",
            tagged(&["wide serve", "open court"]),
            tagged(&["wide serve"]),
            none.clone(),
        ),
        ("Wide serve, deuce court", tagged(&["wide serve"]), tagged(&["T serve"]), none.clone()),
        ("T serve, ad court", ad(&tagged(&["T serve"])), ad(&tagged(&["wide serve"])), ad(&none)),
        ("Serve at the body", tagged(&["body serve"]), tagged(&["T serve"]), none.clone()),
        ("First serve in", faults(Some(0)), faults(Some(1)), faults(None)),
        (
            "Second serve, return deep",
            with(&tagged(&["deep return"]), |p| p.faults = Some(1)),
            with(&tagged(&["net"]), |p| p.faults = Some(1)),
            with(&none, |p| p.faults = Some(1)),
        ),
        ("Plus one, behind", tagged(&["behind"]), tagged(&["net"]), none.clone()),
        ("Drop shot", won("T / middle deep / right short drop"), won("T / middle deep"), none.clone()),
        ("At the net", tagged(&["approach"]), tagged(&["lob"]), none.clone()),
        // Told by its shots where they were logged, by its tags where not.
        (
            "At the net",
            won("T / middle short approach / left deep"),
            won("T / middle deep / left deep"),
            opening("T / middle deep"),
        ),
        ("Wide serve, deuce court", won("wide / ?"), won("T / ?"), won("? / ?")),
        ("T serve, ad court", ad(&won("wide / ?")), ad(&won("T / ?")), ad(&won("? / ?"))),
        (
            "Second serve, return deep",
            with(&won("T / middle deep / ?"), |p| p.faults = Some(1)),
            with(&won("T / middle short / ?"), |p| p.faults = Some(1)),
            with(&won("T / ? / ?"), |p| p.faults = Some(1)),
        ),
        ("Long rally", tagged(&["long rally"]), tagged(&["lob"]), none.clone()),
        ("Break point", break_point("BBB"), break_point("A"), break_point("?BB")),
        ("Server behind, first serve", behind(Some(0)), behind(Some(1)), behind(None)),
        (
            "Errors by the server",
            finish(Some(Finish::DoubleFault)),
            finish(Some(Finish::Winner)),
            finish(None),
        ),
        (
            "Plan played",
            plan("serve at the BODY", &won("body / left deep")),
            plan("Serve at the body", &won("T / left deep")),
            won("body / left deep"),
        ),
        (
            "Plus one, open court",
            won("wide / middle deep / right deep"),
            won("wide / middle deep / left deep"),
            won("T / middle deep / right deep"),
        ),
        (
            "Plus one, behind",
            won("wide / middle deep / left deep"),
            won("wide / middle deep / middle deep"),
            won("? / middle deep / left deep"),
        ),
        (
            "Wide serve, open court",
            won("wide / left mid / right deep fh"),
            won("T / left mid / right deep fh"),
            opening("wide / left mid"),
        ),
        (
            "T serve, then to a side",
            won("T / middle deep / left deep"),
            won("T / middle deep / middle deep"),
            won("T / middle deep / ?"),
        ),
        ("Serve at the body", won("body"), won("wide"), won("? / middle deep")),
        ("Serve to the backhand", won("T"), won("body"), unseen.clone()),
        (
            "First serve wide, in or out, deuce court",
            wide_out("wide"),
            wide_out("body"),
            with(&won("T"), |p| p.faults = None),
        ),
        ("First serve T, in or out, ad court", ad(&won("wide")), ad(&won("T")), ad(&won("?"))),
        (
            "Serve and volley",
            won("T / middle short / left deep volley"),
            won("T / middle short / left deep"),
            won("T / middle short / ?"),
        ),
        (
            "Return deep to the middle",
            won("T / middle deep / left deep"),
            won("T / middle short / left deep"),
            won("T / ? / left deep"),
        ),
        (
            "Drop shot, all conditions met",
            drop_shot(-1.0, 3.5, 2.0, 0.0),
            drop_shot(0.5, 3.5, 2.0, 0.0),
            won("T / middle short / right short drop"),
        ),
        (
            "Drop shot, a condition missed",
            drop_shot(-1.0, 3.5, -2.0, 0.0),
            drop_shot(-1.0, 3.5, 2.0, 0.0),
            won("T / middle short / right short drop"),
        ),
        (
            "Impatient drop shot",
            late_drop_shot(0.5),
            drop_shot(0.5, 3.5, 2.0, 0.0),
            opening("T / middle deep"),
        ),
        (
            "Lob after a drop shot",
            won("T / middle mid / right short drop / left mid / middle deep lob"),
            won("T / middle mid / right short drop / middle deep lob / left deep"),
            opening("T / middle mid / right short drop"),
        ),
        (
            "Approach to the weaker wing",
            won("T / middle short / right deep approach / left deep bh volley"),
            won("T / middle short / left deep approach / left deep fh"),
            won("T / middle short / middle deep approach"),
        ),
        (
            "Opponent pulled in",
            won("T / middle deep / right short"),
            won("T / middle deep / right deep"),
            opening("T / middle deep"),
        ),
        (
            "Opponent pushed back",
            won("T / middle short / left short / middle deep"),
            won("T / middle deep / right short"),
            won("T / middle deep / ?"),
        ),
        (
            "Change down the line",
            won("T / right deep / left deep fh / right deep fh / right deep fh"),
            won("T / right deep / left deep fh / right deep fh / left deep fh"),
            won("T / right deep / left deep fh / right deep fh / ?"),
        ),
        (
            "Inside-out forehand",
            won("T / left deep / right deep fh"),
            won("T / middle deep / middle deep fh"),
            won("T / left deep / right deep"),
        ),
        ("Short rally", won("T / ? / ? / ?"), won("T / ? / ? / ? / ?"), opening("T / ?")),
        ("Long rally", won("T / ? / ? / ? / ? / ? / ? / ? / ?"), won("T / ?"), opening("T / ?")),
    ]
}

#[test]
fn each_is_shown_is_not_and_cannot_be_told() {
    let file = PatternFile::starter().unwrap();
    let rows = rows();
    let mut asked = 0;
    for p in &file.patterns {
        let of = rows.iter().filter(|r| r.0 == p.name);
        let before = asked;
        for (_, yes, no, unknown) in of {
            asked += 1;
            for (record, want) in [(yes, Answer::Yes), (no, Answer::No), (unknown, Answer::Unknown)] {
                let f = crate::facts::facts(record).last().unwrap().clone();
                assert_eq!(answer(p, &f), want, "{}: {:#?}", p.name, explain(p, &f));
            }
        }
        assert!(asked > before, "no points for {}", p.name);
    }
    assert_eq!(asked, rows.len());
    assert!(file.patterns.iter().filter(|p| p.has_ball()).count() >= 15);
}

#[test]
fn each_condition_of_a_drop_shot_is_answered_by_itself() {
    let file = PatternFile::starter().unwrap();
    let p = file.named("Drop shot, a condition missed").unwrap();
    let f = only(&drop_shot(-1.0, 1.0, 2.0, 0.0));
    insta::assert_snapshot!(text(&explain(p, &f), 0), @r"
    yes: Drop shot, a condition missed
      yes: the shot: drop shot (shot 3)
        yes: drop shot (drop shot)
        yes: not all of its conditions
          yes: hitter inside the baseline (inside the baseline; measured: 1.00 m inside the baseline; threshold 0.00 m)
          no: opponent deep
            no: opponent deep (opponent not deep; measured: opponent 1.00 m behind the baseline; threshold 3.05 m)
            no: in a point tagged opponent deep (no tag)
          yes: opponent moving away
            yes: opponent moving away (opponent moving away, estimated; measured: opponent moved 0.54 m away from where it lands; it must move 0.30 m in all)
            no: in a point tagged opponent moving away (no tag)
    ");
    assert_eq!(p.won_side(&f), Some(Side::A));
    let f = only(&won("T / middle short / right short drop"));
    insta::assert_snapshot!(text(&explain(p, &f), 0), @r"
    unknown: Drop shot, a condition missed
      unknown: the shot: drop shot (shot 3)
        yes: drop shot (drop shot)
        unknown: not all of its conditions
          yes: hitter inside the baseline (inside the baseline, estimated)
          unknown: opponent deep
            unknown: opponent deep (not known)
            no: in a point tagged opponent deep (no tag)
          unknown: opponent moving away
            unknown: opponent moving away (not known)
            no: in a point tagged opponent moving away (no tag)
    ");
}

#[test]
fn the_striker_of_the_first_ball_of_a_sequence_counts() {
    let file = PatternFile::starter().unwrap();
    let lob = file.named("lob after a drop shot").unwrap();
    let f = only(&won("T / middle short drop / right short / left deep lob"));
    assert_eq!((answer(lob, &f), lob.won_side(&f)), (Answer::Yes, Some(Side::B)));
    assert_eq!(answer(&lob.struck_by(Side::A), &f), Answer::No);
    let tag = only(&tagged(&["Drop Shot"]));
    let drop = file.named("drop shot").unwrap();
    assert_eq!((answer(drop, &tag), drop.won_side(&tag)), (Answer::Yes, None), "a tag does not say who");
}

/// An explanation as lines.
fn text(e: &Explanation, depth: usize) -> String {
    let found = if e.found.is_empty() { String::new() } else { format!(" ({})", e.found) };
    let mut out = format!("{}{}: {}{found}\n", "  ".repeat(depth), e.answer.word(), e.asks);
    e.parts.iter().for_each(|p| out.push_str(&text(p, depth + 1)));
    out
}
