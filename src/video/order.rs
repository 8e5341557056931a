//! When pictures are shown whose file does not say it: learned once from the decoder, then told to every decoder.
//!
//! Such files store their pictures in another order than they are shown in. A decoder guesses their times, and guesses otherwise after
//! a seek. So each picture is marked on its way into the first decoder; the marks come out in the order that is shown.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use gst::prelude::*;

use super::pads::{position, time_in_stream};
use crate::frames::Stored;
use crate::time::MatchTime;

/// How much of a complete picture tells it from others: parsers put what the decoder needs in front of it after a seek.
const TAIL: usize = 512;

/// By how many places a picture may be shown earlier or later than it is stored: more than any codec allows.
const MOST_MOVED: usize = 64;

/// A picture on its way into the decoder.
#[derive(Debug, Clone, Copy)]
struct Marked {
    content: u64,
    /// When it is decoded, on the file's own clock.
    decoded: Option<MatchTime>,
    /// When it is shown, where the file says it.
    shown: Option<MatchTime>,
    key: bool,
}

/// The pictures that went into the decoder of a pipeline, in their order.
#[derive(Debug, Clone, Default)]
pub(super) struct Marks(Arc<Mutex<Vec<Marked>>>);

impl Marks {
    /// Marks whatever goes into the video decoders of a pipeline that is not started yet.
    pub(super) fn of(pipeline: &gst::Pipeline) -> Self {
        let marks = Self::default();
        let to = marks.clone();
        pipeline.connect_deep_element_added(move |_, _, element| {
            if let Some(pad) = decoder_input(element) {
                let to = to.clone();
                pad.add_probe(gst::PadProbeType::BUFFER, move |pad, info| {
                    if let Some(buffer) = info.buffer_mut() {
                        to.mark(pad, buffer);
                    }
                    gst::PadProbeReturn::Ok
                });
            }
        });
        marks
    }

    fn mark(&self, pad: &gst::Pad, buffer: &mut gst::Buffer) {
        let Some(content) = content(buffer) else { return };
        let marked = Marked {
            content,
            decoded: buffer.dts().and_then(|t| time_in_stream(pad, t)),
            shown: buffer.pts().and_then(|t| time_in_stream(pad, t)),
            key: is_key(buffer),
        };
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let number = gst::ClockTime::from_nseconds(all.len() as u64);
        all.push(marked);
        gst::ReferenceTimestampMeta::add(buffer.make_mut(), &form(), number, None);
    }

    /// Each frame that came out of the decoder, in the order shown: when, and whether it is a key frame; and the same for
    /// other decoders. `None` where the file says too little.
    pub(super) fn order(&self, shown: &[u64]) -> Option<(Vec<(MatchTime, bool)>, Stored)> {
        order(&self.0.lock().unwrap_or_else(PoisonError::into_inner), shown)
    }
}

/// The mark on a decoded picture.
pub(super) fn mark_on(buffer: &gst::BufferRef) -> Option<u64> {
    let mut marks = buffer.iter_meta::<gst::ReferenceTimestampMeta>();
    marks.find(|m| m.reference().is_subset(&form())).map(|m| m.timestamp().nseconds())
}

/// What our marks are called.
fn form() -> gst::Caps {
    gst::Caps::new_empty_simple("timestamp/x-changeover-picture")
}

/// The input of a video decoder; `None` for any other element.
pub(super) fn decoder_input(element: &gst::Element) -> Option<gst::Pad> {
    let class = element.metadata("klass").unwrap_or_default();
    (class.contains("Decoder") && class.contains("Video")).then(|| element.static_pad("sink")).flatten()
}

/// Gives a picture before its decoder the time at which it is shown. One that is not known is decoded and not shown.
pub(super) fn tell_time(stored: &Stored, pad: &gst::Pad, buffer: &mut gst::Buffer) {
    let decoded = buffer.dts().or(buffer.pts()).and_then(|t| time_in_stream(pad, t));
    let shown = content(buffer).and_then(|c| stored.shown(c, decoded)).and_then(|t| position(pad, t));
    let buffer = buffer.make_mut();
    match shown {
        Some(t) => buffer.set_pts(t),
        None => buffer.set_flags(gst::BufferFlags::DECODE_ONLY),
    }
}

fn is_key(buffer: &gst::BufferRef) -> bool {
    !buffer.flags().contains(gst::BufferFlags::DELTA_UNIT)
}

/// What tells a picture from others.
fn content(buffer: &gst::BufferRef) -> Option<u64> {
    let map = buffer.map_readable().ok()?;
    let from = if is_key(buffer) { map.len().saturating_sub(TAIL) } else { 0 };
    let mut hasher = DefaultHasher::new();
    map[from..].hash(&mut hasher);
    Some(hasher.finish())
}

fn order(marked: &[Marked], shown: &[u64]) -> Option<(Vec<(MatchTime, bool)>, Stored)> {
    let places: Vec<usize> = shown.iter().map(|n| usize::try_from(*n).ok()).collect::<Option<_>>()?;
    let pictures: Vec<&Marked> = places.iter().map(|n| marked.get(*n)).collect::<Option<_>>()?;
    let mut sorted = places.clone();
    sorted.sort_unstable();
    let moved = places.iter().zip(&sorted).any(|(a, b)| a.abs_diff(*b) > MOST_MOVED);
    if moved || sorted.windows(2).any(|w| w[0] == w[1]) {
        return None;
    }
    // The first is shown when the first is decoded, and so on, but later by as much as the first one is.
    let mut times: Vec<MatchTime> = sorted.iter().map(|n| marked[*n].decoded).collect::<Option<_>>()?;
    if times.windows(2).any(|w| w[1] < w[0]) {
        return None;
    }
    let late = pictures.first()?.shown.map_or(Duration::ZERO, |t| t - times[0]);
    apart(&mut times);
    for t in &mut times {
        *t = t.later(late);
    }
    let frames = times.iter().zip(&pictures).map(|(t, p)| (*t, p.key)).collect();
    let known = |(t, p): (&MatchTime, &&Marked)| Some((p.content, p.decoded?, *t));
    Some((frames, Stored::new(times.iter().zip(&pictures).filter_map(known).collect())))
}

/// Times that are the same, in an order that never goes back, are spread over the time until the next one.
fn apart(times: &mut [MatchTime]) {
    let mut from = 0;
    while from < times.len() {
        let (t, rest) = (times[from], &times[from..]);
        let n = rest.iter().take_while(|x| **x == t).count();
        let gap = times.get(from + n).map_or(Duration::from_millis(40), |next| *next - t);
        for k in 1..n {
            times[from + k] = t.later(gap * k as u32 / n as u32);
        }
        from += n;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marked(decoded: u64, shown: Option<u64>) -> Marked {
        let at = MatchTime::from_millis;
        Marked { content: decoded, decoded: Some(at(decoded)), shown: shown.map(at), key: decoded == 0 }
    }

    #[test]
    fn pictures_are_shown_in_the_order_that_comes_out_of_the_decoder() {
        let at = MatchTime::from_millis;
        let all: Vec<Marked> = (0..4).map(|n| marked(n * 40, (n == 0).then_some(20))).collect();
        let (frames, stored) = order(&all, &[0, 2, 3, 1]).unwrap();
        assert_eq!(frames, [(at(20), true), (at(60), false), (at(100), false), (at(140), false)]);
        assert_eq!(stored.shown(40, Some(at(40))), Some(at(140)), "stored second, shown last");
        assert_eq!(stored.shown(80, None), Some(at(60)));
        assert_eq!(stored.shown(7, Some(at(40))), None, "another picture");
    }

    #[test]
    fn where_the_file_says_too_little_nothing_is_learned() {
        let all: Vec<Marked> = (0..200).map(|n| marked(n * 40, None)).collect();
        assert!(order(&all, &[0, 200]).is_none(), "a mark that nobody gave");
        assert!(order(&all, &[0, 1, 1]).is_none(), "two frames of one picture");
        let mut far: Vec<u64> = (0..200).collect();
        far.rotate_left(100);
        assert!(order(&all, &far).is_none());
        let unknown = Marked { decoded: None, ..marked(0, None) };
        assert!(order(&[unknown], &[0]).is_none());
        assert!(order(&[marked(80, None), marked(40, None)], &[0, 1]).is_none(), "the clock goes back");
        assert!(order(&[], &[]).is_none());
    }

    #[test]
    fn two_at_one_time_get_a_time_each() {
        let at = MatchTime::from_millis;
        let mut times = [0, 40, 40, 80, 120, 120, 120].map(at);
        apart(&mut times);
        assert_eq!(times[..5], [0, 40, 60, 80, 120].map(at));
        assert!(times.windows(2).all(|w| w[0] < w[1]), "{times:?}");
    }

    #[test]
    fn of_pictures_with_the_same_content_the_nearest_is_meant() {
        let at = MatchTime::from_millis;
        let stored = Stored::new(vec![(5, at(0), at(10)), (5, at(400), at(410)), (6, at(40), at(50))]);
        assert_eq!(stored.shown(5, Some(at(180))), Some(at(10)));
        assert_eq!(stored.shown(5, Some(at(390))), Some(at(410)));
        assert_eq!((stored.shown(5, None), stored.shown(6, None)), (None, Some(at(50))));
    }
}
