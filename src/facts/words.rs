//! A point in words, for the screen, the screen reader, and every export.

use super::point::PointFacts;
use super::shot::{Fact, Goes, Lane};
use crate::record::Record;
use crate::tennis::Side;
use crate::tennis::stroke::{Depth, Miss, Pace, ServeTo, Spin, Stroke, VolleyKind, Wing};

/// A point in words: `Holt serves, 30–15, deuce court, second serve, wide serve, drop shot; Okafor wins, unforced
/// error`.
pub fn words_of(record: &Record, f: &PointFacts) -> String {
    let mut parts =
        vec![server(record, f), f.called.map_or_else(|| "score not known".into(), |c| c.to_string())];
    parts.extend(f.court.map(|c| c.words().into()));
    parts.extend(f.serve.map(|n| if n == 1 { "first serve".into() } else { "second serve".into() }));
    parts.extend(f.tags.iter().cloned());
    let outcome = match f.winner {
        Some(side) => format!("{} wins", record.about_at(f.number).side_name(side)),
        None => "winner not known".into(),
    };
    let finish = f.finish.map(|x| format!(", {}", x.words())).unwrap_or_default();
    format!("{}; {outcome}{finish}", parts.join(", "))
}

/// Who serves at which score, and the tags, without how it ended: `Holt serves, 30–15, deuce court, second serve`.
pub fn start_of(record: &Record, f: &PointFacts) -> String {
    let called = f.called.map_or_else(|| "score not known".into(), |c| c.to_string());
    let court = f.court.map(|c| c.words().into());
    let second = f.serve.filter(|n| *n > 1).map(|_| "second serve".into());
    let parts = [server(record, f), called].into_iter().chain(court).chain(second);
    parts.chain(f.tags.iter().cloned()).collect::<Vec<_>>().join(", ")
}

/// Where in the match a point stands: `point 12: Holt serves at 2–1, 30–15`, the server's games and points first.
pub fn heading_of(record: &Record, f: &PointFacts) -> String {
    let who = server(record, f);
    let n = f.number + 1;
    match (&f.called, f.score_known, f.server) {
        (Some(call), true, Some(s)) => {
            let (mine, theirs) = (f.state.games[s.index()], f.state.games[s.other().index()]);
            format!("point {n}: {who} at {mine}–{theirs}, {call}")
        }
        (Some(call), _, _) => format!("point {n}: {who} at {call}"),
        _ => format!("point {n}: {who}, score not known"),
    }
}

/// The shots of a point, one after another: `Holt serves wide · Okafor returns deep, middle, backhand · Holt …`. Empty
/// when none was logged.
pub fn rally_of(record: &Record, f: &PointFacts) -> String {
    (0..f.shots.len()).map(|n| ball_of(record, f, n)).collect::<Vec<_>>().join(" · ")
}

/// Shot `n` of a point, from 0, in words: who struck it and what is known of it, or `not seen` if nothing is known. Empty
/// when there is no such shot.
pub fn ball_of(record: &Record, f: &PointFacts, n: usize) -> String {
    let Some(shot) = f.shots.get(n) else { return String::new() };
    let about = record.about_at(f.number);
    let name = |side: Side| about.player(side).name.clone();
    let part = if n.is_multiple_of(2) { "server" } else { "receiver" };
    let who = shot.by.map_or_else(|| part.into(), name);
    let said: Vec<&str> = ball_words(f, n).into_iter().map(|w| w.value).collect();
    let said = said.join(", ");
    match (n, said.is_empty()) {
        (0, true) => format!("{who} serves"),
        (0, false) => format!("{who} serves {said}"),
        (1, true) => format!("{who} returns, not seen"),
        (1, false) => format!("{who} returns {said}"),
        (_, true) => format!("{who}, not seen"),
        (_, false) => format!("{who} {said}"),
    }
}

/// What is known of shot `n`, from 0, each part in words: seen, or estimated. For a serve, its direction says the side; for
/// other shots the side is the camera's left, middle or right.
pub fn ball_words(f: &PointFacts, n: usize) -> Vec<Fact<&'static str>> {
    let Some(shot) = f.shots.get(n) else { return Vec::new() };
    let stroke = shot.stroke.filter(|s| *s != Stroke::Groundstroke).map(Stroke::words);
    let stroke = shot.volley.map(VolleyKind::words).or(stroke);
    let side = shot.cell.filter(|_| shot.serve_to.is_none()).map(|c| c.column.words());
    let lane = shot.lane.map(|l| l.map(Lane::words)).filter(|l| side != Some(l.value));
    let said = |word: &str| side == Some(word) || lane.is_some_and(|l| l.value == word);
    let goes = shot.goes.map(|g| g.map(Goes::words)).filter(|g| !said(g.value));
    let missed = match f.miss {
        Some(_) if n + 1 < f.shots.len() => "missed",
        Some(_) if f.also_wide => Miss::LONG_AND_WIDE,
        miss => miss.map_or("missed", Miss::of_the_shot),
    };
    let parts = [
        shot.serve_to.map(ServeTo::words).map(Fact::seen),
        shot.pace.filter(|_| n == 0).map(Pace::words).map(Fact::seen),
        shot.spin.map(Spin::words).map(Fact::seen),
        shot.wing.map(Wing::words).map(Fact::seen),
        stroke.map(Fact::seen),
        shot.depth.map(Depth::words).map(Fact::seen),
        side.map(Fact::seen),
        lane,
        goes,
        shot.at_net.filter(|a| *a).map(|_| Fact::seen("at the net")),
        shot.net_cord.filter(|a| *a).map(|_| Fact::seen("net cord")),
        shot.approach.filter(|a| *a).map(|_| Fact::seen("approach")),
        shot.missed.filter(|m| *m).map(|_| Fact::seen(missed)),
    ];
    parts.into_iter().flatten().collect()
}

fn server(record: &Record, f: &PointFacts) -> String {
    f.server.map_or_else(
        || "server not known".into(),
        |side| format!("{} serves", record.about_at(f.number).name_of(side, f.server_partner)),
    )
}
