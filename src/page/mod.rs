//! Pages: a lesson as a folder that any browser opens from the disk, without a network.
//!
//! `names` shortens names, `budget` decides how large each clip may be, `picture` puts drawings and the court into SVG, `along` those
//! over a clip that plays, `content` is
//! all that a page says, which `page.html` (with its style sheet and its script) lays out, and `vtt` the captions. All of it is
//! pure. Only `make` cuts clips, so it needs the footage.

mod along;
mod budget;
mod content;
#[cfg(feature = "video")]
mod make;
mod names;
mod picture;
#[cfg(test)]
mod tests;
mod text;
mod vtt;

pub use budget::{Budget, BudgetError, Film, Sizes};
pub use content::{Content, SCRIPT, STYLE, html};
#[cfg(feature = "video")]
pub use make::{PageError, Planned, Wish, make, plan};
pub use names::{Names, Naming};
pub use text::readable;
