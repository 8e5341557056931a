//! The footage: the frame on the screen, which can be zoomed and dragged; the bar under it; the transport.

pub mod bar;
mod bar_track;
pub mod paintable;
pub mod transport;
pub mod view;
