//! How an export names the footage from where it goes.

use std::path::{Path, PathBuf};

use super::error::ExportError;
use super::sheet::Sheet;
use crate::record::relative;
use crate::saving::folder;
use crate::system::shown;

/// Names the footage of the clips as it is seen from the folder of the file that they are written to, or from the current
/// folder. `records` are the files of the records, in the order that the clips refer to.
///
/// # Errors
/// [`ExportError::Lost`] when a folder or a record is not there.
pub fn name_from(sheet: &mut Sheet, records: &[PathBuf], out: Option<&Path>) -> Result<(), ExportError> {
    let real = |p: &Path| p.canonicalize().map_err(|why| ExportError::Lost { path: shown(p), why });
    let base = real(out.map_or(Path::new("."), folder))?;
    let homes = records.iter().map(|r| real(r)).collect::<Result<Vec<_>, _>>()?;
    for clip in &mut sheet.clips {
        if let Some(home) = homes.get(clip.record).and_then(|h| h.parent()) {
            clip.file = relative(home, &clip.file, &base);
        }
    }
    Ok(())
}
