//! Lengths that follow from measured places: how far somebody stands from where, and how far they moved, with their error.

use super::at::At;
use super::balls::Balls;
use crate::tennis::court::HALF_LENGTH;

/// A measured length in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metric {
    /// The length; negative the other way.
    pub metres: f32,
    /// How far off it may be, with 95 %; nothing where no error is known.
    pub off: f32,
}

impl Metric {
    fn new(metres: f64, off: f64) -> Self {
        Self { metres: metres as f32, off: off as f32 }
    }

    /// Whether it is so long or longer; unknown if the error reaches over that.
    pub fn at_least(self, metres: f32) -> Option<bool> {
        let (least, most) = (self.metres - self.off >= metres, self.metres + self.off >= metres);
        (least == most).then_some(least)
    }

    /// With its error: `1.11 ± 0.12 m`.
    pub fn words(self) -> String {
        if self.off > 0.0 {
            format!("{:.2} ± {:.2} m", self.metres, self.off)
        } else {
            format!("{:.2} m", self.metres)
        }
    }
}

/// What is measured of a shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Length {
    /// How far behind the baseline the striker stands.
    Behind,
    /// How far behind the baseline the opponent stands.
    OpponentBehind,
    /// How far from the net the striker stands.
    FromNet,
    /// How far from the middle of the court's width the opponent stands.
    OpponentFromMiddle,
    /// How far the opponent has moved away from where it lands.
    OpponentAway,
    /// How far from the net it lands.
    Lands,
    /// How far sideways the opponent moves from there to their own strike.
    Displaces,
    /// How much farther behind the opponent strikes it than their shot before.
    PushesBack,
    /// How far from the middle of the court's width the striker is when the opponent strikes.
    Recovers,
}

impl Length {
    /// Every one.
    pub const ALL: [Self; 9] = [
        Self::Behind,
        Self::OpponentBehind,
        Self::FromNet,
        Self::OpponentFromMiddle,
        Self::OpponentAway,
        Self::Lands,
        Self::Displaces,
        Self::PushesBack,
        Self::Recovers,
    ];

    /// In words, of a length that is written already: `opponent 1.61 m behind the baseline`.
    pub fn said(self, length: &str) -> String {
        match self {
            Self::Behind => format!("{length} behind the baseline"),
            Self::OpponentBehind => format!("opponent {length} behind the baseline"),
            Self::FromNet => format!("{length} from the net"),
            Self::OpponentFromMiddle => format!("opponent {length} from the middle"),
            Self::OpponentAway => format!("opponent moved {length} away from where it lands"),
            Self::Lands => format!("lands {length} from the net"),
            Self::Displaces => format!("moves the opponent {length} sideways"),
            Self::PushesBack => format!("pushes the opponent back by {length}"),
            Self::Recovers => format!("striker then recovers to {length} from the middle"),
        }
    }

    /// What was measured, with its error, in words.
    pub fn measured(self, metric: Metric) -> String {
        let length = Metric { metres: metric.metres.abs(), ..metric }.words();
        match self {
            _ if metric.metres >= 0.0 => self.said(&length),
            Self::Behind => format!("{length} inside the baseline"),
            Self::OpponentBehind => format!("opponent {length} inside the baseline"),
            Self::OpponentAway => format!("opponent moved {length} toward where it lands"),
            Self::PushesBack => format!("brings the opponent in by {length}"),
            other => other.said(&length),
        }
    }
}

/// The lengths of a shot, those that were measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lengths([Option<Metric>; Length::ALL.len()]);

impl Lengths {
    /// One of them.
    pub fn of(&self, length: Length) -> Option<Metric> {
        self.0[length as usize]
    }
}

impl Balls<'_> {
    /// The lengths of each shot; nothing if none is known.
    pub(super) fn lengths(&self, shots: usize) -> Vec<Lengths> {
        let all: Vec<_> =
            (0..shots).map(|n| Lengths(Length::ALL.map(|length| self.measured(length, n)))).collect();
        if all.iter().all(|l| *l == Lengths::default()) { Vec::new() } else { all }
    }

    fn measured(&self, length: Length, n: usize) -> Option<Metric> {
        let next = n + 1;
        match length {
            Length::Behind => self.stood(n, n).map(behind),
            Length::OpponentBehind => self.stood(next, n).map(behind),
            Length::FromNet => self.stood(n, n).map(from_net),
            Length::OpponentFromMiddle => self.stood(next, n).map(from_middle),
            Length::OpponentAway => {
                let ((was, is), to) = self.before_and_at(n)?.one().zip(self.lands_near(n))?;
                let (dx, dy) = ((to.value.x - is.spot.x).0, (to.value.y - is.spot.y).0);
                let far = dx.hypot(dy).max(1e-6);
                let (x, y) = (-dx / far, -dy / far);
                let moved = (is.spot.x - was.spot.x).0 * x + (is.spot.y - was.spot.y).0 * y;
                let off = (x * was.sideways().hypot(is.sideways()))
                    .hypot(y * was.lengthways().hypot(is.lengthways()));
                Some(Metric::new(moved, off))
            }
            Length::Lands => self.landing(n).map(from_net),
            Length::Displaces => {
                let (was, is) = self.moves(next, n, next)?.one()?;
                let moved = (is.spot.x - was.spot.x).0.abs();
                Some(Metric::new(moved, is.sideways().hypot(was.sideways())))
            }
            Length::PushesBack => {
                let (was, is) = self.moves(next, n.checked_sub(1)?, next)?.one()?;
                let back = (is.spot.y.abs() - was.spot.y.abs()).0;
                Some(Metric::new(back, is.lengthways().hypot(was.lengthways())))
            }
            Length::Recovers => self.stood(n, next).map(from_middle),
        }
    }

    /// Where the striker of shot `whose` stood at shot `n`; unknown in doubles if it is not known which of the pair that is.
    fn stood(&self, whose: usize, n: usize) -> Option<At> {
        self.stands(whose, n)?.one()
    }
}

fn behind(at: At) -> Metric {
    Metric::new((at.spot.y.abs() - HALF_LENGTH).0, at.lengthways())
}

fn from_net(at: At) -> Metric {
    Metric::new(at.spot.y.abs().0, at.lengthways())
}

fn from_middle(at: At) -> Metric {
    Metric::new(at.spot.x.abs().0, at.sideways())
}
