//! Jumps by real keys in the real window, from the key to the frame: run by hand, see DEVELOPERS.md.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use gtk::glib;
use gtk::prelude::*;
use rand::{RngExt, SeedableRng};

use super::Window;
use super::tests::{turn_for, window_on};
use crate::gui::model::Model;
use crate::logging::Action;
use crate::record::{Footage, Point, Record, Store, sidecar_for};
use crate::tennis::Side;
use crate::time::MatchTime;
use crate::video::Player;

const KEYS: usize = 200;
const POINTS: u64 = 40;

/// A hand between two keys, at least.
const HAND: Duration = Duration::from_millis(500);

/// The keys that are pressed, as xdotool has them, and how often of a hundred.
const PRESSED: [(&str, Action, u32); 6] = [
    ("Right", Action::PointForward, 50),
    ("Left", Action::PointBack, 15),
    ("shift+Right", Action::GameForward, 10),
    ("shift+Left", Action::GameBack, 10),
    ("ctrl+Right", Action::MatchForward, 10),
    ("ctrl+Left", Action::MatchBack, 5),
];

/// Footage made by ffmpeg: noise that moves makes the decoder work.
fn film(path: &Path, size: &str, seconds: u64, noise: u32, apart: u32) {
    let picture = format!("testsrc2=s={size}:r=30:d={seconds},noise=alls={noise}:allf=t");
    let apart = apart.to_string();
    let mut ffmpeg = Command::new("ffmpeg");
    ffmpeg
        .args(["-v", "error", "-y", "-f", "lavfi", "-i", &picture, "-c:v", "libx264", "-preset", "veryfast"]);
    ffmpeg.args([
        "-bf",
        "2",
        "-g",
        &apart,
        "-keyint_min",
        &apart,
        "-sc_threshold",
        "0",
        "-pix_fmt",
        "yuv420p",
    ]);
    assert!(ffmpeg.arg(path).status().unwrap().success(), "ffmpeg cannot make the footage");
}

/// A record of forty points, evenly over the footage.
fn record(path: &Path, seconds: u64) {
    let step = seconds * 1000 / (POINTS + 1);
    let points = (1..=POINTS).map(|n| Point {
        start: Some(MatchTime::from_millis(n * step)),
        end: Some(MatchTime::from_millis(n * step + step / 2)),
        winner: Some(if n % 7 < 3 { Side::A } else { Side::B }),
        ..Point::default()
    });
    let footage = Footage {
        file: path.file_name().unwrap().to_str().unwrap().to_owned(),
        fingerprint: None,
        duration: MatchTime::from_secs(seconds),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let record = Record { footage: vec![footage], points: points.collect(), ..Record::default() };
    drop(Store::create(&sidecar_for(path), record).unwrap());
}

/// What was measured, in milliseconds.
#[derive(Default)]
struct Measured {
    /// From the key's time, as the display has it, until it is in the window.
    arrived: Vec<f64>,
    /// From the key's time, as the display has it, until the frame is in the window's picture.
    handed: Vec<f64>,
    /// Until all of the window is drawn.
    drawn: Vec<f64>,
    /// From the jump until all that is expected then is decoded.
    ready: Vec<f64>,
}

fn report(name: &str, values: &mut [f64]) {
    values.sort_by(f64::total_cmp);
    let at = |part: f64| values[((values.len() - 1) as f64 * part).round() as usize];
    println!("  {name}: median {:.1} ms, 95th percentile {:.1} ms, n {}", at(0.5), at(0.95), values.len());
}

/// Presses one key and waits for its frame.
fn jump(window: &Window, key: &str, to: usize, found: &mut Measured) {
    let pressed = std::rc::Rc::new(std::cell::Cell::new((0u32, 0i64)));
    let controller = gtk::EventControllerKey::new();
    controller.set_propagation_phase(gtk::PropagationPhase::Capture);
    let seen = pressed.clone();
    controller.connect_key_pressed(move |c, _, _, _| {
        seen.set((c.current_event_time(), glib::monotonic_time()));
        glib::Propagation::Proceed
    });
    window.add_controller(controller.clone());
    let drawn = std::rc::Rc::new(std::cell::Cell::new(None));
    let (frames, at) = (window.model().frames().clone(), drawn.clone());
    let clock = window.frame_clock().unwrap();
    let painted = clock.connect_after_paint(move |_| {
        if at.get().is_none() && frames.painted().is_some_and(|s| s.frame.index == to) {
            at.set(Some(glib::monotonic_time()));
        }
    });
    let handed = std::rc::Rc::new(std::cell::Cell::new(None));
    let at = handed.clone();
    let moments = window.model().connect_local("moment", false, move |values| {
        let shown = values[0].get::<Model>().ok()?.moment().get();
        if at.get().is_none() && shown.is_some_and(|(_, place)| place.frame == to) {
            at.set(Some(glib::monotonic_time()));
        }
        None
    });
    let mut hand = Command::new("xdotool").args(["key", key]).spawn().unwrap();
    let since = Instant::now();
    while drawn.get().is_none() || handed.get().is_none() {
        assert!(since.elapsed() < Duration::from_secs(20), "{key} does not lead to frame {to}");
        if !glib::MainContext::default().iteration(false) {
            std::thread::sleep(Duration::from_micros(200));
        }
    }
    hand.wait().unwrap();
    clock.disconnect(painted);
    window.model().disconnect(moments);
    window.remove_controller(&controller);
    let (key, arrived) = pressed.get();
    let key_at = f64::from(key);
    let after = |t: i64| (t as f64 / 1000.0).rem_euclid(f64::from(u32::MAX) + 1.0) - key_at;
    found.arrived.push(after(arrived));
    found.handed.push(after(handed.get().unwrap()));
    found.drawn.push(after(drawn.get().unwrap()));
}

/// Where a key leads, if anywhere: to another frame than the one shown.
fn target(window: &Window, action: Action) -> Option<usize> {
    let model = window.model();
    let lead = model.settings().borrow().lead_in();
    let session = model.session().borrow();
    let s = session.as_ref()?;
    let frame = s.parts.showing(s.lead_in_of(s.led_to(action)?, lead)?)?.frame;
    (Some(frame) != model.moment().get().map(|(_, p)| p.frame)).then_some(frame)
}

fn jumps(path: &Path) -> Measured {
    let window = window_on(path);
    // As it is set for a newcomer.
    window.model().settings().borrow_mut().lead_in_ms = None;
    let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(3);
    let mut found = Measured::default();
    turn_for(Duration::from_secs(1));
    let keys = std::env::var("JUMPS").ok().and_then(|n| n.parse().ok()).unwrap_or(KEYS);
    while found.handed.len() < keys {
        let mut dart = dice.random_range(0..100);
        let chosen = PRESSED.iter().find(|(_, _, often)| {
            let hit = dart < *often;
            dart = dart.saturating_sub(*often);
            hit
        });
        let (key, action, _) = chosen.unwrap();
        let Some(to) = target(&window, *action) else { continue };
        jump(&window, key, to, &mut found);
        let since = Instant::now();
        turn_for(Duration::from_millis(30));
        while !window.model().player().borrow().as_ref().is_some_and(Player::is_ready) {
            assert!(since.elapsed() < Duration::from_secs(60), "the frames of the next keys are not decoded");
            turn_for(Duration::from_millis(5));
        }
        found.ready.push(since.elapsed().as_secs_f64() * 1000.0);
        turn_for(HAND.saturating_sub(since.elapsed()));
    }
    window.destroy();
    found
}

#[gtk::test]
#[ignore = "a measurement, of some ten minutes; needs ffmpeg and xdotool"]
fn jumps_by_keys() {
    let own = tempfile::tempdir().unwrap();
    // Films that are kept need not be made again.
    let folder = std::env::var_os("JUMPS_FOLDER").map_or_else(|| own.path().to_owned(), Into::into);
    for (name, size, seconds, noise, apart) in [
        ("720p30, key frames 60 apart", "1280x720", 120, 4, 60),
        ("1080p30, key frames 250 apart", "1920x1080", 60, 9, 250),
    ] {
        if std::env::var("JUMPS_FILM").is_ok_and(|only| only != size) {
            continue;
        }
        let path = folder.join(format!("{size}.mp4"));
        if !path.exists() {
            film(&path, size, seconds, noise, apart);
        }
        if !sidecar_for(&path).exists() {
            record(&path, seconds);
        }
        let mut found = jumps(&path);
        println!("{name}");
        report("key to window", &mut found.arrived);
        report("key to frame handed to the screen", &mut found.handed);
        report("key to window drawn", &mut found.drawn);
        report("jump to all next frames decoded", &mut found.ready);
    }
}
