//! The pictures of what is drawn over a clip that plays. Where the camera moves, what lies on the ground is drawn again.

use std::time::Duration;

use super::picture::{Svg, over};
use crate::drawing::Drawing;
use crate::lesson::{Clip, Ground};
use crate::time::MatchTime;

/// How many pictures the drawings on the ground of one clip have at most, about: one for each frame of eight seconds at 30 frames
/// a second. Longer ones are drawn again less often, so that a browser has not too much to hold.
const MOST: u64 = 240;

/// A clip as it is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Its name without an ending, as `clips/03`.
    pub name: String,
    /// Width and height.
    pub size: (u32, u32),
    /// Frames a second.
    pub rate: f64,
    /// When its first frame is shown in the footage, and when its last one is gone.
    pub from: MatchTime,
    /// See `from`.
    pub to: MatchTime,
}

/// The pictures of drawings over a clip, each from a moment to another.
pub(super) fn along(
    clip: &Clip,
    drawings: &[Drawing],
    cut: &Cut,
    ground: Ground<'_>,
) -> Vec<(MatchTime, MatchTime, Svg)> {
    let seen = |d: &Drawing| (d.from.max(cut.from), d.to.min(cut.to));
    let lasts = |d: &Drawing| seen(d).1.nanos().saturating_sub(seen(d).0.nanos());
    let all: u64 = drawings.iter().filter(|d| d.is_on_ground()).map(lasts).sum();
    let frame = 1e9 / cut.rate.clamp(1.0, 240.0);
    // Whole frames, so that a picture changes when the frame does.
    let step = frame * (all as f64 / MOST as f64 / frame).ceil().max(1.0);
    let mut out: Vec<(MatchTime, MatchTime, Svg)> = Vec::new();
    for drawing in drawings {
        let (first, (mut from, to)) = (out.len(), seen(drawing));
        while from < to {
            let next = if drawing.is_on_ground() { after(from, cut.from, step).min(to) } else { to };
            let middle = from.later((next - from) / 2);
            let camera = drawing.is_on_ground().then(|| ground(clip, middle)).flatten();
            let svg = over(&[drawing], cut.size, camera.as_ref());
            match out[first..].last_mut() {
                Some(last) if last.2 == svg => last.1 = next,
                _ => out.push((from, next, svg)),
            }
            from = next;
        }
    }
    out.retain(|d| !d.2.marks.is_empty());
    out
}

/// The first moment after `at` that is a number of steps, in nanoseconds, after `start`.
fn after(at: MatchTime, start: MatchTime, step: f64) -> MatchTime {
    let steps = ((at - start).as_nanos() as f64 / step + 0.01).floor() + 1.0;
    start.later(Duration::from_nanos((steps * step).round() as u64))
}

/// How many bytes the drawings of a clip take in a page, about.
#[cfg(any(feature = "video", test))]
pub(super) fn bytes(clip: &Clip, cut: &Cut, ground: Ground<'_>) -> u64 {
    let moving = along(clip, &clip.drawings, cut, ground);
    let frozen = clip
        .freezes
        .iter()
        .map(|f| over(&f.drawings.iter().collect::<Vec<_>>(), cut.size, ground(clip, f.at).as_ref()).bytes());
    moving.iter().map(|d| d.2.bytes()).chain(frozen).sum()
}
