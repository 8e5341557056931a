//! A printed sheet, with pictures from the footage.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use super::error::MakingError;
use super::place::vacant;
use super::source::{Source, Watch};
use crate::lesson::Part;
use crate::measure::Size;
use crate::page::{Names, readable};
use crate::paint::Canvas;
use crate::record::printable;
use crate::saving::{Replace, save};
use crate::sheet::{Moment, Sheet, Still, of_lesson, pdf};
use crate::video::frame_at;

/// How many pictures a finding has, and how wide they are in pixels.
const PICTURES: usize = 2;
const WIDE: u32 = 600;

/// The pictures of each finding; of those that are left out nothing.
pub type Stills = Vec<Vec<Still>>;

/// The sheet of a lesson, the pictures of its clips, and which of these are left out and why. Waits.
///
/// # Errors
/// [`MakingError::Stopped`].
pub fn sheet_of_lesson(
    of: &Source,
    names: &Names,
    watch: Watch<'_>,
) -> Result<(Sheet, Stills, Vec<String>), MakingError> {
    let clips: Vec<_> = of.lesson.parts.iter().flat_map(Part::clips).collect();
    let sheet = of_lesson(&of.lesson);
    let path = |moment: &Moment| {
        let clip = clips.get(moment.source).ok_or(MakingError::Unknown)?;
        of.path(&clip.footage)
    };
    let (stills, said) = stills(&sheet, &path, watch)?;
    Ok((sheet.with_texts(&|text| names.shown(&readable(text))), stills, said))
}

/// The pictures of the first clips of each finding, from the files that `path` finds; and which are left out and why.
///
/// # Errors
/// [`MakingError::Stopped`].
pub fn stills(
    sheet: &Sheet,
    path: &dyn Fn(&Moment) -> Result<PathBuf, MakingError>,
    watch: Watch<'_>,
) -> Result<(Stills, Vec<String>), MakingError> {
    let (mut all, mut said) = (Vec::new(), Vec::new());
    let count = sheet.findings.iter().map(|f| f.moments.len().min(PICTURES)).sum::<usize>().max(1);
    let mut done = 0;
    for finding in &sheet.findings {
        let mut of_it = Vec::new();
        for moment in finding.moments.iter().take(PICTURES) {
            let part = f64::from(done) / count as f64;
            let picture = path(moment).and_then(|p| still(&p, moment, &mut |_| watch(part)));
            if watch(part).is_break() {
                return Err(MakingError::Stopped);
            }
            of_it.push(
                picture.map_err(|why| said.push(format!("{}: {why}", printable(&moment.file, 400)))).ok(),
            );
            done += 1;
        }
        all.push(of_it);
    }
    Ok((all, said))
}

fn still(
    path: &Path,
    moment: &Moment,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Canvas, MakingError> {
    let frame = frame_at(path, Some(moment.picture), watch)?;
    let (width, height) = frame.display_size();
    let wide = width.clamp(1, WIDE);
    let size = Size::new(wide, (u64::from(height) * u64::from(wide) / u64::from(width.max(1))).max(1) as u32);
    let whole = Size::new(frame.width, frame.height);
    Ok(Canvas::over(frame.pixels.as_ref(), frame.stride, whole, size)?)
}

/// Whether a sheet may be written at `out`. Nobody can tell a sheet of ours from another PDF, so none is ever replaced.
///
/// # Errors
/// [`MakingError`] when something is there, or the name is not that of a PDF.
pub fn check_sheet(out: &Path) -> Result<(), MakingError> {
    if !out.extension().is_some_and(|e| e.eq_ignore_ascii_case("pdf")) {
        return Err(MakingError::Ending { path: out.to_owned(), ending: "pdf" });
    }
    vacant(out)
}

/// Writes a sheet as a PDF of one page, to a file that must not exist yet. `reads` are the files that it was made of.
///
/// # Errors
/// [`MakingError`]; nothing is then written.
pub fn write_sheet(
    sheet: &Sheet,
    stills: &[Vec<Still>],
    out: &Path,
    reads: &[&Path],
) -> Result<(), MakingError> {
    if sheet.findings.is_empty() {
        return Err(MakingError::NothingToPrint);
    }
    check_sheet(out)?;
    Ok(save(out, &pdf(sheet, stills)?, Replace::Nothing, reads)?)
}
