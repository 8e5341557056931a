//! What the pads of a file's demuxer carry, and where they begin.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use gst::prelude::*;

use crate::time::MatchTime;

/// Whether these are pictures that move: video, or JPEG pictures with a rate.
pub(super) fn is_moving_picture(caps: &gst::CapsRef) -> bool {
    caps.structure(0).is_some_and(|s| {
        let rate = s.get::<gst::Fraction>("framerate").is_ok_and(|r| r.numer() > 0);
        s.name().starts_with("video/") || (s.name().starts_with("image/") && rate)
    })
}

/// The part of a stream's id that is the same whichever element reads the file.
pub(super) fn stream_name(id: &str) -> String {
    id.rsplit('/').next().unwrap_or(id).to_owned()
}

/// A new end for a stream nobody wants.
pub(super) fn waste(pipeline: &gst::Pipeline) -> Option<gst::Pad> {
    let sink = gst::ElementFactory::make("fakesink")
        .property("sync", false)
        .property("async", false)
        .build()
        .ok()?;
    pipeline.add(&sink).ok()?;
    sink.sync_state_with_parent().ok()?;
    sink.static_pad("sink")
}

/// The stream time of a buffer that is on its way through a pad, in nanoseconds; negative before the start.
pub(super) fn stream_time(pad: &gst::Pad, buffer: &gst::BufferRef) -> Option<i128> {
    Some(match segment(pad)?.to_stream_time_full(buffer.pts()?)? {
        gst::Signed::Positive(t) => i128::from(t.nseconds()),
        gst::Signed::Negative(t) => -i128::from(t.nseconds()),
    })
}

fn segment(pad: &gst::Pad) -> Option<gst::FormattedSegment<gst::ClockTime>> {
    let event = pad.sticky_event::<gst::event::Segment>(0)?;
    event.segment().downcast_ref::<gst::ClockTime>().cloned()
}

/// A time on a pad as one of the file's own clock; `None` before its start.
pub(super) fn time_in_stream(pad: &gst::Pad, t: gst::ClockTime) -> Option<MatchTime> {
    match segment(pad)?.to_stream_time_full(t)? {
        gst::Signed::Positive(t) => Some(MatchTime::from_nanos(t.nseconds())),
        gst::Signed::Negative(_) => None,
    }
}

/// A time of the file's own clock as one on a pad, also before its segment begins, where GStreamer knows none.
pub(super) fn position(pad: &gst::Pad, t: MatchTime) -> Option<gst::ClockTime> {
    let segment = segment(pad)?;
    let (start, time) = (segment.start()?.nseconds(), segment.time()?.nseconds());
    (start + t.nanos()).checked_sub(time).map(gst::ClockTime::from_nseconds)
}

/// The stream time of a sample that came out of a sink; none before the start.
pub(super) fn sample_time(sample: &gst::Sample) -> Option<MatchTime> {
    let segment = sample.segment()?.downcast_ref::<gst::ClockTime>()?;
    Some(MatchTime::from_nanos(segment.to_stream_time(sample.buffer()?.pts()?)?.nseconds()))
}

/// Where the footage in a transport stream begins on the clock of GStreamer.
///
/// That clock is 0 at the stream's first clock reference, most of a second before the first picture or sound. Other
/// players count from the first picture or sound, and so does everything that is written in a record or exported.
#[derive(Debug, Clone)]
pub(super) struct Start(Arc<AtomicU64>);

impl Start {
    /// Watches a pipeline that is not started yet.
    pub(super) fn of(pipeline: &gst::Pipeline) -> Self {
        let earliest = Arc::new(AtomicU64::new(u64::MAX));
        let start = Self(earliest.clone());
        pipeline.connect_deep_element_added(move |_, _, element| {
            if element.factory().is_some_and(|f| f.name() == "tsdemux") {
                let earliest = earliest.clone();
                element.connect_pad_added(move |_, pad| watch(pad, &earliest));
            }
        });
        start
    }

    /// How long after 0 the footage begins; nothing for any other file, and before a stream has been read.
    pub(super) fn get(&self) -> Duration {
        match self.0.load(Ordering::SeqCst) {
            u64::MAX => Duration::ZERO,
            nanos => Duration::from_nanos(nanos),
        }
    }
}

/// Notes the time of the first buffer of a pad.
fn watch(pad: &gst::Pad, earliest: &Arc<AtomicU64>) {
    let earliest = earliest.clone();
    pad.add_probe(gst::PadProbeType::BUFFER, move |pad, info| {
        let Some(t) = info.buffer().and_then(|b| stream_time(pad, b)) else { return gst::PadProbeReturn::Ok };
        earliest.fetch_min(u64::try_from(t).unwrap_or(0), Ordering::SeqCst);
        gst::PadProbeReturn::Remove
    });
}
