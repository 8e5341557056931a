//! Cuts in drawn pictures of a court, and in what only looks like a cut.

use super::*;
use crate::time::MatchTime;

/// What a drawn picture shows.
#[derive(Clone)]
struct View {
    /// Which place: its stands and surroundings.
    place: usize,
    /// How far the camera is turned, pixels.
    turned: f64,
    gain: f64,
    /// Where the players' feet are, near and far, pixels.
    players: [(f64, f64); 2],
    /// Rectangles over the picture: left, top, width, height, brightness.
    over: Vec<(f64, f64, f64, f64, f64)>,
}

fn view(place: usize) -> View {
    View { place, turned: 0.0, gain: 1.0, players: [(70.0, 80.0), (85.0, 38.0)], over: Vec::new() }
}

fn hash(x: usize, y: usize, seed: usize) -> f64 {
    let n = (x.wrapping_mul(7919) ^ y.wrapping_mul(104_729) ^ seed.wrapping_mul(15_485_863))
        .wrapping_mul(2_654_435_761);
    ((n >> 9) % 1000) as f64 / 1000.0
}

impl View {
    /// The brightness at a place of the scene, before the camera's own marks.
    fn scene(&self, x: f64, y: f64) -> f64 {
        let far = (y - 28.0) / 60.0;
        if y < 28.0 {
            // Stands: rough squares of their own for each place.
            return 40.0 + 120.0 * hash(((x + 4000.0) / 3.0) as usize, (y / 3.0) as usize, self.place);
        }
        let half = 25.0 + 45.0 * far;
        let off = (x - 80.0).abs();
        let line = (off - half).abs() < 1.0 || (y - 32.0).abs() < 0.6 || (y - 84.0).abs() < 1.0;
        if line && off < half + 1.0 {
            225.0
        } else if off < half {
            110.0
        } else {
            90.0
        }
    }

    fn player(&self, x: f64, y: f64) -> Option<f64> {
        let body = |(fx, fy): (f64, f64), wide: f64, tall: f64| {
            let inside = (x - fx).abs() < wide && y <= fy && y > fy - tall;
            inside.then(|| if y > fy - tall / 2.0 { 40.0 } else { 190.0 })
        };
        body(self.players[0], 3.5, 20.0).or_else(|| body(self.players[1], 1.5, 8.0))
    }

    fn drawn(&self, n: usize) -> Small {
        let pixel = |i: usize| {
            let (x, y) = ((i % WIDE) as f64, (i / WIDE) as f64);
            let over = self.over.iter().find(|(l, t, w, h, _)| x >= *l && x < l + w && y >= *t && y < t + h);
            if let Some((l, _, _, _, bright)) = over {
                return if ((x - l) as usize / 2).is_multiple_of(2) { *bright } else { bright * 0.6 };
            }
            let shade = self.player(x, y).unwrap_or_else(|| self.scene(x + self.turned, y));
            shade * self.gain + 5.0 * (hash(i, n, 3) - 0.5)
        };
        Small::of_pixels((0..WIDE * TALL).map(|i| pixel(i).clamp(0.0, 255.0) as u8).collect()).unwrap()
    }
}

/// Players who run to and fro.
fn playing(place: usize, n: usize) -> View {
    let t = n as f64 / 30.0;
    let mut view = view(place);
    view.players = [(70.0 + 30.0 * (t * 2.0).sin(), 80.0), (85.0 + 14.0 * (t * 1.7).cos(), 38.0)];
    view
}

/// Frames of a film: enough for what the cutter looks at on both sides of frame 18, six frames.
const LENGTH: usize = 36;

fn cuts(length: usize, film: impl Fn(usize) -> View) -> Vec<usize> {
    let mut cutter = Cutter::default();
    for n in 0..length {
        cutter.see(MatchTime::from_millis(n as u64 * 33), film(n).drawn(n));
    }
    cutter.finish().iter().map(|t| (t.nanos() / 33_000_000) as usize).collect()
}

#[test]
fn cuts_are_found_where_they_are() {
    type Film = fn(usize) -> View;
    let films: [(&str, Film, &[usize]); 7] = [
        ("another place", |n| playing(usize::from(n >= 18), n), &[18]),
        (
            "the camera stands still, a pause is cut out",
            |n| playing(0, if n < 18 { n + 22 } else { n + 67 }),
            &[18],
        ),
        (
            "the same place, the camera turned a little",
            |n| View { turned: if n < 18 { 0.0 } else { 9.0 }, ..playing(0, n) },
            &[18],
        ),
        ("several cuts", |n| playing(n / 12, n), &[12, 24]),
        ("a cut in a pan", |n| View { turned: n as f64 * 2.5, ..playing(usize::from(n >= 18), n) }, &[18]),
        (
            "another place, and it is darker",
            |n| View { gain: if n < 18 { 1.0 } else { 0.7 }, ..playing(usize::from(n >= 18), n) },
            &[18],
        ),
        (
            "a cut while the score stays",
            |n| View {
                over: vec![(6.0, 70.0, 40.0, 12.0, 230.0)],
                ..playing(0, if n < 18 { n + 22 } else { n + 67 })
            },
            &[18],
        ),
    ];
    for (name, film, wanted) in films {
        assert_eq!(cuts(LENGTH, film), wanted, "{name}");
    }
}

#[test]
fn what_only_looks_like_a_cut_is_none() {
    type Film = fn(usize) -> View;
    let films: [(&str, Film); 11] = [
        ("play", |n| playing(0, n)),
        ("a slow pan", |n| View { turned: n as f64 * 1.5, ..playing(0, n) }),
        ("a fast pan", |n| View { turned: n as f64 * 8.0, ..playing(0, n) }),
        ("a pan that starts and stops", |n| View {
            turned: (n.clamp(10, 22) - 10) as f64 * 3.0,
            ..playing(0, n)
        }),
        ("a flash of one frame", |n| View { gain: if n == 18 { 1.9 } else { 1.0 }, ..playing(0, n) }),
        ("a flash of three frames", |n| View {
            gain: if (18..21).contains(&n) { 4.0 } else { 1.0 },
            ..playing(0, n)
        }),
        ("the exposure steps down", |n| View { gain: if n < 18 { 1.0 } else { 0.75 }, ..playing(0, n) }),
        ("the exposure steps up", |n| View { gain: if n < 18 { 0.8 } else { 1.0 }, ..playing(0, n) }),
        ("a score appears", |n| View {
            over: if n < 18 { vec![] } else { vec![(6.0, 70.0, 48.0, 12.0, 230.0)] },
            ..playing(0, n)
        }),
        ("a score along the whole width appears and goes", |n| View {
            over: if (12..26).contains(&n) { vec![(0.0, 72.0, 160.0, 12.0, 230.0)] } else { vec![] },
            ..playing(0, n)
        }),
        ("a player walks close before the camera", |n| View {
            over: if n > 4 { vec![((n - 4) as f64 * 8.0 - 70.0, 0.0, 70.0, 88.0, 60.0)] } else { vec![] },
            ..playing(0, n)
        }),
    ];
    for (name, film) in films {
        assert_eq!(cuts(LENGTH, film), Vec::<usize>::new(), "{name}");
    }
}

#[test]
fn fades_are_no_cuts() {
    assert!(cuts(LENGTH, |n| View { gain: (n as f64 - 18.0).abs() / 18.0, ..playing(0, n) }).is_empty());
}

#[test]
fn uneven_frames_and_dropped_ones_are_no_cuts() {
    let mut cutter = Cutter::default();
    let mut t = 0;
    for n in 0..90 {
        t += [17, 33, 100, 40, 67, 17, 21][n % 7];
        cutter.see(MatchTime::from_millis(t), playing(0, t as usize * 30 / 1000).drawn(n));
    }
    assert_eq!(cutter.finish(), vec![]);
}

#[test]
fn a_cut_at_the_first_or_last_frames_and_short_footage_are_no_trouble() {
    for length in [0, 1, 2, 3, 5, 8, 13] {
        for cut in (1..length.max(1)).filter(|cut| length < 8 || [1, 6, length - 1].contains(cut)) {
            let found = cuts(length, |n| playing(usize::from(n >= cut), n));
            assert_eq!(found, if cut < length { vec![cut] } else { vec![] }, "{cut} of {length}");
        }
    }
}

#[test]
fn a_large_picture_is_made_small() {
    let grey: Vec<u8> = (0..640 * 360).map(|i| (i % 640 / 4) as u8).collect();
    let small = Small::of_grey(640, 360, &grey).unwrap();
    assert_eq!(small, Small::of_pixels((0..WIDE * TALL).map(|i| (i % WIDE) as u8).collect()).unwrap());
    assert_eq!(Small::of_grey(640, 300, &grey), None);
    assert_eq!(Small::of_pixels(vec![0; 5]), None);
}
