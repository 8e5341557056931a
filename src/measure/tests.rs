use super::*;
use crate::tennis::court::{HALF_LENGTH, HALF_SINGLES, LANDMARKS, Landmark, SERVICE_LINE, Spot};

const SIZE: Size = Size::new(1280, 720);

/// Hartley & Zisserman, *Multiple View Geometry*, algorithm 4.2; recomputed with OpenCV: three level cameras, 60°, 90° and
/// 60° wide, and their homographies.
struct Vector {
    position: [f64; 3],
    at: [f64; 3],
    wide: f64,
    h: [[f64; 3]; 3],
    /// Metres sideways and lengthways per pixel at the near baseline, near service line, net, far service line, far baseline,
    /// in the middle; then at the far and near singles corner.
    per_pixel: [[f64; 2]; 7],
}

const VECTORS: [Vector; 3] = [
    Vector {
        position: [0.0, -17.8872, 4.0],
        at: [0.0, -6.4008, 0.0],
        wide: 60.0,
        h: [
            [60.881_478_156_761_325, 33.194_759_622_967_595, 640.0],
            [0.0, -1.349_890_257_008_917_7, 231.843_550_158_423_62],
            [0.0, 0.051_866_811_910_886_87, 1.0],
        ],
        per_pixel: [
            [0.0063, 0.011],
            [0.011, 0.0334],
            [0.0164, 0.0748],
            [0.0219, 0.1327],
            [0.0266, 0.1954],
            [0.0266, 0.1401],
            [0.0063, 0.0079],
        ],
    },
    Vector {
        position: [0.0, -17.8872, 4.0],
        at: [0.0, -6.4008, 0.0],
        wide: 90.0,
        h: [
            [35.149_937_802_468_48, 33.194_759_622_967_595, 640.0],
            [0.0, 7.112_378_369_905_76, 286.008_839_185_579_06],
            [0.0, 0.051_866_811_910_886_87, 1.0],
        ],
        per_pixel: [
            [0.0109, 0.019],
            [0.019, 0.0578],
            [0.0284, 0.1295],
            [0.0379, 0.2298],
            [0.046, 0.3384],
            [0.046, 0.2427],
            [0.0109, 0.0137],
        ],
    },
    Vector {
        position: [0.0, -23.8872, 5.0],
        at: [0.0, -2.0, 0.0],
        wide: 60.0,
        h: [
            [45.429_317_413_723_15, 25.569_909_217_931_826, 640.0],
            [0.0, 4.265_657_840_204_323, 339.765_167_810_235_3],
            [0.0, 0.039_952_983_153_018_48, 1.0],
        ],
        per_pixel: [
            [0.0116, 0.0296],
            [0.0164, 0.0595],
            [0.022, 0.1074],
            [0.0276, 0.1694],
            [0.0325, 0.2337],
            [0.0325, 0.1823],
            [0.0116, 0.0231],
        ],
    },
];

impl Vector {
    fn camera(&self) -> Camera {
        Camera::looking(self.position, self.at, self.wide, SIZE).unwrap()
    }
}

fn marks(camera: &Camera, which: &[usize]) -> Vec<Mark> {
    let mark =
        |landmark: &Landmark| Mark { landmark: *landmark, pixel: camera.see_ground(landmark.spot).unwrap() };
    which.iter().map(|i| mark(&LANDMARKS[*i])).collect()
}

fn all() -> Vec<usize> {
    (0..14).collect()
}

/// The singles corners.
const FOUR: [usize; 4] = [1, 2, 11, 12];

/// Normal numbers, the same in every run: a congruential generator (Knuth's MMIX constants) and Box and Muller's method.
struct Dice(u64);

impl Dice {
    fn part(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.part().ln()).sqrt() * (std::f64::consts::TAU * self.part()).cos()
    }

    fn shaken(&mut self, at: Pixel, by: f64) -> Pixel {
        Pixel::new(at.x + by * self.normal(), at.y + by * self.normal())
    }
}

#[test]
fn the_homography_is_that_of_the_vectors() {
    for v in &VECTORS {
        let truth = Homography::from_rows(v.h);
        for which in [all(), FOUR.to_vec(), vec![0, 3, 4, 6, 8]] {
            let pairs: Vec<_> =
                which.iter().map(|i| (LANDMARKS[*i].spot, truth.see(LANDMARKS[*i].spot).unwrap())).collect();
            let found = Homography::of(&pairs).unwrap();
            for (a, b) in found.rows().iter().flatten().zip(truth.rows().iter().flatten()) {
                assert!((a - b).abs() < 1e-6, "{a} is not {b}");
            }
            for spot in [Spot::new(0.0, 0.0), Spot::new(-3.0, 14.0), Spot::new(5.0, -11.0)] {
                let back = found.ground(truth.see(spot).unwrap()).unwrap();
                assert!(back.distance(spot).0 < 1e-6, "{back:?}");
            }
        }
    }
}

#[test]
fn a_camera_sees_what_its_homography_sees() {
    for v in &VECTORS {
        let (camera, h) = (v.camera(), Homography::from_rows(v.h));
        let again = Camera::of_homography(&h, SIZE, SIZE.middle()).unwrap();
        for mark in LANDMARKS {
            let (a, b) = (camera.see_ground(mark.spot).unwrap(), h.see(mark.spot).unwrap());
            assert!(a.distance(b) < 1e-6 && again.see_ground(mark.spot).unwrap().distance(b) < 1e-6);
            assert!(camera.ground(b).unwrap().distance(mark.spot).0 < 1e-6);
        }
        assert!((again.position()[2] - v.position[2]).abs() < 1e-6 && (again.wide() - v.wide).abs() < 1e-6);
    }
}

#[test]
fn exact_marks_give_the_camera_back() {
    for v in &VECTORS {
        for radial in [0.0, -0.08, 0.05] {
            let truth = v.camera().with_radial(radial);
            let found = Calibration::of(&marks(&truth, &all()), SIZE).unwrap();
            // The radial term is drawn toward zero by what is usual, by less than marks can tell.
            let near = if radial == 0.0 { 1e-6 } else { 5e-3 };
            for spot in [Spot::new(0.0, 0.0), Spot::new(2.0, 15.0), Spot::new(-4.0, -11.0)] {
                let back = found.camera().ground(truth.see_ground(spot).unwrap()).unwrap();
                assert!(back.distance(spot).0 < near, "{radial}: {back:?} is not {spot:?}");
            }
            assert_eq!(found.agreement(), Agreement::Agree);
        }
        let found = Calibration::of(&marks(&v.camera(), &FOUR), SIZE).unwrap();
        let spot = Spot::new(1.0, 9.0);
        let back = found.camera().ground(v.camera().see_ground(spot).unwrap()).unwrap();
        assert!(back.distance(spot).0 < 1e-6, "{back:?}");
    }
}

#[test]
fn a_pixel_is_as_many_metres_as_the_vectors_say() {
    let b = HALF_LENGTH.0;
    let places = [(0.0, -b), (0.0, -SERVICE_LINE.0), (0.0, 0.0), (0.0, SERVICE_LINE.0), (0.0, b)];
    let corners = [(HALF_SINGLES.0, b), (HALF_SINGLES.0, -b)];
    for v in &VECTORS {
        for (i, (x, y)) in places.iter().chain(&corners).enumerate() {
            let slope = v.camera().ground_slope(Spot::new(*x, *y)).unwrap();
            let axes = (slope * slope.transpose()).symmetric_eigenvalues();
            // In the middle the axes are those of the picture; at the corners the source's turned by the perspective.
            if i < 5 {
                assert!((slope.column(0).norm() - v.per_pixel[i][0]).abs() < 1e-4, "{i}");
                assert!((slope.column(1).norm() - v.per_pixel[i][1]).abs() < 1e-4, "{i}");
                assert!((axes.max().sqrt() - v.per_pixel[i][1]).abs() < 1e-4, "{i}");
            }
        }
    }
}

#[test]
fn the_stated_ellipse_is_that_of_a_simulation() {
    let v = &VECTORS[2];
    for (radial, which, draws) in [(0.0, all(), 4_000), (0.0, (4..14).collect(), 300), (-0.06, all(), 300)] {
        let truth = v.camera().with_radial(radial);
        let exact = marks(&truth, &which);
        let stated = Calibration::of(&exact, SIZE).unwrap();
        let spots = [Spot::new(1.5, -11.0), Spot::new(-2.0, 12.5)];
        let mut dice = Dice(20_261_128);
        let mut found = [Vec::new(), Vec::new()];
        for _ in 0..draws {
            let shaken: Vec<_> =
                exact.iter().map(|m| Mark { pixel: dice.shaken(m.pixel, CLICK), ..*m }).collect();
            let pairs: Vec<_> = shaken.iter().map(|m| (m.landmark.spot, m.pixel)).collect();
            let drawn = super::fit::refine(truth, &pairs).unwrap().camera;
            for (spot, found) in spots.iter().zip(&mut found) {
                found.extend(drawn.ground(dice.shaken(truth.see_ground(*spot).unwrap(), CLICK)));
            }
        }
        for (spot, found) in spots.iter().zip(&found) {
            let place = stated.place(truth.see_ground(*spot).unwrap(), CLICK).unwrap();
            let (said, drawn) = (place.spread.ellipse(0.95), Spread::of(found).unwrap().ellipse(0.95));
            assert!((said.long.0 / drawn.long.0 - 1.0).abs() < 0.1, "{radial} {spot:?}: {said:?} {drawn:?}");
            assert!(
                (said.short.0 / drawn.short.0 - 1.0).abs() < 0.1,
                "{radial} {spot:?}: {said:?} {drawn:?}"
            );
            assert!((said.turn - drawn.turn).sin().abs() < 0.05, "{radial} {spot:?}: {said:?} {drawn:?}");
            let inside = found.iter().filter(|f| place.spread.holds(*spot, **f, 0.95)).count();
            assert!((91 * draws..98 * draws).contains(&(100 * inside)), "{inside} of {draws}");
        }
    }
}

#[test]
fn few_clicks_say_how_little_they_know() {
    let camera = VECTORS[0].camera();
    let at = camera.see_ground(Spot::new(0.0, 11.0)).unwrap();
    let deep = |which: &[usize]| {
        let place = Calibration::of(&marks(&camera, which), SIZE).unwrap().place(at, CLICK).unwrap();
        place.spread.deviations().1.0
    };
    assert!(deep(&FOUR) > deep(&[1, 2, 4, 6, 11, 12]) && deep(&[1, 2, 4, 6, 11, 12]) > deep(&all()));
}

#[test]
fn a_mark_that_disagrees_is_named() {
    for v in &VECTORS {
        let mut dice = Dice(7);
        for (which, wrong) in [(all(), 12), (all(), 5), (all(), 0), (vec![1, 2, 4, 6, 7, 9, 11, 12], 6)] {
            let mut marks = marks(&v.camera(), &which);
            for m in &mut marks {
                m.pixel = dice.shaken(m.pixel, 0.7);
            }
            assert_eq!(Calibration::of(&marks, SIZE).unwrap().agreement(), Agreement::Agree);
            let m = marks.iter_mut().find(|m| m.landmark.name == LANDMARKS[wrong].name).unwrap();
            m.pixel.x += 25.0;
            m.pixel.y -= 9.0;
            let found = Calibration::of(&marks, SIZE).unwrap().agreement();
            let Agreement::Wrong { landmark, off } = found else { panic!("{wrong}: {found:?}") };
            assert_eq!(landmark.name, LANDMARKS[wrong].name);
            assert!((15.0..60.0).contains(&off), "{off}");
        }
    }
}

#[test]
fn two_swapped_marks_are_noticed() {
    let mut marks = marks(&VECTORS[2].camera(), &all());
    let first = marks[4].pixel;
    marks[4].pixel = marks[6].pixel;
    marks[6].pixel = first;
    let found = Calibration::of(&marks, SIZE).map(|c| c.agreement());
    assert!(!matches!(found, Ok(Agreement::Agree)), "{found:?}");
}

#[test]
fn bad_marks_are_refused() {
    let camera = VECTORS[0].camera();
    let of =
        |which: &[usize]| Calibration::of(&marks(&camera, which), SIZE).map(|_| ()).unwrap_err().to_string();
    insta::assert_snapshot!(
        [of(&[0, 1, 2]), of(&[0, 1, 2, 3]), of(&[0, 1, 2, 12]), of(&[0, 3, 3, 9])].join("\n"),
        @r"
    3 landmarks are marked; at least 4 are needed
    too many of the marked landmarks lie on one line; mark at least 4 of which no 3 lie on one line, such as corners of both baselines
    too many of the marked landmarks lie on one line; mark at least 4 of which no 3 lie on one line, such as corners of both baselines
    near-right doubles corner is marked twice; delete one of the marks
    "
    );
    let mut broken = marks(&camera, &FOUR);
    broken[1].pixel.y = f64::NAN;
    assert!(matches!(Calibration::of(&broken, SIZE), Err(CalibrationError::NoPlace { .. })));
    // Left and right exchanged: only a camera below the ground would see this.
    let mut mirrored = marks(&camera, &all());
    for m in &mut mirrored {
        m.pixel.x = 1280.0 - m.pixel.x;
    }
    assert!(matches!(Calibration::of(&mirrored, SIZE), Err(CalibrationError::NoCamera)));
}

#[test]
fn nothing_is_measured_above_the_horizon() {
    let camera = VECTORS[2].camera();
    assert_eq!(camera.ground(Pixel::new(640.0, 50.0)), None);
    assert_eq!(camera.see([0.0, -30.0, 5.0]), None);
    let calibration = Calibration::of(&marks(&camera, &all()), SIZE).unwrap();
    assert_eq!(calibration.place(Pixel::new(640.0, 50.0), CLICK), None);
}

#[test]
fn the_slopes_are_those_of_small_steps() {
    let camera = VECTORS[0].camera().with_radial(-0.07);
    for mark in LANDMARKS {
        let (_, slope) = camera.see_slope(mark.spot).unwrap();
        for k in 0..NUMBERS {
            let mut step = PoseStep::zeros();
            step[k] = 1e-6;
            let (a, b) =
                (camera.moved(&step).see_ground(mark.spot), camera.moved(&-step).see_ground(mark.spot));
            let (a, b) = (a.unwrap(), b.unwrap());
            let moved = [(a.x - b.x) / 2e-6, (a.y - b.y) / 2e-6];
            for (i, moved) in moved.iter().enumerate() {
                let said = slope[(i, k)];
                assert!(
                    (moved - said).abs() < 1e-3 * (1.0 + said.abs()),
                    "{}, {k}: {moved} {said}",
                    mark.name
                );
            }
        }
    }
}

#[test]
fn a_lens_is_undone() {
    for radial in [-0.15, -0.05, 0.0, 0.1] {
        let camera = VECTORS[1].camera().with_radial(radial);
        for spot in [Spot::new(-5.0, -12.0), Spot::new(0.0, -6.0), Spot::new(7.0, 30.0)] {
            let back = camera.ground(camera.see_ground(spot).unwrap()).unwrap();
            assert!(back.distance(spot).0 < 1e-7, "{radial}: {back:?}");
        }
    }
}
