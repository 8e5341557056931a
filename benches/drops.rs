//! How many frames are not shown in time: the player against GStreamer alone, in one run. `drops SECONDS FOOTAGE…`.
//!
//! GStreamer alone decodes, makes the pixels that a screen takes, and shows each frame for its time. Rounds alternate.

use std::error::Error;
use std::path::Path;
use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};

use changeover::video::{Player, PlayerEvent, probe};
use gst::prelude::*;

type Answer<T> = Result<T, Box<dyn Error>>;

const ROUNDS: usize = 3;

/// A frame that comes later than this was not shown in its time: as long as GStreamer's own screens wait.
const LATE: Duration = Duration::from_millis(20);

fn main() -> Answer<()> {
    // `cargo bench` itself passes `--bench`: with no footage there is nothing to do.
    let mut words = std::env::args().skip(1).filter(|word| word != "--bench");
    let Some(seconds) = words.next() else {
        println!("run drops SECONDS FOOTAGE…");
        return Ok(());
    };
    let time = Duration::from_secs_f64(seconds.parse()?);
    println!("| | frames | GStreamer alone: dropped | Changeover: late or left out |\n|---|---|---|---|");
    for footage in words {
        let (mut frames, mut theirs, mut ours) = (0, 0, 0);
        for _ in 0..ROUNDS {
            theirs += alone(&footage, time)?;
            let (shown, missed) = played(&footage, time)?;
            (frames, ours) = (frames + shown + missed, ours + missed);
        }
        println!("| {footage} | {frames} | {theirs} | {ours} |");
    }
    Ok(())
}

/// How many frames GStreamer alone drops.
fn alone(footage: &str, time: Duration) -> Answer<u64> {
    gst::init()?;
    let line = "filesrc name=file ! decodebin ! queue max-size-buffers=3 max-size-bytes=0 max-size-time=0 ! \
                videoconvert n-threads=2 ! video/x-raw,format=BGRA ! \
                fakesink name=sink sync=true qos=true max-lateness=20000000";
    let pipeline = gst::parse::launch(line)?.downcast::<gst::Pipeline>().map_err(|_| "no pipeline")?;
    pipeline.by_name("file").ok_or("no file")?.set_property("location", footage);
    let sink = pipeline.by_name("sink").ok_or("no sink")?;
    pipeline.set_state(gst::State::Paused)?;
    pipeline.state(gst::ClockTime::from_seconds(20)).0?;
    pipeline.set_state(gst::State::Playing)?;
    sleep(time);
    let stats = sink.property::<gst::Structure>("stats");
    pipeline.set_state(gst::State::Null)?;
    Ok(stats.get("dropped")?)
}

/// How many frames the player shows in their time, and how many it leaves out or shows late.
fn played(footage: &str, time: Duration) -> Answer<(u64, u64)> {
    let media = Arc::new(probe(Path::new(footage))?);
    let (player, events) = Player::open(media.clone())?;
    sleep(Duration::from_secs(1));
    while events.try_recv().is_ok() {}
    player.play();
    let (mut first, mut last, mut missed, mut shown) = (None, None, 0, 0);
    let mut begun = Instant::now();
    while begun.elapsed() < time {
        let Ok(event) = events.try_recv() else {
            sleep(Duration::from_micros(200));
            continue;
        };
        let frame = match event {
            PlayerEvent::Frame(frame) => frame,
            PlayerEvent::Error(e) => return Err(e.into()),
            PlayerEvent::Ended => break,
            _ => continue,
        };
        // Time runs from the first frame that moves.
        if first.is_none() {
            (first, begun) = (Some(frame.time), Instant::now());
        }
        let left_out = last.map_or(0, |before: usize| frame.index.saturating_sub(before + 1)) as u64;
        let due = frame.time - first.unwrap_or_default();
        let late = begun.elapsed().saturating_sub(due) > LATE;
        missed += left_out + u64::from(late);
        shown += u64::from(!late);
        last = Some(frame.index);
    }
    Ok((shown, missed))
}
