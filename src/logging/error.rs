//! What can be wrong with a key, and why an action did nothing, in words for the coach.

use thiserror::Error;

use super::action::Action;
use crate::time::MatchTime;

/// Why an action did nothing, in words for the coach.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LogError {
    /// A point is still open.
    #[error(
        "point {number} started at {at} and has no end yet: end it, name its winner, or move its start here"
    )]
    StillOpen {
        /// Number of the open point, from 1.
        number: usize,
        /// Its start.
        at: MatchTime,
    },
    /// There is no point to act on.
    #[error("there is no current point: start one, or choose one in the score")]
    NoPoint,
    /// The point has ended.
    #[error("point {number} has ended already: to move its end, use \"{}\"", Action::EndHere.title())]
    Ended {
        /// Number of the point, from 1.
        number: usize,
    },
    /// The moment lies before the start.
    #[error("a point cannot end at {at}: it starts at {start}")]
    BeforeStart {
        /// The moment.
        at: MatchTime,
        /// The start.
        start: MatchTime,
    },
    /// The start would lie after the end.
    #[error("a point cannot start at {at}: it ends at {end}")]
    AfterEnd {
        /// The moment.
        at: MatchTime,
        /// The end.
        end: MatchTime,
    },
    /// Another point covers this moment.
    #[error("point {number} already covers {at}: a new point starts outside it")]
    Covered {
        /// Number of that point, from 1.
        number: usize,
        /// The moment.
        at: MatchTime,
    },
    /// The stamp would cross into a neighbouring point.
    #[error("{at} is inside point {number}: two points cannot overlap")]
    Crosses {
        /// Number of that point, from 1.
        number: usize,
        /// The moment.
        at: MatchTime,
    },
    /// Two faults are there already.
    #[error("point {number} has two faults already")]
    TwoFaults {
        /// Number of the point, from 1.
        number: usize,
    },
    /// There is no further frame in that direction.
    #[error("there is no further frame in that direction")]
    NoFrame,
    /// The stamp is missing.
    #[error("point {number} has no such stamp yet")]
    NoStamp {
        /// Number of the point, from 1.
        number: usize,
    },
    /// The action is not one that logs.
    #[error("\"{0}\" changes nothing in the record")]
    NotLogging(&'static str),
    /// A key about a shot, but the point has no shot.
    #[error("point {number} has no shot yet. First press where the serve went")]
    NoBall {
        /// Number of the point, from 1.
        number: usize,
    },
    /// A stroke, forehand or backhand for a serve.
    #[error("shot 1 is the serve and has no {what}. Log the shot that you mean first, or choose it")]
    Serve {
        /// What a serve does not have.
        what: &'static str,
    },
    /// A fault, but the rally has started.
    #[error("point {number} has {balls} shots. A fault is a serve: delete the shots after it first")]
    RallyOn {
        /// Number of the point, from 1.
        number: usize,
        /// Shots keyed.
        balls: usize,
    },
    /// An ace after the return.
    #[error(
        "an ace is a serve that nobody touched, but this point has {balls} shots. Choose winner, or delete shots"
    )]
    NoAce {
        /// Shots keyed.
        balls: usize,
    },
    /// A miss, but the point ended with an ace or a winner.
    #[error("point {number} ended with {}: no shot was missed", if *ace { "an ace" } else { "a winner" })]
    NoMiss {
        /// Number of the point, from 1.
        number: usize,
        /// With an ace.
        ace: bool,
    },
    /// A shot after "stop logging shots".
    #[error("the shots of point {number} are not logged from here on. Press \"{}\" again to log them", Action::RestNotLogged.title())]
    NotLogged {
        /// Number of the point, from 1.
        number: usize,
    },
    /// An unreturned serve, but the serve was returned.
    #[error("the serve of point {number} was returned. Delete shots first, or log how the rally ended")]
    Returned {
        /// Number of the point, from 1.
        number: usize,
    },
    /// A let, but no serve was logged.
    #[error("point {number} has no serve yet, so there is none to take back")]
    NoServe {
        /// Number of the point, from 1.
        number: usize,
    },
    /// A point joined in mid-rally, but its serve was logged.
    #[error("point {number} has a serve, so it was not joined in mid-rally. Delete the serve first")]
    HasServe {
        /// Number of the point, from 1.
        number: usize,
    },
    /// A key about the serve of a point that was joined later.
    #[error("point {number} was joined after its serve, so nothing is known of the serve")]
    Joined {
        /// Number of the point, from 1.
        number: usize,
    },
    /// Who struck the first shot seen, of a point seen from its serve on.
    #[error("point {number} was seen from its serve on. First press \"{}\"", Action::JoinedLate.title())]
    NotJoined {
        /// Number of the point, from 1.
        number: usize,
    },
    /// A point left before its end, but its ending was logged.
    #[error("how point {number} ended is logged, so it was seen to its end. Delete the ending first")]
    HasEnding {
        /// Number of the point, from 1.
        number: usize,
    },
    /// What was to be said follows from the score.
    #[error("{what} of point {number} follows from the score. To change it, use \"{}\"", Action::Correct.title())]
    ByScore {
        /// Number of the point, from 1.
        number: usize,
        /// What follows.
        what: &'static str,
    },
    /// The match of a point, in a record of one match.
    #[error("all points of this record are of one match. Only points of many matches name their own players: see \"{}\"", Action::WhatFootage.title())]
    OneMatch,
    /// No point before names its players.
    #[error("no point before point {number} names its players. Press \"{}\" to name them", Action::Sources.title())]
    NoSource {
        /// Number of the point, from 1.
        number: usize,
    },
    /// Whose a tag is, but which tag is meant is not known.
    #[error("which tag of point {number} is meant? Press the tag’s key first, then say whose it is")]
    NoTag {
        /// Number of the point, from 1.
        number: usize,
    },
    /// The shot before the first one.
    #[error("there is no shot before shot 1")]
    FirstBall,
}

/// The text is not a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("not a key")]
pub struct NotAKey;
