//! Drives the player for `benches/against-mpv.py`: `seek FOOTAGE STEPS SECONDS…`.
//!
//! Prints `first frame` as soon as there is one, then one line of JSON: for each kind of wish, the milliseconds from
//! the wish to the frame.

use std::error::Error;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};

use changeover::time::MatchTime;
use changeover::video::{Events, Player, PlayerEvent, probe};

type Answer<T> = Result<T, Box<dyn Error>>;

fn main() -> Answer<()> {
    // `cargo bench` itself passes `--bench`: with no footage there is nothing to do.
    let mut words = std::env::args().skip(1).filter(|word| word != "--bench");
    let Some(footage) = words.next() else {
        println!("run benches/against-mpv.py FOOTAGE");
        return Ok(());
    };
    let steps: usize = words.next().ok_or("how many steps?")?.parse()?;
    let media = Arc::new(probe(Path::new(&footage))?);
    let (player, events) = Player::open(media.clone())?;
    wait_for(&events, 0)?;
    println!("first frame");
    std::io::stdout().flush()?;

    let mut seeks = Vec::new();
    for word in words {
        let seconds: f64 = word.parse()?;
        let frame = media.index.at(MatchTime::from_nanos((seconds * 1e9) as u64));
        seeks.push(timed(&events, frame, || player.seek_frame(frame))?);
    }
    let mut from = media.index.len() / 2;
    timed(&events, from, || player.seek_frame(from))?;
    let (mut forward, mut back) = (Vec::new(), Vec::new());
    for (way, spent) in [(1, &mut forward), (-1, &mut back)] {
        for _ in 0..steps {
            // A hand on a key, as in the other program's turn.
            sleep(Duration::from_millis(50));
            from = from.saturating_add_signed(way);
            spent.push(timed(&events, from, || player.step(way as i64))?);
        }
    }
    // From places with nothing kept around them: the frames before have to be decoded.
    let mut afar = Vec::new();
    for number in 1..=steps.min(20) {
        let from = media.index.len() * number / (steps.min(20) + 1);
        timed(&events, from, || player.seek_frame(from))?;
        sleep(Duration::from_millis(50));
        afar.push(timed(&events, from - 1, || player.step(-1))?);
    }
    let all = serde_json::json!({
        "exact seek": seeks, "frame forward": forward, "frame back, kept": back, "frame back, not kept": afar
    });
    println!("{all}");
    Ok(())
}

/// Milliseconds from a wish to its frame.
fn timed(events: &Events, frame: usize, wish: impl FnOnce()) -> Answer<f64> {
    let begun = Instant::now();
    wish();
    wait_for(events, frame)?;
    Ok(begun.elapsed().as_secs_f64() * 1000.0)
}

fn wait_for(events: &Events, frame: usize) -> Answer<()> {
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(20) {
        match events.try_recv() {
            Ok(PlayerEvent::Frame(shown)) if shown.index == frame => return Ok(()),
            Ok(PlayerEvent::Error(e)) => return Err(e.into()),
            Ok(_) => {}
            Err(_) => sleep(Duration::from_micros(50)),
        }
    }
    Err(format!("frame {frame} did not come in 20 s").into())
}
