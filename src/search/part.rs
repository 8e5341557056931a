//! What the chips of a search ask together.

use std::cmp::Ordering;
use std::fmt;

use super::chip::Subject;
use super::dates::Dates;
use crate::pattern::{Condition, Pattern, ShotTest};
use crate::record::{Finish, Hand, printable};
use crate::tennis::stroke::Miss;

/// One thing that a point must meet, or must not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) who: Option<Subject>,
    pub(super) what: What,
    pub(super) not: bool,
}

/// What a part asks, of whoever it is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum What {
    /// They play in the match.
    Plays,
    /// They strike this shot; several follow each other.
    Shots(Vec<Shot>),
    Won(bool),
    Standing(Ordering),
    Serves(bool),
    Finish(Vec<Finish>),
    Miss(Miss),
    /// Their hand, or their opponent's.
    Hand(Hand, bool),
    Point(Condition, String),
    Tag(Vec<String>),
    Pattern(Box<Pattern>),
    Surface(Vec<String>),
    Venue(Vec<String>),
    Dates(Dates),
    Note(String),
}

/// One shot that is asked for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Shot {
    pub(super) tests: Vec<ShotTest>,
    /// The chips that it comes from.
    pub(super) words: Vec<String>,
    /// It comes at most so many shots after the one before it.
    pub(super) within: usize,
    /// It is the last of the point.
    pub(super) last: bool,
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.not {
            f.write_str("not: ")?;
        }
        let by = self.who.as_ref().map(|who| format!(" by {who}")).unwrap_or_default();
        let who = self.who.as_ref().unwrap_or(&Subject::Server);
        match &self.what {
            What::Plays => write!(f, "matches of {who}"),
            What::Shots(shots) => said(shots, &by, f),
            What::Won(true) => write!(f, "won by {who}"),
            What::Won(false) => write!(f, "lost by {who}"),
            What::Standing(Ordering::Less) => write!(f, "{who} behind in the game"),
            What::Standing(Ordering::Equal) => f.write_str("level in the game"),
            What::Standing(Ordering::Greater) => write!(f, "{who} ahead in the game"),
            What::Serves(true) => write!(f, "{who} serves"),
            What::Serves(false) => write!(f, "{who} receives"),
            What::Finish(all) => {
                write!(f, "{}{by}", all.iter().map(|x| x.words()).collect::<Vec<_>>().join(" or "))
            }
            What::Miss(Miss::Net) => write!(f, "missed into the net{by}"),
            What::Miss(miss) => write!(f, "missed {}{by}", miss.words()),
            What::Hand(hand, opponent) => {
                let whose = match &self.who {
                    Some(who) if *opponent => format!("opponent of {who}"),
                    Some(who) => who.to_string(),
                    None => "a player".into(),
                };
                write!(f, "{whose} is {}", if *hand == Hand::Left { "left-handed" } else { "right-handed" })
            }
            What::Point(_, words) => f.write_str(words),
            What::Note(text) => write!(f, "note with \"{}\"", printable(text, 60)),
            What::Tag(tags) => write!(f, "tag {}", tags.join(" or ")),
            What::Pattern(p) => write!(f, "pattern {}", p.name),
            What::Surface(all) => write!(f, "on {}", all.join(" or ")),
            What::Venue(all) => write!(f, "at {}", all.join(" or ")),
            What::Dates(dates) => dates.fmt(f),
        }
    }
}

fn said(shots: &[Shot], by: &str, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    for (n, shot) in shots.iter().enumerate() {
        let words = if shot.words.is_empty() { "any shot".into() } else { shot.words.join(" ") };
        match (n, shot.within) {
            (0, _) => write!(f, "{words}{by}")?,
            (_, 1) => write!(f, ", answered by {words}")?,
            (_, 2) => write!(f, ", then {words} within two shots")?,
            _ => write!(f, ", later {words}")?,
        }
        if shot.last {
            f.write_str(", the last shot")?;
        }
    }
    Ok(())
}
