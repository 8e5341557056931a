//! What is heard from one clip to the next, as the window plays them: a listener stands in the place of the loudspeaker. The pitch of
//! the footage's tone rises all the time, so that it tells which place of the file is heard.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::tests::empty_window;
use crate::session::play_list::Item;
use crate::time::{FrameRate, MatchTime, Span};
use crate::video::listener::{HEARD_RATE, Heard, Listener};
use crate::video::{AudioSpec, Container, EncodeSpec, Encoder};

/// One frame, in milliseconds.
const FRAME: u64 = 40;
const FRAMES: u64 = 100;
/// The pitch at the start, and by how much it rises in a second.
const PITCH: f64 = 500.0;
const RISES: f64 = 800.0;
const RATE: f64 = HEARD_RATE as f64;
/// AAC comes 1024 samples late out of the encoder and decoder, all of it; in milliseconds.
const LATE: f64 = -1024.0 / RATE * 1000.0;

fn film(path: &Path) -> PathBuf {
    let (width, height) = (64u32, 48u32);
    let spec = EncodeSpec {
        path: path.to_owned(),
        width,
        height,
        container: Container::Mp4,
        rotation: 0,
        nominal_rate: FrameRate::new(25, 1).ok(),
        audio: Some(AudioSpec { rate: HEARD_RATE, channels: 1 }),
        gop: Some(50),
        b_frames: 2,
    };
    let mut encoder = Encoder::start(&spec).unwrap();
    let length = u64::from(HEARD_RATE) * FRAME / 1000;
    let sample = |n: u64| {
        let t = n as f64 / RATE;
        (0.5 * (std::f64::consts::TAU * (PITCH * t + RISES * t * t / 2.0)).sin()) as f32
    };
    for i in 0..FRAMES {
        let at = MatchTime::from_millis(FRAME * i);
        encoder.audio((i * length..(i + 1) * length).map(sample).collect(), at).unwrap();
        let pixels = vec![(i * 2) as u8; (width * height * 4) as usize];
        encoder.video(pixels, at, Duration::from_millis(FRAME)).unwrap();
    }
    encoder.finish().unwrap();
    path.to_owned()
}

/// Plays clips, each its file and its milliseconds, and tells what was heard, the pieces of each pipeline together.
fn heard_of(clips: &[(&Path, u64, u64)], folder: &Path) -> Vec<Vec<Heard>> {
    let listener = Listener::in_folder(folder);
    let window = empty_window();
    let item = |(path, from, to): &(&Path, u64, u64)| {
        let span = Span::new(MatchTime::from_millis(*from), MatchTime::from_millis(*to)).unwrap();
        Item { footage: path.to_path_buf(), span }
    };
    window.model().play_clips(clips.iter().map(item).collect());
    let end = Instant::now() + Duration::from_secs(60);
    while window.model().plays_clips() {
        assert!(Instant::now() < end, "waited for the end of the clips");
        gtk::glib::MainContext::default().iteration(true);
    }
    gtk::prelude::GtkWindowExt::destroy(&window);
    // The last piece of one clip is as long as a decoder makes it, and may be due after the first of the next.
    let mut all: Vec<Vec<Heard>> = Vec::new();
    for piece in listener.heard() {
        match all.iter_mut().find(|pieces| pieces[0].pipeline == piece.pipeline) {
            Some(pieces) => pieces.push(piece),
            None => all.push(vec![piece]),
        }
    }
    all
}

const fn ms(time: Duration) -> f64 {
    time.as_nanos() as f64 / 1e6
}

fn place(at: MatchTime) -> f64 {
    at.as_secs_f64() * 1000.0
}

/// Which place of the file, in milliseconds, the tone of these samples belongs to: in the middle of them.
fn told_by_pitch(samples: &[f32]) -> f64 {
    let crossing = |w: (usize, &[f32])| {
        let (a, b) = (f64::from(w.1[0]), f64::from(w.1[1]));
        (a < 0.0 && b >= 0.0).then(|| w.0 as f64 + a / (a - b))
    };
    let all: Vec<f64> = samples.windows(2).enumerate().filter_map(crossing).collect();
    let (first, last) = (all[0], all[all.len() - 1]);
    let pitch = (all.len() - 1) as f64 * RATE / (last - first);
    let middle = samples.len() as f64 / 2.0 - f64::midpoint(first, last);
    (pitch - PITCH) / RISES * 1000.0 + middle / RATE * 1000.0
}

/// What is wrong with what was heard of these clips, if anything is.
fn check(heard: &[Vec<Heard>], clips: &[(&Path, u64, u64)]) -> Result<(), String> {
    let is = |holds: bool, what: String| if holds { Ok(()) } else { Err(what) };
    is(heard.len() == clips.len(), format!("{} pipelines for {} clips", heard.len(), clips.len()))?;
    let frame = FRAME as f64;
    let (mut gaps, mut off) = (Vec::new(), Vec::new());
    for (n, (pieces, (film, from, to))) in heard.iter().zip(clips).enumerate() {
        is(pieces.iter().all(|piece| piece.film == *film), format!("clip {n} is of another file"))?;
        let (first, last) = (&pieces[0], &pieces[pieces.len() - 1]);
        let (begins, ends) = (place(first.from), place(last.from) + ms(last.lasts()));
        is((begins - *from as f64).abs() <= frame, format!("clip {n} begins at {begins}, not {from}"))?;
        is((ends - *to as f64).abs() <= frame, format!("clip {n} ends at {ends}, not {to}"))?;
        for pair in pieces.windows(2) {
            let follows = place(pair[1].from) - place(pair[0].from) - ms(pair[0].lasts());
            let waits = ms(pair[1].due) - ms(pair[0].due) - ms(pair[0].lasts());
            is(
                follows.abs() < 1.0 && waits.abs() < 1.0,
                format!("clip {n}: {follows}, {waits} ms within it"),
            )?;
        }
        // Not only the times that the pieces bear: the tone itself.
        let samples: Vec<f32> = pieces.iter().flat_map(|piece| piece.samples.iter().copied()).collect();
        for (m, samples) in samples.chunks_exact(HEARD_RATE as usize / 50).enumerate().skip(1) {
            off.push(told_by_pitch(samples) - begins - (m as f64 + 0.5) * 20.0 - LATE);
        }
        if let Some(next) = heard.get(n + 1) {
            gaps.push(ms(next[0].due) - ms(last.due) - ms(last.lasts()));
        }
    }
    let most = |of: &[f64]| of.iter().map(|g| g.abs()).fold(0.0, f64::max);
    println!(
        "silence between clips, in ms: {gaps:.1?}; a sample's place against its tone: {:.1} at most",
        most(&off)
    );
    is(most(&off) < 5.0, format!("a sample is of another place: {off:.1?}"))?;
    is(most(&gaps) <= frame, format!("silence between clips: {gaps:.1?} ms"))
}

#[gtk::test]
fn the_sound_goes_from_clip_to_clip_without_a_gap_or_a_repeated_sample() {
    crate::video::init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let [one, two] = ["one.mp4", "two.mp4"].map(|name| film(&folder.path().join(name)));
    // One clip jumps back within its file, one ends with it.
    let clips: [(&Path, u64, u64); 5] =
        [(&one, 400, 1400), (&two, 2000, 3000), (&two, 800, 1600), (&one, 1600, 2400), (&two, 3200, 4000)];
    // A busy machine may be late once: what is wrong is so each time.
    let mut wrong = Vec::new();
    while wrong.len() < 4 {
        match check(&heard_of(&clips, folder.path()), &clips) {
            Ok(()) => return,
            Err(why) => wrong.push(why),
        }
    }
    panic!("{wrong:#?}");
}
