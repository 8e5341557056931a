//! Points of a list as text for the clipboard: a line for each, in words or as timecodes.

use crate::clips::Clip;
use crate::export::Sheet;
use crate::facts::PointFacts;
use crate::record::{Record, printable};
use crate::tennis::Side;
use crate::tennis::stroke::Stroke;
use crate::time::MatchTime;

/// A point on one line: `Holt–Okafor 2–1 30–40 0:04:16 drop shot, winner`. The server's name stands first where it is known who
/// serves, and the server's games and points too, so that names and score are read in one order.
pub fn line(record: &Record, f: &PointFacts) -> String {
    let about = record.about_at(f.number);
    let name = |side| printable(&about.side_name(side), 80);
    let first = f.server.unwrap_or(Side::A);
    let names = format!("{}–{}", name(first), name(first.other()));
    let start = record.points.get(f.number).and_then(|p| p.start).map(MatchTime::short);
    let parts = [Some(names), games(f), f.called.map(|c| c.to_string()), start, Some(shows(f))];
    parts.into_iter().flatten().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" ")
}

/// The games of the set, the server's first; `None` where they are not known.
fn games(f: &PointFacts) -> Option<String> {
    let server = f.server.filter(|_| f.score_known)?;
    let [mine, theirs] = [server, server.other()].map(|s| f.state.games[s.index()]);
    Some(format!("{mine}–{theirs}"))
}

/// What is in a point, in short: its strokes other than groundstrokes, its tags, how it ended.
pub fn shows(f: &PointFacts) -> String {
    let strokes = f.shots.iter().filter_map(|s| s.stroke).filter(|s| *s != Stroke::Groundstroke);
    let mut all: Vec<String> = Vec::new();
    let tags = f.tags.iter().map(|t| printable(t, 80));
    let finish = f.finish.map(|x| x.words().to_owned());
    for word in strokes.map(|s| s.words().to_owned()).chain(tags).chain(finish) {
        if !all.contains(&word) {
            all.push(word);
        }
    }
    all.join(", ")
}

/// The clips as timecodes, a line for each: file, start, end, counted from the start of the file.
pub fn timecodes(sheet: &Sheet) -> String {
    let one =
        |c: &Clip| format!("{}\t{}\t{}\n", printable(&c.file, 400), c.file_span.start(), c.file_span.end());
    sheet.clips.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clips::{Lead, clip_list};
    use crate::export::Of;
    use crate::facts::tests::{point, record};
    use crate::facts::{PointRef, facts};
    use crate::record::Finish;

    #[test]
    fn a_point_is_one_line() {
        let mut r = record("AAAABBBB");
        let at = r.points.len() as u64 + 1;
        let tagged = point(at, 'A', Some(0), Some(Finish::Winner), &["drop shot", "good\tchoice"]);
        r.points = r.points.iter().cloned().chain([tagged]).collect();
        let all = facts(&r);
        assert_eq!(line(&r, &all[8]), "Holt–Okafor 1–1 0–0 0:01:30 drop shot, good\\u{9}choice, winner");
        assert_eq!(line(&r, &all[3]), "Holt–Okafor 0–0 40–0 0:00:40");
        assert_eq!(line(&r, &all[4]), "Okafor–Holt 0–1 0–0 0:00:50", "Okafor serves, and is behind");
        let list = clip_list(&[&r], &[PointRef { record: 0, point: 8 }], Lead::default());
        let sheet = Sheet::new("x", vec![Of::record("r", &r)], Lead::default(), list);
        assert_eq!(timecodes(&sheet), "match.webm\t00:01:28.000\t00:01:36.000\n");
    }
}
