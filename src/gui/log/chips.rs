//! What can be said of a ball, and how a point ends, as buttons with their keys: they light up when it is so.

use gtk::prelude::*;

use crate::gui::kit::words::named;
use crate::logging::Action;

/// What can be said of a serve, three in a row.
pub const OF_A_SERVE: [(Action, &str); 30] = [
    (Action::PaceSlow, "slow"),
    (Action::PaceMedium, "medium"),
    (Action::PaceFast, "fast"),
    (Action::Slice, "slice"),
    (Action::Topspin, "topspin"),
    (Action::Flat, "flat"),
    (Action::StanceCentre, "centre"),
    (Action::StanceHalfway, "half"),
    (Action::StanceWide, "side"),
    (Action::Fault, "fault"),
    (Action::Let, "let"),
    (Action::UnknownBall, "not seen"),
    (Action::BallOut, "delete"),
    (Action::BallIn, "insert"),
    (Action::Approach, "approach"),
    (Action::FootFault, "foot fault"),
    (Action::NetCord, "net cord"),
    (Action::Unreturned, "unreturned"),
    (Action::ServedBy, "who serves?"),
    (Action::ServedEnd, "end?"),
    (Action::ServedCourt, "court?"),
    (Action::JoinedLate, "joined late"),
    (Action::PenaltyA, "● penalty"),
    (Action::PenaltyB, "□ penalty"),
    (Action::TimeA, "● time"),
    (Action::TimeB, "□ time"),
    (Action::DropShot, "drop shot"),
    (Action::Volley, "volley"),
    (Action::Overhead, "overhead"),
    (Action::Lob, "lob"),
];

/// What can be said of another ball.
pub const OF_A_BALL: [(Action, &str); 27] = [
    (Action::DropShot, "drop shot"),
    (Action::Volley, "volley"),
    (Action::Overhead, "overhead"),
    (Action::Lob, "lob"),
    (Action::Groundstroke, "ground"),
    (Action::Approach, "approach"),
    (Action::Slice, "slice"),
    (Action::Topspin, "topspin"),
    (Action::Flat, "flat"),
    (Action::Backhand, "backhand"),
    (Action::Forehand, "forehand"),
    (Action::UnknownBall, "not seen"),
    (Action::BallOut, "delete"),
    (Action::BallIn, "insert"),
    (Action::AtNet, "at net"),
    (Action::HalfVolley, "half volley"),
    (Action::NetCord, "net cord"),
    (Action::SwingingVolley, "swinging"),
    (Action::Let, "let"),
    (Action::DepthShort, "short"),
    (Action::DepthMid, "mid"),
    (Action::DepthDeep, "deep"),
    (Action::JoinedLate, "joined late"),
    (Action::FirstBy, "first shot?"),
    (Action::ServedBy, "who serves?"),
    (Action::ServedEnd, "end?"),
    (Action::ServedCourt, "court?"),
];

/// How a point ends.
pub const OF_THE_END: [(Action, &str); 13] = [
    (Action::FinishAce, "ace"),
    (Action::FinishWinner, "winner"),
    (Action::FinishForced, "forced"),
    (Action::FinishUnforced, "unforced"),
    (Action::MissNet, "net"),
    (Action::MissLong, "long"),
    (Action::MissWide, "wide"),
    (Action::WinnerA, "● wins"),
    (Action::WinnerB, "□ wins"),
    (Action::RestNotLogged, "stop logging"),
    (Action::Plan, "plan"),
    (Action::MissLongWide, "long+wide"),
    (Action::LeftEarly, "left early"),
];

/// A button that does what a key does.
#[derive(Debug, Clone)]
pub struct Chip {
    action: Action,
    button: gtk::ToggleButton,
    cap: gtk::Label,
    label: gtk::Label,
    grid: gtk::Grid,
}

/// Those whose words need half of a row.
const WIDE: [Action; 15] = [
    Action::LeftEarly,
    Action::RestNotLogged,
    Action::Forehand,
    Action::HalfVolley,
    Action::SwingingVolley,
    Action::FootFault,
    Action::Unreturned,
    Action::PenaltyA,
    Action::PenaltyB,
    Action::TimeA,
    Action::TimeB,
    Action::MissLongWide,
    Action::JoinedLate,
    Action::ServedBy,
    Action::FirstBy,
];

/// Columns of a grid: three usual chips, or two wide ones, are a row.
const COLUMNS: i32 = 6;
/// Pixels between two rows of chips.
pub const GAP: i32 = 2;

/// Puts those that are to be seen into their grids, one after another, each in the first row that has room for it.
pub fn lay_out(chips: &[Chip]) {
    let mut filled: Vec<i32> = Vec::new();
    let mut last: Option<&gtk::Grid> = None;
    for chip in chips {
        if chip.button.parent().is_some() {
            chip.grid.remove(&chip.button);
        }
        if last != Some(&chip.grid) {
            filled.clear();
            last = Some(&chip.grid);
        }
        if !chip.button.is_visible() {
            continue;
        }
        let wide = COLUMNS / if WIDE.contains(&chip.action) { 2 } else { 3 };
        let row = filled.iter().position(|f| f + wide <= COLUMNS).unwrap_or(filled.len());
        if row == filled.len() {
            filled.push(0);
        }
        chip.grid.attach(&chip.button, filled[row], row as i32, wide, 1);
        filled[row] += wide;
    }
}

impl Chip {
    /// A chip in a grid that presses the key of an action.
    pub fn new(action: Action, word: &str, grid: &gtk::Grid) -> Self {
        let cap = gtk::Label::builder().css_classes(["keycap"]).build();
        let label =
            gtk::Label::builder().label(word).xalign(0.0).ellipsize(gtk::pango::EllipsizeMode::End).build();
        let inside = gtk::Box::new(gtk::Orientation::Horizontal, 4);
        inside.append(&cap);
        inside.append(&label);
        let button = gtk::ToggleButton::builder().child(&inside).css_classes(["chip"]).build();
        button.set_focus_on_click(false);
        let more = match action {
            Action::MissNet | Action::MissLong | Action::MissWide => {
                "; with Alt unforced, with Alt and Shift forced"
            }
            Action::FinishForced | Action::FinishUnforced => {
                "; with Shift the last shot was missed, and its cell is where it was aimed"
            }
            _ => "",
        };
        button.set_tooltip_text(Some(&format!("{}{more}", action.title())));
        Self { action, button, cap, label, grid: grid.clone() }
    }

    /// The button.
    pub const fn button(&self) -> &gtk::ToggleButton {
        &self.button
    }

    /// Shows its key, whether it is so, and who wins; `names` are the sides'.
    pub fn show(&self, cap: &str, lit: bool, names: [&str; 2]) {
        self.cap.set_label(cap);
        self.button.set_active(lit);
        let title = self.action.title_for(names);
        named(self.button.upcast_ref(), &format!("{title}, key {cap}"));
        let of_a_side = [
            Action::WinnerA,
            Action::PenaltyA,
            Action::TimeA,
            Action::WinnerB,
            Action::PenaltyB,
            Action::TimeB,
        ];
        if of_a_side.contains(&self.action) {
            self.button.set_tooltip_text(Some(&title));
        }
    }

    /// Shows another word.
    pub fn say(&self, word: &str) {
        self.label.set_label(word);
    }

    /// Its action.
    pub const fn action(&self) -> Action {
        self.action
    }
}
