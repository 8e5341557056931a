//! How an export names the footage from where it goes.

use std::path::{Component, Path, PathBuf};

use super::error::ExportError;
use super::sheet::Sheet;
use crate::record::footage::{name_path, name_text};
use crate::saving::folder;

/// Names the footage of the clips as it is seen from the folder of the file that they are written to, or from the current
/// folder. `records` are the files of the records, in the order that the clips refer to.
///
/// # Errors
/// [`ExportError::Lost`] when a folder or a record is not there.
pub fn name_from(sheet: &mut Sheet, records: &[PathBuf], out: Option<&Path>) -> Result<(), ExportError> {
    let real =
        |p: &Path| p.canonicalize().map_err(|why| ExportError::Lost { path: p.display().to_string(), why });
    let base = real(out.map_or(Path::new("."), folder))?;
    let homes = records.iter().map(|r| real(r)).collect::<Result<Vec<_>, _>>()?;
    for clip in &mut sheet.clips {
        if let Some(home) = homes.get(clip.record).and_then(|h| h.parent()) {
            clip.file = relative(home, &clip.file, &base);
        }
    }
    Ok(())
}

/// How `file`, named from the folder `home`, is named from the folder `base`; with slashes. Both folders must be
/// absolute and without `..`; when they share nothing, the answer is absolute.
pub fn relative(home: &Path, file: &str, base: &Path) -> String {
    let target: PathBuf = home.join(name_path(file));
    let (to, from): (Vec<Component<'_>>, Vec<Component<'_>>) =
        (target.components().collect(), base.components().collect());
    let shared = to.iter().zip(&from).take_while(|(a, b)| a == b).count();
    if shared == 0 {
        return name_text(&target);
    }
    let up = from[shared..].iter().map(|_| "..".to_owned());
    let down = to[shared..].iter().map(|c| name_text(c.as_os_str().as_ref()));
    up.chain(down).collect::<Vec<_>>().join("/")
}
