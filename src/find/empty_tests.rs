//! The court without anybody, held against slower ways to the same.

use proptest::prelude::*;

use super::*;

const SIZE: Size = Size::new(64, 36);

fn turned(yaw: f64) -> Camera {
    Camera::looking([0.0, -23.9, 5.0], [yaw, -2.0, 0.0], 60.0, SIZE).unwrap()
}

fn picture(seed: usize) -> Arc<Colour> {
    let pixel = |n: usize| [0, 1, 2].map(|k| (((n * 7 + seed * 31 + k * 13) * 2_654_435_761) >> 7) as u8);
    let all = (0..64 * 36).map(pixel).map(|[b, g, r]| [b, g, r, 0]);
    Arc::new(Colour::of(64, 36, all.collect()))
}

proptest! {
    #[test]
    fn the_least_and_the_most_are_those_of_the_nine_pixels_around(seed in 0..1000_usize) {
        let picture = picture(seed);
        let (least, most) = (spread(&picture, u8::min), spread(&picture, u8::max));
        for (x, y) in (0..64_usize).flat_map(|x| (0..36_usize).map(move |y| (x, y))) {
            let around = (x.saturating_sub(1)..=(x + 1).min(63))
                .flat_map(|i| (y.saturating_sub(1)..=(y + 1).min(35)).map(move |j| (i, j)));
            for k in 0..4 {
                let values: Vec<u8> = around.clone().map(|(i, j)| picture.at(i, j)[k]).collect();
                prop_assert_eq!(Some(&least.at(x, y)[k]), values.iter().min());
                prop_assert_eq!(Some(&most.at(x, y)[k]), values.iter().max());
            }
        }
    }
}

/// Cameras that turn see different parts: each pixel has the median of those that see it, however many they are.
#[test]
fn pixels_that_some_samples_do_not_see_have_the_median_of_the_others() {
    for count in [9, 10] {
        let samples: Vec<_> = (0..count).map(|n| (turned(n as f64 * 1.5 - 6.0), picture(n))).collect();
        let camera = samples[count / 2].0.wider(Size::new(16, 9));
        let (middle, known) = moving_court(&samples, &camera);
        let (w, h) = (middle.width(), middle.height());
        let (mut seen_by_some, mut blocks) = (0, Vec::new());
        for y in 0..h {
            let mut rows = Vec::new();
            for (camera_of, picture) in &samples {
                Way::new(&camera, camera_of).row(y, &mut blocks);
                let places = blocks.iter().flat_map(Block::places);
                rows.push(places.map(|at| picture.pixels().get(at as usize)).collect::<Vec<_>>());
            }
            for x in 0..w {
                let values: Vec<_> = rows.iter().filter_map(|row| row[x]).collect();
                assert_eq!(known[y * w + x], values.len() >= LEAST, "{x} {y}");
                if values.len() < LEAST {
                    continue;
                }
                seen_by_some += usize::from(values.len() < count);
                for k in 0..3 {
                    let mut values: Vec<u8> = values.iter().map(|v| v[k]).collect();
                    values.sort_unstable();
                    assert_eq!(middle.at(x, y)[k], values[values.len() / 2], "{x} {y}, {values:?}");
                }
            }
        }
        assert!(seen_by_some > 100, "{seen_by_some}");
    }
}
