//! `changeover sheet`: three findings on one printed page.

use std::io::Write;
use std::ops::ControlFlow::Continue;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, CliError, complain};
use super::page::{Called, names_of, opened};
use super::reading::shown;
use super::summary::{Asked, files, read};
use super::values::written;
use crate::counted::{Counted, Noun};
use crate::making::{MakingError, check_sheet, sheet_of_lesson, stills, write_sheet};
use crate::page::{Names, readable};
use crate::record::Record;
use crate::record::footage::footage_path;
use crate::sheet::{Moment, Sheet, Still, of_study};
use crate::summary::study::{Facets, Findings, Pool, ask, starter};

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
    #[arg(long, value_name = "FILE", value_parser = written())]
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
    check_sheet(&args.out).map_err(failed)?;
    let is_lesson = |p: &&PathBuf| p.to_string_lossy().to_lowercase().ends_with(".lesson.json");
    let (sheet, stills) = match (&args.sources[..], args.sources.iter().find(is_lesson)) {
        ([one], Some(_)) => lesson(one, args.names)?,
        (_, Some(lesson)) => {
            let name = shown(lesson);
            return Err(CliError::Failed(format!("{name} is a lesson; give it alone, or only records")));
        }
        (_, None) => study(args)?,
    };
    let reads: Vec<&Path> = args.sources.iter().map(PathBuf::as_path).collect();
    write_sheet(&sheet, &stills, &args.out, &reads).map_err(failed)?;
    let found = match sheet.clear {
        0 => "no clear difference yet, questions only".to_owned(),
        1 => "1 finding".to_owned(),
        n => format!("{n} findings"),
    };
    writeln!(out, "{}: {found}", shown(&args.out))?;
    Ok(ExitCode::SUCCESS)
}

fn lesson(path: &Path, called: Called) -> Result<(Sheet, Vec<Vec<Still>>), CliError> {
    let of = opened(path)?;
    let names = names_of(&of, called);
    let (sheet, stills, said) = sheet_of_lesson(&of, &names, &mut |_| Continue(())).map_err(failed)?;
    Ok((sheet, told((stills, said))))
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
    let find = |moment: &Moment| {
        let of = records.get(moment.source).zip(paths.get(moment.source));
        let (record, path) = of.ok_or(MakingError::Unknown)?;
        let footage = record.footage.iter().find(|f| f.file == moment.file).ok_or(MakingError::Unknown)?;
        Ok(footage_path(path, footage)?)
    };
    let stills = told(stills(&sheet, &find, &mut |_| Continue(())).map_err(failed)?);
    Ok((sheet.with_texts(&|text| names.shown(&readable(text))), stills))
}

fn title(records: &[&Record]) -> String {
    match records {
        [one] => format!("{} – {}", one.about.a.name, one.about.b.name),
        many => Counted(many.len(), Noun::Match).to_string(),
    }
}

/// Says which pictures are left out.
fn told((stills, said): (Vec<Vec<Still>>, Vec<String>)) -> Vec<Vec<Still>> {
    for line in &said {
        complain(line);
    }
    stills
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}
