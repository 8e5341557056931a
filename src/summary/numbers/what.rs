//! The numbers that are asked, with their words.

use std::fmt;

use crate::facts::{Band, Lane};
use crate::tennis::CourtSide;
use crate::tennis::stroke::{Miss, ServeTo, Wing};

/// What a group of numbers is about, in the order of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// Points won.
    Points,
    /// The player's serve.
    Serve,
    /// The opponent's serve.
    Return,
    /// Games and break points.
    Games,
    /// How points ended.
    Endings,
    /// Points by how many shots were struck.
    Rally,
    /// Where serves went.
    Directions,
    /// Errors in the rally by wing.
    Errors,
    /// Errors in the rally by wing, by the line on which the shot was aimed, and by how it missed.
    ErrorLines,
    /// Winners by wing and line.
    Winners,
    /// Shots by wing and line.
    Lines,
}

impl Topic {
    /// In words, over its numbers.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Points => "points",
            Self::Serve => "serve",
            Self::Return => "return",
            Self::Games => "games and break points",
            Self::Endings => "how points ended",
            Self::Rally => "points won by length of the rally",
            Self::Directions => "serve directions, in or out",
            Self::Errors => "errors in the rally: net, long or wide",
            Self::ErrorLines => "errors in the rally by line, where the aim was logged",
            Self::Winners => "winners by direction, without aces",
            Self::Lines => "directions of shots, in or out, without serves",
        }
    }
}

/// One number that is asked of each player.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Number {
    /// Points won, of all.
    PointsWon,
    /// The most points won one after another.
    MostInARow,
    /// The most shots in a point that was won.
    LongestRally,
    /// First serves in, of all points served.
    FirstServesIn,
    /// Aces, of all points served.
    Aces,
    /// Double faults, of all points served.
    DoubleFaults,
    /// Points won on this serve, of those that it started; a double fault is a lost second serve.
    WonOnServe(u8),
    /// Points won, of those served.
    ServiceWon,
    /// Points won, of those that the opponent served.
    ReturnWon,
    /// Points won, of those that this serve of the opponent started.
    ReturnWonOn(u8),
    /// Games won, of those served to their end; tie-breaks are none.
    GamesHeld,
    /// Games won, of those that the opponent served to their end.
    GamesBroken,
    /// Break points won, of those served.
    BreakPointsSaved,
    /// Break points won, of those that the opponent served.
    BreakPointsConverted,
    /// Points ended by a winner, aces not among them, of all.
    Winners,
    /// Points ended by an own error under pressure, of all.
    ForcedErrors,
    /// Points ended by an own error without pressure, double faults not among them, of all.
    UnforcedErrors,
    /// Points won, of those in which the player came to the net behind a shot, struck one there, or a volley or an overhead.
    NetPoints,
    /// Points won, of those with so many shots.
    WonByLength(Band),
    /// Serves there, of those of this number to this court whose direction is known.
    ServeDirection(u8, CourtSide, ServeTo),
    /// Errors by this wing that missed so, of the player's errors in the rally by this wing whose way of missing is known.
    Errors(Wing, Miss),
    /// Errors by this wing, aimed on this line, that missed so: to the middle, of all the player's errors by this wing; else of those
    /// to a side.
    ErrorsOn(Wing, Lane, Miss),
    /// Winners by this wing on this line: to the middle, of all the player's winners by this wing; else of those to a side.
    WinnersBy(Wing, Lane),
    /// Shots by this wing on this line, serves not among them, landed or, missed, aimed there: to the middle, of all its shots whose
    /// direction is known; else of those to a side.
    Lines(Wing, Lane),
}

const MISSES: [Miss; 3] = [Miss::Net, Miss::Long, Miss::Wide];
const COURTS: [CourtSide; 2] = [CourtSide::Deuce, CourtSide::Ad];

/// The middle first: it is asked of all shots.
const LINES: [Lane; 5] = [Lane::Middle, Lane::CrossCourt, Lane::DownTheLine, Lane::InsideOut, Lane::InsideIn];

/// Either wing with every line on which it can strike: only a forehand is run round for.
fn lines() -> impl Iterator<Item = (Wing, Lane)> {
    let all = [Wing::Forehand, Wing::Backhand].into_iter();
    let inside = |lane| matches!(lane, Lane::InsideOut | Lane::InsideIn);
    all.flat_map(|wing| LINES.map(|lane| (wing, lane)))
        .filter(move |(wing, lane)| *wing == Wing::Forehand || !inside(*lane))
}

impl Number {
    /// All of them, in the order of the table.
    pub fn all() -> Vec<Self> {
        let mut all = vec![
            Self::PointsWon,
            Self::MostInARow,
            Self::LongestRally,
            Self::FirstServesIn,
            Self::Aces,
            Self::DoubleFaults,
            Self::WonOnServe(1),
            Self::WonOnServe(2),
            Self::ServiceWon,
            Self::ReturnWon,
            Self::ReturnWonOn(1),
            Self::ReturnWonOn(2),
            Self::GamesHeld,
            Self::GamesBroken,
            Self::BreakPointsSaved,
            Self::BreakPointsConverted,
            Self::Winners,
            Self::ForcedErrors,
            Self::UnforcedErrors,
            Self::NetPoints,
        ];
        all.extend(Band::WORDS.map(|(_, band)| Self::WonByLength(band)));
        for (serve, court) in [1, 2].into_iter().flat_map(|n| COURTS.map(|court| (n, court))) {
            all.extend(ServeTo::WORDS.map(|(_, to)| Self::ServeDirection(serve, court, to)));
        }
        let wings = [Wing::Forehand, Wing::Backhand];
        all.extend(wings.into_iter().flat_map(|wing| MISSES.map(|miss| Self::Errors(wing, miss))));
        all.extend(lines().flat_map(|(wing, lane)| MISSES.map(|miss| Self::ErrorsOn(wing, lane, miss))));
        all.extend(lines().map(|(wing, lane)| Self::WinnersBy(wing, lane)));
        all.extend(lines().map(|(wing, lane)| Self::Lines(wing, lane)));
        all
    }

    /// Whether it is known more often that a point is not among them than that it is: the shots tell how a point did not end, and only
    /// who logs it how it did.
    pub(super) const fn leans(self) -> bool {
        matches!(
            self,
            Self::Aces | Self::DoubleFaults | Self::Winners | Self::ForcedErrors | Self::UnforcedErrors
        )
    }

    /// Whether it asks which serve was in.
    pub(super) const fn is_by_serve(self) -> bool {
        matches!(self, Self::FirstServesIn | Self::WonOnServe(_) | Self::ReturnWonOn(_))
    }

    /// What it is about.
    pub const fn topic(self) -> Topic {
        match self {
            Self::PointsWon | Self::MostInARow | Self::LongestRally => Topic::Points,
            Self::FirstServesIn
            | Self::Aces
            | Self::DoubleFaults
            | Self::WonOnServe(_)
            | Self::ServiceWon => Topic::Serve,
            Self::ReturnWon | Self::ReturnWonOn(_) => Topic::Return,
            Self::GamesHeld | Self::GamesBroken | Self::BreakPointsSaved | Self::BreakPointsConverted => {
                Topic::Games
            }
            Self::Winners | Self::ForcedErrors | Self::UnforcedErrors | Self::NetPoints => Topic::Endings,
            Self::WonByLength(_) => Topic::Rally,
            Self::ServeDirection(..) => Topic::Directions,
            Self::Errors(..) => Topic::Errors,
            Self::ErrorsOn(..) => Topic::ErrorLines,
            Self::WinnersBy(..) => Topic::Winners,
            Self::Lines(..) => Topic::Lines,
        }
    }
}

/// As a line of the table begins: `first serves in`.
impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let nth = |n: u8| if n == 1 { "first" } else { "second" };
        match *self {
            Self::PointsWon => f.write_str("points won"),
            Self::MostInARow => f.write_str("most points in a row"),
            Self::LongestRally => f.write_str("longest rally won, in shots"),
            Self::FirstServesIn => f.write_str("first serves in"),
            Self::Aces => f.write_str("aces"),
            Self::DoubleFaults => f.write_str("double faults"),
            Self::WonOnServe(n) => write!(f, "won on {} serve", nth(n)),
            Self::ServiceWon => f.write_str("service points won"),
            Self::ReturnWon => f.write_str("return points won"),
            Self::ReturnWonOn(n) => write!(f, "won against {} serve", nth(n)),
            Self::GamesHeld => f.write_str("service games held"),
            Self::GamesBroken => f.write_str("return games won (breaks)"),
            Self::BreakPointsSaved => f.write_str("break points saved"),
            Self::BreakPointsConverted => f.write_str("break points converted"),
            Self::Winners => f.write_str("winners, without aces"),
            Self::ForcedErrors => f.write_str("forced errors"),
            Self::UnforcedErrors => f.write_str("unforced errors, without double faults"),
            Self::NetPoints => f.write_str("net points won"),
            Self::WonByLength(band) => write!(f, "{} shots", band.range()),
            Self::ServeDirection(n, court, to) => {
                write!(f, "{} serve, {}: {}", nth(n), court.words(), to.words())
            }
            Self::Errors(wing, miss) => write!(f, "{}: {}", wing.words(), miss.words()),
            Self::ErrorsOn(wing, Lane::Middle, miss) => {
                write!(f, "{} to the middle: {}", wing.words(), miss.words())
            }
            Self::ErrorsOn(wing, lane, miss) => {
                write!(f, "{} to a side, {}: {}", wing.words(), lane.words(), miss.words())
            }
            Self::WinnersBy(wing, Lane::Middle) | Self::Lines(wing, Lane::Middle) => {
                write!(f, "{} to the middle", wing.words())
            }
            Self::WinnersBy(wing, lane) | Self::Lines(wing, lane) => {
                write!(f, "{} to a side: {}", wing.words(), lane.words())
            }
        }
    }
}
