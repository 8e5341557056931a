//! A drawing as it lies in one picture: lines, areas and words in pixels.

use super::clip;
use super::model::{Anchor, Drawing, Shape};
use super::path::{self, At};
use super::view::{Units, View};
use crate::measure::Pixel;
use crate::tennis::court::{Metres, Spot};

/// How high the light of a spotlight reaches over the ground: a player with the racket raised is in it.
const LIT: Metres = Metres(2.4);
/// How long the head of an arrow on the ground is (metres), if that is long enough to be seen.
const HEAD: f64 = 0.75;
/// Half of what ends a distance line across it, in metres on the ground.
const TICK: f64 = 0.35;
/// Where the light of a spotlight fades, in steps: borders in radii.
const SOFT: [f64; 6] = [0.97, 1.0, 1.03, 1.06, 1.09, 1.12];

/// Where words stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sits {
    /// Their first line begins at the place.
    Beginning,
    /// Their middle is at the place, over a line: they need a ground of their own.
    OnLine,
}

/// A part of a drawing in the pixels of a picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Piece {
    /// All of the picture is darker, except inside these borders, from the inmost outwards: the light fades between them.
    Shade(Vec<Vec<Pixel>>),
    /// An area with these corners, lightly filled.
    Area(Vec<Pixel>),
    /// A line.
    Line {
        /// Its places.
        points: Vec<Pixel>,
        /// Whether it ends where it began.
        closed: bool,
        /// Whether it is dotted, as the path that a player runs is.
        dotted: bool,
        /// Whether it is drawn without the dashes of its colour.
        full: bool,
    },
    /// The head of an arrow, filled.
    Head(Vec<Pixel>),
    /// Words.
    Words {
        /// Where.
        at: Pixel,
        /// What they say; one line or more.
        words: String,
        /// How they stand there.
        sits: Sits,
    },
}

/// Where a drawing lies in a picture, the undermost piece first. Nothing if it is out of the picture, behind the camera, or on
/// ground that no camera is known for.
pub fn laid(drawing: &Drawing, view: &View, units: Units) -> Vec<Piece> {
    let anchors = drawing.shape.anchors();
    let Some(plane) = Plane::of(view, &anchors) else { return Vec::new() };
    let places: Vec<At> = anchors.iter().filter_map(|a| plane.place(*a)).collect();
    let Some(first) = places.first().copied() else { return Vec::new() };
    match &drawing.shape {
        Shape::Arrow(_) => plane.arrow(&path::smooth(&places), false),
        Shape::Run(_) => plane.arrow(&path::smooth(&places), true),
        Shape::Line(_) => plane.line(&path::smooth(&places), false, false),
        Shape::Ring { radius, .. } => {
            let circle = path::circle(first, plane.radius(*radius));
            plane.area(&circle).into_iter().map(Piece::Area).chain(plane.closed(&circle)).collect()
        }
        Shape::Spotlight { radius, .. } => plane.spotlight(first, plane.radius(*radius)),
        Shape::Zone(_) => {
            plane.area(&places).into_iter().map(Piece::Area).chain(plane.closed(&places)).collect()
        }
        Shape::Distance(..) => plane.distance(&places, units),
        Shape::Text { words, at } => {
            let seen = view.see(*at).filter(|p| view.size().holds(*p, 0.0));
            let words = seen.map(|at| Piece::Words { at, words: words.clone(), sits: Sits::Beginning });
            words.into_iter().collect()
        }
    }
}

/// The plane that a drawing lies in.
struct Plane<'a> {
    view: &'a View,
    /// Whether it is the ground, with places in metres; else the picture, in pixels.
    ground: bool,
}

fn spot(at: At) -> Spot {
    Spot::new(at[0], at[1])
}

fn pixel(at: At) -> Pixel {
    Pixel::new(at[0], at[1])
}

fn flat(p: Pixel) -> At {
    [p.x, p.y]
}

impl<'a> Plane<'a> {
    /// The ground if all of the places are on it, else the picture. `None` if a place is on ground that is not known.
    fn of(view: &'a View, anchors: &[Anchor]) -> Option<Self> {
        let on_ground = |a: &Anchor| a.spot().is_some();
        let known = view.has_ground() || !anchors.iter().any(on_ground);
        known.then(|| Self { view, ground: anchors.iter().all(on_ground) })
    }

    fn place(&self, at: Anchor) -> Option<At> {
        if self.ground { at.spot().map(|s| [s.x.0, s.y.0]) } else { self.view.see(at).map(flat) }
    }

    fn radius(&self, radius: u32) -> f64 {
        let by = if self.ground { 1e-3 } else { self.view.corner()[0] / Anchor::WHOLE };
        f64::from(radius) * by
    }

    fn see(&self, at: At) -> Option<At> {
        if self.ground { self.view.see_spot(spot(at)).map(flat) } else { Some(at) }
    }

    /// A line in pixels, in parts where it leaves the surroundings of the picture. The surroundings are wide, so that dashes stay
    /// where they are while the line's end goes out of the picture.
    fn seen(&self, line: &[At]) -> Vec<Vec<Pixel>> {
        let corner = self.view.corner();
        let seen: Vec<Vec<At>> = if self.ground {
            let before = |p: At| self.view.before(spot(p));
            let parts = clip::line(&path::stepped(line, 0.5), &before);
            parts.iter().map(|part| part.iter().filter_map(|p| self.see(*p)).collect()).collect()
        } else {
            vec![line.to_vec()]
        };
        let near = seen.iter().flat_map(|part| clip::line_in(part, corner, corner[0]));
        // What never enters the picture is left out.
        let parts = near.filter(|part| !clip::line_in(part, corner, 0.0).is_empty());
        parts.map(|part| part.into_iter().map(pixel).collect()).collect()
    }

    fn line(&self, line: &[At], dotted: bool, full: bool) -> Vec<Piece> {
        let parts = self.seen(line).into_iter();
        parts.map(|points| Piece::Line { points, closed: false, dotted, full }).collect()
    }

    /// The border of an area.
    fn closed(&self, corners: &[At]) -> Vec<Piece> {
        let mut around = corners.to_vec();
        around.extend(corners.first());
        let mut parts = self.seen(&around);
        if let [points] = parts.as_mut_slice()
            && points.first() == points.last()
        {
            points.pop();
            return vec![Piece::Line {
                points: std::mem::take(points),
                closed: true,
                dotted: false,
                full: false,
            }];
        }
        parts
            .into_iter()
            .map(|points| Piece::Line { points, closed: false, dotted: false, full: false })
            .collect()
    }

    /// The part of an area that is in the picture.
    fn area(&self, corners: &[At]) -> Option<Vec<Pixel>> {
        let kept = clip::area_in(&self.outline(corners), self.view.corner());
        (kept.len() > 2).then(|| kept.into_iter().map(pixel).collect())
    }

    /// The corners of an area in pixels, as far as it is before the camera.
    fn outline(&self, corners: &[At]) -> Vec<At> {
        if !self.ground {
            return corners.to_vec();
        }
        let mut around = corners.to_vec();
        around.extend(corners.first());
        let mut fine = path::stepped(&around, 0.5);
        fine.pop();
        let before = |p: At| self.view.before(spot(p));
        clip::area(&fine, &before).iter().filter_map(|p| self.see(*p)).collect()
    }

    fn arrow(&self, line: &[At], dotted: bool) -> Vec<Piece> {
        let [.., tip] = line else { return Vec::new() };
        let mut parts: Vec<Vec<At>> =
            self.seen(line).into_iter().map(|part| part.into_iter().map(flat).collect()).collect();
        let tip = self.see(*tip);
        // The head is there if the line is seen up to its end.
        let ends =
            |part: &Vec<At>| part.last().zip(tip).is_some_and(|(end, tip)| length_to(*end, tip) < 1e-6);
        let mut pieces = Vec::new();
        if let Some(last) = parts.last_mut().filter(|part| ends(part))
            && path::whole(last) > 1e-6
        {
            let (long, half) = self.head(line, path::whole(last));
            let corners = clip::area_in(&head(last, long, half), self.view.corner());
            if corners.len() > 2 {
                pieces.push(Piece::Head(corners.into_iter().map(pixel).collect()));
            }
            *last = path::shortened(last, long * 0.7);
        }
        let shaft = parts.into_iter().map(|part| Piece::Line {
            points: part.into_iter().map(pixel).collect(),
            closed: false,
            dotted,
            full: false,
        });
        shaft.chain(pieces).collect()
    }

    /// How long the head of an arrow is in pixels, and half of its width. On the ground it is flattened as the ground is, but stays
    /// an arrow head, and never becomes a speck. It is no longer than the line, which has `whole` pixels.
    fn head(&self, line: &[At], whole: f64) -> (f64, f64) {
        let stroke = self.view.stroke();
        let usual = (6.5 * stroke, 2.5 * stroke);
        let on_ground = || {
            let seen = head(line, HEAD, 0.38 * HEAD)
                .map(|p| (self.view.before(spot(p)) > 0.0).then(|| self.see(p))?);
            let [tip, left, right] = [seen[0]?, seen[1]?, seen[3]?];
            let base = path::along(left, path::minus(right, left), 0.5);
            let long = length_to(base, tip);
            Some((long, path::area(&[tip, left, right]) / long.max(1e-9)))
        };
        let (long, half) = if self.ground { on_ground().unwrap_or(usual) } else { usual };
        // As slim and as blunt as it may look.
        let long = long.max(half / 0.45);
        let half = half.max(long * 0.3);
        let larger = (4.0 * stroke / (long * half).sqrt().max(1e-9)).max(1.0);
        let larger = larger.min(whole / long.max(1e-9));
        (long * larger, half * larger)
    }

    fn spotlight(&self, middle: At, radius: f64) -> Vec<Piece> {
        let border = |times: f64| {
            let circle = path::circle(middle, radius * times);
            let mut seen = self.outline(&circle);
            if self.ground {
                let before = circle.iter().filter(|p| self.view.before(spot(**p)) >= 0.0);
                seen.extend(before.filter_map(|p| self.view.see_high(spot(*p), LIT)).map(flat));
                seen = path::hull(&seen);
            }
            clip::area_in(&seen, self.view.corner())
        };
        let borders: Vec<_> = SOFT.iter().map(|times| border(*times)).collect();
        if borders.iter().any(|b| b.len() < 3) {
            return Vec::new();
        }
        vec![Piece::Shade(borders.into_iter().map(|b| b.into_iter().map(pixel).collect()).collect())]
    }

    fn distance(&self, places: &[At], units: Units) -> Vec<Piece> {
        let &[a, b] = places else { return Vec::new() };
        let across = path::unit(path::minus(b, a));
        let across = [-across[1], across[0]];
        let half = if self.ground { TICK } else { 2.5 * self.view.stroke() };
        let tick = |at: At| [path::along(at, across, -half), path::along(at, across, half)];
        let lines = [(vec![a, b], false), (tick(a).to_vec(), true), (tick(b).to_vec(), true)];
        let mut pieces: Vec<_> =
            lines.iter().flat_map(|(line, full)| self.line(line, false, *full)).collect();
        let middle = path::along(a, path::minus(b, a), 0.5);
        let long = Metres(path::length(path::minus(b, a)));
        let at = self.see(middle).map(pixel).filter(|p| self.view.size().holds(*p, 0.0));
        if let (true, Some(at)) = (self.ground, at) {
            pieces.push(Piece::Words { at, words: units.words(long), sits: Sits::OnLine });
        }
        pieces
    }
}

fn length_to(a: At, b: At) -> f64 {
    path::length(path::minus(b, a))
}

/// A triangle at the end of a line, its base a little notched so that its direction cannot be mistaken: tip, left, notch, right.
fn head(line: &[At], long: f64, half: f64) -> [At; 4] {
    let tip = line.last().copied().unwrap_or_default();
    let foot = path::shortened(line, long).last().copied().unwrap_or(tip);
    let ahead = path::unit(path::minus(tip, foot));
    let base = path::along(tip, ahead, -long);
    let across = [-ahead[1], ahead[0]];
    let notch = path::along(tip, ahead, -0.75 * long);
    [tip, path::along(base, across, half), notch, path::along(base, across, -half)]
}

#[cfg(test)]
mod tests;
