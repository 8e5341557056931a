//! The thread that decodes ahead, with a decoder of its own, while nothing else is asked for.

use std::sync::{Arc, Mutex};

use super::base::failed;
use super::desk::Desk;
use super::error::VideoError;
use super::frame::Ring;
use super::scrub::Scrubber;
use crate::frames::FootageFile;

/// Frames that the decoder itself may keep: none but the one it is at and the one before.
const KEPT: usize = 2;

/// Starts the thread. It ends with the desk's work.
///
/// # Errors
/// [`VideoError::Pipeline`] when no thread can be started.
pub(super) fn start(media: Arc<FootageFile>, desk: Arc<Desk>) -> Result<(), VideoError> {
    let run = move || {
        let mut scrub = None;
        while let Some(index) = desk.errand() {
            let frame = opened(&mut scrub, &media, &desk)
                .and_then(|scrub| scrub.frame(index, &|| !desk.is_errand(index)));
            match frame {
                Ok(frame) => desk.done_errand(index, frame),
                // What is wrong will be told when the frame is asked for.
                Err(_) => desk.give_up_errands(),
            }
        }
    };
    let thread = std::thread::Builder::new().name("ahead".to_owned()).spawn(run);
    thread.map(|_| ()).map_err(|e| failed("starting the thread that decodes ahead", &e))
}

fn opened<'a>(
    scrub: &'a mut Option<Scrubber>,
    media: &FootageFile,
    desk: &Desk,
) -> Result<&'a mut Scrubber, VideoError> {
    match scrub {
        Some(scrub) => Ok(scrub),
        none => {
            let ring = Arc::new(Mutex::new(Ring::of(KEPT)));
            let opened = none.insert(Scrubber::with_ring(media, ring)?);
            opened.give_way(desk.busy());
            Ok(opened)
        }
    }
}
