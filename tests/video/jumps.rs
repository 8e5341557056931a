//! Jumps to frames that were decoded ahead, and a slider that is dragged.

use std::time::{Duration, Instant};

use changeover::video::PlayerEvent;

use crate::film::{Film, Screen, made, number};

/// The frame that waits to be taken, if there is one.
fn waiting(s: &Screen) -> Option<usize> {
    while let Ok(event) = s.events.try_recv() {
        if let PlayerEvent::Frame(frame) = event {
            assert_eq!(frame.index, number(&frame));
            return Some(frame.index);
        }
    }
    None
}

fn expecting(s: &mut Screen, frames: &[usize]) {
    s.player.expect(frames);
    s.wait_until("what is expected", |s| s.player.is_ready());
}

#[test]
fn what_is_expected_is_shown_at_once() {
    let made = made(&Film { gop: 250, b_frames: 2, sound: true, ..Film::constant("30", 240) });
    let mut s = Screen::open(&made);
    s.wait_for(0);
    expecting(&mut s, &[200, 90, 91, 10_000, 90]);
    for frame in [200, 90, 239, 91] {
        s.player.seek_frame(frame);
        // No time for a decoder: the frame waits as soon as the call is back.
        assert_eq!(waiting(&s), Some(frame));
        assert_eq!(s.player.here(), frame);
    }
    // Steps from there are right, and others take the place of what was expected.
    s.player.step(1);
    s.wait_for(92);
    s.player.step(-2);
    s.wait_for(90);
    expecting(&mut s, &[150]);
    s.go(5);
    s.player.seek_frame(150);
    assert_eq!(waiting(&s), Some(150));
    s.player.seek_frame(180);
    assert_eq!(waiting(&s), None, "nobody expected that");
    s.wait_for(180);
}

#[test]
fn playing_goes_on_from_a_jump_without_a_skip() {
    let made = made(&Film { gop: 250, b_frames: 2, sound: true, ..Film::constant("30", 240) });
    let mut s = Screen::open(&made);
    s.wait_for(0);
    s.player.play();
    s.wait_until("playing", |s| s.shown.is_some_and(|n| n > 3));
    expecting(&mut s, &[150]);
    s.player.seek_frame(150);
    assert_eq!(waiting(&s), Some(150));
    s.shown = Some(150);
    let (mut last, until) = (150, Instant::now() + Duration::from_secs(4));
    while last < 165 {
        assert!(Instant::now() < until, "playing does not go on from {last}");
        match waiting(&s) {
            Some(here) => {
                assert!(here == last || here == last + 1, "from {last} to {here}");
                last = here;
            }
            None => std::thread::sleep(Duration::from_millis(1)),
        }
    }
    assert!(s.player.is_playing());
}

/// How long the screen stood on the frame of each jump while playing went on, and that no frame was left out after it.
fn held_after_jumps(s: &mut Screen, places: &[usize]) -> Vec<Duration> {
    let mut held = Vec::new();
    for place in places {
        expecting(s, &[*place, 10]);
        // A hand needs longer than a decoder.
        s.watch(Duration::from_millis(900));
        s.player.seek_frame(*place);
        assert_eq!(waiting(s), Some(*place));
        let since = Instant::now();
        while waiting(s).is_none_or(|n| n == *place) {
            assert!(since.elapsed() < Duration::from_secs(4), "playing does not go on from {place}");
            std::thread::sleep(Duration::from_millis(1));
        }
        held.push(since.elapsed());
        assert!(s.player.is_playing());
    }
    held
}

#[test]
fn playing_goes_on_from_a_jump_without_a_hold() {
    let made = made(&Film { gop: 250, b_frames: 2, sound: true, ..Film::constant("30", 700) });
    let mut s = Screen::open(&made);
    s.wait_for(0);
    s.player.play();
    s.wait_until("playing", |s| s.shown.is_some_and(|n| n > 3));
    let mut held = held_after_jumps(&mut s, &[240, 480, 200, 460, 230, 490, 220]);
    held.sort();
    println!("held: {held:?}");
    assert!(
        held[held.len() / 2] < Duration::from_millis(90),
        "a frame lasts 33 ms, and these stood {held:?}"
    );
}

#[test]
fn what_waits_to_play_follows_the_speed_and_the_place() {
    let made = made(&Film { gop: 60, b_frames: 2, sound: true, ..Film::constant("30", 400) });
    let mut s = Screen::open(&made);
    s.wait_for(0);
    for (place, speed) in [(200, 1.0), (300, 0.5), (100, 2.0), (350, 0.1), (20, 1.0)] {
        s.player.set_speed(speed);
        expecting(&mut s, &[place, 7]);
        s.watch(Duration::from_millis(400));
        s.player.seek_frame(place);
        s.wait_for(place);
        // Steps and pauses between: the pipeline that waits at the place is not the one that is needed.
        s.player.step(3);
        s.wait_for(place + 3);
        s.player.play();
        let (mut last, until) = (place + 3, Instant::now() + Duration::from_secs(8));
        while last < place + 9 {
            assert!(Instant::now() < until, "playing does not go on from {last}");
            let Some(here) = waiting(&s) else {
                std::thread::sleep(Duration::from_millis(1));
                continue;
            };
            assert!(here == last || here == last + 1 || speed > 1.0, "from {last} to {here} at {speed}");
            last = here;
        }
        s.player.pause();
        s.shown = waiting(&s).or(Some(last));
    }
}

#[test]
fn a_slider_shows_something_near_and_then_the_frame() {
    let made = made(&Film { gop: 60, b_frames: 2, ..Film::constant("30", 400) });
    let mut s = Screen::open(&made);
    s.wait_for(0);
    let mut slowest = Duration::ZERO;
    for to in (0..380).step_by(17).chain((0..380).rev().step_by(23)) {
        let since = Instant::now();
        s.player.drag(to);
        assert_eq!(s.player.here(), to, "the slider says where the coach is");
        let before = s.taken;
        s.wait_until("something near", |s| s.taken > before);
        slowest = slowest.max(since.elapsed());
        assert!(s.shown.unwrap().abs_diff(to) <= 30, "{:?} is not near {to}", s.shown);
        assert!(!s.player.is_playing());
    }
    println!("slowest: {slowest:?}");
    s.player.drag(211);
    s.wait_for(211);
    s.player.step(1);
    s.wait_for(212);
    // Faster than anything can be shown: the last place counts.
    for to in 0..300 {
        s.player.drag(to);
    }
    s.wait_for(299);
    assert_eq!(s.player.here(), 299);
    s.player.play();
    s.player.drag(100);
    assert!(!s.player.is_playing(), "a drag pauses");
    s.wait_for(100);
}
