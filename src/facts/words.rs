//! A point in words, for the screen, the screen reader, and every export.

use super::point::PointFacts;
use super::shot::{Fact, Goes, Lane};
use crate::record::{Kind, Record, Source, Whose};
use crate::tennis::Side;
use crate::tennis::stroke::{Depth, Miss, Pace, ServeTo, Spin, Stroke, VolleyKind, Wing};

/// A point in words: `Holt serves, 30–15, deuce court, second serve, wide serve, drop shot; Okafor wins, unforced
/// error`.
pub fn words_of(record: &Record, f: &PointFacts) -> String {
    let mut parts = who_and_score(record, f);
    parts.extend(f.court.map(|c| c.words().into()));
    parts.extend(f.serve.map(|n| if n == 1 { "first serve".into() } else { "second serve".into() }));
    parts.extend(tags(record, f));
    let outcome = match f.winner {
        Some(side) => format!("{} wins", record.about_at(f.number).side_name(side)),
        None => "winner not known".into(),
    };
    let finish = f.finish.map(|x| format!(", {}", x.words())).unwrap_or_default();
    format!("{}; {outcome}{finish}", parts.join(", "))
}

/// Who serves at which score, and the tags, without how it ended: `Holt serves, 30–15, deuce court, second serve`.
pub fn start_of(record: &Record, f: &PointFacts) -> String {
    let court = f.court.map(|c| c.words().into());
    let second = f.serve.filter(|n| *n > 1).map(|_| "second serve".into());
    let parts = who_and_score(record, f).into_iter().chain(court).chain(second);
    parts.chain(tags(record, f)).collect::<Vec<_>>().join(", ")
}

/// Who plays, of points of many matches; who serves; and the score.
fn who_and_score(record: &Record, f: &PointFacts) -> Vec<String> {
    let score = f.called.map(|c| c.to_string()).or_else(|| {
        let source = source(record, f)?;
        Some(source.score.trim().to_owned()).filter(|s| !s.is_empty())
    });
    let score = score.unwrap_or_else(|| "score not known".into());
    players(record, f).into_iter().chain([server(record, f), score]).collect()
}

/// What a point of many matches says of its own match.
fn source<'r>(record: &'r Record, f: &PointFacts) -> Option<&'r Source> {
    let point = record.points.get(f.number).filter(|_| record.about.kind() == Kind::Points)?;
    point.source.as_deref()
}

/// Who plays a point of many matches: `Holt – Okafor`. Nothing where all points are of one match.
pub fn players(record: &Record, f: &PointFacts) -> Option<String> {
    if record.about.kind() != Kind::Points {
        return None;
    }
    let named =
        |s: &Source| [&s.a, &s.b].map(|n| if n.trim().is_empty() { "?" } else { n.trim() }.to_owned());
    let named = source(record, f).map(named).filter(|names| names.iter().any(|n| n != "?"));
    Some(named.map_or_else(|| "players not named".into(), |[a, b]| format!("{a} – {b}")))
}

/// The tags, with whose they are: `drop shot by Holt`.
fn tags(record: &Record, f: &PointFacts) -> Vec<String> {
    let about = record.about_at(f.number);
    let of = |tag: &String| match f.tags_by.get(tag) {
        None => tag.clone(),
        Some(Whose::Both) => format!("{tag} by both"),
        Some(Whose::A) => format!("{tag} by {}", about.side_name(Side::A)),
        Some(Whose::B) => format!("{tag} by {}", about.side_name(Side::B)),
    };
    f.tags.iter().map(of).collect()
}

/// Where in the match a point stands: `point 12: Holt serves at 2–1, 30–15`, the server's games and points first.
pub fn heading_of(record: &Record, f: &PointFacts) -> String {
    let who = server(record, f);
    let n = f.number + 1;
    if record.about.kind() == Kind::Points {
        return format!("point {n}: {}", who_and_score(record, f).join(", "));
    }
    match (&f.called, f.score_known, f.server) {
        (Some(call), true, Some(s)) => {
            let (mine, theirs) = (f.state.games[s.index()], f.state.games[s.other().index()]);
            format!("point {n}: {who} at {mine}–{theirs}, {call}")
        }
        (Some(call), _, _) => format!("point {n}: {who} at {call}"),
        _ => format!("point {n}: {who}, score not known"),
    }
}

/// The score before a point, the server's first, and who serves: `2–1 30–15, Holt serves`; as much of it as is known. Nothing
/// where the score is not known. Beside the names of both players the score alone would be read in the order of the names.
pub fn score_of(record: &Record, f: &PointFacts) -> Option<String> {
    let call = f.called?;
    let games = f.server.filter(|_| f.score_known && record.about.kind() != Kind::Points);
    let games = games.map(|s| format!("{}–{} ", f.state.games[s.index()], f.state.games[s.other().index()]));
    let serves = f.server.map(|_| format!(", {}", server(record, f)));
    Some(format!("{}{call}{}", games.unwrap_or_default(), serves.unwrap_or_default()))
}

/// The shots of a point, one after another: `Holt serves wide · Okafor returns deep, middle, backhand · Holt …`. Empty
/// when none was logged.
pub fn rally_of(record: &Record, f: &PointFacts) -> String {
    let before = f.joined_late.then(|| "…".to_owned());
    let after = f.left_early.then(|| "…".to_owned());
    let shots = (0..f.shots.len()).map(|n| ball_of(record, f, n));
    before.into_iter().chain(shots).chain(after).collect::<Vec<_>>().join(" · ")
}

/// Shot `n` of a point, from 0, in words: who struck it and what is known of it, or `not seen` if nothing is known. Empty
/// when there is no such shot.
pub fn ball_of(record: &Record, f: &PointFacts, n: usize) -> String {
    let Some(shot) = f.shots.get(n) else { return String::new() };
    let about = record.about_at(f.number);
    let name = |side: Side| about.player(side).name.clone();
    let who = shot.by.map_or_else(|| striker(f, n).into(), name);
    let said: Vec<&str> = ball_words(f, n).into_iter().map(|w| w.value).collect();
    let said = said.join(", ");
    match (n, said.is_empty()) {
        _ if f.joined_late && said.is_empty() => format!("{who}, not seen"),
        _ if f.joined_late => format!("{who} {said}"),
        (0, true) => format!("{who} serves"),
        (0, false) => format!("{who} serves {said}"),
        (1, true) => format!("{who} returns, not seen"),
        (1, false) => format!("{who} returns {said}"),
        (_, true) => format!("{who}, not seen"),
        (_, false) => format!("{who} {said}"),
    }
}

/// Who strikes shot `n`, from 0, where it is not known which player that is.
pub const fn striker(f: &PointFacts, n: usize) -> &'static str {
    match (f.joined_late, n.is_multiple_of(2)) {
        (true, true) => "one player",
        (true, false) => "the other",
        (false, true) => "server",
        (false, false) => "receiver",
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
