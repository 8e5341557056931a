//! Values of the command line that are numbers, days or names of what is written, refused in our words.

use std::ops::RangeInclusive;
use std::path::PathBuf;

use chrono::NaiveDate;
use clap::builder::{PathBufValueParser, TypedValueParser};
use thiserror::Error;

#[cfg(feature = "video")]
use crate::time::FrameRate;

/// Why a value is refused.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub(super) enum ValueError {
    /// None of two numbers.
    #[error("allowed: {0} or {1}")]
    Two(u64, u64),
    /// No whole number, or one out of range.
    #[error("allowed: a whole number from {0} to {1}")]
    Range(u64, u64),
    /// `-` for what is written.
    #[error("it does not mean standard output here; write ./- for a file of that name")]
    Dash,
    /// No day.
    #[error("this is not a date; write year-month-day, for example 2026-05-31")]
    Day,
    /// No size of a picture.
    #[cfg(feature = "video")]
    #[error("this is no size; write width and height as 1280x720, each even and from 64 to 4096")]
    Size,
    /// No number of frames a second, or one that no video has.
    #[cfg(feature = "video")]
    #[error("this is no rate; write frames a second as 25 or 30000/1001, from 1 to 240")]
    Rate,
    /// No number of bytes.
    #[cfg(feature = "video")]
    #[error("this is not a size; write bytes with a unit, for example 20MB or 800KB")]
    Bytes,
}

/// A file or folder to write. `-`, by which other programs mean standard output, is refused: it would make a file of that name.
pub(super) fn written() -> impl TypedValueParser<Value = PathBuf> {
    let named = |path: PathBuf| if path.as_os_str() == "-" { Err(ValueError::Dash) } else { Ok(path) };
    PathBufValueParser::new().try_map(named)
}

/// A whole number within a range.
pub(super) fn whole<T: TryFrom<u64>>(
    range: RangeInclusive<u64>,
) -> impl Fn(&str) -> Result<T, ValueError> + Clone + Send + Sync + 'static {
    move |text| {
        let number = text.trim().parse::<u64>().ok().filter(|n| range.contains(n));
        let (first, last) = (*range.start(), *range.end());
        let refused = if last - first == 1 { ValueError::Two } else { ValueError::Range };
        number.and_then(|n| T::try_from(n).ok()).ok_or_else(|| refused(first, last))
    }
}

/// A day.
pub(super) fn day(text: &str) -> Result<NaiveDate, ValueError> {
    text.trim().parse().map_err(|_| ValueError::Day)
}

/// Width and height of a picture in pixels.
#[cfg(feature = "video")]
pub(super) fn picture_size(text: &str) -> Result<(u32, u32), ValueError> {
    // Half as many pixels of colour as of brightness: a side must be even.
    let is_side = |n: &u32| (64..=4096).contains(n) && n.is_multiple_of(2);
    let side = |text: &str| text.trim().parse().ok().filter(is_side);
    let sides = text.split_once(['x', 'X', '×']).and_then(|(w, h)| Some((side(w)?, side(h)?)));
    sides.ok_or(ValueError::Size)
}

/// Frames a second, as 25 or 30000/1001: from 1 to 240.
#[cfg(feature = "video")]
pub(super) fn frame_rate(text: &str) -> Result<FrameRate, ValueError> {
    let is_played = |r: &FrameRate| (1.0..=240.0).contains(&(f64::from(r.frames()) / f64::from(r.per())));
    text.trim().parse().ok().filter(is_played).ok_or(ValueError::Rate)
}

/// A number of bytes, as `20MB`: from 1 KB to 1000 GB.
#[cfg(feature = "video")]
pub(super) fn bytes(text: &str) -> Result<u64, ValueError> {
    let upper = text.trim().to_ascii_uppercase();
    let units = [("GB", 1e9), ("MB", 1e6), ("KB", 1e3)];
    let (number, unit) = units
        .iter()
        .find_map(|(name, unit)| Some((upper.strip_suffix(name)?, *unit)))
        .ok_or(ValueError::Bytes)?;
    let number: f64 = number.trim_end().parse().map_err(|_| ValueError::Bytes)?;
    Some(number * unit).filter(|n| (1e3..=1e12).contains(n)).map(|n| n as u64).ok_or(ValueError::Bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(feature = "video")]
    #[test]
    fn a_size_is_two_sides() {
        assert_eq!(picture_size("1280x720"), Ok((1280, 720)));
        assert_eq!(picture_size("360 × 640"), Ok((360, 640)));
        for bad in ["", "641x360", "640x361", "720", "0x720", "9999x9999", "1280x", "-2x5", "1280x720x3"] {
            assert_eq!(picture_size(bad), Err(ValueError::Size), "{bad}");
        }
    }

    #[cfg(feature = "video")]
    #[test]
    fn a_rate_is_one_that_videos_have() {
        let ntsc = FrameRate::new(30000, 1001).ok();
        assert_eq!(frame_rate(" 30000/1001 ").ok(), ntsc);
        assert!(frame_rate("240").is_ok() && frame_rate("1").is_ok());
        for bad in ["1000", "241", "1/2", "0", "-25", "25.5", "", "25/0"] {
            assert_eq!(frame_rate(bad), Err(ValueError::Rate), "{bad}");
        }
    }

    #[cfg(feature = "video")]
    #[test]
    fn a_size_has_a_unit() {
        assert_eq!(
            ["20MB", "0.5 mb", "800KB", "1GB"].map(bytes),
            [20_000_000, 500_000, 800_000, 1_000_000_000].map(Ok)
        );
        for text in ["20", "MB", "-1MB", "NaNMB", "infGB", "0MB", "20 MiB", "1e99GB"] {
            assert_eq!(bytes(text), Err(ValueError::Bytes), "{text}");
        }
    }

    #[test]
    fn what_is_allowed_is_told() {
        let set = whole::<u8>(1..=5);
        assert_eq!(set(" 3 "), Ok(3));
        for wrong in ["0", "6", "-1", "300", "1.5", "two", "", "99999999999999999999999"] {
            assert_eq!(set(wrong), Err(ValueError::Range(1, 5)), "{wrong}");
        }
        assert_eq!(whole::<u8>(1..=2)("3"), Err(ValueError::Two(1, 2)));
        assert_eq!(day("2026-05-31"), Ok(NaiveDate::from_ymd_opt(2026, 5, 31).unwrap()));
        for wrong in ["2026-13-01", "31.5.2026", "2026-02-30", "soon", "2026-5-31x"] {
            assert_eq!(day(wrong), Err(ValueError::Day), "{wrong}");
        }
    }
}
