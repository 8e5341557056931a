//! Which room the window shows, and how far leaving it has come.

/// The rooms of the window.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Room {
    /// Where a match is logged.
    #[default]
    Log,
    /// Where it is asked about.
    Study,
    /// Where all matches are found.
    Library,
    /// Where a lesson is put in order and shown.
    Show,
}

/// How far leaving has come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Leaving {
    /// Nobody wants to.
    #[default]
    No,
    /// The record is being saved first.
    Saving,
    /// It could not be, and that was said.
    Warned,
}
