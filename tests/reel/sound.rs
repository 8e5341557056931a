//! Sound of reels.

use std::path::Path;
use std::process::Command;

use changeover::lesson::{Freeze, Lesson};
use changeover::time::{FrameRate, MatchTime};
use changeover::video::{AudioSpec, Container, EncodeSpec, Encoder, SOUND_RATE, SoundReader};

use crate::asked::{Bench, clip, lesson, ms, part};

/// Ten seconds of film, with one channel of sound at this rate: `sound` of the second.
fn write(path: &Path, rate: u32, sound: impl Fn(f64) -> f32) {
    let frames = FrameRate::new(25, 1).unwrap();
    let spec = EncodeSpec {
        path: path.to_owned(),
        width: 64,
        height: 48,
        container: Container::Mp4,
        rotation: 0,
        nominal_rate: Some(frames),
        audio: Some(AudioSpec { rate, channels: 1 }),
        gop: Some(25),
        b_frames: 0,
    };
    // Without the delay of its encoder, which other encoders say in the file.
    let mut encoder = Encoder::watched(&spec, &[], MatchTime::from_secs(10)).unwrap();
    for n in 0..250 {
        encoder.video(vec![90; 64 * 48 * 4], frames.time_of(n), frames.frame_length()).unwrap();
    }
    for n in 0..100 {
        let tenth = rate / 10;
        let of = |s: u32| sound(f64::from(n * tenth + s) / f64::from(rate));
        encoder.audio((0..tenth).map(of).collect(), MatchTime::from_millis(u64::from(n) * 100)).unwrap();
    }
    encoder.finish().unwrap();
}

/// A click of 4 ms at every half second, over a low noise.
fn clicks(t: f64) -> f32 {
    let into = (t + 1e-9) % 0.5;
    if into < 0.004 { 0.5 * (into * 6000.0).sin() as f32 } else { 0.0005 * (t * 4000.0).sin() as f32 }
}

/// A film's name, the rate of its sound, and the sound at each second.
type Heard<'a> = (&'a str, u32, fn(f64) -> f32);

fn bench(films: &[Heard<'_>]) -> Bench {
    let mut bench = Bench::of(&[]);
    for (name, rate, sound) in films {
        write(&bench.path(name), *rate, sound);
        bench.open(name);
    }
    bench
}

/// Both channels of a file, the louder of the two.
fn heard(path: &Path, seconds: u64) -> Vec<f32> {
    let mut reader = SoundReader::open(path).unwrap();
    reader.go(MatchTime::ZERO).unwrap();
    let pairs = reader.read((seconds * u64::from(SOUND_RATE)) as usize).unwrap();
    pairs.chunks_exact(2).map(|p| p[0].abs().max(p[1].abs())).collect()
}

/// When clicks begin, in seconds.
fn begins(sound: &[f32]) -> Vec<f64> {
    let top = sound.iter().copied().fold(0.0, f32::max);
    let mut out: Vec<f64> = Vec::new();
    for (n, s) in sound.iter().enumerate() {
        let t = n as f64 / f64::from(SOUND_RATE);
        if *s > top * 0.4 && out.last().is_none_or(|last| t - last > 0.1) {
            out.push(t);
        }
    }
    out
}

#[test]
fn sound_is_read_from_the_very_sample() {
    let bench = bench(&[("a.mp4", 44_100, clicks)]);
    let mut reader = SoundReader::open(&bench.path("a.mp4")).unwrap();
    for from in [0u64, 730, 4900, 2000, 9400] {
        reader.go(ms(from)).unwrap();
        let mut sound = Vec::new();
        // In pieces of odd sizes.
        for count in [1usize, 4999, 20_000, 23_000] {
            sound.extend(reader.read(count).unwrap());
        }
        let sound: Vec<f32> = sound.chunks_exact(2).map(|p| p[0].abs()).collect();
        let first = begins(&sound)[0] + from as f64 / 1000.0;
        let off = (first * 2.0 - (first * 2.0).round()) / 2.0;
        assert!(off.abs() < 0.003, "from {from} ms a click comes at {first}");
    }
    reader.go(ms(20_000)).unwrap();
    assert!(reader.read(5000).unwrap().iter().all(|s| *s == 0.0), "silence after the end");
}

#[test]
fn clicks_are_heard_where_their_pictures_are() {
    let bench = bench(&[("a.mp4", 44_100, clicks), ("b.mp4", 48_000, clicks)]);
    let mut first = clip("a.mp4", 760, 1760);
    first.freezes = vec![Freeze { at: ms(1320), lasts: ms(400), drawings: Vec::new() }];
    let parts = vec![part(first), part(clip("b.mp4", 3800, 4800)), part(clip("a.mp4", 6280, 6800))];
    let lesson = Lesson { title: "Clicks".into(), ..lesson(parts) };
    let plan = bench.plan(&lesson, (64, 48));
    // The title has 63 frames; clicks at 1.0 and 1.5 (after the freeze), 4.0 and 4.5, 6.5.
    let title = 2.52;
    let wanted = [title + 0.24, title + 0.74 + 0.4, title + 1.4 + 0.2, title + 1.4 + 0.7, title + 2.4 + 0.22];
    for name in ["reel.mp4", "reel.webm", "reel.mkv"] {
        let out = bench.render(&lesson, &plan, name).unwrap();
        let found = begins(&heard(&out, 6));
        assert_eq!(found.len(), wanted.len(), "{name}: {found:?} {wanted:?}");
        let worst = found.iter().zip(wanted).map(|(f, w)| (f - w).abs()).fold(0.0, f64::max);
        println!("{name}: a click is at most {:.1} ms from its picture", worst * 1000.0);
        assert!(worst < 0.012, "{name}: {found:?} {wanted:?}");
    }
}

/// What `ffmpeg` measures: integrated loudness and the highest true peak.
fn measured(path: &Path) -> Option<(f64, f64)> {
    let out = Command::new("ffmpeg")
        .args(["-hide_banner", "-nostats", "-i"])
        .arg(path)
        .args(["-af", "ebur128=peak=true", "-f", "null", "-"])
        .output()
        .ok()?;
    let text = String::from_utf8_lossy(&out.stderr).into_owned();
    let summary = &text[text.rfind("Summary:")?..];
    let value = |key: &str| {
        let line = summary.lines().find(|l| l.trim_start().starts_with(key))?;
        line.split_whitespace().nth(1)?.parse().ok()
    };
    Some((value("I:")?, value("Peak:")?))
}

#[test]
fn all_footage_is_equally_loud() {
    let quiet = |t: f64| 0.004 * (t * 3000.0).sin() as f32;
    let loud = |t: f64| 0.6 * (t * 2500.0).sin() as f32;
    // Hardly anything but strikes, far above all else.
    let strikes = |t: f64| if t % 0.7 < 0.003 { 0.9 } else { 0.002 } * (t * 5000.0).sin() as f32;
    let bench =
        bench(&[("quiet.mp4", 48_000, quiet), ("loud.mp4", 32_000, loud), ("strikes.mp4", 48_000, strikes)]);
    for names in [&["quiet.mp4"][..], &["loud.mp4"], &["strikes.mp4"], &["quiet.mp4", "loud.mp4"]] {
        let lesson = lesson(names.iter().map(|n| part(clip(n, 1000, 7000))).collect());
        let plan = bench.plan(&lesson, (64, 48));
        let out = bench.render(&lesson, &plan, &format!("of-{}.mp4", names.join("-"))).unwrap();
        let Some((loudness, peak)) = measured(&out) else {
            println!("skipped: there is no ffmpeg");
            return;
        };
        println!("{names:?}: {loudness} LUFS, highest peak {peak} dBFS");
        assert!((loudness + 23.0).abs() <= 1.0, "{names:?}: {loudness}");
        assert!(peak <= -0.5, "{names:?}: {peak}");
    }
}

#[test]
fn footage_without_sound_makes_a_reel_without_sound_or_silence_between() {
    let silent = crate::film::Film::constant("25", 50);
    let mut bench = Bench::of(&[("silent.mp4", silent)]);
    let only = lesson(vec![part(clip("silent.mp4", 0, 1000))]);
    let out = bench.render(&only, &bench.plan(&only, (64, 48)), "silent-reel.mp4").unwrap();
    assert!(!changeover::video::probe(&out).unwrap().has_audio);
    write(&bench.path("a.mp4"), 48_000, clicks);
    bench.open("a.mp4");
    let mixed = lesson(vec![part(clip("silent.mp4", 0, 1000)), part(clip("a.mp4", 760, 1760))]);
    let out = bench.render(&mixed, &bench.plan(&mixed, (64, 48)), "mixed.mp4").unwrap();
    let sound = heard(&out, 2);
    assert!(sound[..SOUND_RATE as usize * 9 / 10].iter().all(|s| *s < 0.001));
    assert!((begins(&sound)[0] - 1.24).abs() < 0.012);
}
