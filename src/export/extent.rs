//! How much of an answer is written.

/// How much of an answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Extent {
    /// The short answer: as text at most 40 lines per question; in JSON, counts.
    #[default]
    Short,
    /// Everything: all tables, groups and pictures; in JSON, the points behind each count.
    Full,
}
