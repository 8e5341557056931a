//! The clips of a lesson in the formats of clip lists.

use std::io::Write;
use std::path::Path;
use std::time::Duration;

use super::answer::{CliError, complain};
use crate::clips::Lead;
use crate::export::timecode::Label;
use crate::export::{Format, Of, Sheet, name_from};
use crate::lesson::{Clip, Lesson, Part, listed};
use crate::record::footage::name_path;
use crate::record::load;
use crate::saving::{Replace, folder, save};

/// How the clips are written.
pub(super) struct Wanted<'a> {
    pub(super) format: Format,
    pub(super) start_timecode: Option<Label>,
    pub(super) file: Option<&'a str>,
    pub(super) out: Option<&'a Path>,
}

/// Writes the clips of the lesson at `path`.
///
/// # Errors
/// [`CliError`] when they do not fit the format, or the file cannot be written.
pub(super) fn write(
    wanted: &Wanted<'_>,
    (path, lesson): (&Path, &Lesson),
    out: &mut dyn Write,
) -> Result<(), CliError> {
    let failed = |e: crate::export::ExportError| CliError::Failed(e.to_string());
    let (names, list) = listed(lesson);
    let of = |name: &String| {
        let record = Some(name).filter(|name| !name.is_empty());
        let known = record.and_then(|name| load(&folder(path).join(name_path(name))).ok());
        let bare = || Of { file: name.clone(), a: String::new(), b: String::new() };
        known.map_or_else(bare, |(record, _)| Of::record(name, &record))
    };
    let lead = Lead { before: Duration::ZERO, after: Duration::ZERO, merge: false };
    let mut sheet = Sheet::new(&lesson.title, names.iter().map(of).collect(), lead, list);
    sheet.start_timecode = wanted.start_timecode;
    if let Some(file) = wanted.file {
        sheet.keep_file(file).map_err(failed)?;
    }
    name_from(&mut sheet, &vec![path.to_owned(); names.len()], wanted.out).map_err(failed)?;
    let text = wanted.format.text(&sheet).map_err(failed)?;
    if has_more(lesson) {
        complain(
            &"a list of clips has only their spans and words: speeds, freezes, drawings, repeats, headings, stills and the talk are left out",
        );
    }
    match wanted.out {
        Some(to) => Ok(save(to, &text, Replace::Nothing, &[path])?),
        None => Ok(out.write_all(text.as_bytes())?),
    }
}

/// Whether a lesson holds what a clip list does not.
fn has_more(lesson: &Lesson) -> bool {
    let full = |clip: &Clip| {
        !(clip.stretches.is_empty()
            && clip.freezes.is_empty()
            && clip.drawings.is_empty()
            && clip.times.is_none())
    };
    let part = |part: &Part| match part {
        Part::Clip(clip) => full(clip),
        Part::Chapter(_) | Part::Pair(_) | Part::Still(_) => true,
    };
    lesson.talk.is_some() || lesson.parts.iter().any(part)
}
