//! What does not move: sky, screens, ground, lines, net. Drawn once for each size of picture.

use tiny_skia::{
    Color, FillRule, GradientStop, LineCap, LineJoin, LinearGradient, Paint, Path, PathBuilder, Pixmap,
    Point, SpreadMode, Stroke, Transform,
};

use super::camera::Camera;
use super::space::mix;
use crate::tennis::court::{
    BASELINE_WIDTH, CENTRE_LINE_WIDTH, CENTRE_MARK, HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, LINE_WIDTH,
    Metres, POST_OUTSIDE, SERVICE_LINE, net_height,
};

/// Red, green, blue and opacity.
pub(super) type Ink = [u8; 4];

const SURROUND: Ink = [74, 110, 98, 255];
const COURT: Ink = [58, 103, 138, 255];
const LINE: Ink = [244, 246, 242, 255];
const SCREEN: Ink = [38, 62, 60, 255];
const SCREEN_SIDE: Ink = [46, 72, 69, 255];
const SCREEN_EDGE: Ink = [70, 98, 92, 255];
const GRASS: Ink = [96, 122, 92, 255];
/// Distance of the side screens from the middle, metres.
const SIDE: f64 = 10.2;
/// Distance of the screen at the far end from the net, metres.
const BACK: f64 = 18.29;
/// Height of the screens, metres.
const TALL: f64 = 2.6;

/// A paint of one colour with soft edges.
pub(super) fn ink(c: Ink) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(c[0], c[1], c[2], c[3]);
    paint.anti_alias = true;
    paint
}

/// The way along points given in pixels, and back to the first if it closes.
fn way(points: &[[f64; 2]], closes: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (i, p) in points.iter().enumerate() {
        if i == 0 {
            path.move_to(p[0] as f32, p[1] as f32);
        } else {
            path.line_to(p[0] as f32, p[1] as f32);
        }
    }
    if closes {
        path.close();
    }
    path.finish()
}

/// Fills a polygon given in pixels.
pub(super) fn polygon(on: &mut Pixmap, points: &[[f64; 2]], colour: Ink) {
    if let Some(path) = way(points, true) {
        on.fill_path(&path, &ink(colour), FillRule::Winding, Transform::identity(), None);
    }
}

/// Draws a line of a width in pixels, with round ends.
pub(super) fn line(on: &mut Pixmap, points: &[[f64; 2]], width: f64, colour: Ink) {
    let Some(path) = way(points, false) else { return };
    let stroke = Stroke {
        width: width as f32,
        line_cap: LineCap::Round,
        line_join: LineJoin::Round,
        ..Stroke::default()
    };
    on.stroke_path(&path, &ink(colour), &stroke, Transform::identity(), None);
}

/// The two still layers.
#[derive(Debug, Clone)]
pub(super) struct Scene {
    /// Everything but the net.
    pub ground: Pixmap,
    /// The net alone, on nothing.
    pub net: Pixmap,
}

impl Scene {
    /// Draws both for a camera and a size in pixels; `None` when the size is zero.
    pub fn new(camera: &Camera, width: u32, height: u32) -> Option<Self> {
        let (mut ground, mut net) = (Pixmap::new(width, height)?, Pixmap::new(width, height)?);
        sky(&mut ground, camera);
        surround(&mut ground, camera);
        lines(&mut ground, camera);
        benches(&mut ground, camera);
        flat(&mut ground, camera, [[-6.4, 0.0], [6.4, 0.0], [6.9, 0.36], [-5.9, 0.36]], [10, 24, 34, 60]);
        draw_net(&mut net, camera);
        Some(Self { ground, net })
    }
}

fn seen(camera: &Camera, at: [f64; 3]) -> [f64; 2] {
    let s = camera.see(at);
    [s.x, s.y]
}

fn solid(on: &mut Pixmap, camera: &Camera, corners: &[[f64; 3]], colour: Ink) {
    let before = clipped(camera, corners);
    let points: Vec<[f64; 2]> = before.iter().map(|c| seen(camera, *c)).collect();
    polygon(on, &points, colour);
}

/// The part of a polygon that is before the camera (Sutherland & Hodgman 1974).
fn clipped(camera: &Camera, corners: &[[f64; 3]]) -> Vec<[f64; 3]> {
    const NEAREST: f64 = 0.2;
    let next = corners.iter().cycle().skip(1);
    let mut kept = Vec::with_capacity(corners.len() + 1);
    for (a, b) in corners.iter().zip(next) {
        let (from, to) = (camera.depth(*a) - NEAREST, camera.depth(*b) - NEAREST);
        if from >= 0.0 {
            kept.push(*a);
        }
        if (from < 0.0) != (to < 0.0) {
            kept.push(mix(*a, *b, from / (from - to)));
        }
    }
    kept
}

fn flat(on: &mut Pixmap, camera: &Camera, corners: [[f64; 2]; 4], colour: Ink) {
    solid(on, camera, &corners.map(|c| [c[0], c[1], 0.0]), colour);
}

/// A rectangle on the ground from its lower left to its upper right corner.
fn rect(on: &mut Pixmap, camera: &Camera, a: [f64; 2], b: [f64; 2], colour: Ink) {
    flat(on, camera, [a, [b[0], a[1]], b, [a[0], b[1]]], colour);
}

fn shade(on: &mut Pixmap, area: [[f64; 2]; 4], from: (f64, Ink), to: (f64, Ink)) {
    let stop = |at: f32, c: Ink| GradientStop::new(at, Color::from_rgba8(c[0], c[1], c[2], c[3]));
    let ends = (Point::from_xy(0.0, from.0 as f32), Point::from_xy(0.0, to.0 as f32));
    let stops = vec![stop(0.0, from.1), stop(1.0, to.1)];
    let Some(shader) = LinearGradient::new(ends.0, ends.1, stops, SpreadMode::Pad, Transform::identity())
    else {
        return;
    };
    if let Some(path) = way(&area, true) {
        let paint = Paint { shader, ..Paint::default() };
        on.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
    }
}

fn sky(on: &mut Pixmap, camera: &Camera) {
    let (w, h) = (f64::from(on.width()), f64::from(on.height()));
    let [ahead, horizon] = camera.horizon();
    let all = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
    shade(on, all, (0.0, [158, 186, 206, 255]), (horizon, [226, 232, 230, 255]));
    let unit = h / 720.0 * camera.enlarges();
    for (row, colour) in [(0, [128, 148, 142, 255]), (1, [88, 112, 96, 255])] {
        let step = if row == 0 { 46.0 } else { 62.0 } * unit;
        // The trees stand where they stand when the camera turns: the first one of the still camera's picture is at its left edge.
        let left = ahead - w / 2.0 * camera.enlarges();
        let mut i = (-left / step).floor() as i32 - 1;
        while left + f64::from(i) * step < w + step {
            let wave = f64::from(i.cast_unsigned().wrapping_mul(2_654_435_761) >> 20) / 4096.0;
            let radius = (if row == 0 { 30.0 } else { 34.0 } + 16.0 * wave) * unit;
            let y = horizon + if row == 0 { 2.0 } else { 26.0 } * unit;
            let x = left + f64::from(i) * step;
            line(on, &[[x, y], [x, h]], 2.0 * radius, colour);
            i += 1;
        }
    }
    let lawn = horizon + 44.0 * unit;
    polygon(on, &[[0.0, lawn], [w, lawn], [w, h], [0.0, h]], GRASS);
}

fn surround(on: &mut Pixmap, camera: &Camera) {
    rect(on, camera, [-SIDE, -19.0], [SIDE, BACK], SURROUND);
    rect(on, camera, [-HALF_DOUBLES.0, -HALF_LENGTH.0], [HALF_DOUBLES.0, HALF_LENGTH.0], COURT);
    let (w, h) = (f64::from(on.width()), f64::from(on.height()));
    let top = camera.see([0.0, BACK, 0.0]).y;
    let all = [[0.0, top], [w, top], [w, h], [0.0, h]];
    shade(on, all, (top, [255, 255, 255, 20]), (h, [0, 16, 28, 34]));
    let wall = |on: &mut Pixmap, a: [f64; 2], b: [f64; 2], colour: Ink| {
        solid(
            on,
            camera,
            &[[a[0], a[1], 0.0], [b[0], b[1], 0.0], [b[0], b[1], TALL], [a[0], a[1], TALL]],
            colour,
        );
        let top = [seen(camera, [a[0], a[1], TALL]), seen(camera, [b[0], b[1], TALL])];
        line(on, &top, h / 360.0, SCREEN_EDGE);
    };
    wall(on, [-SIDE, BACK], [SIDE, BACK], SCREEN);
    wall(on, [-SIDE, -19.0], [-SIDE, BACK], SCREEN_SIDE);
    wall(on, [SIDE, -19.0], [SIDE, BACK], SCREEN_SIDE);
    for i in -3..=3 {
        let x = f64::from(i) * SIDE / 3.0;
        let post = [seen(camera, [x, BACK, 0.0]), seen(camera, [x, BACK, TALL + 0.25])];
        line(on, &post, h / 480.0, SCREEN_EDGE);
    }
    flat(
        on,
        camera,
        [[-SIDE, BACK], [SIDE, BACK], [SIDE, BACK - 0.5], [-SIDE, BACK - 0.5]],
        [10, 24, 34, 50],
    );
    flat(
        on,
        camera,
        [[-SIDE, -19.0], [-SIDE, BACK], [1.1 - SIDE, BACK], [1.1 - SIDE, -19.0]],
        [10, 24, 34, 50],
    );
}

fn lines(on: &mut Pixmap, camera: &Camera) {
    let (b, s, d, v) = (HALF_LENGTH.0, HALF_SINGLES.0, HALF_DOUBLES.0, SERVICE_LINE.0);
    let (w, half) = (LINE_WIDTH.0, CENTRE_LINE_WIDTH.0 / 2.0);
    for x in [-d, d - w] {
        rect(on, camera, [x, -b], [x + w, b], LINE);
    }
    for x in [-s, s - w] {
        rect(on, camera, [x, -b], [x + w, b], LINE);
    }
    rect(on, camera, [-half, -v], [half, v], LINE);
    for y in [-v, v - w] {
        rect(on, camera, [-s, y], [s, y + w], LINE);
    }
    let wide = BASELINE_WIDTH.0;
    for y in [-b, b - wide] {
        rect(on, camera, [-d, y], [d, y + wide], LINE);
    }
    let mark = CENTRE_MARK.0 + wide;
    for y in [-b, b - mark] {
        rect(on, camera, [-half, y], [half, y + mark], LINE);
    }
}

/// Two benches beside the net, where the players rest at a change of ends.
fn benches(on: &mut Pixmap, camera: &Camera) {
    const SEAT: Ink = [196, 178, 148, 255];
    const FRONT: Ink = [150, 132, 106, 255];
    for y in [2.3, -2.9] {
        let (x0, x1, y1) = (-9.25, -8.75, y + 1.5);
        flat(on, camera, [[x0, y], [x1 + 0.5, y + 0.1], [x1 + 0.5, y1 + 0.2], [x0, y1]], [10, 24, 34, 70]);
        solid(on, camera, &[[x1, y, 0.12], [x1, y1, 0.12], [x1, y1, 0.45], [x1, y, 0.45]], FRONT);
        solid(on, camera, &[[x0, y, 0.12], [x1, y, 0.12], [x1, y, 0.45], [x0, y, 0.45]], FRONT);
        solid(on, camera, &[[x0, y, 0.45], [x1, y, 0.45], [x1, y1, 0.45], [x0, y1, 0.45]], SEAT);
    }
}

fn draw_net(on: &mut Pixmap, camera: &Camera) {
    let end = (HALF_DOUBLES + POST_OUTSIDE).0;
    let top = |x: f64| net_height(Metres(x)).0;
    let corner = |x: f64, z: f64| [x, 0.0, z];
    let mesh = [
        corner(-end, 0.02),
        corner(end, 0.02),
        corner(end, top(end)),
        corner(0.0, top(0.0)),
        corner(-end, top(end)),
    ];
    solid(on, camera, &mesh, [18, 30, 38, 105]);
    let unit = f64::from(on.height()) / 720.0;
    let cord: Ink = [12, 20, 26, 70];
    let mut x = -end + 0.2;
    while x < end {
        line(on, &[seen(camera, corner(x, 0.02)), seen(camera, corner(x, top(x)))], 0.7 * unit, cord);
        x += 0.2;
    }
    for i in 1..5 {
        let z = f64::from(i) * 0.2;
        let up = |x: f64| corner(x, z * top(x) / top(0.0));
        line(on, &[seen(camera, up(-end)), seen(camera, up(0.0)), seen(camera, up(end))], 0.7 * unit, cord);
    }
    let strap = [corner(-0.03, 0.0), corner(0.03, 0.0), corner(0.03, top(0.0)), corner(-0.03, top(0.0))];
    solid(on, camera, &strap, LINE);
    let band = [
        corner(-end, top(end)),
        corner(0.0, top(0.0)),
        corner(end, top(end)),
        corner(end, top(end) - 0.07),
        corner(0.0, top(0.0) - 0.07),
        corner(-end, top(end) - 0.07),
    ];
    solid(on, camera, &band, LINE);
    for x in [-end, end] {
        let post = [seen(camera, corner(x, 0.0)), seen(camera, corner(x, top(end) + 0.03))];
        line(on, &post, camera.see(corner(x, 0.5)).scale * 0.09, [40, 52, 56, 255]);
    }
}
