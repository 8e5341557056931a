//! From chips to the parts of a search: which belong together, and whom they are about.

use std::mem::discriminant;

use super::chip::{Chip, Meaning, Subject};
use super::part::{Part, Shot, What};
use crate::pattern::{Condition, ShotTest};
use crate::record::Finish;
use crate::tennis::stroke::{Miss, ServeTo};

/// What the chips ask together. Those that ask nothing are left out.
pub(super) fn parts(chips: &[Chip]) -> Vec<Part> {
    let mut b = Builder::default();
    for (words, meaning) in alternatives(chips) {
        b.take(&words, meaning);
    }
    b.parts
}

/// The chips without fillers, each `or` put together with its neighbours.
fn alternatives(chips: &[Chip]) -> Vec<(String, Meaning)> {
    let mut all: Vec<(String, Meaning)> = Vec::new();
    let mut or = false;
    for chip in chips.iter().filter(|c| c.is_known() && c.meaning != Meaning::Filler) {
        if chip.meaning == Meaning::Or {
            or = true;
            continue;
        }
        if std::mem::take(&mut or)
            && let Some((words, before)) = all.last_mut()
            && let Some(either) = before.clone().or(chip.meaning.clone())
        {
            *words = format!("{words} or {}", chip.words);
            *before = either;
            continue;
        }
        all.push((chip.words.clone(), chip.meaning.clone()));
    }
    all
}

/// What a name is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Name {
    /// Of whoever does what follows.
    #[default]
    Subject,
    /// Of the opponent.
    Opponent,
    /// Of whoever did what stands before it.
    Doer,
}

#[derive(Default)]
struct Builder {
    parts: Vec<Part>,
    /// Whoever was named last.
    who: Option<Subject>,
    /// What the next name is.
    name: Name,
    not: bool,
    /// The next shot follows the last one.
    then: Option<usize>,
    /// The next shot is the last of the point: how the point ended was said before it.
    last: bool,
    /// The last part may take more: no comma came since.
    open: bool,
}

impl Builder {
    fn take(&mut self, words: &str, meaning: Meaning) {
        let what = match meaning {
            Meaning::Subject(who) => return self.subject(who),
            Meaning::Against => return self.name = Name::Opponent,
            Meaning::By => return self.name = Name::Doer,
            Meaning::Not => return self.not = true,
            Meaning::Then(within) => return self.then = Some(within),
            Meaning::Last => return self.last_shot(),
            Meaning::Comma => return self.close(),
            Meaning::Shot(tests) => return self.shot(words, tests),
            Meaning::Miss(Miss::Wide) if self.takes_wide() => {
                return self.shot("wide serve", vec![ShotTest::Number(1), ShotTest::To(ServeTo::Wide)]);
            }
            // No shot is struck in a double fault.
            Meaning::Finish(all) if all == [Finish::DoubleFault] => What::Finish(all),
            Meaning::Finish(all) => self.end(What::Finish(all)),
            Meaning::Miss(miss) => self.end(What::Miss(miss)),
            Meaning::Point(condition) => What::Point(condition, words.into()),
            Meaning::Won(won) => What::Won(won),
            Meaning::Standing(standing) => What::Standing(standing),
            Meaning::Serves(_) if self.who.is_none() => return,
            Meaning::Serves(serves) => What::Serves(serves),
            Meaning::Hand(hand) => What::Hand(hand, std::mem::take(&mut self.name) == Name::Opponent),
            Meaning::Tag(tags) => What::Tag(tags),
            Meaning::Pattern(pattern) => What::Pattern(pattern),
            Meaning::Surface(all) => What::Surface(all),
            Meaning::Venue(all) => What::Venue(all),
            Meaning::Dates(dates) => What::Dates(dates),
            Meaning::Note(text) => What::Note(text),
            Meaning::Or | Meaning::Filler | Meaning::Unknown(_) => return,
        };
        self.push(what);
    }

    const fn close(&mut self) {
        (self.open, self.last) = (false, false);
    }

    fn push(&mut self, what: What) {
        let not = std::mem::take(&mut self.not);
        self.parts.push(Part { who: self.who.clone(), what, not });
        self.open = true;
    }

    fn subject(&mut self, who: Subject) {
        let plays = Part { who: Some(who.clone()), what: What::Plays, not: false };
        let name = std::mem::take(&mut self.name);
        if name == Name::Doer
            && let Some(last) = self.parts.iter_mut().rev().find(|p| p.what != What::Plays)
        {
            last.who = Some(who);
            return;
        }
        if name != Name::Opponent {
            self.who = Some(who.clone());
            self.open = false;
        }
        if matches!(who, Subject::Players(_)) {
            self.parts.push(plays);
        }
    }

    /// The shot of the part before, if more can be said of it.
    fn last_of(&mut self) -> Option<&mut Shot> {
        let part = self.parts.last_mut().filter(|_| self.open)?;
        match &mut part.what {
            What::Shots(shots) => shots.last_mut(),
            _ => None,
        }
    }

    fn last_shot(&mut self) {
        match self.last_of() {
            Some(shot) => shot.last = true,
            None => self.last = true,
        }
    }

    /// How a point ends belongs to the shot beside it: a backhand winner ends with a backhand.
    fn end(&mut self, what: What) -> What {
        match self.last_of() {
            Some(shot) => shot.last = true,
            None => self.last = true,
        }
        what
    }

    /// Whether `wide` says where a serve went, not how a shot missed.
    fn takes_wide(&self) -> bool {
        let part = self.parts.last().filter(|_| self.open);
        match part.map(|p| &p.what) {
            Some(What::Shots(shots)) => shots.last().is_some_and(|s| s.tests.contains(&ShotTest::Number(1))),
            Some(What::Finish(all)) => *all == [Finish::Ace],
            Some(What::Point(Condition::Serve(_), _)) => true,
            _ => false,
        }
    }

    fn shot(&mut self, words: &str, tests: Vec<ShotTest>) {
        let then = self.then.take();
        let fits = |shot: &Shot| {
            then.is_none() && !tests.iter().any(|t| shot.tests.iter().any(|u| same_kind(t, u) && t != u))
        };
        let not = self.not;
        if let Some(shot) = self.last_of().filter(|s| !not && fits(s)) {
            let new: Vec<ShotTest> = tests.into_iter().filter(|t| !shot.tests.contains(t)).collect();
            if !new.is_empty() {
                shot.words.push(words.into());
                shot.tests.extend(new);
            }
            return;
        }
        let last = std::mem::take(&mut self.last);
        let shot = Shot { tests, words: vec![words.into()], within: then.unwrap_or(1), last };
        if then.is_some()
            && let Some(Part { what: What::Shots(shots), .. }) = self.parts.last_mut()
        {
            shots.push(shot);
            self.open = true;
            return;
        }
        self.push(What::Shots(vec![shot]));
    }
}

fn same_kind(a: &ShotTest, b: &ShotTest) -> bool {
    discriminant(a) == discriminant(b)
}
