//! What an undo changed, in words: the difference between the record before and after the edit.

use std::cmp::Ordering;
use std::iter::successors;

use crate::facts::{PointFacts, ball_of};
use crate::record::{Point, Record, Shared};

/// What an edit did that makes `new` of `old`: `point 12 won by Holt`. The facts are those of `new`, by which a shot is named.
pub fn change_words(old: &Record, new: &Record, facts: &Shared<PointFacts>) -> String {
    let (before, after) = (&old.points, &new.points);
    match (before.differs(after, 0), after.len() as i64 - before.len() as i64) {
        (Some(at), 1) => inserted(new, at),
        (Some(at), -1) => format!("point {} deleted", at + 1),
        (Some(at), 0) => changed(old, new, at, facts),
        (Some(_), more) if more > 0 => format!("{more} points added"),
        (Some(_), fewer) => format!("{} points deleted", -fewer),
        (None, _) => besides_points(old, new),
    }
}

/// What of a record is no point.
fn besides_points(old: &Record, new: &Record) -> String {
    let what = if old.about.rules != new.about.rules {
        "match rules changed"
    } else if old.about.shows != new.about.shows {
        return format!("the footage shows {}", new.about.shows.words());
    } else if old.people != new.people {
        "people changed"
    } else if old.about != new.about {
        "match details changed"
    } else if old.footage != new.footage {
        "footage changed"
    } else if old.calibrations != new.calibrations {
        "marks of the court changed"
    } else if old.drawings != new.drawings {
        return drawn(old.drawings.len(), new.drawings.len());
    } else {
        "final score changed"
    };
    what.into()
}

/// That drawings were added, deleted or changed.
fn drawn(before: usize, after: usize) -> String {
    match after.cmp(&before) {
        Ordering::Greater => "drawing added",
        Ordering::Less => "drawing deleted",
        Ordering::Equal => "drawing changed",
    }
    .into()
}

fn inserted(new: &Record, at: usize) -> String {
    let number = at + 1;
    match new.points[at].winner {
        Some(side) => format!("point {number} won by {}", new.about_at(number - 1).side_name(side)),
        None => format!("start of point {number}"),
    }
}

/// One point changed, or several and then the first of them with how many.
fn changed(old: &Record, new: &Record, at: usize, facts: &Shared<PointFacts>) -> String {
    let differs = |from: usize| old.points.differs(&new.points, from);
    let others = successors(differs(at + 1), |last| differs(last + 1)).count();
    if others > 0 {
        return format!("{} points changed, from point {} on", others + 1, at + 1);
    }
    let (was, is, number) = (&old.points[at], &new.points[at], at + 1);
    let rest = Point { shots: is.shots.clone(), ..was.clone() };
    match () {
        () if was.winner != is.winner || was.replayed != is.replayed => won(new, is, number),
        () if was.faults != is.faults || was.serves_out != is.serves_out => {
            let more = is.faults > was.faults;
            format!("{} of point {number}", if more { "fault" } else { "fault removed" })
        }
        () if was.shots != is.shots && rest == *is => shot(was, is, facts.get(at), new),
        () if was.finish != is.finish || was.miss != is.miss => {
            let how = is.finish.map_or("ending removed", crate::record::Finish::words);
            format!("{how}, point {number}")
        }
        () if was.start != is.start => format!("start of point {number}{}", moved(was.start.is_some())),
        () if was.end != is.end => format!("end of point {number}{}", moved(was.end.is_some())),
        () if was.joined_late != is.joined_late || was.first_by != is.first_by => {
            format!("joined late, point {number}")
        }
        () if was.left_early != is.left_early => format!("left early, point {number}"),
        () if was.served_by != is.served_by => format!("server of point {number}"),
        () if was.server_end != is.server_end => format!("end of the server, point {number}"),
        () if was.side != is.side => format!("court of point {number}"),
        () if was.source != is.source => format!("players of point {number}"),
        () if was.tags == is.tags && was.tags_by != is.tags_by => format!("whose tag, point {number}"),
        () if was.tags != is.tags => tags(was, is, number),
        () if was.note != is.note => format!("note on point {number}"),
        () if was.plan != is.plan => format!("plan of point {number}"),
        () => format!("change of point {number}"),
    }
}

const fn moved(there: bool) -> &'static str {
    if there { " moved" } else { "" }
}

fn won(new: &Record, is: &Point, number: usize) -> String {
    match is.winner {
        _ if is.replayed => format!("let, point {number}"),
        Some(side) => format!("point {number} won by {}", new.about_at(number - 1).side_name(side)),
        None => format!("winner removed from point {number}"),
    }
}

/// A shot that was added, deleted or changed.
fn shot(was: &Point, is: &Point, facts: Option<&PointFacts>, new: &Record) -> String {
    let at = (0..was.shots.len().max(is.shots.len())).find(|i| was.shots.get(*i) != is.shots.get(*i));
    let at = at.unwrap_or_default();
    let point = facts.map_or(0, |f| f.number) + 1;
    if is.shots.len() < was.shots.len() {
        return format!("shot {} of point {point} deleted", at + 1);
    }
    let words = facts.map(|f| ball_of(new, f, at)).unwrap_or_default();
    format!("shot {} of point {point}: {words}", at + 1)
}

fn tags(was: &Point, is: &Point, number: usize) -> String {
    match (is.tags.difference(&was.tags).next(), was.tags.difference(&is.tags).next()) {
        (Some(tag), _) => format!("tag “{tag}” on point {number}"),
        (None, Some(tag)) => format!("tag “{tag}” removed from point {number}"),
        (None, None) => format!("change of point {number}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Colour, Drawing, Shape};
    use crate::facts::facts;
    use crate::record::{Player, Shot};
    use crate::tennis::Side;
    use crate::tennis::stroke::Wing;
    use crate::time::MatchTime;

    /// Three points of which the second is being played with one shot.
    fn record() -> Record {
        let mut record = Record::default();
        (record.about.a, record.about.b) = (Player::named("Holt"), Player::named("Okafor"));
        let point = |s: u64, winner| Point {
            start: Some(MatchTime::from_secs(s)),
            end: Some(MatchTime::from_secs(s + 5)),
            winner,
            ..Point::default()
        };
        record.points = [point(10, Some(Side::A)), point(20, Some(Side::B)), point(30, None)].into();
        record.points[2].shots = vec![Shot::default()];
        record
    }

    /// What a change of the record reads like.
    fn said(change: impl FnOnce(&mut Record)) -> String {
        let old = record();
        let mut new = old.clone();
        change(&mut new);
        change_words(&old, &new, &facts(&new))
    }

    #[test]
    fn each_change_is_told_by_what_it_did() {
        assert_eq!(said(|r| r.points[2].winner = Some(Side::A)), "point 3 won by Holt");
        assert_eq!(said(|r| r.points[0].winner = None), "winner removed from point 1");
        assert_eq!(said(|r| r.points.push(Point::default())), "start of point 4");
        assert_eq!(said(|r| drop(r.points.remove(1))), "point 2 deleted");
        assert_eq!(said(|r| r.points.truncate(1)), "2 points deleted");
        let backhand = Shot { wing: Some(Wing::Backhand), ..Shot::default() };
        assert_eq!(said(|r| r.points[2].shots.push(backhand)), "shot 2 of point 3: Okafor returns backhand");
        assert_eq!(said(|r| r.points[2].shots.clear()), "shot 1 of point 3 deleted");
        assert_eq!(said(|r| r.points[1].tags = ["net".to_owned()].into()), "tag “net” on point 2");
        assert_eq!(said(|r| r.points[1].note = "late".into()), "note on point 2");
        assert_eq!(said(|r| r.points[1].faults = Some(1)), "fault of point 2");
        assert_eq!(said(|r| r.points[0].start = Some(MatchTime::from_secs(9))), "start of point 1 moved");
        assert_eq!(said(|r| r.points[2].end = None), "end of point 3 moved");
        assert_eq!(
            said(|r| r.points.iter_mut().for_each(|p| p.plan = "net".into())),
            "3 points changed, from point 1 on"
        );
        assert_eq!(said(|r| r.about.venue = "Court 3".into()), "match details changed");
        let (from, to) = (MatchTime::ZERO, MatchTime::from_secs(3));
        let line = Drawing { shape: Shape::Line(Vec::new()), colour: Colour::default(), from, to };
        assert_eq!(said(|r| r.drawings.push(line)), "drawing added");
    }

    #[test]
    fn a_correction_without_a_word_of_its_own_names_its_point() {
        assert_eq!(
            said(|r| r.points[1].received_by = Some(crate::tennis::pair::Partner::Second)),
            "change of point 2"
        );
    }
}
