//! `changeover attach`: gives footage to a record whose points were logged without it.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, CliError, complain};
use super::reading::shown;
use crate::record::align::{Sync, align};
use crate::record::footage::{fingerprint, name_text};
use crate::record::{Footage, Record, Store, printable};
use crate::system::reading;
use crate::time::MatchTime;
use crate::video::probe;

const EXAMPLES: &str = "\
Examples:
  changeover attach final.points.json final.mp4 --sync 00:12:30=00:01:05.200

In the example, the point logged at 00:12:30 on the match clock is seen at 00:01:05.2 in final.mp4. If the camera started \
before the match clock, everything that was logged moves later by the difference. To correct a wrong --sync, attach the same \
footage again.

Exit codes: 0 attached, 1 the footage or the record cannot be used, 2 the command line was not understood.";

/// The arguments of `attach`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The record.
    #[arg(value_name = "RECORD")]
    record: PathBuf,
    /// The footage, in the record's folder or below it.
    #[arg(value_name = "FOOTAGE")]
    footage: PathBuf,
    /// The same moment on both clocks: its time as logged, then its time in the footage.
    #[arg(long, value_name = "LOGGED=SHOWN")]
    sync: Sync,
}

/// Attaches the footage and says where it lies.
///
/// # Errors
/// [`CliError`] when the footage cannot be read or lies elsewhere, or the record cannot be changed.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let footage = footage(&args.record, &args.footage)?;
    if args.sync.shown > footage.duration {
        let (name, lasts, shown) = (printable(&footage.file, 200), footage.duration, args.sync.shown);
        return Err(CliError::Failed(format!(
            "{name} lasts {lasts}, so {shown} is not in it; --sync takes the time as logged, then the time in the footage"
        )));
    }
    let mut store = Store::open(&args.record)?;
    let name = footage.file.clone();
    let _ = store.apply(align(store.record(), footage, args.sync))?;
    store.save()?;
    for file in store.record().footage.iter().filter(|f| f.file == name) {
        let end = file.start.later(file.duration - MatchTime::ZERO);
        let (record, name) = (printable(&args.record.to_string_lossy(), 400), printable(&name, 200));
        writeln!(out, "{record}: {name} is from {} to {end} on the match clock", file.start)?;
    }
    tell_unfilmed(store.record());
    Ok(ExitCode::SUCCESS)
}

/// Points that no footage shows are likely to come from a wrong moment.
fn tell_unfilmed(record: &Record) {
    let starts = || record.points.iter().filter_map(|p| p.start);
    let all = starts().count();
    let unfilmed = starts().filter(|at| !record.footage.iter().any(|f| f.covers(*at))).count();
    if unfilmed > 0 {
        complain(&format!("no footage shows the start of {unfilmed} of {all} points; check --sync"));
    }
}

/// What a record says of a media file beside it.
fn footage(record: &Path, file: &Path) -> Result<Footage, CliError> {
    let failed = |e: &dyn std::fmt::Display| CliError::Failed(e.to_string());
    let whole = |path: &Path| {
        let unread = |e| failed(&format!("{}: cannot open it: {}", shown(path), reading(&e)));
        std::fs::canonicalize(path).map_err(unread)
    };
    let (record, real) = (whole(record)?, whole(file)?);
    let home = record.parent().unwrap_or(Path::new("/"));
    let name = real.strip_prefix(home).map_err(|_| {
        failed(&format!("{} is not in the record's folder; move it there first", shown(file)))
    })?;
    let media = probe(&real).map_err(|e| failed(&e))?;
    Ok(Footage {
        file: name_text(name),
        fingerprint: fingerprint(&real).ok(),
        duration: media.duration,
        rate: media.rate,
        rotation: media.rotation,
        start: MatchTime::ZERO,
    })
}
