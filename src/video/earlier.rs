//! Some demuxers begin too late after a seek. They are sent to an earlier place, and what comes before the place that was meant is
//! cut off behind them.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use gst::prelude::*;

use crate::frames::FootageFile;
use crate::time::MatchTime;

/// The demuxer of program streams goes by when bytes are read, which may be a second before their pictures are shown (ISO/IEC 13818-1,
/// 2.4.2.6: no byte stays in the decoder's buffer for longer).
const PROGRAM_STREAM: Duration = Duration::from_millis(1500);

/// How a pipeline's demuxer is sent to an earlier place.
#[derive(Debug, Default)]
pub(super) struct Earlier {
    /// By how much it has to begin earlier, in nanoseconds.
    lead: AtomicU64,
    /// Where the footage has to begin after the last seek, in nanoseconds of the file's own clock; 0 for where the demuxer says.
    target: AtomicU64,
    /// Where it has to end, on the same clock; [`u64::MAX`] for where the demuxer says.
    end: AtomicU64,
}

impl Earlier {
    /// Watches an element that came into the pipeline.
    pub(super) fn watch(self: &Arc<Self>, element: &gst::Element) {
        if !element.metadata("klass").unwrap_or_default().contains("Demux") {
            return;
        }
        if element.factory().is_some_and(|f| f.name() == "mpegpsdemux") {
            self.lead.store(PROGRAM_STREAM.as_nanos() as u64, Ordering::SeqCst);
        }
        let this = self.clone();
        element.connect_pad_added(move |_, pad| {
            let this = this.clone();
            pad.add_probe(gst::PadProbeType::EVENT_DOWNSTREAM, move |_, info| {
                if let Some(event) = info.event()
                    && let Some(cut) = this.cut(event)
                {
                    info.data = Some(gst::PadProbeData::Event(cut));
                }
                gst::PadProbeReturn::Ok
            });
        });
    }

    /// From where the demuxer has to be sent for a frame, and up to where.
    pub(super) fn place(
        &self,
        media: &FootageFile,
        frame: usize,
        until: Option<MatchTime>,
    ) -> (MatchTime, Option<MatchTime>) {
        let index = &media.index;
        let target = index.clock_time(frame);
        // The complete picture before it may be stored after others that are shown before that.
        let key = index.clock_time(index.key_before(frame));
        let stored = media.stored.as_ref().and_then(|s| s.decoded(key)).map_or(target, |t| t.min(target));
        let lead = Duration::from_nanos(self.lead.load(Ordering::SeqCst));
        let place = stored.earlier(lead);
        let meant = if place == target { 0 } else { target.nanos() };
        self.target.store(meant, Ordering::SeqCst);
        // It finds the end no better than the start: told none, it is cut there too.
        let cut_here = |_: &MatchTime| !lead.is_zero() && meant > 0;
        self.end.store(until.filter(cut_here).map_or(u64::MAX, MatchTime::nanos), Ordering::SeqCst);
        (place, until.filter(|t| !cut_here(t)))
    }

    /// A segment that begins at the target and ends where it has to, for one that begins earlier.
    fn cut(&self, event: &gst::Event) -> Option<gst::Event> {
        let target = Some(self.target.load(Ordering::SeqCst)).filter(|t| *t > 0)?;
        let gst::EventView::Segment(segment) = event.view() else { return None };
        let mut cut = segment.segment().downcast_ref::<gst::ClockTime>()?.clone();
        let target = gst::ClockTime::from_nseconds(target);
        let start = cut.position_from_stream_time(target).filter(|s| Some(*s) > cut.start())?;
        let end = Some(self.end.load(Ordering::SeqCst)).filter(|e| *e < u64::MAX);
        if let Some(end) = end.and_then(|e| cut.position_from_stream_time(gst::ClockTime::from_nseconds(e))) {
            cut.set_stop(end);
        }
        cut.set_start(start);
        cut.set_position(start);
        cut.set_time(target);
        Some(
            gst::event::Segment::builder(&cut)
                .seqnum(event.seqnum())
                .running_time_offset(event.running_time_offset())
                .build(),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_segment_that_begins_before_the_target_begins_there() {
        super::super::base::init().unwrap();
        let earlier = Earlier::default();
        earlier.end.store(u64::MAX, Ordering::SeqCst);
        let at = gst::ClockTime::from_seconds;
        let mut segment = gst::FormattedSegment::<gst::ClockTime>::new();
        segment.set_start(at(12));
        segment.set_time(at(2));
        let event = gst::event::Segment::new(&segment);
        assert!(earlier.cut(&event).is_none(), "nothing was meant but what the demuxer says");
        earlier.target.store(at(5).nseconds(), Ordering::SeqCst);
        let cut = earlier.cut(&event).unwrap();
        let gst::EventView::Segment(cut) = cut.view() else { panic!("no segment") };
        let cut = cut.segment().downcast_ref::<gst::ClockTime>().unwrap();
        assert_eq!((cut.start(), cut.time()), (Some(at(15)), Some(at(5))));
        assert_eq!(cut.stop(), None);
        earlier.end.store(at(9).nseconds(), Ordering::SeqCst);
        let cut = earlier.cut(&event).unwrap();
        let gst::EventView::Segment(cut) = cut.view() else { panic!("no segment") };
        assert_eq!(cut.segment().downcast_ref::<gst::ClockTime>().unwrap().stop(), Some(at(19)));
        earlier.target.store(at(1).nseconds(), Ordering::SeqCst);
        assert!(earlier.cut(&event).is_none(), "it begins after the target");
    }
}
