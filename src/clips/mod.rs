//! A clip, a clip list, lead-in and lead-out.
