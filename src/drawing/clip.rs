//! Lines and areas cut at a border: the edge of the picture, or the plane of the camera.

use super::path::{At, along, minus};

/// How far inside a border a place is; negative outside. It must be linear in the place.
type Inside<'a> = &'a dyn Fn(At) -> f64;

fn crossing(a: At, b: At, inside: Inside) -> At {
    let (from, to) = (inside(a), inside(b));
    along(a, minus(b, a), from / (from - to))
}

/// The parts of a line that are inside.
pub(super) fn line(points: &[At], inside: Inside) -> Vec<Vec<At>> {
    let mut parts: Vec<Vec<At>> = Vec::new();
    let mut open = false;
    for (i, p) in points.iter().enumerate() {
        let before = i.checked_sub(1).map(|i| points[i]);
        let is_in = inside(*p) >= 0.0;
        match (before, open, is_in) {
            (Some(a), false, true) => parts.push(vec![crossing(a, *p, inside), *p]),
            (None, _, true) => parts.push(vec![*p]),
            (_, true, true) => parts.iter_mut().last().into_iter().for_each(|part| part.push(*p)),
            (Some(a), true, false) => {
                parts.iter_mut().last().into_iter().for_each(|part| part.push(crossing(a, *p, inside)));
            }
            (_, _, false) => {}
        }
        open = is_in;
    }
    parts
}

/// The part of an area that is inside: Sutherland and Hodgman's method.
pub(super) fn area(corners: &[At], inside: Inside) -> Vec<At> {
    let mut kept = Vec::new();
    let next = corners.iter().cycle().skip(1);
    for (a, b) in corners.iter().zip(next) {
        let (from, to) = (inside(*a) >= 0.0, inside(*b) >= 0.0);
        if from {
            kept.push(*a);
        }
        if from != to {
            kept.push(crossing(*a, *b, inside));
        }
    }
    kept
}

/// The four borders of a rectangle from 0, 0 to this corner, moved outwards by `margin`.
fn borders([width, height]: At, margin: f64) -> [Box<dyn Fn(At) -> f64>; 4] {
    [
        Box::new(move |p| p[0] + margin),
        Box::new(move |p| width + margin - p[0]),
        Box::new(move |p| p[1] + margin),
        Box::new(move |p| height + margin - p[1]),
    ]
}

/// The parts of a line that are in the picture or at most `margin` beside it.
pub(super) fn line_in(points: &[At], picture: At, margin: f64) -> Vec<Vec<At>> {
    borders(picture, margin).iter().fold(vec![points.to_vec()], |parts, border| {
        parts.iter().flat_map(|part| line(part, border)).collect()
    })
}

/// The part of an area that is in the picture.
pub(super) fn area_in(corners: &[At], picture: At) -> Vec<At> {
    borders(picture, 0.0).iter().fold(corners.to_vec(), |kept, border| area(&kept, border))
}
