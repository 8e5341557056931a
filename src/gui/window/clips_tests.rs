//! Clips of many files, played one after another in the real window.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::Window;
use super::tests::{act, empty_window, footage, turn_until, window_on};
use crate::gui::model::{Event, Model};
use crate::logging::{Action, Meaning};
use crate::session::play_list::Item;
use crate::time::{FrameRate, MatchTime, Span};
use crate::video::{AudioSpec, Container, EncodeSpec, Encoder, Player};

/// One refresh of a screen.
const REFRESH: f64 = 1000.0 / 60.0;
const FRAME: u64 = 40;

/// Films with sound, 25 frames a second, 1.6 s long.
fn films(folder: &Path, how_many: usize, (width, height): (u32, u32)) -> Vec<PathBuf> {
    let one = |n: usize| {
        let path = folder.join(format!("film {n}.mp4"));
        let spec = EncodeSpec {
            path: path.clone(),
            width,
            height,
            container: Container::Mp4,
            rotation: 0,
            nominal_rate: FrameRate::new(25, 1).ok(),
            audio: Some(AudioSpec { rate: 48_000, channels: 1 }),
            gop: Some(250),
            b_frames: 2,
        };
        let mut encoder = Encoder::start(&spec).unwrap();
        for i in 0..40u64 {
            let shade = |x: usize| ((x / 4) as u64 * 7 + i * 11 + n as u64 * 31) as u8;
            let pixels = (0..(width * height * 4) as usize).map(shade).collect();
            let (at, lasts) = (MatchTime::from_millis(FRAME * i), Duration::from_millis(FRAME));
            encoder.audio(vec![0.1; 1920], at).unwrap();
            encoder.video(pixels, at, lasts).unwrap();
        }
        encoder.finish().unwrap();
        path
    };
    (0..how_many).map(one).collect()
}

fn said(window: &Window) -> String {
    window.imp().message.text()
}

fn item(path: &Path, from: u64, to: u64) -> Item {
    let span = Span::new(MatchTime::from_millis(from), MatchTime::from_millis(to)).unwrap();
    Item { footage: path.to_owned(), span }
}

/// When each frame of a clip was handed over: the moment, the clip, the frame.
type Seen = Rc<RefCell<Vec<(Instant, usize, usize)>>>;

fn watch(model: &Model) -> Seen {
    let seen = Seen::default();
    let heard = seen.clone();
    model.on(Event::Moment, move |m| {
        let here = m.player().borrow().as_ref().map(Player::here);
        if let (Some((clip, _)), Some(frame)) = (m.clip(), here) {
            heard.borrow_mut().push((Instant::now(), clip, frame));
        }
    });
    seen
}

/// How long after the end of a clip's last frame the first of the next one was there, in milliseconds; and how much longer
/// than a frame that one stayed.
fn gaps(seen: &[(Instant, usize, usize)]) -> (Vec<f64>, Vec<f64>) {
    let (mut gaps, mut stays) = (Vec::new(), Vec::new());
    for (i, pair) in seen.windows(2).enumerate() {
        if pair[0].1 != pair[1].1 {
            let ms = |from: Instant, to: Instant| (to - from).as_secs_f64() * 1000.0 - FRAME as f64;
            gaps.push(ms(pair[0].0, pair[1].0));
            let next = seen[i + 1..].iter().find(|s| s.2 != pair[1].2);
            stays.extend(next.map(|next| ms(pair[1].0, next.0)));
        }
    }
    (gaps, stays)
}

fn sorted(mut values: Vec<f64>) -> (f64, f64, f64) {
    values.sort_by(f64::total_cmp);
    let at = |part: f64| values[((values.len() - 1) as f64 * part).round() as usize];
    (at(0.5), at(0.95), at(1.0))
}

/// Plays 30 clips of 30 files and tells what was seen. Every other clip ends with its file.
fn play_thirty(size: (u32, u32)) -> Vec<(Instant, usize, usize)> {
    let folder = tempfile::tempdir().unwrap();
    crate::video::init().unwrap();
    let films = films(folder.path(), 30, size);
    let window = empty_window();
    let seen = watch(window.model());
    let item =
        |(n, path): (usize, &PathBuf)| if n % 2 == 0 { item(path, 600, 1400) } else { item(path, 600, 1600) };
    window.model().play_clips(films.iter().enumerate().map(item).collect());
    let end = Instant::now() + Duration::from_secs(120);
    while window.model().plays_clips() {
        assert!(Instant::now() < end, "waited for the end of the clips");
        gtk::glib::MainContext::default().iteration(true);
    }
    window.destroy();
    seen.take()
}

#[gtk::test]
fn thirty_clips_of_thirty_files_follow_each_other_without_a_gap() {
    let seen = play_thirty((320, 180));
    let clips: Vec<usize> = seen.chunk_by(|a, b| a.1 == b.1).map(|of| of[0].1).collect();
    assert_eq!(clips, (0..30).collect::<Vec<_>>(), "each once, in their order");
    for of in seen.chunk_by(|a, b| a.1 == b.1) {
        let end = if of[0].1 % 2 == 0 { 34 } else { 39 };
        // Nothing was ready before the first clip.
        let from = if of[0].1 == 0 { of[0].2 } else { 15 };
        assert_eq!(
            (of[0].2, of[of.len() - 1].2),
            (from, end),
            "clip {} from its first frame to its last",
            of[0].1
        );
    }
    let (gap, stay) = gaps(&seen);
    assert_eq!(gap.len(), 29);
    let (gap, stay) = (sorted(gap), sorted(stay));
    println!("gap after a clip: median {:.1} ms, 95 % {:.1}, most {:.1}", gap.0, gap.1, gap.2);
    println!(
        "first frame longer than it should: median {:.1} ms, 95 % {:.1}, most {:.1}",
        stay.0, stay.1, stay.2
    );
    assert!(gap.0 <= REFRESH, "{gap:?}");
}

#[gtk::test]
#[ignore = "measures on a quiet machine"]
fn thirty_large_clips() {
    let (gap, stay) = gaps(&play_thirty((1280, 720)));
    println!("1280 × 720: gap {:.1?}, stay {:.1?} (median, 95 %, most)", sorted(gap), sorted(stay));
}

#[gtk::test]
fn a_clip_without_footage_is_passed_over_and_logging_returns_to_the_match() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("own.mp4");
    footage(&own, &(0..60).map(|n| MatchTime::from_millis(n * 40)).collect::<Vec<_>>());
    let window = window_on(&own);
    let model = window.model();
    let other = films(folder.path(), 1, (64, 48)).remove(0);
    let gone = folder.path().join("gone.mp4");
    model.play_clips(vec![
        item(&gone, 0, 400),
        item(&other, 400, 800),
        item(&other, 9000, 9900),
        item(&other, 800, 1200),
        item(&own, 1000, 1400),
    ]);
    turn_until("the second clip", || model.clip().is_some_and(|(at, _)| at == 1));
    turn_until("its picture", || model.is_elsewhere());
    assert!(said(&window).contains("gone.mp4"), "{}", said(&window));
    assert_eq!((model.shown(), model.moment().get()), (None, None), "no moment of the match is shown");
    // Paused and played again, the clips go on.
    act(&window, Action::PlayPause);
    assert!(!model.is_playing() && model.plays_clips());
    act(&window, Action::PlayPause);
    turn_until("the clip of the match itself", || model.clip().is_some_and(|(at, _)| at == 4));
    turn_until("a moment of the match", || {
        model.shown().is_some_and(|at| at >= MatchTime::from_millis(1000))
    });
    turn_until("the end", || !model.plays_clips());
    assert!(!model.is_playing());
    // Nothing is logged at a frame of other footage.
    model.play_clips(vec![item(&other, 0, 1600)]);
    turn_until("the other footage", || model.is_elsewhere());
    window.perform(&Meaning::Do(Action::PointStart));
    turn_until("the match", || !model.is_elsewhere());
    assert!(!model.plays_clips() && said(&window).contains("nothing was logged"));
    assert!(super::tests::points(&window).is_empty());
    // Clips that all cannot be played say so, and nothing else changes.
    model.play_clips(vec![item(&gone, 0, 400), item(&gone, 400, 800)]);
    turn_until("the refusal", || said(&window).contains("None of these clips can be played"));
    assert!(!model.plays_clips());
    window.destroy();
}
