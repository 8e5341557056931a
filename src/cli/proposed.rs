//! `changeover positions --propose`: the players looked for in the footage of a record, at its strikes.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::Path;

use super::answer::CliError;
use super::reports::with_bar;
use super::working::{going_on, told_to_stop};
use crate::facts::Tally;
use crate::record::{Record, footage_path};
use crate::session::cameras::Cameras;
use crate::session::proposing::{Proposal, stretches};
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
    let (mut found, mut opened) = (Vec::new(), BTreeMap::new());
    let done = with_bar(path, |watch| {
        for (n, stretch) in all.iter().enumerate() {
            let part = |part: f64| (n as f64 + part) / all.len() as f64;
            let mut go_on = |here| {
                let _ = watch(part(here));
                going_on(&stop)
            };
            let file = footage_path(path, &stretch.footage)?;
            let media = match opened.entry(file) {
                Entry::Occupied(there) => there.into_mut(),
                Entry::Vacant(new) => {
                    let media = probe(new.key()).map_err(|e| told(&e))?;
                    new.insert(media)
                }
            };
            found.extend(players(media, cameras, stretch, &mut go_on).map_err(|e| told(&e))?);
        }
        Ok::<(), CliError>(())
    });
    done.map(|()| found)
}

fn told(e: &VideoError) -> CliError {
    CliError::Failed(e.to_string())
}
