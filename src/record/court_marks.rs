//! Where the court was seen in a picture of the footage: the marks that a camera is worked out from.
//!
//! Only the marks are stored. The camera and all places in metres follow from them, so a mark that is put right puts every
//! measured place right.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::measure::{self, CalibrationError, Pixel, Size};
use crate::tennis::court::{LANDMARKS, Landmark};
use crate::time::MatchTime;

/// A distance in a picture in hundredths of a pixel, finer than anybody can point. In JSON it is in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Px(i32);

impl Px {
    /// Farther than this from a picture's edge, in pixels, nothing is seen.
    pub const FARTHEST: f64 = 100_000.0;

    /// The nearest hundredth; at most 100,000 pixels either way.
    pub fn new(pixels: f64) -> Self {
        Self((pixels.clamp(-Self::FARTHEST, Self::FARTHEST) * 100.0).round() as i32)
    }

    /// In pixels.
    pub fn pixels(self) -> f64 {
        f64::from(self.0) / 100.0
    }
}

impl Serialize for Px {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_f64(self.pixels())
    }
}

impl<'de> Deserialize<'de> for Px {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let pixels = f64::deserialize(from)?;
        if pixels.abs() <= Self::FARTHEST {
            return Ok(Self::new(pixels));
        }
        let found = serde::de::Unexpected::Float(pixels);
        Err(serde::de::Error::invalid_value(found, &"a number of pixels from -100000 to 100000"))
    }
}

impl JsonSchema for Px {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Px".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "number", "minimum": -Self::FARTHEST, "maximum": Self::FARTHEST })
    }
}

/// A place in a picture, in pixels from its left and top edge; the middle of the first pixel is at 0.5.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Dot {
    /// From the left edge.
    pub x: Px,
    /// From the top edge.
    pub y: Px,
}

impl From<Pixel> for Dot {
    fn from(at: Pixel) -> Self {
        Self { x: Px::new(at.x), y: Px::new(at.y) }
    }
}

impl From<Dot> for Pixel {
    fn from(at: Dot) -> Self {
        Self::new(at.x.pixels(), at.y.pixels())
    }
}

/// The name of a landmark of the court, as the camera sees it; in the order of [`LANDMARKS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[expect(missing_docs, reason = "the names say it, and `LANDMARKS` says where each is")]
pub enum Corner {
    NearLeftDoublesCorner,
    NearLeftSinglesCorner,
    NearRightSinglesCorner,
    NearRightDoublesCorner,
    NearServiceLineLeft,
    NearT,
    NearServiceLineRight,
    FarServiceLineLeft,
    FarT,
    FarServiceLineRight,
    FarLeftDoublesCorner,
    FarLeftSinglesCorner,
    FarRightSinglesCorner,
    FarRightDoublesCorner,
}

impl Corner {
    /// Every one, in the order of [`LANDMARKS`].
    pub const ALL: [Self; 14] = [
        Self::NearLeftDoublesCorner,
        Self::NearLeftSinglesCorner,
        Self::NearRightSinglesCorner,
        Self::NearRightDoublesCorner,
        Self::NearServiceLineLeft,
        Self::NearT,
        Self::NearServiceLineRight,
        Self::FarServiceLineLeft,
        Self::FarT,
        Self::FarServiceLineRight,
        Self::FarLeftDoublesCorner,
        Self::FarLeftSinglesCorner,
        Self::FarRightSinglesCorner,
        Self::FarRightDoublesCorner,
    ];

    /// The landmark: its words and its place on the ground.
    pub const fn landmark(self) -> Landmark {
        LANDMARKS[self as usize]
    }
}

/// A landmark and the pixel where it was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CourtMark {
    /// Which one.
    pub landmark: Corner,
    /// Where.
    pub at: Dot,
}

/// Who found something in a picture.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum FoundBy {
    /// A person marked it.
    #[default]
    Hand,
    /// The program found it and was sure; a person accepted it.
    Found,
    /// The program proposed it; a person checked it against the picture, and accepted or corrected it.
    Checked,
}

impl FoundBy {
    /// For serde: what a person marked is not said.
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
    pub(super) const fn is_hand(&self) -> bool {
        matches!(self, Self::Hand)
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Hand => "marked by hand",
            Self::Found => "found, and accepted",
            Self::Checked => "proposed, and checked",
        }
    }
}

/// The landmarks of the court that were marked in one picture. They hold from its frame on until the next marked picture of
/// the same file; those of the first one hold before its frame too.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CourtMarks {
    /// The file of footage, by the name that it has in `footage`.
    pub file: String,
    /// The time of the frame in that file, from its first moment.
    pub at: MatchTime,
    /// How large the picture is, as it is shown.
    pub size: Size,
    /// The marks, each of another landmark.
    pub marks: Vec<CourtMark>,
    /// Who found them.
    #[serde(default, skip_serializing_if = "FoundBy::is_hand")]
    pub by: FoundBy,
    /// Where the middle of the lens is, if the picture was cropped and that is not its middle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre: Option<Dot>,
    /// Whether the camera moves: then the marks hold for their own frame only, and the court is followed from there.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub moving: bool,
}

impl CourtMarks {
    /// The camera that fits the marks.
    ///
    /// # Errors
    /// When they are too few, lie on one line, or no camera sees them like this.
    pub fn solve(&self) -> Result<measure::Calibration, CalibrationError> {
        let mark = |m: &CourtMark| measure::Mark { landmark: m.landmark.landmark(), pixel: m.at.into() };
        let marks: Vec<_> = self.marks.iter().map(mark).collect();
        measure::Calibration::cropped(&marks, self.size, self.centre.map_or(self.size.middle(), Pixel::from))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_names_are_those_of_the_landmarks() {
        for (n, (corner, landmark)) in Corner::ALL.into_iter().zip(LANDMARKS).enumerate() {
            assert_eq!(corner as usize, n);
            let name = serde_json::to_value(corner).unwrap().as_str().unwrap().to_owned();
            let words = landmark.name.replace(" x ", " ").replace(" singles", "").to_lowercase();
            let words = if landmark.name.contains("corner") { landmark.name.into() } else { words };
            assert_eq!(name, words.replace(' ', "-"));
        }
    }

    #[test]
    fn pixels_are_kept_to_a_hundredth() {
        for (text, back) in [("640.25", "640.25"), ("7", "7.0"), ("-0.004", "0.0"), ("1279.999", "1280.0")] {
            let px: Px = serde_json::from_str(text).unwrap();
            assert_eq!(serde_json::to_string(&px).unwrap(), back);
            assert_eq!(serde_json::from_str::<Px>(back).unwrap(), px);
        }
        assert!(serde_json::from_str::<Px>("1e6").is_err());
        assert_eq!(Px::new(f64::NAN), Px(0));
    }
}
