//! One decoded frame, and a few of them kept.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use gst_video::VideoFrameExt;

use crate::frames::FrameIndex;
use crate::time::MatchTime;

/// The pixels of a frame: rows of blue, green, red, alpha (always opaque), [`Frame::stride`] bytes apart.
/// Cloning copies nothing.
#[derive(Clone)]
pub struct Pixels(Arc<gst_video::VideoFrame<gst_video::video_frame::Readable>>);

impl AsRef<[u8]> for Pixels {
    fn as_ref(&self) -> &[u8] {
        self.0.plane_data(0).unwrap_or_default()
    }
}

impl Pixels {
    /// The bytes of one plane and how many there are from one of its rows to the next, for pictures that have several.
    pub(super) fn plane(&self, n: u32) -> Option<(&[u8], usize)> {
        let stride = *self.0.plane_stride().get(n as usize)?;
        Some((self.0.plane_data(n).ok()?, usize::try_from(stride).ok()?))
    }
}

impl fmt::Debug for Pixels {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Pixels({} bytes)", self.as_ref().len())
    }
}

/// A frame as it is to be shown: turned upright, with its true place in the footage.
#[derive(Debug, Clone)]
pub struct Frame {
    /// Its place in the [`FrameIndex`] of the footage.
    pub index: usize,
    /// Its presentation time, from the index.
    pub time: MatchTime,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Bytes from one row to the next.
    pub stride: usize,
    /// The picture.
    pub pixels: Pixels,
    /// Width to height of one pixel.
    pub par: (u32, u32),
}

impl Frame {
    /// The frame in a sample of BGRA pixels, or `None` when it is not in the index.
    pub(super) fn new(sample: &gst::Sample, index: &FrameIndex) -> Option<Self> {
        let info = gst_video::VideoInfo::from_caps(sample.caps()?).ok()?;
        // A pool keeps as many buffers as were ever away from it at one time, and each pipeline has a pool: with the frames
        // kept from each of them these would be hundreds of pictures. A buffer of our own for the same pixels leaves the
        // pool without them, and they go with the frame.
        let buffer = sample.buffer()?.copy();
        let segment = sample.segment()?.downcast_ref::<gst::ClockTime>()?;
        let at = segment.to_stream_time(buffer.pts()?)?;
        let i = index.near_clock(MatchTime::from_nanos(at.nseconds()))?;
        let par = (info.par().numer().unsigned_abs(), info.par().denom().unsigned_abs());
        let mapped = gst_video::VideoFrame::from_buffer_readable(buffer, &info).ok()?;
        Some(Self {
            index: i,
            time: index.time(i),
            width: mapped.width(),
            height: mapped.height(),
            stride: usize::try_from(*mapped.plane_stride().first()?).ok()?,
            pixels: Pixels(Arc::new(mapped)),
            par,
        })
    }

    /// A black frame of one pixel.
    #[cfg(test)]
    pub(super) fn blank(index: usize) -> Self {
        let info = gst_video::VideoInfo::builder(gst_video::VideoFormat::Bgra, 1, 1).build().unwrap();
        let mapped = gst_video::VideoFrame::from_buffer_readable(gst::Buffer::with_size(4).unwrap(), &info);
        Self {
            index,
            time: MatchTime::from_secs(index as u64),
            width: 1,
            height: 1,
            stride: 4,
            pixels: Pixels(Arc::new(mapped.unwrap())),
            par: (1, 1),
        }
    }

    /// Width and height in square pixels.
    pub fn display_size(&self) -> (u32, u32) {
        let (n, d) = (u64::from(self.par.0.max(1)), u64::from(self.par.1.max(1)));
        let (w, h) = (u64::from(self.width), u64::from(self.height));
        // The larger side grows, so that nothing is thrown away.
        let (w, h) = if n >= d { ((w * n + d / 2) / d, h) } else { (w, (h * d + n / 2) / n) };
        (u32::try_from(w).unwrap_or(u32::MAX), u32::try_from(h).unwrap_or(u32::MAX))
    }
}

/// Decoded frames around the place the coach looks at, so that steps back need no decoding.
#[derive(Debug)]
pub(super) struct Ring {
    frames: BTreeMap<usize, Frame>,
    most: usize,
}

impl Default for Ring {
    fn default() -> Self {
        Self::of(Self::MOST)
    }
}

impl Ring {
    const MOST: usize = 48;
    const BYTES: usize = 256 << 20;

    /// One that keeps so many frames at most.
    pub(super) fn of(most: usize) -> Self {
        Self { frames: BTreeMap::new(), most: most.min(Self::MOST) }
    }

    /// How many frames of this size are kept.
    fn room(&self, frame_bytes: usize) -> usize {
        (Self::BYTES / frame_bytes.max(1)).max(2).min(self.most)
    }

    pub(super) fn get(&self, i: usize) -> Option<Frame> {
        self.frames.get(&i).cloned()
    }

    /// The last frame kept that is not after `i`.
    pub(super) fn last_until(&self, i: usize) -> Option<Frame> {
        self.frames.range(..=i).next_back().map(|(_, f)| f.clone())
    }

    /// Keeps a frame, and lets go of those farthest from it.
    pub(super) fn keep(&mut self, frame: Frame) {
        let (here, room) = (frame.index, self.room(frame.pixels.as_ref().len()));
        self.frames.insert(here, frame);
        while self.frames.len() > room {
            let ends = [self.frames.keys().next().copied(), self.frames.keys().next_back().copied()];
            let far = ends.into_iter().flatten().max_by_key(|i| i.abs_diff(here));
            far.map(|i| self.frames.remove(&i));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gst::prelude::*;

    #[test]
    fn a_frame_that_is_kept_keeps_no_buffer_of_its_pool() {
        super::super::init().unwrap();
        let info = gst_video::VideoInfo::builder(gst_video::VideoFormat::Bgra, 4, 2).build().unwrap();
        let caps = info.to_caps().unwrap();
        let pool = gst::BufferPool::new();
        let mut config = pool.config();
        config.set_params(Some(&caps), 32, 0, 1);
        pool.set_config(config).unwrap();
        pool.set_active(true).unwrap();
        let mut buffer = pool.acquire_buffer(None).unwrap();
        buffer.get_mut().unwrap().set_pts(gst::ClockTime::ZERO);
        let index = FrameIndex::new(vec![(MatchTime::ZERO, true)], None).unwrap();
        let segment = gst::FormattedSegment::<gst::ClockTime>::new();
        let sample = gst::Sample::builder().buffer(&buffer).caps(&caps).segment(&segment).build();
        let frame = Frame::new(&sample, &index).unwrap();
        drop((sample, buffer));
        let params = gst::BufferPoolAcquireParams::with_flags(gst::BufferPoolAcquireFlags::DONTWAIT);
        assert!(
            pool.acquire_buffer(Some(&params)).is_ok(),
            "the only buffer of the pool is held by {frame:?}"
        );
        assert_eq!(frame.pixels.as_ref().len(), 32);
        pool.set_active(false).unwrap();
    }
}
