use super::super::canvas::{Canvas, Vector, vector};
use super::*;
use crate::drawing::{Anchor, Shape};
use crate::measure::{Camera, Size};
use crate::tennis::court::{self, Spot};
use crate::time::MatchTime;

const SIZE: Size = Size::new(1280, 720);

fn view() -> View {
    View::of(Camera::looking([1.0, -21.0, 5.0], [0.3, -1.0, 0.0], 50.0, SIZE).as_ref(), SIZE)
}

fn on(x: f64, y: f64) -> Anchor {
    Anchor::on_ground(Spot::new(x, y))
}

fn drawn(shape: Shape, colour: Colour) -> Drawing {
    Drawing { shape, colour, from: MatchTime::ZERO, to: MatchTime::from_secs(3) }
}

fn all() -> Vec<Drawing> {
    let text = |x, y, words: &str| Shape::Text { at: Anchor::Picture(x, y), words: words.into() };
    vec![
        drawn(Shape::Spotlight { middle: on(2.4, -9.8), radius: 1200 }, Colour::Yellow),
        drawn(Shape::Spotlight { middle: on(-2.0, 10.5), radius: 1200 }, Colour::Yellow),
        drawn(Shape::Zone(vec![on(-4.1, 6.4), on(0.0, 6.4), on(0.0, 11.9), on(-4.1, 11.9)]), Colour::Blue),
        drawn(Shape::Ring { middle: on(2.4, -9.8), radius: 900 }, Colour::Yellow),
        drawn(Shape::Ring { middle: on(-2.0, 10.5), radius: 900 }, Colour::White),
        drawn(Shape::Arrow(vec![on(2.4, -9.0), on(-3.0, 9.0)]), Colour::Yellow),
        drawn(Shape::Arrow(vec![on(3.0, 5.0), on(4.0, 7.0), on(2.5, 11.0)]), Colour::Orange),
        drawn(
            Shape::Run(vec![on(1.6, -10.2), on(0.0, -10.8), on(-2.8, -9.5), on(-3.2, -7.0)]),
            Colour::White,
        ),
        drawn(Shape::Distance(on(-4.115, -11.885), on(-4.115, -6.4)), Colour::Blue),
        drawn(Shape::Line(vec![on(-2.0, 1.0), on(-1.0, 2.0), on(0.5, 1.0), on(1.5, 2.2)]), Colour::White),
        drawn(text(300, 400, "Żółć, 日本: recover\nto the middle"), Colour::White),
        drawn(text(9300, 9300, "Too long for its place"), Colour::Orange),
    ]
}

fn court(cr: &Context, view: &View, ground: [f64; 3]) {
    set(cr, ground, 1.0);
    cr.paint().unwrap();
    set(cr, [0.95, 0.95, 0.95], 1.0);
    cr.set_line_width(3.0);
    let (b, s, d, v) =
        (court::HALF_LENGTH.0, court::HALF_SINGLES.0, court::HALF_DOUBLES.0, court::SERVICE_LINE.0);
    for [x, y, u, w] in [
        [-d, -b, d, -b],
        [-d, b, d, b],
        [-d, -b, -d, b],
        [d, -b, d, b],
        [-s, -b, -s, b],
        [s, -b, s, b],
        [-s, -v, s, -v],
        [-s, v, s, v],
        [0.0, -v, 0.0, v],
        [-d, 0.0, d, 0.0],
    ] {
        let (p, q) = (view.see(on(x, y)).unwrap(), view.see(on(u, w)).unwrap());
        path(cr, &[p, q], false);
        cr.stroke().unwrap();
    }
}

fn painted(ground: [f64; 3]) -> Canvas {
    let mut canvas = Canvas::opaque(SIZE).unwrap();
    let view = view();
    canvas
        .paint(|cr| {
            court(cr, &view, ground);
            drawings(cr, &all(), &view, Units::Metres)
        })
        .unwrap();
    canvas
}

/// To look at: `PICTURES=FOLDER cargo test --features paint paint:: -- --ignored`.
#[test]
#[ignore = "writes pictures for eyes"]
fn pictures_to_look_at() {
    let folder = std::path::PathBuf::from(std::env::var("PICTURES").unwrap());
    for (name, ground) in [
        ("green", [0.2, 0.45, 0.25]),
        ("clay", [0.72, 0.38, 0.24]),
        ("blue", [0.16, 0.36, 0.62]),
        ("white", [0.93, 0.93, 0.93]),
    ] {
        std::fs::write(folder.join(format!("{name}.png")), painted(ground).png().unwrap()).unwrap();
    }
    for (name, form) in [("drawings.svg", Vector::Svg), ("drawings.pdf", Vector::Pdf)] {
        let bytes = vector(form, SIZE, |cr| {
            court(cr, &view(), [0.2, 0.45, 0.25]);
            drawings(cr, &all(), &view(), Units::Feet)
        });
        std::fs::write(folder.join(name), bytes.unwrap()).unwrap();
    }
}

/// Relative luminance and contrast of WCAG 2.1.
fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let light = |c: [f64; 3]| {
        let [r, g, b] = c.map(|v| if v <= 0.040_45 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) });
        0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05
    };
    let (a, b) = (light(a), light(b));
    a.max(b) / a.min(b)
}

#[test]
fn every_colour_is_seen_on_every_court() {
    let grounds = [[0.2, 0.45, 0.25], [0.72, 0.38, 0.24], [0.16, 0.36, 0.62], [0.0; 3], [1.0; 3], [0.5; 3]];
    for colour in Colour::ALL {
        assert!(contrast(colour.rgb(), DARK) > 7.0, "{colour:?} in its border");
        for ground in grounds {
            let best = contrast(colour.rgb(), ground).max(contrast(DARK, ground));
            assert!(best > 3.0, "{colour:?} on {ground:?}: {best}");
        }
    }
}

#[test]
fn what_is_lit_stays_and_the_rest_is_dark() {
    let mut canvas = Canvas::opaque(SIZE).unwrap();
    let view = view();
    let lights = &all()[..2];
    canvas
        .paint(|cr| {
            set(cr, [1.0; 3], 1.0);
            cr.paint()?;
            drawings(cr, lights, &view, Units::Metres)
        })
        .unwrap();
    let pixels = canvas.pixels().unwrap();
    let at = |p: Pixel| pixels[(p.y as usize * 1280 + p.x as usize) * 4];
    for lit in [on(2.4, -9.8), on(-2.0, 10.5)] {
        assert_eq!(at(view.see(lit).unwrap()), 255, "in the light");
    }
    let dark = at(view.see(on(0.0, 0.0)).unwrap());
    assert!((90..115).contains(&dark), "{dark}");
}

#[test]
fn a_layer_is_transparent_where_nothing_is_drawn() {
    let mut canvas = Canvas::clear(SIZE).unwrap();
    let ring = drawn(Shape::Ring { middle: Anchor::Picture(5000, 5000), radius: 500 }, Colour::White);
    canvas.paint(|cr| drawings(cr, [&ring], &View::of(None, SIZE), Units::Metres)).unwrap();
    let pixels = canvas.pixels().unwrap();
    assert_eq!(pixels.len(), 1280 * 720 * 4);
    let alpha = |x: usize, y: usize| pixels[(y * 1280 + x) * 4 + 3];
    assert_eq!(alpha(100, 100), 0);
    assert_eq!(alpha(640 + 1280 * 500 / 10_000, 360), 255, "the ring");
    assert!((40..90).contains(&alpha(640, 360)), "filled lightly");
}

#[test]
fn a_frame_with_gaps_and_oblong_pixels_is_stretched() {
    let (frame, shown) = (Size::new(3, 2), Size::new(6, 2));
    let rows: Vec<u8> = (0..2).flat_map(|_| [[10u8, 20, 30, 0].repeat(3), vec![99; 5]].concat()).collect();
    let pixels = Canvas::over(&rows, 17, frame, shown).unwrap().pixels().unwrap();
    assert_eq!(pixels.len(), 48);
    for p in pixels.chunks(4) {
        assert_eq!(&p[..3], [10, 20, 30]);
    }
    assert!(matches!(Canvas::over(&rows[..20], 17, frame, shown), Err(PaintError::TooFew { .. })));
    assert!(matches!(Canvas::clear(Size::new(0, 9)), Err(PaintError::Size { .. })));
}

#[test]
fn svg_and_pdf_are_made_by_the_same_code() {
    let make = |form| vector(form, SIZE, |cr| drawings(cr, &all(), &view(), Units::Metres)).unwrap();
    let svg = String::from_utf8(make(Vector::Svg)).unwrap();
    assert!(svg.contains("<svg") && svg.matches("<path").count() > 30 && svg.trim_end().ends_with("</svg>"));
    assert!(make(Vector::Pdf).starts_with(b"%PDF"));
}
