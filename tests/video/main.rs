//! The law of the player, on films whose pictures say which frame they are.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, clippy::panic, reason = "helpers of tests fail by panicking")]

mod bad_files;
mod cuts;
mod demo_films;
mod ffmpeg;
mod film;
mod jumps;
mod missing;
mod odd_files;
mod remux;
mod stored;
mod strikes;
mod trim;

use std::time::{Duration, Instant};

use changeover::time::{FrameRate, MatchTime, Span};
use changeover::video::{Container, PlayerEvent};
use film::{Film, Made, Screen, made};
use rand::{RngExt, SeedableRng};

/// The index has every frame that was written, at its time.
fn check_index(film: &Film, made: &Made) {
    let index = &made.media.index;
    assert_eq!(index.len(), film.times.len());
    for (i, t) in film.times.iter().enumerate() {
        let (got, wanted) = (index.time(i) - index.time(0), *t - film.times[0]);
        assert!(
            got.abs_diff(wanted) < Duration::from_millis(1),
            "frame {i} at {got:?}, written at {wanted:?}"
        );
    }
}

/// A seeded sequence of everything a coach can do, at random moments; every frame is checked as it is taken.
fn exercise(mut s: Screen, seed: u64, actions: usize) {
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let last = s.media.index.len() - 1;
    s.wait_for(0);
    for _ in 0..actions {
        match rng.random_range(0..10) {
            0..3 => {
                let i = rng.random_range(0..=last);
                s.player.pause();
                s.go(i);
            }
            3..7 => {
                s.player.pause();
                // The frame shown, or the one that a seek while playing asked for and that has not come yet.
                let from = s.player.here();
                let by = [1, -1, 1, -1, 5, -5, 17, -30][rng.random_range(0..8)];
                s.player.step(by);
                s.wait_for((from as i64 + by).clamp(0, last as i64) as usize);
            }
            7 => {
                s.player.seek_frame(rng.random_range(0..=last));
                if rng.random() {
                    s.player.play();
                } else {
                    s.player.play_backward();
                }
                s.watch(Duration::from_millis(rng.random_range(0..60)));
            }
            8 => {
                s.player.set_speed([0.25, 0.5, 1.0, 1.5, 2.0][rng.random_range(0..5)]);
                s.player.play();
                s.watch(Duration::from_millis(rng.random_range(0..120)));
                if rng.random() {
                    s.player.seek_frame(rng.random_range(0..=last));
                    s.watch(Duration::from_millis(rng.random_range(0..60)));
                }
            }
            _ => obeys_the_pause_law(&mut s, &mut rng),
        }
    }
}

fn obeys_the_pause_law(s: &mut Screen, rng: &mut rand_chacha::ChaCha8Rng) {
    s.player.pause();
    let i = rng.random_range(0..s.media.index.len() * 3 / 4);
    s.go(i);
    s.player.play();
    s.watch(Duration::from_millis(rng.random_range(0..150)));
    s.player.pause();
    let shown = s.shown.unwrap();
    assert_eq!(s.watch(Duration::from_millis(rng.random_range(0..60))), 0, "a frame came after a pause");
    let by = if rng.random() { 1 } else { -1 };
    s.player.step(by);
    s.wait_for((shown as i64 + by).clamp(0, s.media.index.len() as i64 - 1) as usize);
}

fn film_test(film: &Film, rate: Option<&str>, actions: usize) {
    let made = made(film);
    check_index(film, &made);
    assert_eq!(made.media.rate, rate.map(|r| r.parse::<FrameRate>().unwrap()));
    assert_eq!((made.media.width, made.media.height), (film::WIDTH, film::HEIGHT));
    assert_eq!(made.media.rotation, film.rotation);
    assert_eq!(made.media.has_audio, film.sound);
    assert!(made.media.warnings.is_empty(), "{:?}", made.media.warnings);
    exercise(Screen::open(&made), 1, actions);
}

#[test]
fn constant_30_with_sound() {
    film_test(&Film { sound: true, ..Film::constant("30", 150) }, Some("30"), 70);
}

#[test]
fn ntsc_with_b_frames() {
    film_test(&Film { b_frames: 3, ..Film::constant("30000/1001", 150) }, Some("30000/1001"), 70);
}

#[test]
fn variable_rate() {
    film_test(&Film::varying(120), None, 70);
}

#[test]
fn variable_rate_with_b_frames() {
    film_test(&Film { b_frames: 2, sound: true, ..Film::varying(120) }, None, 50);
}

#[test]
fn turned_by_90_degrees() {
    film_test(&Film { rotation: 90, ..Film::constant("25", 100) }, Some("25"), 30);
}

#[test]
fn turned_by_180_and_270_degrees() {
    film_test(&Film { rotation: 180, ..Film::constant("50", 60) }, Some("50"), 10);
    film_test(&Film { rotation: 270, ..Film::varying(60) }, None, 10);
}

#[test]
fn webm() {
    film_test(&Film { container: Container::WebM, sound: true, ..Film::constant("30", 120) }, Some("30"), 40);
}

#[test]
fn one_long_group_of_pictures() {
    film_test(&Film { gop: 250, b_frames: 2, ..Film::constant("60", 200) }, Some("60"), 30);
}

/// Not part of a round: `CHANGEOVER_STRESS=600 cargo test --test video stress -- --ignored` does everything a coach can do
/// for so many seconds. Let the machine be busy with other work meanwhile.
#[test]
#[ignore = "takes as long as it is told to"]
fn stress() {
    let seconds = std::env::var("CHANGEOVER_STRESS").ok().and_then(|s| s.parse().ok()).unwrap_or(60);
    let films = [
        Film { sound: true, ..Film::constant("30", 150) },
        Film { b_frames: 2, sound: true, ..Film::varying(120) },
        Film { gop: 250, b_frames: 2, ..Film::constant("60", 200) },
        Film { container: Container::WebM, sound: true, ..Film::constant("30", 120) },
    ];
    let films: Vec<Made> = films.iter().map(made).collect();
    let (until, mut seed) = (Instant::now() + Duration::from_secs(seconds), u64::from(std::process::id()));
    while Instant::now() < until {
        for film in &films {
            println!("seed {seed}");
            exercise(Screen::open(film), seed, 100);
            seed += 1;
        }
    }
}

#[test]
fn plays_in_time_and_ends() {
    let film = Film { sound: true, ..Film::constant("30", 60) };
    let made = made(&film);
    let mut s = Screen::open(&made);
    s.wait_for(0);
    for (speed, from, seconds) in [(1.0, 0, 2.0), (2.0, 0, 1.0), (0.25, 45, 2.0), (0.1, 54, 2.0)] {
        s.player.set_speed(speed);
        s.go(from);
        s.watch(Duration::from_millis(200));
        s.others.clear();
        let since = Instant::now();
        s.player.play();
        s.wait_until("the end", |s| s.others.iter().any(|e| matches!(e, PlayerEvent::Ended)));
        let took = since.elapsed().as_secs_f64();
        assert!((seconds - 0.1..seconds + 0.6).contains(&took), "{took} s at speed {speed}");
        assert_eq!(s.shown, Some(59));
        assert!(!s.player.is_playing());
    }
    s.player.step(-1);
    s.wait_for(58);
}

#[test]
fn steps_add_up_when_keys_repeat() {
    let made = made(&Film::constant("30", 150));
    let mut s = Screen::open(&made);
    s.wait_for(0);
    for _ in 0..60 {
        s.player.step(1);
    }
    s.wait_for(60);
    for _ in 0..45 {
        s.player.step(-1);
        s.watch(Duration::from_millis(1));
    }
    s.wait_for(15);
    s.player.step(-100);
    s.wait_for(0);
    s.player.step(1000);
    s.wait_for(149);
}

#[test]
fn a_loop_stays_in_its_span() {
    let made = made(&Film::constant("30", 120));
    let mut s = Screen::open(&made);
    s.wait_for(0);
    let at = |i| made.media.index.time(i);
    s.player.set_loop(Some(Span::new(at(40), at(50)).unwrap()));
    s.player.play();
    let (mut seen, mut rounds) = (None, 0);
    s.wait_until("the loop", |s| s.shown == Some(40));
    let until = Instant::now() + Duration::from_secs(15);
    while rounds < 3 && Instant::now() < until {
        s.watch(Duration::from_millis(2));
        let here = s.shown.unwrap();
        assert!((40..50).contains(&here), "{here} is not in the loop");
        rounds += usize::from(seen.is_some_and(|x| x > here));
        seen = Some(here);
    }
    assert!(rounds >= 3, "{rounds} rounds");
    assert!(s.player.is_playing());
}

/// Every frame, each the one before, in time; a pause and a turn are obeyed.
#[test]
fn plays_backwards_in_time() {
    for film in [
        Film { gop: 250, b_frames: 2, sound: true, ..Film::constant("30", 90) },
        Film::constant("30", 90),
        Film { container: Container::WebM, gop: 20, ..Film::constant("30", 90) },
    ] {
        let made = made(&film);
        let mut s = Screen::open(&made);
        s.go(89);
        for (speed, from, seconds) in [(1.0, 60, 2.0), (2.0, 89, 1.5), (0.1, 4, 1.5)] {
            s.player.set_speed(speed);
            s.go(from);
            s.watch(Duration::from_millis(100));
            s.others.clear();
            s.player.play_backward();
            assert!(s.player.is_playing() && s.player.is_backward());
            s.wait_until("the way back", |s| s.shown.is_some_and(|n| n < from));
            let (since, first) = (Instant::now(), s.shown.unwrap());
            let mut last = first;
            while !s.others.iter().any(|e| matches!(e, PlayerEvent::AtStart)) {
                assert!(since.elapsed() < Duration::from_secs(8));
                s.watch(Duration::from_millis(2));
                let here = s.shown.unwrap();
                assert!(here == last || here + 1 == last, "from {last} to {here}");
                last = here;
            }
            let took = since.elapsed().as_secs_f64();
            let wanted = seconds * first as f64 / from as f64;
            assert!((wanted - 0.15..wanted + 0.5).contains(&took), "{took} s for {wanted} at speed {speed}");
            assert_eq!((last, s.player.is_playing()), (0, false));
        }
    }
}

#[test]
fn a_pause_and_a_turn_are_obeyed_backwards() {
    let made = made(&Film { sound: true, ..Film::constant("30", 120) });
    let mut s = Screen::open(&made);
    s.go(100);
    s.player.play_backward();
    s.wait_until("the way back", |s| s.shown.is_some_and(|n| n < 95));
    s.player.pause();
    let here = s.shown.unwrap();
    assert_eq!(s.watch(Duration::from_millis(150)), 0, "a frame came after a pause");
    s.player.step(-1);
    s.wait_for(here - 1);
    s.player.play_backward();
    s.wait_until("the way back", |s| s.shown.is_some_and(|n| n < here - 4));
    s.player.play();
    let here = s.shown.unwrap();
    s.wait_until("the way on", |s| s.shown.is_some_and(|n| n > here + 5));
    let at = |i| made.media.index.time(i);
    s.player.pause();
    s.player.set_loop(Some(Span::new(at(40), at(50)).unwrap()));
    s.player.play_backward();
    s.wait_until("the loop", |s| s.shown == Some(49));
    s.wait_until("its start", |s| s.shown == Some(40));
    s.wait_until("its end", |s| s.shown == Some(49));
    assert!(s.player.is_playing());
}

#[test]
fn a_slow_window_gets_the_newest_frame() {
    let made = made(&Film::constant("30", 90));
    let mut s = Screen::open(&made);
    s.wait_for(0);
    s.player.play();
    std::thread::sleep(Duration::from_millis(1500));
    // Some 45 were shown meanwhile; a second may come in as the first is taken.
    assert!((1..=2).contains(&s.watch(Duration::from_millis(5))));
    assert!(s.shown.unwrap() > 20, "{:?}", s.shown);
    assert!(s.media.duration > MatchTime::from_secs(2));
}
