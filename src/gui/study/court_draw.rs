//! The court of an answer: where its cells lie in the picture, and how it is drawn. No widgets.

use gtk::{cairo, gdk};

use crate::summary::study::{CourtMap, Place};
use crate::tennis::CourtSide;

/// Column and row of a cell in the picture, from the top left: the net is below, as whoever struck the ball sees it.
pub const fn stand(at: Place) -> (i32, i32) {
    match at {
        // To the server's left lies the box of the deuce court; wide is at its outer side.
        Place::Box { court: CourtSide::Deuce, to } => (to as i32, 0),
        Place::Box { court: CourtSide::Ad, to } => (5 - to as i32, 0),
        Place::Half { column, depth } => (column as i32, 2 - depth as i32),
    }
}

/// Whether the cells are thirds of the service boxes, and not ninths of a half.
pub fn is_boxes(map: &CourtMap) -> bool {
    map.cells.iter().any(|c| matches!(c.at, Place::Box { .. }))
}

/// What is drawn behind the numbers.
pub struct Court {
    /// How dark each cell is, from 0 to 1.
    pub shares: Vec<((i32, i32), f64)>,
    /// Whether it shows the service boxes.
    pub boxes: bool,
}

impl Court {
    /// Of a map: a cell is the darker the more points it has.
    pub fn of(map: &CourtMap) -> Self {
        let most = map.cells.iter().map(|c| c.tally.points.len()).max().unwrap_or(0).max(1) as f64;
        let share = |c: &crate::summary::study::CourtCell| (stand(c.at), c.tally.points.len() as f64 / most);
        Self { shares: map.cells.iter().map(share).collect(), boxes: is_boxes(map) }
    }

    /// Draws it in this size.
    ///
    /// # Errors
    /// What the drawing surface says.
    pub fn draw(&self, cr: &cairo::Context, ink: gdk::RGBA, size: (f64, f64)) -> Result<(), cairo::Error> {
        let (width, height) = size;
        let colour =
            |alpha: f64| cr.set_source_rgba(ink.red().into(), ink.green().into(), ink.blue().into(), alpha);
        let grid = Grid {
            columns: if self.boxes { 6.0 } else { 3.0 },
            rows: if self.boxes { 1.0 } else { 3.0 },
            size,
        };
        for ((column, row), share) in &self.shares {
            let (column, row) = (f64::from(*column), f64::from(*row));
            colour(0.30 * share);
            cr.rectangle(grid.x(column), grid.y(row), grid.x(1.0) - grid.x(0.0), grid.y(1.0) - grid.y(0.0));
            cr.fill()?;
        }
        // The lines of the court; those between cells are thinner, as there are none on a court.
        colour(0.8);
        cr.set_line_width(1.5);
        cr.rectangle(LEFT, LEFT, width - 2.0 * LEFT, height - NET - LEFT);
        if self.boxes {
            cr.move_to(grid.x(3.0), LEFT);
            cr.line_to(grid.x(3.0), height - NET);
        }
        cr.stroke()?;
        colour(0.3);
        self.draw_inner(cr, &grid)?;
        colour(1.0);
        cr.set_line_width(NET);
        cr.move_to(0.0, height - NET / 2.0);
        cr.line_to(width, height - NET / 2.0);
        cr.stroke()
    }

    fn draw_inner(&self, cr: &cairo::Context, grid: &Grid) -> Result<(), cairo::Error> {
        cr.set_line_width(1.0);
        cr.set_dash(&[3.0, 3.0], 0.0);
        let inner: &[f64] = if self.boxes { &[1.0, 2.0, 4.0, 5.0] } else { &[1.0, 2.0] };
        for column in inner {
            cr.move_to(grid.x(*column), LEFT);
            cr.line_to(grid.x(*column), grid.size.1 - NET);
        }
        for row in [1.0, 2.0].iter().filter(|_| !self.boxes) {
            cr.move_to(LEFT, grid.y(*row));
            cr.line_to(grid.size.0 - LEFT, grid.y(*row));
        }
        cr.stroke()?;
        cr.set_dash(&[], 0.0);
        Ok(())
    }
}

const LEFT: f64 = 1.0;
/// The width of the net's line.
const NET: f64 = 3.0;

struct Grid {
    columns: f64,
    rows: f64,
    size: (f64, f64),
}

impl Grid {
    fn x(&self, column: f64) -> f64 {
        LEFT + (self.size.0 - 2.0 * LEFT) * column / self.columns
    }

    fn y(&self, row: f64) -> f64 {
        LEFT + (self.size.1 - NET - LEFT) * row / self.rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::stroke::{Column, Depth, ServeTo};

    #[test]
    fn cells_stand_as_the_striker_sees_them() {
        let boxes = |court| ServeTo::WORDS.map(|(_, to)| stand(Place::Box { court, to }));
        assert_eq!(boxes(CourtSide::Deuce), [(0, 0), (1, 0), (2, 0)], "wide, body, T from the left");
        assert_eq!(boxes(CourtSide::Ad), [(5, 0), (4, 0), (3, 0)], "T, body, wide");
        assert_eq!(stand(Place::Half { column: Column::Left, depth: Depth::Deep }), (0, 0));
        assert_eq!(stand(Place::Half { column: Column::Right, depth: Depth::Short }), (2, 2));
    }
}
