//! The score ribbon: `layout` says where everything stands, `drawing` how it looks, `widget` what it does; the `bed` scrolls it.

mod bed;
mod drawing;
mod layout;
#[cfg(test)]
pub(in crate::gui) mod tests;
mod widget;

pub use bed::RibbonBed;
pub use widget::scale;
