//! The end of a pipeline from which samples are pulled, and how such a pipeline is sought and stopped.
//!
//! A full sink waits for room while it holds its own lock. A pipeline whose start is still under way waits for that lock while
//! it holds the one that every seek and every change of state need. Who pulls and then seeks or stops would wait for ever; so
//! the sink takes more meanwhile.

use gst::prelude::*;

/// A sink that keeps no time. Its end comes when the last sample is in it: waiting for that to be pulled would hold the lock too.
pub(super) fn tap<'a>() -> gst_app::app_sink::AppSinkBuilder<'a> {
    gst_app::AppSink::builder().sync(false).wait_on_eos(false).enable_last_sample(false)
}

/// Does what needs the pipeline's lock.
pub(super) fn at_ease<T>(sink: &gst_app::AppSink, act: impl FnOnce() -> T) -> T {
    let most = sink.max_buffers();
    sink.set_max_buffers(0);
    let done = act();
    sink.set_max_buffers(most);
    done
}

/// Stops a pipeline for good.
pub(super) fn stop(pipeline: &gst::Pipeline, sink: &gst_app::AppSink) {
    let_go(sink);
    let _ = pipeline.set_state(gst::State::Null);
}

/// From now on the sink holds nothing up: what is in it is lost.
pub(super) fn let_go(sink: &gst_app::AppSink) {
    sink.set_wait_on_eos(false);
    sink.set_drop(true);
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;
    use std::thread::spawn;
    use std::time::Duration;

    use super::super::encode::{Container, EncodeSpec, Encoder};
    use super::super::probe::probe;
    use super::super::scrub::Scrubber;
    use crate::time::FrameRate;

    /// A small film is decoded so quickly that the sink is full while the pipeline still starts. By chance, and more often on a
    /// busy machine: without what is done here this hung in one of three runs.
    #[test]
    fn a_full_sink_holds_up_no_seek_and_no_stop() {
        const AT_ONCE: usize = 16;
        const TIMES: usize = 50;
        super::super::base::init().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let rate = FrameRate::new(30, 1).unwrap();
        let spec = EncodeSpec {
            path: folder.path().join("film.mp4"),
            width: 32,
            height: 32,
            container: Container::Mp4,
            rotation: 0,
            nominal_rate: Some(rate),
            audio: None,
            gop: Some(15),
            b_frames: 0,
        };
        let mut encoder = Encoder::start(&spec).unwrap();
        for i in 0..60 {
            encoder.video(vec![i as u8; 32 * 32 * 4], rate.time_of(i), rate.frame_length()).unwrap();
        }
        encoder.finish().unwrap();
        let media = probe(&spec.path).unwrap();
        let (done, came) = channel();
        // On a busy machine the start takes long.
        for _ in 0..AT_ONCE {
            let (media, done) = (media.clone(), done.clone());
            spawn(move || {
                for time in 0..TIMES {
                    let mut scrub = Scrubber::open(&media).unwrap();
                    for frame in [0, 40, 59, 3].into_iter().take(time % 5) {
                        assert_eq!(scrub.frame(frame, &|| false).unwrap().unwrap().index, frame);
                    }
                    drop(scrub);
                    done.send(()).unwrap();
                }
            });
        }
        for time in 0..AT_ONCE * TIMES {
            assert!(
                came.recv_timeout(Duration::from_secs(20)).is_ok(),
                "{time} came to their end, the next hangs"
            );
        }
    }
}
