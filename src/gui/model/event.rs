//! What the model tells, without more: widgets look at the model for the rest.

/// Something happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event {
    /// The record, the current point or the filter is another: everything that follows from them is to be shown.
    Changed,
    /// The keeper was asked for something, or has answered: whether all is saved may have changed.
    Saving,
    /// The choices of the filter are others.
    Filters,
    /// Another point is current, or none: the record is the same.
    Current,
    /// Other points are dimmed on the score ribbon.
    Dimmed,
    /// Only what the pad shows has changed.
    Pad,
    /// It plays or does not, at another speed, with sound or without.
    Transport,
    /// Another frame is shown.
    Moment,
    /// Another clip is played, or no more are: see `Model::clip`.
    Clip,
    /// The lesson changed, another part of it is chosen, or another lesson is open, or none.
    Lesson,
    /// A talk is recorded or played, or no longer: see `Model::talk_state`.
    Talk,
    /// Cuts of the footage were found, or the search for them has come farther: see `Model::cutting_stage`.
    Cuts,
    /// More is known of where the camera is, or following the court has come farther.
    Court,
    /// So much of what is being opened has been read: see `Model::reading`.
    Reading,
    /// A record is open.
    Opened,
    /// Nothing is open.
    Closed,
    /// The footage takes the focus.
    Footage,
    /// Light became dark, or dark light, or the contrast changed.
    Dark,
    /// The match clock without footage is to be shown anew.
    Clock,
    /// Keys mean something else.
    Card,
    /// A sandbox shows the files to open without their folder: the user is to choose it.
    NeedsFolder,
    /// What was said is over.
    Quiet,
}

impl Event {
    /// All of them.
    pub const ALL: [Self; 22] = [
        Self::Current,
        Self::Dimmed,
        Self::Changed,
        Self::Saving,
        Self::Filters,
        Self::Pad,
        Self::Transport,
        Self::Moment,
        Self::Clip,
        Self::Lesson,
        Self::Talk,
        Self::Cuts,
        Self::Court,
        Self::Reading,
        Self::Opened,
        Self::Closed,
        Self::Footage,
        Self::Dark,
        Self::Clock,
        Self::Card,
        Self::NeedsFolder,
        Self::Quiet,
    ];

    /// The name of its signal.
    pub const fn signal(self) -> &'static str {
        match self {
            Self::Changed => "changed",
            Self::Saving => "saving",
            Self::Filters => "filters",
            Self::Current => "current",
            Self::Dimmed => "dimmed",
            Self::Pad => "pad",
            Self::Transport => "transport",
            Self::Moment => "moment",
            Self::Clip => "clip",
            Self::Lesson => "lesson",
            Self::Talk => "talk",
            Self::Cuts => "cuts",
            Self::Court => "court",
            Self::Reading => "reading",
            Self::Opened => "opened",
            Self::Closed => "closed",
            Self::Footage => "footage",
            Self::Dark => "dark",
            Self::Clock => "clock",
            Self::Card => "card",
            Self::NeedsFolder => "needs-folder",
            Self::Quiet => "quiet",
        }
    }
}
