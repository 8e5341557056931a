//! `changeover positions`: the places that were measured, in metres with their error.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use schemars::JsonSchema;
use serde::Serialize;

use super::answer::{Answer, CliError};
use crate::exchange::guarded;
use crate::measure::{Place, reading};
use crate::record::{FoundBy, Position, Record, Shot, Touch, load_whole};
use crate::session::cameras::Cameras;
use crate::tennis::court::Spot;
use crate::tennis::pair::Server;

const EXAMPLES: &str = "\
Examples:
  changeover positions final.points.json
  changeover positions --csv final.points.json > positions.csv
  changeover positions --propose --json final.points.json > proposed.jsonl
  changeover positions --json final.points.json | jq 'select(.who == \"ball\")'

One line for each place that somebody measured, in the order of the points. x is metres to the right of the middle of the net, y \
metres beyond it as the camera sees it; both ends of the match are in the same axes. behind_m is the distance behind the nearer \
baseline, negative inside it. The ellipse holds the true place with 95 %, if errors are normal; turn is the angle of its \
longer half axis from x toward y. inside is whether the place is inside the baseline, lane the third of the court's width, zone the depth: \
each is left out if the error reaches over its edge. Places from other programs have no error. Where the camera moves and \
the court was followed (in the window, or by `changeover court FOOTAGE`), the camera of the frame is used. Where it was not \
followed, forty frames tell whether the camera stands still; if not, its places have no metres, and standard error says so. A position whose frame has no \
marked court, or does not show it, is listed without metres; `changeover check` says why.

--propose looks for both players of singles at each strike that has a time, where the court is marked. It takes about as long as \
playing these points. Somebody who stands at a wall, or a player at the net, can be taken for a player at the baseline, and confidence \
does not show every such mistake: compare with the picture what you rely on. Ctrl C stops it; nothing is printed then.

Exit codes: 0 printed, 1 the record cannot be read or a position cannot be turned into metres, 2 the command line was not understood.";

/// The arguments of `positions`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The record.
    #[arg(value_name = "RECORD")]
    record: PathBuf,
    /// Answer in JSON, an object on each line.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Answer in CSV.
    #[arg(long)]
    csv: bool,
    /// Also look for the players in the footage, at each strike of singles that has a time, and print where they are found, marked as
    /// proposed. The record stays as it is
    #[cfg(feature = "video")]
    #[arg(long)]
    propose: bool,
}

/// A line that `positions --json` prints.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Line {
    /// The point, from 1.
    point: usize,
    /// The shot, from 1; of a serve that was a fault, the fault.
    shot: usize,
    /// Whether the shot was a fault.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    fault: bool,
    /// Whose feet: `a`, `b`, in doubles `a1`, `a2`, `b1`, `b2`; or `ball`, where it bounced.
    who: &'static str,
    /// The player's name, or `Ball`.
    name: String,
    /// The frame on the match clock; none for a place that another program measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    frame: Option<String>,
    /// Who found it: `hand`, `found`, `checked`, `imported`; or `proposed`: nobody has accepted it, and it is not in the record.
    by: &'static str,
    /// Of what is proposed: how far to believe it, from 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    confidence: Option<f64>,
    /// The pixel, from the left and the top edge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pixel: Option<[f64; 2]>,
    /// Where it is on the ground; none if the court is not marked there.
    #[serde(skip_serializing_if = "Option::is_none")]
    ground: Option<Ground>,
}

impl Line {
    /// Without a place.
    fn bare(record: &Record, (point, shot): (usize, usize), fault: bool, of: Touch) -> Self {
        Self {
            point: point + 1,
            shot: shot + 1,
            fault,
            who: Touch::WORDS.iter().find(|(_, t)| *t == of).map_or("", |(word, _)| word),
            name: name_of(record, point, of),
            frame: None,
            by: "imported",
            confidence: None,
            pixel: None,
            ground: None,
        }
    }
}

/// A place on the ground.
#[derive(Debug, Serialize, JsonSchema)]
struct Ground {
    /// Metres to the right of the middle of the net.
    x_m: f64,
    /// Metres beyond the net.
    y_m: f64,
    /// Metres behind the nearer baseline; negative inside it.
    behind_m: f64,
    /// Half axes of the ellipse that holds the true place with 95 %, in metres, and its turn in degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    error_95: Option<[f64; 3]>,
    /// Whether it is inside the baseline, if that is certain.
    #[serde(skip_serializing_if = "Option::is_none")]
    inside: Option<bool>,
    /// The third of the singles court's width, if that is certain.
    #[serde(skip_serializing_if = "Option::is_none")]
    lane: Option<&'static str>,
    /// How deep, if that is certain.
    #[serde(skip_serializing_if = "Option::is_none")]
    zone: Option<&'static str>,
}

impl Ground {
    fn of(place: &Place) -> Self {
        let e = place.spread.ellipse(0.95);
        Self {
            error_95: Some([round(e.long.0), round(e.short.0), (e.turn.to_degrees() * 10.0).round() / 10.0]),
            inside: reading::inside(place),
            lane: reading::lane(place),
            zone: reading::zone(place),
            ..Self::bare(place.spot)
        }
    }

    fn bare(spot: Spot) -> Self {
        let behind_m = round((spot.y.abs() - crate::tennis::court::HALF_LENGTH).0);
        Self {
            x_m: round(spot.x.0),
            y_m: round(spot.y.0),
            behind_m,
            error_95: None,
            inside: None,
            lane: None,
            zone: None,
        }
    }

    fn words(&self) -> String {
        let side = if self.behind_m < 0.0 { "inside" } else { "behind" };
        let error = self.error_95.map_or_else(
            || "error not known".into(),
            |[long, short, _]| format!("95 % within {long:.2} × {short:.2} m"),
        );
        let inside = if self.inside.is_none() && self.error_95.is_some() { ", uncertain" } else { "" };
        format!(
            "{:.2} m {side} the baseline{inside}, x {:.2}, y {:.2}; {error}",
            self.behind_m.abs(),
            self.x_m,
            self.y_m
        )
    }
}

/// To the millimetre.
fn round(metres: f64) -> f64 {
    (metres * 1000.0).round() / 1000.0
}

/// Prints the positions.
///
/// # Errors
/// [`CliError`] when the record cannot be read or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let (record, _) = load_whole(&args.record).map_err(|e| CliError::Failed(e.to_string()))?;
    let cameras = super::moving::cameras(&args.record, &record);
    let lines = lines(&record, &cameras);
    #[cfg(feature = "video")]
    let lines = if args.propose { with_proposals(&args.record, &record, &cameras, lines)? } else { lines };
    if args.csv {
        table(&lines, out)?;
    }
    for line in lines.iter().filter(|_| !args.csv) {
        if args.json {
            serde_json::to_writer(&mut *out, line).map_err(std::io::Error::from)?;
            writeln!(out)?;
        } else {
            writeln!(out, "{}", words(line))?;
        }
    }
    if lines.is_empty() && !args.json && !args.csv {
        writeln!(out, "no positions are measured in this record")?;
    }
    let all = lines.iter().all(|l| l.ground.is_some());
    Ok(if all { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// The same with the players that are found in the footage at strikes at which nobody has measured them.
#[cfg(feature = "video")]
fn with_proposals(
    path: &std::path::Path,
    record: &Record,
    cameras: &Cameras,
    mut lines: Vec<Line>,
) -> Result<Vec<Line>, CliError> {
    for p in super::proposed::proposals(path, record, cameras)? {
        let (point, shot) = p.strike.shot;
        let Some(of) = p.of else { continue };
        let line = Line {
            frame: Some(p.frame.to_string()),
            by: "proposed",
            confidence: Some((p.confidence * 100.0).round() / 100.0),
            pixel: Some([round(p.pixel.x), round(p.pixel.y)]),
            ground: Some(Ground::of(&p.place)),
            ..Line::bare(record, (point, shot), p.strike.fault, of)
        };
        let is_same =
            |l: &Line| (l.point, l.shot, l.fault, l.who) == (line.point, line.shot, line.fault, line.who);
        if !lines.iter().any(is_same) {
            lines.push(line);
        }
    }
    // Faults come before the shots of their point.
    lines.sort_by_key(|l| (l.point, !l.fault, l.shot));
    Ok(lines)
}

fn lines(record: &Record, cameras: &Cameras) -> Vec<Line> {
    let mut all = Vec::new();
    for (p, point) in record.points.iter().enumerate() {
        let faults = point.serves_out.iter().enumerate().map(|(n, s)| (n, s, true));
        for (n, shot, fault) in faults.chain(point.shots.iter().enumerate().map(|(n, s)| (n, s, false))) {
            let line = |of: Touch| Line::bare(record, (p, n), fault, of);
            let seen = |s: &Position| Line {
                frame: Some(s.frame.to_string()),
                by: match s.by {
                    FoundBy::Hand => "hand",
                    FoundBy::Found => "found",
                    FoundBy::Checked => "checked",
                },
                pixel: Some([s.at.x.pixels(), s.at.y.pixels()]),
                ground: cameras.place(s).map(|place| Ground::of(&place)),
                ..line(s.of)
            };
            let bare = |(of, at): (Touch, Spot)| Line { ground: Some(Ground::bare(at)), ..line(of) };
            all.extend(imported(shot).into_iter().map(bare));
            all.extend(shot.positions.iter().map(seen));
        }
    }
    all
}

/// The player's name, in a record of many matches the one of this point; or `Ball`.
fn name_of(record: &Record, point: usize, of: Touch) -> String {
    let named = |p: Server| record.about_at(point).name_of(p.side(), p.partner());
    of.player().map_or_else(|| "Ball".into(), named)
}

/// Places that came without pixels.
fn imported(shot: &Shot) -> Vec<(Touch, Spot)> {
    let players =
        shot.players.iter().flat_map(|[a, b]| [(Touch::A, Spot::from(*a)), (Touch::B, Spot::from(*b))]);
    players.chain(shot.landing.map(|at| (Touch::Ball, Spot::from(at)))).collect()
}

const HEAD: [&str; 19] = [
    "point",
    "shot",
    "fault",
    "who",
    "name",
    "frame",
    "by",
    "pixel_x",
    "pixel_y",
    "x_m",
    "y_m",
    "behind_m",
    "error_long_m",
    "error_short_m",
    "error_turn_deg",
    "inside",
    "lane",
    "zone",
    "confidence",
];

fn table(lines: &[Line], out: &mut dyn Write) -> Result<(), CliError> {
    let mut csv = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let failed = |why: String| CliError::Failed(format!("the table cannot be made: {why}"));
    csv.write_record(HEAD).map_err(|e| failed(e.to_string()))?;
    for line in lines {
        csv.write_record(row(line)).map_err(|e| failed(e.to_string()))?;
    }
    out.write_all(&csv.into_inner().map_err(|e| failed(e.to_string()))?)?;
    Ok(())
}

fn row(line: &Line) -> [String; 19] {
    let number = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
    let g = line.ground.as_ref();
    let error = |n: usize| number(g.and_then(|g| g.error_95).map(|e| e[n]));
    [
        line.point.to_string(),
        line.shot.to_string(),
        line.fault.to_string(),
        line.who.into(),
        guarded(&line.name),
        line.frame.clone().unwrap_or_default(),
        line.by.into(),
        number(line.pixel.map(|p| p[0])),
        number(line.pixel.map(|p| p[1])),
        number(g.map(|g| g.x_m)),
        number(g.map(|g| g.y_m)),
        number(g.map(|g| g.behind_m)),
        error(0),
        error(1),
        error(2),
        g.and_then(|g| g.inside).map(|i| i.to_string()).unwrap_or_default(),
        g.and_then(|g| g.lane).unwrap_or_default().into(),
        g.and_then(|g| g.zone).unwrap_or_default().into(),
        number(line.confidence),
    ]
}

fn words(line: &Line) -> String {
    let what = if line.fault { "fault" } else { "shot" };
    let ground = line.ground.as_ref().map_or_else(|| "the court is not marked there".into(), Ground::words);
    let proposed = line.confidence.map(|c| format!(" (proposed, confidence {c:.2})")).unwrap_or_default();
    format!("point {}, {what} {}: {}: {ground}{proposed}", line.point, line.shot, line.name)
}

#[cfg(test)]
#[path = "positions_tests.rs"]
mod tests;
