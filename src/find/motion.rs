//! How the whole picture moved from one frame to the next: corners of the background followed, and the turn, zoom and shift
//! that most of them agree on. It is only a hint where to look for the lines.

use super::grey::Grey;

/// Pictures are compared at about this width.
const WIDTH: usize = 480;
/// Corners are the best of squares of so many pixels, and at most so many are followed.
const SQUARE: usize = 16;
const CORNERS: usize = 110;
/// Half the side of the window that is followed, and the halvings of the picture: it may move 2³ times farther.
const HALF: usize = 5;
const LEVELS: usize = 4;
/// Corners agree when they are this near, in small pixels.
const AGREE: f64 = 0.7;
/// At least this part of the corners must agree.
const LEAST: f64 = 0.3;

/// A turn with zoom and shift of the picture: (x, y) goes to (a·x − b·y + c, b·x + a·y + d), in pixels of the picture as it was given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shift {
    a: f64,
    b: f64,
    c: f64,
    d: f64,
}

impl Shift {
    pub fn of(self, x: f64, y: f64) -> [f64; 2] {
        [self.a * x - self.b * y + self.c, self.b * x + self.a * y + self.d]
    }

    /// The shift that puts both places where they went.
    fn through([p, q]: [&Pair; 2]) -> Option<Self> {
        let (dx, dy) = (q.from[0] - p.from[0], q.from[1] - p.from[1]);
        let square = dx * dx + dy * dy;
        let (ex, ey) = (q.to[0] - p.to[0], q.to[1] - p.to[1]);
        let (a, b) = ((dx * ex + dy * ey) / square, (dx * ey - dy * ex) / square);
        let (c, d) = (p.to[0] - a * p.from[0] + b * p.from[1], p.to[1] - b * p.from[0] - a * p.from[1]);
        (square > 100.0).then_some(Self { a, b, c, d })
    }

    /// The best one for all pairs: least squares.
    fn best(pairs: &[&Pair]) -> Option<Self> {
        let n = pairs.len() as f64;
        let mean = |f: &dyn Fn(&Pair) -> f64| pairs.iter().map(|p| f(p)).sum::<f64>() / n;
        let (x, y, u, v) =
            (mean(&|p| p.from[0]), mean(&|p| p.from[1]), mean(&|p| p.to[0]), mean(&|p| p.to[1]));
        let sum = |f: &dyn Fn(f64, f64, f64, f64) -> f64| {
            pairs.iter().map(|p| f(p.from[0] - x, p.from[1] - y, p.to[0] - u, p.to[1] - v)).sum::<f64>()
        };
        let square = sum(&|x, y, _, _| x * x + y * y);
        let (a, b) = (sum(&|x, y, u, v| x * u + y * v) / square, sum(&|x, y, u, v| x * v - y * u) / square);
        (square > 1.0).then_some(Self { a, b, c: u - a * x + b * y, d: v - b * x - a * y })
    }

    fn misses(self, pair: &Pair) -> f64 {
        let [x, y] = self.of(pair.from[0], pair.from[1]);
        (x - pair.to[0]).hypot(y - pair.to[1])
    }
}

/// Where a corner was and where it went.
#[derive(Debug, Clone, Copy)]
struct Pair {
    from: [f64; 2],
    to: [f64; 2],
}

/// How the picture moved; `None` if too few corners agree.
pub(super) fn motion(before: &Grey, now: &Grey) -> Option<Shift> {
    let by = (before.width() as f64 / WIDTH as f64).round().max(1.0) as usize;
    let (old, new) = (levels(before.boxed(by)), levels(now.boxed(by)));
    let follow = |at: [f64; 2]| follow(&old, &new, at).map(|to| Pair { from: at, to });
    let pairs: Vec<Pair> = corners(&old[0]).into_iter().filter_map(follow).collect();
    let by = by as f64;
    let shift = agreed(&pairs)?;
    Some(Shift { c: shift.c * by, d: shift.d * by, ..shift })
}

/// The shift on which most pairs agree, over all tries of two of them that are far apart in the list.
fn agreed(pairs: &[Pair]) -> Option<Shift> {
    let n = pairs.len();
    if n < 12 {
        return None;
    }
    let tries = (1..=4).flat_map(|k| (0..n).map(move |i| (i, (i + k * n / 5 + k) % n)));
    let shifts = tries.filter(|(i, j)| i != j).filter_map(|(i, j)| Shift::through([&pairs[i], &pairs[j]]));
    let count = |s: &Shift| pairs.iter().filter(|p| s.misses(p) < AGREE).count();
    let (most, mut shift) = shifts.map(|s| (count(&s), s)).max_by_key(|(count, _)| *count)?;
    for _ in 0..2 {
        let near: Vec<&Pair> = pairs.iter().filter(|p| shift.misses(p) < AGREE).collect();
        shift = Shift::best(&near)?;
    }
    (most >= 8 && most as f64 >= LEAST * n as f64).then_some(shift)
}

fn levels(small: Grey) -> Vec<Grey> {
    let mut all = vec![small];
    while all.len() < LEVELS && all[all.len() - 1].width() >= 64 && all[all.len() - 1].height() >= 64 {
        all.push(all[all.len() - 1].boxed(2));
    }
    all
}

/// Pixels whose surroundings change in both directions (Shi & Tomasi 1994), the best first.
fn corners(picture: &Grey) -> Vec<[f64; 2]> {
    let (w, h) = (picture.width(), picture.height());
    let mut found = Vec::new();
    for top in (8..h.saturating_sub(SQUARE + 8)).step_by(SQUARE) {
        for left in (8..w.saturating_sub(SQUARE + 8)).step_by(SQUARE) {
            let each =
                (0..SQUARE / 2).flat_map(|j| (0..SQUARE / 2).map(move |i| (left + 2 * i, top + 2 * j)));
            let best = each.map(|(x, y)| (cornered(picture, x, y), x, y)).max_by(|a, b| a.0.total_cmp(&b.0));
            found.extend(best.filter(|b| b.0 > 60.0));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(CORNERS);
    found.into_iter().map(|(_, x, y)| [x as f64 + 0.5, y as f64 + 0.5]).collect()
}

/// The smaller eigenvalue of the structure of 5 × 5 pixels.
fn cornered(picture: &Grey, x: usize, y: usize) -> f32 {
    let (w, s) = (picture.width(), picture.shades());
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for j in y - 2..=y + 2 {
        for i in x - 2..=x + 2 {
            let k = j * w + i;
            let (dx, dy) = (s[k + 1] - s[k - 1], s[k + w] - s[k - w]);
            xx += dx * dx;
            xy += dx * dy;
            yy += dy * dy;
        }
    }
    let (half, part) = (f32::midpoint(xx, yy), (xx - yy) / 2.0);
    half - part.hypot(xy)
}

/// Where a corner went: the window's shift that makes it look most alike, from coarse to fine (Lucas & Kanade 1981; Bouguet
/// 2001). `None` if the end does not look alike.
fn follow(old: &[Grey], new: &[Grey], at: [f64; 2]) -> Option<[f64; 2]> {
    let mut moved = [0.0, 0.0];
    for level in (0..old.len().min(new.len())).rev() {
        let by = f64::from(1_u32 << level);
        let shift = one_level(&old[level], &new[level], at.map(|v| v / by), moved.map(|v| v / by))?;
        moved = shift.map(|v| v * by);
    }
    let to = [at[0] + moved[0], at[1] + moved[1]];
    let inside = to[0] > 2.0 && to[1] > 2.0;
    (inside && to[0] < new[0].width() as f64 - 2.0 && to[1] < new[0].height() as f64 - 2.0).then_some(to)
}

const SIDE: usize = 2 * HALF + 1;

fn one_level(old: &Grey, new: &Grey, at: [f64; 2], mut moved: [f64; 2]) -> Option<[f64; 2]> {
    let window = |picture: &Grey, x: f64, y: f64| -> [f32; SIDE * SIDE] {
        std::array::from_fn(|i| {
            picture.at(x + (i % SIDE) as f64 - HALF as f64, y + (i / SIDE) as f64 - HALF as f64)
        })
    };
    let here = window(old, at[0], at[1]);
    let (mut slopes, mut xx, mut xy, mut yy) = ([(0.0, 0.0); SIDE * SIDE], 0.0, 0.0, 0.0);
    for j in 1..SIDE - 1 {
        for i in 1..SIDE - 1 {
            let k = j * SIDE + i;
            let (dx, dy) = ((here[k + 1] - here[k - 1]) / 2.0, (here[k + SIDE] - here[k - SIDE]) / 2.0);
            slopes[k] = (dx, dy);
            xx += dx * dx;
            xy += dx * dy;
            yy += dy * dy;
        }
    }
    let det = xx * yy - xy * xy;
    if det < 1.0 {
        // Nothing to hold on to at this level: the next finer one may have it.
        return Some(moved);
    }
    for _ in 0..6 {
        let there = window(new, at[0] + moved[0], at[1] + moved[1]);
        let (mut x, mut y) = (0.0, 0.0);
        for ((h, t), (dx, dy)) in here.iter().zip(&there).zip(&slopes) {
            x += (h - t) * dx;
            y += (h - t) * dy;
        }
        let (u, v) = ((yy * x - xy * y) / det, (xx * y - xy * x) / det);
        moved = [moved[0] + f64::from(u), moved[1] + f64::from(v)];
        if u.hypot(v) < 0.03 {
            break;
        }
    }
    (moved[0].hypot(moved[1]) < 60.0).then_some(moved)
}
