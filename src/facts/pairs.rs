//! Doubles: whose place a fact of a shot is about. The score tells who serves and who receives; of a later shot it is not known which
//! of the pair strikes it, so a fact is known only if it is the same for both.

use super::at::At;
use crate::record::Touch;
use crate::tennis::Side;
use crate::tennis::pair::Partner;

/// In doubles, who of the one pair serves and who of the other receives, as far as that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Pairs {
    /// Who of the pair serves.
    pub server: Option<Partner>,
    /// Who of the other pair receives.
    pub receiver: Option<Partner>,
}

/// The feet of those who may strike a shot: of one player, or of both of a pair.
#[derive(Debug, Clone, Copy)]
pub(super) struct Strikers([Option<Touch>; 2]);

impl Strikers {
    /// Of a side; in doubles of this one of the pair, or of both if it is not known which.
    pub(super) const fn of(side: Side, doubles: bool, known: Option<Partner>) -> Self {
        match known {
            Some(_) if doubles => Self([Some(Touch::feet(side, known)), None]),
            _ if doubles => Self([
                Some(Touch::feet(side, Some(Partner::First))),
                Some(Touch::feet(side, Some(Partner::Second))),
            ]),
            _ => Self([Some(Touch::feet(side, None)), None]),
        }
    }

    /// Whether it is known who of the side strikes.
    pub(super) const fn is_one(self) -> bool {
        self.0[1].is_none()
    }

    /// Something of each of them.
    pub(super) fn each<T>(self, of: impl Fn(Touch) -> Option<T>) -> Each<T> {
        let all = usize::from(self.0[0].is_some()) + usize::from(self.0[1].is_some());
        let known: Vec<T> = self.0.into_iter().flatten().filter_map(of).collect();
        Each { whole: known.len() == all, known }
    }
}

/// What is known of those who may strike a shot.
#[derive(Debug, Clone)]
pub(super) struct Each<T> {
    known: Vec<T>,
    /// Whether it is known of all of them.
    whole: bool,
}

impl<T> Each<T> {
    /// `None` if nothing is known of any of them.
    pub(super) fn some(self) -> Option<Self> {
        (!self.known.is_empty()).then_some(self)
    }

    /// What is so of all of them; unknown if it is not known of one, or they differ.
    pub(super) fn agreed<U: PartialEq>(&self, of: impl Fn(&T) -> Option<U>) -> Option<U> {
        let mut said = self.known.iter().map(of);
        let first = said.next().filter(|_| self.whole)??;
        said.all(|other| other.as_ref() == Some(&first)).then_some(first)
    }

    /// Of the only one who may strike it.
    pub(super) fn one(mut self) -> Option<T> {
        self.known.pop().filter(|_| self.whole && self.known.is_empty())
    }
}

impl Each<At> {
    /// What is so at the place of each of them, and anywhere within its error.
    pub(super) fn sure<U: PartialEq>(&self, of: impl Fn(crate::tennis::court::Spot) -> U) -> Option<U> {
        self.agreed(|at| at.sure(&of))
    }
}
