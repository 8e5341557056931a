//! A player as a simple figure: joints in space, then limbs between them as the camera sees them.
//!
//! Joints are given in the body's own frame, metres: to the right, ahead, up.

use nalgebra::Vector3;
use tiny_skia::Pixmap;

use super::camera::Camera;
use super::scene::{Ink, line, polygon};
use super::space::{apart, mix};
use super::stage::{Figure, Motion, Swing};

/// Colours of one player; stripes tell the two apart without colour.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kit {
    shirt: Ink,
    stripes: Option<Ink>,
    shorts: Ink,
    skin: Ink,
    hair: Ink,
}

/// Holt's plain blue shirt.
pub(super) const HOLT: Kit = Kit {
    shirt: [104, 190, 240, 255],
    stripes: None,
    shorts: [242, 243, 238, 255],
    skin: [226, 182, 152, 255],
    hair: [84, 56, 38, 255],
};

/// Okafor's orange shirt with white stripes.
pub(super) const OKAFOR: Kit = Kit {
    shirt: [233, 120, 30, 255],
    stripes: Some([252, 246, 236, 255]),
    shorts: [34, 38, 50, 255],
    skin: [122, 82, 60, 255],
    hair: [30, 24, 22, 255],
};

type Joint = [f64; 3];

/// Where the joints are, in the body's frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pose {
    feet: [Joint; 2],
    knees: [Joint; 2],
    hips: [Joint; 2],
    shoulders: [Joint; 2],
    head: Joint,
    elbows: [Joint; 2],
    hands: [Joint; 2],
    racket: Joint,
}

/// `b`, brought to at most (or, when `exactly`, just) `reach` metres from `a`.
fn at_reach(a: Joint, b: Joint, reach: f64, exactly: bool) -> Joint {
    let d = apart(a, b).max(1e-6);
    if d > reach || exactly { mix(a, b, reach / d) } else { b }
}

/// A bend between two joints of a limb with equal parts, towards a side.
fn bend(a: Joint, b: Joint, part: f64, towards: Joint) -> Joint {
    let half = apart(a, b) / 2.0;
    let out = (part * part - half * half).max(0.0).sqrt();
    (Vector3::from(mix(a, b, 0.5)) + Vector3::from(towards) * out).into()
}

const READY: (Joint, Joint) = ([0.16, 0.42, 1.0], [-0.02, 0.78, 1.24]);
const AT_EASE: (Joint, Joint) = ([0.30, 0.06, 0.84], [0.33, 0.42, 0.58]);

/// The hand and the middle of the racket's head at key moments around a strike.
fn swing_keys(swing: &Swing, ball: Joint, rest: (Joint, Joint)) -> Vec<(f64, Joint, Joint)> {
    let shoulder = match swing.motion {
        Motion::Backhand => [-0.05, 0.1, 1.35],
        _ => [0.22, 0.05, 1.48],
    };
    let hand = at_reach(ball, shoulder, 0.5, true);
    let meet = (0.0, hand, ball);
    match swing.motion {
        Motion::Serve => vec![
            (-1.1, rest.0, rest.1),
            (-0.8, [0.42, -0.1, 0.85], [0.6, -0.4, 0.6]),
            (-0.4, [0.46, -0.25, 1.62], [0.42, -0.25, 2.1]),
            (-0.16, [0.42, -0.2, 1.72], [0.4, -0.5, 1.3]),
            meet,
            (0.16, [-0.05, 0.5, 1.2], [-0.3, 0.75, 0.85]),
            (0.34, [-0.3, 0.3, 0.95], [-0.6, 0.1, 0.6]),
            (0.6, rest.0, rest.1),
        ],
        Motion::Overhead => vec![
            (-0.6, rest.0, rest.1),
            (-0.3, [0.42, -0.25, 1.68], [0.38, -0.5, 1.9]),
            meet,
            (0.2, [-0.1, 0.5, 1.1], [-0.35, 0.7, 0.8]),
            (0.58, rest.0, rest.1),
        ],
        _ if swing.short => vec![
            (-0.4, rest.0, rest.1),
            (
                -0.14,
                mix(hand, [hand[0], hand[1] - 0.4, hand[2] + 0.2], 0.7),
                [ball[0], ball[1] - 0.4, ball[2] + 0.3],
            ),
            meet,
            (0.14, [hand[0] * 0.8, hand[1] + 0.2, hand[2]], [ball[0] * 0.8, ball[1] + 0.25, ball[2] - 0.05]),
            (0.45, rest.0, rest.1),
        ],
        Motion::Forehand => vec![
            (-0.6, rest.0, rest.1),
            (-0.3, [0.66, -0.3, 1.15], [0.9, -0.68, 1.4]),
            (-0.12, [0.62, -0.25, 0.95], [0.85, -0.66, 0.85]),
            meet,
            (0.14, [0.0, 0.56, 1.38], [-0.25, 0.85, 1.6]),
            (0.28, [-0.24, 0.3, 1.5], [-0.5, -0.05, 1.55]),
            (0.58, rest.0, rest.1),
        ],
        Motion::Backhand => vec![
            (-0.6, rest.0, rest.1),
            (-0.3, [-0.46, -0.12, 1.15], [-0.8, -0.45, 1.35]),
            (-0.12, [-0.46, -0.1, 0.95], [-0.8, -0.48, 0.85]),
            meet,
            (0.14, [0.05, 0.58, 1.3], [0.3, 0.9, 1.5]),
            (0.28, [0.34, 0.3, 1.5], [0.6, -0.05, 1.6]),
            (0.58, rest.0, rest.1),
        ],
    }
}

/// Between key moments, even in the middle of a stroke and soft at its ends.
fn keyed(keys: &[(f64, Joint, Joint)], t: f64) -> (Joint, Joint) {
    let i = keys.partition_point(|k| k.0 <= t).clamp(1, keys.len() - 1);
    let (a, b) = (&keys[i - 1], &keys[i]);
    let u = ((t - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
    let s = if b.0.abs() < 1e-9 {
        u * u
    } else if a.0.abs() < 1e-9 {
        u * (2.0 - u)
    } else {
        u * u * (3.0 - 2.0 * u)
    };
    (mix(a.1, b.1, s), mix(a.2, b.2, s))
}

/// From the court's axes to the body's frame.
fn to_body(figure: &Figure, at: [f64; 3]) -> Joint {
    let (a, d) = (figure.ahead, [at[0] - figure.spot[0], at[1] - figure.spot[1]]);
    [d[0] * a[1] - d[1] * a[0], d[0] * a[0] + d[1] * a[1], at[2]]
}

/// From the body's frame to the court's axes.
fn to_court(figure: &Figure, j: Joint) -> [f64; 3] {
    let a = figure.ahead;
    [figure.spot[0] + j[0] * a[1] + j[1] * a[0], figure.spot[1] - j[0] * a[0] + j[1] * a[1], j[2]]
}

/// The joints of a player at a moment.
pub(super) fn pose(figure: &Figure) -> Pose {
    let calm = figure.at_ease && figure.swing.is_none();
    let rest = if calm { AT_EASE } else { READY };
    let (mut hand, mut racket, mut turn) = (rest.0, rest.1, 0.0);
    if let Some((swing, t)) = figure.swing {
        let keys = swing_keys(&swing, to_body(figure, swing.ball), rest);
        (hand, racket) = keyed(&keys, t);
        turn = (hand[1] - 0.42).clamp(-0.7, 0.1) * if swing.motion == Motion::Backhand { -1.0 } else { 1.0 };
    }
    let low = if calm { 0.0 } else { 0.07 };
    let lean = if calm { 0.02 } else { 0.10 + 0.02 * figure.speed.min(4.0) };
    let hip_height = 0.94 - low;
    let (feet, knees, hips) = legs(figure, hip_height, calm);
    let across = |side: f64| [0.2 * side * turn.cos(), lean + 0.2 * side * turn.sin(), 1.47 - low * 1.2];
    let shoulders = [across(-1.0), across(1.0)];
    let hand = at_reach(shoulders[1], hand, 0.64, false);
    let racket = at_reach(hand, racket, 0.5, true);
    let other = other_hand(figure, hand, calm, shoulders[0]);
    let elbow = |a: Joint, b: Joint, side: f64| bend(a, b, 0.31, [0.45 * side, -0.55, -0.7]);
    Pose {
        feet,
        knees,
        hips,
        shoulders,
        head: [0.0, lean + 0.03, 1.71 - low * 1.2],
        elbows: [elbow(shoulders[0], other, -1.0), elbow(shoulders[1], hand, 1.0)],
        hands: [other, hand],
        racket,
    }
}

/// Feet, knees and hips; the feet follow the way covered and one of them is always on the ground.
fn legs(figure: &Figure, hip_height: f64, calm: bool) -> ([Joint; 2], [Joint; 2], [Joint; 2]) {
    let running = (figure.speed / 4.0).clamp(0.0, 1.0);
    let stride = 1.4 + 0.9 * running;
    let phase = figure.covered / stride * std::f64::consts::TAU;
    let moving = (figure.speed / 1.1).clamp(0.0, 1.0);
    let step = moving * (0.29 + 0.17 * running);
    let stance = if calm { 0.11 } else { 0.25 - 0.08 * moving };
    let g = figure.going;
    let a = figure.ahead;
    let way = [g[0] * a[1] - g[1] * a[0], g[0] * a[0] + g[1] * a[1]];
    let leg = |side: f64, phase: f64| {
        let (reach, lift) = (step * phase.sin(), moving * (0.07 + 0.16 * running) * phase.cos().max(0.0));
        let foot = [side * stance + way[0] * reach, way[1] * reach, 0.05 + lift];
        let hip = [side * 0.11, 0.0, hip_height - 0.03 * moving * phase.sin().abs()];
        (foot, bend(hip, foot, 0.47, [0.12 * side + 0.2 * way[0], 0.9, 0.1]), hip)
    };
    let (l, r) = (leg(-1.0, phase), leg(1.0, phase + std::f64::consts::PI));
    ([l.0, r.0], [l.1, r.1], [l.2, r.2])
}

fn other_hand(figure: &Figure, hand: Joint, calm: bool, shoulder: Joint) -> Joint {
    let goal = match figure.swing {
        Some((s, t)) if s.motion == Motion::Serve => {
            let up = ((t + 1.05) / 0.32).clamp(0.0, 1.0) * (1.0 - ((t + 0.35) / 0.3).clamp(0.0, 1.0));
            mix([-0.12, 0.4, 1.05], [-0.04, 0.5, 1.95], up)
        }
        Some((s, t)) if s.motion == Motion::Backhand && !s.short && t < 0.16 => {
            [hand[0] - 0.06, hand[1], hand[2] + 0.05]
        }
        Some((s, t)) if s.motion == Motion::Overhead && t < 0.0 => [-0.2, 0.4, 1.9],
        Some(_) => [-0.36, 0.4, 1.25],
        None if calm => {
            let swing = figure.speed.min(1.2) * 0.16;
            [-0.30, 0.04 + swing * (figure.covered / 1.4 * std::f64::consts::TAU).sin(), 0.86]
        }
        None => [-0.04, 0.5, 1.08],
    };
    at_reach(shoulder, goal, 0.62, false)
}

/// Draws a player; gives the pixels touched as left, top, right, bottom.
pub(super) fn draw(on: &mut Pixmap, camera: &Camera, figure: &Figure, kit: &Kit) -> [f64; 4] {
    let p = pose(figure);
    let px = |j: Joint| {
        let s = camera.see(to_court(figure, j));
        [s.x, s.y]
    };
    let scale = camera.see([figure.spot[0], figure.spot[1], 0.9]).scale;
    let shadow = shadow(on, camera, figure);
    let behind = |j: Joint| to_court(figure, j)[1] > figure.spot[1];
    for arm in [0, 1] {
        if behind(p.hands[arm]) {
            draw_arm(on, &p, arm, kit, scale, &px);
        }
    }
    for i in if behind(p.feet[0]) { [0, 1] } else { [1, 0] } {
        line(on, &[px(p.hips[i]), px(p.knees[i]), px(p.feet[i])], 0.125 * scale, kit.skin);
        let toe = [p.feet[i][0], p.feet[i][1] + 0.13, 0.045_f64.max(p.feet[i][2] - 0.02)];
        line(on, &[px(p.feet[i]), px(toe)], 0.105 * scale, [248, 248, 246, 255]);
        line(on, &[px(p.hips[i]), px(mix(p.hips[i], p.knees[i], 0.72))], 0.19 * scale, kit.shorts);
    }
    torso(on, &p, kit, scale, &px);
    for arm in [0, 1] {
        if !behind(p.hands[arm]) {
            draw_arm(on, &p, arm, kit, scale, &px);
        }
    }
    let all = p.feet.iter().chain(&p.hands).chain(&p.knees).chain([&p.head, &p.racket]);
    let mut bounds = shadow;
    for j in all {
        let [x, y] = px(*j);
        let m = 0.3 * scale;
        bounds = [bounds[0].min(x - m), bounds[1].min(y - m), bounds[2].max(x + m), bounds[3].max(y + m)];
    }
    bounds
}

fn torso(on: &mut Pixmap, p: &Pose, kit: &Kit, scale: f64, px: &dyn Fn(Joint) -> [f64; 2]) {
    let waist = [mix(p.hips[0], p.hips[1], -0.1), mix(p.hips[0], p.hips[1], 1.1)];
    let neck = mix(p.shoulders[0], p.shoulders[1], 0.5);
    line(on, &[px(neck), px(p.head)], 0.11 * scale, kit.skin);
    let outline = [px(p.shoulders[0]), px(p.shoulders[1]), px(waist[1]), px(waist[0])];
    polygon(on, &outline, kit.shirt);
    let closed = [outline[0], outline[1], outline[2], outline[3], outline[0]];
    line(on, &closed, 0.10 * scale, kit.shirt);
    if let Some(stripe) = kit.stripes {
        for part in [0.06, 0.36, 0.66, 0.96] {
            let ends = [px(mix(p.shoulders[0], waist[0], part)), px(mix(p.shoulders[1], waist[1], part))];
            line(on, &ends, 0.065 * scale, stripe);
        }
    }
    let [x, y] = px(p.head);
    line(on, &[[x, y + 0.025 * scale], [x, y - 0.02 * scale]], 0.20 * scale, kit.skin);
    hair(on, p, kit, scale, px);
}

/// Hair covers the head from behind and its top from before.
fn hair(on: &mut Pixmap, p: &Pose, kit: &Kit, scale: f64, px: &dyn Fn(Joint) -> [f64; 2]) {
    let back = px([p.head[0], p.head[1] - 0.05, p.head[2] + 0.045]);
    let front = px([p.head[0], p.head[1] + 0.02, p.head[2] + 0.075]);
    line(on, &[back, front], 0.175 * scale, kit.hair);
}

fn draw_arm(on: &mut Pixmap, p: &Pose, arm: usize, kit: &Kit, scale: f64, px: &dyn Fn(Joint) -> [f64; 2]) {
    let (shoulder, elbow, hand) = (p.shoulders[arm], p.elbows[arm], p.hands[arm]);
    line(on, &[px(shoulder), px(elbow), px(hand)], 0.085 * scale, kit.skin);
    line(on, &[px(shoulder), px(mix(shoulder, elbow, 0.6))], 0.13 * scale, kit.shirt);
    if arm == 1 {
        racket(on, hand, p.racket, scale, px);
    }
}

fn racket(on: &mut Pixmap, hand: Joint, head: Joint, scale: f64, px: &dyn Fn(Joint) -> [f64; 2]) {
    const FRAME: Ink = [28, 30, 36, 255];
    let (h, c) = (px(hand), px(head));
    let d = [c[0] - h[0], c[1] - h[1]];
    let seen = d[0].hypot(d[1]).max(1e-6);
    let along = [d[0] / seen, d[1] / seen];
    let long = (0.165 * scale * (seen / (0.5 * scale)).clamp(0.45, 1.0)).max(1.5);
    let wide = 0.12 * scale;
    let throat = [c[0] - along[0] * long, c[1] - along[1] * long];
    line(on, &[h, throat], 0.045 * scale, FRAME);
    let ring: Vec<[f64; 2]> = (0..=18)
        .map(|i| {
            let (s, k) = (f64::from(i) / 18.0 * std::f64::consts::TAU).sin_cos();
            [
                c[0] + along[0] * long * k - along[1] * wide * s,
                c[1] + along[1] * long * k + along[0] * wide * s,
            ]
        })
        .collect();
    polygon(on, &ring, [235, 238, 236, 90]);
    line(on, &ring, 0.035 * scale, FRAME);
}

/// The shadow of a player on the ground, with the sun at the left behind the camera.
fn shadow(on: &mut Pixmap, camera: &Camera, figure: &Figure) -> [f64; 4] {
    let mut bounds = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
    let [x, y] = figure.spot;
    for (centre, long, wide, dark) in [([0.42, 0.27], 0.72, 0.21, 62), ([0.0, 0.0], 0.3, 0.2, 70)] {
        let ring: Vec<[f64; 2]> = (0..24)
            .map(|i| {
                let (s, c) = (f64::from(i) / 24.0 * std::f64::consts::TAU).sin_cos();
                let (u, v) = (c * long, s * wide);
                let at = camera.see([
                    x + centre[0] + 0.84 * u - 0.54 * v,
                    y + centre[1] + 0.54 * u + 0.84 * v,
                    0.0,
                ]);
                [at.x, at.y]
            })
            .collect();
        for p in &ring {
            bounds = [bounds[0].min(p[0]), bounds[1].min(p[1]), bounds[2].max(p[0]), bounds[3].max(p[1])];
        }
        polygon(on, &ring, [8, 22, 32, dark]);
    }
    bounds
}

#[cfg(test)]
mod tests {
    use super::super::play::{Wanted, play};
    use super::*;

    #[test]
    fn a_foot_is_on_the_ground_and_the_racket_meets_the_ball() {
        let m = play(&Wanted { number: 2, games: Some(3), points: None, brisk: true });
        let mut t = 0.0;
        while t < m.stage.end {
            for track in &m.stage.players {
                let p = pose(&track.at(t));
                let low = p.feet[0][2].min(p.feet[1][2]);
                assert!((0.0..0.09).contains(&low), "feet at {low} m at {t}");
            }
            t += 0.033;
        }
        for s in m.points.iter().flat_map(|p| &p.strikes) {
            let at = s.time.as_secs_f64();
            let figure = m.stage.players[s.by.index()].at(at);
            let racket = to_court(&figure, pose(&figure).racket);
            let off = apart(racket, [s.from.x.0, s.from.y.0, s.height.0]);
            assert!(off < 0.25, "racket {off} m from the ball: {s:?}");
        }
    }

    #[test]
    fn the_body_frame_turns_both_ways() {
        let figure = super::super::stage::Track::default().at(0.0);
        let at = [1.0, 2.0, 3.0];
        let back = to_court(&figure, to_body(&figure, at));
        assert!(apart(at, back) < 1e-12);
    }
}
