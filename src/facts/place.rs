//! Places on the court in thirds and sides.
//!
//! A cell is a third of the singles court's width, and short, mid or deep as [`Depth`] defines them, for keyed and for measured
//! shots: short is in the service box, deep is nearer the baseline than the service line.

use crate::record::Hand;
use crate::tennis::court::{BALL_RADIUS, HALF_LENGTH, HALF_SINGLES, Metres, Spot};
use crate::tennis::stroke::{Cell, Column, Depth, ServeTo};
use crate::tennis::{CourtSide, End};

/// A player nearer to the middle than this is on neither side (our choice; no source).
pub const MIDDLE: Metres = Metres(0.5);

/// The third of the singles court's width; beyond the sidelines it is the outer one.
pub(super) fn column(x: Metres) -> Column {
    let third = HALF_SINGLES * (1.0 / 3.0);
    match x {
        x if x.abs() < third => Column::Middle,
        x if x.0 < 0.0 => Column::Left,
        _ => Column::Right,
    }
}

/// The side of the court on which a player is, as the camera sees it.
pub(super) fn side(x: Metres) -> Column {
    match x {
        x if x.abs() < MIDDLE => Column::Middle,
        x if x.0 < 0.0 => Column::Left,
        _ => Column::Right,
    }
}

/// The cell of a place.
pub fn cell(at: Spot) -> Cell {
    let end = if at.y.0 < 0.0 { End::Near } else { End::Far };
    Cell { column: column(at.x), row: Some(Depth::at(at.y.abs()).row(end)) }
}

/// The middle of a cell in the half at `end`.
pub(super) fn centre(cell: Cell, end: End) -> Option<Spot> {
    let across = HALF_SINGLES.0 * 2.0 / 3.0;
    let x = match cell.column {
        Column::Left => -across,
        Column::Middle => 0.0,
        Column::Right => across,
    };
    let [from, to] = Depth::of(cell.row?, end).bounds();
    let y = f64::midpoint(from.0, to.0);
    Some(Spot::new(x, if end == End::Near { -y } else { y }))
}

/// The depth of a measured landing: none beyond the baseline.
///
/// Bounds: published return-position analyses.
pub(super) fn depth(y: Metres) -> Option<Depth> {
    (y.abs() <= HALF_LENGTH + BALL_RADIUS).then(|| Depth::at(y.abs()))
}

/// How far a player stands behind the baseline; negative inside it.
pub(super) fn behind_baseline(at: Spot) -> Metres {
    at.y.abs() - HALF_LENGTH
}

/// The third of the box to which a serve from `end` to `court` went: thirds of 1.3716 m (coaching literature).
pub(super) fn box_third(landing: Spot, end: End, court: CourtSide) -> Column {
    let to = match (landing.x.abs().0 / HALF_SINGLES.0 * 3.0) as usize {
        0 => ServeTo::T,
        1 => ServeTo::Body,
        _ => ServeTo::Wide,
    };
    to.third(end, court)
}

/// The third of the box as a third of the court: the one by the centre line lies in the middle.
pub(super) fn of_serve(to: ServeTo, end: End, court: CourtSide) -> Column {
    match to {
        ServeTo::T => Column::Middle,
        ServeTo::Wide | ServeTo::Body => ServeTo::Wide.third(end, court),
    }
}

/// The camera's side on which a player at `end` has the backhand.
pub(super) const fn backhand_side(end: End, hand: Hand) -> Column {
    match (end, hand) {
        (End::Near, Hand::Right) | (End::Far, Hand::Left) => Column::Left,
        (End::Near, Hand::Left) | (End::Far, Hand::Right) => Column::Right,
    }
}

/// A column as a player at `end` sees it.
pub(super) const fn seen_from(column: Column, end: End) -> Column {
    match end {
        End::Near => column,
        End::Far => column.mirrored(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::stroke::Row;

    /// Thirds of 27 ft; 1.3716 m is the published third of a service box (coaching literature).
    #[test]
    fn cells_of_the_half_court() {
        let at = |x, y| cell(Spot::new(x, y));
        assert_eq!(column(Metres(1.3715)), Column::Middle);
        assert_eq!(column(Metres(1.3717)), Column::Right);
        assert_eq!(at(-4.0, -11.0), Cell { column: Column::Left, row: Some(Row::Down) });
        assert_eq!(at(-4.0, 11.0), Cell { column: Column::Left, row: Some(Row::Up) });
        assert_eq!(at(0.0, 2.0).row, Some(Row::Down));
        assert_eq!(at(0.0, -2.0).row, Some(Row::Up));
        assert_eq!(at(0.0, -13.0).row, Some(Row::Down), "beyond the baseline");
        assert_eq!(
            (at(0.0, 6.3).row, at(0.0, 6.5).row, at(0.0, 9.2).row),
            (Some(Row::Down), Some(Row::Middle), Some(Row::Up))
        );
        for x in [-2.7, 0.0, 2.7] {
            for y in [-11.0, -8.0, -2.0, 2.0, 8.0, 11.0] {
                let end = if y < 0.0 { End::Near } else { End::Far };
                let middle = centre(at(x, y), end).unwrap_or_default();
                assert_eq!(cell(middle), at(x, y), "{x} {y}: {middle:?}");
                assert_eq!(
                    depth(Metres(y)),
                    Some(Depth::of(at(x, y).row.unwrap_or(Row::Up), end)),
                    "one definition"
                );
            }
        }
    }

    /// Definition used in published return-position analyses: 9.144 m from the net is halfway.
    #[test]
    fn measured_depth() {
        for (y, want) in [
            (6.4, Some(Depth::Short)),
            (-6.41, Some(Depth::Mid)),
            (9.143, Some(Depth::Mid)),
            (-9.145, Some(Depth::Deep)),
            (11.9, Some(Depth::Deep)),
            (12.1, None),
        ] {
            assert_eq!(depth(Metres(y)), want, "{y}");
        }
    }

    /// Worked out on paper: a right-hander at the near end has the backhand on the camera's left.
    #[test]
    fn sides_of_the_body() {
        assert_eq!(backhand_side(End::Near, Hand::Right), Column::Left);
        assert_eq!(backhand_side(End::Far, Hand::Right), Column::Right);
        assert_eq!(side(Metres(0.49)), Column::Middle);
        assert_eq!(side(Metres(-0.51)), Column::Left);
    }
}
