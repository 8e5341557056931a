//! The columns of a file of points.

/// The columns that a file of points may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the page of the room `import` says what each holds")]
pub enum Column {
    Match,
    Start,
    End,
    Server,
    Serve,
    Winner,
    Finish,
    Tags,
    Note,
    Outcome,
    Miss,
    Unreturned,
    Lets,
    Penalty,
    TimeViolation,
    Faults,
    Shots,
    Logged,
    Court,
    ServedFrom,
    JoinedLate,
    FirstBy,
    LeftEarly,
    TagOf,
    PlayerA,
    PlayerB,
    Score,
    Event,
    Source,
}

/// All names, for messages.
pub const NAMES: &str = "match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, \
     time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, \
     score, event, source";

impl Column {
    /// Every column, in the order that the export writes them.
    pub const ALL: [Self; 29] = [
        Self::Match,
        Self::Start,
        Self::End,
        Self::Server,
        Self::Serve,
        Self::Winner,
        Self::Finish,
        Self::Tags,
        Self::Note,
        Self::Outcome,
        Self::Miss,
        Self::Unreturned,
        Self::Lets,
        Self::Penalty,
        Self::TimeViolation,
        Self::Faults,
        Self::Shots,
        Self::Logged,
        Self::Court,
        Self::ServedFrom,
        Self::JoinedLate,
        Self::FirstBy,
        Self::LeftEarly,
        Self::TagOf,
        Self::PlayerA,
        Self::PlayerB,
        Self::Score,
        Self::Event,
        Self::Source,
    ];

    /// Its name in the header.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Match => "match",
            Self::Start => "start",
            Self::End => "end",
            Self::Server => "server",
            Self::Serve => "serve",
            Self::Winner => "winner",
            Self::Finish => "finish",
            Self::Tags => "tags",
            Self::Note => "note",
            Self::Outcome => "outcome",
            Self::Miss => "miss",
            Self::Unreturned => "unreturned",
            Self::Lets => "lets",
            Self::Penalty => "penalty",
            Self::TimeViolation => "time violation",
            Self::Faults => "faults",
            Self::Shots => "shots",
            Self::Logged => "logged",
            Self::Court => "court",
            Self::ServedFrom => "served from",
            Self::JoinedLate => "joined late",
            Self::FirstBy => "first by",
            Self::LeftEarly => "left early",
            Self::TagOf => "tag of",
            Self::PlayerA => "player a",
            Self::PlayerB => "player b",
            Self::Score => "score",
            Self::Event => "event",
            Self::Source => "source",
        }
    }
}
