//! Films that were opened together and are no one match: each gets a record of its own.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use super::error::LookError;
use super::looking::{FootageReader, Found, entry, in_order, record, seen};
use crate::record::store::{Store, sidecar_for};
use crate::record::{Record, printable};
use crate::time::MatchTime;

/// Makes a record for each film that has none, and opens the first film. A film that cannot be read is told and left out.
///
/// # Errors
/// [`LookError`] when none of them can be opened.
pub fn each(paths: &[PathBuf], reader: &mut FootageReader<'_>) -> Result<Found, LookError> {
    let paths = in_order(paths);
    let (mut opened, mut notices, mut first_error) = (Vec::new(), Vec::new(), None);
    let mut taken = HashSet::new();
    for (nth, path) in paths.iter().enumerate() {
        let sidecar = sidecar_for(path);
        if !taken.insert(sidecar.clone()) {
            notices.push(shared(path, &sidecar));
            continue;
        }
        match one(path, &sidecar, (nth, paths.len()), reader) {
            Ok(()) => opened.push(path.clone()),
            Err(why) => {
                notices.push(why.to_string());
                first_error.get_or_insert(why);
            }
        }
    }
    let Some(first) = opened.first().cloned() else { return Err(first_error.unwrap_or(LookError::NoFile)) };
    let mut found = record(&sidecar_for(&first), reader)?;
    notices.push(format!("{} films, each with a record of its own. This is the first.", opened.len()));
    found.notices.splice(0..0, notices);
    found.rest = opened.split_off(1);
    Ok(found)
}

/// Two films whose names differ in their endings alone would have one record.
fn shared(path: &Path, sidecar: &Path) -> String {
    let name = |p: &Path| printable(&p.file_name().unwrap_or_default().to_string_lossy(), 200);
    format!("{}: its record would be {}, as of another film. Rename one of them", name(path), name(sidecar))
}

fn one(
    path: &Path,
    sidecar: &Path,
    place: (usize, usize),
    reader: &mut FootageReader<'_>,
) -> Result<(), LookError> {
    if sidecar.exists() {
        return Ok(());
    }
    let media = seen(path, place, reader)?;
    let new = Record { footage: vec![entry(path, &media, MatchTime::ZERO)], ..Record::default() };
    drop(Store::create(sidecar, new)?);
    Ok(())
}
