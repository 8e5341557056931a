//! `changeover score`: the score of each record, replayed from its points.

use std::ffi::OsString;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, CliError, FOUND, complain};
use super::reading::unread;
use crate::export::score::{ScoreLine, line, states, words};
use crate::record::{Record, RecordError, load_whole, printable};
use crate::system::reading;
use crate::textfile::{self, Limit, TextError};

const EXAMPLES: &str = "\
Examples:
  changeover score final.points.json
  changeover score --json season/
  changeover score --each-point final.points.json
  find . -name '*.points.json' | changeover score --json --from -

A folder means all records in it (*.points.json), in the order of their names. The winner's score comes first. Round \
brackets hold the points of the player who lost the tie-break, square brackets a match tie-break. JSON has one object per \
line, with a's score first. A set in play is the last of the sets, as soon as one of its points was played. If the winner of \
a point is not known, the score ends there. `changeover schema score` describes every field.

Exit codes: 0 all answered, 1 a record cannot be read (it is named on standard error, and the others are answered), 2 \
the command line was not understood.";

/// The arguments of `score`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// Records, or folders of records.
    #[arg(required_unless_present = "from", value_name = "RECORD")]
    records: Vec<PathBuf>,
    /// Also records and folders from a list: a file with one per line, or - for standard input.
    #[arg(long, value_name = "LIST")]
    from: Option<PathBuf>,
    /// Answer in JSON: one object per line.
    #[arg(long)]
    json: bool,
    /// Also the state before each point: score as called, server, court, ends, and what the point can win.
    #[arg(long)]
    each_point: bool,
}

/// How many records are read before their scores are printed: a limit on memory.
const AT_ONCE: usize = 256;

type Read1 = Result<(String, Vec<String>), RecordError>;

/// Prints the scores.
///
/// # Errors
/// [`CliError`] when the list or a folder cannot be read, or the answer not be written. A record that cannot be read is
/// complained of and makes the exit code 1.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let mut fine = true;
    let paths = paths(args)?;
    for some in paths.chunks(AT_ONCE) {
        for (path, read) in some.iter().zip(answers(args, some)) {
            match read {
                Ok((text, notices)) => {
                    for notice in notices {
                        complain(&format!("{}: {notice}", printable(&path.to_string_lossy(), 400)));
                    }
                    out.write_all(text.as_bytes())?;
                }
                Err(e) => {
                    fine = false;
                    out.flush()?;
                    complain(&e);
                }
            }
        }
    }
    Ok(if fine { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// The answers for some records, in their order, worked out on as many threads as there are processors.
fn answers(args: &Args, paths: &[PathBuf]) -> Vec<Read1> {
    let threads = std::thread::available_parallelism().map_or(1, Into::into);
    let share = paths.len().div_ceil(threads).max(1);
    std::thread::scope(|scope| {
        let work: Vec<_> = (paths.chunks(share))
            .map(|some| (some, scope.spawn(|| some.iter().map(|p| answer(args, p)).collect::<Vec<_>>())))
            .collect();
        // A thread that panicked is a defect: what it was asked is asked again here, to end in the usual way.
        let done = |(some, thread): (&[PathBuf], std::thread::ScopedJoinHandle<'_, Vec<Read1>>)| {
            thread.join().unwrap_or_else(|_| some.iter().map(|p| answer(args, p)).collect())
        };
        work.into_iter().flat_map(done).collect()
    })
}

fn answer(args: &Args, path: &Path) -> Read1 {
    let (record, notices) = load_whole(path)?;
    let file = path.to_string_lossy();
    let line = line(&file, &record, args.each_point);
    let text = if args.json { json(path, &line)? } else { table(args, &file, &record, &line) };
    Ok((text, notices))
}

fn json(path: &Path, line: &ScoreLine) -> Result<String, RecordError> {
    let text = serde_json::to_string(line).map_err(|e| RecordError::Io {
        path: path.to_owned(),
        doing: "write its score as JSON",
        source: e.into(),
    })?;
    Ok(text + "\n")
}

fn table(args: &Args, file: &str, record: &Record, line: &ScoreLine) -> String {
    let one = args.records.len() == 1 && args.from.is_none() && !args.records[0].is_dir();
    let name = if one { String::new() } else { format!("{}: ", printable(file, 400)) };
    let mut text = format!("{name}{}\n", words(record, line));
    if let Some(all) = &line.states {
        text.push_str(&states(record, all));
    }
    text
}

fn paths(args: &Args) -> Result<Vec<PathBuf>, CliError> {
    let mut named = args.records.clone();
    if let Some(list) = &args.from {
        named.extend(listed(list)?);
    }
    let mut all = Vec::with_capacity(named.len());
    for path in named {
        if path.is_dir() { all.extend(in_folder(&path)?) } else { all.push(path) }
    }
    Ok(all)
}

fn listed(list: &Path) -> Result<Vec<PathBuf>, CliError> {
    let bytes = if list.as_os_str() == "-" {
        textfile::all(std::io::stdin().lock(), Limit::LIST)
            .map_err(|e| CliError::Failed(format!("standard input: {e}")))?
    } else {
        textfile::bytes(list, Limit::LIST).map_err(|e| unread(list, &e))?
    };
    if bytes.contains(&0) {
        return Err(unread(list, &TextError::NotText));
    }
    let lines = bytes.split(|b| *b == b'\n').map(|l| l.strip_suffix(b"\r").unwrap_or(l));
    Ok(lines.filter(|l| !l.is_empty()).map(|l| PathBuf::from(os_string(l))).collect())
}

#[cfg(all(unix, not(feature = "portable")))]
fn os_string(bytes: &[u8]) -> OsString {
    std::os::unix::ffi::OsStringExt::from_vec(bytes.to_vec())
}

#[cfg(any(not(unix), feature = "portable"))]
fn os_string(bytes: &[u8]) -> OsString {
    String::from_utf8_lossy(bytes).into_owned().into()
}

/// The records of a folder, in the order of their names.
fn in_folder(folder: &Path) -> Result<Vec<PathBuf>, CliError> {
    let failed = |e| {
        let folder = printable(&folder.to_string_lossy(), 400);
        CliError::Failed(format!("cannot read the folder {folder}: {}", reading(&e)))
    };
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let name = path.file_name().unwrap_or_default().as_encoded_bytes();
        if name.ends_with(b".points.json") && !name.starts_with(b".") {
            found.push(path);
        }
    }
    found.sort();
    if found.is_empty() {
        complain(&format!(
            "{}: no record (*.points.json) is in this folder",
            printable(&folder.to_string_lossy(), 400)
        ));
    }
    Ok(found)
}
