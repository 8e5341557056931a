//! `changeover positions --propose`: the players looked for in the footage of a record, at its strikes.

use std::collections::BTreeMap;
use std::path::Path;

use super::answer::{CliError, complain};
use super::reading::shown;
use super::reports::with_bar;
use super::working::{going_on, told_to_stop};
use crate::facts::Tally;
use crate::record::footage::{OTHER, is_other};
use crate::record::{Footage, Record, footage_path, printable};
use crate::session::cameras::Cameras;
use crate::session::proposing::{Proposal, Stretch, stretch, stretches};
use crate::session::seeing::players;
use crate::video::{VideoError, probe};

/// What is found, in the order of the points.
///
/// # Errors
/// [`CliError`] when the footage cannot be read or the work is stopped.
pub(super) fn proposals(path: &Path, record: &Record, cameras: &Cameras) -> Result<Vec<Proposal>, CliError> {
    let stop = told_to_stop()?;
    let tally = Tally::of(record);
    let all = stretches(record, tally.facts(), cameras);
    tell_where_nobody(path, record, &tally, cameras);
    let mut files: Vec<&Footage> = Vec::new();
    for stretch in &all {
        if !files.contains(&&stretch.footage) {
            files.push(&stretch.footage);
        }
    }
    let mut found = Vec::new();
    let done = with_bar(path, |watch| {
        for (n, footage) in files.iter().enumerate() {
            let mut go_on = |part| {
                let _ = watch((n as f64 + part) / files.len() as f64);
                going_on(&stop)
            };
            let here: Vec<Stretch> = all.iter().filter(|s| s.footage == **footage).cloned().collect();
            let file = footage_path(path, footage)?;
            if is_other(&file, footage.fingerprint.as_deref()) {
                complain(&format!("{}: footage \"{}\" {OTHER}", shown(path), printable(&footage.file, 120)));
            }
            let media = probe(&file).map_err(|e| told(&e))?;
            found.extend(
                players(&media, cameras, &here, &mut go_on).map_err(|e| told(&e))?.into_iter().flatten(),
            );
        }
        Ok::<(), CliError>(())
    });
    found.sort_by_key(|p| p.strike.shot.0);
    done.map(|()| found)
}

/// Says in how many points nobody is looked for, and why.
fn tell_where_nobody(path: &Path, record: &Record, tally: &Tally, cameras: &Cameras) {
    let all = record.points.len();
    let mut why: BTreeMap<String, usize> = BTreeMap::new();
    for reason in (0..all).filter_map(|n| stretch(record, tally.facts(), cameras, n).err()) {
        *why.entry(reason.to_string()).or_default() += 1;
    }
    for (reason, count) in why {
        complain(&format!("{}: in {count} of {all} points nobody is looked for: {reason}", shown(path)));
    }
}

fn told(e: &VideoError) -> CliError {
    CliError::Failed(e.to_string())
}
