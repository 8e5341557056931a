//! So many of a thing, in words: the one place that knows a noun's plural.

use std::fmt;

/// What can be counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Noun {
    /// A chapter of a lesson.
    Chapter,
    /// A clip.
    Clip,
    /// A comparison of a row with its others.
    Comparison,
    /// A cut in footage.
    Cut,
    /// A day.
    Day,
    /// A difference that a comparison found.
    Difference,
    /// A change of the record, as the journal has it.
    Edit,
    /// An error.
    Error,
    /// A file.
    File,
    /// A let.
    Let,
    /// A match.
    Match,
    /// More of the points that there are.
    MorePoint,
    /// Two clips side by side.
    Pair,
    /// A part of a lesson.
    Part,
    /// A piece of a talk.
    Piece,
    /// A point.
    Point,
    /// A record.
    Record,
    /// A serve.
    Serve,
    /// A shot.
    Shot,
    /// A picture or words that stand still in a lesson.
    Still,
    /// A strike heard.
    Strike,
    /// A take of a talk.
    Take,
    /// An unforced error.
    UnforcedError,
    /// A winner.
    Winner,
}

impl Noun {
    /// The word for one, and for several.
    const fn words(self) -> [&'static str; 2] {
        match self {
            Self::Chapter => ["chapter", "chapters"],
            Self::Clip => ["clip", "clips"],
            Self::Comparison => ["comparison", "comparisons"],
            Self::Cut => ["cut", "cuts"],
            Self::Day => ["day", "days"],
            Self::Difference => ["difference", "differences"],
            Self::Edit => ["edit", "edits"],
            Self::Error => ["error", "errors"],
            Self::File => ["file", "files"],
            Self::Let => ["let", "lets"],
            Self::Match => ["match", "matches"],
            Self::MorePoint => ["more point", "more points"],
            Self::Pair => ["pair", "pairs"],
            Self::Part => ["part", "parts"],
            Self::Piece => ["piece", "pieces"],
            Self::Point => ["point", "points"],
            Self::Record => ["record", "records"],
            Self::Serve => ["serve", "serves"],
            Self::Shot => ["shot", "shots"],
            Self::Still => ["still", "stills"],
            Self::Strike => ["strike", "strikes"],
            Self::Take => ["take", "takes"],
            Self::UnforcedError => ["unforced error", "unforced errors"],
            Self::Winner => ["winner", "winners"],
        }
    }
}

/// So many of a thing: `1 point`, `12 points`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counted(pub usize, pub Noun);

impl Counted {
    const fn one(self) -> usize {
        if self.0 == 1 { 0 } else { 1 }
    }

    /// The noun alone, as it stands after this number.
    pub const fn noun(self) -> &'static str {
        self.1.words()[self.one()]
    }

    /// `is`, `are`.
    pub const fn is(self) -> &'static str {
        ["is", "are"][self.one()]
    }

    /// `has`, `have`.
    pub const fn has(self) -> &'static str {
        ["has", "have"][self.one()]
    }

    /// `lacks`, `lack`.
    pub const fn lacks(self) -> &'static str {
        ["lacks", "lack"][self.one()]
    }

    /// `does`, `do`.
    pub const fn does(self) -> &'static str {
        ["does", "do"][self.one()]
    }
}

impl fmt::Display for Counted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.0, self.noun())
    }
}

/// A number of bytes in words, rounded up: `640 KB`, `12.3 MB`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bytes(pub u64);

impl fmt::Display for Bytes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            0..1_000 => write!(f, "{} bytes", self.0),
            1_000..999_001 => write!(f, "{} KB", self.0.div_ceil(1_000)),
            _ => {
                let tenths = self.0.div_ceil(100_000);
                write!(f, "{}.{} MB", tenths / 10, tenths % 10)
            }
        }
    }
}

/// A size that is not known before something is made, as `about 3.1 MB, at most 21 MB`.
pub fn about(expected: u64, most: u64) -> String {
    if expected < most / 10 * 9 {
        format!("about {}, at most {}", Bytes(expected), Bytes(most))
    } else {
        format!("at most {}", Bytes(most))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_rounded_up() {
        let said = [0, 999, 1_000, 1_001, 250_000, 999_000, 999_001, 1_000_000, 1_000_001, 12_345_678]
            .map(|n| Bytes(n).to_string());
        let right = [
            "0 bytes",
            "999 bytes",
            "1 KB",
            "2 KB",
            "250 KB",
            "999 KB",
            "1.0 MB",
            "1.0 MB",
            "1.1 MB",
            "12.4 MB",
        ];
        assert_eq!(said, right);
    }

    #[test]
    fn one_is_told_apart_from_none_and_many() {
        let said = |n| format!("{} {}", Counted(n, Noun::Match), Counted(n, Noun::Match).has());
        assert_eq!([said(0), said(1), said(2)], ["0 matches have", "1 match has", "2 matches have"]);
        let verbs = |n| {
            let c = Counted(n, Noun::Point);
            [c.is(), c.lacks(), c.does()]
        };
        assert_eq!((verbs(1), verbs(2)), (["is", "lacks", "does"], ["are", "lack", "do"]));
    }
}
