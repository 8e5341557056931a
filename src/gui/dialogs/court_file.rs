//! A court picture of an answer of Study as a file.

use std::path::Path;

use crate::drawing::CourtPlan;
use crate::measure::Size;
use crate::paint::{self, Canvas, PaintError, Vector, vector};
use crate::session::exporting::{ExportFailure, Source};

/// What a picture's file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PictureFormat {
    /// Pixels.
    Png,
    /// Lines, which can be enlarged and edited.
    Svg,
}

/// Upright, large enough to print.
const PAGE: Size = Size::new(1000, 1500);

impl PictureFormat {
    /// Every format.
    pub const ALL: [Self; 2] = [Self::Png, Self::Svg];

    /// How its file ends, without the dot.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Png => "png",
            Self::Svg => "svg",
        }
    }

    /// What it is, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Svg => "SVG, to enlarge or edit",
        }
    }

    fn bytes(self, plan: &CourtPlan) -> Result<Vec<u8>, PaintError> {
        let paint = |cr: &gtk::cairo::Context| paint::court(cr, plan, PAGE, false).map(drop);
        if self == Self::Svg {
            return vector(Vector::Svg, PAGE, paint);
        }
        let mut canvas = Canvas::opaque(PAGE)?;
        canvas.paint(paint)?;
        canvas.png()
    }

    /// Paints it into a file; the record and whatever is the user's own is never replaced.
    ///
    /// # Errors
    /// [`ExportFailure`]; nothing is then written.
    pub fn save(self, plan: &CourtPlan, source: &Source, to: &Path) -> Result<(), ExportFailure> {
        let bytes = self.bytes(plan).map_err(|e| ExportFailure::Paint(Box::new(e)))?;
        source.save_bytes(&bytes, to)
    }
}
