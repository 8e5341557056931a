//! Where the camera was in each frame of the demo's footage, and where the court is in its picture: a line of JSON for each frame.

use serde::Serialize;

use super::camera::Camera;
use super::camera_work::{Filming, Showing, View};
use super::play::Match;
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, LANDMARKS, SERVICE_LINE};
use crate::time::MatchTime;

/// Two frames are farther apart than this only where a part of the match was cut out, seconds.
const LONGEST: f64 = 0.25;

/// Films, and writes down what the camera does.
#[derive(Debug)]
pub(super) struct CameraTruth {
    filming: Filming,
    file: String,
    /// The take and the moment of the frame before.
    before: Option<(u32, f64)>,
    lines: String,
}

impl CameraTruth {
    pub fn new(filming: Filming) -> Self {
        Self { filming, file: String::new(), before: None, lines: String::new() }
    }

    /// Begins the file with this name.
    pub fn begin(&mut self, file: &str) {
        file.clone_into(&mut self.file);
        self.before = None;
    }

    /// The camera of a frame: `t` is its moment on the match clock, in seconds, `time` the same from the start of its file.
    pub fn at(&mut self, game: &Match, t: f64, frame: u64, time: MatchTime) -> Camera {
        let view = self.filming.at(game, t);
        let before = self.before.replace((view.take, t));
        let cut = before.is_some_and(|(take, then)| take != view.take || t - then > LONGEST);
        let truth = FrameTruth::of(&view, self.filming.size(), &self.file, frame, time, cut);
        if let Ok(line) = serde_json::to_string(&truth) {
            self.lines.push_str(&line);
            self.lines.push('\n');
        }
        view.camera
    }

    /// What was written down.
    pub fn lines(&self) -> &str {
        &self.lines
    }
}

/// The truth of one frame: one line of JSON.
#[derive(Debug, Serialize)]
struct FrameTruth<'a> {
    /// Name of the file.
    file: &'a str,
    /// Number of the frame in its file, from 0.
    frame: u64,
    /// When it is shown, from the start of its file.
    time: MatchTime,
    showing: Showing,
    /// Whether it is the first frame after a cut.
    cut: bool,
    bumped: bool,
    /// Where the camera is, metres: x, y, height.
    position: [f64; 3],
    /// To the right of the picture, down, and forward, in the court's axes.
    axes: [[f64; 3]; 3],
    /// Pixels; the picture's middle is the middle of the lens's picture, and the lens does not bend lines.
    focal: f64,
    /// How many of the nine painted lines are in the picture, at least a quarter of each.
    lines: usize,
    /// Where the 14 landmarks are in the picture, perhaps beyond its edges; null behind the camera.
    landmarks: Vec<Option<[f64; 2]>>,
}

impl<'a> FrameTruth<'a> {
    fn of(view: &View, size: [f64; 2], file: &'a str, frame: u64, time: MatchTime, cut: bool) -> Self {
        let camera = &view.camera;
        let (position, axes, focal) = camera.pose();
        let lines = lines_in(camera, size);
        let landmarks = LANDMARKS.iter().map(|l| camera.see_before([l.spot.x.0, l.spot.y.0, 0.0]));
        let landmarks = landmarks.collect();
        let (showing, bumped) = (view.showing, view.bumped);
        Self { file, frame, time, showing, cut, bumped, position, axes, focal, lines, landmarks }
    }
}

/// The painted lines from end to end.
const LINES: [[[f64; 2]; 2]; 9] = {
    let (b, v, s, d) = (HALF_LENGTH.0, SERVICE_LINE.0, HALF_SINGLES.0, HALF_DOUBLES.0);
    [
        [[-d, -b], [d, -b]],
        [[-d, b], [d, b]],
        [[-s, -v], [s, -v]],
        [[-s, v], [s, v]],
        [[-d, -b], [-d, b]],
        [[-s, -b], [-s, b]],
        [[0.0, -v], [0.0, v]],
        [[s, -b], [s, b]],
        [[d, -b], [d, b]],
    ]
};

/// How many painted lines are in a picture of this size, at least a quarter of each.
pub(super) fn lines_in(camera: &Camera, size: [f64; 2]) -> usize {
    LINES.iter().filter(|l| shown(camera, size, l) >= 0.25).count()
}

/// Which part of a line is in the picture.
fn shown(camera: &Camera, size: [f64; 2], [a, b]: &[[f64; 2]; 2]) -> f64 {
    const PLACES: usize = 40;
    let inside = |i: &usize| {
        let part = (*i as f64 + 0.5) / PLACES as f64;
        let at = camera.see_before([a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part, 0.0]);
        at.is_some_and(|[x, y]| (0.0..size[0]).contains(&x) && (0.0..size[1]).contains(&y))
    };
    (0..PLACES).filter(inside).count() as f64 / PLACES as f64
}
