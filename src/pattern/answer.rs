//! Three-valued answers.

use std::ops::Not;

use schemars::JsonSchema;
use serde::Serialize;

/// Whether something holds of a point. Unknown is never no (Kleene's strong logic of three values).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Answer {
    /// It does not.
    No,
    /// The record does not say.
    Unknown,
    /// It does.
    Yes,
}

impl Answer {
    /// As printed: `yes`, `no`, `unknown`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::No => "no",
            Self::Unknown => "unknown",
            Self::Yes => "yes",
        }
    }

    /// Both: no as soon as one is no, unknown as long as one is unknown.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::No, _) | (_, Self::No) => Self::No,
            (Self::Yes, Self::Yes) => Self::Yes,
            _ => Self::Unknown,
        }
    }

    /// Either: yes as soon as one is yes, unknown as long as one is unknown.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        !(!self).and(!other)
    }

    /// Whether all are yes. No answers at all: yes.
    pub fn all(answers: impl IntoIterator<Item = Self>) -> Self {
        let mut all = Self::Yes;
        for answer in answers {
            match answer {
                // Nothing after it can change that: what is asked of every shot of every point stops here.
                Self::No => return Self::No,
                Self::Unknown => all = Self::Unknown,
                Self::Yes => {}
            }
        }
        all
    }

    /// Whether at least one is yes. No answers at all: no.
    pub fn any(answers: impl IntoIterator<Item = Self>) -> Self {
        !Self::all(answers.into_iter().map(|a| !a))
    }
}

impl Not for Answer {
    type Output = Self;

    fn not(self) -> Self {
        match self {
            Self::No => Self::Yes,
            Self::Unknown => Self::Unknown,
            Self::Yes => Self::No,
        }
    }
}

impl From<bool> for Answer {
    fn from(b: bool) -> Self {
        if b { Self::Yes } else { Self::No }
    }
}

impl From<Option<bool>> for Answer {
    fn from(b: Option<bool>) -> Self {
        b.map_or(Self::Unknown, Self::from)
    }
}

#[cfg(test)]
mod tests {
    use super::Answer::{self, No, Unknown, Yes};

    /// Kleene 1952, *Introduction to Metamathematics*, § 64: every law, over every value.
    #[test]
    fn kleenes_laws_hold() {
        for a in [No, Unknown, Yes] {
            assert_eq!(!!a, a);
            assert_eq!((a.and(a), a.or(a)), (a, a));
            assert_eq!((a.and(Yes), a.or(No), a.and(No), a.or(Yes)), (a, a, No, Yes));
            for b in [No, Unknown, Yes] {
                assert_eq!(a.and(b), b.and(a));
                assert_eq!(a.or(b), b.or(a));
                assert_eq!(!a.and(b), (!a).or(!b));
                assert_eq!(a.or(a.and(b)), a, "absorption");
                for c in [No, Unknown, Yes] {
                    assert_eq!(a.and(b).and(c), a.and(b.and(c)));
                    assert_eq!(a.and(b.or(c)), a.and(b).or(a.and(c)));
                    assert_eq!(Answer::all([a, b, c]), a.and(b).and(c));
                    assert_eq!(Answer::any([a, b, c]), a.or(b).or(c));
                }
            }
        }
        assert_eq!(Unknown.and(Unknown), Unknown);
        assert_eq!(Unknown.or(!Unknown), Unknown, "nothing is excluded");
    }

    /// Filling in what is unknown never turns a yes into a no, or a no into a yes.
    #[test]
    fn what_is_learnt_never_contradicts() {
        let fills = |a| if a == Unknown { vec![No, Unknown, Yes] } else { vec![a] };
        for a in [No, Unknown, Yes] {
            for b in [No, Unknown, Yes] {
                for x in fills(a) {
                    for y in fills(b) {
                        assert!(a.and(b) == Unknown || a.and(b) == x.and(y));
                        assert!(a.or(b) == Unknown || a.or(b) == x.or(y));
                    }
                }
            }
        }
    }
}
