//! `changeover positions` on a small record whose pixels follow from a camera.
use super::*;
use crate::measure::{Camera, Size};
use crate::record::{Corner, CourtMark, CourtMarks, Footage, Point};
use crate::time::MatchTime;

const SIZE: Size = Size::new(1280, 720);

fn camera() -> Camera {
    Camera::looking([0.0, -23.8872, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap()
}

fn seen(of: Touch, secs: u64, spot: Spot) -> Position {
    let at = camera().see_ground(spot).unwrap().into();
    Position { of, frame: MatchTime::from_secs(secs), at, by: FoundBy::Checked, measured: None }
}

/// Two files of ten seconds; the court is marked in the first one only.
fn record() -> Record {
    let film = |n: u64| Footage {
        file: format!("{n}.mp4"),
        fingerprint: None,
        duration: MatchTime::from_secs(10),
        rate: None,
        rotation: 0,
        start: MatchTime::from_secs(10 * n),
    };
    let mark = |landmark: Corner| CourtMark {
        landmark,
        at: camera().see_ground(landmark.landmark().spot).unwrap().into(),
    };
    let marks = CourtMarks {
        file: "0.mp4".into(),
        at: MatchTime::ZERO,
        size: SIZE,
        marks: Corner::ALL.map(mark).to_vec(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    };
    let feet = seen(Touch::A, 2, Spot::new(1.0, -13.0));
    let line = seen(Touch::B, 2, Spot::new(0.0, 11.85));
    let served = Shot { at: Some(MatchTime::from_secs(2)), positions: vec![feet, line], ..Shot::default() };
    let fault = Shot { landing: Some(Spot::new(2.0, 7.0).into()), ..Shot::default() };
    let points = vec![Point { shots: vec![served], serves_out: vec![fault], ..Point::default() }];
    let mut record = Record {
        footage: vec![film(0), film(1)],
        calibrations: vec![marks],
        points: points.into(),
        ..Record::default()
    };
    (record.about.a.name, record.about.b.name) = ("=Holt".into(), "Okafor".into());
    record
}

#[test]
fn each_place_in_metres_with_its_error() {
    let lines = lines(&record(), &Cameras::of(&record()));
    let said: Vec<_> = lines.iter().map(words).collect();
    assert_eq!(
        said[0],
        "point 1, fault 1: Ball: 4.89 m inside the baseline, x 2.00, y 7.00; error not known"
    );
    assert!(
        said[1].starts_with("point 1, shot 1: =Holt: 1.11 m behind the baseline, x 1.00, y -13.00; 95 %")
    );
    assert!(said[2].contains("inside the baseline, uncertain"), "{}", said[2]);
    let [feet, line] = [1, 2].map(|n| lines[n].ground.as_ref().unwrap());
    assert_eq!(
        (feet.inside, feet.lane, feet.zone),
        (Some(false), Some("middle third"), Some("behind the baseline"))
    );
    assert_eq!((line.inside, line.zone), (None, None), "the error reaches over the baseline");
    assert_eq!((lines[0].by, lines[1].by, lines[1].who), ("imported", "checked", "a"));
}

#[test]
fn a_table_guards_names_that_are_formulas() {
    let mut out = Vec::new();
    table(&lines(&record(), &Cameras::of(&record())), &mut out).unwrap();
    let text = String::from_utf8(out).unwrap();
    let rows: Vec<_> = text.lines().collect();
    assert_eq!(rows.len(), 4);
    assert!(rows[0].starts_with("point,shot,fault,who,name,frame,by,pixel_x"));
    assert!(rows[2].starts_with("1,1,false,a,'=Holt,00:00:02"), "{}", rows[2]);
    assert_eq!(rows[1].split(',').count(), HEAD.len());
}

#[test]
fn where_the_court_is_not_marked_there_are_no_metres() {
    let mut record = record();
    record.points[0].shots[0].positions = vec![seen(Touch::A, 12, Spot::new(0.0, -12.0))];
    let lines = lines(&record, &Cameras::of(&record));
    assert!(lines[1].ground.is_none());
    assert_eq!(words(&lines[1]), "point 1, shot 1: =Holt: the court is not marked there");
}
