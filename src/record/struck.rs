//! Impossible shots: where they landed, and who stood where, contradicts the end and the court that follow from the score.

use super::model::{Finish, Point};
use super::place::Place;
use crate::tennis::score::PointState;
use crate::tennis::{CourtSide, End, Side};

/// A place nearer to the net than this, in millimetres, may be in either half; the same at the centre line.
const CLOSE: i32 = 500;

/// The first impossible thing about a point's shots, if it was served as the score says; in words.
pub(super) fn impossible(point: &Point, before: &PointState) -> Option<String> {
    if point.joined_late {
        // Which of its shots the first logged one was is not known.
        return None;
    }
    let end = before.server_end?;
    stands(point, before.server, end).or_else(|| serve(point, end, before.side)).or_else(|| lands(point, end))
}

/// The server stood at one end when the serve was struck.
fn stands(point: &Point, server: Side, end: End) -> Option<String> {
    let stood = half(point.shots.first()?.players?[server.index()])?;
    (stood != end).then(|| {
        format!(
            "the server stood at the {} end, but by the score the serve came from the {} end; correct who served, or the ends",
            word(stood),
            word(end)
        )
    })
}

/// The serve in play landed in one box.
fn serve(point: &Point, end: End, court: Option<CourtSide>) -> Option<String> {
    let landed = point.shots.first()?.landing?;
    if half(landed) == Some(end) {
        return Some(own_half("the serve", end));
    }
    // From the near end the deuce court's box is on the camera's left, from the far end on its right.
    let left = (court? == CourtSide::Deuce) == (end == End::Near);
    let wrong = if left { landed.x_mm > CLOSE } else { landed.x_mm < -CLOSE };
    wrong.then(|| {
        let court = match court {
            Some(CourtSide::Ad) => "ad",
            _ => "deuce",
        };
        format!(
            "the serve landed outside the service box, for a serve from the {} end and the {court} court; correct who served, or the ends",
            word(end)
        )
    })
}

/// Each other shot landed beyond the net. The last one may have missed.
fn lands(point: &Point, end: End) -> Option<String> {
    let missed =
        point.miss.is_some() || matches!(point.finish, Some(Finish::ForcedError | Finish::UnforcedError));
    let good = point.shots.len().saturating_sub(usize::from(missed));
    let struck = |n: usize| if n.is_multiple_of(2) { end } else { end.other() };
    let wrong = (1..good).find(|n| {
        let landed = point.shots[*n].landing.and_then(half);
        landed == Some(struck(*n))
    })?;
    Some(own_half(&format!("shot {}", wrong + 1), struck(wrong)))
}

fn own_half(what: &str, end: End) -> String {
    let end = word(end);
    format!(
        "{what} landed in the {end} half, but by the score it was struck from there; correct who served, or the ends"
    )
}

/// The half that a place is in, if it is clear.
const fn half(place: Place) -> Option<End> {
    match place.y_mm {
        y if y < -CLOSE => Some(End::Near),
        y if y > CLOSE => Some(End::Far),
        _ => None,
    }
}

const fn word(end: End) -> &'static str {
    match end {
        End::Near => "near",
        End::Far => "far",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::check::contradictions;
    use crate::record::{Logged, Record, Shot};
    use crate::tennis::pair::Server;

    fn shot(x_mm: i32, y_mm: i32) -> Shot {
        Shot { landing: Some(Place { x_mm, y_mm }), ..Shot::default() }
    }

    /// A serves from the near end to the deuce court, B returns, A wins.
    fn record() -> Record {
        let point = Point {
            winner: Some(Side::A),
            finish: Some(Finish::Winner),
            logged: Some(Logged::Every),
            shots: vec![shot(-2000, 5000), shot(1000, -9000), shot(0, 9000)],
            ..Point::default()
        };
        Record { points: [point].into(), ..Record::default() }
    }

    fn said(record: &Record) -> Vec<String> {
        contradictions(record, &record.replay())
            .into_iter()
            .map(|f| format!("{}: {}", f.place, f.message))
            .collect()
    }

    #[test]
    fn shots_that_fit_are_not_told() {
        assert_eq!(said(&record()), [""; 0]);
        let mut close = record();
        close.points[0].shots[0] = shot(300, 400);
        assert_eq!(said(&close), [""; 0], "the measurement may be off by so much");
    }

    #[test]
    fn another_server_makes_measured_shots_impossible() {
        let mut other = record();
        other.points[0].served_by = Some(Server::B);
        other.points[0].winner = Some(Side::B);
        assert_eq!(
            said(&other),
            [
                "point 1: the serve landed in the far half, but by the score it was struck from there; correct who served, or the ends"
            ]
        );
        other.points[0].shots[0].landing = None;
        assert_eq!(
            said(&other),
            [
                "point 1: shot 2 landed in the near half, but by the score it was struck from there; correct who served, or the ends"
            ]
        );
        let place = |y_mm| Place { x_mm: 0, y_mm };
        other.points[0].shots[0].players = Some([place(12_000), place(-12_000)]);
        assert_eq!(
            said(&other),
            [
                "point 1: the server stood at the near end, but by the score the serve came from the far end; correct who served, or the ends"
            ]
        );
    }

    #[test]
    fn a_box_that_is_not_served_to_is_told() {
        let mut other = record();
        other.points[0].side = Some(CourtSide::Ad);
        assert_eq!(
            said(&other),
            [
                "point 1: the serve landed outside the service box, for a serve from the near end and the ad court; correct who served, or the ends"
            ]
        );
    }

    #[test]
    fn a_missed_shot_may_land_anywhere() {
        let mut missed = record();
        missed.points[0].winner = Some(Side::B);
        missed.points[0].finish = Some(Finish::UnforcedError);
        missed.points[0].shots[2] = shot(0, -1000);
        assert_eq!(said(&missed), [""; 0]);
    }
}
