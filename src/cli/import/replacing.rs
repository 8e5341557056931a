//! What an import may replace: a file that a program wrote, and a record that holds no more than a table does. Such a
//! record is kept beside the new one.

use std::path::{Path, PathBuf};

use super::args::Args;
use crate::cli::answer::{CliError, complain};
use crate::export::points::left_out;
use crate::record::{DocumentKind, RecordError, copy_aside, held_by, hold, load_closely, printable};
use crate::saving::{Replace, SaveError, Theirs, theirs, write};

/// The files that an import reads.
pub(super) fn reads(args: &Args) -> Vec<PathBuf> {
    // Standard input may be a file too.
    let points = if args.is_stdin() { PathBuf::from("/dev/stdin") } else { args.points.clone() };
    vec![points, PathBuf::from(&args.rules)]
}

/// Whether a record may be written at a place.
///
/// # Errors
/// [`CliError`] when something is there that is not replaced.
pub(super) fn may_write(path: &Path, force: bool, reads: &[PathBuf]) -> Result<(), CliError> {
    let reads: Vec<&Path> = reads.iter().map(PathBuf::as_path).collect();
    if !force && path.symlink_metadata().is_ok_and(|about| !about.is_dir()) {
        return Err(SaveError::Exists { path: path.to_owned() }.into());
    }
    match theirs(path, &reads) {
        Some(Theirs::Document(DocumentKind::Record)) => match held_by(path, DocumentKind::Record) {
            Some(who) => Err(RecordError::InUse { path: path.to_owned(), who }.into()),
            None => no_more_than_a_table(path),
        },
        Some(what) => Err(SaveError::Theirs { path: path.to_owned(), what }.into()),
        None => Ok(()),
    }
}

/// Refuses a record with work in it that no table brings back.
fn no_more_than_a_table(path: &Path) -> Result<(), CliError> {
    let refused = |why: &str| {
        let name = printable(&path.to_string_lossy(), 400);
        let what = "so it is never replaced; choose another name";
        Err(CliError::Failed(format!("{name} is a record {why}, {what}")))
    };
    match load_closely(path) {
        Err(_) => refused("that cannot be read"),
        Ok(loaded) if loaded.read_only.is_some() => refused("with fields that this version does not know"),
        Ok(loaded) if !loaded.notices.is_empty() => refused("with edits that are not saved yet"),
        Ok(loaded) => match left_out(&loaded.record).as_slice() {
            [] => Ok(()),
            more => refused(&format!("that holds more than a table can ({})", more.join(", "))),
        },
    }
}

/// Writes one record. What it replaces is kept, if it is another one.
///
/// # Errors
/// [`CliError`] when it cannot be written, or must not.
pub(super) fn put(path: &Path, text: &str, args: &Args) -> Result<(), CliError> {
    may_write(path, args.force, &reads(args))?;
    if !args.force || path.symlink_metadata().is_err() {
        return Ok(write(path, text, Replace::Nothing)?);
    }
    // Nobody may write it while it is replaced.
    let _held = hold(path)?;
    if std::fs::read(path).is_ok_and(|old| old == text.as_bytes()) {
        return Ok(());
    }
    let failed = |why| SaveError::Write { path: path.to_owned(), why };
    let kept = copy_aside(path).map_err(failed)?;
    if let Err(e) = write(path, text, Replace::WhatWasWritten) {
        // It was not replaced, so nothing need be kept.
        let _ = std::fs::remove_file(&kept);
        return Err(e.into());
    }
    tell_kept(&[kept]);
    Ok(())
}

/// Says where the records are that were replaced.
pub(super) fn tell_kept(kept: &[PathBuf]) {
    let name = |path: &Path| printable(&path.to_string_lossy(), 400);
    match kept {
        [] => {}
        [one] => complain(&format!("the earlier record is kept as {}", name(one))),
        [first, ..] => complain(&format!(
            "the {} earlier records are kept beside the new ones, the first as {}",
            kept.len(),
            name(first)
        )),
    }
}
