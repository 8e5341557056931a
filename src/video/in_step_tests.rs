//! Sound and pictures stay in step: a film that flashes and beeps at once, played as the window plays it, with a sink that
//! listens in the place of a loudspeaker.

use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::base::init;
use super::desk::{Desk, Events, TICK};
use super::encode::{AudioSpec, Container, EncodeSpec, Encoder};
use super::play::Play;
use super::probe::probe;
use super::sound::Speaker;
use super::state::{Job, PlayerEvent};
use crate::frames::FootageFile;
use crate::time::{FrameRate, MatchTime, Span};

const RATE: u32 = 48_000;
/// Every so many frames one is white, and there it beeps for a tenth of a second.
const APART: u64 = 30;
const SECONDS: u64 = 12;

fn film(folder: &std::path::Path) -> Arc<FootageFile> {
    let path = folder.join("clicks.mp4");
    let rate = FrameRate::new(30, 1).unwrap();
    let spec = EncodeSpec {
        path: path.clone(),
        width: 64,
        height: 48,
        container: Container::Mp4,
        rotation: 0,
        nominal_rate: Some(rate),
        audio: Some(AudioSpec { rate: RATE, channels: 1 }),
        gop: Some(45),
        b_frames: 2,
    };
    let mut encoder = Encoder::start(&spec).unwrap();
    for i in 0..30 * SECONDS {
        let level = if i % APART == APART / 2 { 235 } else { 16 };
        encoder.video(vec![level; 64 * 48 * 4], rate.time_of(i), rate.frame_length()).unwrap();
        let first = i * u64::from(RATE) / 30;
        let beeps = i % APART >= APART / 2 && i % APART < APART / 2 + 3;
        let sample = |n: u64| if beeps { 0.8 * (n as f32 * 0.3).sin() } else { 0.0 };
        let samples = (first..first + u64::from(RATE) / 30).map(sample).collect();
        encoder.audio(samples, rate.time_of(i)).unwrap();
    }
    encoder.finish().unwrap();
    Arc::new(probe(&path).unwrap())
}

/// What is heard: the pipeline's time at which each beep begins.
#[derive(Clone, Default)]
struct Heard {
    beeps: Arc<Mutex<Vec<gst::ClockTime>>>,
    /// When the last loud sample was.
    loud: Arc<Mutex<Option<gst::ClockTime>>>,
}

impl Heard {
    fn listen(&self, sample: &gst::Sample) {
        let (Some(buffer), Some(segment)) = (sample.buffer(), sample.segment()) else { return };
        let Some(segment) = segment.downcast_ref::<gst::ClockTime>() else { return };
        let Some(begin) = segment.to_running_time(buffer.pts()) else { return };
        let map = buffer.map_readable().unwrap();
        let mut loud = self.loud.lock().unwrap();
        for (n, bytes) in map.chunks_exact(4).enumerate() {
            if f32::from_le_bytes(bytes.try_into().unwrap()).abs() > 0.2 {
                let at = begin + gst::ClockTime::from_nseconds(n as u64 * 1_000_000_000 / u64::from(RATE));
                if loud.is_none_or(|before| at > before + gst::ClockTime::from_mseconds(150)) {
                    self.beeps.lock().unwrap().push(at);
                }
                *loud = Some(at);
            }
        }
    }

    fn forget(&self) {
        self.beeps.lock().unwrap().clear();
        *self.loud.lock().unwrap() = None;
    }

    /// A loudspeaker's place in a playing pipeline.
    fn speaker(&self) -> Speaker {
        let heard = self.clone();
        Box::new(move || {
            let caps = gst::Caps::builder("audio/x-raw")
                .field("format", "F32LE")
                .field("rate", RATE as i32)
                .field("channels", 1);
            let sink = gst_app::AppSink::builder().sync(true).caps(&caps.build()).build();
            let heard = heard.clone();
            sink.set_callbacks(
                gst_app::AppSinkCallbacks::builder()
                    .new_sample(move |sink| {
                        heard.listen(&sink.pull_sample().map_err(|_| gst::FlowError::Eos)?);
                        Ok(gst::FlowSuccess::Ok)
                    })
                    .build(),
            );
            Some(sink.upcast())
        })
    }
}

/// The window and the player's worker in one.
struct Stage {
    desk: Arc<Desk>,
    events: Events,
    play: Play,
    heard: Heard,
    /// The pipeline's time at which each white frame was handed out since the last start.
    flashes: Vec<gst::ClockTime>,
    /// How late each frame was handed out, in milliseconds of the pipeline's time.
    late: Vec<f64>,
    from: Option<(MatchTime, f64)>,
}

impl Stage {
    fn open(media: &Arc<FootageFile>) -> Self {
        let (desk, events) = Desk::new(media.clone());
        let heard = Heard::default();
        let play = Play::with_sound(media, &desk, &desk.ring(), Some(heard.speaker())).unwrap();
        Self { desk, events, play, heard, flashes: Vec::new(), late: Vec::new(), from: None }
    }

    fn now(&self) -> gst::ClockTime {
        self.play.running_time().unwrap_or_default()
    }

    /// Does what is asked, and takes frames, for a time.
    fn run(&mut self, media: &FootageFile, time: Duration) {
        let until = Instant::now() + time;
        while Instant::now() < until {
            while let Ok(event) = self.events.try_recv() {
                let PlayerEvent::Frame(frame) = event else { continue };
                let now = self.now();
                if frame.pixels.as_ref()[4 * (20 * 64 + 20)] > 128 {
                    self.flashes.push(now);
                }
                if let Some((start, speed)) = self.from {
                    let due = (frame.time - start).as_secs_f64() / speed;
                    self.late.push((now.nseconds() as f64 / 1e9 - due) * 1000.0);
                }
            }
            match self.desk.job(Some(TICK / 10)) {
                Job::Start { index, epoch, speed, .. } => {
                    self.play.halt().unwrap();
                    self.heard.forget();
                    (self.flashes, self.late) = (Vec::new(), Vec::new());
                    self.play.start(index, speed, epoch, &|| true).unwrap();
                    self.from = Some((media.index.time(index), speed));
                }
                Job::Halt => self.play.halt().unwrap(),
                _ => {}
            }
        }
    }

    /// How much later each beep is heard than its flash is seen, in milliseconds.
    fn apart(&self, speed: f64) -> Vec<f64> {
        let beeps = self.heard.beeps.lock().unwrap();
        let ms = |t: &gst::ClockTime| t.nseconds() as f64 / 1e6;
        let near = |flash: &gst::ClockTime| {
            let apart = beeps.iter().map(|b| ms(b) - ms(flash)).min_by(|a, b| a.abs().total_cmp(&b.abs()));
            apart.filter(|a| a.abs() < 400.0 / speed.max(1.0))
        };
        self.flashes.iter().filter_map(near).collect()
    }
}

fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn check(stage: &Stage, what: &str, speed: f64) {
    let (apart, late) = (stage.apart(speed), middle(stage.late.clone()));
    println!("{what}: sound after picture by {apart:.1?} ms, frames late by {late:.1} ms (median)");
    assert!(apart.len() >= 2, "{what}: too few flashes with a beep: {apart:?}");
    // Sound may come 45 ms before its picture and 125 ms after it before anyone notices (ITU-R BT.1359). A slowed sound is
    // cut in pieces of 30 ms.
    let apart = middle(apart);
    assert!((-45.0..=60.0).contains(&apart), "{what}: the sound comes {apart} ms after its picture");
    // The time shown is that of the frame, at any speed.
    assert!(late.abs() < 40.0, "{what}: frames are handed out {late} ms late");
}

#[test]
fn sound_and_pictures_stay_in_step() {
    init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let media = film(folder.path());
    let mut stage = Stage::open(&media);
    for speed in [1.0, 0.5, 2.0] {
        stage.desk.set_speed(speed);
        stage.desk.seek(0);
        stage.desk.play(false);
        stage.run(&media, Duration::from_secs_f64(3.4 / speed));
        check(&stage, &format!("at speed {speed}"), speed);
        stage.desk.seek(200);
        stage.run(&media, Duration::from_secs_f64(3.4 / speed));
        check(&stage, &format!("at speed {speed} after a seek"), speed);
        stage.desk.pause();
        stage.run(&media, Duration::from_millis(50));
    }
    stage.desk.set_speed(1.0);
    let span = Span::new(MatchTime::from_millis(4_200), MatchTime::from_millis(6_800)).unwrap();
    stage.desk.set_loop(Some(span));
    stage.desk.play(false);
    // Once round, and most of the second time.
    stage.run(&media, Duration::from_millis(2_600 + 2_500));
    check(&stage, "after a loop", 1.0);
}

#[test]
fn the_sound_device_is_taken_only_while_something_plays() {
    init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let media = film(folder.path());
    let mut stage = Stage::open(&media);
    let beeps = |stage: &Stage| stage.heard.beeps.lock().unwrap().len();
    for round in 0..3 {
        stage.run(&media, Duration::from_millis(300));
        assert_eq!((stage.play.rests(), beeps(&stage)), (true, 0), "it waits, round {round}");
        stage.desk.seek(0);
        stage.desk.play(false);
        stage.run(&media, Duration::from_millis(2_400));
        assert!(!stage.play.rests() && beeps(&stage) > 0, "it plays, round {round}");
        stage.desk.pause();
        stage.run(&media, Duration::from_millis(50));
        stage.heard.forget();
        stage.play.make_ready(100, 1.0).unwrap();
    }
}
