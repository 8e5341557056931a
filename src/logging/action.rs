//! The one table of actions: everything that a key, a menu or the help can name.

/// The group of an action in the help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// Playing and stepping.
    Watch,
    /// Writing what happened.
    Log,
    /// The court pad: where each shot landed.
    Pad,
    /// What kind of shot each one was.
    Balls,
    /// Moving along the score.
    Score,
    /// Clips for a lesson, and the lesson itself.
    Show,
    /// The program itself.
    Window,
}

impl Group {
    /// The groups in the order of the help.
    pub const ALL: [Self; 7] =
        [Self::Watch, Self::Log, Self::Pad, Self::Balls, Self::Score, Self::Show, Self::Window];

    /// Its heading.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Watch => "Watch",
            Self::Log => "Log",
            Self::Pad => "Court pad: where the shot landed",
            Self::Balls => "What kind of shot it was",
            Self::Score => "Move along the score",
            Self::Show => "Lessons: choose clips and show them",
            Self::Window => "Window",
        }
    }
}

/// A row of the table: the action, its name in a key card, its words in the help, and its group.
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
        PlayPause "play-pause" "Play or pause",
        PlayBackward "play-backward" "Play backwards or pause",
        FrameForward "frame-forward" "Next frame",
        FrameBack "frame-back" "Previous frame",
        SkipForward "skip-forward" "Five seconds forward",
        SkipBack "skip-back" "Five seconds back",
        Faster "faster" "Play faster",
        Slower "slower" "Play slower",
        NormalSpeed "normal-speed" "Normal speed",
        LoopPoint "loop-point" "Repeat the current point",
        Mute "mute" "Sound on or off",
        GoToTime "go-to-time" "Go to a time",
        CutHere "cut-here" "Mark a cut before this frame, or delete it",
        LargeFootage "large-footage" "Large footage on or off",
        ZoomIn "zoom-in" "Zoom in",
        ZoomOut "zoom-out" "Zoom out",
        ZoomReset "zoom-reset" "Show the whole picture",
        Measure "measure" "Mark the court and measure places",
        AcceptPlayers "accept-players" "Accept the players proposed at this shot, and go on",
        AcceptPointPlayers "accept-point-players" "Accept all players proposed in this point",
        NextProposal "next-proposal" "Go to the next shot with proposed players",
        Draw "draw" "Draw on the picture, or stop drawing",
    }
    Log {
        PointStart "point-start" "Start the point at this frame",
        PointEnd "point-end" "End the point at this frame",
        Fault "fault" "Fault",
        FootFault "foot-fault" "Foot fault",
        WinnerA "winner-a" "Player A wins the point",
        WinnerB "winner-b" "Player B wins the point",
        FinishAce "finish-ace" "The point ended with an ace",
        FinishWinner "finish-winner" "The point ended with a winner",
        FinishForced "finish-forced" "The point ended with a forced error",
        FinishUnforced "finish-unforced" "The point ended with an unforced error",
        MissNet "miss-net" "Missed into the net",
        MissLong "miss-long" "Missed long",
        MissWide "miss-wide" "Missed wide",
        UnforcedNet "unforced-net" "Unforced error into the net",
        UnforcedLong "unforced-long" "Unforced error, long",
        UnforcedWide "unforced-wide" "Unforced error, wide",
        ForcedNet "forced-net" "Forced error into the net",
        ForcedLong "forced-long" "Forced error, long",
        ForcedWide "forced-wide" "Forced error, wide",
        ForcedKeyed "finish-forced-keyed" "The last shot was a forced error",
        UnforcedKeyed "finish-unforced-keyed" "The last shot was an unforced error",
        NetKeyed "miss-net-keyed" "The last shot went into the net",
        LongKeyed "miss-long-keyed" "The last shot went long",
        WideKeyed "miss-wide-keyed" "The last shot went wide",
        MissLongWide "miss-long-wide" "Missed long and wide at once",
        Unreturned "unreturned" "Unreturned serve",
        PenaltyA "penalty-a" "Point penalty against player A",
        PenaltyB "penalty-b" "Point penalty against player B",
        TimeA "time-violation-a" "Time violation by player A",
        TimeB "time-violation-b" "Time violation by player B",
        Let "let" "Let, replay the serve or the point",
        RestNotLogged "rest-not-logged" "Stop logging shots",
        Plan "plan" "Choose the plan for the point",
        Note "note" "Write a note",
        Correct "correct" "Correct the score…",
        Undo "undo" "Undo",
        Redo "redo" "Redo",
        StartHere "start-here" "Move the start to this frame",
        EndHere "end-here" "Move the end to this frame",
        StartFrameEarlier "start-frame-earlier" "Move the start one frame earlier",
        StartFrameLater "start-frame-later" "Move the start one frame later",
        EndFrameEarlier "end-frame-earlier" "Move the end one frame earlier",
        EndFrameLater "end-frame-later" "Move the end one frame later",
        DeletePoint "delete-point" "Delete the point",
        JoinedLate "joined-late" "The point was joined in mid-rally, on or off",
        FirstBy "first-by" "Who struck the first shot that you saw",
        LeftEarly "left-early" "The point is left before its end, on or off",
        ServedBy "served-by" "Who serves, where the score does not tell",
        ServedEnd "served-end" "End that is served from, where the score does not tell",
        ServedCourt "served-court" "Court that is served from, where the score does not tell",
        TagOfA "tag-of-a" "The last tag is player A’s",
        TagOfB "tag-of-b" "The last tag is player B’s",
        SameSource "same-as-before" "Same players and match as the point before",
        Sources "players-of-points" "Who plays in this point, or in a run of points",
    }
    Pad {
        PadUpLeft "pad-up-left" "Shot lands up left",
        PadUp "pad-up" "Shot lands up",
        PadUpRight "pad-up-right" "Shot lands up right",
        PadLeft "pad-left" "Shot lands left",
        PadMiddle "pad-middle" "Shot lands in the middle",
        PadRight "pad-right" "Shot lands right",
        PadDownLeft "pad-down-left" "Shot lands down left",
        PadDown "pad-down" "Shot lands down",
        PadDownRight "pad-down-right" "Shot lands down right",
        BackUpLeft "backhand-up-left" "Backhand or fault lands up left",
        BackUp "backhand-up" "Backhand or fault lands up",
        BackUpRight "backhand-up-right" "Backhand or fault lands up right",
        BackLeft "backhand-left" "Backhand or fault lands left",
        BackMiddle "backhand-middle" "Backhand or fault lands in the middle",
        BackRight "backhand-right" "Backhand or fault lands right",
        BackDownLeft "backhand-down-left" "Backhand or fault lands down left",
        BackDown "backhand-down" "Backhand or fault lands down",
        BackDownRight "backhand-down-right" "Backhand or fault lands down right",
        SliceUpLeft "slice-up-left" "Slice lands up left",
        SliceUp "slice-up" "Slice lands up",
        SliceUpRight "slice-up-right" "Slice lands up right",
        SliceLeft "slice-left" "Slice lands left",
        SliceMiddle "slice-middle" "Slice lands in the middle",
        SliceRight "slice-right" "Slice lands right",
        SliceDownLeft "slice-down-left" "Slice lands down left",
        SliceDown "slice-down" "Slice lands down",
        SliceDownRight "slice-down-right" "Slice lands down right",
        BackSliceUpLeft "backhand-slice-up-left" "Backhand slice or sliced fault lands up left",
        BackSliceUp "backhand-slice-up" "Backhand slice or sliced fault lands up",
        BackSliceUpRight "backhand-slice-up-right" "Backhand slice or sliced fault lands up right",
        BackSliceLeft "backhand-slice-left" "Backhand slice or sliced fault lands left",
        BackSliceMiddle "backhand-slice-middle" "Backhand slice or sliced fault lands in the middle",
        BackSliceRight "backhand-slice-right" "Backhand slice or sliced fault lands right",
        BackSliceDownLeft "backhand-slice-down-left" "Backhand slice or sliced fault lands down left",
        BackSliceDown "backhand-slice-down" "Backhand slice or sliced fault lands down",
        BackSliceDownRight "backhand-slice-down-right" "Backhand slice or sliced fault lands down right",
        DepthShort "depth-short" "Shot lands short, third not seen",
        DepthMid "depth-mid" "Shot lands mid, third not seen",
        DepthDeep "depth-deep" "Shot lands deep, third not seen",
        UnknownBall "unknown-ball" "Add a shot that you did not see",
        BallBack "ball-back" "Select the previous shot",
        BallForward "ball-forward" "Select the next shot",
        BallOut "ball-out" "Delete shot",
        BallIn "ball-in" "Insert shot",
        PlainForehand "plain-forehand" "Plain keys mean forehand, on or off",
        PlainGroundstroke "plain-groundstroke" "Plain keys mean groundstroke, on or off",
        PlainMisses "plain-misses" "Key where missed shots were aimed, on or off",
    }
    Balls {
        Groundstroke "groundstroke" "Groundstroke",
        DropShot "drop-shot" "Drop shot",
        Volley "volley" "Volley",
        HalfVolley "half-volley" "Half volley",
        SwingingVolley "swinging-volley" "Swinging volley",
        Overhead "overhead" "Overhead",
        Lob "lob" "Lob",
        Slice "slice" "Slice",
        Topspin "topspin" "Topspin",
        Flat "flat" "Flat",
        Approach "approach" "Approach: the player came to the net",
        AtNet "at-net" "Struck at the net",
        NetCord "net-cord" "Net cord",
        Backhand "backhand" "Backhand",
        Forehand "forehand" "Forehand",
        PaceSlow "pace-slow" "Slow serve",
        PaceMedium "pace-medium" "Medium serve",
        PaceFast "pace-fast" "Fast serve",
        StanceCentre "stance-centre" "Server stands at the centre mark",
        StanceHalfway "stance-halfway" "Server stands halfway",
        StanceWide "stance-wide" "Server stands at the sideline",
    }
    Score {
        PointBack "point-back" "Previous point",
        PointForward "point-forward" "Next point",
        GameBack "game-back" "Previous game",
        GameForward "game-forward" "Next game",
        SetBack "set-back" "Previous set",
        SetForward "set-forward" "Next set",
        FirstPoint "first-point" "First point",
        LastPoint "last-point" "Last point",
        MatchBack "match-back" "Previous in filter",
        MatchForward "match-forward" "Next in filter",
        Filter "filter" "Choose a filter",
        ClearFilter "clear-filter" "Show all points",
        PlayMatching "play-matching" "Play the points of the filter",
        Patterns "patterns" "Make or change a pattern",
        Explain "explain" "Explain why this point shows a pattern or not",
    }
    Show {
        AddClip "add-clip" "Add the chosen clip to the lesson",
        AddClips "add-clips" "Add all clips of the list to the lesson",
        NewLesson "new-lesson" "New lesson",
        OpenLesson "open-lesson" "Open a lesson",
        PlayShow "play-show" "Play the lesson as a show",
        Replay "replay-clip" "Play the clip from its start",
        ShowNotes "show-notes" "Presenter’s notes on or off",
        RecordTalk "record-talk" "Record a talk over the lesson, or stop recording",
        PlayTalk "play-talk" "Play the talk, or stop it",
        CutTalk "cut-talk" "Cut the talk: from here, and then to here",
        TalkFilters "talk-filters" "Even loudness and less noise of the talk, on or off",
        ClipUp "clip-up" "Move the clip up",
        ClipDown "clip-down" "Move the clip down",
        SplitClip "split-clip" "Split the clip at this frame",
        FreezeClip "freeze-clip" "Freeze the picture at this frame, or no longer",
        SlowClip "slow-clip" "Slow from this frame on, or at full speed",
        ClipCaption "clip-caption" "Write the caption",
        ClipNotes "clip-notes" "Write the notes",
        NewChapter "new-chapter" "New chapter before this clip",
    }
    Window {
        RoomLog "room-log" "Go to Log",
        RoomStudy "room-study" "Go to Study",
        RoomLibrary "room-library" "Go to the library",
        RoomShow "room-show" "Go to Show",
        Open "open" "Open footage or a record",
        LogWithout "log-without-footage" "Log without footage",
        AttachFootage "attach-footage" "Attach footage",
        PracticeMatch "practice-match" "Make a practice match",
        Export "export" "Export clips, points, the answer or the lesson",
        WhatFootage "what-footage" "What the footage shows",
        NextFilm "next-film" "Next of the files that were opened together",
        MatchDetails "match-details" "Players and rules",
        Preferences "preferences" "Settings",
        Save "save" "Save now",
        LightDark "light-dark" "Light or dark colours",
        Help "help" "Help and keys",
        About "about" "About Changeover",
        FullScreen "full-screen" "Full screen",
        PadCorner "pad-corner" "Move the pad over the large picture, or turn it off",
        Quit "quit" "Save and quit",
    }
}

impl Action {
    /// The action of this name.
    pub fn named(name: &str) -> Option<Self> {
        ACTIONS.iter().find(|r| r.name == name).map(|r| r.action)
    }

    /// What it does, in words, with the names of the two sides.
    pub fn title_for(self, names: [&str; 2]) -> String {
        match self {
            Self::WinnerA => format!("{} wins the point", names[0]),
            Self::WinnerB => format!("{} wins the point", names[1]),
            Self::PenaltyA => format!("Point penalty against {}", names[0]),
            Self::PenaltyB => format!("Point penalty against {}", names[1]),
            Self::TimeA => format!("Time violation by {}", names[0]),
            Self::TimeB => format!("Time violation by {}", names[1]),
            Self::TagOfA => format!("The last tag is {}’s", names[0]),
            Self::TagOfB => format!("The last tag is {}’s", names[1]),
            other => other.title().to_owned(),
        }
    }
}
