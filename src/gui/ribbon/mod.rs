//! The score ribbon: `layout` says where everything stands, `along` which moment of the film that is, `drawing` how it looks,
//! `widget` what it does and `drag` what a hand does that drags over it; the `bed` scrolls it.

mod along;
mod bed;
mod drag;
mod drawing;
mod layout;
#[cfg(test)]
pub(in crate::gui) mod tests;
mod widget;

pub use bed::RibbonBed;
pub use widget::scale;
