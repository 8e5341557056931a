//! A lesson as a folder that any browser opens.

use std::path::PathBuf;

use super::error::MakingError;
use super::grounds::Grounds;
use super::source::{Source, Watch};
use crate::page::{self, Names, PageError, Planned, Wish};

/// How large the clips of a page in the folder `out` are, which must not exist yet. Waits.
///
/// # Errors
/// [`MakingError`] when the page cannot be made.
pub fn plan_page(
    of: &Source,
    out: PathBuf,
    limit: Option<u64>,
    grounds: &Grounds,
    watch: Watch<'_>,
) -> Result<Planned, MakingError> {
    if out.symlink_metadata().is_ok() {
        return Err(PageError::Exists(out).into());
    }
    let files = of.files(false, watch)?;
    Ok(page::plan(&of.lesson, Wish { lesson: of.home.clone(), out, limit }, &files, &|clip, at| {
        grounds.camera(clip, at)
    })?)
}

/// Makes it; its bytes. Takes long.
///
/// # Errors
/// [`MakingError`], and nothing is left behind.
pub fn make_page(
    of: &Source,
    planned: &Planned,
    names: &Names,
    grounds: &Grounds,
    watch: Watch<'_>,
) -> Result<u64, MakingError> {
    Ok(page::make(&of.lesson, planned, names, &|clip, at| grounds.camera(clip, at), watch)?)
}
