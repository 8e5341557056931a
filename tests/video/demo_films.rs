//! Films of the simulated match, of every kind that can be made: each frame shown is the one that it says it is.

use std::sync::Arc;

use changeover::demo::{Demo, make};
use changeover::time::FrameRate;
use changeover::video::{Frame, probe};

use crate::exercise;
use crate::film::Screen;

/// The number along the top: 24 blocks of a fortieth of the width and a thirtieth of the height, the highest first.
fn number(frame: &Frame) -> usize {
    let data = frame.pixels.as_ref();
    let y = (frame.height / 60) as usize;
    (0..24).fold(0, |n, i| {
        let x = ((2 * i + 1) * frame.width / 80) as usize;
        n << 1 | usize::from(data[y * frame.stride + x * 4] > 127)
    })
}

fn plays(demo: &Demo, rate: Option<&str>, actions: usize) {
    let folder = tempfile::tempdir().unwrap();
    let truth = make(demo, folder.path(), &mut |_, _| {}).unwrap();
    let media = Arc::new(probe(&folder.path().join(&truth.files[0].name)).unwrap());
    assert_eq!(media.index.len() as u64, truth.files[0].frames);
    assert_eq!((media.width, media.height, media.rotation), (demo.width, demo.height, demo.rotation));
    assert_eq!(media.rate, rate.map(|r| r.parse::<FrameRate>().unwrap()));
    assert!(media.warnings.is_empty(), "{:?}", media.warnings);
    exercise(Screen { read: number, ..Screen::of(&media) }, 3, actions);
}

fn small() -> Demo {
    Demo { points: Some(1), brisk: true, frame_numbers: true, width: 320, height: 180, ..Demo::default() }
}

#[test]
fn sixty_a_second() {
    plays(&Demo { rate: "60".parse().ok(), ..small() }, Some("60"), 20);
}

#[test]
fn turned_and_of_variable_rate() {
    plays(&Demo { rotation: 90, rate: None, ..small() }, None, 20);
}

#[test]
fn webm_at_an_odd_rate() {
    plays(&Demo { webm: true, rate: "30000/1001".parse().ok(), ..small() }, Some("30000/1001"), 20);
}

/// Few frames, for the drawing takes long in a test.
#[test]
fn full_size() {
    plays(&Demo { width: 1920, height: 1080, rate: "5".parse().ok(), ..small() }, Some("5"), 10);
}
