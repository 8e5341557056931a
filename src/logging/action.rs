//! The one table of actions: everything that a key, a menu or the help can name.

/// One thing that the program can do at a key press.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Action {
    /// Play, or pause on the frame shown.
    PlayPause,
    /// Show the next frame.
    FrameForward,
    /// Show the frame before.
    FrameBack,
    /// Five seconds on.
    SkipForward,
    /// Five seconds back.
    SkipBack,
    /// The next higher speed.
    Faster,
    /// The next lower speed.
    Slower,
    /// Speed 1.
    NormalSpeed,
    /// Play the current point over and over.
    LoopPoint,
    /// Sound off and on.
    Mute,
    /// A point starts at the frame shown.
    PointStart,
    /// The point ends at the frame shown.
    PointEnd,
    /// A serve was a fault.
    Fault,
    /// The first-named player won the point.
    WinnerA,
    /// The second-named player won the point.
    WinnerB,
    /// The point ended with an ace.
    FinishAce,
    /// The point ended with a winner.
    FinishWinner,
    /// The point ended with a forced error.
    FinishForced,
    /// The point ended with an unforced error.
    FinishUnforced,
    /// Write a note on the current point.
    Note,
    /// What was seen against what the score says of the current point; how the match ended.
    Correct,
    /// Take the last edit back.
    Undo,
    /// Do it again.
    Redo,
    /// Move the current point's start to the frame shown.
    StartHere,
    /// Move the current point's end to the frame shown.
    EndHere,
    /// Move the start back by one frame.
    StartFrameEarlier,
    /// Move the start on by one frame.
    StartFrameLater,
    /// Move the end back by one frame.
    EndFrameEarlier,
    /// Move the end on by one frame.
    EndFrameLater,
    /// Take the current point out.
    DeletePoint,
    /// Go to the point before.
    PointBack,
    /// Go to the next point.
    PointForward,
    /// Go to the game before.
    GameBack,
    /// Go to the next game.
    GameForward,
    /// Go to the set before.
    SetBack,
    /// Go to the next set.
    SetForward,
    /// Go to the first point.
    FirstPoint,
    /// Go to the last point.
    LastPoint,
    /// Go to the matching point before.
    MatchBack,
    /// Go to the next matching point.
    MatchForward,
    /// Choose which points to see.
    Filter,
    /// See all points.
    ClearFilter,
    /// Play the matching points one after another.
    PlayMatching,
    /// Open footage or a record.
    Open,
    /// Start a match without footage.
    LogWithout,
    /// Give a record footage that was filmed while it was logged.
    AttachFootage,
    /// Names, rules, who served first.
    MatchDetails,
    /// Write the sidecar now.
    Save,
    /// Light or dark.
    LightDark,
    /// This help.
    Help,
    /// The whole screen.
    FullScreen,
    /// Save and leave.
    Quit,
}

/// Where an action stands in the help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// Playing and stepping.
    Watch,
    /// Writing what happened.
    Log,
    /// Moving along the score.
    Score,
    /// The program itself.
    Window,
}

impl Group {
    /// The groups in the order of the help.
    pub const ALL: [Self; 4] = [Self::Watch, Self::Log, Self::Score, Self::Window];

    /// Its heading.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Watch => "Watch",
            Self::Log => "Log",
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
    }
    Window {
        Open "open" "Open footage or a record",
        LogWithout "log-without-footage" "Log without footage",
        AttachFootage "attach-footage" "Attach footage",
        MatchDetails "match-details" "Players and rules",
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
