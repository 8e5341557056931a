//! The footage: the frame on the screen, which can be zoomed and dragged; the drawings over it; the bar under it; the transport.

pub mod bar;
mod bar_track;
pub mod drawn;
pub mod paintable;
pub mod transport;
pub mod view;
