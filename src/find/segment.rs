//! Straight runs of ridge pixels: the progressive probabilistic Hough transform (Matas, Galambos & Kittler 2000).

use super::ridge::{Ridges, Run};

/// Votes that a line needs before its pixels are followed.
const VOTES: u16 = 24;
/// Shortest segment, in pixels.
const SHORTEST: i32 = 36;
/// Longest gap within a segment, in pixels.
const GAP: i32 = 10;
/// Directions in half a turn.
const DIRECTIONS: usize = 360;

/// A straight run of pixels, from one end to the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Segment {
    pub ends: [[f64; 2]; 2],
}

impl Segment {
    /// In pixels.
    pub fn length(&self) -> f64 {
        let [a, b] = self.ends;
        (a[0] - b[0]).hypot(a[1] - b[1])
    }
}

/// Cosine and sine of the normals that lines of this run have.
fn normals(run: Run) -> Vec<(f32, f32)> {
    (0..DIRECTIONS)
        .map(|i| i as f32 * std::f32::consts::PI / DIRECTIONS as f32)
        .filter(|turn| {
            let slope = (turn.to_degrees() - 90.0).abs();
            if run == Run::Across { slope < 36.0 } else { slope > 10.5 }
        })
        .map(|turn| (turn.cos(), turn.sin()))
        .collect()
}

struct Hough<'a> {
    ridges: &'a Ridges,
    left: Vec<bool>,
    normals: Vec<(f32, f32)>,
    votes: Vec<u16>,
    /// Cells for each direction, and the cell of a line through the first pixel.
    cells: usize,
    zero: i32,
}

impl Hough<'_> {
    fn vote(&mut self, x: i32, y: i32) -> (u16, usize) {
        let mut best = (0, 0);
        for (n, (cos, sin)) in self.normals.iter().enumerate() {
            let cell = ((x as f32 * cos + y as f32 * sin).round() as i32 + self.zero) as usize;
            let votes = &mut self.votes[n * self.cells + cell];
            *votes = votes.saturating_add(1);
            if *votes > best.0 {
                best = (*votes, n);
            }
        }
        best
    }

    fn unvote(&mut self, x: i32, y: i32) {
        for (n, (cos, sin)) in self.normals.iter().enumerate() {
            let cell = ((x as f32 * cos + y as f32 * sin).round() as i32 + self.zero) as usize;
            let votes = &mut self.votes[n * self.cells + cell];
            *votes = votes.saturating_sub(1);
        }
    }

    fn inside(&self, x: i32, y: i32) -> Option<usize> {
        let (w, h) = (self.ridges.width as i32, self.ridges.height as i32);
        ((0..w).contains(&x) && (0..h).contains(&y)).then(|| (y * w + x) as usize)
    }

    /// The pixels left from here in one direction, up to the first gap that is too long.
    fn walk(&self, from: (i32, i32), step: (f32, f32)) -> Vec<(i32, i32)> {
        let mut found = Vec::new();
        let mut gap = 0;
        for k in 1.. {
            let x = (from.0 as f32 + k as f32 * step.0).round() as i32;
            let y = (from.1 as f32 + k as f32 * step.1).round() as i32;
            let Some(i) = self.inside(x, y) else { break };
            if self.left[i] {
                gap = 0;
                found.push((x, y));
            } else {
                gap += 1;
                if gap > GAP {
                    break;
                }
            }
        }
        found
    }
}

/// All segments of ridges that run one way.
pub(super) fn segments(ridges: &Ridges, run: Run) -> Vec<Segment> {
    let (w, h) = (ridges.width, ridges.height);
    let zero = (w + h) as i32;
    let normals = normals(run);
    let cells = 2 * (w + h) + 2;
    let votes = vec![0; normals.len() * cells];
    let mut hough = Hough { ridges, left: ridges.on.clone(), normals, votes, cells, zero };
    let mut voted = vec![false; w * h];
    let mut points: Vec<usize> = (0..w * h).filter(|i| ridges.on[*i]).collect();
    shuffle(&mut points);
    let mut found = Vec::new();
    for i in points {
        if !hough.left[i] {
            continue;
        }
        let (x, y) = ((i % w) as i32, (i / w) as i32);
        let (most, n) = hough.vote(x, y);
        voted[i] = true;
        if most < VOTES {
            continue;
        }
        let (cos, sin) = hough.normals[n];
        // One pixel at a time along the longer axis.
        let by = 1.0 / sin.abs().max(cos.abs());
        let step = (-sin * by, cos * by);
        let (ahead, back) = (hough.walk((x, y), step), hough.walk((x, y), (-step.0, -step.1)));
        let end = |way: &[(i32, i32)]| way.last().copied().unwrap_or((x, y));
        let (a, b) = (end(&back), end(&ahead));
        let long = (a.0 - b.0).abs() >= SHORTEST || (a.1 - b.1).abs() >= SHORTEST;
        for (x, y) in back.into_iter().chain([(x, y)]).chain(ahead) {
            let Some(i) = hough.inside(x, y) else { continue };
            hough.left[i] = false;
            if long && voted[i] {
                hough.unvote(x, y);
            }
        }
        if long {
            found.push(Segment { ends: [a, b].map(|(x, y)| [f64::from(x) + 0.5, f64::from(y) + 0.5]) });
        }
    }
    found
}

/// The same order in every run (xorshift, Marsaglia 2003).
fn shuffle(points: &mut [usize]) {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    for i in (1..points.len()).rev() {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        points.swap(i, (state % (i as u64 + 1)) as usize);
    }
}
