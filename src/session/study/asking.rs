//! Asks a question of the loaded matches, on a thread. No widgets.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::facets::{Facet, facets_of};
use super::found::Found;
use crate::facts::PointRef;
use crate::pattern::{Pattern, PatternFile};
use crate::record::{Record, load_whole};
use crate::summary::Whose;
use crate::summary::numbers::numbers_in;
use crate::summary::study::{Facets, Match, Part, Pool, Question, ask, questions, starter};
use crate::system::shown;
use crate::textfile::{self, Limit};

/// The record that is open, and what its points mean where that is known already.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The record.
    pub record: Arc<Record>,
    /// The matches that it makes: one or, of points of many matches, one for each pair of players. Empty if they are not known.
    pub known: Vec<Arc<Match>>,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// The match in numbers.
    Numbers,
    /// A question.
    Question(Box<Question>),
}

impl Asked {
    /// Its name in the list.
    pub fn name(&self) -> &str {
        match self {
            Self::Numbers => "Match in numbers",
            Self::Question(question) => &question.name,
        }
    }

    /// What it shows.
    pub fn about(&self) -> &str {
        match self {
            Self::Numbers => "Serves, breaks, winners, errors and directions of both players, by set.",
            Self::Question(question) => &question.about,
        }
    }
}

/// A question to be answered.
#[derive(Debug)]
pub struct Work {
    /// The record that is open: its matches are the first of the pool.
    pub open: Opened,
    /// The others.
    pub others: Vec<Arc<Match>>,
    /// What is asked.
    pub question: Asked,
    /// The chosen label of each facet, in the order of the facets; empty before anything was chosen.
    pub picked: Vec<String>,
}

/// The answer, and what it is of.
#[derive(Debug)]
pub struct Answered {
    /// The record that was open.
    pub record: Arc<Record>,
    /// The matches.
    pub pool: Pool,
    /// How many of them, the first, are of the record that was open.
    pub here: usize,
    /// What can be looked at.
    pub facets: Vec<Facet>,
    /// What is looked at: the choice of each facet.
    pub picks: Vec<usize>,
    /// The answer.
    pub found: Found,
}

impl Work {
    /// Answers.
    pub fn answer(self) -> Answered {
        let Self { open: Opened { record, known }, others, question, picked } = self;
        let first = if known.is_empty() { matches_of((*record).clone()) } else { known };
        let here = first.len();
        let pool = Pool::of(first.into_iter().chain(others).collect());
        let all = facets_of(&pool);
        // A question speaks of "my" points: those of player A, until another choice is made.
        let usual = |facet: usize| usize::from(facet == 0 && all[0].picks.len() > 1);
        let place = |(n, facet): (usize, &Facet)| {
            let label = picked.get(n);
            label.and_then(|l| facet.picks.iter().position(|p| p.label == *l)).unwrap_or_else(|| usual(n))
        };
        let picks: Vec<usize> = all.iter().enumerate().map(place).collect();
        let mut facets = Facets::default();
        for (facet, pick) in all.iter().zip(&picks) {
            facet.picks[*pick].set(&mut facets);
        }
        let found = match &question {
            Asked::Question(question) => Found::answer(ask(&pool, question, &facets)),
            Asked::Numbers => in_numbers(&pool, &facets),
        };
        Answered { record, pool, here, facets: all, picks, found }
    }
}

fn matches_of(record: Record) -> Vec<Arc<Match>> {
    Match::all(record, 0).into_iter().map(Arc::new).collect()
}

impl Answered {
    /// The matches of the record that was open.
    pub fn open_matches(&self) -> &[Arc<Match>] {
        self.pool.matches().get(..self.here).unwrap_or_default()
    }

    /// Whether a point is of the record that was open.
    pub const fn is_here(&self, at: &PointRef) -> bool {
        at.record < self.here
    }

    /// A point of the record that was open, as the answer counts it.
    pub fn of_open(&self, point: usize) -> Option<PointRef> {
        let record = self.open_matches().iter().position(|m| m.fact(point).is_some())?;
        Some(PointRef { record, point })
    }

    /// The file of each match of the pool: that of the open record, then those of the others.
    pub fn paths(&self, open: &Path, others: &[Added]) -> Vec<PathBuf> {
        let here = std::iter::repeat_n(open, self.here);
        here.chain(others.iter().map(|(path, _)| path.as_path())).map(Path::to_owned).collect()
    }
}

/// The match in numbers, of the matches that are looked at. It has two columns: where both players of several matches are
/// asked about, the first is of the player who is met first.
fn in_numbers(pool: &Pool, facets: &Facets) -> Found {
    let whose = match (&facets.whose, pool.players().first()) {
        (Whose::Both, Some(name)) if pool.matches().len() > 1 => Whose::Named(name.clone()),
        (whose, _) => whose.clone(),
    };
    let question = Question {
        name: Asked::Numbers.name().into(),
        about: Asked::Numbers.about().into(),
        of: Part::Player,
        among: None,
        asks: Vec::new(),
        maps: Vec::new(),
        mix: false,
        lead: None,
    };
    let numbers = numbers_in(pool, &whose, facets.record);
    let mut findings = ask(pool, &question, &Facets { whose, record: facets.record, ..Facets::default() });
    findings.headline = numbers.parts.first().map_or_else(Vec::new, |whole| numbers.headline(whole));
    Found { findings, numbers: Some(numbers) }
}

/// The questions to start with, asked of these patterns, and those of files; and in words what is wrong with a file, whose
/// questions are then left out. The first file need not be there.
pub fn all_questions(own: &Path, added: &[PathBuf], patterns: Vec<Pattern>) -> (Vec<Question>, Vec<String>) {
    let patterns = PatternFile { patterns, ..PatternFile::empty("the patterns in use") };
    let (mut all, mut wrong) = (starter(&patterns.patterns), Vec::new());
    for path in Some(own).filter(|p| p.exists()).into_iter().chain(added.iter().map(PathBuf::as_path)) {
        let name = path.display().to_string();
        let text = textfile::text(path, Limit::SETTINGS).map_err(|e| format!("{name}: {e}"));
        match text.and_then(|t| questions(&t, &name, &patterns).map_err(|e| e.to_string())) {
            Ok(more) => add(&mut all, more),
            Err(why) => wrong.push(why),
        }
    }
    (all, wrong)
}

/// Adds questions; one of a name that is there takes its place.
fn add(all: &mut Vec<Question>, more: Vec<Question>) {
    for question in more {
        match all.iter_mut().find(|q| crate::pattern::same_tag(&q.name, &question.name)) {
            Some(old) => *old = question,
            None => all.push(question),
        }
    }
}

/// A match that was added.
pub type Added = (PathBuf, Arc<Match>);

/// Reads records, those of `known` paths left out; counts in `done` how many it has read. What cannot be read is told.
pub fn read_matches(paths: Vec<PathBuf>, known: &[PathBuf], done: &AtomicUsize) -> (Vec<Added>, Vec<String>) {
    let real = |p: &Path| p.canonicalize().unwrap_or_else(|_| p.to_owned());
    let mut seen: Vec<PathBuf> = known.iter().map(|p| real(p)).collect();
    let (mut matches, mut notices) = (Vec::new(), Vec::new());
    for path in paths {
        done.fetch_add(1, Ordering::Relaxed);
        if seen.contains(&real(&path)) {
            notices.push(format!("{} is counted already", shown(&path)));
            continue;
        }
        match load_whole(&path) {
            Ok((record, _)) => {
                seen.push(real(&path));
                matches.extend(matches_of(record).into_iter().map(|m| (path.clone(), m)));
            }
            Err(e) => notices.push(e.to_string()),
        }
    }
    (matches, notices)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::tests::record;
    use crate::record::{Kind, Point, Source, Store};

    fn work(picked: &[&str]) -> Work {
        Work {
            open: Opened { record: Arc::new(record("AABBA")), known: Vec::new() },
            others: Vec::new(),
            question: Asked::Question(Box::new(starter(&[]).remove(0))),
            picked: picked.iter().map(|p| (*p).to_owned()).collect(),
        }
    }

    #[test]
    fn the_first_named_player_is_asked_about_until_another_is_chosen() {
        assert_eq!(work(&[]).answer().found.looked_at, "Holt, on serve");
        assert_eq!(work(&["Both players"]).answer().found.looked_at, "both players, seen from the server");
        let gone = work(&["Okafor", "All matches", "Set 9"]).answer();
        assert_eq!(gone.found.looked_at, "Okafor, on serve", "a choice that is gone is all of them");
    }

    #[test]
    fn points_of_many_matches_are_a_match_for_each_pair() {
        let of = |a: &str, b: &str| Some(Box::new(Source { a: a.into(), b: b.into(), ..Source::default() }));
        let mut many = record("AABBA");
        many.about.shows = Kind::Points;
        let pairs =
            [("Holt", "Okafor"), ("Reyes", "Lind"), ("Holt", "Okafor"), ("Reyes", "Lind"), ("Reyes", "Lind")];
        many.points = many
            .points
            .iter()
            .cloned()
            .zip(pairs)
            .map(|(p, (a, b))| Point { source: of(a, b), ..p })
            .collect();
        let open = Opened { record: Arc::new(many), known: Vec::new() };
        let others = vec![Arc::new(Match::new(record("AB")))];
        let answered = Work { open, others, ..work(&[]) }.answer();
        assert_eq!((answered.here, answered.pool.matches().len(), answered.pool.points()), (2, 3, 7));
        assert_eq!(answered.pool.players(), ["Holt", "Okafor", "Reyes", "Lind"]);
        let places: Vec<_> = (0..5).map(|n| answered.of_open(n).unwrap().record).collect();
        assert_eq!(places, [0, 1, 0, 1, 1]);
        assert_eq!(answered.of_open(5), None);
        let here = |record| answered.is_here(&PointRef { record, point: 0 });
        assert_eq!((here(1), here(2)), (true, false));
        let other = ("b".into(), answered.pool.matches()[2].clone());
        let paths = answered.paths(Path::new("a"), &[other]);
        assert_eq!(paths, ["a", "a", "b"].map(PathBuf::from));
    }

    #[test]
    fn a_match_is_added_once_and_what_cannot_be_read_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        for name in ["a.points.json", "b.points.json"] {
            drop(Store::create(&path(name), record("AB")).unwrap());
        }
        std::fs::write(path("c.points.json"), "{").unwrap();
        let paths = ["b", "a", "b", "c", "d"].map(|n| path(&format!("{n}.points.json"))).to_vec();
        let done = AtomicUsize::new(0);
        let (matches, notices) = read_matches(paths, &[path("a.points.json")], &done);
        assert_eq!(matches.iter().map(|m| m.0.clone()).collect::<Vec<_>>(), [path("b.points.json")]);
        assert_eq!(notices.len(), 4, "{notices:?}");
        assert_eq!(done.into_inner(), 5);
    }

    #[test]
    fn own_questions_come_after_the_starters_and_replace_their_namesakes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("questions.toml");
        let ask = |added: &[PathBuf]| all_questions(&path, added, PatternFile::starter().unwrap().patterns);
        let (starters, wrong) = ask(&[]);
        assert_eq!((starters.len(), wrong.len()), (7, 0));
        let text = "[[question]]\nname = \"what wins my service points?\"\nrows = [\"court\"]\n\
                    [[question]]\nname = \"Ends?\"\nrows = [\"set\"]\n";
        std::fs::write(&path, text).unwrap();
        let (all, wrong) = ask(&[]);
        assert_eq!((all.len(), wrong.len()), (8, 0));
        assert_eq!((all[0].asks.len(), all[7].name.as_str()), (1, "Ends?"));
        std::fs::write(&path, "[[question]]\nname = 3").unwrap();
        let (all, wrong) = ask(&[folder.path().join("gone.toml")]);
        assert!(
            all.len() == 7 && wrong[0].contains("questions.toml") && wrong[1].contains("gone.toml"),
            "{wrong:?}"
        );
    }
}
