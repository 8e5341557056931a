//! The points of a record as CSV: the columns that [`crate::import`] reads.
//!
//! Who served is written for every point for which it is known. Shots, and what is seldom noted, have columns where a record has
//! something for them. What has no column is left out, and [`left_out`] says so: names and rules, score marks, plans, what was
//! seen of receivers, and what is known of people besides their names. Blanks around a tag, and a tag without a word, are not kept.

use super::error::ExportError;
use crate::exchange::{
    COURTS, Column, ENDS, YES, guarded, logged_words, miss_words, outcome_words, serve_words, server_words,
    shots_words, side_words, tag_of_words, tags_words, winner_words, word_of,
};
use crate::facts::{PointFacts, facts};
use crate::record::{Finish, Point, Record, Source};
use crate::tennis::pair::Server;

/// The points of records as CSV (RFC 4180), one row a point, with CR LF. With more than one record, the column `match`
/// comes first and holds the names given; they should differ. Where a record notes how its match ended, the column `outcome`
/// comes last, and its last point says so.
///
/// A text that a spreadsheet would run as a formula gets an apostrophe before it, which the import takes off again.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn csv(records: &[(&str, &Record)]) -> Result<String, ExportError> {
    let failed = |why: String| ExportError::Make { format: "CSV", why };
    let ended = records.iter().any(|(_, r)| r.about.outcome.is_some());
    let has = |c: &Column| match c {
        Column::Match => records.len() > 1,
        Column::Outcome => ended,
        seldom => {
            !is_seldom(*seldom)
                || records.iter().any(|(_, r)| r.points.iter().any(|p| !seen(*seldom, p).is_empty()))
        }
    };
    let columns: Vec<Column> = Column::ALL.into_iter().filter(has).collect();
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    out.write_record(columns.iter().map(|c| c.name())).map_err(|e| failed(e.to_string()))?;
    for (name, record) in records {
        for (point, facts) in record.points.iter().zip(facts(record)) {
            let cells = columns.iter().map(|c| match c {
                Column::Match => guarded(name.trim()),
                // Once, where it happened.
                Column::Outcome if facts.number + 1 == record.points.len() => {
                    record.about.outcome.map_or("", outcome_words).into()
                }
                c => cell(*c, point, &facts),
            });
            out.write_record(cells).map_err(|e| failed(e.to_string()))?;
        }
    }
    let bytes = out.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

fn cell(column: Column, point: &Point, facts: &PointFacts) -> String {
    let time = |t: Option<crate::time::MatchTime>| t.map(|t| t.to_string()).unwrap_or_default();
    match column {
        Column::Match | Column::Outcome => String::new(),
        Column::Start => time(point.start),
        Column::End => time(point.end),
        Column::Server => server(point, facts).map_or("", server_words).into(),
        Column::Serve => serve_words(point.faults).into(),
        Column::Winner => winner_words(point.winner, point.replayed).into(),
        Column::Finish => point.finish.map_or("", Finish::words).into(),
        Column::Tags => tags_words(&point.tags),
        Column::Note => guarded(&point.note),
        seldom => seen(seldom, point),
    }
}

/// Whether the column is only there where a record has something for it.
const fn is_seldom(column: Column) -> bool {
    use Column::{End, Finish, Note, Serve, Server, Start, Tags, Winner};
    !matches!(column, Column::Match | Column::Outcome)
        && !matches!(column, Start | End | Server | Serve | Winner | Finish | Tags | Note)
}

/// The cell of such a column.
fn seen(column: Column, point: &Point) -> String {
    match column {
        Column::Miss => miss_words(point.miss, point.also_wide).into(),
        Column::Unreturned if point.unreturned => "yes".into(),
        Column::Lets => point.lets.map(|n| n.to_string()).unwrap_or_default(),
        Column::Penalty => side_words(point.penalty).into(),
        Column::TimeViolation => side_words(point.time_violation).into(),
        Column::Faults => shots_words(&point.serves_out),
        Column::Shots => shots_words(&point.shots),
        Column::Logged => logged_words(point.logged).into(),
        Column::Court => word_of(point.side, &COURTS).into(),
        Column::ServedFrom => word_of(point.server_end, &ENDS).into(),
        Column::JoinedLate => word_of(Some(point.joined_late).filter(|on| *on), &YES).into(),
        Column::FirstBy => side_words(point.first_by).into(),
        Column::LeftEarly => word_of(Some(point.left_early).filter(|on| *on), &YES).into(),
        Column::TagOf => tag_of_words(&point.tags_by),
        Column::PlayerA => source(point, |s| &s.a),
        Column::PlayerB => source(point, |s| &s.b),
        Column::Score => source(point, |s| &s.score),
        Column::Event => source(point, |s| &s.event),
        Column::Source => source(point, |s| &s.line),
        _ => String::new(),
    }
}

/// A text of the match that a point comes from.
fn source(point: &Point, text: impl Fn(&Source) -> &String) -> String {
    point.source.as_deref().map_or_else(String::new, |s| guarded(text(s).trim()))
}

fn server(point: &Point, facts: &PointFacts) -> Option<Server> {
    if point.served_by.is_some_and(|s| s.partner().is_some()) {
        return point.served_by;
    }
    let partner = facts.state.server_partner.filter(|_| facts.score_known);
    Some(Server::new(facts.server.or_else(|| Some(point.served_by?.side()))?, partner))
}

/// What a record holds that the columns do not, in words; empty when nothing is lost but names and rules.
pub fn left_out(record: &Record) -> Vec<String> {
    let count = |n: usize, one: &str, more: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {more}")),
    };
    let points = |what: fn(&Point) -> bool| record.points.iter().filter(|p| what(p)).count();
    let marks = points(|p| p.score_before.is_some()) + usize::from(record.closing_score.is_some());
    let plans = points(|p| !p.plan.is_empty());
    let more = points(|p| p.stance.is_some());
    let seen = points(|p| p.received_by.is_some());
    let known = |p: &crate::record::Player| *p != crate::record::Player::named(&p.name);
    let people = record.people.iter().filter(|p| known(p)).count();
    let outcome = record.about.outcome.filter(|_| record.points.is_empty());
    [
        count(marks, "score mark", "score marks"),
        count(plans, "plan", "plans"),
        count(more, "point's stance", "points' stances"),
        count(seen, "point's receiver as seen", "points' receivers as seen"),
        count(
            people,
            "person's hand, consent and keep-until date",
            "people's hands, consents and keep-until dates",
        ),
        outcome.map(|o| format!("its outcome, {}", outcome_words(o))),
        count(record.footage.len(), "footage file", "footage files"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Outcome;
    use crate::tennis::Side;
    use crate::time::MatchTime;

    #[test]
    fn rows_as_they_are_written() {
        let mut record = Record::default();
        record.about.outcome = Some(Outcome::Retired(Side::B));
        record.points = [
            Point {
                start: Some(MatchTime::from_millis(12_480)),
                end: Some(MatchTime::from_secs(17)),
                faults: Some(1),
                winner: Some(Side::B),
                finish: Some(Finish::ForcedError),
                tags: ["wide", "a;b", "c\\d"].map(String::from).into(),
                note: "=SUM(A1)\n\"quoted\"".into(),
                ..Point::default()
            },
            Point { replayed: true, ..Point::default() },
            Point { faults: Some(2), finish: Some(Finish::DoubleFault), ..Point::default() },
            Point { winner: Some(Side::A), side: Some(crate::tennis::CourtSide::Ad), ..Point::default() },
        ]
        .into();
        insta::assert_snapshot!(csv(&[("m", &record)]).unwrap().replace('\r', ""), @r#"
        start,end,server,serve,winner,finish,tags,note,outcome,court
        00:00:12.480,00:00:17.000,a,2,b,forced error,a\;b;c\\d;wide,"'=SUM(A1)
        ""quoted""",,
        ,,a,,let,,,,,
        ,,a,2,?,double fault,,,,
        ,,a,,a,,,,b retired,ad
        "#);
        assert_eq!(left_out(&record), Vec::<String>::new());
        let mut bare = Record::default();
        bare.about.outcome = record.about.outcome;
        assert_eq!(left_out(&bare), ["its outcome, b retired"]);
        let two = csv(&[("one", &Record::default()), ("-2", &record)]).unwrap();
        assert!(two.starts_with("match,start,"), "{two}");
        assert!(two.contains("\r\n'-2,,,a,,let,"), "{two}");
    }
}
