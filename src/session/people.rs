//! Who plays in points of many matches: the list of people, and the source of a run of points.

use thiserror::Error;

use crate::record::{Edit, Player, Point, Record, Source};

/// Why what was typed cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PeopleError {
    /// Somebody without a name.
    #[error("person {number} has no name. A pseudonym is enough")]
    NoName {
        /// Place in the list, from 1.
        number: usize,
    },
    /// Two people of one name.
    #[error("two people are named {name}. Add a letter or a year, so that each name is one person")]
    Twice {
        /// The name.
        name: String,
    },
    /// Points that are not there.
    #[error("there are {all} points: choose a run from 1 to {all}")]
    Run {
        /// How many points there are.
        all: usize,
    },
    /// A player against themself.
    #[error("{name} cannot be both players")]
    Both {
        /// The name.
        name: String,
    },
}

/// A row of the list of people: the name that it had before, and what it says now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// The name before; none of somebody new.
    pub was: Option<String>,
    /// As it shall be.
    pub now: Player,
}

/// The edit that makes the list of people so, if anything changes. Points that name somebody whose name changed follow.
///
/// # Errors
/// [`PeopleError`].
pub fn people_edit(record: &Record, people: &[Person]) -> Result<Option<Edit>, PeopleError> {
    for (n, person) in people.iter().enumerate() {
        let name = &person.now.name;
        if name.trim().is_empty() {
            return Err(PeopleError::NoName { number: n + 1 });
        }
        if people[..n].iter().any(|p| p.now.name.trim() == name.trim()) {
            return Err(PeopleError::Twice { name: name.trim().into() });
        }
    }
    let renamed: Vec<(&str, &str)> = people
        .iter()
        .filter_map(|p| Some((p.was.as_deref()?, p.now.name.trim())))
        .filter(|(was, now)| was != now)
        .collect();
    let new_name =
        |name: &str| renamed.iter().find(|(was, _)| *was == name).map(|(_, now)| (*now).to_owned());
    let mut edits = Vec::new();
    let now: Vec<Player> =
        people.iter().map(|p| Player { name: p.now.name.trim().into(), ..p.now.clone() }).collect();
    if now != record.people {
        edits.push(Edit::SetPeople(now));
    }
    for (at, point) in record.points.iter().enumerate().filter(|_| !renamed.is_empty()) {
        let Some(source) = point.source.as_deref() else { continue };
        let (a, b) = (new_name(&source.a), new_name(&source.b));
        if a.is_some() || b.is_some() {
            let mut source = source.clone();
            source.a = a.unwrap_or(source.a);
            source.b = b.unwrap_or(source.b);
            edits.push(with_source(at, point, source));
        }
    }
    Ok(together(edits))
}

/// What a run of points says of the match that they come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceForm {
    /// The source; its score belongs to one point alone.
    pub source: Source,
    /// The first point and the last, from 1.
    pub run: (usize, usize),
}

impl SourceForm {
    /// What a point says, or the nearest one before it that names its players; and the points after it that name nobody.
    pub fn of(record: &Record, at: usize) -> Self {
        let own = record.points.get(at).and_then(|p| p.source.as_deref()).cloned();
        let named = own.is_some();
        let source = own.unwrap_or_else(|| {
            let before = record.points.iter().take(at).rev().find_map(|p| p.source.as_deref());
            before.map(|s| Source { score: String::new(), ..s.clone() }).unwrap_or_default()
        });
        let bare = |p: &&Point| p.source.is_none();
        let after = record.points.iter().skip(at + 1).take_while(bare).count();
        let last = if named { at } else { at + after };
        Self { source, run: (at + 1, last + 1) }
    }

    /// The edit, if anything changes. People that are new are added to the list.
    ///
    /// # Errors
    /// [`PeopleError`].
    pub fn edit(&self, record: &Record) -> Result<Option<Edit>, PeopleError> {
        let (first, last) = self.run;
        let all = record.points.len();
        if first == 0 || first > last || last > all {
            return Err(PeopleError::Run { all });
        }
        let trim = |text: &String| text.trim().to_owned();
        let new = Source {
            a: trim(&self.source.a),
            b: trim(&self.source.b),
            score: trim(&self.source.score),
            event: trim(&self.source.event),
            line: trim(&self.source.line),
        };
        if !new.a.is_empty() && new.a == new.b {
            return Err(PeopleError::Both { name: new.a });
        }
        let mut edits = Vec::new();
        let unlisted = [&new.a, &new.b].into_iter().filter(|n| !n.is_empty() && record.person(n).is_none());
        let unlisted: Vec<Player> = unlisted.map(|n| Player::named(n)).collect();
        if !unlisted.is_empty() {
            edits.push(Edit::SetPeople(record.people.iter().cloned().chain(unlisted).collect()));
        }
        for at in first - 1..last {
            let point = &record.points[at];
            let old = point.source.as_deref().map(|s| s.score.clone()).unwrap_or_default();
            let score = if first == last { new.score.clone() } else { old };
            let source = Source { score, ..new.clone() };
            if point.source.as_deref() != Some(&source)
                && (point.source.is_some() || source != Source::default())
            {
                edits.push(with_source(at, point, source));
            }
        }
        Ok(together(edits))
    }
}

fn with_source(at: usize, point: &Point, source: Source) -> Edit {
    let source = Some(Box::new(source)).filter(|s| **s != Source::default());
    Edit::SetPoint { at, point: Point { source, ..point.clone() } }
}

fn together(mut edits: Vec<Edit>) -> Option<Edit> {
    if edits.len() > 1 { Some(Edit::Together(edits)) } else { edits.pop() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Kind;

    fn source(a: &str, b: &str, score: &str) -> Source {
        Source { a: a.into(), b: b.into(), score: score.into(), ..Source::default() }
    }

    fn record() -> Record {
        let mut record = Record { points: vec![Point::default(); 5].into(), ..Record::default() };
        record.about.shows = Kind::Points;
        record
    }

    #[test]
    fn a_run_of_points_is_named_at_once_and_taken_back_at_once() {
        let mut record = record();
        let form = SourceForm { source: source(" Holt ", "Okafor", "30–40"), run: (2, 4) };
        let before = record.clone();
        let (_, back) = record.apply(form.edit(&record).unwrap().unwrap()).unwrap();
        let of =
            |r: &Record| r.points.iter().map(|p| p.source.as_ref().map(|s| s.a.clone())).collect::<Vec<_>>();
        let holt = Some("Holt".to_owned());
        assert_eq!(of(&record), [None, holt.clone(), holt.clone(), holt, None]);
        assert_eq!(record.points[1].source.as_ref().unwrap().score, "", "a score is one point's");
        assert_eq!(record.people, ["Holt", "Okafor"].map(Player::named));
        assert_eq!(form.edit(&record), Ok(None), "again nothing changes");
        let _ = record.apply(back).unwrap();
        assert_eq!(record, before);
    }

    #[test]
    fn the_form_offers_the_match_before_and_the_points_that_name_nobody() {
        let mut record = record();
        let one = SourceForm { source: source("Holt", "Okafor", "30–40"), run: (1, 1) };
        let _ = record.apply(one.edit(&record).unwrap().unwrap()).unwrap();
        assert_eq!(record.points[0].source.as_ref().unwrap().score, "30–40");
        assert_eq!(SourceForm::of(&record, 0), one);
        let next = SourceForm::of(&record, 1);
        assert_eq!(next, SourceForm { source: source("Holt", "Okafor", ""), run: (2, 5) });
        let clear = SourceForm { source: Source::default(), run: (1, 5) };
        let _ = record.apply(clear.edit(&record).unwrap().unwrap()).unwrap();
        assert_eq!(
            record.points[0].source.as_ref().map(|s| s.score.as_str()),
            Some("30–40"),
            "the score was seen"
        );
        let clear = SourceForm { source: Source::default(), run: (1, 1) };
        let _ = record.apply(clear.edit(&record).unwrap().unwrap()).unwrap();
        assert_eq!(record.points[0].source, None);
    }

    #[test]
    fn what_cannot_be_says_why() {
        let record = record();
        for run in [(0, 1), (3, 2), (1, 6)] {
            let form = SourceForm { source: source("Holt", "", ""), run };
            assert_eq!(form.edit(&record), Err(PeopleError::Run { all: 5 }));
        }
        let both = SourceForm { source: source("Holt", "Holt ", ""), run: (1, 1) };
        assert_eq!(both.edit(&record), Err(PeopleError::Both { name: "Holt".into() }));
    }

    #[test]
    fn a_new_name_is_new_in_every_point() {
        let mut record = record();
        let form = SourceForm { source: source("Holt", "Okafor", ""), run: (1, 2) };
        let _ = record.apply(form.edit(&record).unwrap().unwrap()).unwrap();
        let mut people: Vec<Person> =
            record.people.iter().map(|p| Person { was: Some(p.name.clone()), now: p.clone() }).collect();
        assert_eq!(people_edit(&record, &people), Ok(None));
        people[0].now.name = "Holt 2011".into();
        people.push(Person { was: None, now: Player::named("Reyes") });
        let before = record.clone();
        let (_, back) = record.apply(people_edit(&record, &people).unwrap().unwrap()).unwrap();
        assert_eq!(record.points[1].source.as_ref().unwrap().a, "Holt 2011");
        assert_eq!(record.people.len(), 3);
        let _ = record.apply(back).unwrap();
        assert_eq!(record, before);
        people[2].now.name = "Okafor".into();
        assert_eq!(people_edit(&record, &people), Err(PeopleError::Twice { name: "Okafor".into() }));
        people[2].now.name = " ".into();
        assert_eq!(people_edit(&record, &people), Err(PeopleError::NoName { number: 3 }));
    }
}
