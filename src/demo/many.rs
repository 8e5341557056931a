//! Points of several invented matches in one file of footage, as a coach collects them: some are joined in mid-rally, some are left
//! before their end, and what is hidden so is not in the truth either.

use std::ops::ControlFlow;
use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::camera_work::CameraWork;
use super::dice::Dice;
use super::edited::{self, AFTER, BEFORE, Piece};
use super::film::{self, Progress};
use super::play::{self, Match, Wanted};
use super::shoot::{Reel, moments};
use super::truth::{Ending, File, Player, Point, Strike};
use super::wish::{self, Demo, DemoError};
use crate::tennis::{CourtSide, End, Side};
use crate::time::{MatchTime, Span};

/// What `format` says in the truth file of points of many matches.
pub const FORMAT: &str = "changeover-truth-of-points";
/// The name of every file, before its kind.
const NAME: &str = "many-matches";
/// Points of each match, if it has as many.
const EACH: usize = 4;
/// A point is joined or left between two strikes that are at least this long apart, nanoseconds.
const GAP: u64 = 400_000_000;

/// Who plays in each match, and at which event: all invented. Some play in two of them.
const MATCHES: [([&str; 2], &str); 8] = [
    (["Holt", "Okafor"], "club championship, semi-final"),
    (["Marsh", "Ilves"], "club championship, first round"),
    (["Quade", "Holt"], "spring open, second round"),
    (["Sorel", "Tindall"], "spring open, final"),
    (["Ilves", "Vane"], "team day"),
    (["Pell", "Larkin"], "team day"),
    (["Okafor", "Marsh"], "autumn cup, semi-final"),
    (["Dunmore", "Abara"], "autumn cup, final"),
];

/// How many matches there can be.
pub const MOST: u32 = MATCHES.len() as u32;

/// The truth of footage with points of several invented matches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PointsTruth {
    /// Always `changeover-truth-of-points`.
    pub format: String,
    /// Version of this layout: 1.
    pub version: u32,
    /// The number that the first match was made from; the next match is made from the next number.
    pub number: u64,
    /// Everybody who plays.
    pub people: Vec<Player>,
    /// The file.
    pub files: Vec<File>,
    /// The times of the first frames after each cut.
    pub cuts: Vec<MatchTime>,
    /// The points, in order.
    pub points: Vec<SeenPoint>,
}

/// One point, as far as the footage shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SeenPoint {
    /// Number in the footage, from 1.
    pub number: u32,
    /// Names of side A and side B.
    pub players: [String; 2],
    /// The event.
    pub event: String,
    /// From the strike of the first serve, or the first frame of a point joined late, to the moment the last ball lands or meets the
    /// net, or the last frame of a point left early.
    pub span: Span,
    /// Whether the footage joins the point in mid-rally.
    pub joined_late: bool,
    /// Whether the footage leaves the point before its end.
    pub left_early: bool,
    /// Who serves; null if the point was joined late.
    pub server: Option<Side>,
    /// The court that is served from; null if the point was joined late.
    pub court_side: Option<CourtSide>,
    /// The end at which the server stands; null if the point was joined late.
    pub server_end: Option<End>,
    /// The score of the game as called before the point, server first; null if the point was joined late.
    pub called: Option<String>,
    /// Every strike that is seen, in order. In a point joined late `shot` is null, because nobody saw how many there were before.
    pub strikes: Vec<Strike>,
    /// Who won it; null if it was left early.
    pub winner: Option<Side>,
    /// How it ended; null if it was left early.
    pub ending: Option<Ending>,
}

/// Which part of a point is seen.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    Whole,
    Joined,
    Left,
    Middle,
}

impl Part {
    /// Of the point with this number in the footage, from 0.
    const fn of(n: usize) -> Self {
        match n % 7 {
            1 | 6 => Self::Joined,
            3 => Self::Left,
            5 => Self::Middle,
            _ => Self::Whole,
        }
    }

    const fn joined(self) -> bool {
        matches!(self, Self::Joined | Self::Middle)
    }

    const fn left(self) -> bool {
        matches!(self, Self::Left | Self::Middle)
    }
}

/// A point that is shown: of which match, which part, and from when to when, nanoseconds on the clock of its match.
struct Take<'a> {
    game: usize,
    point: &'a Point,
    part: Part,
    from: u64,
    to: u64,
}

/// The pauses between two strikes after the ball has landed, in which footage can begin or end: the middle of each.
fn gaps(point: &Point) -> Vec<u64> {
    let rally = point.strikes.iter().filter(|s| s.shot.is_some());
    let next = rally.clone().skip(1);
    let pairs = rally.zip(next).map(|(s, next)| (s.fate_time.nanos(), next.time.nanos()));
    pairs.filter(|(landed, struck)| *struck >= landed + GAP).map(|(l, s)| l.midpoint(s)).collect()
}

/// From when to when this part of a point is shown; `None` if the rally is too short for that.
fn shown(point: &Point, part: Part) -> Option<(u64, u64)> {
    let gaps = gaps(point);
    let from = if part.joined() { *gaps.first()? } else { point.span.start().nanos().saturating_sub(BEFORE) };
    let to = if part.left() { *gaps.last()? } else { point.span.end().nanos() + AFTER };
    // Two strikes at least.
    let seen = point.strikes.iter().filter(|s| (from..to).contains(&s.time.nanos())).count();
    (part == Part::Whole || seen >= 2).then_some((from, to))
}

/// The points that are shown of each match, spread over it.
fn takes(games: &[Match]) -> Vec<Take<'_>> {
    let mut takes: Vec<Take<'_>> = Vec::new();
    for (game, played) in games.iter().enumerate() {
        let mut next = 0;
        for n in 0..EACH {
            let part = Part::of(takes.len());
            let from = next.max(n * played.points.len() / EACH);
            let fits = |(i, point): (usize, &Point)| Some((i, shown(point, part)?));
            let found = (from..).zip(played.points.iter().skip(from)).find_map(fits);
            let Some((i, (from, to))) = found else { continue };
            takes.push(Take { game, point: &played.points[i], part, from, to });
            next = i + 1;
        }
    }
    takes
}

/// The pieces of the footage, one for each point, and its frames.
fn pieces(demo: &Demo, takes: &[Take<'_>]) -> (Vec<Piece>, Vec<u64>) {
    let length = takes.iter().map(|t| t.to - t.from + 200_000_000).sum();
    let mut moments = moments(demo.rate, length, &mut Dice::new(demo.number, 2));
    let (mut pieces, mut next) = (Vec::new(), 0);
    for take in takes {
        let shown = moments[next];
        pieces.push(Piece { game: take.game, shown, played: take.from });
        let ends = shown + (take.to - take.from);
        let after = moments.partition_point(|m| *m < ends).min(moments.len() - 1);
        // A point that is left ends before the next strike, and one that is not is seen to its end.
        next = if take.part.left() { after.saturating_sub(1).max(next + 1) } else { after };
    }
    moments.truncate(next + 1);
    (pieces, moments)
}

/// What is seen of a point in a piece of the footage whose last frame is shown at `end`.
fn seen(number: usize, take: &Take<'_>, piece: &Piece, end: u64) -> SeenPoint {
    let point = edited::moved(take.point, piece);
    let (joined, left) = (take.part.joined(), take.part.left());
    let first = if joined { MatchTime::from_nanos(piece.shown) } else { point.span.start() };
    let last = if left { MatchTime::from_nanos(end) } else { point.span.end() };
    let mut strikes = point.strikes;
    strikes.retain(|s| (first..last).contains(&s.time));
    if joined {
        for strike in &mut strikes {
            strike.shot = None;
        }
    }
    let (players, event) = MATCHES[take.game];
    SeenPoint {
        number: number as u32 + 1,
        players: players.map(str::to_owned),
        event: event.to_owned(),
        span: Span::lasting(first, last - first),
        joined_late: joined,
        left_early: left,
        server: Some(point.server).filter(|_| !joined),
        court_side: Some(point.court_side).filter(|_| !joined),
        server_end: Some(point.server_end).filter(|_| !joined),
        called: Some(point.score.called).filter(|_| !joined),
        strikes,
        winner: Some(point.winner).filter(|_| !left),
        ending: Some(point.ending).filter(|_| !left),
    }
}

/// Everybody who plays, each once.
fn people(matches: usize) -> Vec<Player> {
    let mut people: Vec<Player> = Vec::new();
    for (names, _) in &MATCHES[..matches] {
        for (name, shirt) in names.iter().zip(["plain blue", "orange with white stripes"]) {
            if people.iter().all(|p| p.name != *name) {
                people.push(Player {
                    name: (*name).to_owned(),
                    hand: "right".to_owned(),
                    shirt: shirt.to_owned(),
                });
            }
        }
    }
    people
}

fn check(demo: &Demo, matches: u32) -> Result<(), DemoError> {
    wish::check(demo)?;
    let wish = |what: String, allowed: String| Err(DemoError::Wish { what, allowed });
    if !(1..=MOST).contains(&matches) {
        return wish(format!("points of {matches} matches"), format!("1 to {MOST} are allowed"));
    }
    if demo.files != 1 || demo.cut || demo.camera != CameraWork::Still {
        return wish(
            "points of many matches in several files, or with a moving camera".to_owned(),
            "leave out --files, --cut and --camera".to_owned(),
        );
    }
    Ok(())
}

/// The matches, from as many numbers.
fn games(demo: &Demo, matches: u32) -> Vec<Match> {
    let wanted = |i| Wanted {
        number: demo.number.wrapping_add(u64::from(i)),
        games: demo.games,
        points: demo.points,
        brisk: demo.brisk,
    };
    (0..matches).map(|i| play::play(&wanted(i))).collect()
}

fn plan(demo: &Demo, games: &[Match]) -> (Reel, PointsTruth) {
    let takes = takes(games);
    let (pieces, moments) = pieces(demo, &takes);
    let end = moments.last().copied().unwrap_or(0);
    let after = pieces.iter().skip(1).map(|p| p.shown).chain([end]);
    let ends = after.map(|end| moments[moments.partition_point(|m| *m < end).saturating_sub(1)]);
    let points = takes.iter().zip(pieces.iter().zip(ends)).enumerate();
    let points = points.map(|(n, (take, (piece, end)))| seen(n, take, piece, end)).collect();
    let reel = Reel { start: 0, moments, pieces };
    let truth = PointsTruth {
        format: FORMAT.to_owned(),
        version: 1,
        number: demo.number,
        people: people(games.len()),
        files: vec![film::file(demo, &film::name(demo, NAME, None), &reel)],
        cuts: edited::cuts(&reel.pieces),
        points,
    };
    (reel, truth)
}

/// The truth of points of this many matches, without making the footage.
///
/// # Errors
/// [`DemoError::Wish`] for what cannot be met.
pub fn points_truth(demo: &Demo, matches: u32) -> Result<PointsTruth, DemoError> {
    check(demo, matches)?;
    Ok(plan(demo, &games(demo, matches)).1)
}

/// Makes footage with points of this many matches, and its truth file, in a folder, which is created when needed, until `progress`
/// says that it is enough.
///
/// # Errors
/// [`DemoError`], with nothing half-written left; [`DemoError::Stopped`] when it was enough.
pub fn make_points(
    demo: &Demo,
    matches: u32,
    folder: &Path,
    progress: &mut Progress<'_>,
) -> Result<PointsTruth, DemoError> {
    check(demo, matches)?;
    let games = games(demo, matches);
    let (reel, truth) = plan(demo, &games);
    let named = format!("{NAME}.truth.json");
    film::nothing_there(&truth.files, &[&named], folder)?;
    film::shoot_all(demo, &games, &[reel], &truth.files, folder, progress)?;
    film::write_json(&truth, &folder.join(named))?;
    Ok(truth)
}

/// As [`make_points`], to the end.
///
/// # Errors
/// [`DemoError`], with nothing half-written left.
pub fn make_all_points(demo: &Demo, matches: u32, folder: &Path) -> Result<PointsTruth, DemoError> {
    make_points(demo, matches, folder, &mut |_, _| ControlFlow::Continue(()))
}

/// The same points with nothing hidden, for tests.
#[cfg(test)]
pub(crate) fn whole_points(demo: &Demo, matches: u32) -> Vec<Point> {
    let games = games(demo, matches);
    let takes = takes(&games);
    let (pieces, _) = pieces(demo, &takes);
    takes.iter().zip(&pieces).map(|(take, piece)| edited::moved(take.point, piece)).collect()
}

#[cfg(test)]
#[path = "many_tests.rs"]
mod tests;
