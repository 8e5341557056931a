//! Contradictions within a point: between its shots, its faults, and its end. They are reported, never corrected.

use super::model::{Finish, Logged, Point};
use super::severity::Severity;
use super::shot::Shot;
use crate::tennis::Side;
use crate::tennis::stroke::{Miss, Stroke, VolleyKind};

type Found = (Severity, String);

/// An error where the shots name another winner than the record does. `name` gives a side's name.
pub(super) fn winner(
    point: &Point,
    winner: Side,
    server: Side,
    name: impl Fn(Side) -> String,
) -> Option<Found> {
    let last = point.shots.len().checked_sub(1).filter(|_| point.logged == Some(Logged::Every))?;
    if point.left_early {
        return None;
    }
    let by = match (point.joined_late, point.first_by) {
        (true, None) => return None,
        (true, Some(first)) => {
            if last.is_multiple_of(2) {
                first
            } else {
                first.other()
            }
        }
        (false, _) => {
            if last.is_multiple_of(2) {
                server
            } else {
                server.other()
            }
        }
    };
    let (did, wins) = match (point.finish, point.miss) {
        (Some(Finish::Ace), _) => ("hit an ace", by),
        (Some(Finish::Winner), _) => ("hit the last shot for a winner", by),
        (Some(Finish::ForcedError), _) => ("missed the last shot, a forced error", by.other()),
        (Some(Finish::UnforcedError), _) => ("missed the last shot, an unforced error", by.other()),
        (None, Some(_)) => ("missed the last shot", by.other()),
        _ => return None,
    };
    // An ace or an error of the wrong side is told of the serve.
    if wins == winner || point.finish == Some(Finish::Ace) {
        return None;
    }
    let message = format!(
        "by the shots {} {did}, but the point is noted as won by {}; correct who served, who won, how it ended, or a shot",
        name(by),
        name(winner)
    );
    Some((Severity::Error, message))
}

/// Everything in a point that cannot be true together, whoever served and won.
pub(super) fn point(point: &Point) -> Vec<Found> {
    let mut found = faults(point);
    found.extend(details(point));
    found.extend(ending(point));
    found.extend(never_played(point));
    found.extend(penalty(point));
    found
}

/// Where the faults contradict the end.
fn faults(point: &Point) -> Vec<Found> {
    let mut found = Vec::new();
    match (point.faults, point.finish) {
        (Some(n), _) if n > 2 => found.push((Severity::Error, format!("{n} faults; a point has at most 2"))),
        (Some(2), Some(Finish::DoubleFault)) | (None, _) => {}
        (Some(2), None) => {
            found.push((Severity::Warning, "it has 2 faults, but does not end with a double fault".into()));
        }
        (Some(2), Some(other)) => {
            found.push((Severity::Error, format!("it has 2 faults, but ends with {}", with_article(other))));
        }
        (Some(n), Some(Finish::DoubleFault)) => found.push((
            Severity::Error,
            format!("it is a double fault, but the number of faults is {n}; it must be 2"),
        )),
        _ => {}
    }
    let faults = usize::from(point.faults.unwrap_or(2));
    if point.serves_out.len() > faults {
        let seen = point.serves_out.len();
        found.push((
            Severity::Warning,
            format!("serves described as faults: {seen}; faults counted: {faults}"),
        ));
    }
    found
}

/// Where shots, a miss, or a serve that did not come back are of a point that ended without them.
fn never_played(point: &Point) -> Vec<Found> {
    let mut found = Vec::new();
    let mut warn = |message: String| found.push((Severity::Warning, message));
    let shots = point.shots.len();
    let ended = point.finish.map(with_article).unwrap_or_default();
    match point.finish {
        Some(Finish::DoubleFault) if shots > 0 => {
            warn("it is a double fault, but shots are logged; delete them, or correct how it ended".into());
        }
        Some(Finish::Ace) if shots > 1 => {
            let more = "delete the shots after the serve, or correct how it ended";
            warn(format!("it is an ace, but {shots} shots are logged; {more}"));
        }
        _ => {}
    }
    let good = matches!(point.finish, Some(Finish::Ace | Finish::Winner));
    if good && point.miss.is_some() {
        warn(format!(
            "it ended with {ended}, but it is noted where the last shot missed; delete one of the two"
        ));
    }
    if good && point.shots.last().is_some_and(|s| s.aim.is_some() || s.aim_place.is_some()) {
        warn(format!(
            "shot {shots} has an aim, but it ended the point with {ended}; only a missed shot has an aim"
        ));
    }
    if point.finish == Some(Finish::DoubleFault) && point.unreturned {
        warn("it is a double fault, but its serve is marked as not returned; no serve was in play".into());
    }
    found
}

/// Where a point penalty was played, or won by the penalized player.
fn penalty(point: &Point) -> Vec<Found> {
    let mut found = Vec::new();
    if let Some(against) = point.penalty {
        if point.winner == Some(against) {
            found.push((
                Severity::Error,
                "it is a point penalty, but the record says that the penalized player won it".into(),
            ));
        } else if !point.shots.is_empty() {
            found.push((
                Severity::Warning,
                "it is a point penalty, but shots are logged; a point penalty has no rally".into(),
            ));
        }
    }
    if let Some(finish) = point.finish.filter(|_| point.penalty.is_some()) {
        let ended = with_article(finish);
        found.push((
            Severity::Warning,
            format!(
                "it is a point penalty, but it is noted that it ended with {ended}; delete one of the two"
            ),
        ));
    }
    found
}

fn with_article(finish: Finish) -> String {
    let article = if matches!(finish, Finish::Ace | Finish::UnforcedError) { "an" } else { "a" };
    format!("{article} {}", finish.words())
}

/// Where the end contradicts the shots, whoever won.
fn ending(point: &Point) -> Vec<Found> {
    let (every, shots) = (point.logged == Some(Logged::Every), point.shots.len());
    let error = point.finish.filter(|f| matches!(f, Finish::ForcedError | Finish::UnforcedError));
    let missed =
        every && !point.left_early && (error.is_some() || point.finish.is_none() && point.miss.is_some());
    // A measured landing may lie outside the court, or before the net.
    let landed = |s: &Shot| s.cell.is_some() || s.depth.is_some();
    let mut found = Vec::new();
    if missed && shots == 1 && !point.joined_late {
        found.push((
            Severity::Warning,
            "its only shot is the serve in play, and that shot is noted as missed; log the return, or the serve as a fault"
                .into(),
        ));
    } else if missed && point.shots.last().is_some_and(landed) {
        let how = match error {
            Some(Finish::ForcedError) => "the point ended with a forced error",
            Some(_) => "the point ended with an unforced error",
            None => "it is noted as missed",
        };
        found.push((
            Severity::Warning,
            format!(
                "shot {shots} landed in court, but {how}; note the place as its aim if that is meant, or correct the shot or the ending"
            ),
        ));
    }
    if every
        && !point.left_early
        && shots > 0
        && point.finish.is_none()
        && point.miss.is_none()
        && !point.replayed
    {
        found.push((
            Severity::Warning,
            "every shot is logged, but not how the point ended: log whether the last shot was a winner or an error".into(),
        ));
    }
    found
}

/// Details that cannot be true of the shot or point that has them.
fn details(point: &Point) -> Vec<Found> {
    let mut found = Vec::new();
    let mut warn = |message: String| found.push((Severity::Warning, message));
    let last = point.shots.len();
    for (n, shot) in point.shots.iter().enumerate().map(|(n, s)| (n + 1, s)) {
        if n < last && (shot.aim.is_some() || shot.aim_place.is_some()) {
            warn(format!("shot {n} has an aim, but the opponent returned it; only a missed shot has an aim"));
        }
        if shot.fault.is_some() {
            warn(format!("shot {n} is marked as a fault, but it is in play"));
        }
        if shot.volley.is_some() && shot.stroke != Some(Stroke::Volley) {
            warn(format!("shot {n} is marked as a half or swinging volley, but not as a volley"));
        }
    }
    if !point.joined_late
        && point
            .shots
            .get(1)
            .is_some_and(|s| s.stroke == Some(Stroke::Volley) && s.volley != Some(VolleyKind::Half))
    {
        warn(
            "shot 2, the return, is noted as a volley, but a serve must bounce before it is returned".into(),
        );
    }
    if point.also_wide && point.miss != Some(Miss::Long) {
        warn("its miss is marked as wide too, but not as long".into());
    }
    if point.unreturned && last > 2 {
        warn(format!("its serve is marked as not returned, but {last} shots are logged"));
    }
    partly_seen(point, &mut warn);
    found
}

/// Of a point joined late or left early, what was not seen cannot be said; and whose a tag is only of a tag.
fn partly_seen(point: &Point, warn: &mut impl FnMut(String)) {
    let serve = matches!(point.finish, Some(Finish::Ace | Finish::DoubleFault));
    if point.joined_late && (serve || point.unreturned) {
        warn("it is marked as joined after its serve, but it ended with the serve".into());
    }
    if point.first_by.is_some() && !point.joined_late {
        warn("it says who struck the first shot; that counts only for a point joined late".into());
    }
    if let Some(tag) = point.tags_by.keys().find(|tag| !point.tags.contains(*tag)) {
        let tag = crate::system::printable(tag, 60);
        warn(format!("it says whose tag \"{tag}\" is, but it does not have that tag"));
    }
}
