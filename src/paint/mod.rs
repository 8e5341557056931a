//! Drawings and pictures of the court with cairo: the same code for the window, PNG, SVG and PDF. Needs no display.
//!
//! To paint drawings over a frame: make a [`View`] of the frame's size, with the camera of that moment if there is one
//! ([`View::of`]), choose the drawings that are seen ([`crate::drawing::Drawing::seen_at`]), and call [`drawings`] on any cairo
//! context whose unit is a pixel of that view.
//!
//! - a frame as pixels: [`Canvas::over`] copies the frame, [`Canvas::paint`] paints, [`Canvas::pixels`] or [`Canvas::png`] gives it back;
//! - a layer to put over frames: [`Canvas::clear`], whose pixels are blue, green, red, alpha, premultiplied;
//! - SVG and PDF: [`vector`] with the same closure.
//!
//! [`court`] paints a picture of the court from above, a [`crate::drawing::CourtPlan`], and gives the [`View`] with which drawings
//! on its ground can be painted over it.
//!
//! ```ignore
//! let view = View::of(camera.as_ref(), Size::new(frame.width, frame.height));
//! let mut canvas = Canvas::over(frame.pixels.as_ref(), frame.stride, view.size(), view.size())?;
//! canvas.paint(|cr| paint::drawings(cr, &seen, &view, Units::Metres))?;
//! let bgrx: Vec<u8> = canvas.pixels()?;
//! ```

mod canvas;
mod court;
mod drawing;
mod error;
mod text;

pub use canvas::{Canvas, Vector, vector};
pub use court::court;
pub use drawing::drawings;
pub use error::PaintError;
pub use text::{Align, Text};

#[cfg(doc)]
use crate::drawing::View;
