use super::super::truth::{Ending, Fate, Stroke, Tag, Wing};
use super::*;
use crate::tennis::CourtSide;
use crate::tennis::court::{BALL_RADIUS, in_singles};

fn many() -> Vec<Match> {
    (1..=6).map(|number| play(&Wanted { number, games: None, points: None, brisk: false })).collect()
}

fn middle(mut all: Vec<f64>) -> (f64, f64, f64) {
    all.sort_by(f64::total_cmp);
    let at = |q: f64| all[((all.len() - 1) as f64 * q) as usize];
    (at(0.05), at(0.5), at(0.95))
}

#[test]
fn the_same_number_plays_the_same_match() {
    let of = |number| play(&Wanted { number, games: Some(3), points: None, brisk: true });
    assert_eq!(of(4), of(4));
    assert_ne!(of(4).points, of(5).points);
}

#[test]
fn the_score_follows_the_rules() {
    for m in many() {
        let mut scorer = Scorer::singles(RULES, FIRST_SERVER, A_STARTS);
        for p in &m.points {
            let s = scorer.state();
            assert_eq!((p.server, Some(p.court_side), Some(p.server_end)), (s.server, s.side, s.server_end));
            assert_eq!((p.score.games, &p.score.called), (s.games, &s.called.server_first(s.server)));
            scorer.award(p.winner);
        }
        assert!(scorer.finished());
    }
}

fn secs(t: crate::time::MatchTime) -> f64 {
    t.as_secs_f64()
}

/// Every duration of the kinds that were measured, by name.
fn durations(all: &[Match]) -> [Vec<f64>; 7] {
    let mut found: [Vec<f64>; 7] = Default::default();
    for m in all {
        for p in &m.points {
            if let Some(serve) = p.strikes.iter().find(|s| s.shot == Some(1)) {
                found[6].push(secs(p.span.end()) - secs(serve.time));
            }
            for w in p.strikes.windows(2) {
                let (gap, down) = (secs(w[1].time) - secs(w[0].time), secs(w[0].fate_time) - secs(w[0].time));
                let bounced = w[0].fate == Fate::In && w[1].stroke != Stroke::Serve;
                match (w[0].shot, w[1].shot) {
                    (Some(1), _) => found[0].push(gap),
                    (None, _) => found[5].push(gap),
                    _ => found[1].push(gap),
                }
                if bounced {
                    found[if w[0].shot == Some(1) { 2 } else { 3 }].push(down);
                    found[4].push(gap - down);
                }
            }
        }
    }
    found
}

/// The medians measured on 7,593 frame-accurate labelled clips of professional play, in seconds, each with how far a
/// simulated median may be from it.
#[test]
fn timing_is_that_of_measured_play() {
    let all = many();
    let names = [
        ("serve to return", 0.77, 0.04),
        ("stroke to stroke", 1.30, 0.08),
        ("serve to bounce", 0.44, 0.04),
        ("stroke to bounce", 0.92, 0.06),
        ("bounce to stroke", 0.40, 0.06),
        ("fault to second serve", 12.4, 0.9),
        ("point from the serve in play", 4.0, 0.8),
    ];
    let mut rows: Vec<_> = names.into_iter().zip(durations(&all)).collect();
    let dead: Vec<f64> = all
        .iter()
        .flat_map(|m| m.points.windows(2))
        .map(|w| secs(w[1].span.start()) - secs(w[0].span.end()))
        .collect();
    let (short, long): (Vec<f64>, Vec<f64>) = dead.iter().partition(|d| **d < 60.0);
    let share = long.len() as f64 / dead.len() as f64;
    rows.push((("dead time under 60 s", 31.0, 2.0), short));
    rows.push((("dead time from 60 s on", 91.0, 6.0), long));
    for ((name, median, off), draws) in rows {
        let n = draws.len();
        let (a, m, b) = middle(draws);
        println!("{name}: {a:.2} {m:.2} {b:.2}, measured {median}, n {n}");
        assert!((m - median).abs() <= off, "{name}: median {m}, measured {median}");
    }
    println!("{share:.2} of dead times from 60 s on, measured 0.23");
    assert!((0.18..0.28).contains(&share), "{share}");
}

/// Same source: 4.35 strokes a point on average, faults left out, and .135 of points of one stroke.
#[test]
fn rallies_are_as_long_as_measured() {
    let shots: Vec<f64> = many()
        .iter()
        .flat_map(|m| &m.points)
        .filter(|p| p.ending != Ending::DoubleFault)
        .map(|p| p.strikes.iter().filter(|s| s.shot.is_some()).count() as f64)
        .collect();
    let mean = shots.iter().sum::<f64>() / shots.len() as f64;
    let one = shots.iter().filter(|n| **n < 1.5).count() as f64 / shots.len() as f64;
    println!("mean {mean:.2} shots, {one:.3} untouched serves, {} points", shots.len());
    assert!((mean - 4.35).abs() < 0.4, "mean {mean}");
    assert!((one - 0.135).abs() < 0.04, "of one stroke: {one}");
}

/// A share of points won, with its 95 % interval.
struct Won {
    rate: f64,
    of: usize,
    low: f64,
    high: f64,
}

impl Won {
    /// Of the points that `keep` keeps, those that `by` won.
    fn of(all: &[Point], by: Side, keep: impl Fn(&Point) -> bool) -> Self {
        let kept: Vec<&Point> = all.iter().filter(|p| keep(p)).collect();
        let won = kept.iter().filter(|p| p.winner == by).count();
        let i = crate::evidence::wilson(won, kept.len()).unwrap();
        Self { rate: won as f64 / kept.len() as f64, of: kept.len(), low: i.low, high: i.high }
    }
}

impl std::fmt::Display for Won {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:.3} [{:.3}, {:.3}] of {}", self.rate, self.low, self.high, self.of)
    }
}

#[test]
fn patterns_differ_in_what_they_win() {
    let all: Vec<Point> = (1..=60)
        .flat_map(|number| play(&Wanted { number, games: None, points: None, brisk: true }).points)
        .collect();
    let mut unclear = Vec::new();
    let third = |p: &Point| p.server == Side::A && p.strikes.iter().any(|s| s.shot == Some(3));
    let plan = |p: &Point| {
        p.court_side == CourtSide::Deuce
            && p.tags.contains(&Tag::WideServe)
            && p.tags.contains(&Tag::ServePlusOneOpen)
    };
    let returned = |p: &Point, wing| {
        p.server == Side::A && p.strikes.iter().any(|s| s.shot == Some(2) && s.wing == Some(wing))
    };
    let drops = |p: &Point| p.strikes.iter().any(|s| s.by == Side::A && s.stroke == Stroke::DropShot);
    let long = |p: &Point| p.tags.contains(&Tag::LongRally);
    for (name, more, less) in [
        (
            "Holt: wide serve, then the open court, against other points with a shot 3",
            Won::of(&all, Side::A, |p| third(p) && plan(p)),
            Won::of(&all, Side::A, |p| third(p) && !plan(p)),
        ),
        (
            "Holt serving: backhand returns against forehand returns",
            Won::of(&all, Side::A, |p| returned(p, Wing::Backhand)),
            Won::of(&all, Side::A, |p| returned(p, Wing::Forehand)),
        ),
        (
            "Holt: points without a drop shot of Holt's against those with one",
            Won::of(&all, Side::A, |p| !drops(p)),
            Won::of(&all, Side::A, drops),
        ),
        (
            "Okafor: rallies of more than eight shots against the rest",
            Won::of(&all, Side::B, long),
            Won::of(&all, Side::B, |p| !long(p)),
        ),
    ] {
        println!("{name}: {more} against {less}");
        unclear.extend((more.low <= less.high).then(|| format!("{name}: {more} against {less}")));
    }
    assert!(unclear.is_empty(), "{unclear:#?}");
}

#[test]
fn every_ball_is_where_the_truth_says() {
    for m in many().iter().take(4) {
        for s in m.points.iter().flat_map(|p| &p.strikes) {
            let at = m.stage.ball_at(s.time.as_secs_f64()).unwrap();
            assert!((at[0] - s.from.x.0).abs() < 1e-3 && (at[1] - s.from.y.0).abs() < 1e-3);
            assert!((at[2] - s.height.0).abs() < 2e-3, "{at:?} {s:?}");
            let at = m.stage.ball_at(s.fate_time.as_secs_f64()).unwrap();
            let place = s.fate_spot;
            assert!((at[0] - place.x.0).abs() < 1e-3 && (at[1] - place.y.0).abs() < 1e-3, "{s:?} {at:?}");
            match s.fate {
                Fate::In | Fate::Out => assert!((at[2] - BALL_RADIUS.0).abs() < 1e-3),
                Fate::Net => assert!(at[2] < 0.92 && place.y.0.abs() < 1e-6),
                Fate::Met => assert!(at[2] > 0.3),
            }
            if s.stroke != Stroke::Serve && s.fate != Fate::Met {
                assert_eq!(in_singles(place) && s.fate != Fate::Net, s.fate == Fate::In, "{s:?}");
            }
        }
    }
}

#[test]
fn players_are_at_their_ends() {
    for m in many().iter().take(1) {
        for p in &m.points {
            for s in &p.strikes {
                for side in [Side::A, Side::B] {
                    let at = s.positions[side.index()];
                    let end = if side == p.server { p.server_end } else { p.server_end.other() };
                    assert_eq!(at.y.0 < 0.0, end == End::Near, "{s:?}");
                    let shown = m.stage.players[side.index()].at(s.time.as_secs_f64()).spot;
                    let off = dist(shown, [at.x.0, at.y.0]);
                    assert!(off < 0.01, "{off} m off at {}", s.time);
                }
            }
        }
    }
}

/// Nobody runs faster on a court than 7 to 8 m/s (common practice, no source).
#[test]
fn nobody_runs_faster_than_people_do() {
    let mut fastest: f64 = 0.0;
    for (number, brisk) in [(1, false), (2, false), (3, true), (4, true)] {
        let m = play(&Wanted { number, games: None, points: None, brisk });
        for track in &m.stage.players {
            let mut t = 0.0;
            while t < m.stage.end {
                let v = track.at(t).speed;
                assert!(v < 7.6, "{v} m/s at {t} in match {number}");
                fastest = fastest.max(v);
                t += 0.05;
            }
        }
    }
    println!("fastest: {fastest:.2} m/s");
}
