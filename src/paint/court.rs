//! The court from above: the same picture for the window, PNG, SVG and PDF.

use cairo::Context;

use super::error::PaintError;
use super::text::{Align, Text};
use crate::drawing::{CourtPlan, Dot, Units, View, Way};
use crate::measure::{Pixel, Size};
use crate::tennis::court::{
    CENTRE_MARK, HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, Metres, POST_OUTSIDE, SERVICE_LINE, Spot,
};

/// The radius within which a dot counts for the density, metres (one standard deviation; our choice).
const WIDE: f64 = 0.7;
/// The side of a square of the density, metres.
const SQUARE: f64 = 0.25;

type Rgb = [f64; 3];

/// The colours of a court picture.
struct Palette {
    paper: Rgb,
    ground: Rgb,
    court: Rgb,
    ink: Rgb,
    quiet: Rgb,
    mark: Rgb,
    other: Rgb,
}

const LIGHT: Palette = Palette {
    paper: [1.0, 0.992, 0.969],
    ground: [0.918, 0.925, 0.898],
    court: [0.843, 0.898, 0.925],
    ink: [0.125, 0.145, 0.165],
    quiet: [0.365, 0.384, 0.408],
    mark: [0.039, 0.392, 0.678],
    other: [0.65, 0.25, 0.05],
};

const DARK: Palette = Palette {
    paper: [0.106, 0.118, 0.129],
    ground: [0.145, 0.165, 0.172],
    court: [0.165, 0.231, 0.278],
    ink: [0.914, 0.902, 0.863],
    quiet: [0.690, 0.702, 0.718],
    mark: [0.490, 0.780, 1.0],
    other: [1.0, 0.690, 0.420],
};

/// Paints a picture of the court on a page of this size, and says where the court lies.
///
/// # Errors
/// When cairo refuses.
pub fn court(cr: &Context, plan: &CourtPlan, size: Size, dark: bool) -> Result<View, PaintError> {
    let page = Page { cr, plan, view: plan.view(size), size, colours: if dark { &DARK } else { &LIGHT } };
    cr.save()?;
    page.set(page.colours.paper, 1.0);
    cr.paint()?;
    page.ground()?;
    page.cells()?;
    if plan.dense {
        page.density()?;
    }
    page.lines()?;
    page.counts();
    for way in &plan.ways {
        page.way(way)?;
    }
    for (at, kind) in plan.dots.iter().filter(|_| !plan.dense) {
        page.dot(page.at(*at), *kind)?;
    }
    page.words()?;
    cr.restore()?;
    Ok(page.view)
}

struct Page<'a> {
    cr: &'a Context,
    plan: &'a CourtPlan,
    view: View,
    size: Size,
    colours: &'static Palette,
}

impl Page<'_> {
    fn set(&self, [r, g, b]: Rgb, alpha: f64) {
        self.cr.set_source_rgba(r, g, b, alpha);
    }

    fn at(&self, spot: Spot) -> Pixel {
        self.view.see_spot(spot).unwrap_or_default()
    }

    fn metre(&self) -> f64 {
        self.at(Spot::new(1.0, 0.0)).x - self.at(Spot::new(0.0, 0.0)).x
    }

    fn rectangle(&self, a: Spot, b: Spot) {
        let (a, b) = (self.at(a), self.at(b));
        self.cr.rectangle(a.x.min(b.x), a.y.min(b.y), (a.x - b.x).abs(), (a.y - b.y).abs());
    }

    fn line(&self, a: Spot, b: Spot) {
        let (a, b) = (self.at(a), self.at(b));
        self.cr.move_to(a.x, a.y);
        self.cr.line_to(b.x, b.y);
    }

    fn ground(&self) -> Result<(), PaintError> {
        let [a, b] = CourtPlan::GROUND;
        self.rectangle(a, b);
        self.set(self.colours.ground, 1.0);
        self.cr.fill()?;
        let half = if self.plan.doubles { HALF_DOUBLES.0 } else { HALF_SINGLES.0 };
        self.rectangle(Spot::new(-half, HALF_LENGTH.0), Spot::new(half, -HALF_LENGTH.0));
        self.set(self.colours.court, 1.0);
        Ok(self.cr.fill()?)
    }

    fn lines(&self) -> Result<(), PaintError> {
        let (b, s, d, v) = (HALF_LENGTH.0, HALF_SINGLES.0, HALF_DOUBLES.0, SERVICE_LINE.0);
        let cr = self.cr;
        cr.set_line_width((self.metre() * 0.06).max(1.0));
        self.set(self.colours.ink, 0.85);
        self.rectangle(Spot::new(-s, b), Spot::new(s, -b));
        for y in [-v, v] {
            self.line(Spot::new(-s, y), Spot::new(s, y));
        }
        self.line(Spot::new(0.0, -v), Spot::new(0.0, v));
        for y in [-b, b] {
            self.line(Spot::new(0.0, y), Spot::new(0.0, y - y.signum() * 2.0 * CENTRE_MARK.0));
        }
        cr.stroke()?;
        // The alleys of a singles match are not played in.
        self.set(self.colours.ink, if self.plan.doubles { 0.85 } else { 0.35 });
        self.rectangle(Spot::new(-d, b), Spot::new(d, -b));
        cr.stroke()?;
        let net = (if self.plan.doubles { d } else { s }) + POST_OUTSIDE.0;
        self.set(self.colours.ink, 1.0);
        cr.set_line_width((self.metre() * 0.12).max(2.0));
        self.line(Spot::new(-net, 0.0), Spot::new(net, 0.0));
        Ok(cr.stroke()?)
    }

    fn cells(&self) -> Result<(), PaintError> {
        let most = self.plan.cells.iter().map(|c| c.count).max().unwrap_or(0).max(1);
        for cell in &self.plan.cells {
            self.rectangle(cell.from, cell.to);
            self.set(self.colours.mark, 0.05 + 0.45 * cell.count as f64 / most as f64);
            self.cr.fill_preserve()?;
            self.set(self.colours.ink, 0.3);
            self.cr.set_line_width(1.0);
            self.cr.set_dash(&[3.0, 3.0], 0.0);
            self.cr.stroke()?;
            self.cr.set_dash(&[], 0.0);
        }
        Ok(())
    }

    fn counts(&self) {
        for cell in self.plan.cells.iter().filter(|c| c.count > 0) {
            let (a, b) = (self.at(cell.from), self.at(cell.to));
            let size = CourtPlan::text(self.size).min((a.y - b.y).abs() * 0.6);
            let text = Text::new(self.cr, &cell.count.to_string(), size, true);
            let middle = (f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y) - text.extent().1 / 2.0);
            self.set(self.colours.ink, 1.0);
            text.paint(self.cr, middle, Align::Middle);
        }
    }

    /// How densely the dots lie: each spreads around itself as a normal distribution does.
    fn density(&self) -> Result<(), PaintError> {
        let [a, b] = CourtPlan::GROUND;
        let (columns, rows) = ((b.x.0 - a.x.0) / SQUARE, (a.y.0 - b.y.0) / SQUARE);
        let middle = |column: u32, row: u32| {
            Spot::new(a.x.0 + (f64::from(column) + 0.5) * SQUARE, b.y.0 + (f64::from(row) + 0.5) * SQUARE)
        };
        let value = |at: Spot| -> f64 {
            let near = self.plan.dots.iter().map(|(dot, _)| dot.distance(at).0 / WIDE);
            near.filter(|d| *d < 4.0).map(|d| (-d * d / 2.0).exp()).sum()
        };
        let squares: Vec<_> = (0..rows as u32)
            .flat_map(|row| (0..columns as u32).map(move |column| middle(column, row)))
            .map(|at| (at, value(at)))
            .collect();
        let most = squares.iter().map(|s| s.1).fold(0.0, f64::max);
        // Squares overlap by a hair's breadth, so that no lines show between them.
        let half = SQUARE / 2.0 * 1.02;
        for (at, value) in squares.into_iter().filter(|s| s.1 > 0.03 * most) {
            let corner = |sign: f64| Spot::new(at.x.0 + sign * half, at.y.0 + sign * half);
            self.rectangle(corner(-1.0), corner(1.0));
            self.set(self.colours.mark, 0.85 * value / most);
            self.cr.fill()?;
        }
        Ok(())
    }

    fn way(&self, way: &Way) -> Result<(), PaintError> {
        let (a, b) = (self.at(way.from), self.at(way.to));
        let long = a.distance(b);
        if long < 1.0 {
            return Ok(());
        }
        let cr = self.cr;
        let wide = (self.metre() * 0.07).max(1.0);
        self.set(if way.run { self.colours.other } else { self.colours.mark }, 0.75);
        cr.set_line_width(wide);
        cr.set_dash(if way.run { &[3.0, 3.0] } else { &[] }, 0.0);
        cr.move_to(a.x, a.y);
        cr.line_to(b.x, b.y);
        cr.stroke()?;
        cr.set_dash(&[], 0.0);
        let (dx, dy) = ((b.x - a.x) / long, (b.y - a.y) / long);
        let head = (5.0 * wide).min(long / 2.0);
        cr.move_to(b.x, b.y);
        for side in [1.0, -1.0] {
            cr.line_to(b.x - head * (dx + side * 0.4 * dy), b.y - head * (dy - side * 0.4 * dx));
        }
        cr.close_path();
        Ok(cr.fill()?)
    }

    fn dot(&self, at: Pixel, kind: Dot) -> Result<(), PaintError> {
        let cr = self.cr;
        let r = (self.metre() * 0.16).max(2.5);
        cr.new_path();
        cr.set_line_width((r * 0.45).max(1.2));
        match kind {
            Dot::In => {
                cr.arc(at.x, at.y, r, 0.0, std::f64::consts::TAU);
                self.set(self.colours.mark, 0.8);
                cr.fill_preserve()?;
                cr.set_line_width(1.0);
                self.set(self.colours.paper, 1.0);
            }
            Dot::Out => {
                for side in [1.0, -1.0] {
                    cr.move_to(at.x - r, at.y - side * r);
                    cr.line_to(at.x + r, at.y + side * r);
                }
                self.set(self.colours.other, 1.0);
            }
            Dot::Striker => {
                cr.move_to(at.x, at.y - 1.3 * r);
                cr.line_to(at.x + 1.2 * r, at.y + r);
                cr.line_to(at.x - 1.2 * r, at.y + r);
                cr.close_path();
                self.set(self.colours.mark, 0.8);
                cr.fill_preserve()?;
                cr.set_line_width(1.0);
                self.set(self.colours.paper, 1.0);
            }
            Dot::Opponent => {
                cr.rectangle(at.x - r, at.y - r, 2.0 * r, 2.0 * r);
                self.set(self.colours.other, 1.0);
            }
        }
        Ok(cr.stroke()?)
    }

    fn words(&self) -> Result<(), PaintError> {
        let line = CourtPlan::text(self.size);
        let (width, height) = (f64::from(self.size.width), f64::from(self.size.height));
        let edge = line * 0.8;
        self.set(self.colours.ink, 1.0);
        let title = Text::new(self.cr, &self.plan.title, line * 1.25, true).within(width - 2.0 * edge);
        title.paint(self.cr, (edge, 0.6 * line), Align::Left);
        let step = line * 1.5;
        let mut y = height - step * (self.plan.below() as f64 + 0.2);
        let legend = self.plan.legend();
        if !legend.is_empty() {
            self.legend(&legend, (edge, y), line)?;
            y += step;
        }
        self.set(self.colours.quiet, 1.0);
        for note in &self.plan.notes {
            Text::new(self.cr, note, line, false).paint(self.cr, (edge, y), Align::Left);
            y += step;
        }
        self.ends(line);
        self.scale(line)
    }

    /// Which end is which.
    fn ends(&self, line: f64) {
        let [a, b] = CourtPlan::GROUND;
        let words =
            if self.plan.folded { ["struck from below", "striker’s end"] } else { ["far end", "near end"] };
        let size = line * 0.85;
        self.set(self.colours.quiet, 1.0);
        let (top, low) = (self.at(a), self.at(b));
        Text::new(self.cr, words[0], size, false).paint(
            self.cr,
            (top.x + size * 0.5, top.y + size * 0.3),
            Align::Left,
        );
        Text::new(self.cr, words[1], size, false).paint(
            self.cr,
            (top.x + size * 0.5, low.y - size * 1.6),
            Align::Left,
        );
    }

    fn legend(&self, kinds: &[Dot], (x, y): (f64, f64), line: f64) -> Result<(), PaintError> {
        let mut x = x;
        for kind in kinds {
            self.dot(Pixel::new(x + line * 0.4, y + line * 0.7), *kind)?;
            self.set(self.colours.quiet, 1.0);
            let text = Text::new(self.cr, kind.words(), line, false);
            text.paint(self.cr, (x + line * 1.2, y), Align::Left);
            x += text.extent().0 + line * 2.4;
        }
        Ok(())
    }

    /// A bar that is as long as it says.
    fn scale(&self, line: f64) -> Result<(), PaintError> {
        let (long, words) = match self.plan.units {
            Units::Metres => (Metres(3.0), "3 m"),
            Units::Feet => (Metres::from_feet(10.0, 0.0), "10 ft"),
        };
        let corner = self.at(CourtPlan::GROUND[1]);
        let (x, y) = (corner.x - line * 0.6, corner.y - line * 0.6);
        let left = x - long.0 * self.metre();
        self.set(self.colours.quiet, 1.0);
        self.cr.set_line_width(1.5);
        for end in [left, x] {
            self.cr.move_to(end, y - line * 0.25);
            self.cr.line_to(end, y + line * 0.25);
        }
        self.cr.move_to(left, y);
        self.cr.line_to(x, y);
        self.cr.stroke()?;
        let text = Text::new(self.cr, words, line * 0.85, false);
        text.paint(self.cr, (f64::midpoint(left, x), y - text.extent().1 - line * 0.2), Align::Middle);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::CellCount;
    use crate::paint::{Canvas, Vector, vector};

    const SIZE: Size = Size::new(1000, 1500);

    fn plan() -> CourtPlan {
        let spot = |n: f64| Spot::new((n * 1.7).sin() * 4.6, 6.0 + (n * 2.3).cos() * 6.3);
        let spots: Vec<Spot> = (0..40).map(|n| spot(f64::from(n))).collect();
        let kinds = [Dot::In, Dot::In, Dot::Out, Dot::Striker, Dot::Opponent];
        CourtPlan {
            title: "Where shots landed: Holt".into(),
            notes: vec!["40 shots in the picture".into(), "7 shots: no landing, not in the picture".into()],
            folded: true,
            cells: vec![CellCount { from: Spot::new(-4.115, 6.4), to: Spot::new(-1.37, 9.14), count: 12 }],
            dots: spots.iter().zip(kinds.iter().cycle()).map(|(s, k)| (*s, *k)).collect(),
            ways: vec![
                Way { from: Spot::new(2.0, -12.0), to: Spot::new(-3.0, 9.0), run: false },
                Way { from: Spot::new(2.0, -12.5), to: Spot::new(-2.0, -11.0), run: true },
            ],
            ..CourtPlan::default()
        }
    }

    /// To look at: `PICTURES=FOLDER cargo test --features paint paint:: -- --ignored`.
    #[test]
    #[ignore = "writes pictures for eyes"]
    fn courts_to_look_at() {
        let folder = std::path::PathBuf::from(std::env::var("PICTURES").unwrap());
        for (name, dark, dense) in
            [("court-light", false, false), ("court-dark", true, false), ("court-dense", false, true)]
        {
            let mut canvas = Canvas::opaque(SIZE).unwrap();
            let plan = CourtPlan {
                dense,
                doubles: dark,
                units: if dark { Units::Feet } else { Units::Metres },
                ..plan()
            };
            canvas.paint(|cr| court(cr, &plan, SIZE, dark).map(drop)).unwrap();
            std::fs::write(folder.join(format!("{name}.png")), canvas.png().unwrap()).unwrap();
        }
    }

    #[test]
    fn the_bar_is_as_long_as_it_says() {
        for size in [SIZE, Size::new(300, 300), Size::new(900, 400)] {
            let view = plan().view(size);
            let seen = |x, y| view.see_spot(Spot::new(x, y)).unwrap();
            assert!(
                (seen(3.0, 0.0).distance(seen(0.0, 0.0)) - seen(0.0, 3.0).distance(seen(0.0, 0.0))).abs()
                    < 1e-9
            );
            for corner in CourtPlan::GROUND {
                assert!(size.holds(view.see_spot(corner).unwrap(), -1e-6), "{size:?}");
            }
        }
    }

    #[test]
    fn svg_pdf_and_pixels_come_from_one_code() {
        let paint = |cr: &Context| court(cr, &plan(), SIZE, false).map(drop);
        let svg = String::from_utf8(vector(Vector::Svg, SIZE, paint).unwrap()).unwrap();
        assert!(svg.contains("width=\"1000px\""), "{}", &svg[..200]);
        assert!(vector(Vector::Pdf, SIZE, paint).unwrap().starts_with(b"%PDF"));
        let mut canvas = Canvas::opaque(Size::new(100, 20)).unwrap();
        canvas.paint(|cr| court(cr, &CourtPlan::default(), Size::new(100, 20), true).map(drop)).unwrap();
    }
}
