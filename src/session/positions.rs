//! Measured positions of the open record: to which shot they belong, and the edit that puts them there. Pure.

use super::cameras::Cameras;
use crate::measure::reading::{Movement, movement};
use crate::record::{Edit, Position, Record, Shot, Touch};
use crate::tennis::Side;
use crate::tennis::pair::Partner;
use crate::tennis::rules::Sides;
use crate::time::MatchTime;

/// A shot: the point and the shot, both from 0.
pub type ShotAt = (usize, usize);

/// What can be measured, in the order in which it is asked for: the players, in doubles all four, and the ball.
pub fn touches(record: &Record) -> Vec<Touch> {
    let partners: &[Option<Partner>] = if record.about.rules.sides == Sides::Singles {
        &[None]
    } else {
        &[Some(Partner::First), Some(Partner::Second)]
    };
    let feet = |side| partners.iter().map(move |p| Touch::feet(side, *p));
    feet(Side::A).chain(feet(Side::B)).chain([Touch::Ball]).collect()
}

/// What it is called: the player's name, or the ball.
pub fn name(record: &Record, of: Touch) -> String {
    of.player().map_or_else(|| "Ball".into(), |p| record.about.name_of(p.side(), p.partner()))
}

/// The shot that was struck nearest to a moment, of the point that was played then, else of the current point. Of a point whose shots
/// have no times it is the last one.
pub fn shot_at(record: &Record, current: Option<usize>, at: MatchTime) -> Option<ShotAt> {
    let played = |p: &crate::record::Point| p.start.is_some_and(|s| s <= at) && p.end.is_none_or(|e| at <= e);
    let point = record.points.iter().rposition(played).or(current)?;
    let shots = &record.points.get(point)?.shots;
    let away = |t: MatchTime| if t > at { t - at } else { at - t };
    let timed = shots.iter().enumerate().filter_map(|(n, s)| Some((away(s.at?), n)));
    let nearest = timed.min().map(|(_, n)| n);
    nearest.or_else(|| shots.len().checked_sub(1)).map(|shot| (point, shot))
}

/// The edit that stores positions with a shot; each takes the place of an earlier one of the same player or ball in the same frame.
pub fn store(record: &Record, (point, shot): ShotAt, positions: &[Position]) -> Option<Edit> {
    let mut changed = record.points.get(point)?.clone();
    let kept = &mut changed.shots.get_mut(shot)?.positions;
    for new in positions {
        put(kept, *new);
    }
    Some(Edit::SetPoint { at: point, point: changed })
}

/// What is stored in a frame.
pub fn stored_in(record: &Record, frame: MatchTime) -> impl Iterator<Item = &Position> {
    let shots = record.points.iter().flat_map(|p| p.serves_out.iter().chain(&p.shots));
    shots.flat_map(|s| &s.positions).filter(move |p| p.frame == frame)
}

/// The edit that removes what is stored in a frame, of the first point that has something there.
pub fn without(record: &Record, frame: MatchTime) -> Option<Edit> {
    let is_there = |s: &Shot| s.positions.iter().any(|p| p.frame == frame);
    let at = record.points.iter().position(|p| p.serves_out.iter().chain(&p.shots).any(is_there))?;
    let mut point = record.points[at].clone();
    for shot in point.serves_out.iter_mut().chain(&mut point.shots) {
        shot.positions.retain(|p| p.frame != frame);
    }
    Some(Edit::SetPoint { at, point })
}

/// Puts a position among those of its shot.
pub(super) fn put(kept: &mut Vec<Position>, new: Position) {
    kept.retain(|old| (old.of, old.frame) != (new.of, new.frame));
    kept.push(new);
    kept.sort_by_key(|p| (p.of, p.frame));
}

/// How a player moved to a position, from the one nearest before or after it in the same shot.
pub fn moved(cameras: &Cameras, among: &[Position], to: &Position) -> Option<Movement> {
    let away = |p: &Position| if p.frame > to.frame { p.frame - to.frame } else { to.frame - p.frame };
    let others = among.iter().filter(|p| p.of == to.of && p.frame != to.frame);
    let from = others.min_by_key(|p| away(p))?;
    movement((from.frame, cameras.place(from)?), (to.frame, cameras.place(to)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Dot, FoundBy, Point};

    fn secs(n: u64) -> MatchTime {
        MatchTime::from_secs(n)
    }

    fn seen(of: Touch, frame: u64) -> Position {
        Position { of, frame: secs(frame), at: Dot::default(), by: FoundBy::Hand, measured: None }
    }

    #[test]
    fn a_position_belongs_to_the_nearest_shot_of_the_point_played() {
        let shot = |at: Option<u64>| Shot { at: at.map(secs), ..Shot::default() };
        let point = |start, end, shots| Point {
            start: Some(secs(start)),
            end: Some(secs(end)),
            shots,
            ..Point::default()
        };
        let points = [
            point(10, 20, vec![shot(Some(11)), shot(Some(14)), shot(None)]),
            point(30, 40, vec![Shot::default(), Shot::default()]),
            point(50, 60, Vec::new()),
        ];
        let mut record = Record { points: points.into(), ..Record::default() };
        let at = |n| shot_at(&record, Some(0), secs(n));
        assert_eq!((at(12), at(13), at(19)), (Some((0, 0)), Some((0, 1)), Some((0, 1))));
        assert_eq!((at(35), at(55)), (Some((1, 1)), None));
        assert_eq!(at(25), Some((0, 1)), "between points, the current one");
        let edit = store(&record, (0, 1), &[seen(Touch::B, 14), seen(Touch::A, 14)]).unwrap();
        let (_, back) = record.apply(edit).unwrap();
        let again = Position { by: FoundBy::Checked, ..seen(Touch::B, 14) };
        let edit = store(&record, (0, 1), &[again, seen(Touch::B, 13)]).unwrap();
        let _ = record.apply(edit).unwrap();
        let kept: Vec<_> =
            record.points[0].shots[1].positions.iter().map(|p| (p.of, p.frame, p.by)).collect();
        let hand = FoundBy::Hand;
        assert_eq!(
            kept,
            [(Touch::A, secs(14), hand), (Touch::B, secs(13), hand), (Touch::B, secs(14), FoundBy::Checked)]
        );
        let _ = record.apply(back).unwrap();
        assert!(record.points[0].shots[1].positions.is_empty());
        assert!(store(&record, (0, 7), &[]).is_none() && store(&record, (9, 0), &[]).is_none());
    }

    #[test]
    fn what_is_stored_in_a_frame_is_known_and_can_be_removed() {
        let shot = |positions| Shot { positions, ..Shot::default() };
        let fault = shot(vec![seen(Touch::A, 14), seen(Touch::A, 15)]);
        let hit = shot(vec![seen(Touch::B, 14)]);
        let point = Point { serves_out: vec![fault], shots: vec![hit], ..Point::default() };
        let mut record = Record { points: [Point::default(), point].into(), ..Record::default() };
        let of = |record: &Record, at| stored_in(record, secs(at)).map(|p| p.of).collect::<Vec<_>>();
        assert_eq!((of(&record, 14), of(&record, 13)), (vec![Touch::A, Touch::B], vec![]));
        assert!(without(&record, secs(13)).is_none());
        let edit = without(&record, secs(14)).unwrap();
        let (_, back) = record.apply(edit).unwrap();
        assert_eq!((of(&record, 14), of(&record, 15)), (vec![], vec![Touch::A]));
        let _ = record.apply(back).unwrap();
        assert_eq!(of(&record, 14), [Touch::A, Touch::B]);
    }

    #[test]
    fn in_doubles_four_players_are_asked_for() {
        let mut record = Record::default();
        assert_eq!(touches(&record), [Touch::A, Touch::B, Touch::Ball]);
        record.about.rules.sides = Sides::Doubles;
        record.about.a_partner = Some(crate::record::Player::named("Reyes"));
        assert_eq!(touches(&record), [Touch::A1, Touch::A2, Touch::B1, Touch::B2, Touch::Ball]);
        assert_eq!(name(&record, Touch::A2), "Reyes");
    }
}
