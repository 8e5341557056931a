//! Which frames are asked for to find the players of a point.

use super::*;

/// A film of so many seconds at 25 frames a second, with a key frame in every so many.
fn index(seconds: u64, key: u64) -> FrameIndex {
    let frames = (0..seconds * 25).map(|n| (MatchTime::from_millis(40 * n), n % key == 0)).collect();
    FrameIndex::new(frames, None).unwrap()
}

fn stretch(strikes: &[u64]) -> Stretch {
    let strike = |ms: &u64| Strike {
        shot: (0, 0),
        fault: false,
        at: MatchTime::from_secs(100).later(Duration::from_millis(*ms)),
        near: None,
    };
    let footage = Footage {
        file: "a.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(600),
        rate: None,
        rotation: 0,
        start: MatchTime::from_secs(100),
    };
    Stretch { footage, strikes: strikes.iter().map(strike).collect() }
}

fn seconds(index: &FrameIndex, frames: &[usize]) -> Vec<f64> {
    frames.iter().map(|f| (index.time(*f) - MatchTime::ZERO).as_secs_f64()).collect()
}

#[test]
fn the_empty_court_is_taken_from_key_frames_of_a_minute_around_the_point() {
    let film = index(600, 50);
    let frames = stretch(&[300_000, 305_000]).samples(&film);
    assert_eq!(frames.len(), 31);
    assert!(frames.iter().all(|f| film.is_key(*f)), "{frames:?}");
    let at = seconds(&film, &frames);
    assert!((268.0..275.0).contains(&at[0]) && (330.0..337.0).contains(&at[30]), "{at:?}");
    // Whoever waits for 20 seconds at one place is on less than half of them.
    assert!(at.iter().filter(|t| (285.0..305.0).contains(*t)).count() <= 11, "{at:?}");
    for early_or_late in [5_000, 590_000] {
        let at = seconds(&film, &stretch(&[early_or_late]).samples(&film));
        assert!(at.len() == 31 && at[30] - at[0] > 55.0, "{at:?}");
    }
}

#[test]
fn a_short_film_or_one_with_few_key_frames_gives_enough_pictures() {
    let film = index(31, 100_000);
    let at = seconds(&film, &stretch(&[5_000]).samples(&film));
    assert!(at.len() == 31 && at.windows(2).skip(1).all(|w| (0.9..1.1).contains(&(w[1] - w[0]))), "{at:?}");
    assert_eq!(stretch(&[0]).samples(&index(1, 1)).len(), 25, "no frame twice");
    assert!(stretch(&[]).samples(&film).is_empty());
}

#[test]
fn players_are_looked_for_near_strikes_and_in_the_frame_of_each() {
    let film = index(60, 50);
    let frames = stretch(&[10_000, 10_610, 30_020]).looked(&film);
    let at = seconds(&film, &frames);
    assert!(at.iter().all(|t| [10.0, 10.61, 30.02].iter().any(|s| (t - s).abs() <= 0.5)), "{at:?}");
    for own in [10.0, 10.6, 30.0] {
        assert!(at.iter().any(|t| (t - own).abs() < 1e-6), "{own}: {at:?}");
    }
    assert!((28..=44).contains(&frames.len()), "every second or third frame: {at:?}");
}
