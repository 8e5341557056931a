//! Chapters of one footage file: Matroska chapters as XML (RFC 9559), and lines for a video's description.

use std::fmt::Write;
use std::io;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::error::ExportError;
use super::sheet::{Sheet, plain_line};
use super::xspf::legal;
use crate::clips::Clip;
use crate::time::MatchTime;

/// A clip list as Matroska chapters.
///
/// # Errors
/// [`ExportError::SeveralFiles`] when the clips are of more than one file.
pub fn matroska(sheet: &Sheet) -> Result<String, ExportError> {
    sheet.one_file("Matroska chapters are")?;
    let failed = |why: String| ExportError::Make { format: "Matroska chapters", why };
    let mut out = Writer::new_with_indent(Vec::new(), b' ', 2);
    edition(&mut out, sheet).map_err(|e| failed(e.to_string()))?;
    let mut text = String::from_utf8(out.into_inner()).map_err(|e| failed(e.to_string()))?;
    text.push('\n');
    Ok(text)
}

fn edition(out: &mut Writer<Vec<u8>>, sheet: &Sheet) -> io::Result<()> {
    out.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    out.create_element("Chapters").write_inner_content(|out| {
        out.create_element("EditionEntry").write_inner_content(|out| {
            sheet.clips.iter().enumerate().try_for_each(|(n, clip)| atom(out, n, clip))
        })?;
        Ok(())
    })?;
    Ok(())
}

fn atom(out: &mut Writer<Vec<u8>>, n: usize, clip: &Clip) -> io::Result<()> {
    out.create_element("ChapterAtom").write_inner_content(|out| {
        element(out, "ChapterUID", &(n + 1).to_string())?;
        element(out, "ChapterTimeStart", &nanos(clip.file_span.start()))?;
        element(out, "ChapterTimeEnd", &nanos(clip.file_span.end()))?;
        out.create_element("ChapterDisplay").write_inner_content(|out| {
            element(out, "ChapterString", &legal(&clip.label))?;
            element(out, "ChapterLanguage", "eng")
        })?;
        Ok(())
    })?;
    Ok(())
}

fn element(out: &mut Writer<Vec<u8>>, name: &str, text: &str) -> io::Result<()> {
    out.create_element(name).write_text_content(BytesText::new(text))?;
    Ok(())
}

fn nanos(t: MatchTime) -> String {
    let (s, n) = (t.nanos() / 1_000_000_000, t.nanos() % 1_000_000_000);
    format!("{:02}:{:02}:{:02}.{n:09}", s / 3600, s / 60 % 60, s % 60)
}

/// A clip list as lines `M:SS title`, for a video's description. The first line is at 0:00, as such lists must begin there.
///
/// # Errors
/// [`ExportError::SeveralFiles`] when the clips are of more than one file.
pub fn lines(sheet: &Sheet) -> Result<String, ExportError> {
    sheet.one_file("chapter lines are")?;
    let mut clips: Vec<&Clip> = sheet.clips.iter().collect();
    clips.sort_by_key(|c| c.file_span.start());
    let mut out = String::new();
    if clips.first().is_none_or(|c| c.file_span.start() >= MatchTime::from_secs(1)) {
        let _ = writeln!(out, "0:00 {}", plain_line(&sheet.title));
    }
    for clip in clips {
        let s = clip.file_span.start().nanos() / 1_000_000_000;
        let (h, m, s) = (s / 3600, s / 60 % 60, s % 60);
        let at = if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") };
        let _ = writeln!(out, "{at} {}", plain_line(&clip.label));
    }
    Ok(out)
}
