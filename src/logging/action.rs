//! The one table of actions: everything that a key, a menu or the help can name.

/// Where an action stands in the help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// Playing and stepping.
    Watch,
    /// Writing what happened.
    Log,
    /// The court pad: where each ball landed.
    Pad,
    /// What each ball was.
    Balls,
    /// Moving along the score.
    Score,
    /// The program itself.
    Window,
}

impl Group {
    /// The groups in the order of the help.
    pub const ALL: [Self; 6] = [Self::Watch, Self::Log, Self::Pad, Self::Balls, Self::Score, Self::Window];

    /// Its heading.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Watch => "Watch",
            Self::Log => "Log",
            Self::Pad => "Court pad: where a ball landed",
            Self::Balls => "What the ball was",
            Self::Score => "Go along the score",
            Self::Window => "Window",
        }
    }
}

/// A row of the table: the action, its name in a key card, what the help says, where it stands.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// The action.
    pub action: Action,
    /// Its name in a key card.
    pub name: &'static str,
    /// What it does, for the help and the menus.
    pub title: &'static str,
    /// Its place in the help.
    pub group: Group,
}

macro_rules! table {
    ($($group:ident { $($action:ident $name:literal $title:literal,)* })*) => {
        /// One thing that the program can do at a key press.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Action {
            $($(
                #[doc = concat!($title, ".")]
                $action,
            )*)*
        }

        /// Every action, in the order of the help.
        pub const ACTIONS: &[Row] = &[$($(
            Row { action: Action::$action, name: $name, title: $title, group: Group::$group },
        )*)*];

        impl Action {
            /// The action's name in a key card.
            pub const fn name(self) -> &'static str {
                match self { $($(Self::$action => $name,)*)* }
            }

            /// What it does, in words.
            pub const fn title(self) -> &'static str {
                match self { $($(Self::$action => $title,)*)* }
            }
        }
    };
}

table! {
    Watch {
        PlayPause "play-pause" "Play, or pause on the frame shown",
        FrameForward "frame-forward" "One frame on",
        FrameBack "frame-back" "One frame back",
        SkipForward "skip-forward" "Five seconds on",
        SkipBack "skip-back" "Five seconds back",
        Faster "faster" "Faster",
        Slower "slower" "Slower",
        NormalSpeed "normal-speed" "Normal speed",
        LoopPoint "loop-point" "Repeat the current point",
        Mute "mute" "Sound off or on",
    }
    Log {
        PointStart "point-start" "Point starts at this frame",
        PointEnd "point-end" "Point ends at this frame",
        Fault "fault" "Fault",
        WinnerA "winner-a" "First-named player wins the point",
        WinnerB "winner-b" "Second-named player wins the point",
        FinishAce "finish-ace" "It was an ace",
        FinishWinner "finish-winner" "It was a winner",
        FinishForced "finish-forced" "It was a forced error",
        FinishUnforced "finish-unforced" "It was an unforced error",
        MissNet "miss-net" "Missed into the net",
        MissLong "miss-long" "Missed long",
        MissWide "miss-wide" "Missed wide",
        UnforcedNet "unforced-net" "Unforced error into the net",
        UnforcedLong "unforced-long" "Unforced error, long",
        UnforcedWide "unforced-wide" "Unforced error, wide",
        ForcedNet "forced-net" "Forced error into the net",
        ForcedLong "forced-long" "Forced error, long",
        ForcedWide "forced-wide" "Forced error, wide",
        ForcedKeyed "finish-forced-keyed" "Forced error: the ball keyed last",
        UnforcedKeyed "finish-unforced-keyed" "Unforced error: the ball keyed last",
        NetKeyed "miss-net-keyed" "Into the net: the ball keyed last",
        LongKeyed "miss-long-keyed" "Long: the ball keyed last",
        WideKeyed "miss-wide-keyed" "Wide: the ball keyed last",
        Let "let" "Let: the serve or the point again",
        RestNotLogged "rest-not-logged" "The balls from here on are not logged",
        Plan "plan" "Plan: the pattern that is meant",
        Note "note" "Write a note",
        Correct "correct" "Correct the score…",
        Undo "undo" "Undo",
        Redo "redo" "Redo",
        StartHere "start-here" "Move the start to this frame",
        EndHere "end-here" "Move the end to this frame",
        StartFrameEarlier "start-frame-earlier" "Start one frame earlier",
        StartFrameLater "start-frame-later" "Start one frame later",
        EndFrameEarlier "end-frame-earlier" "End one frame earlier",
        EndFrameLater "end-frame-later" "End one frame later",
        DeletePoint "delete-point" "Delete the point",
    }
    Pad {
        PadUpLeft "pad-up-left" "Ball lands up left",
        PadUp "pad-up" "Ball lands up",
        PadUpRight "pad-up-right" "Ball lands up right",
        PadLeft "pad-left" "Ball lands left",
        PadMiddle "pad-middle" "Ball lands in the middle",
        PadRight "pad-right" "Ball lands right",
        PadDownLeft "pad-down-left" "Ball lands down left",
        PadDown "pad-down" "Ball lands down",
        PadDownRight "pad-down-right" "Ball lands down right",
        BackUpLeft "backhand-up-left" "Backhand, or a fault, lands up left",
        BackUp "backhand-up" "Backhand, or a fault, lands up",
        BackUpRight "backhand-up-right" "Backhand, or a fault, lands up right",
        BackLeft "backhand-left" "Backhand, or a fault, lands left",
        BackMiddle "backhand-middle" "Backhand, or a fault, lands in the middle",
        BackRight "backhand-right" "Backhand, or a fault, lands right",
        BackDownLeft "backhand-down-left" "Backhand, or a fault, lands down left",
        BackDown "backhand-down" "Backhand, or a fault, lands down",
        BackDownRight "backhand-down-right" "Backhand, or a fault, lands down right",
        UnknownBall "unknown-ball" "A ball that was not seen",
        BallBack "ball-back" "Choose the ball before, to correct it",
        BallForward "ball-forward" "Choose the ball after it",
        BallOut "ball-out" "Take the ball out",
        BallIn "ball-in" "Put a ball in after it",
        PlainForehand "plain-forehand" "Plain keys say forehand, or no wing",
        PlainGroundstroke "plain-groundstroke" "Plain keys say groundstroke, or no stroke",
    }
    Balls {
        Groundstroke "groundstroke" "Groundstroke",
        DropShot "drop-shot" "Drop shot",
        Volley "volley" "Volley",
        Overhead "overhead" "Overhead",
        Lob "lob" "Lob",
        Slice "slice" "Slice",
        Topspin "topspin" "Topspin",
        Flat "flat" "Flat",
        Approach "approach" "Approach: the striker came to the net",
        Backhand "backhand" "Backhand",
        Forehand "forehand" "Forehand",
        PaceSlow "pace-slow" "Slow serve",
        PaceMedium "pace-medium" "Medium serve",
        PaceFast "pace-fast" "Fast serve",
        StanceCentre "stance-centre" "Server stands by the centre mark",
        StanceHalfway "stance-halfway" "Server stands halfway",
        StanceWide "stance-wide" "Server stands by the sideline",
    }
    Score {
        PointBack "point-back" "Point before",
        PointForward "point-forward" "Next point",
        GameBack "game-back" "Game before",
        GameForward "game-forward" "Next game",
        SetBack "set-back" "Set before",
        SetForward "set-forward" "Next set",
        FirstPoint "first-point" "First point",
        LastPoint "last-point" "Last point",
        MatchBack "match-back" "Matching point before",
        MatchForward "match-forward" "Next matching point",
        Filter "filter" "Choose a tag or pattern",
        ClearFilter "clear-filter" "See all points",
        PlayMatching "play-matching" "Play the matching points",
        Patterns "patterns" "Make or change a pattern",
        Explain "explain" "Why this point shows a pattern, or not",
    }
    Window {
        RoomLog "room-log" "Log: watch and tag",
        RoomStudy "room-study" "Study: questions and their clips",
        Open "open" "Open footage or a record",
        LogWithout "log-without-footage" "Log without footage",
        AttachFootage "attach-footage" "Attach footage",
        MatchDetails "match-details" "Players and rules",
        Preferences "preferences" "Preferences",
        Save "save" "Save now",
        LightDark "light-dark" "Light or dark",
        Help "help" "Keys",
        FullScreen "full-screen" "Full screen",
        Quit "quit" "Save and quit",
    }
}

impl Action {
    /// The action of this name.
    pub fn named(name: &str) -> Option<Self> {
        ACTIONS.iter().find(|r| r.name == name).map(|r| r.action)
    }
}
