//! Drawing on the picture with a mouse, a pen or a finger: from a tool and the places it was dragged over to a drawing.
//!
//! Every tool needs one stroke: press, drag, let go. On ground that a camera is known for, the ends of a stroke snap to the
//! corners and lines of the court.

use std::time::Duration;

use crate::drawing::{Anchor, Colour, Drawing, Shape, View};
use crate::logging::Key;
use crate::measure::Pixel;
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, LANDMARKS, Metres, SERVICE_LINE, Spot};
use crate::time::MatchTime;

/// How near to a corner of the court a place must be to snap to it, in parts of the picture's height; half of it to a line.
const SNAP: f64 = 0.02;
/// How far apart the places of a free line are, in parts of the picture's height.
const STEP: f64 = 0.012;
/// A stroke shorter than this, in parts of the picture's height, is a click.
const CLICK: f64 = 0.012;
/// The radius of a ring or light that was clicked, on the ground and as a part of the picture's width.
const AROUND: (Metres, f64) = (Metres(0.9), 0.03);
/// The largest radius of a ring on the ground.
const MOST_AROUND: f64 = 30.0;

/// What a stroke draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tool {
    /// An arrow from where the stroke begins to where it ends.
    #[default]
    Arrow,
    /// The path that a player runs, as the stroke goes.
    Run,
    /// A ring around where the stroke begins.
    Ring,
    /// Light around where the stroke begins.
    Spotlight,
    /// A rectangle from corner to corner; on the ground along the lines of the court.
    Zone,
    /// A distance from end to end.
    Distance,
    /// A free line, as the stroke goes.
    Line,
    /// Words where the picture is clicked.
    Text,
}

impl Tool {
    /// All, in the order of their keys.
    pub const ALL: [Self; 8] = [
        Self::Arrow,
        Self::Run,
        Self::Ring,
        Self::Spotlight,
        Self::Zone,
        Self::Distance,
        Self::Line,
        Self::Text,
    ];

    /// Its name on its button.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Arrow => "Arrow",
            Self::Run => "Run",
            Self::Ring => "Ring",
            Self::Spotlight => "Light",
            Self::Zone => "Zone",
            Self::Distance => "Distance",
            Self::Line => "Line",
            Self::Text => "Text",
        }
    }

    /// What to do with it.
    pub const fn help(self) -> &'static str {
        match self {
            Self::Arrow => "Drag from where it starts to where it points.",
            Self::Run => "Drag along the path that the player runs.",
            Self::Ring => "Click at the player’s feet, or drag from there to make it larger.",
            Self::Spotlight => "Click at the player’s feet. The rest of the picture gets darker.",
            Self::Zone => "Drag from one corner to the opposite one.",
            Self::Distance => "Drag from one end to the other.",
            Self::Line => "Drag to draw.",
            Self::Text => "Click where the words begin.",
        }
    }
}

/// What a key did while drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Did {
    /// Another tool or colour is chosen, or drawing on the ground is on or off.
    Chose,
    /// The last drawing that is seen is to be deleted.
    Delete,
    /// Drawing is over.
    Left,
}

/// The tool, and the stroke that is being drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// What a stroke draws.
    pub tool: Tool,
    /// In which colour.
    pub colour: Colour,
    /// Draws flat on the picture, even if the ground is known.
    pub flat: bool,
    /// How long a drawing is seen.
    pub lasts: Duration,
    stroke: Vec<Pixel>,
}

impl Default for Sketch {
    fn default() -> Self {
        Self {
            tool: Tool::default(),
            colour: Colour::default(),
            flat: false,
            lasts: Duration::from_secs(3),
            stroke: Vec::new(),
        }
    }
}

impl Sketch {
    /// Does what a key means while drawing; nothing if it means nothing here.
    pub fn key(&mut self, key: &Key) -> Option<Did> {
        if key.ctrl || key.alt || key.shift {
            return None;
        }
        if key.is("escape") {
            return Some(Did::Left);
        }
        if key.is("delete") || key.is("backspace") {
            return Some(Did::Delete);
        }
        if key.is("c") {
            let next = Colour::ALL.iter().position(|c| *c == self.colour).map_or(0, |n| n + 1);
            self.colour = Colour::ALL[next % Colour::ALL.len()];
            return Some(Did::Chose);
        }
        if key.is("g") {
            self.flat = !self.flat;
            return Some(Did::Chose);
        }
        let tool = (1..).zip(Tool::ALL).find(|(n, _)| key.is(&n.to_string()));
        tool.map(|(_, tool)| {
            self.tool = tool;
            Did::Chose
        })
    }

    /// A stroke begins.
    pub fn begin(&mut self, at: Pixel) {
        self.stroke = vec![at];
    }

    /// It goes on; the pixels are those of `view`.
    pub fn drag(&mut self, at: Pixel, view: &View) {
        let step = STEP * f64::from(view.size().height);
        let free = matches!(self.tool, Tool::Run | Tool::Line);
        match self.stroke.as_mut_slice() {
            [] => {}
            [.., before, last] if !free || before.distance(*last) < step => *last = at,
            _ => self.stroke.push(at),
        }
    }

    /// Whether a stroke is being drawn.
    pub fn is_drawing(&self) -> bool {
        !self.stroke.is_empty()
    }

    /// Leaves the stroke.
    pub fn cancel(&mut self) {
        self.stroke.clear();
    }

    /// The drawing of the stroke so far, seen from `at` on; nothing while it is too short, and for words, which are not yet known.
    pub fn drawing(&self, view: &View, at: MatchTime) -> Option<Drawing> {
        self.shape(view).map(|shape| self.drawn(shape, at))
    }

    /// Words where the stroke began.
    pub fn words(&self, words: &str, place: Pixel, view: &View, at: MatchTime) -> Option<Drawing> {
        let words = words.trim();
        let place = view.anchor(place, false);
        (!words.is_empty()).then(|| self.drawn(Shape::Text { at: place, words: words.into() }, at))
    }

    fn drawn(&self, shape: Shape, at: MatchTime) -> Drawing {
        Drawing { shape, colour: self.colour, from: at, to: at.later(self.lasts) }
    }

    fn shape(&self, view: &View) -> Option<Shape> {
        let (first, last) = (*self.stroke.first()?, *self.stroke.last()?);
        let long = first.distance(last) >= CLICK * f64::from(view.size().height);
        let free = || self.stroke.len() > 2 || long;
        match self.tool {
            Tool::Arrow => long.then(|| Shape::Arrow(self.places(view, &[first, last]))),
            Tool::Distance => long.then(|| {
                let ends = self.places(view, &[first, last]);
                Shape::Distance(ends[0], ends[1])
            }),
            Tool::Run => free().then(|| Shape::Run(self.places(view, &thinned(&self.stroke)))),
            Tool::Line => free().then(|| Shape::Line(self.places(view, &thinned(&self.stroke)))),
            Tool::Ring | Tool::Spotlight => {
                let (middle, radius) = self.around(view, first, long.then_some(last));
                Some(if self.tool == Tool::Ring {
                    Shape::Ring { middle, radius }
                } else {
                    Shape::Spotlight { middle, radius }
                })
            }
            Tool::Zone => long.then(|| Shape::Zone(self.zone(view, first, last))),
            Tool::Text => None,
        }
    }

    /// Whether a stroke over these pixels lies on the ground: if all of them show it.
    fn on_ground(&self, view: &View, pixels: &[Pixel]) -> bool {
        !self.flat && pixels.iter().all(|p| view.ground(*p).is_some())
    }

    /// The places of a drawing: all on the ground or all on the picture. The first and the last snap.
    fn places(&self, view: &View, pixels: &[Pixel]) -> Vec<Anchor> {
        if !self.on_ground(view, pixels) {
            return pixels.iter().map(|p| view.anchor(*p, false)).collect();
        }
        let ends = [0, pixels.len().saturating_sub(1)];
        let place = |(n, p): (usize, &Pixel)| {
            let snapped = ends.contains(&n).then(|| snap(view, *p)).flatten();
            snapped.map_or_else(|| view.anchor(*p, true), Anchor::on_ground)
        };
        pixels.iter().enumerate().map(place).collect()
    }

    fn around(&self, view: &View, middle: Pixel, edge: Option<Pixel>) -> (Anchor, u32) {
        let ground = view.ground(middle).filter(|_| !self.flat);
        let Some(spot) = ground else {
            let wide = f64::from(view.size().width);
            let radius = edge.map_or(AROUND.1 * wide, |e| e.distance(middle));
            return (view.anchor(middle, false), (radius / wide * Anchor::WHOLE) as u32);
        };
        let far = edge.and_then(|e| view.ground(e)).map(|e| e.distance(spot).0);
        let radius = edge.map_or(AROUND.0.0, |_| far.unwrap_or(MOST_AROUND).min(MOST_AROUND));
        (Anchor::on_ground(spot), (radius * 1000.0) as u32)
    }

    fn zone(&self, view: &View, first: Pixel, last: Pixel) -> Vec<Anchor> {
        let ends = self.places(view, &[first, last]);
        match [ends[0], ends[1]] {
            [Anchor::Ground(x, y), Anchor::Ground(u, v)] => {
                [(x, y), (u, y), (u, v), (x, v)].map(|(x, y)| Anchor::Ground(x, y)).to_vec()
            }
            _ => [(first.x, first.y), (last.x, first.y), (last.x, last.y), (first.x, last.y)]
                .map(|(x, y)| view.anchor(Pixel::new(x, y), false))
                .to_vec(),
        }
    }
}

/// A free line with fewer places, none of which moved it by more than a pixel and a half would: Douglas and Peucker's method.
fn thinned(line: &[Pixel]) -> Vec<Pixel> {
    let (Some(first), Some(last)) = (line.first(), line.last()) else { return Vec::new() };
    let far = line.iter().enumerate().map(|(n, p)| (n, off(*p, *first, *last)));
    let Some((n, most)) = far.max_by(|a, b| a.1.total_cmp(&b.1)) else { return Vec::new() };
    if line.len() < 3 || most < 1.5 {
        return if line.len() < 2 { vec![*first] } else { vec![*first, *last] };
    }
    let mut kept = thinned(&line[..=n]);
    kept.pop();
    kept.extend(thinned(&line[n..]));
    kept
}

/// How far a pixel is from the line between two others.
fn off(p: Pixel, a: Pixel, b: Pixel) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let square = dx * dx + dy * dy;
    let along = if square > 0.0 { ((p.x - a.x) * dx + (p.y - a.y) * dy) / square } else { 0.0 };
    let t = along.clamp(0.0, 1.0);
    p.distance(Pixel::new(a.x + t * dx, a.y + t * dy))
}

/// The corner of the court, or the place on one of its lines, that a pixel is near to.
fn snap(view: &View, at: Pixel) -> Option<Spot> {
    let near = SNAP * f64::from(view.size().height);
    let away = |spot: &Spot| view.see_spot(*spot).map_or(f64::INFINITY, |p| p.distance(at));
    let nearest = |spots: &[Spot], within: f64| {
        let best = spots.iter().min_by(|a, b| away(a).total_cmp(&away(b))).copied();
        best.filter(|spot| away(spot) <= within)
    };
    let at_net =
        [-HALF_DOUBLES.0, -HALF_SINGLES.0, 0.0, HALF_SINGLES.0, HALF_DOUBLES.0].map(|x| Spot::new(x, 0.0));
    let marks = [-HALF_LENGTH.0, HALF_LENGTH.0].map(|y| Spot::new(0.0, y));
    let corners: Vec<Spot> = LANDMARKS.iter().map(|l| l.spot).chain(at_net).chain(marks).collect();
    let here = view.ground(at)?;
    nearest(&corners, near).or_else(|| nearest(&on_lines(here), near / 2.0))
}

/// The nearest place on each line of the court.
fn on_lines(at: Spot) -> Vec<Spot> {
    let (b, s, d, v) = (HALF_LENGTH.0, HALF_SINGLES.0, HALF_DOUBLES.0, SERVICE_LINE.0);
    let across = [(-b, d), (-v, s), (0.0, d), (v, s), (b, d)];
    let along = [(-d, b), (-s, b), (0.0, v), (s, b), (d, b)];
    let across = across.map(|(y, end)| Spot::new(at.x.0.clamp(-end, end), y));
    let along = along.map(|(x, end)| Spot::new(x, at.y.0.clamp(-end, end)));
    across.into_iter().chain(along).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Camera, Size};

    const SIZE: Size = Size::new(1280, 720);

    fn view() -> View {
        View::of(Camera::looking([1.0, -22.0, 5.0], [0.0, 0.0, 0.0], 55.0, SIZE).as_ref(), SIZE)
    }

    fn seen(x: f64, y: f64) -> Pixel {
        view().see_spot(Spot::new(x, y)).unwrap()
    }

    fn drawn(tool: Tool, over: &[Pixel], view: &View) -> Option<Shape> {
        let mut sketch = Sketch { tool, ..Sketch::default() };
        sketch.begin(over[0]);
        over[1..].iter().for_each(|p| sketch.drag(*p, view));
        sketch.drawing(view, MatchTime::from_secs(7)).map(|d| {
            assert_eq!((d.from, d.to), (MatchTime::from_secs(7), MatchTime::from_secs(10)));
            d.shape
        })
    }

    #[test]
    fn the_ends_of_an_arrow_snap_to_corners_and_lines() {
        let near = |p: Pixel| Pixel::new(p.x + 4.0, p.y - 3.0);
        let arrow =
            drawn(Tool::Arrow, &[near(seen(0.0, -6.4008)), near(seen(2.0, 11.8872))], &view()).unwrap();
        let Shape::Arrow(ends) = arrow else { panic!("{arrow:?}") };
        assert_eq!(ends[0], Anchor::Ground(0, -6401), "the T");
        let Anchor::Ground(x, y) = ends[1] else { panic!("{ends:?}") };
        assert_eq!(y, 11_887, "the far baseline");
        assert!((x - 2000).abs() < 200);
        let free = drawn(Tool::Arrow, &[seen(2.0, -9.0), seen(2.0, -3.0)], &view()).unwrap();
        let Shape::Arrow(ends) = free else { panic!("{free:?}") };
        assert!(matches!(ends[0], Anchor::Ground(1990..=2010, -9010..=-8990)), "{ends:?}");
    }

    #[test]
    fn above_the_horizon_everything_lies_flat() {
        for tool in Tool::ALL {
            let shape = drawn(tool, &[Pixel::new(100.0, 10.0), seen(1.0, 1.0)], &view());
            let on_ground = shape.map_or(0, |s| s.anchors().iter().filter(|a| a.spot().is_some()).count());
            assert_eq!(on_ground, 0, "{tool:?}");
        }
    }

    #[test]
    fn a_click_draws_a_ring_but_no_arrow() {
        let click = [seen(1.0, -9.0)];
        assert!(matches!(drawn(Tool::Ring, &click, &view()), Some(Shape::Ring { radius: 900, .. })));
        assert!(matches!(
            drawn(Tool::Spotlight, &click, &view()),
            Some(Shape::Spotlight { radius: 900, .. })
        ));
        for tool in [Tool::Arrow, Tool::Run, Tool::Zone, Tool::Distance, Tool::Line, Tool::Text] {
            assert_eq!(drawn(tool, &click, &view()), None, "{tool:?}");
        }
        let flat = drawn(Tool::Ring, &click, &View::of(None, SIZE));
        assert!(matches!(flat, Some(Shape::Ring { middle: Anchor::Picture(..), radius: 300 })), "{flat:?}");
        let ring = drawn(Tool::Ring, &[seen(1.0, -9.0), seen(3.0, -9.0)], &view());
        let Some(Shape::Ring { radius, .. }) = ring else { panic!("{ring:?}") };
        assert!((1995..=2005).contains(&radius), "{radius}");
    }

    #[test]
    fn a_zone_lies_along_the_lines() {
        let zone = drawn(Tool::Zone, &[seen(0.0, 6.4008), seen(-4.1148, 0.01)], &view()).unwrap();
        let Shape::Zone(corners) = zone else { panic!("{zone:?}") };
        let spots: Vec<_> = corners.iter().map(|a| a.spot().unwrap()).collect();
        assert_eq!((spots[0].x, spots[1].y, spots[2].x), (spots[3].x, spots[0].y, spots[1].x));
        assert_eq!(corners[0], Anchor::Ground(0, 6401));
        assert_eq!(corners[2], Anchor::Ground(-4115, 0), "the net and the sideline");
    }

    #[test]
    fn a_free_line_keeps_its_way_with_few_places() {
        let view = View::of(None, SIZE);
        let way: Vec<_> = (0..200)
            .map(|n| Pixel::new(100.0 + 4.0 * f64::from(n), 300.0 + 100.0 * (f64::from(n) / 30.0).sin()))
            .collect();
        let line = drawn(Tool::Run, &way, &view).unwrap();
        let Shape::Run(places) = line else { panic!("{line:?}") };
        assert!((10..60).contains(&places.len()), "{}", places.len());
        let seen: Vec<_> = places.iter().map(|a| view.see(*a).unwrap()).collect();
        for p in &way {
            let near = seen.windows(2).map(|w| off(*p, w[0], w[1])).fold(f64::MAX, f64::min);
            assert!(near < 8.0, "{p} is {near} away");
        }
    }

    #[test]
    fn keys_choose_tool_and_colour_and_end_it() {
        let mut sketch = Sketch::default();
        let key = |sign: &str| sign.parse::<Key>().unwrap();
        assert_eq!(sketch.key(&key("3")), Some(Did::Chose));
        assert_eq!(sketch.tool, Tool::Ring);
        for colour in [Colour::White, Colour::Blue, Colour::Orange, Colour::Yellow] {
            assert_eq!((sketch.key(&key("c")), sketch.colour), (Some(Did::Chose), colour));
        }
        assert_eq!((sketch.key(&key("g")), sketch.flat), (Some(Did::Chose), true));
        assert_eq!(sketch.key(&key("Escape")), Some(Did::Left));
        assert_eq!(sketch.key(&key("Delete")), Some(Did::Delete));
        for other in ["ctrl+z", "space", "9", "u", "ctrl+c"] {
            assert_eq!(sketch.key(&key(other)), None, "{other}");
        }
    }

    #[test]
    fn words_are_trimmed_and_empty_ones_are_nothing() {
        let sketch = Sketch::default();
        let at =
            |words| sketch.words(words, Pixel::new(64.0, 36.0), &view(), MatchTime::ZERO).map(|d| d.shape);
        assert_eq!(at("  "), None);
        assert_eq!(at(" wide "), Some(Shape::Text { at: Anchor::Picture(500, 500), words: "wide".into() }));
    }
}
