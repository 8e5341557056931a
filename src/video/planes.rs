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
    if wanted.is_empty() {
        return Ok(());
    }
    hand_over(Scrubber::planes(media)?, media, wanted, &mut |frame, part| each(Planes(frame), part))
}

#[cfg(test)]
mod tests {
    use super::super::encode::{Container, EncodeSpec, Encoder};
    use super::super::probe::probe;
    use super::*;
    use crate::time::FrameRate;

    /// Stored on its side; each frame is brighter than the one before, and its left half is dark.
    #[test]
    fn each_frame_comes_upright_as_brightness_and_colour() {
        super::super::base::init().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let rate = FrameRate::new(30, 1).unwrap();
        let spec = EncodeSpec {
            path: folder.path().join("film.mp4"),
            width: 64,
            height: 48,
            container: Container::Mp4,
            rotation: 90,
            nominal_rate: Some(rate),
            audio: None,
            gop: Some(15),
            b_frames: 2,
        };
        let mut encoder = Encoder::start(&spec).unwrap();
        for i in 0..30_u8 {
            let row = (0..64).flat_map(|x| [if x < 32 { 20 } else { 60 + 5 * i }; 4]);
            let picture: Vec<u8> = (0..48).flat_map(|_| row.clone()).collect();
            encoder.video(picture, rate.time_of(u64::from(i)), rate.frame_length()).unwrap();
        }
        encoder.finish().unwrap();
        let media = probe(&spec.path).unwrap();
        let mut seen = Vec::new();
        let part = (Some(media.index.time(3)), Some(media.index.time(27)));
        each_planes(&media, part, &mut |frame, _| {
            assert_eq!((frame.stored_size(), frame.display_size()), ((48, 64), (48, 64)));
            let [(shades, stride), (blue, _), (red, _)] = frame.planes().unwrap();
            // A quarter turn puts the left half on top.
            let (top, bottom) = (shades[8 * stride + 24], shades[56 * stride + 24]);
            assert!(top < 45 && bottom > top + 15, "{top} {bottom}");
            assert!(blue[300].abs_diff(128) <= 3 && red[300].abs_diff(128) <= 3);
            seen.push((frame.index(), bottom));
            ControlFlow::Continue(())
        })
        .unwrap();
        assert_eq!(seen.iter().map(|s| s.0).collect::<Vec<_>>(), (3..=27).collect::<Vec<_>>());
        assert!(seen.windows(2).all(|w| w[1].1 > w[0].1), "{seen:?}");
    }

    /// Frames that are not asked for are not decoded or not handed on. Those that are must be the same as when all are: with pictures
    /// that others need and such that none needs, near and far apart, beginning anew at key frames or not.
    #[test]
    fn some_frames_are_the_same_as_when_all_are_decoded() {
        super::super::base::init().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let rate = FrameRate::new(25, 1).unwrap();
        for (name, container, gop) in
            [("b.mp4", Container::Mp4, 40), ("c.mp4", Container::Mp4, 150), ("d.webm", Container::WebM, 30)]
        {
            let spec = EncodeSpec {
                path: folder.path().join(name),
                width: 64,
                height: 48,
                container,
                rotation: 0,
                nominal_rate: Some(rate),
                audio: None,
                gop: Some(gop),
                b_frames: if container == Container::Mp4 { 2 } else { 0 },
            };
            let mut encoder = Encoder::start(&spec).unwrap();
            for i in 0..150_usize {
                let at = |x: usize, y: usize| ((x * 3 + y * 5 + i * 4) % 200 + 20) as u8;
                let picture =
                    (0..48).flat_map(|y| (0..64).flat_map(move |x| [at(x, y), at(y, x), at(x, x), 255]));
                encoder.video(picture.collect(), rate.time_of(i as u64), rate.frame_length()).unwrap();
            }
            encoder.finish().unwrap();
            let media = probe(&spec.path).unwrap();
            let shades = |wanted: &[usize]| {
                let mut seen = Vec::new();
                these_planes(&media, wanted, &mut |frame, _| {
                    let [(shades, stride), ..] = frame.planes().unwrap();
                    seen.push((frame.index(), shades[20 * stride..20 * stride + 64].to_vec()));
                    ControlFlow::Continue(())
                })
                .unwrap();
                seen
            };
            let all = shades(&(0..150).collect::<Vec<_>>());
            assert_eq!(all.len(), 150, "{name}");
            let by = |n: usize| (0..150).step_by(n).collect::<Vec<_>>();
            for wanted in [
                by(2),
                by(3),
                by(7),
                by(31),
                by(90),
                vec![149],
                vec![0, 1, 80, 81, 82, 141],
                (60..75).collect(),
            ] {
                let expected: Vec<_> = wanted.iter().map(|i| all[*i].clone()).collect();
                assert_eq!(shades(&wanted), expected, "{name}, {wanted:?}");
            }
            assert_eq!(shades(&[]), []);
        }
    }
}
