//! The window: its `frame` with the `title`, the `switch` of the rooms, the sign whether all is `saved`, and the `message`
//! bar; the `rooms` in it; `keys`; what the model `wants` of a window; `lessons` and what they need of it; `leaving` it. `wiring` puts it together.

#[cfg(test)]
mod clips_heard_tests;
#[cfg(test)]
mod clips_tests;
#[cfg(test)]
mod cuts_tests;
mod frame;
#[cfg(test)]
mod jump_bench;
mod keys;
mod leaving;
mod lessons;
mod menu;
mod message;
#[cfg(test)]
mod places_tests;
mod rooms;
mod saved;
pub(in crate::gui) mod state;
mod switch;
#[cfg(test)]
pub(in crate::gui) mod tests;
mod title;
mod wants;
mod wiring;

pub use frame::Window;
