//! How the score of a record is counted: by which rules, from which point on, and what counts of each point.

use super::kind::Kind;
use super::model::{Gender, MatchInfo, Outcome, Point, Record};
use crate::tennis::Side;
use crate::tennis::pair::Partner;
use crate::tennis::replay::{Replay, replay};
use crate::tennis::rules::{Play, Rules};
use crate::tennis::setup::{Counting, Played, Setup};

impl Record {
    /// The score before each point and after the last, and the marks that contradict it.
    pub fn replay(&self) -> Replay {
        replay(self.about.setup(), self.points.iter().map(Point::played), self.closing_score.as_ref())
    }

    /// Whether it is part of a match, and nothing says yet what the score was.
    pub fn is_unscored(&self) -> bool {
        let marked = self.closing_score.is_some() || self.points.iter().any(|p| p.score_before.is_some());
        self.about.kind() == Kind::Part && !marked
    }

    /// Who won the match, by its outcome, else by the score. `None` while it is not over, or if it is not known.
    pub fn winner(&self) -> Option<Side> {
        self.about.won_by_outcome().unwrap_or_else(|| self.replay().end.winner())
    }
}

impl MatchInfo {
    /// What the footage shows. Rules without a score make it practice.
    pub const fn kind(&self) -> Kind {
        match (self.shows, self.rules.play) {
            (Kind::Match | Kind::Part, Play::Drill) => Kind::Practice,
            (kind, _) => kind,
        }
    }

    /// What the record is called: who plays, or that it is points of many matches.
    pub fn title(&self) -> String {
        match self.kind() {
            Kind::Points => "Points of many matches".into(),
            _ => format!("{} – {}", self.side_name(Side::A), self.side_name(Side::B)),
        }
    }

    /// The rules by which the score is counted. Practice, and points of many matches, have no score. The stored rules stay
    /// unchanged, in case it turns out to be a match.
    pub fn counted_by(&self) -> Rules {
        match self.kind() {
            Kind::Match | Kind::Part => self.rules,
            Kind::Practice | Kind::Points => Rules { sides: self.rules.sides, ..Rules::drill() },
        }
    }

    /// From where on there is a score.
    pub(super) const fn counting(&self) -> Counting {
        match self.kind() {
            Kind::Match | Kind::Practice => Counting::FromTheStart,
            Kind::Part => Counting::FromAMark,
            Kind::Points => Counting::PointByPoint,
        }
    }

    /// Who won by the outcome, which may be nobody; `None` if the score decides.
    pub const fn won_by_outcome(&self) -> Option<Option<Side>> {
        match self.outcome {
            Some(Outcome::Retired(side) | Outcome::Defaulted(side)) => Some(Some(side.other())),
            Some(Outcome::Unfinished) => Some(None),
            None => None,
        }
    }

    /// How the match began, for the replay.
    pub fn setup(&self) -> Setup {
        let mut setup = Setup::new(self.counted_by(), self.first_server, self.a_starts);
        setup.counting = self.counting();
        for (to, from) in setup.order.iter_mut().zip(&self.order) {
            *to = *from;
        }
        setup.women = [Side::A, Side::B].map(|s| self.woman(s));
        setup
    }

    /// Who of a pair is the woman, where one is and the other is not.
    fn woman(&self, side: Side) -> Option<Partner> {
        match (self.player(side).gender?, self.partner(side)?.gender?) {
            (Gender::Woman, Gender::Man) => Some(Partner::First),
            (Gender::Man, Gender::Woman) => Some(Partner::Second),
            _ => None,
        }
    }
}

impl Point {
    /// What was seen of it, as far as the score needs it.
    pub const fn played(&self) -> Played<'_> {
        Played {
            winner: self.winner,
            served_by: self.served_by,
            received_by: self.received_by,
            side: self.side,
            server_end: self.server_end,
            replayed: self.replayed,
            score_before: self.score_before.as_ref(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_survive_being_called_practice() {
        let rules = Rules::named("best-of-5").unwrap();
        let mut about = MatchInfo { rules, ..MatchInfo::default() };
        for kind in Kind::ALL {
            about.shows = kind;
            assert_eq!(about.kind(), kind);
            assert_eq!(about.counted_by().check(), Ok(()), "{kind:?}");
        }
        about.shows = Kind::Match;
        assert_eq!(about.counted_by(), rules);
    }

    #[test]
    fn a_drill_is_practice_whatever_is_said() {
        let about = MatchInfo { rules: Rules::drill(), shows: Kind::Part, ..MatchInfo::default() };
        assert_eq!(about.kind(), Kind::Practice);
    }
}
