//! Playing backwards, without sound.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use super::base::failed;
use super::desk::Desk;
use super::error::VideoError;
use super::frame::{Frame, Ring};
use super::scrub::Scrubber;
use crate::frames::{FootageFile, FrameIndex};

/// How many frames are decoded at a time, and how many bytes they may hold. Three such runs are there at once: one is shown,
/// one waits, one is being decoded.
const RUN: usize = 24;
const BYTES: usize = 128 << 20;

/// How late a frame may be before the rest is shown that much later. No frame is left out.
const LATE: Duration = Duration::from_millis(40);

/// How long a thread sleeps at most before it looks whether it is still wanted.
const NAP: Duration = Duration::from_millis(100);

/// Plays backwards from a frame until the epoch is over. Returns at once.
///
/// # Errors
/// [`VideoError::Pipeline`] when no thread can be started; what else goes wrong is told to the desk.
pub(super) fn start(
    media: &Arc<FootageFile>,
    desk: &Arc<Desk>,
    index: usize,
    speed: f64,
    epoch: u64,
) -> Result<(), VideoError> {
    let (give, take) = sync_channel(1);
    let spawn = |run: Box<dyn FnOnce() + Send>| {
        let thread = std::thread::Builder::new().name("backwards".to_owned()).spawn(run);
        thread.map(|_| ()).map_err(|e| failed("starting to play backwards", &e))
    };
    let (film, told) = (media.clone(), desk.clone());
    spawn(Box::new(move || {
        if let Err(e) = decode(&film, &told, index, epoch, &give)
            && told.still_plays(epoch)
        {
            told.fail(e);
        }
    }))?;
    let (frames, told) = (media.index.clone(), desk.clone());
    spawn(Box::new(move || show(&frames, &told, &take, (index, speed, epoch))))
}

/// Decodes run after run, the last first, and gives each with its last frame first.
fn decode(
    media: &FootageFile,
    desk: &Desk,
    from: usize,
    epoch: u64,
    give: &SyncSender<Vec<Frame>>,
) -> Result<(), VideoError> {
    let pixels = media.width as usize * media.height as usize;
    let run = (BYTES / (4 * pixels).max(1)).clamp(2, RUN);
    let mut scrub = Scrubber::with_ring(media, Arc::new(Mutex::new(Ring::of(2))))?;
    let mut end = Some(from);
    while let Some(last) = end {
        // No further back than the key frame: the run before ends there.
        let first = (last + 1).saturating_sub(run).max(media.index.key_before(last));
        let Some(mut frames) = scrub.run(first, last, &|| !desk.still_plays(epoch))? else { return Ok(()) };
        frames.reverse();
        if give.send(frames).is_err() {
            return Ok(());
        }
        end = first.checked_sub(1);
    }
    Ok(())
}

/// Shows each frame for its own time.
fn show(index: &FrameIndex, desk: &Desk, take: &Receiver<Vec<Frame>>, of: (usize, f64, u64)) {
    let (from, speed, epoch) = of;
    // When the end of which frame's time is reached: the same for all, unless the decoder is late.
    let mut clock: Option<(Instant, usize)> = None;
    for frame in take.iter().flatten() {
        let (since, begun) = *clock.get_or_insert_with(|| (Instant::now(), from));
        let back = index.gone(begun) - index.gone(frame.index.min(begun));
        let due = since + back.div_f64(speed);
        while Instant::now() < due {
            if !desk.still_plays(epoch) {
                return;
            }
            std::thread::sleep(NAP.min(due.saturating_duration_since(Instant::now())));
        }
        if due.elapsed() > LATE {
            clock = Some((Instant::now(), frame.index));
        }
        desk.deliver_played(frame, epoch);
    }
    // The first frame is shown for its time too.
    std::thread::sleep((index.gone(0) - index.time(0)).div_f64(speed).min(NAP));
    desk.ended(epoch);
}
