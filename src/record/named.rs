//! What looks wrong with who is named in a record, and in its points.

use super::kind::Kind;
use super::model::{Player, Record};
use super::source::Source;
use crate::system::printable;

/// Reports each thing that looks wrong, with the place of its point from 0; with none where it is about the match.
pub(super) fn check(record: &Record, say: &mut impl FnMut(Option<usize>, String)) {
    on_court(record, say);
    listed(record, say);
    for (i, point) in record.points.iter().enumerate() {
        let mut say = |message: String| say(Some(i), message);
        match (point.source.as_deref(), record.about.kind()) {
            (Some(source), Kind::Points) => of_point(record, source, &mut say),
            (None, Kind::Points) => say("it does not say who plays".into()),
            (Some(_), _) => {
                say("it names a match of its own, which counts only in points of many matches".into());
            }
            (None, _) => {}
        }
    }
}

/// Those who play the match; of points of many matches nobody does.
fn on_court(record: &Record, say: &mut impl FnMut(Option<usize>, String)) {
    let about = &record.about;
    if about.kind() == Kind::Points {
        return;
    }
    let four = [
        (Some(&about.a), "player a"),
        (about.a_partner.as_ref(), "partner a"),
        (Some(&about.b), "player b"),
        (about.b_partner.as_ref(), "partner b"),
    ];
    for (player, which) in four.into_iter().filter_map(|(player, which)| Some((player?, which))) {
        one(player, which, say);
    }
    if about.a.name == about.b.name && !about.a.name.trim().is_empty() {
        say(None, format!("both players are named {}", printable(&about.a.name, 60)));
    }
}

fn one(player: &Player, which: &str, say: &mut impl FnMut(Option<usize>, String)) {
    if player.name.trim().is_empty() {
        say(None, format!("{which} has no name; a pseudonym will do"));
    }
    if player.consent == Some(false) {
        say(None, format!("{} did not agree to be filmed", printable(&player.name, 60)));
    }
}

/// The people of points of many matches: each named once.
fn listed(record: &Record, say: &mut impl FnMut(Option<usize>, String)) {
    let mut seen = std::collections::BTreeSet::new();
    for (n, person) in record.people.iter().enumerate() {
        one(person, &format!("person {}", n + 1), say);
        if !seen.insert(&person.name) {
            let name = printable(&person.name, 60);
            say(None, format!("two people are named {name}: give one of them another name"));
        }
    }
}

/// Who plays in a point of many matches.
fn of_point(record: &Record, source: &Source, say: &mut impl FnMut(String)) {
    if [&source.a, &source.b].iter().any(|name| name.trim().is_empty()) {
        say("it does not say who both players are".into());
    } else if source.a == source.b {
        say(format!("both players are named {}", printable(&source.a, 60)));
    }
    for name in [&source.a, &source.b].into_iter().filter(|n| !n.trim().is_empty()) {
        if record.person(name).is_none() {
            let name = printable(name, 60);
            say(format!("{name} is not in the list of people: add the name there, or correct it here"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Point;

    fn said(at: Option<usize>, message: &str) -> String {
        at.map_or_else(|| message.into(), |n| format!("point {}: {message}", n + 1))
    }

    #[test]
    fn who_plays_in_points_of_many_matches_is_looked_at() {
        let mut record = Record::default();
        record.about.shows = Kind::Points;
        record.people = vec![Player::named("Holt"), Player { consent: Some(false), ..Player::named("Holt") }];
        let of = |a: &str, b: &str| Some(Box::new(Source { a: a.into(), b: b.into(), ..Source::default() }));
        for source in [of("Holt", "Okafor"), of("", "Holt"), of("Holt", "Holt"), None] {
            record.points.push(Point { source, ..Point::default() });
        }
        let mut told = Vec::new();
        check(&record, &mut |at, message| {
            told.push(said(at, &message));
        });
        assert_eq!(
            told,
            [
                "Holt did not agree to be filmed",
                "two people are named Holt: give one of them another name",
                "point 1: Okafor is not in the list of people: add the name there, or correct it here",
                "point 2: it does not say who both players are",
                "point 3: both players are named Holt",
                "point 4: it does not say who plays",
            ]
        );
        record.about.shows = Kind::Match;
        told = Vec::new();
        check(&record, &mut |at, message| {
            told.push(said(at, &message));
        });
        assert!(told.contains(
            &"point 1: it names a match of its own, which counts only in points of many matches".to_owned()
        ));
    }
}
