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
        if let Some(here) = waiting(&s) {
            assert!(here == last || here == last + 1, "from {last} to {here}");
            last = here;
        }
    }
    assert!(s.player.is_playing());
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
