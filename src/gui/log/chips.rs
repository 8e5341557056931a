//! What can be said of a ball, and how a point ends, as buttons with their keys: they light up when it is so.

use gtk::prelude::*;

use crate::gui::kit::words::named;
use crate::logging::Action;
use crate::logging::pad::{PadView, Phase};
use crate::record::{Finish, Point, Shot};
use crate::tennis::Side;
use crate::tennis::stroke::{Depth, FaultKind, Miss, Pace, Spin, Stance, Stroke, VolleyKind, Wing};

/// What can be said of a serve, three in a row.
pub const OF_A_SERVE: [(Action, &str); 22] = [
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
    (Action::PenaltyA, "● penalty"),
    (Action::PenaltyB, "□ penalty"),
    (Action::TimeA, "● time"),
    (Action::TimeB, "□ time"),
];

/// What can be said of another ball.
pub const OF_A_BALL: [(Action, &str); 22] = [
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
];

/// How a point ends.
pub const OF_THE_END: [(Action, &str); 12] = [
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
];

/// A button that does what a key does.
#[derive(Debug, Clone)]
pub struct Chip {
    action: Action,
    button: gtk::ToggleButton,
    cap: gtk::Label,
    grid: gtk::Grid,
}

/// Those whose words need the room of two.
const WIDE: [Action; 11] = [
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
];

/// Chips in one row of a grid.
const IN_A_ROW: i32 = 3;

/// Puts those that are to be seen into their grids, one after another.
pub fn lay_out(chips: &[Chip]) {
    let mut next: Option<(&gtk::Grid, i32)> = None;
    for chip in chips {
        if chip.button.parent().is_some() {
            chip.grid.remove(&chip.button);
        }
        let place = match next {
            Some((grid, place)) if *grid == chip.grid => place,
            _ => 0,
        };
        let wide = if WIDE.contains(&chip.action) { 2 } else { 1 };
        let mut after = place;
        if chip.button.is_visible() {
            // A wide one does not go over the end of a row.
            let from = if place % IN_A_ROW + wide > IN_A_ROW { place + 1 } else { place };
            chip.grid.attach(&chip.button, from % IN_A_ROW, from / IN_A_ROW, wide, 1);
            after = from + wide;
        }
        next = Some((&chip.grid, after));
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
        Self { action, button, cap, grid: grid.clone() }
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

    /// Its action.
    pub const fn action(&self) -> Action {
        self.action
    }
}

/// Whether an action means something where the point stands: `point` is the current one, if any.
pub fn allowed(action: Action, view: &PadView, point: Option<&Point>) -> bool {
    let shots = point.map_or(0, |p| p.shots.len());
    let serves = shots + point.map_or(0, |p| p.serves_out.len());
    let open = matches!(view.phase, Phase::Serve | Phase::Rally);
    let shot = view.goes_to.and_then(|n| point?.shots.get(n));
    match action {
        Action::UnknownBall | Action::Plan => true,
        Action::Fault => shots < 2 || !open,
        Action::Let | Action::FinishAce => point.is_some() && shots < 2,
        Action::RestNotLogged => open && shots > 0,
        Action::PaceSlow
        | Action::PaceMedium
        | Action::PaceFast
        | Action::Slice
        | Action::Topspin
        | Action::Flat
        | Action::BallOut => serves > 0,
        Action::DropShot
        | Action::Volley
        | Action::Overhead
        | Action::Lob
        | Action::Groundstroke
        | Action::Backhand
        | Action::Forehand
        | Action::Approach
        | Action::BallIn
        | Action::AtNet
        | Action::NetCord => shots > 0,
        Action::HalfVolley | Action::SwingingVolley => shot.is_some_and(|s| s.stroke == Some(Stroke::Volley)),
        // The cell of a shot says its depth.
        Action::DepthShort | Action::DepthMid | Action::DepthDeep => shot.is_some_and(|s| s.cell.is_none()),
        Action::Unreturned => shots == 1,
        Action::FootFault => serves > 0 && shots < 2,
        Action::MissLongWide => point.is_some_and(|p| matches!(p.miss, Some(Miss::Long | Miss::Wide))),
        _ => point.is_some(),
    }
}

/// Whether what an action says is so: of a point, and of the ball at the cursor.
pub fn lit(action: Action, point: &Point, ball: Option<usize>) -> bool {
    let shot = ball.and_then(|i| point.shots.get(i));
    shot.and_then(|shot| lit_of_shot(action, shot)).unwrap_or_else(|| lit_of_point(action, point))
}

/// Whether it is so of a shot; `None` where it says nothing of one.
fn lit_of_shot(action: Action, shot: &Shot) -> Option<bool> {
    Some(match action {
        Action::DropShot => shot.stroke == Some(Stroke::DropShot),
        Action::Volley => shot.stroke == Some(Stroke::Volley),
        Action::Overhead => shot.stroke == Some(Stroke::Overhead),
        Action::Lob => shot.stroke == Some(Stroke::Lob),
        Action::Groundstroke => shot.stroke == Some(Stroke::Groundstroke),
        Action::Slice => shot.spin == Some(Spin::Slice),
        Action::Topspin => shot.spin == Some(Spin::Topspin),
        Action::Flat => shot.spin == Some(Spin::Flat),
        Action::Backhand => shot.wing == Some(Wing::Backhand),
        Action::Forehand => shot.wing == Some(Wing::Forehand),
        Action::Approach => shot.approach,
        Action::AtNet => shot.at_net,
        Action::NetCord => shot.net_cord,
        Action::HalfVolley => shot.volley == Some(VolleyKind::Half),
        Action::SwingingVolley => shot.volley == Some(VolleyKind::Swinging),
        Action::DepthShort => shot.depth == Some(Depth::Short),
        Action::DepthMid => shot.depth == Some(Depth::Mid),
        Action::DepthDeep => shot.depth == Some(Depth::Deep),
        Action::PaceSlow => shot.pace == Some(Pace::Slow),
        Action::PaceMedium => shot.pace == Some(Pace::Medium),
        Action::PaceFast => shot.pace == Some(Pace::Fast),
        _ => return None,
    })
}

/// Whether it is so of a point.
fn lit_of_point(action: Action, point: &Point) -> bool {
    let went = |miss: Miss| {
        // Before a serve is in play it is said of the fault.
        let fault = point.serves_out.last().filter(|_| point.shots.is_empty());
        point.miss == Some(miss) || fault.is_some_and(|x| x.fault == Some(miss.into()))
    };
    match action {
        Action::FootFault => point.serves_out.last().is_some_and(|x| x.fault == Some(FaultKind::Foot)),
        Action::Unreturned => point.unreturned,
        Action::PenaltyA => point.penalty == Some(Side::A),
        Action::PenaltyB => point.penalty == Some(Side::B),
        Action::TimeA => point.time_violation == Some(Side::A),
        Action::TimeB => point.time_violation == Some(Side::B),
        Action::MissLongWide => point.also_wide,
        Action::StanceCentre => point.stance == Some(Stance::Centre),
        Action::StanceHalfway => point.stance == Some(Stance::Halfway),
        Action::StanceWide => point.stance == Some(Stance::Wide),
        Action::Let => point.replayed,
        Action::FinishAce => point.finish == Some(Finish::Ace),
        Action::FinishWinner => point.finish == Some(Finish::Winner),
        Action::FinishForced => point.finish == Some(Finish::ForcedError),
        Action::FinishUnforced => point.finish == Some(Finish::UnforcedError),
        Action::MissNet => went(Miss::Net),
        Action::MissLong => went(Miss::Long),
        Action::MissWide => went(Miss::Wide),
        Action::WinnerA => point.winner == Some(Side::A),
        Action::WinnerB => point.winner == Some(Side::B),
        Action::RestNotLogged => point.logged == Some(crate::record::Logged::Opening),
        Action::Plan => !point.plan.is_empty(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logging::typing::Typist;
    use crate::time::MatchTime;

    #[test]
    fn what_was_said_of_the_ball_at_the_cursor_is_lit() {
        let slice = Shot { spin: Some(Spin::Slice), wing: Some(Wing::Backhand), ..Shot::default() };
        let point =
            Point { shots: vec![Shot::default(), slice], finish: Some(Finish::Winner), ..Point::default() };
        let on = |ball| {
            let all = OF_A_BALL.iter().chain(&OF_THE_END).map(|(a, _)| *a);
            all.filter(|a| lit(*a, &point, ball)).collect::<Vec<_>>()
        };
        assert_eq!(on(Some(1)), [Action::Slice, Action::Backhand, Action::FinishWinner]);
        assert_eq!(on(Some(0)), [Action::FinishWinner]);
        assert_eq!(on(None), [Action::FinishWinner]);
    }

    #[test]
    fn only_what_the_phase_allows_is_shown() {
        let some = |keys: &str, all: &[Action]| {
            let mut typist = Typist::default();
            for (n, key) in (1..).zip(keys.split_whitespace()) {
                typist.press(key, MatchTime::from_secs(n));
            }
            let (view, point) = (typist.pad(), typist.logger.current().map(|i| &typist.record.points[i]));
            all.iter().map(|a| allowed(*a, &view, point)).collect::<Vec<_>>()
        };
        let all =
            [Action::Fault, Action::FinishAce, Action::FinishWinner, Action::DropShot, Action::RestNotLogged];
        assert_eq!(some("", &all), [true, false, false, false, false], "before the first point");
        assert_eq!(some("s", &all), [true, true, true, false, false], "the serve comes");
        assert_eq!(some("u", &all), [true, true, true, true, true], "the serve is in play");
        assert_eq!(some("u k", &all), [false, false, true, true, true], "a rally");
        assert_eq!(some("u k 2", &all), [true, false, true, true, false], "it is over");
    }
}
