//! One frame after another: the still layers, and on them what moves. Only what changed is drawn again.

use tiny_skia::{BlendMode, FilterQuality, IntRect, Pixmap, PixmapPaint, Transform};

use super::camera::Camera;
use super::figure;
use super::scene::{Ink, Scene, line, polygon};
use super::stage::Stage;

const BALL: Ink = [236, 244, 84, 255];
/// Blocks of the frame number's bar code.
pub(super) const BLOCKS: u32 = 24;

/// Draws frames of one size.
#[derive(Debug)]
pub(super) struct Renderer {
    camera: Camera,
    scene: Scene,
    canvas: Pixmap,
    stale: Vec<Area>,
}

/// A rectangle of pixels: left, top, right, bottom, the last two outside.
type Area = [i32; 4];

impl Renderer {
    /// For pictures of this size in pixels; `None` when the size is zero.
    pub fn new(width: u32, height: u32) -> Option<Self> {
        let camera = Camera::behind_the_court(f64::from(width), f64::from(height));
        let scene = Scene::new(&camera, width, height)?;
        let canvas = Pixmap::new(width, height)?;
        Some(Self { camera, scene, canvas, stale: vec![[0, 0, width as i32, height as i32]] })
    }

    /// Looks with another camera from the next frame on.
    pub fn look(&mut self, camera: &Camera) {
        if *camera == self.camera {
            return;
        }
        let (width, height) = (self.canvas.width(), self.canvas.height());
        if let Some(scene) = Scene::new(camera, width, height) {
            (self.camera, self.scene) = (*camera, scene);
            self.stale = vec![[0, 0, width as i32, height as i32]];
        }
    }

    /// The picture at a moment (seconds on the match clock), with a frame number when one is given.
    pub fn frame(&mut self, stage: &Stage, t: f64, number: Option<u64>) -> &Pixmap {
        let mut areas = std::mem::take(&mut self.stale);
        let now = self.moving_areas(stage, t);
        areas.extend(&now);
        let areas = disjoint(areas);
        for area in &areas {
            copy(&self.scene.ground, &mut self.canvas, *area);
        }
        self.stale = self.draw_half(stage, t, true);
        for area in &areas {
            lay_over(&self.scene.net, &mut self.canvas, *area);
        }
        let near = self.draw_half(stage, t, false);
        self.stale.extend(near);
        if let Some(n) = number {
            self.stale.push(frame_number(&mut self.canvas, n));
        }
        &self.canvas
    }

    /// Areas that this frame will touch behind the net: the net must be laid over them once.
    fn moving_areas(&self, stage: &Stage, t: f64) -> Vec<Area> {
        let mut areas = Vec::new();
        for track in &stage.players {
            let f = track.at(t);
            let (feet, top) =
                (self.camera.see([f.spot[0], f.spot[1], 0.0]), self.camera.see([f.spot[0], f.spot[1], 2.8]));
            let m = feet.scale * 1.5;
            areas.push(self.area([feet.x - m, top.y, feet.x + m, feet.y + 0.4 * feet.scale]));
        }
        let ball = stage.ball_at(t).map(|b| [b, [b[0] + 0.55 * b[2], b[1] + 0.35 * b[2], 0.0]]);
        let puff = stage.bounce_before(t, 0.14).map(|(_, at)| at);
        for at in ball.into_iter().flatten().chain(puff) {
            let s = self.camera.see(at);
            let m = 8.0 * self.unit() + 0.3 * s.scale;
            areas.push(self.area([s.x - m, s.y - m, s.x + m, s.y + m]));
        }
        areas
    }

    fn area(&self, b: [f64; 4]) -> Area {
        let (w, h) = (f64::from(self.canvas.width()), f64::from(self.canvas.height()));
        [
            (b[0] - 2.0).clamp(0.0, w) as i32,
            (b[1] - 2.0).clamp(0.0, h) as i32,
            (b[2] + 3.0).clamp(0.0, w) as i32,
            (b[3] + 3.0).clamp(0.0, h) as i32,
        ]
    }

    /// Draws what moves beyond the net, or what moves on the near side of it.
    fn draw_half(&mut self, stage: &Stage, t: f64, beyond: bool) -> Vec<Area> {
        let mut touched = Vec::new();
        let ball = stage.ball_at(t).filter(|b| (b[1] > 0.0) == beyond);
        if let Some(at) = ball {
            touched.push(self.ball_shadow(at));
        }
        if let Some((age, at)) = stage.bounce_before(t, 0.14).filter(|(_, at)| (at[1] > 0.0) == beyond) {
            touched.push(self.puff(at, age));
        }
        let mut figures: Vec<_> = stage
            .players
            .iter()
            .zip([figure::HOLT, figure::OKAFOR])
            .map(|(track, kit)| (track.at(t), kit))
            .filter(|(f, _)| (f.spot[1] > 0.0) == beyond)
            .collect();
        figures.sort_by(|a, b| b.0.spot[1].total_cmp(&a.0.spot[1]));
        let mut ball_left = ball;
        for (f, kit) in figures {
            if let Some(at) = ball_left.filter(|at| at[1] > f.spot[1]) {
                touched.push(self.ball(stage, at, t));
                ball_left = None;
            }
            let bounds = figure::draw(&mut self.canvas, &self.camera, &f, &kit);
            touched.push(self.area(bounds));
        }
        if let Some(at) = ball_left {
            touched.push(self.ball(stage, at, t));
        }
        touched
    }

    fn unit(&self) -> f64 {
        f64::from(self.canvas.height()) / 720.0
    }

    /// The ball, drawn out along its way by the time a shutter is open (1/200 s), and never too small to see.
    fn ball(&mut self, stage: &Stage, at: [f64; 3], t: f64) -> Area {
        let s = self.camera.see(at);
        let before =
            stage.ball_at(t - 0.005).filter(|b| (b[0] - at[0]).hypot(b[1] - at[1]) < 0.5).unwrap_or(at);
        let p = self.camera.see(before);
        let unit = self.unit();
        let radius = (0.0335 * s.scale).max(2.1 * unit);
        let squash = if at[2] < 0.09 { 0.82 } else { 1.0 };
        line(&mut self.canvas, &[[p.x, p.y], [s.x, s.y]], 2.0 * radius + 1.3 * unit, [22, 40, 30, 90]);
        line(&mut self.canvas, &[[p.x, p.y], [s.x, s.y]], 2.0 * radius * squash, BALL);
        let m = radius + 2.0;
        self.area([s.x.min(p.x) - m, s.y.min(p.y) - m, s.x.max(p.x) + m, s.y.max(p.y) + m])
    }

    fn ring(&self, at: [f64; 2], radius: f64) -> Vec<[f64; 2]> {
        (0..20)
            .map(|i| {
                let (s, c) = (f64::from(i) / 20.0 * std::f64::consts::TAU).sin_cos();
                let p = self.camera.see([at[0] + radius * c, at[1] + radius * s, 0.0]);
                [p.x, p.y]
            })
            .collect()
    }

    fn ball_shadow(&mut self, at: [f64; 3]) -> Area {
        let on_ground = [at[0] + 0.55 * at[2], at[1] + 0.35 * at[2]];
        let s = self.camera.see([on_ground[0], on_ground[1], 0.0]);
        let radius = 0.05_f64.max(2.4 * self.unit() / s.scale);
        let ring = self.ring(on_ground, radius);
        polygon(&mut self.canvas, &ring, [6, 18, 28, 120]);
        let m = radius * s.scale + 2.0;
        self.area([s.x - m, s.y - m, s.x + m, s.y + m])
    }

    /// A faint ring that widens where a ball has bounced.
    fn puff(&mut self, at: [f64; 3], age: f64) -> Area {
        let part = (age / 0.14).clamp(0.0, 1.0);
        let s = self.camera.see([at[0], at[1], 0.0]);
        let radius = (0.06 + 0.22 * part).max(3.0 * self.unit() / s.scale);
        let mut ring = self.ring([at[0], at[1]], radius);
        ring.extend(ring.first().copied());
        let faint = (150.0 * (1.0 - part)) as u8;
        let width = 1.6 * self.unit();
        line(&mut self.canvas, &ring, width, [255, 255, 255, faint]);
        let m = radius * s.scale + 3.0;
        self.area([s.x - m, s.y - m, s.x + m, s.y + m])
    }
}

/// Draws a frame's number along the top: 24 blocks of a fortieth of the width and a thirtieth of the height from
/// the left edge, the most significant first, white for one and black for nought; then the digits.
fn frame_number(on: &mut Pixmap, number: u64) -> Area {
    let (w, h) = (f64::from(on.width()), f64::from(on.height()));
    let (block, tall) = (w / 40.0, h / 30.0);
    polygon(on, &[[0.0, 0.0], [w, 0.0], [w, tall], [0.0, tall]], [0, 0, 0, 255]);
    for i in 0..BLOCKS {
        if number >> (BLOCKS - 1 - i) & 1 == 1 {
            let x = f64::from(i) * block;
            polygon(on, &[[x, 0.0], [x + block, 0.0], [x + block, tall], [x, tall]], [255, 255, 255, 255]);
        }
    }
    for (i, digit) in format!("{number:07}").bytes().enumerate() {
        let x = block * (25.5 + 1.1 * i as f64);
        seven_segments(on, digit - b'0', [x, tall * 0.14], tall * 0.72);
    }
    [0, 0, w as i32, tall.ceil() as i32]
}

fn seven_segments(on: &mut Pixmap, digit: u8, at: [f64; 2], tall: f64) {
    const LIT: [u8; 10] = [
        0b111_0111, 0b010_0100, 0b101_1101, 0b110_1101, 0b010_1110, 0b110_1011, 0b111_1011, 0b010_0101,
        0b111_1111, 0b110_1111,
    ];
    let (l, r, t, m, b) = (0.0, 0.55, 0.0, 0.5, 1.0);
    let ways =
        [[l, t, r, t], [l, t, l, m], [r, t, r, m], [l, m, r, m], [l, m, l, b], [r, m, r, b], [l, b, r, b]];
    for (i, s) in ways.iter().enumerate() {
        if LIT[usize::from(digit.min(9))] >> i & 1 == 1 {
            let p = |x: f64, y: f64| [at[0] + x * tall, at[1] + y * tall];
            line(on, &[p(s[0], s[1]), p(s[2], s[3])], tall * 0.13, [255, 255, 255, 255]);
        }
    }
}

/// The same pixels as areas that do not overlap, so that nothing half transparent is laid over twice.
fn disjoint(mut areas: Vec<Area>) -> Vec<Area> {
    areas.retain(|a| a[2] > a[0] && a[3] > a[1]);
    let mut i = 0;
    while i < areas.len() {
        let meets = |a: &Area, b: &Area| a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
        if let Some(j) = (i + 1..areas.len()).find(|j| meets(&areas[i], &areas[*j])) {
            let (a, b) = (areas[i], areas.swap_remove(j));
            areas[i] = [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])];
            i = 0;
        } else {
            i += 1;
        }
    }
    areas
}

fn copy(from: &Pixmap, to: &mut Pixmap, area: Area) {
    let stride = from.width() as usize * 4;
    let (left, right) = (area[0] as usize * 4, area[2] as usize * 4);
    for y in area[1] as usize..area[3] as usize {
        let row = y * stride + left..y * stride + right;
        to.data_mut()[row.clone()].copy_from_slice(&from.data()[row]);
    }
}

fn lay_over(layer: &Pixmap, on: &mut Pixmap, area: Area) {
    let rect = IntRect::from_ltrb(area[0], area[1], area[2], area[3]);
    let Some(part) = rect.and_then(|r| layer.clone_rect(r)) else { return };
    let paint =
        PixmapPaint { opacity: 1.0, blend_mode: BlendMode::SourceOver, quality: FilterQuality::Nearest };
    on.draw_pixmap(area[0], area[1], part.as_ref(), &paint, Transform::identity(), None);
}

#[cfg(test)]
mod tests {
    use super::super::play::{Wanted, play};
    use super::*;

    #[test]
    fn redrawing_what_changed_equals_drawing_all() {
        let m = play(&Wanted { number: 1, games: Some(2), points: Some(4), brisk: true });
        let mut kept = Renderer::new(640, 360).unwrap();
        for i in 0..190_u32 {
            let t = f64::from(i) * 0.29;
            kept.frame(&m.stage, t, None);
            if i % 60 == 7 {
                let mut fresh = Renderer::new(640, 360).unwrap();
                let (a, b) = (kept.canvas.data(), fresh.frame(&m.stage, t, None).data());
                let worst = a.iter().zip(b).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
                assert!(worst <= 1, "off by {worst} at {t}");
            }
        }
    }

    #[test]
    fn a_frame_number_can_be_read_back() {
        let mut on = Pixmap::new(1280, 720).unwrap();
        frame_number(&mut on, 5_000_123);
        let read =
            (0..BLOCKS).fold(0, |n, i| n << 1 | u64::from(on.pixel(i * 32 + 16, 12).unwrap().red() > 127));
        assert_eq!(read, 5_000_123);
    }

    #[test]
    fn the_ball_is_seen_where_the_camera_says() {
        let m = play(&Wanted { number: 1, games: Some(1), points: None, brisk: true });
        let near = |s: &&super::super::truth::Strike| s.fate_spot.y.0 < -3.0;
        let s = m.points.iter().flat_map(|p| &p.strikes).find(near).unwrap();
        let t = s.fate_time.as_secs_f64();
        let mut r = Renderer::new(1280, 720).unwrap();
        let at = r.camera.see(m.stage.ball_at(t).unwrap());
        let p = r.frame(&m.stage, t, None).pixel(at.x as u32, at.y as u32).unwrap();
        assert!(p.red() > 180 && p.green() > 190 && p.blue() < 150, "{p:?}");
    }

    #[test]
    fn areas_do_not_overlap_afterwards() {
        let all = disjoint(vec![[0, 0, 4, 4], [10, 0, 12, 2], [3, 3, 11, 6], [20, 20, 20, 30]]);
        assert_eq!(all, vec![[0, 0, 12, 6]]);
    }
}
