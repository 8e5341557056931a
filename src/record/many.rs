//! Points of many matches: who plays in each, and the record taken apart by its players.

use std::borrow::Cow;

use super::kind::Kind;
use super::model::{MatchInfo, Player, Point, Record};
use super::shared::Shared;
use super::source::Source;
use crate::tennis::Side;

impl Record {
    /// Somebody of the list of people, by name.
    pub fn person(&self, name: &str) -> Option<&Player> {
        self.people.iter().find(|p| p.name == name)
    }

    /// Who played a point, and in which match: of points of many matches its own, else the record's.
    pub fn about_of(&self, point: &Point) -> Cow<'_, MatchInfo> {
        match &point.source {
            Some(source) if self.about.kind() == Kind::Points => Cow::Owned(self.about_by(source)),
            _ => Cow::Borrowed(&self.about),
        }
    }

    /// As [`Self::about_of`], of the point at a place from 0.
    pub fn about_at(&self, at: usize) -> Cow<'_, MatchInfo> {
        self.points.get(at).map_or(Cow::Borrowed(&self.about), |point| self.about_of(point))
    }

    fn about_by(&self, source: &Source) -> MatchInfo {
        let player = |side: Side| {
            let name = source.name(side);
            self.person(name).cloned().unwrap_or_else(|| match (name.is_empty(), side) {
                (false, _) => Player::named(name),
                (true, Side::A) => Player::named("Player A"),
                (true, Side::B) => Player::named("Player B"),
            })
        };
        MatchInfo {
            a: player(Side::A),
            b: player(Side::B),
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
        let mut pairs: Vec<Source> = Vec::new();
        for source in self.points.iter().filter_map(|p| p.source.as_deref()) {
            if pairs.iter().all(|p| (&p.a, &p.b) != (&source.a, &source.b)) {
                pairs.push(source.clone());
            }
        }
        pairs.iter().map(|source| Cow::Owned(self.about_by(source))).collect()
    }

    /// A record of points of many matches, taken apart: for each pair of players a record of their points, in the order in which
    /// they come, with the places of these points in this record. Any other record is one part, whole.
    pub fn by_players(&self) -> Vec<(Cow<'_, Self>, Vec<usize>)> {
        if self.about.kind() != Kind::Points {
            return vec![(Cow::Borrowed(self), (0..self.points.len()).collect())];
        }
        let nobody = Source::default();
        let mut parts: Vec<([&String; 2], Vec<usize>)> = Vec::new();
        for (at, point) in self.points.iter().enumerate() {
            let source = point.source.as_ref().map_or(&nobody, |s| s);
            let pair = [&source.a, &source.b];
            match parts.iter_mut().find(|(p, _)| *p == pair) {
                Some((_, places)) => places.push(at),
                None => parts.push((pair, vec![at])),
            }
        }
        let part = |([a, b], places): ([&String; 2], Vec<usize>)| {
            let source = Source { a: a.clone(), b: b.clone(), ..Source::default() };
            let points: Shared<Point> =
                places.iter().filter_map(|at| self.points.get(*at)).cloned().collect();
            let part = Self {
                about: self.about_by(&source),
                points,
                footage: self.footage.clone(),
                people: self.people.clone(),
                closing_score: None,
                ..Self::default()
            };
            (Cow::Owned(part), places)
        };
        parts.into_iter().map(part).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Hand;

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
}
