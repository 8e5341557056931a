//! The answers of Study as CSV: one row a line of a table, with counts and rates, for spreadsheets and statistics.

use super::error::ExportError;
use crate::evidence::Interval;
use crate::exchange::guarded;
use crate::summary::Rate;
use crate::summary::numbers::{Numbers, Value};
use crate::summary::study::{Findings, Row, Section};

/// The columns of a question's answer.
const ANSWER: [&str; 16] = [
    "question",
    "table",
    "row",
    "counts",
    "won_by",
    "points",
    "yes",
    "no",
    "unknown",
    "rate",
    "rate_low",
    "rate_high",
    "others_yes",
    "others_no",
    "difference_low",
    "difference_high",
];

/// The columns of the match in numbers.
const NUMBERS: [&str; 10] =
    ["set", "topic", "number", "player", "count", "of", "unknown", "rate", "rate_low", "rate_high"];

/// The answers of Study as CSV (RFC 4180). Rates go from 0 to 1, with their 95 % intervals.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn answers(found: &[Findings]) -> Result<String, ExportError> {
    let rows = found
        .iter()
        .flat_map(|f| f.sections.iter().flat_map(|s| s.rows.iter().map(|r| row(&f.question, s, r).to_vec())));
    written(&ANSWER, rows)
}

fn row(question: &str, section: &Section, row: &Row) -> [String; 16] {
    let n = |list: &[crate::facts::PointRef]| list.len().to_string();
    let (t, o) = (&row.tally, &row.others);
    let [rate, low, high] = rated(t.rate);
    let [less, more] = row.comparison.map_or_else(Default::default, |c| ends(c.interval));
    [
        guarded(question),
        guarded(&section.by),
        guarded(&row.name),
        section.counts.word().into(),
        row.won_by.clone(),
        n(&t.points),
        n(&t.won),
        n(&t.lost),
        n(&t.unknown),
        rate,
        low,
        high,
        n(&o.won),
        n(&o.lost),
        less,
        more,
    ]
}

/// The match in numbers as CSV, one row for each number of a player: of the whole match, then of each set. Of what is the most of
/// something at once there is no `of`.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn numbers(found: &Numbers) -> Result<String, ExportError> {
    let players = &found.players;
    let rows = found.parts.iter().flat_map(|part| {
        let set = part.set.map_or_else(String::new, |n| n.to_string());
        part.rows.iter().flat_map(move |row| {
            let set = set.clone();
            row.values.iter().zip(players).map(move |(value, player)| {
                let (count, of, unknown, rate) = match value {
                    Value::Share(s) => (s.count, s.of.to_string(), s.unknown.len(), s.rate),
                    Value::Most(m) => (m.value, String::new(), m.unknown.len(), None),
                };
                let head = [set.clone(), row.topic.clone(), row.name.clone(), guarded(player)];
                let counts = [count.to_string(), of, unknown.to_string()];
                [head.as_slice(), &counts, &rated(rate)].concat()
            })
        })
    });
    written(&NUMBERS, rows)
}

/// The rate and its interval; nothing where there is none.
fn rated(rate: Option<Rate>) -> [String; 3] {
    rate.map_or_else(Default::default, |r| {
        let [low, high] = ends(r.interval);
        [decimal(r.rate), low, high]
    })
}

fn ends(interval: Interval) -> [String; 2] {
    [interval.low, interval.high].map(decimal)
}

fn decimal(x: f64) -> String {
    format!("{x:.4}")
}

fn written(head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Result<String, ExportError> {
    let failed = |why: String| ExportError::Make { format: "CSV", why };
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    out.write_record(head).map_err(|e| failed(e.to_string()))?;
    for row in rows {
        out.write_record(row).map_err(|e| failed(e.to_string()))?;
    }
    let bytes = out.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Record;
    use crate::summary::Whose;
    use crate::summary::numbers::numbers as counted;
    use crate::summary::study::{Facets, Pool, ask, starter};

    fn sample() -> Record {
        serde_json::from_str(include_str!("../../sample-tags/holt-okafor-2.points.json")).unwrap()
    }

    fn rows(text: &str) -> Vec<csv::StringRecord> {
        csv::Reader::from_reader(text.as_bytes()).records().map(Result::unwrap).collect()
    }

    /// Each row of the tables, read again by a library, has the numbers of the row.
    #[test]
    fn each_row_is_there_with_its_numbers() {
        let pool = Pool::new(vec![sample()]);
        let found: Vec<Findings> = starter(&[]).iter().map(|q| ask(&pool, q, &Facets::default())).collect();
        let all = rows(&answers(&found).unwrap());
        let wanted: Vec<&Row> = found.iter().flat_map(|f| &f.sections).flat_map(|s| &s.rows).collect();
        assert_eq!(all.len(), wanted.len());
        for (read, row) in all.iter().zip(wanted) {
            assert_eq!(&read[2], row.name);
            let number = |n: usize| read[n].parse::<usize>().unwrap();
            let lists = [&row.tally.points, &row.tally.won, &row.tally.lost, &row.tally.unknown];
            assert_eq!([5, 6, 7, 8].map(number), lists.map(Vec::len));
            assert_eq!([12, 13].map(number), [&row.others.won, &row.others.lost].map(Vec::len));
            assert_eq!(read[9].is_empty(), row.tally.rate.is_none());
        }
    }

    #[test]
    fn each_number_of_each_player_is_there() {
        let mut record = sample();
        record.about.a.name = "=Holt".into();
        let found = counted(&Pool::new(vec![record]), &Whose::Both);
        let all = rows(&numbers(&found).unwrap());
        assert_eq!(all.len(), found.parts.iter().map(|p| 2 * p.rows.len()).sum::<usize>());
        assert_eq!(
            &all[0],
            vec!["", "points", "points won", "'=Holt", "55", "90", "0", "0.6111", "0.5078", "0.7053"]
        );
    }
}
