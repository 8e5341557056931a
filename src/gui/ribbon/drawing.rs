//! Drawing the score ribbon: as much of it as is seen.
//!
//! A point is a mark as high as its rally was long: up and filled when A won it, down and hollow when B did, across the
//! line when nobody knows. Where the length is not known the mark is small and hatched; a rally longer than fits has a
//! gap near its tip. Of points that the filter leaves out the mark is faint; where it cannot tell, what is behind the
//! mark is hatched too.

use gtk::cairo;

use super::layout::{Layout, POINT, Part, heading_width};
use crate::pattern::Answer;
use crate::session::sheet::{Mark, Set};
use crate::tennis::Side;

const TOP: f64 = 18.0;
const HALF: f64 = 20.0;
const MIDDLE: f64 = TOP + HALF;
const BOTTOM: f64 = TOP + 2.0 * HALF;
/// The height without signs.
pub const HEIGHT: f64 = BOTTOM + 18.0;
/// The row of signs below, there only when there is a sign to show.
pub const SIGNS: f64 = 16.0;
/// Above this stand the headings of the sets.
pub const HEADINGS: f64 = TOP - 4.0;
/// Height of a mark whose rally's length is not known.
const UNKNOWN: f64 = 9.0;
/// The longest rally that is drawn to scale, in balls.
const LONGEST: usize = 12;

type Colour = (f64, f64, f64);

/// The colours of the ribbon.
#[derive(Debug)]
pub struct Colours {
    ink: Colour,
    bed: Colour,
    a: Colour,
    b: Colour,
    nobody: Colour,
    sign: Colour,
    in_sign: Colour,
    /// How faint the ink may be.
    least: f64,
}

impl Colours {
    /// Light or dark, and whether the contrast is strong.
    pub const fn of(dark: bool, strong: bool) -> &'static Self {
        match (dark, strong) {
            (false, false) => &LIGHT,
            (true, false) => &DARK,
            (false, true) => &STRONG,
            (true, true) => &STRONG_DARK,
        }
    }
}

const LIGHT: Colours = Colours {
    ink: (0.13, 0.15, 0.16),
    bed: (0.95, 0.93, 0.89),
    a: (0.04, 0.39, 0.68),
    b: (0.71, 0.28, 0.04),
    nobody: (0.35, 0.35, 0.35),
    sign: (0.54, 0.18, 0.06),
    in_sign: (1.0, 1.0, 1.0),
    least: 0.25,
};
const DARK: Colours = Colours {
    ink: (0.91, 0.90, 0.86),
    bed: (0.19, 0.21, 0.23),
    a: (0.49, 0.75, 0.96),
    b: (0.96, 0.64, 0.42),
    nobody: (0.75, 0.75, 0.75),
    sign: (0.97, 0.83, 0.75),
    in_sign: (0.1, 0.1, 0.1),
    least: 0.25,
};
const STRONG: Colours = Colours {
    ink: (0.0, 0.0, 0.0),
    bed: (0.87, 0.87, 0.87),
    a: (0.0, 0.24, 0.45),
    b: (0.48, 0.17, 0.0),
    nobody: (0.2, 0.2, 0.2),
    sign: (0.48, 0.0, 0.0),
    in_sign: (1.0, 1.0, 1.0),
    least: 0.6,
};
const STRONG_DARK: Colours = Colours {
    ink: (1.0, 1.0, 1.0),
    bed: (0.2, 0.2, 0.2),
    a: (0.66, 0.85, 1.0),
    b: (1.0, 0.76, 0.6),
    nobody: (0.85, 0.85, 0.85),
    sign: (1.0, 0.85, 0.78),
    in_sign: (0.0, 0.0, 0.0),
    least: 0.6,
};

/// What is to be drawn.
pub struct Picture<'a> {
    /// The points.
    pub marks: &'a [Mark],
    /// The sets that they make.
    pub sets: &'a [Set],
    /// Where they stand.
    pub layout: &'a Layout,
    /// The point to ring.
    pub current: Option<usize>,
    /// In which colours.
    pub colours: &'static Colours,
}

/// Draws what lies between two places; says how many marks that were.
pub fn draw(cr: &cairo::Context, picture: &Picture<'_>, from: f64, to: f64) -> usize {
    let colours = picture.colours;
    let games: Vec<_> = picture.sets.iter().flat_map(|s| &s.games).collect();
    let mut drawn = 0;
    for n in picture.layout.seen(from, to) {
        let (Some(part), Some(game)) = (picture.layout.games.get(n), games.get(n)) else { continue };
        bed(cr, part, colours);
        below(cr, part, &game.below, game.broken_by, colours);
        for point in part.points.clone() {
            if let (Some(mark), Some(x)) = (picture.marks.get(point), picture.layout.place(point)) {
                one(cr, mark, x, colours);
                drawn += 1;
            }
        }
    }
    for (set, part) in picture.sets.iter().zip(&picture.layout.sets) {
        if part.from <= to && from <= part.to {
            heading(cr, set, part, from, colours);
        }
    }
    if let Some(x) = picture.current.and_then(|i| picture.layout.place(i)) {
        ring(cr, x, colours);
    }
    drawn
}

/// Says that there is nothing yet.
pub fn draw_empty(cr: &cairo::Context, colours: &Colours) {
    font(cr, cairo::FontWeight::Normal, 12.0);
    colour(cr, colours.ink, 0.75);
    cr.move_to(20.0, MIDDLE + 4.0);
    let _ = cr.show_text("No points yet. Each point appears here, in its game and set.");
}

fn colour(cr: &cairo::Context, c: Colour, alpha: f64) {
    cr.set_source_rgba(c.0, c.1, c.2, alpha);
}

fn font(cr: &cairo::Context, weight: cairo::FontWeight, size: f64) {
    cr.select_font_face("sans-serif", cairo::FontSlant::Normal, weight);
    cr.set_font_size(size);
}

fn width(cr: &cairo::Context, text: &str) -> f64 {
    cr.text_extents(text).map_or(0.0, |e| e.x_advance())
}

/// The bed of a game, and the line in its middle.
fn bed(cr: &cairo::Context, part: &Part, colours: &Colours) {
    colour(cr, colours.bed, 1.0);
    cr.rectangle(part.from - 1.0, TOP, part.to - part.from + 2.0, 2.0 * HALF);
    let _ = cr.fill();
    colour(cr, colours.ink, colours.least);
    cr.set_line_width(1.0);
    cr.move_to(part.from, MIDDLE + 0.5);
    cr.line_to(part.to, MIDDLE + 0.5);
    let _ = cr.stroke();
}

/// The score below a game; of a break in bold, with a wedge that points to the side that broke.
fn below(cr: &cairo::Context, part: &Part, text: &str, broken_by: Option<Side>, colours: &Colours) {
    let weight = if broken_by.is_some() { cairo::FontWeight::Bold } else { cairo::FontWeight::Normal };
    font(cr, weight, 11.0);
    colour(cr, colours.ink, if broken_by.is_some() { 1.0 } else { 0.75 });
    let sign = if broken_by.is_some() { 11.0 } else { 0.0 };
    let left = f64::midpoint(part.from, part.to) - f64::midpoint(width(cr, text), sign);
    if let Some(side) = broken_by {
        let (base, tip) = if side == Side::A { (14.5, 7.0) } else { (7.0, 14.5) };
        cr.move_to(left, BOTTOM + base);
        cr.line_to(left + 8.0, BOTTOM + base);
        cr.line_to(left + 4.0, BOTTOM + tip);
        let _ = cr.fill();
    }
    cr.move_to(left + sign, BOTTOM + 15.0);
    let _ = cr.show_text(text);
}

/// The heading of a set, which stays in sight as long as some of the set does.
fn heading(cr: &cairo::Context, set: &Set, part: &Part, seen_from: f64, colours: &Colours) {
    let left = part.from.max((seen_from + 8.0).min(part.to - heading_width(set)));
    font(cr, cairo::FontWeight::Bold, 11.5);
    colour(cr, colours.ink, 1.0);
    cr.move_to(left, 13.0);
    let _ = cr.show_text(&set.title);
    let title = width(cr, &set.title);
    font(cr, cairo::FontWeight::Normal, 11.5);
    colour(cr, colours.ink, 0.8);
    cr.move_to(left + title + 7.0, 13.0);
    let _ = cr.show_text(&set.score);
}

fn ring(cr: &cairo::Context, x: f64, colours: &Colours) {
    colour(cr, colours.ink, 1.0);
    cr.set_line_width(2.0);
    cr.rectangle(x - POINT / 2.0, TOP - 1.0, POINT, 2.0 * HALF + 2.0);
    let _ = cr.stroke();
}

/// A point: what is behind its mark, the mark, and the sign below it.
fn one(cr: &cairo::Context, mark: &Mark, x: f64, colours: &Colours) {
    if mark.kept == Answer::Unknown {
        colour(cr, colours.ink, colours.least.max(0.3));
        hatch(cr, (x - POINT / 2.0 + 0.5, TOP + 1.0, POINT - 1.0, 2.0 * HALF - 2.0), 6.0, 1.0);
    }
    let alpha = if mark.kept == Answer::Yes { 1.0 } else { colours.least.max(0.3) };
    let tall = mark.length.map_or(UNKNOWN, height);
    let long = mark.length.is_some_and(|n| n > LONGEST);
    match mark.winner {
        Some(Side::A) => {
            up(cr, x, tall, mark.length.is_some(), |extra| colour(cr, colours.a, alpha * extra));
        }
        Some(Side::B) => {
            colour(cr, colours.b, alpha);
            down(cr, x, tall, mark.length.is_some());
        }
        None => {
            colour(cr, colours.nobody, alpha);
            across(cr, x, mark.length.map(height));
        }
    }
    if let Some(side) = mark.winner.filter(|_| long) {
        colour(cr, colours.bed, 1.0);
        let gap = if side == Side::A { MIDDLE - tall + 4.5 } else { MIDDLE + tall - 7.0 };
        cr.rectangle(x - 5.0, gap, 10.0, 2.5);
        let _ = cr.fill();
    }
    if mark.doubted {
        doubt(cr, x, colours);
    }
}

/// The height of a rally of so many balls; a double fault is next to flat.
fn height(balls: usize) -> f64 {
    const LEAST: f64 = 3.0;
    const STEP: f64 = (HALF - 1.5 - LEAST) / (LONGEST + 1) as f64;
    STEP.mul_add(balls.min(LONGEST + 1) as f64, LEAST)
}

fn up(cr: &cairo::Context, x: f64, tall: f64, known: bool, paint: impl Fn(f64)) {
    let mark = (x - 3.5, MIDDLE - tall, 7.0, tall);
    paint(if known { 1.0 } else { 0.3 });
    cr.rectangle(mark.0, mark.1, mark.2, mark.3);
    let _ = cr.fill();
    if !known {
        paint(1.0);
        hatch(cr, mark, 4.0, 1.8);
    }
}

fn down(cr: &cairo::Context, x: f64, tall: f64, known: bool) {
    cr.set_line_width(if known { 1.8 } else { 1.2 });
    cr.rectangle(x - 3.0, MIDDLE + 1.0, 6.0, tall - 1.0);
    let _ = cr.stroke();
    if !known {
        hatch(cr, (x - 3.0, MIDDLE + 1.0, 6.0, tall - 1.0), 4.0, 1.0);
    }
}

/// A winner that nobody noted: a dot on the line, or a thin bar across it as long as the rally.
fn across(cr: &cairo::Context, x: f64, tall: Option<f64>) {
    match tall {
        Some(tall) => cr.rectangle(x - 1.5, MIDDLE - tall / 2.0, 3.0, tall),
        None => cr.arc(x, MIDDLE, 2.6, 0.0, std::f64::consts::TAU),
    }
    let _ = cr.fill();
}

/// Slanting lines over a box given as left, top, width and height.
fn hatch(cr: &cairo::Context, (left, top, wide, tall): (f64, f64, f64, f64), apart: f64, line: f64) {
    let _ = cr.save();
    cr.rectangle(left, top, wide, tall);
    cr.clip();
    cr.set_line_width(line);
    let lines = ((tall + wide) / apart).ceil() as usize;
    for n in 0..=lines {
        let y = (n as f64).mul_add(apart, top);
        cr.move_to(left, y);
        cr.line_to(left + wide, y - wide);
    }
    let _ = cr.stroke();
    let _ = cr.restore();
}

/// A triangle with an exclamation mark, below a point where something speaks against the score.
fn doubt(cr: &cairo::Context, x: f64, colours: &Colours) {
    let top = HEIGHT - 4.0;
    colour(cr, colours.sign, 1.0);
    cr.move_to(x, top);
    cr.line_to(x + 8.0, top + 14.0);
    cr.line_to(x - 8.0, top + 14.0);
    let _ = cr.fill();
    colour(cr, colours.in_sign, 1.0);
    cr.rectangle(x - 0.9, top + 4.5, 1.8, 5.0);
    cr.rectangle(x - 0.9, top + 10.6, 1.8, 1.8);
    let _ = cr.fill();
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;
    use crate::session::sheet::Game;

    fn mark(n: usize) -> Mark {
        let kept = [Answer::Yes, Answer::No, Answer::Yes, Answer::Unknown][n % 4];
        let winner = [Some(Side::A), Some(Side::B), None][n % 7 % 3];
        let length = Some(n % 15).filter(|_| !n.is_multiple_of(5));
        Mark { winner, length, kept, doubted: n.is_multiple_of(40), spoken: String::new() }
    }

    /// A match of so many sets of ten games of eight points.
    fn match_of(sets: usize) -> (Vec<Mark>, Vec<Set>) {
        let game = |n: usize| Game {
            points: 8,
            below: format!("{n}–1"),
            broken_by: n.is_multiple_of(3).then_some(Side::B),
        };
        let set = |n: usize| Set {
            title: format!("Set {}", n + 1),
            score: "6–4".into(),
            games: (0..10).map(game).collect(),
        };
        ((0..80 * sets).map(mark).collect(), (0..sets).map(set).collect())
    }

    fn best(of: impl Fn()) -> Duration {
        (0..15)
            .map(|_| Instant::now())
            .map(|at| {
                of();
                at.elapsed()
            })
            .min()
            .unwrap()
    }

    /// The luminance of a colour, by which WCAG 2.1 defines contrast.
    fn luminance((r, g, b): Colour) -> f64 {
        let linear = |c: f64| if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
        0.2126f64.mul_add(linear(r), 0.7152f64.mul_add(linear(g), 0.0722 * linear(b)))
    }

    /// WCAG 2.1, 1.4.11: what must be seen has a contrast of at least 3 to 1 to what is beside it.
    #[test]
    fn with_strong_contrast_the_faintest_mark_is_seen() {
        for dark in [false, true] {
            let colours = Colours::of(dark, true);
            let over = |(r, g, b): Colour| {
                let mix = |c: f64, bed: f64| c.mul_add(colours.least, bed * (1.0 - colours.least));
                (mix(r, colours.bed.0), mix(g, colours.bed.1), mix(b, colours.bed.2))
            };
            for mark in [colours.ink, colours.a, colours.b, colours.nobody] {
                let (one, other) = (luminance(over(mark)), luminance(colours.bed));
                let contrast = (one.max(other) + 0.05) / (one.min(other) + 0.05);
                assert!(contrast >= 3.0, "{mark:?}, dark {dark}: {contrast}");
            }
        }
    }

    /// What is drawn does not grow with the match; the time is printed, as a ratio to that of a single set.
    #[test]
    fn only_what_is_seen_is_drawn() {
        let surface = cairo::ImageSurface::create(cairo::Format::ARgb32, 1280, 130).unwrap();
        let cr = cairo::Context::new(&surface).unwrap();
        let view = |sets: usize, from: f64, to: f64| {
            let (marks, sets) = match_of(sets);
            let layout = Layout::new(&sets);
            let picture =
                Picture { marks: &marks, sets: &sets, layout: &layout, current: Some(3), colours: &LIGHT };
            cr.identity_matrix();
            cr.translate(-from, 0.0);
            let drawn = draw(&cr, &picture, from, to);
            (
                drawn,
                best(|| {
                    draw(&cr, &picture, from, to);
                }),
                best(|| {
                    Layout::new(&sets);
                }),
            )
        };
        let (short, time_of_short, _) = view(1, 0.0, 1280.0);
        let (long, time_of_long, laying_out) = view(5, 2000.0, 3280.0);
        let (all, time_of_all, _) = view(5, 0.0, 6000.0);
        assert_eq!((short, all), (80, 400));
        assert!(long <= 100, "{long} marks on 1280 pixels");
        let ratio = |time: Duration| time.as_secs_f64() / time_of_short.as_secs_f64();
        println!(
            "400 points, {long} of them seen: {:.2} times the time of drawing 80; all drawn {:.2}; laying out {:.3}; \
             drawing 80 took {time_of_short:?}",
            ratio(time_of_long),
            ratio(time_of_all),
            ratio(laying_out)
        );
    }

    #[test]
    fn longer_rallies_are_higher_up_to_the_longest_and_none_leaves_the_bed() {
        let heights: Vec<f64> = (0..40).map(height).collect();
        assert!(heights[..=LONGEST + 1].windows(2).all(|w| w[0] < w[1]));
        assert!(heights.iter().all(|h| *h < HALF));
    }
}
