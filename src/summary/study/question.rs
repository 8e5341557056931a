//! Questions: those that a coach starts with, and what one is made of.

use super::by::By;
use super::counts::Counts;
use super::court::MapOf;
use super::error::StudyError;
use crate::facts::PointFacts;
use crate::near::Hint;
use crate::pattern::{Answer, Pattern, same_tag};
use crate::tennis::{CourtSide, Side};

/// A question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Its name: the question as a coach asks it.
    pub name: String,
    /// What it shows.
    pub about: String,
    /// Whose points it is about.
    pub of: Part,
    /// Only points that show this pattern; others are not looked at.
    pub among: Option<Pattern>,
    /// The tables.
    pub asks: Vec<Ask>,
    /// The court pictures.
    pub maps: Vec<MapOf>,
    /// Whether it asks how mixed the serves are.
    pub mix: bool,
    /// What the first line tells; `None` if that is what stands out most.
    pub lead: Option<Lead>,
}

/// What the first line tells. Tables and rows are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lead {
    /// This row beside the others of its table.
    Row(usize, usize),
    /// As [`Self::Row`], then how the points of each row ended.
    Endings(usize, usize),
    /// The errors of each row of the first table, and how many of them the second one has as unforced.
    Errors(usize, usize),
}

/// The part in a point of whoever is asked about; their win counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Who serves.
    Server,
    /// Who receives.
    Receiver,
    /// The player asked about, serving or not; when nobody is, the server.
    Player,
    /// Who struck the last shot of the rally.
    LastStriker,
}

impl Part {
    /// Each with its word in a question file.
    pub(super) const WORDS: [(&'static str, Self); 4] = [
        ("server", Self::Server),
        ("receiver", Self::Receiver),
        ("player", Self::Player),
        ("last striker", Self::LastStriker),
    ];

    /// Whether it is a point of the player asked about, and whose point it is, if that is known. For both players every point counts,
    /// except a point without the shot that decides whose it is.
    pub(super) fn of(self, f: &PointFacts, asked: Option<Side>) -> (Answer, Option<Side>) {
        let side = match self {
            Self::Player if asked.is_some() => asked,
            Self::Player | Self::Server => f.server,
            Self::Receiver => f.server.map(Side::other),
            Self::LastStriker => match f.length {
                Some(0) => return (Answer::No, None),
                Some(n) => f.shots.get(n - 1).and_then(|s| s.by),
                None => return (Answer::Unknown, None),
            },
        };
        (asked.map_or(Answer::Yes, |asked| side.map(|s| s == asked).into()), side)
    }

    /// In words, beside a name.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Server => "on serve",
            Self::Receiver => "on return",
            Self::Player => "all points",
            Self::LastStriker => "points in which they hit the last shot",
        }
    }
}

/// One table of a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ask {
    /// A row for each value of a fact.
    Fact(By, Counts),
    /// A row for each pattern; each says itself whose win counts.
    Patterns(Vec<Pattern>),
}

/// The questions to start with; the patterns are those of the pattern file in use.
pub fn starter(patterns: &[Pattern]) -> Vec<Question> {
    vec![service(), returns(), paying(patterns), predictable(), long_rallies(), big_points(), wings()]
}

impl Question {
    /// A question about these points, without tables.
    fn new(name: &str, about: &str, of: Part) -> Self {
        let (name, about) = (name.into(), about.into());
        Self { name, about, of, among: None, asks: Vec::new(), maps: Vec::new(), mix: false, lead: None }
    }

    /// With a table for each fact.
    fn by(mut self, counts: Counts, facts: &[By]) -> Self {
        self.asks.extend(facts.iter().map(|by| Ask::Fact(*by, counts)));
        self
    }

    /// With a first line of its own.
    const fn told(mut self, lead: Lead) -> Self {
        self.lead = Some(lead);
        self
    }

    /// With court pictures.
    fn on(mut self, maps: &[MapOf]) -> Self {
        self.maps.extend(maps);
        self
    }
}

fn service() -> Question {
    let about = "Points on serve by first or second serve, by its direction, and by where shot 3 went.";
    Question::new("What wins my service points?", about, Part::Server)
        .by(Counts::Won, &[By::ServeNumber, By::ServeDirection, By::PlusOne])
        .on(&[MapOf::Serve, MapOf::PlusOne])
}

fn returns() -> Question {
    let about = "Points on return by depth and direction of the return, and by forehand or backhand. Left and right are the \
                 receiver's. Short lands before the service line, deep in the back half behind it, mid between.";
    Question::new("How do I return?", about, Part::Receiver)
        .by(Counts::Won, &[By::ReturnDepth, By::ReturnThird, By::ReturnWing])
        .on(&[MapOf::Return])
}

fn paying(patterns: &[Pattern]) -> Question {
    let about = "Each pattern, compared with the other points in which it could have happened.";
    let asks = vec![Ask::Patterns(patterns.to_vec())];
    Question { asks, ..Question::new("Which patterns pay?", about, Part::Player) }
}

fn predictable() -> Question {
    use CourtSide::{Ad, Deuce};
    let about = "Directions of all first serves, and of all second serves, in or out: how mixed they are, whether one serve gives \
                 away the next, and how often the whole point was won with each.";
    let kinds = [(1, Deuce), (1, Ad), (2, Deuce), (2, Ad)].map(|(serve, court)| By::Tried(serve, court));
    let asked = Question::new("Am I predictable on serve?", about, Part::Server);
    Question { mix: true, ..asked.by(Counts::Won, &kinds).on(&[MapOf::FirstServe]) }
}

fn long_rallies() -> Question {
    let about =
        "By rally length: points won, winners (without aces), and unforced errors (without double faults).";
    Question::new("How do long rallies end?", about, Part::Player)
        .by(Counts::Won, &[By::Rally])
        .by(Counts::Winner, &[By::Rally])
        .by(Counts::UnforcedError, &[By::Rally])
        .told(Lead::Endings(0, 2))
        .on(&[MapOf::LastBall])
}

fn big_points() -> Question {
    let about = "Big points are the quarter of the points that change the chance to win the match most. Also break points, and the \
                 score in the game.";
    Question::new("What happens on big points?", about, Part::Player)
        .by(Counts::Won, &[By::Important, By::BreakPoint, By::Standing])
        .told(Lead::Row(0, 0))
}

fn wings() -> Question {
    let about = "Points by the player's own last shot: how often it was an error, forced or not. Aces and double faults have no side.";
    Question::new("Which side makes the errors?", about, Part::LastStriker)
        .by(Counts::Error, &[By::LastWing, By::LastStroke])
        .by(Counts::UnforcedError, &[By::LastWing])
        .told(Lead::Errors(0, 2))
        .on(&[MapOf::LastBall])
}

/// The question of this name, without regard to case or to the question mark.
///
/// # Errors
/// [`StudyError::NoQuestion`] with the names that there are, and the nearest.
pub fn named<'q>(questions: &'q [Question], name: &str) -> Result<&'q Question, StudyError> {
    let names = || questions.iter().map(|q| q.name.as_str());
    let plain = |name: &str| name.trim().trim_end_matches('?').trim_end().to_owned();
    let same = |q: &&Question| same_tag(&plain(&q.name), &plain(name));
    questions.iter().find(same).ok_or_else(|| StudyError::NoQuestion {
        found: name.into(),
        allowed: names().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ").into(),
        hint: Hint::of(name, names()),
    })
}
