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
    let (serves, returns) = (is(f.server, side), is(f.server, side.other()));
    match number {
        Number::PointsWon => Some(won()),
        Number::FirstServesIn => among(serves, || f.serve.map(|n| n == 1).into()),
        Number::Aces => among(serves, || f.finish.map(|x| x == Finish::Ace).into()),
        Number::DoubleFaults => among(serves, || f.finish.map(|x| x == Finish::DoubleFault).into()),
        Number::WonOnServe(n) => among(serves.and(is(f.serve, n)), won),
        Number::ServiceWon => among(serves, won),
        Number::ReturnWon => among(returns, won),
        Number::ReturnWonOn(n) => among(returns.and(is(f.serve, n)), won),
        Number::GamesHeld => among(serves.and(ends_game(f)), won),
        Number::GamesBroken => among(returns.and(ends_game(f)), won),
        Number::BreakPointsSaved => among(serves.and(f.break_point.into()), won),
        Number::BreakPointsConverted => among(returns.and(f.break_point.into()), won),
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

/// Whether an error of this side was of this wing and missed so.
fn error(f: &PointFacts, side: Side, wing: Wing, miss: Miss) -> Option<Answer> {
    let how = || last(f, side).and_then(|s| s.wing).zip(f.miss).map(|x| x == (wing, miss));
    among(ended(f, side, &[Finish::ForcedError, Finish::UnforcedError]), || how().into())
}

/// Whether the shot with which this side ended the point, if it did, was of this wing and on this line, and whatever else it
/// must be.
fn on_line(
    f: &PointFacts,
    side: Side,
    ended: Answer,
    (wing, lane): (Wing, Lane),
    also: Answer,
) -> Option<Answer> {
    let Some(s) = last(f, side) else { return among(ended, || Answer::Unknown.and(also)) };
    among(ended.and(is_asked(s, lane)), || is(s.wing, wing).and(goes(s, lane)).and(also))
}

/// Whether each of this side's shots that landed, serves not among them, counts. Where not every shot of the point was
/// logged, there may be more: then the point itself is of unknown answer, without a shot.
pub(super) fn shots(
    wing: Wing,
    lane: Lane,
    f: &PointFacts,
    side: Side,
) -> impl Iterator<Item = (Option<usize>, Answer)> {
    let theirs = f.shots.iter().enumerate().skip(1).filter(move |(_, s)| s.by == Some(side));
    let landed = theirs.filter(|(_, s)| s.missed != Some(true));
    let told = landed.filter_map(move |(n, s)| {
        among(is(s.wing, wing).and(is_asked(s, lane)), || goes(s, lane)).map(|a| (Some(n), a))
    });
    let more = f.length.is_none().then_some((None, Answer::Unknown));
    told.chain(more)
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
    match f.finish {
        None => Answer::Unknown,
        Some(finish) if !ways.contains(&finish) => Answer::No,
        Some(_) => is(f.finish_by, side),
    }
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

/// Whether it had so many shots. Where not every shot was logged, it had at least those that were.
fn has_length(f: &PointFacts, band: Band) -> Answer {
    match (f.length, Band::of(f.shots.len())) {
        (Some(n), _) => (Band::of(n) == Some(band)).into(),
        (None, Some(Band::Long)) => (band == Band::Long).into(),
        (None, _) => Answer::Unknown,
    }
}

/// Whether the side came to the net behind a shot, struck one there, or a volley or an overhead.
fn at_net(f: &PointFacts, side: Side) -> Answer {
    let one = |n: usize, s: &ShotFacts| {
        let came: Answer = match (n, s.approach) {
            // Nobody noted it of a serve that was not answered: an ace is no net point.
            (0, None) if f.length == Some(1) => Answer::No,
            (_, came) => came.into(),
        };
        let volley = Answer::from(s.stroke.map(|s| matches!(s, Stroke::Volley | Stroke::Overhead)));
        came.or(if n == 0 { Answer::No } else { volley.or(s.at_net.into()) })
    };
    let theirs = f.shots.iter().enumerate().filter(|(_, s)| s.by == Some(side));
    let seen = Answer::any(theirs.map(|(n, s)| one(n, s)));
    let unseen = f.length.is_none() || f.shots.iter().any(|s| s.by.is_none());
    seen.or(if unseen { Answer::Unknown } else { Answer::No })
}
