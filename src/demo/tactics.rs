//! What the two invented players like to do, and what it gets them.
//!
//! Holt serves wide to the deuce court and attacks the open court behind it; Okafor's backhand return is weak, but
//! Okafor outlasts Holt in long rallies. Both lose with impatient drop shots. The chances below are invented; the
//! number of shots a point follows measured play (see `rally`).

use super::dice::Dice;
use super::truth::{ServeTo, Stroke, Wing};
use crate::tennis::{CourtSide, Side};

/// A player's habits; probabilities and multipliers.
#[derive(Debug, Clone, Copy)]
pub(super) struct Habits {
    /// Weights of wide, body and T, deuce court then ad court.
    pub serve: [[f64; 3]; 2],
    /// Untouched first serves, by direction: wide, body, T.
    pub ace: [f64; 3],
    /// Multiplier of missed backhand returns.
    pub backhand_return: f64,
    /// Multiplier of misses after the eighth shot.
    pub long_rally: f64,
    /// Weights of drop shot, slice, approach and lob among ground strokes.
    pub drop_shot: f64,
    /// As above.
    pub slice: f64,
    /// As above.
    pub approach: f64,
    /// How far to the backhand side the player still runs round to hit a forehand, metres.
    pub runs_round: f64,
}

const HOLT: Habits = Habits {
    serve: [[0.50, 0.15, 0.35], [0.25, 0.20, 0.55]],
    ace: [0.13, 0.01, 0.16],
    backhand_return: 1.0,
    long_rally: 1.35,
    drop_shot: 0.05,
    slice: 0.10,
    approach: 0.12,
    runs_round: 0.7,
};

const OKAFOR: Habits = Habits {
    serve: [[0.30, 0.25, 0.45], [0.50, 0.20, 0.30]],
    ace: [0.09, 0.01, 0.10],
    backhand_return: 2.6,
    long_rally: 0.75,
    drop_shot: 0.09,
    slice: 0.16,
    approach: 0.05,
    runs_round: 0.2,
};

/// The habits of a side's player.
pub(super) const fn habits(side: Side) -> &'static Habits {
    match side {
        Side::A => &HOLT,
        Side::B => &OKAFOR,
    }
}

/// Where a serve is meant to go.
pub(super) fn serve_to(dice: &mut Dice, server: Side, court: CourtSide) -> ServeTo {
    let weights = habits(server).serve[usize::from(court == CourtSide::Ad)];
    [ServeTo::Wide, ServeTo::Body, ServeTo::T][dice.pick(&weights)]
}

/// Where a shot is aimed with respect to the opponent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Aim {
    /// Away from the opponent.
    Open,
    /// Back to where the opponent comes from.
    Behind,
    /// Neither.
    Neutral,
}

/// What the striker is faced with.
#[derive(Debug, Clone, Copy)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "independent facts about one moment, not states of a machine"
)]
pub(super) struct Situation {
    /// Number of the shot about to be struck, from 2.
    pub shot: u32,
    /// Who strikes.
    pub by: Side,
    /// The wing that the ball comes to.
    pub wing: Wing,
    /// Direction of the serve and court, and whether it was a first serve.
    pub serve: (ServeTo, CourtSide, bool),
    /// How far the striker had to run, metres.
    pub run: f64,
    /// How far the opponent is from the middle, metres.
    pub opponent_off: f64,
    /// Whether the ball came short.
    pub short_ball: bool,
    /// Whether the striker is at the net, and meets the ball in the air.
    pub at_net: bool,
    /// Whether the opponent is at the net.
    pub opponent_at_net: bool,
    /// Whether the ball comes from a lob.
    pub lobbed: bool,
}

/// What the striker decides, and how it turns out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Choice {
    /// The stroke.
    pub stroke: Stroke,
    /// The aim.
    pub aim: Aim,
    /// Whether the striker comes to the net behind it.
    pub approach: bool,
    /// The result.
    pub result: Outcome,
}

/// How a stroke turns out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// The opponent gets it back in play or misses it.
    On,
    /// The opponent does not reach it.
    Winner,
    /// It misses.
    Miss,
}

/// Decides on a stroke.
pub(super) fn choose(dice: &mut Dice, now: &Situation) -> Choice {
    let stroke = stroke(dice, now);
    let aim = aim(dice, now, stroke);
    let approach = !now.at_net
        && now.shot > 2
        && stroke != Stroke::Lob
        && stroke != Stroke::DropShot
        && dice.chance(habits(now.by).approach * if now.short_ball { 3.0 } else { 0.4 });
    let (winner, miss) = chances(now, stroke, aim);
    let result = [Outcome::Winner, Outcome::Miss, Outcome::On]
        [dice.pick(&[winner, miss, (1.0 - winner - miss).max(0.05)])];
    Choice { stroke, aim, approach, result }
}

fn stroke(dice: &mut Dice, now: &Situation) -> Stroke {
    let h = habits(now.by);
    if now.at_net {
        return if now.lobbed { Stroke::Overhead } else { Stroke::Volley };
    }
    let lob = if now.opponent_at_net { 0.22 } else { 0.01 };
    let drop = if now.shot > 2 && !now.opponent_at_net { h.drop_shot } else { 0.0 };
    let slice = h.slice * if now.wing == Wing::Backhand { 1.7 } else { 0.15 };
    let all = [Stroke::Lob, Stroke::DropShot, Stroke::Slice, Stroke::Drive];
    all[dice.pick(&[lob, drop, slice, 1.0 - lob - drop - slice])]
}

fn aim(dice: &mut Dice, now: &Situation, stroke: Stroke) -> Aim {
    if stroke == Stroke::DropShot || stroke == Stroke::Lob || now.shot == 2 {
        return Aim::Neutral;
    }
    let off = now.opponent_off > 1.2;
    let holt_plan = now.by == Side::A && now.shot == 3 && now.serve.0 == ServeTo::Wide;
    let open = if holt_plan {
        3.0
    } else if off {
        1.2
    } else {
        0.25
    };
    let behind = if off { 0.45 } else { 0.1 };
    [Aim::Open, Aim::Behind, Aim::Neutral][dice.pick(&[open, behind, 1.0])]
}

/// Chances of a winner and of a miss. The bases follow the measured share of points that end with the n-th shot:
/// .27 with the return, .26 with shot 3, .25 later.
fn chances(now: &Situation, stroke: Stroke, aim: Aim) -> (f64, f64) {
    let h = habits(now.by);
    let (mut winner, mut miss): (f64, f64) = match (now.shot, stroke) {
        (2, _) => (0.03, if now.serve.2 { 0.23 } else { 0.12 }),
        (_, Stroke::DropShot) => (0.14, 0.36),
        (_, Stroke::Volley) => (0.34, 0.17),
        (_, Stroke::Overhead) => (0.62, 0.10),
        (_, Stroke::Lob) => (0.07, 0.20),
        (_, Stroke::Slice) => (0.03, 0.12),
        _ => (0.085, 0.135),
    };
    if now.shot == 2 && now.wing == Wing::Backhand {
        miss *= h.backhand_return;
    }
    if aim == Aim::Open {
        winner *= if now.opponent_off > 1.2 { 2.0 } else { 1.2 };
        let plan = now.by == Side::A && now.shot == 3 && now.serve.1 == CourtSide::Deuce;
        winner *= if plan && now.serve.0 == ServeTo::Wide { 4.0 } else { 1.0 };
    } else if aim == Aim::Behind {
        winner *= 1.5;
        miss *= 1.1;
    }
    if now.opponent_at_net {
        winner *= 1.8;
        miss *= 1.4;
    }
    if now.run > 3.0 {
        winner *= 0.8;
        miss *= 1.4;
    }
    if now.short_ball && now.shot > 2 {
        winner *= 1.5;
    }
    if now.shot > 8 {
        miss *= h.long_rally;
    }
    (winner.min(0.75), miss.min(0.6))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now(shot: u32, by: Side) -> Situation {
        Situation {
            shot,
            by,
            wing: Wing::Backhand,
            serve: (ServeTo::Wide, CourtSide::Deuce, true),
            run: 1.0,
            opponent_off: 2.0,
            short_ball: false,
            at_net: false,
            opponent_at_net: false,
            lobbed: false,
        }
    }

    #[test]
    fn holts_plan_pays_and_okafors_backhand_return_costs() {
        let plan = chances(&now(3, Side::A), Stroke::Drive, Aim::Open).0;
        let plain = chances(&now(5, Side::A), Stroke::Drive, Aim::Neutral).0;
        assert!(plan > 3.0 * plain, "{plan} against {plain}");
        let b = chances(&now(2, Side::B), Stroke::Drive, Aim::Neutral).1;
        let a = chances(&now(2, Side::A), Stroke::Drive, Aim::Neutral).1;
        assert!(b > 1.5 * a);
    }

    #[test]
    fn a_ball_at_the_net_is_volleyed_or_smashed() {
        let mut dice = Dice::new(3, 0);
        let mut at = now(5, Side::A);
        at.at_net = true;
        assert_eq!(choose(&mut dice, &at).stroke, Stroke::Volley);
        at.lobbed = true;
        assert_eq!(choose(&mut dice, &at).stroke, Stroke::Overhead);
    }
}
