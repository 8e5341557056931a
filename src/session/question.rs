//! What is asked once of footage that was opened without a record: whether several files are one match, and what the footage
//! shows. It is asked beside the picture and can be ignored; nothing waits for the answer.

use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::record::{Edit, Kind, MatchInfo, Record};
use crate::tennis::Side;

/// How files that were opened together belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Together {
    /// They are one match, one after another.
    OneMatch,
    /// Each is footage of its own, with a record of its own.
    Each,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// Whether these files are one match.
    Files {
        /// The files, in the order in which they would follow one another.
        paths: Vec<PathBuf>,
        /// The likely answer.
        likely: Together,
    },
    /// What the footage shows.
    Footage {
        /// The likely answer; what was answered before, where it is asked again.
        likely: Kind,
        /// Whether the user asked to be asked again.
        again: bool,
    },
    /// The score at the beginning of part of a match.
    ScoreNow,
}

/// An answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// To [`Question::Files`].
    Files(Together),
    /// To [`Question::Footage`].
    Footage(Kind),
    /// To [`Question::ScoreNow`]: it is entered, or it is not known.
    Score(bool),
}

impl Question {
    /// The question in words.
    pub fn words(&self) -> String {
        match self {
            Self::Files { paths, .. } => {
                format!("{} files were opened together. What are they?", paths.len())
            }
            Self::Footage { .. } => "What does this footage show?".into(),
            Self::ScoreNow => "What is the score where the footage begins?".into(),
        }
    }

    /// The answers, in the order of their keys: each with its words, and what it means.
    pub fn answers(&self) -> Vec<(Answer, &'static str, &'static str)> {
        match self {
            Self::Files { .. } => vec![
                (
                    Answer::Files(Together::OneMatch),
                    "One match",
                    "Each file starts where the one before it ends.",
                ),
                (Answer::Files(Together::Each), "Separate footage", "Each file gets a record of its own."),
            ],
            Self::Footage { .. } => {
                Kind::ALL.map(|kind| (Answer::Footage(kind), kind.words(), kind.meaning())).into()
            }
            Self::ScoreNow => vec![
                (Answer::Score(true), "Enter it…", "Score, server and ends. The score counts from there."),
                (Answer::Score(false), "Not known", "Points have no score until you enter one."),
            ],
        }
    }

    /// The likely answer.
    pub const fn likely(&self) -> Answer {
        match self {
            Self::Files { likely, .. } => Answer::Files(*likely),
            Self::Footage { likely, .. } => Answer::Footage(*likely),
            Self::ScoreNow => Answer::Score(true),
        }
    }
}

/// The edit that says what footage shows; none where that is said already. Nothing that was logged is lost.
pub fn shows(record: &Record, kind: Kind) -> Option<Edit> {
    let about = &record.about;
    if about.kind() == kind {
        return None;
    }
    let mut new = MatchInfo { shows: kind, ..about.clone() };
    if matches!(kind, Kind::Match | Kind::Part) && new.kind() != kind {
        // The rules had no score: by these nothing could be counted.
        new.rules = MatchInfo::default().rules;
    }
    let mut edits = vec![Edit::SetMatch(Box::new(new))];
    let names: Vec<_> = [Side::A, Side::B].map(|side| about.player(side).clone()).into();
    let default = MatchInfo::default();
    let named = names[0] != default.a || names[1] != default.b;
    if kind == Kind::Points && record.people.is_empty() && named {
        edits.push(Edit::SetPeople(names));
    }
    Some(if edits.len() > 1 { Edit::Together(edits) } else { edits.remove(0) })
}

/// A film shorter than this is hardly a match.
const SHORT: Duration = Duration::from_secs(12 * 60);
/// One shorter than this is hardly a whole one.
const HALF: Duration = Duration::from_secs(35 * 60);

/// What footage of these names and this length is likely to show.
pub fn likely(names: &[&Path], lasts: Duration) -> Kind {
    let words = |path: &&Path| {
        let stem = path.file_stem().unwrap_or_default().to_string_lossy().to_lowercase();
        let parts = stem.split(|c: char| !c.is_alphabetic()).filter(|w| !w.is_empty()).map(str::to_owned);
        parts.collect::<Vec<_>>()
    };
    let all: Vec<String> = names.iter().flat_map(words).collect();
    let any = |of: &[&str]| all.iter().any(|w| of.contains(&w.as_str()));
    if any(&["practice", "training", "drill", "drills", "hitting", "warmup"]) {
        return Kind::Practice;
    }
    if any(&["points", "highlights", "clips", "best", "compilation", "edit", "edited", "cut", "reel"]) {
        return Kind::Points;
    }
    if any(&["set", "half", "end", "rest", "from"]) && names.len() == 1 {
        return Kind::Part;
    }
    match lasts {
        lasts if lasts < SHORT => Kind::Points,
        lasts if lasts < HALF => Kind::Part,
        _ => Kind::Match,
    }
}

/// A file's name without its numbers and ending: files that differ only in those were filmed one after another.
pub fn stem_of(path: &Path) -> String {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().to_lowercase();
    stem.chars().filter(|c| c.is_alphabetic()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Player, Point};
    use crate::tennis::rules::Rules;

    fn of(name: &str, minutes: u64) -> Kind {
        likely(&[Path::new(name)], Duration::from_secs(60 * minutes))
    }

    #[test]
    fn the_likely_answer_follows_from_names_and_length() {
        assert_eq!(of("holt okafor.mp4", 95), Kind::Match);
        assert_eq!(of("holt okafor.mp4", 20), Kind::Part);
        assert_eq!(of("VID_2211.mp4", 3), Kind::Points);
        assert_eq!(of("holt set 2.mp4", 95), Kind::Part);
        assert_eq!(of("Practice-Tuesday.mov", 95), Kind::Practice);
        assert_eq!(of("best points.mp4", 60), Kind::Points);
        assert_eq!(of("sunset.mp4", 95), Kind::Match, "a word, not a part of one");
        let two = ["m-set-1.mp4", "m-set-2.mp4"].map(Path::new);
        assert_eq!(likely(&two, Duration::from_secs(90 * 60)), Kind::Match, "all sets are there");
    }

    #[test]
    fn files_that_were_filmed_one_after_another_differ_in_numbers() {
        assert_eq!(stem_of(Path::new("a/M-1.mp4")), stem_of(Path::new("a/m_02.MOV")));
        assert_ne!(stem_of(Path::new("holt.mp4")), stem_of(Path::new("reyes.mp4")));
    }

    #[test]
    fn saying_what_it_shows_loses_nothing_and_can_be_changed_back() {
        let mut record = Record { points: vec![Point::default(); 3].into(), ..Record::default() };
        (record.about.a, record.about.b) = (Player::named("Holt"), Player::named("Okafor"));
        let before = record.clone();
        assert_eq!(shows(&record, Kind::Match), None);
        let _ = record.apply(shows(&record, Kind::Points).unwrap()).unwrap();
        let names: Vec<&str> = record.people.iter().map(|p| p.name.as_str()).collect();
        assert_eq!((record.about.kind(), names), (Kind::Points, vec!["Holt", "Okafor"]));
        for kind in [Kind::Practice, Kind::Part, Kind::Points, Kind::Match] {
            let _ = record.apply(shows(&record, kind).unwrap()).unwrap();
            assert_eq!(record.about.kind(), kind);
        }
        assert_eq!((&record.points, &record.about), (&before.points, &before.about));
    }

    #[test]
    fn rules_without_a_score_give_way_to_a_match() {
        let mut record = Record::default();
        record.about.rules = Rules::drill();
        assert_eq!(record.about.kind(), Kind::Practice);
        let _ = record.apply(shows(&record, Kind::Part).unwrap()).unwrap();
        assert_eq!((record.about.kind(), record.about.rules), (Kind::Part, Rules::default()));
    }

    #[test]
    fn each_question_has_its_likely_answer_among_its_answers() {
        let files = Question::Files { paths: vec!["a".into(), "b".into()], likely: Together::Each };
        for question in [files, Question::Footage { likely: Kind::Part, again: false }, Question::ScoreNow] {
            assert!(question.answers().iter().any(|(answer, ..)| *answer == question.likely()));
            assert!(question.answers().len() <= 4, "each has a key");
        }
    }
}
