//! `changeover positions --propose`: the players looked for in the footage of a record, at its strikes.

use std::path::Path;

use super::answer::CliError;
use super::reports::with_bar;
use super::working::{going_on, told_to_stop};
use crate::facts::Tally;
use crate::record::{Footage, Record, footage_path};
use crate::session::cameras::Cameras;
use crate::session::proposing::{Proposal, Stretch, stretches};
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
            let media = probe(&footage_path(path, footage)?).map_err(|e| told(&e))?;
            found.extend(
                players(&media, cameras, &here, &mut go_on).map_err(|e| told(&e))?.into_iter().flatten(),
            );
        }
        Ok::<(), CliError>(())
    });
    found.sort_by_key(|p| p.strike.shot.0);
    done.map(|()| found)
}

fn told(e: &VideoError) -> CliError {
    CliError::Failed(e.to_string())
}
