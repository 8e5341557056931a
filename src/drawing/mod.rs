//! Drawings on a picture: what a coach draws to show something, and where in the picture it lies. Pure.
//!
//! A drawing lies on the ground of the court, in millimetres, or flat on the picture, in ten-thousandths of its width and height, so
//! that it fits every size. What lies on the ground stays there while the camera moves. Times are those of the document that holds
//! the drawing: the match clock in a record, the file's own time in a lesson.
//!
//! From left to right: `model` is what a drawing is, `view` which pixel shows a place, `path` and `clip` are lines in one plane,
//! `laid` turns a drawing and a view into [`Piece`]s in pixels; `plan` is a picture of the court from above. The room `paint/` draws those.

mod clip;
mod laid;
mod model;
mod path;
mod plan;
mod view;

pub use laid::{Piece, Sits, laid};
pub use model::{Anchor, Colour, Drawing, Shape};
pub use plan::{CellCount, CourtPlan, Dot, Way};
pub use view::{Units, View};
