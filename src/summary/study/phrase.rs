//! Rows in phrases that can be read aloud: of whom, and which points.

use super::by::By;
use super::counts::Counts;
use super::draft::Draft;
use super::facets::Facets;
use super::findings::Row;
use super::pool::Pool;
use super::question::Part;
use crate::counted::{Counted, Noun};
use crate::evidence::{FEW, Percent, Verdict, about};
use crate::record::printable;
use crate::summary::{Rate, Tally, Whose};
use crate::tennis::Side;

/// A rate below this, or as far from all, leaves no room for a difference of 20 percentage points.
const RARE: f64 = 0.2;

/// Of whom the sentences speak.
pub(super) struct Speaker {
    /// The player asked about; none where both are.
    name: Option<String>,
    part: Part,
}

impl Speaker {
    pub(super) fn new(pool: &Pool, facets: &Facets, part: Part) -> Self {
        let name = match &facets.whose {
            Whose::Both => None,
            Whose::Named(name) => Some(printable(name, 60)),
            Whose::Side(side) => Some(one_name(pool, *side)),
        };
        Self { name, part }
    }

    /// Who wins, or does not; of a pattern, whose win it counts.
    pub(super) fn subject(&self, won_by: &str) -> String {
        let part = match (won_by, self.part) {
            ("a", _) => return "player A".into(),
            ("b", _) => return "player B".into(),
            ("server", _) | ("", Part::Server) => "server",
            ("receiver", _) | ("", Part::Receiver) => "receiver",
            ("striker", _) => "player who hit it",
            (_, Part::LastStriker) => "player who hit last",
            (_, Part::Player | Part::Server | Part::Receiver) => "server",
        };
        match (&self.name, won_by) {
            (Some(name), "server" | "receiver") => format!("{name} as {part}"),
            (Some(name), _) => name.clone(),
            (None, _) => format!("the {part}"),
        }
    }

    /// `for Holt (51 points)`, or of both players `in 51 points`.
    pub(super) fn whom(&self, points: usize) -> String {
        let points = Counted(points, Noun::Point);
        self.name.as_ref().map_or_else(|| format!("in {points}"), |name| format!("for {name} ({points})"))
    }

    /// How many more points of the kind of this row and its others would tell something, as a sentence after another; empty where both
    /// rates are so low or so high that no such difference is to be expected.
    pub(super) fn wanting(&self, row: &Row) -> String {
        let extreme = |t: &Tally| t.rate.is_some_and(|r| !(RARE..=1.0 - RARE).contains(&r.rate));
        if extreme(&row.tally) && extreme(&row.others) {
            return String::new();
        }
        let more = Counted(about(more_points(row).max(1)), Noun::MorePoint);
        let part = match self.part {
            Part::Server => " on serve",
            Part::Receiver => " on return",
            Part::Player | Part::LastStriker => "",
        };
        // Many points are in neither group, so that more of the match than that is needed.
        let these =
            row.comparison.map_or_else(String::new, |c| format!(" like these {}", c.this.n() + c.that.n()));
        format!(
            ". About {more}{part}{these} would show a difference of 20 percentage points between these two, if there is one"
        )
    }

    /// Whether one player is asked about.
    pub(super) const fn is_one(&self) -> bool {
        self.name.is_some()
    }

    /// Whose last shots, before a verb.
    pub(super) fn last_striker(&self) -> String {
        self.name.clone().unwrap_or_else(|| "both players together".into())
    }

    /// The player asked about, or the server.
    pub(super) fn server(&self) -> String {
        self.name.clone().unwrap_or_else(|| "the server".into())
    }
}

/// How many more points it would take, of this row and its others together.
pub(super) fn more_points(r: &Row) -> usize {
    let Verdict::TooFew { points, needed } = r.verdict else { return usize::MAX };
    let all = r.comparison.map_or(points, |c| c.this.n() + c.that.n());
    (needed.saturating_sub(points) * all).div_ceil(points.max(1))
}

/// The name of the player on this side, if it is the same in all matches.
fn one_name(pool: &Pool, side: Side) -> String {
    let mut names: Vec<String> = pool.matches.iter().map(|m| m.record.about.side_name(side)).collect();
    names.dedup();
    match (names.as_slice(), side) {
        ([one], _) => printable(one, 60),
        (_, Side::A) => "player A".into(),
        (_, Side::B) => "player B".into(),
    }
}

/// Of which shots a direction is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reach {
    /// Of all shots, or the direction of no shot is told.
    All,
    /// Of those that landed: where missed ones were aimed is not known.
    Landed,
    /// Of those that landed, and of some that missed.
    Some,
}

impl Reach {
    pub(super) fn of(row: &Draft) -> Self {
        match (row.missed.n() + row.missed.unknown > 0, row.aimed) {
            (false, _) => Self::All,
            (true, false) => Self::Landed,
            (true, true) => Self::Some,
        }
    }

    /// After what tells the points apart.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::All => "",
            Self::Landed => ", of those that landed",
            Self::Some => ", of those that landed or whose aim is known",
        }
    }
}

/// What a row counts, and among which points.
pub(super) struct Said<'r> {
    pub(super) name: &'r str,
    pub(super) by: Option<By>,
    pub(super) won_by: &'r str,
    pub(super) counts: Counts,
    pub(super) reach: Reach,
    pub(super) tally: &'r Tally,
    pub(super) others: &'r Tally,
}

impl Said<'_> {
    /// Which points they are: `when the return was a backhand`.
    pub(super) fn points(&self) -> String {
        let name = printable(self.name, 200);
        let points = self.by.map_or_else(|| format!("with “{name}”"), |by| by.phrase(&name));
        // A depth is of those that landed by its own words.
        let reach = if self.by == Some(By::ReturnDepth) { Reach::All } else { self.reach };
        points + reach.words()
    }

    /// `Holt won 24 of 30 points (80 %) when the serve in play went wide, and 15 of 33 points (45 %) when it
    /// went elsewhere`; none where no
    /// point is decided.
    pub(super) fn numbers(&self, speaker: &Speaker) -> Option<String> {
        let rate = self.tally.rate?;
        let (verb, end) = match self.counts {
            Counts::Won => ("won", ""),
            Counts::Winner => ("ended", " with a winner"),
            Counts::UnforcedError => ("ended", " with an unforced error"),
            Counts::Error => ("ended", " with an error"),
        };
        if let Some([these, those]) = self.by.and_then(|by| by.kinds(self.name)) {
            let others = self
                .others
                .rate
                .map_or_else(String::new, |r| format!(", and {} of {} {those}{}", r.won, r.of, share(r)));
            let (won, of, share) = (rate.won, rate.of, share(rate));
            return Some(format!(
                "{} {verb} {won} of {of} {these}{share}{end}{others}",
                speaker.subject(self.won_by)
            ));
        }
        let others = self.others.rate.map_or_else(String::new, |r| {
            let rest = self.by.map_or_else(|| "without it".into(), |by| by.rest(self.name));
            format!(", and {} of {}{} {rest}", r.won, Counted(r.of, Noun::Point), share(r))
        });
        Some(format!(
            "{} {verb} {} of {}{}{end} {}{others}",
            speaker.subject(self.won_by),
            rate.won,
            Counted(rate.of, Noun::Point),
            share(rate),
            self.points()
        ))
    }
}

/// Of fewer than ten a percentage would say more than they do.
pub(super) fn share(r: Rate) -> String {
    if r.of < FEW { String::new() } else { format!(" ({})", Percent::of(r.rate)) }
}

impl By {
    /// What the points of a row and those that it is compared with are called, where a row is a kind of point.
    fn kinds(self, row: &str) -> Option<[&'static str; 2]> {
        Some(match (self, row) {
            (Self::Important, "big points") => ["big points", "other points"],
            (Self::Important, _) => ["other points", "big points"],
            (Self::BreakPoint, "break points to save") => ["break points to save", "other points served"],
            (Self::BreakPoint, "break points to convert") => {
                ["break points to convert", "other points returned"]
            }
            (Self::BreakPoint, "other points served") => ["other points served", "break points to save"],
            (Self::BreakPoint, _) => ["other points returned", "break points to convert"],
            _ => return None,
        })
    }

    /// The points that a row is compared with, after a verb and the row's own points.
    fn rest(self, row: &str) -> String {
        match self {
            Self::ServeNumber if row == "first serve" => "on the second serve".into(),
            Self::ServeNumber => "on the first serve".into(),
            Self::ServeDirection | Self::Tried(..) | Self::ReturnThird | Self::PlusOne => {
                "when it went elsewhere".into()
            }
            Self::Court => "on points served to the other court".into(),
            Self::ReturnDepth => "when it landed elsewhere".into(),
            Self::ReturnWing | Self::LastWing if row == "forehand" => "when it was a backhand".into(),
            Self::ReturnWing | Self::LastWing => "when it was a forehand".into(),
            Self::Rally if row.starts_with('1') => "in longer rallies".into(),
            Self::Rally if row.starts_with('9') => "in shorter rallies".into(),
            Self::Rally => "in shorter or longer rallies".into(),
            Self::LastStroke => "when it was another stroke".into(),
            Self::Set => "in the other sets".into(),
            Self::Standing => format!("when not {row}"),
            Self::Important | Self::BreakPoint => {
                self.kinds(row).map_or_else(String::new, |[_, those]| format!("on {those}"))
            }
            Self::TieBreak if row == "tie-break" => "outside tie-breaks".into(),
            Self::TieBreak => "in tie-breaks".into(),
        }
    }

    /// The points of a row, after a verb.
    pub(super) fn phrase(self, row: &str) -> String {
        match self {
            Self::ServeNumber => format!("on the {row}"),
            Self::ServeDirection => format!("when the serve in play went {}", to(row)),
            Self::Tried(n, court) => {
                let nth = if n == 1 { "first" } else { "second" };
                format!("when the {nth} serve to the {}, in or out, went {}", court.words(), to(row))
            }
            Self::Court => format!("on points served to the {row}"),
            Self::ReturnDepth if row == "mid" => "when the return landed at mid depth".into(),
            Self::ReturnDepth => format!("when the return landed {row}"),
            Self::ReturnThird => format!("when the return went to the {row} third"),
            Self::ReturnWing => format!("when the return was a {row}"),
            Self::PlusOne => match row {
                "behind" => "when shot 3 went behind the opponent".into(),
                "middle" => "when shot 3 went to the middle".into(),
                _ => "when shot 3 went into the open court".into(),
            },
            Self::Rally => format!("in rallies of {row}"),
            Self::LastStroke if row == "overhead" => "when the last shot was an overhead".into(),
            Self::LastWing | Self::LastStroke => format!("when the last shot was a {row}"),
            Self::Set => format!("in {row}"),
            Self::Standing => format!("when {row} in the game"),
            Self::Important | Self::BreakPoint => format!("on {row}"),
            Self::TieBreak if row == "tie-break" => "in tie-breaks".into(),
            Self::TieBreak => "outside tie-breaks".into(),
        }
    }
}

/// Where a serve goes.
pub(super) fn to(direction: &str) -> String {
    match direction {
        "wide" => "wide".into(),
        "T" => "down the T".into(),
        other => format!("to the {other}"),
    }
}
