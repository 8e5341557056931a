//! What one point, or one shot, says to a number.

use super::what::Number;
use crate::facts::{Band, Lane, PointFacts, ShotFacts};
use crate::pattern::Answer;
use crate::record::Finish;
use crate::tennis::Side;
use crate::tennis::stroke::{Column, Miss, Stroke, Wing};

/// Whether a point counts for this side; none when it is not among those that are counted.
pub(super) fn point(number: Number, f: &PointFacts, side: Side) -> Option<Answer> {
    let won = || is(f.winner, side);
    // A point penalty decides points and games, but nothing was served or returned.
    let (own_game, their_game) = (is(f.server, side), is(f.server, side.other()));
    let played = Answer::from(f.penalty.is_none());
    let (serves, returns) = (own_game.and(played), their_game.and(played));
    match number {
        Number::PointsWon => Some(won()),
        Number::FirstServesIn => among(serves, || f.serve.map(|n| n == 1).into()),
        Number::Aces => among(serves, || f.ended(Finish::Ace).into()),
        Number::DoubleFaults => among(serves, || f.ended(Finish::DoubleFault).into()),
        Number::WonOnServe(n) => among(serves.and(is(f.serve, n)), won),
        Number::ServiceWon => among(serves, won),
        Number::ReturnWon => among(returns, won),
        Number::ReturnWonOn(n) => among(returns.and(is(f.serve, n)), won),
        Number::GamesHeld => among(own_game.and(ends_game(f)), won),
        Number::GamesBroken => among(their_game.and(ends_game(f)), won),
        Number::BreakPointsSaved => among(own_game.and(f.break_point.into()), won),
        Number::BreakPointsConverted => among(their_game.and(f.break_point.into()), won),
        Number::Winners => Some(ended(f, side, &[Finish::Winner])),
        Number::ForcedErrors => Some(ended(f, side, &[Finish::ForcedError])),
        Number::UnforcedErrors => Some(ended(f, side, &[Finish::UnforcedError])),
        Number::NetPoints => among(at_net(f, side), won),
        Number::WonByLength(band) => among(has_length(f, band), won),
        Number::ServeDirection(n, court, to) => {
            let tried = serves.and(is(f.court, court)).and(struck(f, n));
            among(tried, || {
                let serve = f.serves[usize::from(n == 2)];
                serve.and_then(|s| s.to).map(|at| at == to).into()
            })
        }
        Number::Errors(wing, miss) => error(f, side, wing, miss),
        Number::ErrorsOn(wing, lane, miss) => {
            let ended = ended(f, side, &[Finish::ForcedError, Finish::UnforcedError]);
            on_line(f, side, ended, (wing, lane), is(f.miss, miss))
        }
        Number::WinnersBy(wing, lane) => {
            on_line(f, side, ended(f, side, &[Finish::Winner]), (wing, lane), Answer::Yes)
        }
        Number::MostInARow | Number::LongestRally | Number::Lines(..) => None,
    }
}

/// Whether an error of this side with this wing missed so.
fn error(f: &PointFacts, side: Side, wing: Wing, miss: Miss) -> Option<Answer> {
    let by = is(last(f, side).and_then(|s| s.wing), wing);
    among(ended(f, side, &[Finish::ForcedError, Finish::UnforcedError]).and(by), || is(f.miss, miss))
}

/// Whether the shot with which this side ended the point, if it did and with this wing, was on this line, and whatever else it must
/// be.
fn on_line(
    f: &PointFacts,
    side: Side,
    ended: Answer,
    (wing, lane): (Wing, Lane),
    also: Answer,
) -> Option<Answer> {
    let s = last(f, side);
    let asked = s.map_or(Answer::Unknown, |s| is(s.wing, wing).and(is_asked(s, lane)));
    among(ended.and(asked), || s.map_or(Answer::Unknown, |s| goes(s, lane)).and(also))
}

/// Whether each of this side's shots, serves not among them, counts: by where it landed or, missed, was aimed. Where not every shot
/// of the point was logged, there may be more: then the point itself is of unknown answer, without a shot.
pub(super) fn shots(
    wing: Wing,
    lane: Lane,
    f: &PointFacts,
    side: Side,
) -> impl Iterator<Item = (Option<usize>, Answer)> {
    let told = own(f, side).filter_map(move |(n, s)| {
        among(is(s.wing, wing).and(is_asked(s, lane)), || goes(s, lane)).map(|a| (Some(n), a))
    });
    let more = (f.length.is_none() && !nothing_more(f, side)).then_some((None, Answer::Unknown));
    told.chain(more)
}

/// The shots of this side, without serves.
fn own(f: &PointFacts, side: Side) -> impl Iterator<Item = (usize, &ShotFacts)> {
    f.shots.iter().enumerate().skip(usize::from(!f.joined_late)).filter(move |(_, s)| s.by == Some(side))
}

/// Whether this side struck nothing that was not logged: after a serve that did not come back there is at most the return.
fn nothing_more(f: &PointFacts, side: Side) -> bool {
    f.unreturned == Some(true) && (f.shots.len() > 1 || f.server == Some(side))
}

/// The shot that this side missed, if it did.
pub(super) fn missed(f: &PointFacts, side: Side) -> Option<&ShotFacts> {
    own(f, side).map(|(_, s)| s).find(|s| s.missed == Some(true))
}

/// The answer among those that are among; unknown when that is not known, none when it is not.
fn among(whether: Answer, answer: impl FnOnce() -> Answer) -> Option<Answer> {
    match whether {
        Answer::No => None,
        Answer::Unknown => Some(Answer::Unknown),
        Answer::Yes => Some(answer()),
    }
}

pub(super) fn is<T: PartialEq + Copy>(found: Option<T>, wanted: T) -> Answer {
    found.map(|x| x == wanted).into()
}

/// Whether a game ended with it. A tie-break is no game that is held or broken.
fn ends_game(f: &PointFacts) -> Answer {
    let (Some(server), Some(winner)) = (f.server, f.winner) else {
        let could = Answer::from(f.game_point).or(f.break_point.into());
        return could.and(Answer::Unknown);
    };
    if winner == server { f.game_point.into() } else { f.break_point.into() }
}

/// Whether the side ended it in one of these ways.
fn ended(f: &PointFacts, side: Side, ways: &[Finish]) -> Answer {
    let so = Answer::any(ways.iter().map(|way| f.ended(*way).into()));
    // Of a serve that did not come back only the receiver can have made the error.
    let erred = ways.iter().all(|w| matches!(w, Finish::ForcedError | Finish::UnforcedError));
    let receiver = f.server.map(Side::other).filter(|_| erred && f.unreturned == Some(true));
    so.and(is(f.finish_by.or(receiver), side))
}

/// Whether a serve of this number was struck. A second one is not when the first is in.
fn struck(f: &PointFacts, n: u8) -> Answer {
    if n == 1 { Answer::Yes } else { f.serve.map(|s| s == 2).into() }
}

/// The last shot, if it is known to be this side's.
fn last(f: &PointFacts, side: Side) -> Option<&ShotFacts> {
    f.shots.get(f.length?.checked_sub(1)?).filter(|s| s.by == Some(side))
}

/// Whether it landed in the middle third or, missed, was aimed there. That is known more often than a line to a side, which needs the side from which
/// it was struck: counted among those whose line is known, the middle would seem to be played more than it is.
fn to_middle(s: &ShotFacts) -> Option<bool> {
    match (s.lane.map(|l| l.value), s.direction) {
        (Some(lane), _) => Some(lane == Lane::Middle),
        (None, column) => column.map(|c| c == Column::Middle),
    }
}

/// Whether the shot is among those of which the line is asked: the middle of all, the other lines of those to a side.
fn is_asked(s: &ShotFacts, lane: Lane) -> Answer {
    if lane == Lane::Middle { Answer::Yes } else { to_middle(s).map(|middle| !middle).into() }
}

fn goes(s: &ShotFacts, lane: Lane) -> Answer {
    if lane == Lane::Middle { to_middle(s).into() } else { is(s.lane.map(|l| l.value), lane) }
}

/// Whether it had so many shots.
fn has_length(f: &PointFacts, band: Band) -> Answer {
    match (f.length, Band::within(&f.lengths())) {
        (Some(0), _) => Answer::No,
        (_, known) => is(known, band),
    }
}

/// Whether the side came to the net behind a shot, struck one there, or a volley or an overhead.
fn at_net(f: &PointFacts, side: Side) -> Answer {
    let one = |n: usize, s: &ShotFacts| {
        let serve = n == 0 && !f.joined_late;
        let came: Answer = match (serve, s.approach) {
            // Nobody noted it of a serve that was not answered: an ace is no net point.
            (true, None) if f.length == Some(1) || f.unreturned == Some(true) => Answer::No,
            (_, came) => came.into(),
        };
        let volley = Answer::from(s.stroke.map(|s| matches!(s, Stroke::Volley | Stroke::Overhead)));
        came.or(if serve { Answer::No } else { volley.or(s.at_net.into()) })
    };
    let theirs = f.shots.iter().enumerate().filter(|(_, s)| s.by == Some(side));
    let seen = Answer::any(theirs.map(|(n, s)| one(n, s)));
    let more = f.length.is_none() && f.unreturned != Some(true);
    let unseen = more || f.shots.iter().any(|s| s.by.is_none());
    seen.or(if unseen { Answer::Unknown } else { Answer::No })
}
