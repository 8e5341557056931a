//! Time on the match clock, spans of it, and frame rates.
//!
//! The match clock is one time line for a match, whatever files it was recorded in. Everything that the program
//! stores or prints about *when* is a [`MatchTime`]; a frame's time is its presentation time, never `n / fps`.

use std::fmt;
use std::ops::Sub;
use std::str::FromStr;
use std::time::Duration;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thiserror::Error;

const NANOS: u64 = 1_000_000_000;

/// What is wrong with a text that should be a time or a frame rate.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TimeError {
    /// The text is not a time.
    #[error("\"{found}\" is not a time; write hours:minutes:seconds, as 01:02:03.500 (up to nine decimals)")]
    NotATime {
        /// The text as found.
        found: String,
    },
    /// The text is not a frame rate.
    #[error("\"{found}\" is not a frame rate; write frames per second, as 25, 60 or 30000/1001")]
    NotARate {
        /// The text as found.
        found: String,
    },
    /// A span ends before it starts.
    #[error("a span cannot end at {end}, before its start at {start}")]
    Backwards {
        /// Start of the span.
        start: MatchTime,
        /// End of the span.
        end: MatchTime,
    },
}

/// A moment on the match clock, in whole nanoseconds from its zero.
///
/// Printed as `HH:MM:SS.mmm`, with more decimals only when they are needed to be exact; what is printed parses
/// back to the same moment. In files it is that text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct MatchTime(u64);

impl MatchTime {
    /// The zero of the match clock.
    pub const ZERO: Self = Self(0);

    /// From whole nanoseconds.
    pub const fn from_nanos(nanos: u64) -> Self {
        Self(nanos)
    }

    /// From whole milliseconds.
    pub const fn from_millis(millis: u64) -> Self {
        Self(millis * 1_000_000)
    }

    /// From whole seconds.
    pub const fn from_secs(secs: u64) -> Self {
        Self(secs * NANOS)
    }

    /// Whole nanoseconds since the zero of the match clock.
    pub const fn nanos(self) -> u64 {
        self.0
    }

    /// This moment plus a duration; stops at the end of the clock (584 years).
    #[must_use]
    pub fn later(self, by: Duration) -> Self {
        Self(self.0.saturating_add(duration_nanos(by)))
    }

    /// This moment minus a duration; stops at zero.
    #[must_use]
    pub fn earlier(self, by: Duration) -> Self {
        Self(self.0.saturating_sub(duration_nanos(by)))
    }

    /// Seconds as a floating-point number, for drawing and for other programs' formats. Exact to a microsecond for
    /// any match.
    pub fn as_secs_f64(self) -> f64 {
        self.0 as f64 / NANOS as f64
    }

    /// The nearest whole millisecond, for tables in which a person reads frames' times.
    #[must_use]
    pub fn to_millis(self) -> Self {
        Self((self.0.saturating_add(500_000)) / 1_000_000 * 1_000_000)
    }

    /// `H:MM:SS`, for places where a person reads and a tenth does not matter.
    pub fn short(self) -> String {
        let s = self.0 / NANOS;
        format!("{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
    }
}

fn duration_nanos(d: Duration) -> u64 {
    u64::try_from(d.as_nanos()).unwrap_or(u64::MAX)
}

impl Sub for MatchTime {
    type Output = Duration;

    /// How much later `self` is than `rhs`; zero when it is not later.
    fn sub(self, rhs: Self) -> Duration {
        Duration::from_nanos(self.0.saturating_sub(rhs.0))
    }
}

impl fmt::Display for MatchTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (s, n) = (self.0 / NANOS, self.0 % NANOS);
        write!(f, "{:02}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)?;
        let digits = format!("{n:09}");
        let keep = digits.trim_end_matches('0').len().max(3);
        write!(f, ".{}", &digits[..keep])
    }
}

impl FromStr for MatchTime {
    type Err = TimeError;

    fn from_str(text: &str) -> Result<Self, TimeError> {
        parse_time(text).ok_or_else(|| TimeError::NotATime { found: excerpt(text) })
    }
}

/// The first 40 characters of a text, so that an error never prints a whole file.
fn excerpt(text: &str) -> String {
    let mut s: String = text.chars().take(40).collect();
    if s.len() < text.len() {
        s.push('…');
    }
    s
}

fn parse_time(text: &str) -> Option<MatchTime> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    if text.ends_with('.') || fraction.len() > 9 {
        return None;
    }
    let digits = |s: &str| -> Option<u64> {
        (!s.is_empty() && s.bytes().all(|b| b.is_ascii_digit())).then(|| s.parse().ok()).flatten()
    };
    let parts: Vec<u64> = whole.split(':').map(digits).collect::<Option<_>>()?;
    let (h, m, s) = match parts[..] {
        [s] => (0, 0, s),
        [m, s] if s < 60 => (0, m, s),
        [h, m, s] if m < 60 && s < 60 => (h, m, s),
        _ => return None,
    };
    let secs = h.checked_mul(3600)?.checked_add(m.checked_mul(60)?)?.checked_add(s)?;
    let nanos = if fraction.is_empty() { 0 } else { digits(&format!("{fraction:0<9}"))? };
    secs.checked_mul(NANOS)?.checked_add(nanos).map(MatchTime)
}

impl Serialize for MatchTime {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for MatchTime {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

impl JsonSchema for MatchTime {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "MatchTime".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "description": "A moment on the match clock, HH:MM:SS.mmm, up to nine decimals.",
            "pattern": r"^[0-9]{2,}:[0-5][0-9]:[0-5][0-9]\.[0-9]{3,9}$"
        })
    }
}

/// A stretch of the match clock: `start` is in it, `end` is the first moment after it. `start <= end`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, JsonSchema)]
pub struct Span {
    start: MatchTime,
    end: MatchTime,
}

impl Span {
    /// A span from `start` to `end`.
    ///
    /// # Errors
    /// [`TimeError::Backwards`] when `end` is before `start`.
    pub fn new(start: MatchTime, end: MatchTime) -> Result<Self, TimeError> {
        if end < start { Err(TimeError::Backwards { start, end }) } else { Ok(Self { start, end }) }
    }

    /// A span that starts at `start` and lasts `length`.
    pub fn lasting(start: MatchTime, length: Duration) -> Self {
        Self { start, end: start.later(length) }
    }

    /// The first moment in the span.
    pub const fn start(self) -> MatchTime {
        self.start
    }

    /// The first moment after the span.
    pub const fn end(self) -> MatchTime {
        self.end
    }

    /// How long the span lasts.
    pub fn length(self) -> Duration {
        self.end - self.start
    }

    /// Whether the moment is in the span.
    pub fn contains(self, t: MatchTime) -> bool {
        self.start <= t && t < self.end
    }

    /// The span widened by `before` at its start and `after` at its end, stopping at zero.
    #[must_use]
    pub fn widened(self, before: Duration, after: Duration) -> Self {
        Self { start: self.start.earlier(before), end: self.end.later(after) }
    }

    /// The part of this span inside `limits`, if any moment of it is.
    pub fn within(self, limits: Self) -> Option<Self> {
        let (start, end) = (self.start.max(limits.start), self.end.min(limits.end));
        (start < end).then_some(Self { start, end })
    }

    /// One span over both when they overlap or touch.
    pub fn joined(self, other: Self) -> Option<Self> {
        (self.start <= other.end && other.start <= self.end)
            .then(|| Self { start: self.start.min(other.start), end: self.end.max(other.end) })
    }
}

impl<'de> Deserialize<'de> for Span {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Raw {
            start: MatchTime,
            end: MatchTime,
        }
        let raw = Raw::deserialize(d)?;
        Self::new(raw.start, raw.end).map_err(serde::de::Error::custom)
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}–{}", self.start, self.end)
    }
}

/// Frames a second as an exact ratio: 30000/1001, never 29.97.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct FrameRate {
    frames: u32,
    per: u32,
}

impl FrameRate {
    /// Thirty frames a second.
    pub const THIRTY: Self = Self { frames: 30, per: 1 };

    /// `frames` in `per` seconds, kept in lowest terms.
    ///
    /// # Errors
    /// [`TimeError::NotARate`] when either is zero, or above 1000 frames per second.
    pub fn new(frames: u32, per: u32) -> Result<Self, TimeError> {
        if frames == 0 || per == 0 || u64::from(frames) > 1000 * u64::from(per) {
            return Err(TimeError::NotARate { found: format!("{frames}/{per}") });
        }
        let g = gcd(frames, per);
        Ok(Self { frames: frames / g, per: per / g })
    }

    /// Numerator of the ratio, in lowest terms.
    pub const fn frames(self) -> u32 {
        self.frames
    }

    /// Denominator of the ratio, in lowest terms: seconds.
    pub const fn per(self) -> u32 {
        self.per
    }

    /// When frame `n` of a constant-rate film starts, counted from frame 0 at zero, rounded to the nearest
    /// nanosecond. For making footage; never for reading it.
    pub fn time_of(self, n: u64) -> MatchTime {
        let x = u128::from(n) * u128::from(self.per) * u128::from(NANOS);
        let d = u128::from(self.frames);
        MatchTime(u64::try_from((x + d / 2) / d).unwrap_or(u64::MAX))
    }

    /// The frame that begins nearest to a moment, the later of two, counted from frame 0 at 0: as
    /// [`crate::frames::FrameIndex::clip`] has it for footage that is at hand.
    pub fn nearest(self, at: MatchTime) -> u64 {
        let (n, d) = (u128::from(self.frames), u128::from(self.per) * u128::from(NANOS));
        let near = u64::try_from(u128::from(at.0) * n / d).unwrap_or(u64::MAX);
        let off = |frame: &u64| self.time_of(*frame).0.abs_diff(at.0);
        (near.saturating_sub(1)..=near.saturating_add(1)).rev().min_by_key(off).unwrap_or(near)
    }

    /// How long one frame lasts, to the nearest nanosecond.
    pub fn frame_length(self) -> Duration {
        Duration::from_nanos(self.time_of(1).0)
    }
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl fmt::Display for FrameRate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.per == 1 { write!(f, "{}", self.frames) } else { write!(f, "{}/{}", self.frames, self.per) }
    }
}

impl FromStr for FrameRate {
    type Err = TimeError;

    fn from_str(text: &str) -> Result<Self, TimeError> {
        let bad = || TimeError::NotARate { found: excerpt(text) };
        let (n, d) = text.split_once('/').unwrap_or((text, "1"));
        match (n.parse(), d.parse()) {
            (Ok(n), Ok(d)) => Self::new(n, d).map_err(|_| bad()),
            _ => Err(bad()),
        }
    }
}

impl Serialize for FrameRate {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for FrameRate {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

impl JsonSchema for FrameRate {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "FrameRate".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "description": "Frames a second as a ratio: 25, 60 or 30000/1001.",
            "pattern": r"^[1-9][0-9]*(/[1-9][0-9]*)?$"
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frames_time_is_rounded_to_a_millisecond() {
        let rounded = |nanos| MatchTime::from_nanos(nanos).to_millis().to_string();
        assert_eq!(rounded(1_533_333_333), "00:00:01.533");
        assert_eq!(rounded(66_666_667), "00:00:00.067");
        assert_eq!(rounded(59_999_500_000), "00:01:00.000");
    }
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_time_prints_and_parses_back(n in any::<u64>()) {
            let t = MatchTime::from_nanos(n);
            prop_assert_eq!(t.to_string().parse::<MatchTime>(), Ok(t));
        }

        #[test]
        fn a_rate_prints_and_parses_back(n in 1u32..240_000, d in 1u32..2000) {
            if let Ok(r) = FrameRate::new(n, d) {
                prop_assert_eq!(r.to_string().parse::<FrameRate>(), Ok(r));
            }
        }

        #[test]
        fn no_text_makes_a_time_panic(s in "\\PC*") {
            let _ = s.parse::<MatchTime>();
            let _ = s.parse::<FrameRate>();
        }

        #[test]
        fn joining_holds_both(a in 0u64..100, b in 0u64..100, c in 0u64..100, d in 0u64..100) {
            let s = |a: u64, b: u64| Span::new(MatchTime::from_secs(a.min(b)), MatchTime::from_secs(a.max(b))).unwrap();
            let (x, y) = (s(a, b), s(c, d));
            prop_assert_eq!(x.joined(y), y.joined(x));
            if let Some(j) = x.joined(y) {
                prop_assert_eq!(j.within(x).or(Some(x)), Some(x));
                prop_assert!(j.length() <= x.length() + y.length());
            }
        }
    }

    #[test]
    fn prints_more_decimals_only_when_needed() {
        assert_eq!(MatchTime::from_millis(3_127_433).to_string(), "00:52:07.433");
        assert_eq!(MatchTime::from_nanos(33_333_333).to_string(), "00:00:00.033333333");
        assert_eq!(MatchTime::ZERO.to_string(), "00:00:00.000");
        assert_eq!(MatchTime::from_secs(3600 * 123).to_string(), "123:00:00.000");
    }

    #[test]
    fn reads_what_people_write() {
        assert_eq!("90".parse(), Ok(MatchTime::from_secs(90)));
        assert_eq!("1:30.5".parse(), Ok(MatchTime::from_millis(90_500)));
        for bad in [
            "",
            ":",
            "1:60",
            "1:2:3:4",
            "1.",
            ".5",
            "-1",
            "1.0000000001",
            "+1",
            "1e3",
            "99999999999999999999",
        ] {
            assert!(bad.parse::<MatchTime>().is_err(), "{bad}");
        }
    }

    /// SMPTE ST 12-1 rates (memory for its text): frame 17982 of 30000/1001 starts at 2999997/5000 s.
    #[test]
    fn ntsc_frames_start_where_the_standard_says() {
        let r: FrameRate = "30000/1001".parse().unwrap();
        assert_eq!(r.time_of(17_982), MatchTime::from_nanos(599_999_400_000));
        assert_eq!(r.time_of(1), MatchTime::from_nanos(33_366_667));
        assert!("29.97".parse::<FrameRate>().is_err());
    }
}
