//! What looks wrong with a record. It is reported, never corrected.

use std::sync::Arc;

use super::against;
use super::court_check;
pub use super::finding::{Finding, Place};
use super::footage::is_inside;
use super::model::{Finish, Outcome, Point, Record};
use super::named;
pub use super::severity::Severity;
use super::shared::Shared;
use super::struck::impossible;
use crate::system::printable;
use crate::tennis::Side;
use crate::tennis::replay::Replay;
use crate::tennis::setup::Counting;
use crate::time::{MatchTime, Span};

/// Contradictions between what was seen and the score, which `replay` counted from this record, and within what was logged of a
/// point: its shots, its faults, and how it ended. A part of what [`check`] finds, in the order of the points; findings about the whole match come first.
pub fn contradictions(record: &Record, replay: &Replay) -> Vec<Finding> {
    Contradictions::default().of(record, replay)
}

/// What [`contradictions`] finds, edit after edit: within points that did not change nothing is looked up again.
#[derive(Debug, Default)]
pub struct Contradictions {
    points: Shared<Point>,
    /// What was found within each of them.
    within: Vec<Vec<(Severity, String)>>,
}

impl Contradictions {
    /// As [`contradictions`].
    pub fn of(&mut self, record: &Record, replay: &Replay) -> Vec<Finding> {
        self.follow(&record.points);
        let mut out = Report(Vec::new());
        score(record, replay, &mut out);
        out.0.retain(|f| f.severity == Severity::Error);
        for (i, found) in self.within.iter().enumerate() {
            for (severity, message) in found {
                out.say(Place::Point(i), *severity, message.clone());
            }
        }
        out.0.sort_by_key(|f| f.place);
        out.0
    }

    /// Looks at the points between the first and the last that are not the same as before.
    fn follow(&mut self, points: &Shared<Point>) {
        let (old, new) = (self.points.held(), points.held());
        let same = |(a, b): &(&Arc<Point>, &Arc<Point>)| Arc::ptr_eq(a, b);
        let first = old.iter().zip(new).take_while(same).count();
        let last = old[first..].iter().rev().zip(new[first..].iter().rev()).take_while(same).count();
        let changed = new[first..new.len() - last].iter().map(|p| against::point(p));
        self.within.splice(first..old.len() - last, changed);
        self.points = points.clone();
    }
}

/// Everything that looks wrong with a record, in the order of its parts.
pub fn check(record: &Record) -> Vec<Finding> {
    let mut out = Report(Vec::new());
    about(record, &mut out);
    footage(record, &mut out);
    for (i, point) in record.points.iter().enumerate() {
        let mut say = |severity, message| out.say(Place::Point(i), severity, message);
        times(point, i.checked_sub(1).and_then(|p| record.points.get(p)), &mut say);
        in_footage(record, point, &mut say);
        ending(point, &mut say);
        shots(point, &mut say);
        for (severity, message) in against::point(point) {
            say(severity, message);
        }
        if point.replayed && point.winner.is_some() {
            say(Severity::Note, "it is a replayed point (let), so its winner is not counted".into());
        }
    }
    court_check::check(record, &mut |place, severity, message| out.say(place, severity, message));
    score(record, &record.replay(), &mut out);
    out.0.sort_by_key(|f| f.place);
    out.0
}

struct Report(Vec<Finding>);

impl Report {
    fn say(&mut self, place: Place, severity: Severity, message: String) {
        self.0.push(Finding { place, message, severity });
    }
}

fn about(record: &Record, out: &mut Report) {
    if let Err(e) = record.about.rules.check() {
        out.say(Place::Match, Severity::Error, e.to_string());
    }
    named::check(record, &mut |point, message| {
        out.say(point.map_or(Place::Match, Place::Point), Severity::Warning, message);
    });
}

fn footage(record: &Record, out: &mut Report) {
    let mut last: Option<(usize, Span)> = None;
    for (i, file) in record.footage.iter().enumerate() {
        let mut say = |severity, message| out.say(Place::Footage(i), severity, message);
        if !is_inside(&file.file) {
            let name = printable(&file.file, 120);
            say(
                Severity::Error,
                format!(
                    "\"{name}\" is outside the record's folder, so it is not opened; move it into the folder"
                ),
            );
        }
        if file.duration == MatchTime::ZERO {
            say(Severity::Error, "its length is 0".into());
        }
        if !matches!(file.rotation, 0 | 90 | 180 | 270) {
            let found = file.rotation;
            say(Severity::Error, format!("its rotation is {found} degrees; allowed are 0, 90, 180 and 270"));
        }
        let span = Span::lasting(file.start, file.duration - MatchTime::ZERO);
        if let Some((before, gone)) = last {
            neighbours(before + 1, gone, span, &mut say);
        }
        last = Some((i, span));
    }
}

/// A gap or an overlap between two files in a row is legal, and worth knowing.
fn neighbours(before: usize, gone: Span, span: Span, say: &mut impl FnMut(Severity, String)) {
    if span.start() < gone.start() {
        let at = span.start();
        say(
            Severity::Error,
            format!("it starts at {at}, before footage {before}; put the files in the order of their start"),
        );
    } else if span.start() > gone.end() {
        say(Severity::Note, format!("nothing was filmed between {} and {}", gone.end(), span.start()));
    } else if span.start() < gone.end() {
        say(Severity::Note, format!("it overlaps footage {before} until {}", gone.end()));
    }
}

fn times(point: &Point, before: Option<&Point>, say: &mut impl FnMut(Severity, String)) {
    if let (Some(start), Some(end)) = (point.start, point.end)
        && end <= start
    {
        say(Severity::Error, format!("it ends at {end}, not after its start at {start}"));
    }
    if point.start.is_none()
        && let Some(end) = point.end
    {
        say(Severity::Error, format!("it ends at {end} but never starts; stamp its start"));
    }
    let (Some(start), Some(before)) = (point.start, before) else { return };
    if let Some(was) = before.start
        && start <= was
    {
        say(Severity::Error, format!("it starts at {start}, not after the point before it at {was}"));
    } else if let Some(was) = before.end
        && start < was
    {
        say(Severity::Error, format!("it starts at {start}, before the point before it ends at {was}"));
    }
}

/// Shots are in order and inside their point.
fn shots(point: &Point, say: &mut impl FnMut(Severity, String)) {
    let times: Vec<_> = point.shots.iter().enumerate().filter_map(|(i, s)| Some((i + 1, s.at?))).collect();
    for w in times.windows(2) {
        let [(first, a), (second, b)] = [w[0], w[1]];
        if b < a {
            say(Severity::Error, format!("shot {second} at {b} comes before shot {first} at {a}"));
        }
    }
    for (number, at) in times {
        if point.start.is_some_and(|s| at < s) || point.end.is_some_and(|e| at > e) {
            say(Severity::Error, format!("shot {number} at {at} lies outside the point"));
        }
    }
    if point.logged.is_some() && point.shots.is_empty() && point.finish != Some(Finish::DoubleFault) {
        say(Severity::Warning, "its shots are marked as logged, but it has none".into());
    }
}

fn in_footage(record: &Record, point: &Point, say: &mut impl FnMut(Severity, String)) {
    if record.footage.is_empty() {
        return;
    }
    let filmed = |t| record.footage.iter().any(|f| f.covers(t));
    for (what, t) in [("start", point.start), ("end", point.end)] {
        if let Some(t) = t.filter(|t| !filmed(*t)) {
            say(Severity::Warning, format!("no footage shows its {what} at {t}"));
        }
    }
    if point.start.is_none() {
        say(Severity::Note, "it has no time, so no clip can show it".into());
    }
}

fn ending(point: &Point, say: &mut impl FnMut(Severity, String)) {
    if point.winner.is_some() && point.start.is_some() && point.end.is_none() {
        say(Severity::Warning, "its winner is known but not when it ended; stamp its end".into());
    }
    if point.finish.is_some() && point.winner.is_none() {
        say(Severity::Warning, "how it ended is known, but not who won it".into());
    }
    if let Some(tag) = point.tags.iter().find(|t| t.trim().is_empty()) {
        say(Severity::Warning, format!("it has a tag without text: \"{}\"", printable(tag, 20)));
    }
}

/// Reports where the score is not possible.
fn score(record: &Record, replay: &Replay, out: &mut Report) {
    if record.about.rules.check().is_err() {
        return;
    }
    for found in &replay.contradictions {
        let place = if found.at < record.points.len() { Place::Point(found.at) } else { Place::Match };
        out.say(place, Severity::Error, found.what.to_string());
    }
    let played = replay.beyond.unwrap_or(record.points.len());
    if let Some(at) = replay.beyond {
        let n = record.points.len() - at;
        let message =
            format!("the match was over before it (points too many: {n}), or an earlier winner is wrong");
        out.say(Place::Point(at), Severity::Error, message);
    }
    winners(record, replay, played, out);
    out_of_turn(replay, out);
    if let (Some(outcome), Some(_)) = (record.about.outcome, replay.end.winner()) {
        let said = match outcome {
            Outcome::Retired(_) => "by a retirement",
            Outcome::Defaulted(_) => "by a default",
            Outcome::Unfinished => "unfinished",
        };
        let message = format!("the record says that it ended {said}, but by the score it was won");
        out.say(Place::Match, Severity::Error, message);
    }
}

/// Servers out of turn. The rules allow it, but a missing game looks the same. Of several such points in a row, the first
/// is reported.
fn out_of_turn(replay: &Replay, out: &mut Report) {
    let mut before = None;
    for found in &replay.out_of_turn {
        let goes_on = before == found.at.checked_sub(1).map(|at| (at, found.seen));
        before = Some((found.at, found.seen));
        if !goes_on {
            out.say(Place::Point(found.at), Severity::Note, found.to_string());
        }
    }
}

/// Winners that are missing, and those that contradict an ace or a double fault.
fn winners(record: &Record, replay: &Replay, played: usize, out: &mut Report) {
    let last = record.points.len().saturating_sub(1);
    let counting = record.about.setup().counting;
    let mut known = counting == Counting::FromTheStart;
    for (i, point) in record.points.iter().take(played).enumerate() {
        let place = Place::Point(i);
        known = match counting {
            // Who serves is all that is known, where it was seen.
            Counting::PointByPoint => point.served_by.is_some(),
            _ => known || point.score_before.is_some() && !replay.passed_over(i),
        };
        if let Some(message) = impossible(point, &replay.states[i]).filter(|_| known) {
            out.say(place, Severity::Error, message);
        }
        match point.winner {
            Some(winner) if known => {
                let server = replay.states[i].server;
                serve_agrees(point, winner, server, &mut |s, m| out.say(place, s, m));
                let name = |side| printable(&record.about.side_name(side), 60);
                if let Some((severity, message)) = against::winner(point, winner, server, name) {
                    out.say(place, severity, message);
                }
            }
            None if i < last && known && !point.replayed && counting != Counting::PointByPoint => {
                known = false;
                let message = "its winner is not known, so the score after it is not known";
                out.say(place, Severity::Warning, message.into());
            }
            _ => {}
        }
    }
}

fn serve_agrees(point: &Point, winner: Side, server: Side, say: &mut impl FnMut(Severity, String)) {
    match point.finish {
        Some(Finish::DoubleFault) if winner == server => {
            say(Severity::Error, "it is a double fault, but the record says that the server won it".into());
        }
        Some(Finish::Ace) if winner != server => {
            say(Severity::Error, "it is an ace, but the record says that the receiver won it".into());
        }
        finish if point.unreturned && winner != server && finish != Some(Finish::DoubleFault) => {
            say(
                Severity::Error,
                "its serve is marked as not returned, but the record says that the receiver won it".into(),
            );
        }
        _ => {}
    }
}

#[cfg(test)]
#[path = "check_tests.rs"]
mod tests;
