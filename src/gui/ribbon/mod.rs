//! The score ribbon: `layout` says where everything stands, `drawing` how it looks, `widget` what it does.

mod drawing;
mod layout;
#[cfg(test)]
pub(in crate::gui) mod tests;
mod widget;

pub use widget::{Ribbon, scale};
