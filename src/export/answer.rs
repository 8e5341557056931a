//! The answer on the screen as a table for a spreadsheet, and its court pictures as drawings.

use super::error::ExportError;
use crate::exchange::guarded;
use crate::summary::study::{CourtCell, CourtMap, Findings, Place, Row};
use crate::tennis::CourtSide;

const HEADER: [&str; 16] = [
    "question",
    "points_of",
    "table",
    "counts",
    "row",
    "points",
    "counted",
    "not_counted",
    "unknown",
    "may_belong",
    "rate_percent",
    "low_percent",
    "high_percent",
    "others_counted",
    "others_decided",
    "compared",
];

/// The tables of an answer as CSV (RFC 4180), a row for each of their rows. Percentages have one decimal; empty where no
/// point is decided. A text that a spreadsheet would run as a formula gets an apostrophe before it.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn csv(found: &Findings) -> Result<String, ExportError> {
    let failed = |why: String| ExportError::Make { format: "CSV", why };
    let mut out = ::csv::WriterBuilder::new().terminator(::csv::Terminator::CRLF).from_writer(Vec::new());
    out.write_record(HEADER).map_err(|e| failed(e.to_string()))?;
    for s in &found.sections {
        for row in &s.rows {
            let start = [&found.question, &found.looked_at, &s.by].map(|t| guarded(t));
            let line =
                start.into_iter().chain([s.counts.word().into(), guarded(&row.name)]).chain(numbers(row));
            out.write_record(line).map_err(|e| failed(e.to_string()))?;
        }
    }
    let bytes = out.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

fn numbers(row: &Row) -> [String; 11] {
    let percent = |share: f64| format!("{:.1}", 100.0 * share);
    let of = |pick: fn(&crate::summary::Rate) -> f64| {
        row.tally.rate.as_ref().map_or_else(String::new, |r| percent(pick(r)))
    };
    let others = row.others.rate;
    [
        row.tally.points.len().to_string(),
        row.tally.won.len().to_string(),
        row.tally.lost.len().to_string(),
        row.tally.unknown.len().to_string(),
        (row.cannot_tell.len() + row.unplaced.len()).to_string(),
        of(|r| r.rate),
        of(|r| r.interval.low),
        of(|r| r.interval.high),
        others.map_or_else(|| "0".into(), |r| r.won.to_string()),
        others.map_or_else(|| "0".into(), |r| r.of.to_string()),
        row.tally.rate.map_or_else(String::new, |_| row.verdict.short()),
    ]
}

/// The width of a drawing, in its own units.
const WIDTH: f64 = 480.0;
/// Room above the court for its title, and below it for what it shows.
const TITLE: f64 = 44.0;
const FOOT: f64 = 34.0;

/// A court picture as SVG: each cell with its points and those won, the darker the more points it has. The net is below, as
/// in the window.
pub fn court_svg(found: &Findings, map: &CourtMap) -> String {
    let boxes = map.cells.iter().any(|c| matches!(c.at, Place::Box { .. }));
    let (columns, rows, tall) = if boxes { (6.0, 1.0, 150.0) } else { (3.0, 3.0, 330.0) };
    let size = (WIDTH / columns, tall / rows);
    let most = map.cells.iter().map(|c| c.tally.points.len()).max().unwrap_or(0).max(1) as f64;
    let cells: String = map.cells.iter().map(|c| cell_svg(c, size, most)).collect();
    let (wide, height, net) = (WIDTH + 20.0, TITLE + tall + FOOT, TITLE + tall);
    let question = escaped(&found.question);
    let of = escaped(&format!("{}; {}", found.looked_at, map.ball));
    let seen = if boxes { "as the server sees it" } else { "as the player who struck it sees it" };
    let outside = escaped(&format!("{}: {}.", map.outside_means, map.outside.len()));
    [
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-10 0 {wide} {height}\" font-family=\"sans-serif\" \
             fill=\"#20252a\">"
        ),
        format!("<rect x=\"-10\" width=\"{wide}\" height=\"{height}\" fill=\"#fffdf7\"/>"),
        format!("<text y=\"18\" font-size=\"15\" font-weight=\"bold\">{question}</text>"),
        format!("<text y=\"36\" font-size=\"12\">{of}</text>\n{cells}"),
        format!(
            "<rect y=\"{TITLE}\" width=\"{WIDTH}\" height=\"{tall}\" fill=\"none\" stroke=\"#20252a\" \
             stroke-width=\"1.5\"/>"
        ),
        format!("<path d=\"M-6 {net}H{}\" stroke=\"#20252a\" stroke-width=\"4\"/>", WIDTH + 6.0),
        format!("<text y=\"{}\" font-size=\"12\">Where it landed, {seen}: the net below. {outside}</text>", net + 22.0),
        "</svg>\n".into(),
    ]
    .join("\n")
}

/// One cell; `most` is the number of points of the darkest.
fn cell_svg(c: &CourtCell, (wide, high): (f64, f64), most: f64) -> String {
    let (column, row) = place(c.at);
    let (x, y) = (column * wide, TITLE + row * high);
    let (middle, line) = (x + wide / 2.0, y + high / 2.0);
    let dark = 0.3 * c.tally.points.len() as f64 / most;
    format!(
        "<g><title>{}</title><rect x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{high}\" fill=\"#0a64ad\" \
         fill-opacity=\"{dark:.3}\" stroke=\"#20252a\" stroke-opacity=\"0.35\"/>\
         <text x=\"{middle}\" y=\"{line}\" text-anchor=\"middle\" font-size=\"16\" font-weight=\"bold\">{}</text>\
         <text x=\"{middle}\" y=\"{}\" text-anchor=\"middle\" font-size=\"12\">{} won</text></g>\n",
        escaped(&c.name),
        c.tally.points.len(),
        line + 18.0,
        c.tally.won.len(),
    )
}

/// Column and row of a cell from the top left.
const fn place(at: Place) -> (f64, f64) {
    match at {
        Place::Box { court: CourtSide::Deuce, to } => (to as i32 as f64, 0.0),
        Place::Box { court: CourtSide::Ad, to } => ((5 - to as i32) as f64, 0.0),
        Place::Half { column, depth } => (column as i32 as f64, (2 - depth as i32) as f64),
    }
}

/// A text as SVG has it, on one line and without what XML does not allow.
fn escaped(text: &str) -> String {
    quick_xml::escape::escape(super::sheet::one_line(text)).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::tests::record;
    use crate::pattern::PatternFile;
    use crate::summary::study::{Facets, Pool, ask, named, starter};

    fn found(name: &str) -> Findings {
        let mut r = record("AABBABAB");
        r.about.a.name = "=Holt <\"&'>\u{7}".into();
        let facets =
            Facets { whose: crate::summary::Whose::Named(r.about.a.name.clone()), ..Facets::default() };
        let questions = starter(&PatternFile::starter().unwrap().patterns);
        ask(&Pool::new(vec![r]), named(&questions, name).unwrap(), &facets)
    }

    #[test]
    fn every_row_of_every_table_is_a_line_with_its_counts() {
        let f = found("What wins my service points?");
        let text = csv(&f).unwrap();
        let mut lines = ::csv::Reader::from_reader(text.as_bytes());
        let read: Vec<::csv::StringRecord> = lines.records().map(Result::unwrap).collect();
        let rows: Vec<&Row> = f.sections.iter().flat_map(|s| &s.rows).collect();
        assert_eq!(read.len(), rows.len());
        for (line, row) in read.iter().zip(&rows) {
            assert_eq!((&line[4], &line[5]), (row.name.as_str(), &*row.tally.points.len().to_string()));
            assert_eq!(line[6].parse::<usize>().unwrap(), row.tally.won.len());
            assert!(line[1].starts_with("'="), "{}", &line[1]);
        }
    }

    #[test]
    fn a_court_picture_is_xml_with_every_cell_and_nothing_of_a_name_gets_out() {
        for name in ["What wins my service points?", "How do I return?"] {
            let f = found(name);
            let svg = court_svg(&f, &f.maps[0]);
            let mut reader = quick_xml::Reader::from_str(&svg);
            let (mut titles, mut texts) = (0, String::new());
            loop {
                match reader.read_event().unwrap() {
                    quick_xml::events::Event::Start(e) if e.name().as_ref() == "title" => titles += 1,
                    quick_xml::events::Event::Text(t) => texts += &*t,
                    quick_xml::events::Event::Eof => break,
                    _ => {}
                }
            }
            assert_eq!(titles, f.maps[0].cells.len());
            assert!(!svg.contains("<\"&'>") && !svg.contains('\u{7}') && texts.contains(" won"), "{svg}");
        }
    }
}
