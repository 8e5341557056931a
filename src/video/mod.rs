//! Everything GStreamer; the only room that touches it.
