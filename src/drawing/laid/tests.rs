use proptest::prelude::*;

use super::super::model::Colour;
use super::*;
use crate::measure::{Camera, Size};
use crate::time::MatchTime;

const SIZE: Size = Size::new(1280, 720);

fn drawing(shape: Shape) -> Drawing {
    Drawing { shape, colour: Colour::Yellow, from: MatchTime::ZERO, to: MatchTime::from_secs(3) }
}

fn behind_the_court(height: f64, off: f64, radial: f64) -> Camera {
    let camera = Camera::looking([off, -22.0, height], [0.0, 0.0, 0.0], 55.0, SIZE).unwrap();
    camera.with_radial(radial)
}

fn pieces(shape: Shape, view: &View) -> Vec<Piece> {
    laid(&drawing(shape), view, Units::Metres)
}

fn ground(x: f64, y: f64) -> Anchor {
    Anchor::on_ground(Spot::new(x, y))
}

/// Every shape with these places.
fn shapes(at: &[Anchor]) -> Vec<Shape> {
    let way = || at.to_vec();
    vec![
        Shape::Arrow(way()),
        Shape::Run(way()),
        Shape::Line(way()),
        Shape::Ring { middle: at[0], radius: 900 },
        Shape::Spotlight { middle: at[0], radius: 900 },
        Shape::Zone(way()),
        Shape::Distance(at[0], at[at.len() - 1]),
        Shape::Text { at: at[0], words: "Recover".into() },
    ]
}

/// All pixels of these pieces.
fn all(pieces: &[Piece]) -> Vec<Pixel> {
    let of = |piece: &Piece| match piece {
        Piece::Shade(borders) => borders.concat(),
        Piece::Area(points) | Piece::Head(points) | Piece::Line { points, .. } => points.clone(),
        Piece::Words { at, .. } => vec![*at],
    };
    pieces.iter().flat_map(of).collect()
}

#[test]
fn a_distance_says_its_metres_only_on_the_ground() {
    let view = View::of(Some(&behind_the_court(5.0, 1.0, 0.0)), SIZE);
    let line = |a, b| pieces(Shape::Distance(a, b), &view);
    let said = |pieces: &[Piece]| {
        pieces.iter().find_map(|p| match p {
            Piece::Words { words, sits, .. } => Some((words.clone(), *sits)),
            _ => None,
        })
    };
    let on_ground = line(ground(-4.115, -11.885), ground(4.115, -11.885));
    assert_eq!(said(&on_ground), Some(("8.2 m".to_owned(), Sits::OnLine)));
    assert_eq!(said(&line(Anchor::Picture(1000, 1000), Anchor::Picture(5000, 1000))), None);
    assert_eq!(said(&line(ground(0.0, 0.0), Anchor::Picture(5000, 1000))), None);
    let feet = laid(&drawing(Shape::Distance(ground(0.0, 0.0), ground(0.0, 3.048))), &view, Units::Feet);
    assert_eq!(said(&feet), Some(("10.0 ft".to_owned(), Sits::OnLine)));
}

#[test]
fn without_a_camera_nothing_lies_on_the_ground() {
    let view = View::of(None, SIZE);
    for shape in shapes(&[ground(0.0, 1.0), ground(2.0, 3.0), ground(-2.0, 3.0)]) {
        assert_eq!(pieces(shape.clone(), &view), [], "{shape:?}");
    }
    for shape in shapes(&[ground(0.0, 1.0), Anchor::Picture(100, 200), Anchor::Picture(300, 900)]) {
        if !matches!(shape, Shape::Distance(..)) {
            assert_eq!(pieces(shape.clone(), &view), [], "{shape:?}");
        }
    }
    for shape in
        shapes(&[Anchor::Picture(2000, 2000), Anchor::Picture(4000, 5000), Anchor::Picture(3000, 7000)])
    {
        assert_ne!(pieces(shape.clone(), &view), [], "{shape:?}");
    }
}

#[test]
fn what_is_behind_the_camera_is_left_out() {
    let view = View::of(Some(&behind_the_court(5.0, 0.0, 0.0)), SIZE);
    for shape in shapes(&[ground(0.0, -30.0), ground(3.0, -40.0), ground(-2.0, -35.0)]) {
        assert_eq!(pieces(shape.clone(), &view), [], "{shape:?}");
    }
    let through = pieces(
        Shape::Zone(vec![ground(-3.0, -60.0), ground(-3.0, 5.0), ground(3.0, 5.0), ground(3.0, -60.0)]),
        &view,
    );
    assert!(matches!(through[0], Piece::Area(_)), "{through:?}");
    // The part before the camera reaches the lower edge of the picture.
    let Piece::Area(corners) = &through[0] else { unreachable!() };
    assert!(corners.iter().any(|p| (p.y - 720.0).abs() < 1e-6));
}

#[test]
fn the_head_of_a_far_arrow_can_still_be_seen() {
    let view = View::of(Some(&behind_the_court(3.5, 0.0, 0.0)), SIZE);
    let head = |from, to| {
        let pieces = pieces(Shape::Arrow(vec![from, to]), &view);
        let head =
            pieces.into_iter().find_map(|p| if let Piece::Head(h) = p { Some(h) } else { None }).unwrap();
        path::area(&head.into_iter().map(flat).collect::<Vec<_>>()).sqrt()
    };
    let (near, far) =
        (head(ground(0.0, -11.0), ground(0.0, -6.0)), head(ground(0.0, 6.0), ground(0.0, 11.0)));
    assert!(near.min(far) > 2.5 * view.stroke(), "{near} {far}");
}

#[test]
fn a_spotlight_holds_the_player_who_stands_in_it() {
    let view = View::of(Some(&behind_the_court(4.0, 1.0, 0.0)), SIZE);
    let lit = pieces(Shape::Spotlight { middle: ground(1.0, 3.0), radius: 1000 }, &view);
    let [Piece::Shade(borders)] = lit.as_slice() else { panic!("{lit:?}") };
    let top = |b: &Vec<Pixel>| b.iter().map(|p| p.y).fold(f64::MAX, f64::min);
    let head = view.see_high(Spot::new(1.0, 3.0), Metres(1.9)).unwrap();
    assert!(top(&borders[0]) < head.y && top(&borders[5]) < top(&borders[0]));
}

#[test]
fn a_line_over_the_picture_is_one_piece_and_its_middle_is_kept() {
    let view = View::of(None, SIZE);
    let line = pieces(Shape::Line(vec![Anchor::Picture(-5000, 5000), Anchor::Picture(15_000, 5000)]), &view);
    let [Piece::Line { points, .. }] = line.as_slice() else { panic!("{line:?}") };
    assert_eq!(points, &[Pixel::new(-640.0, 360.0), Pixel::new(1920.0, 360.0)]);
}

fn anchors() -> impl Strategy<Value = Vec<Anchor>> {
    let far = prop_oneof![-15_000..15_000i32, -300_000..300_000i32, any::<i32>()];
    let one = (any::<bool>(), far.clone(), far)
        .prop_map(|(g, x, y)| if g { Anchor::Ground(x, y) } else { Anchor::Picture(x, y) });
    prop::collection::vec(one, 1..6)
}

proptest! {
    #[test]
    fn a_ring_lies_at_its_radius_on_the_ground(
        x in -5.0..5.0f64, y in -12.0..12.0f64, radius in 100..3000u32,
        height in 2.0..9.0f64, off in -6.0..6.0f64, radial in -0.08..0.04f64,
    ) {
        let view = View::of(Some(&behind_the_court(height, off, radial)), SIZE);
        for piece in pieces(Shape::Ring { middle: ground(x, y), radius }, &view) {
            let Piece::Line { points, .. } = piece else { continue };
            let inside = points.iter().filter(|p| SIZE.holds(**p, 1.0));
            for p in inside {
                let back = view.ground(*p).unwrap().distance(Spot::new(x, y)).0;
                // Places of a drawing are whole millimetres; between two places of the circle the chord is a little inside.
                prop_assert!((back - f64::from(radius) / 1000.0).abs() < 0.004, "{back} is not {radius} mm");
            }
        }
    }

    #[test]
    fn an_arrow_points_to_its_last_place(
        x in -4.0..4.0f64, y in -10.0..11.0f64, dx in -3.0..3.0f64, dy in -3.0..3.0f64, height in 2.0..9.0f64,
    ) {
        prop_assume!(dx.hypot(dy) > 0.5);
        let view = View::of(Some(&behind_the_court(height, 0.0, 0.0)), SIZE);
        let tip = ground(x, y);
        let pieces = pieces(Shape::Arrow(vec![ground(x + dx, y + dy), tip]), &view);
        let seen = view.see(tip).unwrap();
        prop_assume!(SIZE.holds(seen, 60.0));
        let heads = pieces.iter().filter_map(|p| if let Piece::Head(h) = p { Some(h) } else { None });
        let near = heads.flatten().map(|p| p.distance(seen)).fold(f64::MAX, f64::min);
        prop_assert!(near < 1e-6, "{near}");
    }

    #[test]
    fn no_drawing_leaves_the_surroundings_of_the_picture(
        at in anchors(), with_camera in any::<bool>(), height in 0.5..20.0f64, off in -30.0..30.0f64,
    ) {
        let camera = behind_the_court(height, off, -0.05);
        let view = View::of(with_camera.then_some(&camera), SIZE);
        for shape in shapes(&at) {
            for p in all(&pieces(shape.clone(), &view)) {
                prop_assert!(p.x.is_finite() && p.y.is_finite(), "{shape:?}");
                prop_assert!((-1281.0..=2561.0).contains(&p.x) && (-1281.0..=2001.0).contains(&p.y), "{shape:?} {p}");
            }
        }
    }

    #[test]
    fn a_drawing_is_the_same_at_every_size(at in anchors(), by in 1..4u32) {
        let camera = behind_the_court(5.0, 1.0, -0.03);
        let large = Size::new(SIZE.width * by, SIZE.height * by);
        for shape in shapes(&at) {
            let (a, b) = (View::of(Some(&camera), SIZE), View::of(Some(&camera), large));
            for anchor in shape.anchors() {
                if let (Some(p), Some(q)) = (a.see(anchor), b.see(anchor)) {
                    let off = Pixel::new(p.x * f64::from(by), p.y * f64::from(by)).distance(q);
                    prop_assert!(off <= 1e-6 * (1.0 + p.x.abs() + p.y.abs()), "{p} {q}");
                }
            }
        }
    }

    #[test]
    fn a_pixel_of_the_ground_is_found_again(x in 100.0..1200.0f64, y in 350.0..700.0f64) {
        let view = View::of(Some(&behind_the_court(6.0, 2.0, 0.0)), SIZE);
        let anchor = view.anchor(Pixel::new(x, y), true);
        prop_assert!(anchor.spot().is_some());
        prop_assert!(view.see(anchor).unwrap().distance(Pixel::new(x, y)) < 0.1);
        let flat = view.anchor(Pixel::new(x, y), false);
        prop_assert!(view.see(flat).unwrap().distance(Pixel::new(x, y)) < 0.1);
    }

    #[test]
    fn a_smooth_line_passes_its_places(at in prop::collection::vec((-20.0..20.0f64, -20.0..20.0f64), 3..8)) {
        let line: Vec<At> = at.iter().map(|(x, y)| [*x, *y]).collect();
        let curve = path::smooth(&line);
        for p in &line {
            prop_assert!(curve.contains(p));
        }
        let short = path::shortened(&curve, 1.0);
        prop_assert!((path::whole(&curve) - path::whole(&short) - 1.0_f64.min(path::whole(&curve))).abs() < 1e-9);
    }
}
