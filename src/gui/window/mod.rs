//! The window: its `frame`, the `rooms` in it, and what the model `wants` of a window. It knows pages, not their insides.

mod frame;
#[cfg(test)]
mod places_tests;
pub(in crate::gui) mod rooms;
#[cfg(test)]
pub(in crate::gui) mod tests;
mod wants;

pub use frame::Window;
