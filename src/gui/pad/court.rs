//! The half court on the court pad: where its lines and cells lie in the picture, and how it is drawn. No widgets.
//!
//! Seen as the camera sees it: up is away from the camera. The near half has the net above, the far half below. While a
//! serve is awaited only its box is shown, larger, with a part of the other box beside it.

use gtk::cairo;

use crate::tennis::End;
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, SERVICE_LINE};
use crate::tennis::stroke::{Cell, Column, Depth, Row};

/// How much farther the upper edge is than the lower one: a mild foreshortening, so that every cell has room for its key.
const FAR: f64 = 1.35;
/// What is seen beyond the service line, and beside a box.
const BEYOND: f64 = 0.9;
/// What is seen of the other box.
const OTHER_BOX: f64 = 1.6;

/// What part of the court is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// A half.
    Half(End),
    /// A service box of the half at this end, on the camera's left or right; in the middle where it is not known which.
    Box(End, Column),
}

/// A part of the court in a rectangle of the screen, in pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    part: Part,
    left: f64,
    top: f64,
    width: f64,
    height: f64,
}

impl View {
    /// The part in this rectangle.
    pub const fn new(part: Part, (left, top): (f64, f64), (width, height): (f64, f64)) -> Self {
        Self { part, left, top, width, height }
    }

    const fn end(&self) -> End {
        match self.part {
            Part::Half(end) | Part::Box(end, _) => end,
        }
    }

    /// The distance from the net that is shown, in metres.
    fn reach(&self) -> f64 {
        match self.part {
            Part::Half(_) => HALF_LENGTH.0,
            Part::Box(..) => SERVICE_LINE.0 + BEYOND,
        }
    }

    /// What is shown across, from left to right in metres.
    fn across(&self) -> (f64, f64) {
        match self.part {
            Part::Half(_) => (-HALF_DOUBLES.0, HALF_DOUBLES.0),
            Part::Box(_, Column::Right) => (-OTHER_BOX, HALF_SINGLES.0 + BEYOND),
            Part::Box(_, Column::Left) => (-HALF_SINGLES.0 - BEYOND, OTHER_BOX),
            Part::Box(..) => (-HALF_SINGLES.0 / 2.0 - BEYOND, HALF_SINGLES.0 / 2.0 + BEYOND),
        }
    }

    /// Where a place is on the screen: `x` to the right, `from_net` away from the net, in metres.
    pub fn at(&self, x: f64, from_net: f64) -> (f64, f64) {
        let along = from_net / self.reach();
        let down = if self.end() == End::Near { along } else { 1.0 - along };
        let near = 1.0 / (FAR + (1.0 - FAR) * down);
        let (from, to) = self.across();
        let across = (x - f64::midpoint(from, to)) / (to - from);
        let sight = (near - 1.0 / FAR) / (1.0 - 1.0 / FAR);
        (self.left + self.width * (0.5 + across * near), self.top + self.height * sight)
    }

    /// The place at a pixel, as `at` takes it.
    fn place(&self, px: f64, py: f64) -> (f64, f64) {
        let near = 1.0 / FAR + (py - self.top) / self.height * (1.0 - 1.0 / FAR);
        let down = (1.0 / near - FAR) / (1.0 - FAR);
        let along = if self.end() == End::Near { down } else { 1.0 - down };
        let (from, to) = self.across();
        let across = ((px - self.left) / self.width - 0.5) / near;
        (f64::midpoint(from, to) + across * (to - from), along * self.reach())
    }

    /// The bounds of a column in metres: of the singles court, or of the box.
    fn column(&self, column: Column) -> (f64, f64) {
        let (left, width) = match self.part {
            Part::Half(_) => (-HALF_SINGLES.0, 2.0 * HALF_SINGLES.0),
            Part::Box(_, Column::Right) => (0.0, HALF_SINGLES.0),
            Part::Box(_, Column::Left) => (-HALF_SINGLES.0, HALF_SINGLES.0),
            Part::Box(..) => (-HALF_SINGLES.0 / 2.0, HALF_SINGLES.0),
        };
        let third = width / 3.0;
        let n = f64::from(column as u8);
        (left + n * third, left + (n + 1.0) * third)
    }

    /// The bounds of a row in metres from the net; a box has one row only.
    fn row(&self, row: Row) -> (f64, f64) {
        let Part::Half(end) = self.part else { return (0.0, SERVICE_LINE.0) };
        let [from, to] = Depth::of(row, end).bounds();
        (from.0, to.0)
    }

    /// How far down the keys of the rows stand: in the middle of their cells, or further apart where they are as high as `key`
    /// and would cover each other.
    pub fn rows(&self, key: f64) -> [f64; 3] {
        let [up, middle, down] = Row::ALL.map(|row| self.middle(Column::Middle, row).1);
        if matches!(self.part, Part::Box(..)) {
            return [up, middle, down];
        }
        let (least, most) = (self.top + key / 2.0, self.top + self.height - key / 2.0);
        // Up and down from the middle row, where there is room; from the upper edge down; from the lower edge up.
        let up = up.min(middle - key).max(least);
        let middle = middle.max(up + key);
        let down = down.max(middle + key).min(most);
        let middle = middle.min(down - key);
        let up = up.min(middle - key);
        [up, middle, down]
    }

    /// The corners of a cell on the screen.
    pub fn corners(&self, column: Column, row: Row) -> [(f64, f64); 4] {
        let ((left, right), (near, far)) = (self.column(column), self.row(row));
        [self.at(left, near), self.at(right, near), self.at(right, far), self.at(left, far)]
    }

    /// The middle of a cell on the screen.
    pub fn middle(&self, column: Column, row: Row) -> (f64, f64) {
        let all = self.corners(column, row);
        (all.iter().map(|c| c.0).sum::<f64>() / 4.0, all.iter().map(|c| c.1).sum::<f64>() / 4.0)
    }

    /// The cell under a pixel. What lies beside the court belongs to the outer cells; nothing beyond the part that is
    /// shown belongs to any.
    pub fn cell_at(&self, px: f64, py: f64) -> Option<(Column, Row)> {
        let inside = (self.top..=self.top + self.height).contains(&py);
        let (x, from_net) = self.place(px, py);
        let column = Column::ALL.into_iter().find(|c| x < self.column(*c).1).unwrap_or(Column::Right);
        let row = Row::ALL.into_iter().find(|r| (self.row(*r).0..=self.row(*r).1).contains(&from_net));
        Some((column, row?)).filter(|_| inside)
    }
}

/// A colour: red, green, blue, from 0 to 1.
pub type Colour = (f64, f64, f64);

/// The colours of the pad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Palette {
    /// The court inside the lines of singles.
    pub court: Colour,
    /// What is beside it.
    pub beside: Colour,
    /// The lines of the court.
    pub line: Colour,
    /// Words and the net.
    pub ink: Colour,
    /// The cell of the ball that corrections go to.
    pub mark: Colour,
}

impl Palette {
    /// Light, dark, or as strong as can be.
    pub const fn of(dark: bool, strong: bool) -> Self {
        let mark = (0.949, 0.812, 0.271);
        match (dark, strong) {
            (false, false) => Self {
                court: (0.890, 0.925, 0.902),
                beside: (0.945, 0.949, 0.918),
                line: (0.310, 0.420, 0.376),
                ink: (0.125, 0.145, 0.165),
                mark,
            },
            (true, false) => Self {
                court: (0.153, 0.235, 0.216),
                beside: (0.165, 0.188, 0.192),
                line: (0.588, 0.698, 0.655),
                ink: (0.914, 0.902, 0.863),
                mark: (0.545, 0.447, 0.071),
            },
            (false, true) => Self {
                court: (1.0, 1.0, 1.0),
                beside: (1.0, 1.0, 1.0),
                line: (0.0, 0.0, 0.0),
                ink: (0.0, 0.0, 0.0),
                mark: (1.0, 0.87, 0.2),
            },
            (true, true) => Self {
                court: (0.0, 0.0, 0.0),
                beside: (0.0, 0.0, 0.0),
                line: (1.0, 1.0, 1.0),
                ink: (1.0, 1.0, 1.0),
                mark: (0.45, 0.36, 0.0),
            },
        }
    }
}

/// Draws the part of the court, the cell of the ball at the cursor filled and with a ball in it. `line` is the height of
/// a line of text in pixels.
pub fn draw(cr: &cairo::Context, view: &View, ball: Option<Cell>, colours: &Palette, line: f64) {
    let (from, to) = view.across();
    let reach = view.reach();
    let singles = HALF_SINGLES.0;
    fill(cr, &quad(view, (from, to), (0.0, reach)), colours.beside);
    fill(cr, &quad(view, (from.max(-singles), to.min(singles)), (0.0, reach)), colours.court);
    if let Some(cell) = ball {
        draw_ball(cr, view, cell, colours, line);
    }
    draw_cells(cr, view, colours);
    set(cr, colours.line);
    cr.set_line_width(1.8);
    for x in [-HALF_DOUBLES.0, -singles, singles, HALF_DOUBLES.0] {
        if (from..=to).contains(&x) {
            stroke(cr, &[view.at(x, 0.0), view.at(x, reach)]);
        }
    }
    let (left, right) = (from.max(-singles), to.min(singles));
    stroke(cr, &[view.at(left, SERVICE_LINE.0), view.at(right, SERVICE_LINE.0)]);
    if !matches!(view.part, Part::Box(_, Column::Middle)) {
        stroke(cr, &[view.at(0.0, 0.0), view.at(0.0, SERVICE_LINE.0)]);
    }
    if let Part::Half(_) = view.part {
        stroke(cr, &[view.at(from, reach), view.at(to, reach)]);
    }
    set(cr, colours.ink);
    cr.set_line_width(4.0);
    stroke(cr, &[view.at(from, 0.0), view.at(to, 0.0)]);
}

fn quad(view: &View, (left, right): (f64, f64), (near, far): (f64, f64)) -> [(f64, f64); 4] {
    [view.at(left, near), view.at(right, near), view.at(right, far), view.at(left, far)]
}

fn draw_cells(cr: &cairo::Context, view: &View, colours: &Palette) {
    set(cr, colours.line);
    cr.set_line_width(1.0);
    cr.set_dash(&[2.0, 4.0], 0.0);
    let rows: &[Row] = if matches!(view.part, Part::Half(_)) { &Row::ALL } else { &[Row::Middle] };
    for column in Column::ALL {
        for row in rows {
            let [a, b, c, d] = view.corners(column, *row);
            stroke(cr, &[a, b, c, d, a]);
        }
    }
    cr.set_dash(&[], 0.0);
}

/// The cell, and a ball in its lower right corner: colour alone would not tell.
fn draw_ball(cr: &cairo::Context, view: &View, cell: Cell, colours: &Palette, line: f64) {
    let corners = view.corners(cell.column, cell.row.unwrap_or(Row::Middle));
    fill(cr, &corners, colours.mark);
    let lowest = corners.iter().map(|c| c.1).fold(f64::MIN, f64::max);
    let right = corners.iter().filter(|c| c.1 > lowest - 0.5).map(|c| c.0).fold(f64::MIN, f64::max);
    let radius = line * 0.22;
    cr.arc(right - 2.6 * radius, lowest - 2.2 * radius, radius, 0.0, std::f64::consts::TAU);
    set(cr, colours.ink);
    let _ = cr.fill();
}

fn set(cr: &cairo::Context, (r, g, b): Colour) {
    cr.set_source_rgb(r, g, b);
}

fn path(cr: &cairo::Context, points: &[(f64, f64)]) {
    cr.new_path();
    for (x, y) in points {
        cr.line_to(*x, *y);
    }
}

fn fill(cr: &cairo::Context, points: &[(f64, f64)], colour: Colour) {
    path(cr, points);
    set(cr, colour);
    let _ = cr.fill();
}

fn stroke(cr: &cairo::Context, points: &[(f64, f64)]) {
    path(cr, points);
    let _ = cr.stroke();
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PARTS: [Part; 8] = [
        Part::Half(End::Near),
        Part::Half(End::Far),
        Part::Box(End::Near, Column::Left),
        Part::Box(End::Near, Column::Right),
        Part::Box(End::Far, Column::Left),
        Part::Box(End::Far, Column::Right),
        Part::Box(End::Near, Column::Middle),
        Part::Box(End::Far, Column::Middle),
    ];

    fn view(part: Part) -> View {
        View::new(part, (20.0, 10.0), (260.0, 220.0))
    }

    #[test]
    fn up_is_away_from_the_camera_and_left_is_left() {
        for part in PARTS {
            let v = view(part);
            assert!(v.middle(Column::Left, Row::Middle).0 < v.middle(Column::Right, Row::Middle).0);
            let net = v.at(0.0, 0.0).1;
            let away = v.at(0.0, 5.0).1;
            match v.end() {
                End::Near => assert!(away > net, "{part:?}: the near half lies below the net"),
                End::Far => assert!(away < net, "{part:?}: the far half lies above it"),
            }
            if let Part::Half(_) = part {
                assert!(v.middle(Column::Left, Row::Up).1 < v.middle(Column::Left, Row::Down).1);
            }
        }
    }

    #[test]
    fn the_middle_of_a_cell_is_in_that_cell() {
        for part in PARTS {
            let v = view(part);
            for column in Column::ALL {
                for row in Row::ALL {
                    let (x, y) = v.middle(column, row);
                    let (c, r) = v.cell_at(x, y).unwrap();
                    assert_eq!(c, column, "{part:?}");
                    assert!(r == row || matches!(part, Part::Box(..)), "{part:?}");
                }
            }
        }
        assert_eq!(view(PARTS[0]).cell_at(100.0, 500.0), None);
    }

    proptest! {
        #[test]
        fn a_pixel_of_a_place_is_at_that_place(part in 0usize..8, x in -4.0..4.0f64, d in 0.0..6.0f64) {
            let v = view(PARTS[part]);
            let (px, py) = v.at(x, d);
            let (bx, bd) = v.place(px, py);
            prop_assert!((bx - x).abs() < 1e-9 && (bd - d).abs() < 1e-9);
        }
    }
}
