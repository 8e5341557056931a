//! The first frame, decoded while a file is still being read, and its decoder, kept for the player that comes next.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;

use super::error::VideoError;
use super::frame::{Frame, Ring};
use super::scrub::Scrubber;
use super::table::Listed;
use crate::frames::{FootageFile, FrameIndex};

/// The decoder of the file that was opened last, until a player takes it or another file is opened.
static SPARE: Mutex<Option<Scrubber>> = Mutex::new(None);

/// Decodes the first frame and keeps the decoder.
///
/// # Errors
/// What keeps the frame from being decoded.
pub(super) fn first_frame(media: &FootageFile) -> Result<Frame, VideoError> {
    let (scrub, frame) = decode(media)?;
    keep(scrub);
    Ok(frame)
}

/// The decoder that is kept, if it reads this footage, for a player with this ring.
pub(super) fn taken(media: &FootageFile, ring: &Arc<Mutex<Ring>>) -> Option<Scrubber> {
    let spare = SPARE.lock().unwrap_or_else(PoisonError::into_inner).take();
    spare.and_then(|s| s.handed_over(media, ring))
}

fn keep(scrub: Scrubber) {
    // The one before is stopped without the lock.
    let before = SPARE.lock().unwrap_or_else(PoisonError::into_inner).replace(scrub);
    drop(before);
}

fn decode(media: &FootageFile) -> Result<(Scrubber, Frame), VideoError> {
    let mut scrub = Scrubber::open(media)?;
    let broken = || VideoError::Broken {
        path: media.path.clone(),
        reason: "no frame came out of the decoder".to_owned(),
    };
    let frame = scrub.frame(0, &|| false)?.ok_or_else(broken)?;
    Ok((scrub, frame))
}

/// The first frame by a file's own list, while that is still being held against the file.
pub(super) struct Early {
    index: Arc<FrameIndex>,
    thread: JoinHandle<Result<(Scrubber, Frame), VideoError>>,
}

impl Early {
    /// Starts to decode; `None` where the list begins with what cannot be decoded, or no thread can be started.
    pub(super) fn start(path: &Path, listed: &Listed) -> Option<Self> {
        let index = Arc::new(listed.index().filter(|i| i.is_key(0))?);
        let media = FootageFile {
            path: path.to_path_buf(),
            width: 0,
            height: 0,
            duration: index.end(),
            rate: None,
            rotation: 0,
            has_audio: false,
            index: index.clone(),
            warnings: Vec::new(),
            stream: None,
            transparent: false,
            resized: None,
            stored: None,
        };
        let thread = std::thread::Builder::new().name("first frame".to_owned()).spawn(move || decode(&media));
        thread.ok().map(|thread| Self { index, thread })
    }

    /// The frame and the index it was decoded by, if that is the footage's; its decoder is kept.
    pub(super) fn finish(self, index: &FrameIndex) -> Option<(Frame, Arc<FrameIndex>)> {
        if *self.index != *index {
            return None;
        }
        let (scrub, frame) = self.thread.join().ok()?.ok()?;
        keep(scrub);
        Some((frame, self.index))
    }
}

#[cfg(test)]
mod tests {
    use super::super::base::init;
    use super::super::encode::{Container, EncodeSpec, Encoder};
    use super::super::probe::probe;
    use super::super::table::listed;
    use super::*;
    use crate::time::FrameRate;

    #[test]
    fn a_decoder_goes_over_with_its_first_frame_to_the_footage_it_reads() {
        init().unwrap();
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("film.mp4");
        let rate = FrameRate::new(30, 1).unwrap();
        let spec = EncodeSpec {
            path: path.clone(),
            width: 64,
            height: 48,
            container: Container::Mp4,
            rotation: 0,
            nominal_rate: Some(rate),
            audio: None,
            gop: Some(15),
            b_frames: 2,
        };
        let mut encoder = Encoder::start(&spec).unwrap();
        for i in 0..30 {
            encoder.video(vec![i as u8; 64 * 48 * 4], rate.time_of(i), rate.frame_length()).unwrap();
        }
        encoder.finish().unwrap();
        let media = probe(&path).unwrap();
        let list = listed(&mut std::fs::File::open(&path).unwrap()).unwrap().unwrap();
        let early = Early::start(&path, &list).unwrap();
        assert_eq!(*early.index, *media.index, "the list is that of the file");
        let (scrub, frame) = early.thread.join().unwrap().unwrap();
        assert_eq!((frame.index, frame.display_size()), (0, (64, 48)));
        let ring = Arc::default();
        assert!(scrub.handed_over(&media, &ring).is_none(), "the index is equal, but of another opening");
        let (scrub, _) = decode(&media).unwrap();
        let mut scrub = scrub.handed_over(&media, &ring).unwrap();
        assert_eq!(ring.lock().unwrap().get(0).unwrap().index, 0);
        assert_eq!(scrub.frame(17, &|| false).unwrap().unwrap().index, 17);
        // A key frame that was shown alone is no end for what is asked for later.
        assert_eq!(scrub.glance(16).unwrap().unwrap().index, 15);
        assert_eq!(scrub.frame(29, &|| false).unwrap().unwrap().index, 29);
    }
}
