//! The star: a tag by which the user finds a point again. It says nothing about the play, so it makes no point a tagged one.

/// The tag that is the star.
pub const STAR: &str = "starred";

/// Whether a tag is the star, however it is written.
pub fn is_star(tag: &str) -> bool {
    tag.trim().eq_ignore_ascii_case(STAR)
}
