//! The kinds of document that are kept safely, and what they are called.

use super::model;

/// The kinds of document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DocumentKind {
    /// A match: `NAME.points.json`.
    Record,
    /// Clips in their order: `NAME.lesson.json`.
    Lesson,
}

impl DocumentKind {
    /// Every kind.
    pub(super) const ALL: [Self; 2] = [Self::Record, Self::Lesson];

    /// What it is called.
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Record => "record",
            Self::Lesson => "lesson",
        }
    }

    /// What it is about, as a whole.
    pub(super) const fn whole(self) -> &'static str {
        match self {
            Self::Record => "match",
            Self::Lesson => "lesson",
        }
    }

    /// The same with its article.
    pub(super) const fn the(self) -> &'static str {
        match self {
            Self::Record => "the record",
            Self::Lesson => "the lesson",
        }
    }

    /// What the first field of every document of this kind holds.
    pub(super) const fn format(self) -> &'static str {
        match self {
            Self::Record => model::FORMAT,
            Self::Lesson => "changeover-lesson",
        }
    }

    /// What a user who named something else should name.
    pub(super) const fn to_name(self) -> &'static str {
        match self {
            Self::Record => "a record (NAME.points.json) or a footage file",
            Self::Lesson => "a lesson (NAME.lesson.json)",
        }
    }

    /// What is said of a file that should be of this kind, and whose first field holds something else.
    pub(super) fn taken_for(self, found: &str) -> String {
        match Self::ALL.into_iter().find(|k| *k != self && found == format!("\"{}\"", k.format())) {
            Some(other) => {
                format!("this is a {} and not a {}; name {}", other.noun(), self.noun(), self.to_name())
            }
            None => format!(
                "its first field \"format\" is {found}; in a {} it is \"{}\"",
                self.noun(),
                self.format()
            ),
        }
    }

    /// A field, with the number of its point or part as people count.
    pub(super) fn counted(self, field: &str) -> String {
        let (list, noun) = match self {
            Self::Record => ("points[", "point"),
            Self::Lesson => ("parts[", "part"),
        };
        let number = field.strip_prefix(list).and_then(|r| r.split(']').next()?.parse::<usize>().ok());
        match number {
            Some(n) => format!("{field} ({noun} {})", n.saturating_add(1)),
            None => field.into(),
        }
    }
}
