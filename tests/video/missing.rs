//! A machine that lacks something: another process, in which GStreamer is told not to use it.

use std::path::Path;
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use changeover::video::{Container, PlayerEvent};

use crate::film::{Film, Screen, made};

/// Every H.264 decoder that Debian's GStreamer may have.
const H264: &str = "avdec_h264:NONE,openh264dec:NONE,vah264dec:NONE,vaapih264dec:NONE,v4l2h264dec:NONE,\
                    v4l2slh264dec:NONE,nvh264dec:NONE,nvh264sldec:NONE";
const AAC: &str = "avdec_aac:NONE,avdec_aac_fixed:NONE,avdec_aac_latm:NONE,faad:NONE,fdkaacdec:NONE";
const DEVICES: &str = "pulsesink:NONE,pipewiresink:NONE,alsasink:NONE,jackaudiosink:NONE,openalsink:NONE,osssink:NONE,\
                       oss4sink:NONE";

/// What `changeover footage` says of a film on a machine without these elements.
fn footage(path: &Path, without: &str) -> (Option<i32>, String) {
    let since = Instant::now();
    let out = Command::new(assert_cmd::cargo::cargo_bin!("changeover"))
        .arg("footage")
        .arg(path)
        .env("GST_PLUGIN_FEATURE_RANK", without)
        .output()
        .unwrap();
    assert!(since.elapsed() < Duration::from_secs(5), "{:?}", since.elapsed());
    let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
    (out.status.code(), text(&out.stdout) + &text(&out.stderr))
}

#[test]
fn a_missing_decoder_is_named_with_its_package() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("film.mp4");
    Film { sound: true, ..Film::constant("30", 30) }.write(&film);
    let (code, said) = footage(&film, "");
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("320 × 180, 30 frames per second, 30 frames until 00:00:01.000, with sound"),
        "{said}"
    );
    let (code, said) = footage(&film, H264);
    assert_eq!(code, Some(1), "{said}");
    for word in ["film.mp4: no H.264", "decoder is installed", "install the package gstreamer1.0-libav"] {
        assert!(said.contains(word), "{said}");
    }
}

#[test]
fn a_missing_demuxer_is_named_with_its_package() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("film.webm");
    Film { container: Container::WebM, ..Film::constant("30", 30) }.write(&film);
    let (code, said) = footage(&film, "matroskademux:NONE");
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("demuxer is installed; install the package gstreamer1.0-plugins-good"), "{said}");
}

/// Runs one of the tests below in a process of its own.
fn elsewhere(test: &str, without: &str) -> Output {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", &format!("missing::{test}"), "--ignored", "--nocapture"])
        .env("GST_PLUGIN_FEATURE_RANK", without)
        .output()
        .unwrap()
}

#[test]
fn without_sound_a_film_plays_and_says_why() {
    for (test, without) in [("a_film_without_device", DEVICES), ("a_film_without_decoder", AAC)] {
        let out = elsewhere(test, without);
        let text = String::from_utf8_lossy(&out.stdout);
        assert!(out.status.success() && text.contains("1 passed"), "{test}: {text}");
    }
}

#[test]
#[ignore = "run by without_sound_a_film_plays_and_says_why"]
fn a_film_without_device() {
    plays_without_sound("No sound device works on this computer");
}

#[test]
#[ignore = "run by without_sound_a_film_plays_and_says_why"]
fn a_film_without_decoder() {
    plays_without_sound("AAC decoder is installed; install the package gstreamer1.0-libav");
}

fn plays_without_sound(why: &str) {
    let film = made(&Film { sound: true, ..Film::constant("30", 45) });
    let mut s = Screen::open(&film);
    s.wait_for(0);
    s.player.play();
    s.wait_until("the end", |s| s.others.iter().any(|e| matches!(e, PlayerEvent::Ended)));
    assert_eq!(s.shown, Some(44));
    let warned = |e: &PlayerEvent| matches!(e, PlayerEvent::Warning(w) if w.contains(why));
    assert_eq!(s.others.iter().filter(|e| warned(e)).count(), 1, "{:?}", s.others);
}
