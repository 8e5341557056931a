//! Points of many matches: who plays in each, and the record taken apart by its players.

use std::borrow::Cow;
use std::collections::HashMap;

use super::kind::Kind;
use super::model::{MatchInfo, Player, Point, Record};
use super::shared::Shared;
use crate::tennis::Side;

impl Record {
    /// Somebody of the list of people, by name.
    pub fn person(&self, name: &str) -> Option<&Player> {
        self.people.iter().find(|p| p.name == name)
    }

    /// Who played a point, and in which match: of points of many matches its own, else the record's.
    pub fn about_of(&self, point: &Point) -> Cow<'_, MatchInfo> {
        match &point.source {
            Some(source) if self.about.kind() == Kind::Points => {
                Cow::Owned(self.about_by(&source.a, &source.b))
            }
            _ => Cow::Borrowed(&self.about),
        }
    }

    /// As [`Self::about_of`], of the point at a place from 0.
    pub fn about_at(&self, at: usize) -> Cow<'_, MatchInfo> {
        self.points.get(at).map_or(Cow::Borrowed(&self.about), |point| self.about_of(point))
    }

    fn about_by(&self, a: &str, b: &str) -> MatchInfo {
        let player = |side: Side, name: &str| {
            self.person(name).cloned().unwrap_or_else(|| match (name.is_empty(), side) {
                (false, _) => Player::named(name),
                (true, Side::A) => Player::named("Player A"),
                (true, Side::B) => Player::named("Player B"),
            })
        };
        MatchInfo {
            a: player(Side::A, a),
            b: player(Side::B, b),
            a_partner: None,
            b_partner: None,
            ..self.about.clone()
        }
    }

    /// Who played, and in which match: once, or of points of many matches for each pair of players.
    pub fn matches(&self) -> Vec<Cow<'_, MatchInfo>> {
        if self.about.kind() != Kind::Points {
            return vec![Cow::Borrowed(&self.about)];
        }
        self.pairs().into_iter().map(|([a, b], _)| Cow::Owned(self.about_by(a, b))).collect()
    }

    /// The pairs of players, in the order in which they are met, each with the places of its points. A name is empty where a point
    /// does not say it.
    fn pairs(&self) -> Vec<([&str; 2], Vec<usize>)> {
        let mut pairs: Vec<([&str; 2], Vec<usize>)> = Vec::new();
        let mut known: HashMap<[&str; 2], usize> = HashMap::new();
        for (at, point) in self.points.iter().enumerate() {
            let pair = point.source.as_deref().map_or([""; 2], |s| [&s.a, &s.b]);
            let place = *known.entry(pair).or_insert_with(|| {
                pairs.push((pair, Vec::new()));
                pairs.len() - 1
            });
            pairs[place].1.push(at);
        }
        pairs
    }

    /// A record of points of many matches, taken apart: for each pair of players a record of their points, in the order in which
    /// they come, with the places of these points in this record. Any other record is one part, whole.
    pub fn by_players(&self) -> Vec<(Cow<'_, Self>, Vec<usize>)> {
        if self.about.kind() != Kind::Points {
            return vec![(Cow::Borrowed(self), (0..self.points.len()).collect())];
        }
        let part = |([a, b], places): ([&str; 2], Vec<usize>)| {
            let points: Shared<Point> =
                places.iter().filter_map(|at| self.points.get(*at)).cloned().collect();
            let part = Self {
                about: self.about_by(a, b),
                points,
                footage: self.footage.clone(),
                // There may be thousands of pairs, and of people.
                people: [a, b].iter().filter_map(|name| self.person(name)).cloned().collect(),
                ..Self::default()
            };
            (Cow::Owned(part), places)
        };
        self.pairs().into_iter().map(part).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Hand, Source};

    fn of_many() -> Record {
        let mut record = Record::default();
        record.about.shows = Kind::Points;
        record.people = vec![Player { hand: Some(Hand::Left), ..Player::named("Holt") }];
        let point = |a: &str, b: &str| Point {
            source: Some(Box::new(Source { a: a.into(), b: b.into(), ..Source::default() })),
            ..Point::default()
        };
        record.points =
            vec![point("Holt", "Okafor"), point("Reyes", "Holt"), point("Holt", "Okafor"), Point::default()]
                .into();
        record
    }

    #[test]
    fn each_point_has_its_own_players() {
        let record = of_many();
        let about = record.about_of(&record.points[1]);
        assert_eq!((about.a.name.as_str(), about.b.name.as_str()), ("Reyes", "Holt"));
        assert_eq!(about.b.hand, Some(Hand::Left), "by the list of people");
        assert_eq!(record.about_of(&record.points[3]).a.name, "Player A");
    }

    #[test]
    fn a_pair_is_a_record_of_its_own() {
        let record = of_many();
        let parts = record.by_players();
        let told: Vec<_> =
            parts.iter().map(|(r, places)| (r.about.a.name.as_str(), places.clone())).collect();
        assert_eq!(told, [("Holt", vec![0, 2]), ("Reyes", vec![1]), ("Player A", vec![3])]);
        let whole = Record { points: record.points.clone(), ..Record::default() };
        assert_eq!(whole.by_players(), [(Cow::Borrowed(&whole), vec![0, 1, 2, 3])]);
    }

    /// Each point a pair of its own: nothing that is kept for a pair grows with the number of people.
    #[test]
    fn many_pairs_stay_small() {
        let mut record = Record::default();
        record.about.shows = Kind::Points;
        record.people = (0..2000).map(|n| Player::named(&n.to_string())).collect();
        let point = |n: usize| Point {
            source: Some(Box::new(Source { a: n.to_string(), b: "x".into(), ..Source::default() })),
            ..Point::default()
        };
        record.points = (0..5000).map(point).collect();
        let parts = record.by_players();
        assert_eq!((parts.len(), record.matches().len()), (5000, 5000));
        assert_eq!(parts[7].0.people, [Player::named("7")]);
        assert_eq!(parts.iter().map(|(r, places)| r.people.len() + places.len()).max(), Some(2));
    }
}
