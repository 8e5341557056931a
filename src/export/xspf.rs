//! XSPF 1 playlist whose locations carry Media Fragments (W3C Media Fragments URI 1.0, temporal, NPT).

use std::io;

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_encode};
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::csv::seconds;
use super::error::ExportError;
use super::sheet::{Sheet, one_line};
use crate::clips::Clip;
use crate::record::footage::name_path;

/// The namespace of XSPF 1.
const NAMESPACE: &str = "http://xspf.org/ns/0/";

/// All but the unreserved characters of RFC 3986 and the slash between folders. A colon is encoded too, or a first
/// part like `a:b` would be read as a scheme.
const ENCODED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'/');

/// A clip list as an XSPF playlist, one track a clip.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn clips(sheet: &Sheet) -> Result<String, ExportError> {
    let failed = |why: String| ExportError::Make { format: "XSPF", why };
    let mut out = Writer::new_with_indent(Vec::new(), b' ', 2);
    playlist(&mut out, sheet).map_err(|e| failed(e.to_string()))?;
    let mut text = String::from_utf8(out.into_inner()).map_err(|e| failed(e.to_string()))?;
    text.push('\n');
    Ok(text)
}

fn playlist(out: &mut Writer<Vec<u8>>, sheet: &Sheet) -> io::Result<()> {
    out.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let attributes = [("version", "1"), ("xmlns", NAMESPACE)];
    out.create_element("playlist").with_attributes(attributes).write_inner_content(|out| {
        element(out, "title", &sheet.title)?;
        out.create_element("trackList").write_inner_content(|out| {
            sheet.clips.iter().enumerate().try_for_each(|(n, clip)| track(out, n, clip))
        })?;
        Ok(())
    })?;
    Ok(())
}

fn track(out: &mut Writer<Vec<u8>>, n: usize, clip: &Clip) -> io::Result<()> {
    out.create_element("track").write_inner_content(|out| {
        element(out, "location", &location(clip))?;
        element(out, "title", &clip.label)?;
        element(out, "annotation", &clip.about)?;
        element(out, "trackNum", &(n + 1).to_string())?;
        element(out, "duration", &millis(clip).to_string())
    })?;
    Ok(())
}

/// Length in milliseconds, to the nearest.
fn millis(clip: &Clip) -> u128 {
    (clip.file_span.length().as_nanos() + 500_000) / 1_000_000
}

/// The file as a relative URI (or `file:` for an absolute path) with the clip as its fragment: `a%20b.mp4#t=8,16`.
fn location(clip: &Clip) -> String {
    let path = uri(&clip.file);
    let (start, end) = (seconds(clip.file_span.start()), seconds(clip.file_span.end()));
    format!("{path}#t={start},{end}")
}

/// A file as a relative URI, or `file:` for an absolute path.
pub(super) fn uri(file: &str) -> String {
    let path = name_path(file);
    let path = percent_encode(path.as_os_str().as_encoded_bytes(), ENCODED);
    let scheme = if file.starts_with('/') { "file://" } else { "" };
    format!("{scheme}{path}")
}

/// Text that XML may hold, on one line.
pub(super) fn legal(text: &str) -> String {
    one_line(text).chars().filter(|c| !matches!(c, '\u{fffe}' | '\u{ffff}')).collect()
}

fn element(out: &mut Writer<Vec<u8>>, name: &str, text: &str) -> io::Result<()> {
    out.create_element(name).write_text_content(BytesText::new(&legal(text)))?;
    Ok(())
}
