//! `changeover erase`: takes a person out of a record or a lesson, for good.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, FOUND};
use super::lesson::is_lesson;
use crate::record::erase::{Erased, erase, preview};
use crate::record::{RecordError, load, printable};
use crate::session::traces::Traces;
use crate::{lesson, voice};

const EXAMPLES: &str = "\
Examples:
  changeover erase final.points.json --player b          list what would be erased
  changeover erase final.points.json --player b --yes    erase it
  changeover erase drops.lesson.json --player Holt       the same in a lesson

The name is replaced by a pseudonym. All notes, the tags that contain the name or a word of it, the journal, and older \
versions of the record beside it are deleted, and so are small pictures of the footage and the \
lines of the match in the list of recent matches, in the desktop's list of recent files and in the library. This cannot be undone. Footage, exports and copies are not changed; they are \
listed.

In a lesson, whose NAME.lesson.json is given, the name is erased from the title, chapters, captions, scores, patterns and their conditions, and words that \
were drawn or written, also in its talk and in what is noted of a talk that was cut off. The voice of a talk stays: it may say \
the name, and cannot be searched. A lesson is not erased with its record; lessons beside it are listed.

Exit codes: 0 erased, 1 not erased (without --yes nothing is), or something beside the record could not be deleted, \
2 the command line was not understood.";

/// The arguments of `erase`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The record or the lesson.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Who: the name as it is in the record or the lesson; in a record also a, b, a-partner or b-partner.
    #[arg(long, value_name = "WHO")]
    player: String,
    /// Erase now. Without it, the command only lists what it would erase.
    #[arg(long)]
    yes: bool,
    /// Answer in JSON.
    #[arg(long)]
    json: bool,
}

/// Erases, or says what it would erase.
///
/// # Errors
/// [`super::CliError`] when the record cannot be read or written, no player is called so, or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let (traces, mut erased) = erased(args)?;
    if args.yes {
        let failed = traces.delete();
        erased.failed.extend(failed.iter().map(|(path, e)| format!("{}: {e}", said(path))));
    }
    if args.json {
        let pictures = traces.pictures.iter().map(|p| said(p)).collect();
        let recent = traces.recent.iter().map(|p| said(p)).collect();
        let library = traces.library.as_deref().map(said);
        let all = Told { erased: &erased, pictures, recent, library };
        serde_json::to_writer_pretty(&mut *out, &all).map_err(io::Error::from)?;
        writeln!(out)?;
    } else {
        print(args, &erased, &traces, out)?;
    }
    let done = args.yes && erased.failed.is_empty();
    Ok(if done { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// What is kept of the document outside its folder, and what was erased in it, or would be.
fn erased(args: &Args) -> Result<(Traces, Erased), RecordError> {
    let (file, who) = (&*args.file, &*args.player);
    if is_lesson(file) {
        let traces = Traces::of_lesson(file, &lesson::load(file)?.0);
        let erase = if args.yes { voice::erase::erase } else { voice::erase::preview };
        return Ok((traces, erase(file, who)?));
    }
    let traces = Traces::of(file, &load(file)?.0);
    Ok((traces, if args.yes { erase(file, who) } else { preview(file, who) }?))
}

/// What was erased, for another program.
#[derive(serde::Serialize)]
struct Told<'e> {
    #[serde(flatten)]
    erased: &'e Erased,
    /// Small pictures of the footage.
    pictures: Vec<String>,
    /// Lines in the list of recent matches.
    recent: Vec<String>,
    /// The record, if the library knows it.
    #[serde(skip_serializing_if = "Option::is_none")]
    library: Option<String>,
}

fn said(path: &Path) -> String {
    printable(&path.to_string_lossy(), 400)
}

fn print(args: &Args, erased: &Erased, traces: &Traces, out: &mut dyn Write) -> io::Result<()> {
    let file = printable(&args.file.to_string_lossy(), 400);
    let (name, pseudonym) = (printable(&erased.person.name, 60), &erased.person.pseudonym);
    if args.yes {
        writeln!(out, "{file}: {name} is {pseudonym} now; this cannot be undone")?;
    } else {
        writeln!(out, "{file}: {name} would become {pseudonym}; nothing is changed yet; --yes erases it")?;
    }
    let gone = if args.yes { "deleted" } else { "to be deleted" };
    writeln!(out, "  notes {gone}: {}", erased.notes)?;
    for tag in &erased.tags {
        writeln!(out, "  tag {gone}: {}", printable(tag, 60))?;
    }
    for field in &erased.fields {
        writeln!(out, "  {pseudonym} in place of the name: {field}")?;
    }
    for kept in &erased.files {
        writeln!(out, "  older version {gone}: {kept}")?;
    }
    for picture in &traces.pictures {
        writeln!(out, "  small picture of the footage {gone}: {}", said(picture))?;
    }
    for path in &traces.recent {
        writeln!(out, "  line in the list of recent matches {gone}: {}", said(path))?;
    }
    if let Some(path) = &traces.library {
        writeln!(out, "  line in the library {gone}: {}", said(path))?;
    }
    for failed in &erased.failed {
        writeln!(out, "  cannot be deleted: {failed}")?;
    }
    for left in &erased.not_reached {
        writeln!(out, "  not reached: {left}")?;
    }
    Ok(())
}
