//! What is done to a decoder's input so that seeks are exact and quick.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};

use gst::prelude::*;

use super::busy::GivesWay;
use super::order::{decoder_input, tell_time};
use super::pads::stream_time;
use crate::frames::FootageFile;
use crate::time::MatchTime;

/// What the probe on the decoder's input knows and tells.
#[derive(Debug, Default)]
pub(super) struct Feed {
    /// Where the last seek went on the file's own clock, in nanoseconds.
    pub(super) target: AtomicU64,
    /// The frame there is wanted alone.
    pub(super) alone: AtomicBool,
    /// The only frames of the index that are wanted, if not all are.
    pub(super) wanted: OnceLock<Vec<bool>>,
    /// How many pictures have come in since, decoded or passed over.
    pub(super) fed: AtomicU64,
    /// What comes before the next picture is decoded.
    pub(super) gives_way: GivesWay,
}

/// Puts a probe on the input of a video decoder. It does five things:
///
/// - After a seek nothing is decoded before the first complete picture: some demuxers start in the middle of a group,
///   and decoders make pictures out of what comes then.
/// - Each frame gets the duration that the index says. Variable-rate files give durations in decoding order, and one
///   that is too long lets the frame before a seek's target through, with the target's time on it.
/// - Pictures before a seek's target, and others that nobody wants, are not decoded if no other picture needs them (H.264 only), and not
///   handed on.
/// - After a frame that is wanted alone the stream ends. Demuxers go on to the next key frame, and a decoder that does not know of the end
///   gives nothing before it has others, which take as long.
/// - Where the file does not say when its pictures are shown, they are told it (`order.rs`).
pub(super) fn watch(element: &gst::Element, media: &FootageFile, feed: &Arc<Feed>) {
    let Some(pad) = decoder_input(element) else { return };
    let (index, stored, feed) = (media.index.clone(), media.stored.clone(), feed.clone());
    let (started, came) = (AtomicBool::new(false), AtomicBool::new(false));
    pad.add_probe(gst::PadProbeType::BUFFER | gst::PadProbeType::EVENT_FLUSH, move |pad, info| {
        let Some(buffer) = info.buffer_mut() else {
            for since in [&started, &came] {
                since.store(false, Ordering::SeqCst);
            }
            return gst::PadProbeReturn::Ok;
        };
        if came.load(Ordering::SeqCst) {
            pad.send_event(gst::event::Eos::new());
            return passed_over(info);
        }
        feed.gives_way.wait();
        feed.fed.fetch_add(1, Ordering::SeqCst);
        let complete = !buffer.flags().contains(gst::BufferFlags::DELTA_UNIT) || !index.has_keys();
        if !started.fetch_or(complete, Ordering::SeqCst) && !complete {
            return passed_over(info);
        }
        if let Some(stored) = &stored {
            tell_time(stored, pad, buffer);
        }
        let Some(i) = frame_of(pad, buffer).and_then(|t| index.near_clock(t)) else {
            return gst::PadProbeReturn::Ok;
        };
        let (at, target) = (index.clock_time(i).nanos(), feed.target.load(Ordering::SeqCst));
        let is_alone = at == target
            && feed.alone.load(Ordering::SeqCst)
            && has_whole_frames(pad.current_caps().as_deref());
        came.store(is_alone, Ordering::SeqCst);
        let unwanted = at < target || feed.wanted.get().is_some_and(|wanted| wanted.get(i) == Some(&false));
        if unwanted && is_spare(pad, buffer) {
            return passed_over(info);
        }
        tell(buffer, gst::ClockTime::try_from(index.gone(i) - index.time(i)).ok(), unwanted);
        gst::PadProbeReturn::Ok
    });
}

/// Whether no frame can come as two fields: after the first, the second would be lost. Parsers of H.264 say how pictures are coded,
/// others whether they are interlaced.
fn has_whole_frames(caps: Option<&gst::CapsRef>) -> bool {
    let is = |key: &str, of: &str| {
        caps.and_then(|c| c.structure(0)).and_then(|s| s.get::<&str>(key).ok()).is_none_or(|v| v == of)
    };
    is("coded-picture-structure", "frame") && is("interlace-mode", "progressive")
}

/// A frame that goes no further. Dropping would be reported for every one.
fn passed_over(info: &mut gst::PadProbeInfo<'_>) -> gst::PadProbeReturn {
    info.data = None;
    gst::PadProbeReturn::Handled
}

/// Tells a frame how long it is shown, and whether nobody wants it.
fn tell(buffer: &mut gst::Buffer, length: Option<gst::ClockTime>, unwanted: bool) {
    let buffer = buffer.make_mut();
    buffer.set_duration(length);
    if unwanted {
        buffer.set_flags(gst::BufferFlags::DECODE_ONLY);
    }
}

/// The stream time of a buffer, also of one that comes before a seek's target.
fn frame_of(pad: &gst::Pad, buffer: &gst::Buffer) -> Option<MatchTime> {
    u64::try_from(stream_time(pad, buffer)?).ok().map(MatchTime::from_nanos)
}

fn is_spare(pad: &gst::Pad, buffer: &gst::Buffer) -> bool {
    let Some(caps) = pad.current_caps() else { return false };
    let Some(s) = caps.structure(0).filter(|s| s.name() == "video/x-h264") else { return false };
    let Ok(map) = buffer.map_readable() else { return false };
    match s.get::<&str>("stream-format") {
        Ok("byte-stream") => is_unreferenced(starts(&map)),
        Ok("avc" | "avc3") => match s.get::<gst::Buffer>("codec_data").ok().and_then(|c| length_size(&c)) {
            Some(4) => is_unreferenced(lengths(&map)),
            _ => false,
        },
        _ => false,
    }
}

/// The bytes of a unit's length field, from the decoder configuration record (ISO/IEC 14496-15, 5.2.4.1).
fn length_size(codec_data: &gst::Buffer) -> Option<u8> {
    Some(1 + (codec_data.map_readable().ok()?.get(4)? & 3))
}

/// Whether every slice says that no picture is predicted from it: nal_ref_idc is 0 (ITU-T H.264, 7.4.1).
fn is_unreferenced(headers: impl Iterator<Item = u8>) -> bool {
    let mut slices = headers.filter(|h| matches!(h & 0x1f, 1 | 5)).peekable();
    slices.peek().is_some() && slices.all(|h| h & 0x60 == 0)
}

/// The first byte of every unit that follows a four-byte length.
fn lengths(data: &[u8]) -> impl Iterator<Item = u8> + '_ {
    let mut at = 0usize;
    std::iter::from_fn(move || {
        let head = data.get(at..at.checked_add(5)?)?;
        let n = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        at = at.checked_add(4)?.checked_add(n)?;
        Some(head[4])
    })
}

/// The first byte of every unit that follows a start code.
fn starts(data: &[u8]) -> impl Iterator<Item = u8> + '_ {
    data.windows(4).filter(|w| w[..3] == [0, 0, 1]).map(|w| w[3])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn only_a_picture_without_referenced_slices_is_spare() {
        let unit = |h: u8| vec![0, 0, 0, 2, h, 7];
        let spare = [unit(0x09), unit(0x01), unit(0x01)].concat();
        let needed = [unit(0x01), unit(0x41)].concat();
        assert!(is_unreferenced(lengths(&spare)));
        assert!(!is_unreferenced(lengths(&needed)));
        assert!(!is_unreferenced(lengths(&unit(0x67))), "parameters alone are no picture");
        assert!(is_unreferenced(starts(&[0, 0, 0, 1, 0x09, 0xf0, 0, 0, 1, 0x01, 5])));
        assert!(!is_unreferenced(starts(&[0, 0, 1, 0x65, 5])));
    }

    #[test]
    fn frames_in_fields_are_told_by_the_caps() {
        super::super::base::init().unwrap();
        let is_whole = |caps: &str| has_whole_frames(Some(&caps.parse::<gst::Caps>().unwrap()));
        assert!(
            has_whole_frames(None)
                && is_whole("video/x-vp9")
                && is_whole("video/mpeg, interlace-mode=progressive")
        );
        assert!(is_whole("video/x-h264, coded-picture-structure=frame"));
        assert!(!is_whole("video/x-h264, coded-picture-structure=field"));
        assert!(!is_whole("video/mpeg, interlace-mode=mixed"));
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..60)) {
            let _ = (is_unreferenced(lengths(&bytes)), is_unreferenced(starts(&bytes)));
        }
    }
}
