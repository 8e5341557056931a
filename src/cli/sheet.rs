//! `changeover sheet`: three findings on one printed page.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, CliError, complain};
use super::page::{Called, people};
use super::reading::shown;
use super::summary::{Asked, files, read};
use crate::counted::{Counted, Noun};
use crate::lesson::{Lesson, Part, find, load};
use crate::measure::Size;
use crate::page::{Names, readable};
use crate::paint::Canvas;
use crate::record::footage::footage_path;
use crate::record::{Record, printable};
use crate::saving::{Replace, folder, save};
use crate::sheet::{Moment, Sheet, Still, of_lesson, of_study, pdf};
use crate::summary::study::{Facets, Findings, Pool, ask, starter};
use crate::video::frame_at;

const EXAMPLES: &str = "\
Examples:
  changeover sheet final.points.json --for Holt --out holt.pdf
  changeover sheet season/*.points.json --for Holt --out holt.pdf
  changeover sheet drops.lesson.json --out drops.pdf

Writes one page of A4 as PDF: three findings, each with its numbers in words, a picture of the court, pictures of its clips, and \
when its clips begin; below, lines for the coach's hand. Of records these are the clearest differences that the questions of Study \
find, or their first lines where they find none. Of a lesson they are its first three chapters. No amount of training is \
prescribed. Names are replaced by first names wherever the records name the players. Footage that is away is named on standard \
error, and its pictures are left out.

Exit codes: 0 written, 1 a file cannot be read or written, 2 the command line was not understood.";

/// The arguments of `sheet`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// A lesson, or records.
    #[arg(required = true, value_name = "LESSON|RECORD")]
    sources: Vec<PathBuf>,
    #[command(flatten)]
    asked: Asked,
    /// Write the sheet to this file, which must not exist yet: NAME.pdf.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// How players are named.
    #[arg(long, value_enum, default_value_t = Called::First)]
    names: Called,
}

/// Writes the sheet.
///
/// # Errors
/// [`CliError`] when a file cannot be read or written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    // Nobody can tell a sheet of ours from another PDF, so none is ever replaced.
    if args.out.symlink_metadata().is_ok() {
        let name = shown(&args.out);
        return Err(CliError::Failed(format!("{name} is there already; choose another name")));
    }
    let is_lesson = |p: &&PathBuf| p.to_string_lossy().to_lowercase().ends_with(".lesson.json");
    let (sheet, stills) = match (&args.sources[..], args.sources.iter().find(is_lesson)) {
        ([one], Some(_)) => lesson(one, args.names)?,
        (_, Some(lesson)) => {
            let name = shown(lesson);
            return Err(CliError::Failed(format!("{name} is a lesson; give it alone, or only records")));
        }
        (_, None) => study(args)?,
    };
    if sheet.findings.is_empty() {
        return Err(CliError::Failed("nothing was found to print: there are no points or clips".into()));
    }
    let bytes = pdf(&sheet, &stills).map_err(|e| CliError::Failed(e.to_string()))?;
    let reads: Vec<&Path> = args.sources.iter().map(PathBuf::as_path).collect();
    save(&args.out, &bytes, Replace::Nothing, &reads)?;
    let found = sheet.findings.len();
    writeln!(out, "{}: {found} finding{}", shown(&args.out), if found == 1 { "" } else { "s" })?;
    Ok(ExitCode::SUCCESS)
}

fn lesson(path: &Path, called: Called) -> Result<(Sheet, Vec<Vec<Still>>), CliError> {
    let (lesson, told): (Lesson, _) = load(path)?;
    for said in &told {
        complain(said);
    }
    let names = Names::of(&people(&lesson, folder(path)), called.naming());
    let clips: Vec<_> = lesson.parts.iter().flat_map(Part::clips).collect();
    let sheet = of_lesson(&lesson);
    let stills = stills(&sheet, &|moment| {
        let clip = clips.get(moment.source).ok_or_else(gone)?;
        find(path, &clip.footage).file().map_err(|why| CliError::Failed(why.to_string()))
    });
    Ok((sheet.with_texts(&|text| names.shown(&readable(text))), stills))
}

fn study(args: &Args) -> Result<(Sheet, Vec<Vec<Still>>), CliError> {
    let questions = starter(&args.asked.file()?.patterns);
    let pool = Pool::new(read(&args.sources)?);
    let records = pool.records();
    let facets = Facets { whose: args.asked.whose(&records)?, ..Facets::default() };
    let found: Vec<Findings> = questions.iter().map(|q| ask(&pool, q, &facets)).collect();
    let everybody = records.iter().flat_map(|r| r.about.people().map(|(_, p)| p.name.clone()));
    let names = Names::of(&everybody.collect::<Vec<_>>(), args.names.naming());
    let sheet = of_study(title(&records), &records, &found);
    let paths = files(&args.sources, &pool);
    let stills = stills(&sheet, &|moment| {
        let (record, path) = records.get(moment.source).zip(paths.get(moment.source)).ok_or_else(gone)?;
        let footage = record.footage.iter().find(|f| f.file == moment.file).ok_or_else(gone)?;
        footage_path(path, footage).map_err(|e| CliError::Failed(e.to_string()))
    });
    Ok((sheet.with_texts(&|text| names.shown(&readable(text))), stills))
}

fn title(records: &[&Record]) -> String {
    match records {
        [one] => format!("{} – {}", one.about.a.name, one.about.b.name),
        many => Counted(many.len(), Noun::Match).to_string(),
    }
}

/// How many pictures a finding has, and how wide they are in pixels.
const PICTURES: usize = 2;
const WIDE: u32 = 600;

/// The pictures of the first clips of each finding.
fn stills(sheet: &Sheet, path: &dyn Fn(&Moment) -> Result<PathBuf, CliError>) -> Vec<Vec<Still>> {
    let each = |moment: &Moment| {
        let picture = path(moment).and_then(|path| still(&path, moment));
        picture.map_err(|e| complain(&format!("{}: {e}", printable(&moment.file, 400)))).ok()
    };
    sheet.findings.iter().map(|f| f.moments.iter().take(PICTURES).map(each).collect()).collect()
}

fn gone() -> CliError {
    CliError::Failed("its record does not name this footage".to_owned())
}

fn still(path: &Path, moment: &Moment) -> Result<Canvas, CliError> {
    let mut watch = |_| std::ops::ControlFlow::Continue(());
    let frame =
        frame_at(path, Some(moment.picture), &mut watch).map_err(|e| CliError::Failed(e.to_string()))?;
    let (width, height) = frame.display_size();
    let wide = width.clamp(1, WIDE);
    let size = Size::new(wide, (u64::from(height) * u64::from(wide) / u64::from(width.max(1))).max(1) as u32);
    let whole = Size::new(frame.width, frame.height);
    Canvas::over(frame.pixels.as_ref(), frame.stride, whole, size)
        .map_err(|e| CliError::Failed(e.to_string()))
}
