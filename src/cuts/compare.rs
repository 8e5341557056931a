//! Two pictures of footage compared: which parts of them cannot be explained by what moved, nor by the exposure.

use super::small::{Grid, Search, Small};

/// The difference, a mean over a patch, from which on it is news. Smaller ones come from compression and noise.
const NEW: f32 = 14.0;
/// The difference from which on a patch is alive: something moves in it.
const MOVES: f32 = 2.5;

/// How the next picture differs from the one before.
#[derive(Debug, Clone, Default)]
pub(super) struct News {
    /// How many fine patches of either picture the other has nowhere near.
    pub(super) count: usize,
    /// How many coarse patches of either have texture, and how many of these are new.
    pub(super) textured: usize,
    pub(super) textured_new: usize,
    /// How many of those with texture hardly changed: all, if the camera stands still and nothing moves.
    pub(super) still: usize,
    /// The fine patches that changed at all.
    moves: Vec<bool>,
}

impl News {
    /// Compares a picture with the one before it. Whatever moved `reach` pixels at most is no news, and neither is a change
    /// of the exposure.
    pub(super) fn of(before: &Small, after: &Small, reach: isize) -> Self {
        let change: Vec<f32> = each(Grid::FINE).map(|n| before.differs(after, Grid::FINE, n)).collect();
        let moves = change.iter().map(|c| *c >= MOVES).collect();
        let textured =
            |n: &usize| before.has_texture(Grid::COARSE, *n) || after.has_texture(Grid::COARSE, *n);
        let textured: Vec<usize> = each(Grid::COARSE).filter(textured).collect();
        if !change.iter().any(|c| *c >= NEW) {
            return Self { moves, textured: textured.len(), still: textured.len(), ..Self::default() };
        }
        let pair = Pair::new(before, after, reach);
        Self {
            count: each(Grid::FINE).filter(|n| pair.is_new(Grid::FINE, *n)).count(),
            textured: textured.len(),
            still: textured.iter().filter(|n| before.differs(after, Grid::COARSE, **n) < NEW / 2.0).count(),
            textured_new: textured.iter().filter(|n| pair.is_new(Grid::COARSE, **n)).count(),
            moves,
        }
    }

    /// The fine patches in which anything changed.
    pub(super) fn moves(&self) -> &[bool] {
        &self.moves
    }
}

fn each(grid: Grid) -> std::ops::Range<usize> {
    0..grid.patches()
}

/// Two pictures, and how the brightness of each would be shown in the other.
struct Pair<'a> {
    before: &'a Small,
    after: &'a Small,
    reach: isize,
    forth: [u8; 256],
    back: [u8; 256],
}

/// Every brightness as it is.
static SAME: [u8; 256] = {
    let mut all = [0; 256];
    let mut n = 0;
    while n < 256 {
        all[n] = n as u8;
        n += 1;
    }
    all
};

impl<'a> Pair<'a> {
    fn new(before: &'a Small, after: &'a Small, reach: isize) -> Self {
        let [forth, back] = exposures(before, after);
        Self { before, after, reach, forth, back }
    }

    /// Whether one picture has a patch that the other has nowhere near, with its own exposure or the other one's.
    fn is_new(&self, grid: Grid, n: usize) -> bool {
        let nowhere = |here: &Small, other: &Small, shown: &[u8; 256]| {
            let search = |shown| Search { reach: self.reach, shown, enough: NEW };
            here.differs_moved(other, grid, n, search(&SAME)) >= NEW
                && here.differs_moved(other, grid, n, search(shown)) >= NEW
        };
        self.before.differs(self.after, grid, n) >= NEW
            && (nowhere(self.after, self.before, &self.forth) || nowhere(self.before, self.after, &self.back))
    }
}

/// How each brightness of either picture would be shown in the other.
pub(super) fn exposures(before: &Small, after: &Small) -> [[u8; 256]; 2] {
    let (from, to) = (before.means(Grid::FINE), after.means(Grid::FINE));
    [exposure(&from, &to), exposure(&to, &from)]
}

/// A straight line through the brightness of most patches. Bright places may have lost their detail.
fn exposure(from: &[f32], to: &[f32]) -> [u8; 256] {
    let (mut gain, mut more) = (1.0, 0.0);
    let mut kept: Vec<(f32, f32)> = from.iter().copied().zip(to.iter().copied()).collect();
    for _ in 0..3 {
        (gain, more) = line(&kept);
        let off = |(x, y): &(f32, f32)| (gain * x + more - y).abs();
        let mut offs: Vec<f32> = kept.iter().map(off).collect();
        offs.sort_by(f32::total_cmp);
        let most = offs.get(offs.len() / 2).copied().unwrap_or(0.0).max(1.0) * 2.0;
        kept.retain(|p| off(p) <= most);
    }
    std::array::from_fn(|p| (gain * p as f32 + more).round().clamp(0.0, 255.0) as u8)
}

/// Least squares; the gain stays within what an exposure does.
fn line(points: &[(f32, f32)]) -> (f32, f32) {
    let n = points.len().max(1) as f32;
    let (x, y) = (points.iter().map(|p| p.0).sum::<f32>() / n, points.iter().map(|p| p.1).sum::<f32>() / n);
    let up: f32 = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    let wide: f32 = points.iter().map(|p| (p.0 - x).powi(2)).sum();
    let gain = if wide > 1.0 { (up / wide).clamp(0.4, 2.5) } else { 1.0 };
    (gain, y - gain * x)
}
