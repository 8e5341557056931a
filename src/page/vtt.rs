//! The captions of a clip, as WebVTT (W3C).

#[cfg(any(feature = "video", test))]
use std::fmt::Write;
#[cfg(any(feature = "video", test))]
use std::time::Duration;

/// The captions of a clip: one cue with this text, for as long as it lasts; no cue when there is none.
#[cfg(any(feature = "video", test))]
pub(super) fn captions(text: &str, lasts: Duration) -> String {
    let mut out = String::from("WEBVTT\n");
    if !text.is_empty() {
        let end = (lasts.as_millis() as u64).max(1);
        let (h, m, s) = (end / 3_600_000, end / 60_000 % 60, end / 1000 % 60);
        // Writing to a text cannot fail.
        let _ =
            write!(out, "\n1\n00:00:00.000 --> {h:02}:{m:02}:{s:02}.{:03}\n{}\n", end % 1000, escaped(text));
    }
    out
}

/// What a cue says: a caption without empty lines, which would end it.
pub(super) fn cue(caption: &str) -> String {
    caption.lines().filter(|l| !l.trim().is_empty()).collect::<Vec<_>>().join("\n")
}

#[cfg(any(feature = "video", test))]
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
