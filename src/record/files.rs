//! The files beside a record, and how one is replaced safely.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use chrono::Local;
use tempfile::NamedTempFile;

use super::journal::{folder, sync_folder};

/// The sidecar of a footage file: `NAME.points.json` beside it.
pub fn sidecar_for(footage: &Path) -> PathBuf {
    let mut name = footage.file_stem().unwrap_or_default().to_owned();
    name.push(".points.json");
    footage.with_file_name(name)
}

/// `NAME.points.json` → `NAME.points.WHAT`; any other name keeps all of itself.
pub(super) fn beside(record: &Path, what: &str) -> PathBuf {
    if record.extension().is_some_and(|e| e == "json") {
        return record.with_extension(what);
    }
    with_suffix(record, &format!(".{what}"))
}

fn with_suffix(path: &Path, suffix: &str) -> PathBuf {
    let mut name = OsString::from(path.as_os_str());
    name.push(suffix);
    name.into()
}

/// A name for keeping this file that nothing has yet: `FILE.aside-20260131-235959`.
fn aside(path: &Path) -> PathBuf {
    let stamp = Local::now().format("%Y%m%d-%H%M%S");
    let first = with_suffix(path, &format!(".aside-{stamp}"));
    let more = (2u32..).map(|n| with_suffix(path, &format!(".aside-{stamp}-{n}")));
    std::iter::once(first.clone()).chain(more).find(|p| p.symlink_metadata().is_err()).unwrap_or(first)
}

/// Gives a file another name, and says which.
pub(super) fn move_aside(path: &Path) -> io::Result<PathBuf> {
    let to = aside(path);
    fs::rename(path, &to)?;
    sync_folder(&to)?;
    Ok(to)
}

/// Copies a file under another name, down to the disk, and says which.
pub(super) fn copy_aside(path: &Path) -> io::Result<PathBuf> {
    let to = aside(path);
    fs::copy(path, &to)?;
    File::open(&to)?.sync_all()?;
    sync_folder(&to)?;
    Ok(to)
}

/// Copies a file that is about to be upgraded to `NAME.points.v1.json`, and says where it is. A copy that is there
/// already is not made again; another file of that name stays.
pub(super) fn keep_version(path: &Path, version: u32) -> io::Result<PathBuf> {
    let bytes = fs::read(path)?;
    let to = beside(path, &format!("v{version}.json"));
    match create(&to, &bytes) {
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists && fs::read(&to)? != bytes => copy_aside(path),
        Err(e) if e.kind() != io::ErrorKind::AlreadyExists => Err(e),
        _ => Ok(to),
    }
}

/// Puts a new content in a file's stead: whoever opens it finds the old one or the new one, whatever happens.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let temp = written(path, bytes)?;
    if let Ok(old) = fs::metadata(path) {
        temp.as_file().set_permissions(old.permissions())?;
    }
    temp.persist(path).map_err(|e| e.error)?;
    sync_folder(path)
}

/// Like [`replace`], but fails when the file exists.
pub(super) fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    written(path, bytes)?.persist_noclobber(path).map_err(|e| e.error)?;
    sync_folder(path)
}

/// How the names of a file's temporary files start.
fn temporary(path: &Path) -> OsString {
    let mut name = OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push("-");
    name
}

/// Takes away what a save that was killed left half-written. Only for the holder of the lock.
pub(super) fn sweep(path: &Path) {
    let prefix = temporary(path);
    let Ok(entries) = fs::read_dir(folder(path)) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let name = name.as_encoded_bytes();
        if name.starts_with(prefix.as_encoded_bytes()) && name.ends_with(b".tmp") {
            // One that stays is only litter.
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn written(path: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let prefix = temporary(path);
    let mut builder = tempfile::Builder::new();
    builder.prefix(&prefix).suffix(".tmp");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any other new file: the user's mask takes from it what it takes.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut temp = builder.tempfile_in(folder(path))?;
    temp.write_all(bytes)?;
    temp.as_file().sync_all()?;
    Ok(temp)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_beside_the_footage() {
        assert_eq!(sidecar_for(Path::new("d/holt.v2.mp4")), Path::new("d/holt.v2.points.json"));
        assert_eq!(beside(Path::new("d/holt.points.json"), "journal"), Path::new("d/holt.points.journal"));
        assert_eq!(beside(Path::new("d/holt"), "lock"), Path::new("d/holt.lock"));
    }

    #[cfg(unix)]
    #[test]
    fn names_need_not_be_utf_8() {
        use std::os::unix::ffi::OsStrExt;
        let name = std::ffi::OsStr::from_bytes(b"d/\xff\xfe.mp4");
        assert_eq!(sidecar_for(Path::new(name)).as_os_str().as_bytes(), b"d/\xff\xfe.points.json");
    }

    #[test]
    fn a_kept_file_never_takes_the_place_of_another() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x");
        let kept: std::collections::BTreeSet<_> = (0..4)
            .map(|n| {
                fs::write(&path, n.to_string()).unwrap();
                move_aside(&path).unwrap()
            })
            .collect();
        assert_eq!(kept.len(), 4);
    }
}
