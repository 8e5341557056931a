//! Frames as decoders give them: brightness, and two planes of colour of half the size. Nothing is made of them for a screen, which
//! takes a third of the time that decoding takes.

use std::ops::ControlFlow;

use super::error::VideoError;
use super::frame::Frame;
use super::scrub::Scrubber;
use super::still::{hand_over, span};
use crate::frames::FootageFile;
use crate::time::MatchTime;

/// A frame turned upright, as brightness and colour (I420; ITU-R BT.601 and BT.709 call them Y′, Cb and Cr).
#[derive(Debug, Clone)]
pub struct Planes(Frame);

impl Planes {
    /// Its place in the index of the footage.
    pub fn index(&self) -> usize {
        self.0.index
    }

    /// When it is shown, from the index.
    pub fn time(&self) -> MatchTime {
        self.0.time
    }

    /// Width and height in pixels as they are stored.
    pub fn stored_size(&self) -> (u32, u32) {
        (self.0.width, self.0.height)
    }

    /// Width and height in square pixels.
    pub fn display_size(&self) -> (u32, u32) {
        self.0.display_size()
    }

    /// Brightness, blue and red, each with the bytes from one of its rows to the next. Of an odd width or height the colours have the
    /// larger half. `None` if the picture has no such planes.
    pub fn planes(&self) -> Option<[(&[u8], usize); 3]> {
        let plane = |n| self.0.pixels.plane(n);
        Some([plane(0)?, plane(1)?, plane(2)?])
    }
}

/// As [`super::each_frame`], without making pictures for a screen.
///
/// # Errors
/// As [`super::each_frame`].
pub fn each_planes(
    media: &FootageFile,
    part: (Option<MatchTime>, Option<MatchTime>),
    each: &mut dyn FnMut(Planes, f64) -> ControlFlow<()>,
) -> Result<(), VideoError> {
    these_planes(media, &span(media, part)?.collect::<Vec<_>>(), each)
}

/// As [`super::these_frames`], without making pictures for a screen.
///
/// # Errors
/// As [`super::each_frame`].
pub fn these_planes(
    media: &FootageFile,
    wanted: &[usize],
    each: &mut dyn FnMut(Planes, f64) -> ControlFlow<()>,
) -> Result<(), VideoError> {
    hand_over(Scrubber::planes(media)?, media, wanted, &mut |frame, part| each(Planes(frame), part))
}
