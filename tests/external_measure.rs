//! Random cameras and homographies, computed again by OpenCV; needs `CHANGEOVER_PYTHON`, which `scripts/test` sets. The
//! cameras are the same in every run.

use std::path::Path;
use std::process::Command;

use changeover::measure::{Camera, Homography, Pixel, Size};
use changeover::tennis::court::{LANDMARKS, Spot};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Reason, TestRunner};
use serde_json::{Value, json};

/// How many cameras.
const MANY: usize = 200;
const SIZE: Size = Size::new(1280, 720);

fn pixel(p: Pixel) -> [f64; 2] {
    [p.x, p.y]
}

/// What the camera sees of the court, the homography of that without the lens, and places that were seen in pixels.
fn told(position: [f64; 3], at: [f64; 3], wide: f64, radial: f64) -> Option<Value> {
    let plain = Camera::looking(position, at, wide, SIZE)?;
    let camera = plain.with_radial(radial);
    let seen: Option<Vec<_>> = LANDMARKS.iter().map(|l| camera.see_ground(l.spot)).collect();
    let straight: Option<Vec<_>> =
        LANDMARKS.iter().map(|l| Some((l.spot, plain.see_ground(l.spot)?))).collect();
    let h = Homography::of(&straight?).ok()?;
    let pixels = [[200.0, 500.0], [640.0, 360.0], [1100.0, 650.0], [33.3, 411.1]];
    let grounds = pixels.map(|[x, y]| camera.ground(Pixel::new(x, y)).map(|s| [s.x.0, s.y.0]));
    Some(json!({
        "position": position, "at": at, "wide": wide, "radial": radial, "size": [1280, 720],
        "landmarks": LANDMARKS.map(|l| [l.spot.x.0, l.spot.y.0]), "seen": seen?.into_iter().map(pixel).collect::<Vec<_>>(),
        "homography": h.rows(), "pixels": pixels, "grounds": grounds,
        "net": h.see(Spot::default()).map(pixel),
    }))
}

fn cameras() -> Result<Vec<Value>, Reason> {
    let any = (
        -8.0..8.0_f64,
        -32.0..-17.0_f64,
        2.0..12.0_f64,
        -2.0..2.0_f64,
        -6.0..3.0_f64,
        30.0..95.0_f64,
        -0.1..0.06_f64,
    );
    let mut dice = TestRunner::deterministic();
    let drawn = (0..MANY).map(|_| {
        let (x, y, up, to_x, to_y, wide, radial) = any.new_tree(&mut dice)?.current();
        Ok(told([x, y, up], [to_x, to_y, 0.0], wide, radial))
    });
    Ok(drawn.collect::<Result<Vec<_>, Reason>>()?.into_iter().flatten().collect())
}

#[test]
fn opencv_sees_the_same() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("cameras.jsonl");
    let lines: Vec<String> = cameras().unwrap().iter().map(Value::to_string).collect();
    assert!(lines.len() > MANY / 2, "only {} cameras see the whole court", lines.len());
    std::fs::write(&file, lines.join("\n")).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/check_measure.py");
    let out = Command::new(python).arg(script).arg(&file).output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    println!("{text}");
    assert!(out.status.success(), "{text}");
}
