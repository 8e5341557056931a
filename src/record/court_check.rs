//! What looks wrong with marks of the court, with positions that are measured by them, and with drawings.

use std::collections::BTreeMap;

use super::court_marks::{CourtMarks, Dot};
use super::finding::Place;
use super::model::{Point, Record};
use super::position::{Position, Touch};
use super::severity::Severity;
use crate::measure::{Agreement, Calibration};
use crate::system::printable;
use crate::time::MatchTime;

/// The cameras of the marks that fit one, by their place in memory: each is worked out once.
type Cameras = BTreeMap<*const CourtMarks, Calibration>;

/// Reports each thing that looks wrong.
pub(super) fn check(record: &Record, say: &mut dyn FnMut(Place, Severity, String)) {
    let mut cameras = Cameras::new();
    for marks in &record.calibrations {
        let place = record.footage.iter().position(|f| f.file == marks.file);
        let mut say = |severity, message| say(place.map_or(Place::Match, Place::Footage), severity, message);
        let ends = place.map(|n| record.footage[n].duration);
        if let Some(camera) = court(marks, ends, &mut say) {
            cameras.insert(std::ptr::from_ref(marks), camera);
        }
    }
    for (n, point) in record.points.iter().enumerate() {
        positions(record, point, &cameras, &mut |severity, message| say(Place::Point(n), severity, message));
    }
    for (n, drawing) in record.drawings.iter().enumerate().filter(|(_, d)| d.to <= d.from) {
        let (from, to) = (drawing.from, drawing.to);
        let message =
            format!("drawing {} ends at {to}, not after its start at {from}, so it is never seen", n + 1);
        say(Place::Match, Severity::Warning, message);
    }
}

fn court(
    marks: &CourtMarks,
    ends: Option<MatchTime>,
    say: &mut dyn FnMut(Severity, String),
) -> Option<Calibration> {
    let at = marks.at;
    match ends {
        None => {
            let file = printable(&marks.file, 120);
            say(Severity::Warning, format!("the court is marked in \"{file}\", which is not in the record"));
        }
        Some(end) if at > end => {
            say(Severity::Warning, format!("the court is marked at {at}, after the file ends at {end}"));
        }
        Some(_) => {}
    }
    if marks.size.width == 0 || marks.size.height == 0 {
        say(
            Severity::Error,
            format!("the court is marked at {at} in a picture without a size; mark it again"),
        );
        return None;
    }
    let found = marks.solve();
    match found.as_ref().map(Calibration::agreement) {
        Ok(Agreement::Agree) => {}
        Ok(Agreement::Wrong { landmark, off }) => {
            let name = landmark.name;
            say(
                Severity::Warning,
                format!(
                    "the court is marked at {at}, but {name} is {off:.0} pixels from where the other marks put it; mark it again"
                ),
            );
        }
        Ok(Agreement::SomeWrong { off }) => say(
            Severity::Warning,
            format!(
                "the marks of the court at {at} do not fit together: one is {off:.0} pixels off; mark it again"
            ),
        ),
        Err(e) => say(Severity::Warning, format!("the court is marked at {at}, but {e}")),
    }
    found.ok()
}

fn positions(record: &Record, point: &Point, cameras: &Cameras, say: &mut dyn FnMut(Severity, String)) {
    let shots = point.shots.iter().enumerate().map(|(n, shot)| (format!("shot {}", n + 1), shot));
    let faults = point.serves_out.iter().enumerate().map(|(n, shot)| (format!("fault {}", n + 1), shot));
    for (name, shot) in shots.chain(faults) {
        for (n, position) in shot.positions.iter().enumerate() {
            let who = whose(position.of);
            let twice = |p: &Position| p.of == position.of && p.frame == position.frame;
            if shot.positions[..n].iter().any(twice) {
                say(Severity::Warning, format!("{name}: {who} is marked twice at {}", position.frame));
            }
            if let Some(why) = unmeasured(record, position, cameras) {
                say(Severity::Warning, format!("{name}: the place of {who} cannot be measured: {why}"));
            }
        }
    }
}

/// Why a position gives no place on the ground.
fn unmeasured(record: &Record, position: &Position, cameras: &Cameras) -> Option<String> {
    let at = position.frame;
    if let Some(stored) = position.measured {
        return stored
            .spread()
            .is_none()
            .then(|| "its stored error is none that a measurement can have".into());
    }
    let Some(marks) = record.court_at(at) else {
        return Some(format!("mark the court in the footage at {at}"));
    };
    let Dot { x, y } = position.at;
    let size = marks.size;
    let inside = |v: f64, most: u32| (0.0..=f64::from(most)).contains(&v);
    if !inside(x.pixels(), size.width) || !inside(y.pixels(), size.height) {
        return Some(format!("{}, {} is outside the picture", x.pixels(), y.pixels()));
    }
    let camera = cameras.get(&std::ptr::from_ref(marks));
    match camera.map(|c| position.place(c)) {
        None => Some(format!("the marks of the court at {} fit no camera", marks.at)),
        Some(None) => Some("the ground is not seen at that pixel".into()),
        Some(Some(_)) => None,
    }
}

const fn whose(of: Touch) -> &'static str {
    match of {
        Touch::A => "player a",
        Touch::B => "player b",
        Touch::A1 => "player a1",
        Touch::A2 => "player a2",
        Touch::B1 => "player b1",
        Touch::B2 => "player b2",
        Touch::Ball => "the ball",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Colour, Drawing, Shape};
    use crate::measure::{Camera, Pixel, Size};
    use crate::record::check::check as found;
    use crate::record::{Corner, CourtMark, Footage, FoundBy, Measured, Shot};

    const SIZE: Size = Size::new(1280, 720);

    fn camera() -> Camera {
        Camera::looking([0.0, -23.9, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap()
    }

    fn marked(file: &str, at: u64) -> CourtMarks {
        let mark = |landmark: Corner| {
            let at = camera().see_ground(landmark.landmark().spot).unwrap();
            CourtMark { landmark, at: at.into() }
        };
        CourtMarks {
            file: file.into(),
            at: MatchTime::from_secs(at),
            size: SIZE,
            marks: Corner::ALL.map(mark).to_vec(),
            by: FoundBy::Hand,
            centre: None,
            moving: false,
        }
    }

    fn record(positions: Vec<Position>) -> Record {
        let film = |file: &str, start| Footage {
            file: file.into(),
            fingerprint: None,
            duration: MatchTime::from_secs(60),
            rate: None,
            rotation: 0,
            start: MatchTime::from_secs(start),
        };
        let shots = vec![Shot { positions, ..Shot::default() }];
        let points = [Point {
            start: Some(MatchTime::from_secs(2)),
            end: Some(MatchTime::from_secs(9)),
            shots,
            ..Point::default()
        }];
        Record {
            footage: vec![film("1.mp4", 0), film("2.mp4", 60)],
            calibrations: vec![marked("1.mp4", 5)],
            points: points.into(),
            ..Record::default()
        }
    }

    fn seen(of: Touch, frame: u64, x: f64, y: f64) -> Position {
        let at = Pixel::new(x, y).into();
        Position { of, frame: MatchTime::from_secs(frame), at, by: FoundBy::Hand, measured: None }
    }

    fn said(record: &Record) -> Vec<String> {
        found(record).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_court_and_positions_that_are_right_are_not_told() {
        assert_eq!(
            said(&record(vec![seen(Touch::A, 3, 640.0, 600.0), seen(Touch::A, 4, 640.0, 600.0)])),
            [""; 0]
        );
    }

    #[test]
    fn what_cannot_be_measured_is_told() {
        let broken = Measured { place: crate::record::Place::default(), spread_mm2: [1, 2, 1] };
        let all = vec![
            seen(Touch::A, 3, 640.0, 600.0),
            seen(Touch::A, 3, 641.0, 600.0),
            seen(Touch::B, 3, 640.0, 20.0),
            seen(Touch::B2, 70, 640.0, 600.0),
            seen(Touch::Ball, 3, 1400.0, 600.0),
            Position { measured: Some(broken), ..seen(Touch::A1, 3, 1.0, 1.0) },
        ];
        insta::assert_snapshot!(said(&record(all)).join("\n"), @r"
        warning: point 1: shot 1: player a is marked twice at 00:00:03.000
        warning: point 1: shot 1: the place of player b cannot be measured: the ground is not seen at that pixel
        warning: point 1: shot 1: the place of player b2 cannot be measured: mark the court in the footage at 00:01:10.000
        warning: point 1: shot 1: the place of the ball cannot be measured: 1400, 600 is outside the picture
        warning: point 1: shot 1: the place of player a1 cannot be measured: its stored error is none that a measurement can have
        ");
    }

    #[test]
    fn marks_and_drawings_that_are_wrong_are_told() {
        let mut r = record(vec![seen(Touch::A, 3, 640.0, 600.0)]);
        let mut off = marked("1.mp4", 30);
        off.marks[12].at = Pixel::new(900.0, 300.0).into();
        let mut twice = marked("1.mp4", 40);
        twice.marks[1] = twice.marks[0];
        let few = CourtMarks { marks: off.marks[..3].to_vec(), ..marked("1.mp4", 0) };
        let none = CourtMarks { size: Size::new(0, 720), ..marked("2.mp4", 1) };
        r.calibrations = vec![few, off, twice, marked("2.mp4", 61), none, marked("3.mp4", 1)];
        let (from, to) = (MatchTime::from_secs(3), MatchTime::from_secs(3));
        r.drawings = vec![Drawing { shape: Shape::Line(Vec::new()), colour: Colour::Blue, from, to }];
        insta::assert_snapshot!(said(&r).join("\n"), @r#"
        warning: match: the court is marked in "3.mp4", which is not in the record
        warning: match: drawing 1 ends at 00:00:03.000, not after its start at 00:00:03.000, so it is never seen
        warning: footage 1: the court is marked at 00:00:00.000, but 3 landmarks are marked; at least 4 are needed
        warning: footage 1: the court is marked at 00:00:30.000, but far-right singles corner is 138 pixels from where the other marks put it; mark it again
        warning: footage 1: the court is marked at 00:00:40.000, but near-left doubles corner is marked twice; delete one of the marks
        warning: footage 2: the court is marked at 00:01:01.000, after the file ends at 00:01:00.000
        error: footage 2: the court is marked at 00:00:01.000 in a picture without a size; mark it again
        warning: point 1: shot 1: the place of player a cannot be measured: the marks of the court at 00:00:00.000 fit no camera
        "#);
    }
}
