//! The court pad: `court` says where the half court lies and how it is drawn, `widget` lays the keys over it.

pub mod court;
#[cfg(test)]
mod tests;
mod widget;

pub use widget::{Face, Pad};
