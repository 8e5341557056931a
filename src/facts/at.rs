//! Measured places of a shot, and what is certain of them within their error.

use crate::measure::{self, reading::CERTAIN};
use crate::record::{Cameras, Position, Shot, Touch};
use crate::tennis::Side;
use crate::tennis::court::Spot;
use crate::time::MatchTime;

/// A position farther than this from the strike, in nanoseconds, says nothing of where the player stood at it: half a second, in
/// which a key is pressed (our choice; no source).
pub(crate) const AT_THE_STRIKE: u64 = 500_000_000;

/// A place on the ground, and how far off it may be along each axis with 95 %: not at all where no error is known.
#[derive(Debug, Clone, Copy)]
pub(super) struct At {
    pub(super) spot: Spot,
    off: [f64; 2],
}

impl At {
    /// A place of which no error is known.
    pub(super) fn exact(spot: impl Into<Spot>) -> Self {
        Self { spot: spot.into(), off: [0.0; 2] }
    }

    fn measured(place: measure::Place) -> Self {
        let (x, y) = place.spread.deviations();
        Self { spot: place.spot, off: [x.0 * CERTAIN, y.0 * CERTAIN] }
    }

    /// The corners of the error around it.
    pub(super) fn ends(self) -> [Spot; 4] {
        let [dx, dy] = self.off;
        let (x, y) = (self.spot.x.0, self.spot.y.0);
        [(dx, dy), (dx, -dy), (-dx, dy), (-dx, -dy)].map(|(dx, dy)| Spot::new(x + dx, y + dy))
    }

    /// What is so at the place and anywhere within its error; unknown if the error reaches over an edge.
    pub(super) fn sure<T: PartialEq>(self, of: impl Fn(Spot) -> T) -> Option<T> {
        let value = of(self.spot);
        self.ends().into_iter().all(|end| of(end) == value).then_some(value)
    }

    /// The error sideways.
    pub(super) const fn sideways(self) -> f64 {
        self.off[0]
    }

    /// The error lengthways.
    pub(super) const fn lengthways(self) -> f64 {
        self.off[1]
    }
}

fn of(shot: &Shot, touch: Touch) -> impl Iterator<Item = &Position> {
    shot.positions.iter().filter(move |p| p.of == touch)
}

/// Where a player stood when the shot was struck: the position whose frame is nearest to the strike, half a second at most, else
/// the place that another program measured for a player of singles. Of a shot without a time, the first position counts.
pub(super) fn stood(cameras: &Cameras, shot: &Shot, feet: Touch) -> Option<At> {
    let from = |t: MatchTime, p: &Position| t.nanos().abs_diff(p.frame.nanos());
    let near = |p: &&Position| shot.at.is_none_or(|t| from(t, p) <= AT_THE_STRIKE);
    let away = |p: &&Position| shot.at.map_or(p.frame.nanos(), |t| from(t, p));
    let nearest = of(shot, feet).filter(near).min_by_key(away);
    let seen = nearest.and_then(|p| cameras.place(p)).map(At::measured);
    let side = match feet {
        Touch::A => Some(Side::A),
        Touch::B => Some(Side::B),
        _ => None,
    };
    seen.or_else(|| side.zip(shot.players).map(|(side, all)| At::exact(all[side.index()])))
}

/// Where a player was in the first and in the last frame that were measured around the strike, if there are two.
pub(super) fn ran(cameras: &Cameras, shot: &Shot, feet: Touch) -> Option<(At, At)> {
    let first = of(shot, feet).min_by_key(|p| p.frame)?;
    let last = of(shot, feet).max_by_key(|p| p.frame).filter(|p| p.frame > first.frame)?;
    Some((At::measured(cameras.place(first)?), At::measured(cameras.place(last)?)))
}

/// Where the shot bounced.
pub(super) fn bounced(cameras: &Cameras, shot: &Shot) -> Option<At> {
    let seen = of(shot, Touch::Ball).min_by_key(|p| p.frame).and_then(|p| cameras.place(p)).map(At::measured);
    seen.or_else(|| shot.landing.map(At::exact))
}
