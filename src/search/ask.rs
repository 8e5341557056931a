//! A search asked of the points of a record.

use std::cmp::Ordering;

use super::chip::Subject;
use super::part::{Part, Shot, What};
use super::query::Search;
use crate::facts::{PointFacts, facts};
use crate::pattern::{Answer, Condition, ShotTest, Step, Who, answer, same_tag};
use crate::record::{Hand, Point, Record};
use crate::tennis::Side;

/// A search as a record understands it: names are sides.
#[derive(Debug, Clone)]
pub struct Asked(Vec<Wanted>);

/// One part, of one record.
#[derive(Debug, Clone)]
enum Wanted {
    Point(Condition),
    /// The shot, or a tag with its name; and whether it must belong to a certain player.
    Tagged {
        shot: Condition,
        tag: String,
        /// The players that it must belong to; empty if any player will do.
        whose: Vec<Who>,
        not: bool,
    },
    Pattern(Box<crate::pattern::Pattern>, bool),
    Note(String, bool),
}

impl Search {
    /// The search for this record; `None` if no point of the record can match.
    pub fn of(&self, record: &Record) -> Option<Asked> {
        let mut wanted = Vec::new();
        for part in &self.parts {
            if let What::Surface(_) | What::Venue(_) | What::Dates(_) | What::Plays = &part.what {
                if part.is_met_by(record) == part.not {
                    return None;
                }
                continue;
            }
            wanted.push(part.wanted(record)?);
        }
        Some(Asked(wanted))
    }
}

impl Search {
    /// What each point of a record answers, by its place from 0; points of matches in which nobody is who is asked about are left
    /// out.
    pub fn answers(&self, record: &Record) -> Vec<(usize, Answer)> {
        let mut all = Vec::new();
        for (part, places) in record.by_players() {
            let Some(asked) = self.of(&part) else { continue };
            let points = facts(&part);
            let answers = points.iter().zip(&part.points).map(|(f, point)| asked.answer(f, point));
            all.extend(places.into_iter().zip(answers));
        }
        all.sort_unstable_by_key(|(place, _)| *place);
        all
    }
}

impl Asked {
    /// Whether a point is one of those wanted.
    pub fn answer(&self, facts: &PointFacts, point: &Point) -> Answer {
        Answer::all(self.0.iter().map(|w| w.answer(facts, point)))
    }
}

impl Wanted {
    fn answer(&self, f: &PointFacts, point: &Point) -> Answer {
        let turned = |not: bool, answer: Answer| if not { !answer } else { answer };
        match self {
            Self::Point(condition) => condition.answer(f),
            Self::Tagged { shot, tag, whose, not } => turned(*not, tagged(f, tag, whose, shot.answer(f))),
            Self::Pattern(pattern, not) => turned(*not, answer(pattern, f)),
            Self::Note(text, not) => turned(*not, point.note.to_lowercase().contains(text).into()),
        }
    }
}

impl Part {
    /// Whether the match is one of those wanted.
    fn is_met_by(&self, record: &Record) -> bool {
        let about = &record.about;
        match &self.what {
            What::Surface(all) => all.iter().any(|s| same_tag(s, &about.surface)),
            What::Venue(all) => all.iter().any(|s| same_tag(s, &about.venue)),
            What::Dates(dates) => about.date.is_some_and(|day| dates.contains(day)),
            _ => self.who.as_ref().is_some_and(|who| !sides(who, record).is_empty()),
        }
    }

    /// `None` if none of the players asked about is in the record.
    fn wanted(&self, record: &Record) -> Option<Wanted> {
        let whose: Vec<Option<Who>> = match &self.who {
            None => vec![None],
            Some(who) => sides(who, record).into_iter().map(Some).collect(),
        };
        if whose.is_empty() {
            return None;
        }
        Some(match &self.what {
            What::Shots(shots) => self.shots(shots, &whose),
            What::Pattern(pattern) => Wanted::Pattern(pattern.clone(), self.not),
            What::Note(text) => Wanted::Note(text.to_lowercase(), self.not),
            _ => {
                let all: Option<Vec<_>> = whose.iter().map(|who| self.condition(*who)).collect();
                Wanted::Point(self.turned(any(all?)))
            }
        })
    }

    fn shots(&self, shots: &[Shot], whose: &[Option<Who>]) -> Wanted {
        let shot = any(whose.iter().map(|who| struck(shots, *who)).collect());
        match shots {
            [Shot { words, last: false, .. }] if words.len() == 1 => {
                let (tag, whose) = (words.concat(), whose.iter().copied().flatten().collect());
                Wanted::Tagged { shot, tag, whose, not: self.not }
            }
            _ => Wanted::Point(self.turned(shot)),
        }
    }

    /// The condition on a point for a player asked about; `None` if it is not a condition on a point alone.
    fn condition(&self, who: Option<Who>) -> Option<Condition> {
        let server = who.unwrap_or(Who::Server);
        let ended = |how: Condition| {
            Condition::All([Some(how), who.map(Condition::FinishBy)].into_iter().flatten().collect())
        };
        Some(match &self.what {
            What::Won(true) => Condition::Winner(server),
            What::Won(false) => not(Condition::Winner(server)),
            What::Standing(standing) => stands(server, *standing),
            What::Serves(true) => Condition::Server(server),
            What::Serves(false) => not(Condition::Server(server)),
            What::Finish(all) => ended(any(all.iter().map(|x| Condition::Finish(*x)).collect())),
            What::Miss(miss) => ended(Condition::Miss(*miss)),
            What::Hand(hand, opponent) => {
                has_hand(who.map(|who| if *opponent { other(who) } else { who }), *hand)
            }
            What::Point(condition, _) => condition.clone(),
            What::Tag(tags) => any(tags.iter().map(|t| Condition::HasTag(t.clone())).collect()),
            _ => return None,
        })
    }

    fn turned(&self, condition: Condition) -> Condition {
        if self.not { not(condition) } else { condition }
    }
}

/// Whether it is one of their shots, by the logged shots or by the tag with its name. A tag without a player may belong to
/// anybody; a tag with a player decides if the shots do not.
fn tagged(f: &PointFacts, tag: &str, whose: &[Who], by_shots: Answer) -> Answer {
    let Some(tag) = f.tags.iter().find(|t| same_tag(t, tag)) else { return by_shots };
    match f.tags_by.get(tag) {
        _ if whose.is_empty() || by_shots == Answer::Yes => Answer::Yes,
        None => Answer::Unknown,
        Some(by) => Answer::any(whose.iter().map(|who| who.side(f).map(|side| by.is(side)).into())),
    }
}

fn not(condition: Condition) -> Condition {
    Condition::Not(Box::new(condition))
}

fn any(mut all: Vec<Condition>) -> Condition {
    match (all.len(), all.pop()) {
        (1, Some(one)) => one,
        (_, last) => {
            all.extend(last);
            Condition::Any(all)
        }
    }
}

/// The players in the record who are asked about; each side only once.
fn sides(who: &Subject, record: &Record) -> Vec<Who> {
    match who {
        Subject::Server => vec![Who::Server],
        Subject::Receiver => vec![Who::Receiver],
        Subject::Players(names) => {
            let is = |side: &Side| {
                let about = &record.about;
                let players = [Some(about.player(*side)), about.partner(*side)];
                players.into_iter().flatten().any(|p| names.iter().any(|n| same_tag(n, &p.name)))
            };
            [Side::A, Side::B].into_iter().filter(is).map(Who::Player).collect()
        }
    }
}

/// The shots follow each other, the first struck by `who`.
fn struck(shots: &[Shot], who: Option<Who>) -> Condition {
    let tests = |n: usize, shot: &Shot| {
        let by = who.filter(|_| n == 0).map(ShotTest::By);
        shot.tests.iter().cloned().chain(by).collect::<Vec<_>>()
    };
    match shots {
        [one] if one.last => Condition::LastShot(tests(0, one)),
        [one] => Condition::SomeShot(tests(0, one)),
        all => {
            let step = |(n, s): (usize, &Shot)| Step { within: s.within, striker: None, tests: tests(n, s) };
            let follow = Condition::Sequence(all.iter().enumerate().map(step).collect());
            match all.last().filter(|s| s.last) {
                Some(last) => Condition::All(vec![follow, Condition::LastShot(last.tests.clone())]),
                None => follow,
            }
        }
    }
}

/// The score of the game as `who` sees it.
fn stands(who: Who, standing: Ordering) -> Condition {
    let seen = |by: Who, standing| Condition::All(vec![Condition::Server(by), Condition::Standing(standing)]);
    match who {
        Who::Receiver => Condition::Standing(standing.reverse()),
        Who::Player(side) => {
            Condition::Any(vec![seen(who, standing), seen(Who::Player(side.other()), standing.reverse())])
        }
        Who::Server | Who::Striker => Condition::Standing(standing),
    }
}

fn has_hand(who: Option<Who>, hand: Hand) -> Condition {
    match who {
        Some(who) => Condition::Hand(who, hand),
        None => {
            Condition::Any(vec![Condition::Hand(Who::Server, hand), Condition::Hand(Who::Receiver, hand)])
        }
    }
}

const fn other(who: Who) -> Who {
    match who {
        Who::Server => Who::Receiver,
        Who::Receiver => Who::Server,
        Who::Player(side) => Who::Player(side.other()),
        Who::Striker => Who::Striker,
    }
}
