//! The filters of Study: the choices above an answer, made from the loaded matches.

use std::cmp::Ordering;

use crate::facts::{Call, PointFacts};
use crate::record::printable;
use crate::summary::Whose;
use crate::summary::study::{Facets, Match, Pool, Role};
use crate::tennis::{CourtSide, Side};

/// One choice of a facet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pick {
    /// As the menu shows it.
    pub label: String,
    what: What,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum What {
    Whose(Whose),
    Record(Option<usize>),
    Set(Option<usize>),
    Court(Option<CourtSide>),
    Serve(Option<u8>),
    Standing(Option<Ordering>),
    Score(Call),
    Important(Option<bool>),
    Role(Option<Role>),
}

/// A facet, with its choices: the first is of all points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facet {
    /// What a screen reader calls it.
    pub name: &'static str,
    /// The choices.
    pub picks: Vec<Pick>,
}

impl Pick {
    /// Chooses it.
    pub fn set(&self, facets: &mut Facets) {
        match &self.what {
            What::Whose(whose) => facets.whose = whose.clone(),
            What::Record(n) => facets.record = *n,
            What::Set(n) => facets.set = *n,
            What::Court(court) => facets.court = *court,
            What::Serve(n) => facets.serve = *n,
            What::Standing(standing) => facets.standing = *standing,
            What::Score(call) => facets.score = Some(*call),
            What::Important(which) => facets.important = *which,
            What::Role(role) => facets.role = *role,
        }
    }
}

fn facet<L: Into<String>>(name: &'static str, picks: impl IntoIterator<Item = (L, What)>) -> Facet {
    let picks = picks.into_iter().map(|(label, what)| Pick { label: label.into(), what }).collect();
    Facet { name, picks }
}

/// The facets of these matches, in the order of the window.
pub fn facets_of(pool: &Pool) -> Vec<Facet> {
    let matches = pool.matches();
    let facts = || matches.iter().flat_map(|m| &m.facts);
    let sets = facts().filter_map(|f| f.set).max().unwrap_or(0);
    let sets = (1..=sets).map(|n| (format!("Set {n}"), What::Set(Some(n))));
    let teams =
        |(n, m): (usize, &std::sync::Arc<Match>)| (format!("{}. {}", n + 1, teams(m)), What::Record(Some(n)));
    vec![
        facet("Player", players(pool)),
        facet(
            "Matches",
            std::iter::once(("All matches".to_owned(), What::Record(None)))
                .chain(matches.iter().enumerate().map(teams)),
        ),
        facet("Set", std::iter::once(("All sets".to_owned(), What::Set(None))).chain(sets)),
        court_served_from(),
        which_serve(),
        role(),
        facet("Score", scores(facts())),
        importance(),
    ]
}

fn court_served_from() -> Facet {
    facet(
        "Court served from",
        [
            ("Both courts", What::Court(None)),
            (CourtSide::Deuce.title(), What::Court(Some(CourtSide::Deuce))),
            (CourtSide::Ad.title(), What::Court(Some(CourtSide::Ad))),
        ],
    )
}

fn which_serve() -> Facet {
    facet(
        "Serve",
        [
            ("Both serves", What::Serve(None)),
            ("First serve", What::Serve(Some(1))),
            ("Second serve", What::Serve(Some(2))),
        ],
    )
}

fn role() -> Facet {
    facet(
        "Serve or return",
        [
            ("Serve and return", What::Role(None)),
            ("On serve", What::Role(Some(Role::Serving))),
            ("On return", What::Role(Some(Role::Returning))),
        ],
    )
}

fn importance() -> Facet {
    facet(
        "Importance",
        [
            ("All points", What::Important(None)),
            ("Big points", What::Important(Some(true))),
            ("Other points", What::Important(Some(false))),
        ],
    )
}

/// Any score, the standing in the game, and every score in a game that there was. A tie-break has more than a menu should.
fn scores<'a>(facts: impl Iterator<Item = &'a PointFacts>) -> Vec<(String, What)> {
    let mut calls: Vec<Call> = Vec::new();
    for call in facts.filter(|f| f.tie_break == Some(false)).filter_map(|f| f.called) {
        if !calls.contains(&call) {
            calls.push(call);
        }
    }
    let mut calls: Vec<_> = calls.into_iter().map(|c| (format!("At {c}"), What::Score(c))).collect();
    calls.sort_by(|a, b| a.0.cmp(&b.0));
    let standing = |s: Option<Ordering>| What::Standing(s);
    let scores = [
        ("Any score".to_owned(), standing(None)),
        ("Behind in the game".into(), standing(Some(Ordering::Less))),
        ("Level in the game".into(), standing(Some(Ordering::Equal))),
        ("Ahead in the game".into(), standing(Some(Ordering::Greater))),
    ];
    scores.into_iter().chain(calls).collect()
}

/// Both, and every player by name; a side without a name by its place.
fn players(pool: &Pool) -> Vec<(String, What)> {
    let mut all: Vec<(String, What)> = vec![("Both players".into(), What::Whose(Whose::Both))];
    for m in pool.matches() {
        for side in [Side::A, Side::B] {
            let name = &m.record.about.player(side).name;
            let (label, whose) = if name.trim().is_empty() {
                let place = if side == Side::A { "Player A" } else { "Player B" };
                (place.to_owned(), Whose::Side(side))
            } else {
                (printable(&m.record.about.side_name(side), 60), Whose::Named(name.clone()))
            };
            let known = all.iter().any(|(_, what)| match (what, &whose) {
                (What::Whose(Whose::Named(a)), Whose::Named(b)) => crate::pattern::same_tag(a, b),
                (What::Whose(a), b) => a == b,
                _ => false,
            });
            if !known {
                all.push((label, What::Whose(whose)));
            }
        }
    }
    all
}

/// The two sides of a match.
pub fn teams(m: &Match) -> String {
    let side = |s| printable(&m.record.about.side_name(s), 60);
    format!("{} – {}", side(Side::A), side(Side::B))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::tests::{point, record};

    #[test]
    fn facets_are_made_from_what_there_is() {
        let mut r = record("");
        r.points = (1..=30).map(|n| point(n, 'A', Some(0), None, &[])).collect();
        let all = facets_of(&Pool::new(vec![r.clone(), r]));
        let labels = |n: usize| all[n].picks.iter().map(|p| p.label.as_str()).collect::<Vec<_>>();
        assert_eq!(labels(0), ["Both players", "Holt", "Okafor"], "a player of two matches is named once");
        assert_eq!(labels(1), ["All matches", "1. Holt – Okafor", "2. Holt – Okafor"]);
        assert_eq!(labels(2), ["All sets", "Set 1", "Set 2"]);
        assert_eq!(
            labels(6)[..4],
            ["Any score", "Behind in the game", "Level in the game", "Ahead in the game"]
        );
        assert_eq!(labels(5), ["Serve and return", "On serve", "On return"]);
        assert!(labels(6).contains(&"At 0–0") && labels(6).contains(&"At 0–40"), "{:?}", labels(6));
        let mut facets = Facets::default();
        for (facet, pick) in [(0, 1), (1, 2), (2, 2), (3, 2), (4, 2), (5, 2), (6, 1), (7, 1)] {
            all[facet].picks[pick].set(&mut facets);
        }
        assert_eq!(
            facets.to_string(),
            "Holt, on return, match 2, set 2, ad court, second serve, behind in the game, big points"
        );
    }

    #[test]
    fn without_a_point_there_is_still_a_menu() {
        let all = facets_of(&Pool::new(vec![crate::record::Record::default()]));
        assert!(all.iter().all(|f| !f.picks.is_empty()));
    }
}
