//! A point in words, for the screen, the reader's voice, and every export.

use super::{PointFacts, facts};
use crate::record::Record;
use crate::tennis::CourtSide;

/// A point in words: `Holt serves, 30–15, deuce court, second serve, wide serve, drop shot; Okafor wins, unforced
/// error`. Empty when there is no such point.
pub fn words(record: &Record, n: usize) -> String {
    facts(record).get(n).map(|f| words_of(record, f)).unwrap_or_default()
}

/// As [`words`], of facts already at hand.
pub fn words_of(record: &Record, f: &PointFacts) -> String {
    let mut parts = vec![server(record, f), f.called.clone().unwrap_or_else(|| "score not known".into())];
    parts.extend(f.court.map(|c| match c {
        CourtSide::Deuce => "deuce court".into(),
        CourtSide::Ad => "ad court".into(),
    }));
    parts.extend(f.serve.map(|n| if n == 1 { "first serve".into() } else { "second serve".into() }));
    parts.extend(f.tags.iter().cloned());
    let outcome = match f.winner {
        Some(side) => format!("{} wins", record.about.player(side).name),
        None => "winner not known".into(),
    };
    let finish = f.finish.map(|x| format!(", {}", x.words())).unwrap_or_default();
    format!("{}; {outcome}{finish}", parts.join(", "))
}

/// Where in the match a point stands: `point 12: Holt serves at 2–1, 30–15`, the server's games and points first.
/// Empty when there is no such point.
pub fn heading(record: &Record, n: usize) -> String {
    facts(record).get(n).map(|f| heading_of(record, f)).unwrap_or_default()
}

/// As [`heading`], of facts already at hand.
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

fn server(record: &Record, f: &PointFacts) -> String {
    f.server.map_or_else(
        || "server not known".into(),
        |side| format!("{} serves", record.about.player(side).name),
    )
}
