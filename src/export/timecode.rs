//! Timecode (SMPTE ST 12-1): the label of a frame, drop-frame or not.

use std::fmt;

use thiserror::Error;

use crate::time::FrameRate;

/// How the frames of a rate are labelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Labels {
    rate: FrameRate,
    drop: bool,
}

/// What is wrong with a label, or with labels at a rate.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TimecodeError {
    /// The text is not a label.
    #[error(
        "\"{found}\" is not a timecode; write HH:MM:SS:FF, or HH:MM:SS;FF for drop-frame, as 01:00:00:00"
    )]
    NotALabel {
        /// The text as found.
        found: String,
    },
    /// A label that no frame has at this rate.
    #[error("no frame has the timecode {found} at {rate} frames a second{why}")]
    NoFrame {
        /// The label.
        found: String,
        /// The rate.
        rate: FrameRate,
        /// Why, in words that go on after a semicolon; or nothing.
        why: &'static str,
    },
    /// Drop-frame at a rate that has none.
    #[error("there is no drop-frame timecode at {rate} frames a second; only at 30000/1001 and 60000/1001")]
    NoDrop {
        /// The rate.
        rate: FrameRate,
    },
    /// A frame after the last label.
    #[error("a clip ends after 24 hours of timecode; give an earlier --start-timecode")]
    TooLate,
}

/// A label as somebody wrote it; whether a frame has it depends on the rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Label {
    fields: [u64; 4],
    drop: bool,
}

impl Label {
    /// Whether it is written as drop-frame.
    pub const fn is_drop(self) -> bool {
        self.drop
    }
}

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ([h, m, s, n], mark) = (self.fields, if self.drop { ';' } else { ':' });
        write!(f, "{h:02}:{m:02}:{s:02}{mark}{n:02}")
    }
}

impl std::str::FromStr for Label {
    type Err = TimecodeError;

    fn from_str(text: &str) -> Result<Self, TimecodeError> {
        let wrong = || TimecodeError::NotALabel { found: text.chars().take(40).collect() };
        let parts: Vec<&str> = text.split([':', ';']).collect();
        let number = |p: &&str| (p.len() == 2).then(|| p.parse::<u64>().ok()).flatten();
        let fields: Vec<u64> = parts.iter().map(number).collect::<Option<_>>().ok_or_else(wrong)?;
        let fields: [u64; 4] = fields.try_into().map_err(|_| wrong())?;
        if fields[0] > 23 || fields[1] > 59 || fields[2] > 59 {
            return Err(wrong());
        }
        let drop = text.contains(';');
        // Drop-frame is marked before the frame, by some before every field.
        let marked = text.len() > 8 && text.as_bytes()[8] == b';';
        if drop && !marked { Err(wrong()) } else { Ok(Self { fields, drop }) }
    }
}

impl Labels {
    /// Labels at a rate.
    ///
    /// # Errors
    /// [`TimecodeError::NoDrop`] when the rate has no drop-frame labels.
    pub fn new(rate: FrameRate, drop: bool) -> Result<Self, TimecodeError> {
        let has = rate.per() == 1001 && matches!(rate.frames(), 30_000 | 60_000);
        if drop && !has { Err(TimecodeError::NoDrop { rate }) } else { Ok(Self { rate, drop }) }
    }

    /// Frames in a second of labels: 30 at 30000/1001.
    pub fn nominal(self) -> u64 {
        let (n, d) = (u64::from(self.rate.frames()), u64::from(self.rate.per()));
        (n + d / 2) / d
    }

    /// Labels that are left out in each minute but every tenth.
    fn left_out(self) -> u64 {
        if self.drop { self.nominal() / 15 } else { 0 }
    }

    /// The number of the frame that has a label, counted from that of 00:00:00:00.
    ///
    /// # Errors
    /// [`TimecodeError::NoFrame`] when no frame has it.
    pub fn frame(self, label: Label) -> Result<u64, TimecodeError> {
        let [h, m, s, n] = label.fields;
        let no = |why| TimecodeError::NoFrame { found: label.to_string(), rate: self.rate, why };
        if n >= self.nominal() {
            return Err(no(""));
        }
        if s == 0 && n < self.left_out() && m % 10 != 0 {
            return Err(no("; drop-frame leaves it out"));
        }
        let minutes = h * 60 + m;
        let before = ((h * 60 + m) * 60 + s) * self.nominal() + n;
        Ok(before - self.left_out() * (minutes - minutes / 10))
    }

    /// The label of a frame.
    ///
    /// # Errors
    /// [`TimecodeError::TooLate`] after 24 hours of labels.
    pub fn label(self, frame: u64) -> Result<Label, TimecodeError> {
        let (fps, out) = (self.nominal(), self.left_out());
        let (ten, minute) = (fps * 600 - out * 9, fps * 60 - out);
        let (tens, rest) = (frame / ten, frame % ten);
        // The first minute of ten has all its labels.
        let minutes = if rest < fps * 60 { 0 } else { 1 + (rest - fps * 60) / minute };
        let n = frame + out * (tens * 9 + minutes);
        let fields = [n / (fps * 3600), n / (fps * 60) % 60, n / fps % 60, n % fps];
        if fields[0] > 23 { Err(TimecodeError::TooLate) } else { Ok(Label { fields, drop: self.drop }) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rate(text: &str) -> FrameRate {
        text.parse().unwrap()
    }

    #[test]
    fn drop_frame_labels_are_those_of_the_standard() {
        let labels = Labels::new(rate("30000/1001"), true).unwrap();
        for (frame, label) in [
            (0, "00:00:00;00"),
            (1799, "00:00:59;29"),
            (1800, "00:01:00;02"),
            (17_981, "00:09:59;29"),
            (17_982, "00:10:00;00"),
            (107_892, "01:00:00;00"),
        ] {
            assert_eq!(labels.label(frame).unwrap().to_string(), label);
            assert_eq!(labels.frame(label.parse().unwrap()), Ok(frame));
        }
        let refused = labels.frame("00:01:00;01".parse().unwrap()).unwrap_err().to_string();
        assert!(refused.ends_with("drop-frame leaves it out"), "{refused}");
        let fast = Labels::new(rate("60000/1001"), true).unwrap();
        assert_eq!(fast.label(3600).unwrap().to_string(), "00:01:00;04");
        assert!(fast.frame("00:01:00;03".parse().unwrap()).is_err());
        assert!(Labels::new(rate("25"), true).is_err());
        for bad in
            ["", "1:2:3:4", "00:00:60:00", "24:00:00:00", "00;00:00:00", "00:00:00:00:00", "aa:bb:cc:dd"]
        {
            assert!(bad.parse::<Label>().is_err(), "{bad}");
        }
    }

    proptest! {
        #[test]
        fn every_frame_has_its_own_label(
            which in prop::sample::select(vec![
                ("24000/1001", false), ("25", false), ("30000/1001", true), ("30000/1001", false), ("50", false),
                ("60000/1001", true), ("60000/1001", false),
            ]),
            frame in 0u64..2_000_000,
        ) {
            let labels = Labels::new(rate(which.0), which.1).unwrap();
            let label = labels.label(frame).unwrap();
            prop_assert_eq!(labels.frame(label), Ok(frame));
            prop_assert_eq!(label.to_string().parse::<Label>().unwrap(), label);
        }
    }
}
