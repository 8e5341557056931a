//! In doubles: of a fact about a place that is not known, that it is not known which of a pair it is about.

use super::ball::{Ball, ShotTest};
use crate::facts::{Length, PointFacts};

/// The answer where the record does not say.
pub(super) const UNKNOWN: &str = "not known";

/// Of whom a place is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Who {
    Striker,
    Opponent,
}

/// Whose place a condition is about; `None` if it is about none.
const fn who(test: &ShotTest) -> Option<Who> {
    Some(match test {
        ShotTest::Inside(_) | ShotTest::AtNet(_) => Who::Striker,
        ShotTest::OpponentDeep(_)
        | ShotTest::OpponentLeaving(_)
        | ShotTest::Goes(_)
        | ShotTest::Push(_)
        | ShotTest::ToWing(_)
        | ShotTest::ToWeaker(_) => Who::Opponent,
        ShotTest::AtLeast(length, _) | ShotTest::AtMost(length, _) => match length {
            Length::Behind | Length::FromNet | Length::Recovers => Who::Striker,
            Length::Lands => return None,
            _ => Who::Opponent,
        },
        _ => return None,
    })
}

/// What is said of a condition of which nothing is known.
pub(super) fn unknown(test: &ShotTest, ball: Ball<'_>, f: &PointFacts) -> String {
    let Some((pairs, who)) = f.pairs.zip(who(test)) else { return UNKNOWN.into() };
    let struck_by = ball.number + usize::from(who == Who::Opponent);
    let is_known = !f.joined_late
        && match struck_by {
            1 => pairs.server.is_some(),
            2 => pairs.receiver.is_some(),
            _ => false,
        };
    match who {
        _ if is_known => UNKNOWN.into(),
        Who::Striker => format!("{UNKNOWN}: nothing tells which partner struck it"),
        Who::Opponent => format!("{UNKNOWN}: nothing tells which of the opponents plays the next ball"),
    }
}
