//! Drives the player for `benches/against-mpv.py`: `seek FOOTAGE STEPS SECONDS…`.
//!
//! With 0 steps only the seconds are gone to, and without these a slider is dragged only. Prints `first frame` as soon as there is one, then one line of JSON: for each kind of wish, the milliseconds from
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
    if steps == 0 && seeks.is_empty() {
        let (near, rested) = drags(&player, &events, media.index.len())?;
        println!(
            "{}",
            serde_json::json!({
                "something near while dragged": near, "the frame after the hand rests (60 ms)": rested
            })
        );
        return Ok(());
    }
    if steps == 0 {
        println!("{}", serde_json::json!({ "exact seek": seeks }));
        return Ok(());
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
    let (jumps, at_once) = jumps(&player, &events, media.index.len())?;
    let (near, rested) = drags(&player, &events, media.index.len())?;
    let all = serde_json::json!({
        "exact seek": seeks, "frame forward": forward, "frame back, kept": back, "frame back, not kept": afar,
        "jump to an expected frame": jumps, "playing on from such a jump": at_once,
        "something near while dragged": near, "the frame after the hand rests (60 ms)": rested
    });
    println!("{all}");
    Ok(())
}

const JUMPS: usize = 200;
const DRAGS: usize = 100;

/// From point to point as keys do, when the next and the previous one are decoded ahead; every tenth time playing goes on, and the
/// second list says when the frame after the jump's came.
fn jumps(player: &Player, events: &Events, frames: usize) -> Answer<(Vec<f64>, Vec<f64>)> {
    let points: Vec<usize> = (1..=40).map(|i| frames * i / 42 + i * 7 % 23).collect();
    let (mut here, mut shown, mut played) = (0, Vec::new(), Vec::new());
    for jump in 0..JUMPS {
        let (next, previous) = ((here + 1) % points.len(), (here + points.len() - 1) % points.len());
        player.expect(&[points[next], points[previous], points[here]]);
        let begun = Instant::now();
        while !player.is_ready() && begun.elapsed() < Duration::from_secs(20) {
            sleep(Duration::from_millis(1));
        }
        here = if jump * 7 % 10 < 7 { next } else { previous };
        shown.push(timed(events, points[here], || player.seek_frame(points[here]))?);
        if jump % 10 == 9 {
            // On a busy machine the very next frame may be left out.
            let begun = Instant::now();
            player.play();
            wait(events, |frame| frame > points[here])?;
            played.push(begun.elapsed().as_secs_f64() * 1000.0);
            player.pause();
        }
    }
    player.expect(&[]);
    Ok((shown, played))
}

/// A slider that is dragged, with a hand that rests at every tenth place.
fn drags(player: &Player, events: &Events, frames: usize) -> Answer<(Vec<f64>, Vec<f64>)> {
    let (mut near, mut rested) = (Vec::new(), Vec::new());
    // Nobody has a hand on it while the film opens.
    sleep(Duration::from_secs(1));
    for drag in 0..DRAGS {
        let to = frames * (drag * 37 % DRAGS) / DRAGS + drag % 11;
        let begun = Instant::now();
        player.drag(to);
        let shown = wait(events, |_| true)?;
        near.push(begun.elapsed().as_secs_f64() * 1000.0);
        if drag % 10 == 9 {
            if shown != to {
                wait_for(events, to)?;
            }
            rested.push(begun.elapsed().as_secs_f64() * 1000.0);
        } else {
            sleep(Duration::from_millis(30));
        }
    }
    Ok((near, rested))
}

/// Milliseconds from a wish to its frame.
fn timed(events: &Events, frame: usize, wish: impl FnOnce()) -> Answer<f64> {
    let begun = Instant::now();
    wish();
    wait_for(events, frame)?;
    Ok(begun.elapsed().as_secs_f64() * 1000.0)
}

fn wait_for(events: &Events, frame: usize) -> Answer<()> {
    wait(events, |shown| shown == frame).map(|_| ()).map_err(|e| format!("frame {frame}: {e}").into())
}

/// The first frame that is wanted. The thread sleeps until the player wakes it, as the other program's does.
fn wait(events: &Events, wanted: impl Fn(usize) -> bool) -> Answer<usize> {
    let found = async {
        loop {
            match events.recv().await {
                Ok(PlayerEvent::Frame(shown)) if wanted(shown.index) => return Ok(shown.index),
                Ok(PlayerEvent::Error(e)) => return Err(e.to_string()),
                Ok(_) => {}
                Err(e) => return Err(e.to_string()),
            }
        }
    };
    let waited = gst::glib::future_with_timeout(Duration::from_secs(20), found);
    let found = gst::glib::MainContext::default().block_on(waited);
    Ok(found.map_err(|_| "no frame came in 20 s")??)
}
