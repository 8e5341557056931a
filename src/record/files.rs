//! The files beside a record, and how one is replaced safely.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use chrono::Local;
use tempfile::NamedTempFile;

use super::disk::{self, folder, sync_folder};

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

/// What marks the name of a file that was kept: `FILE.aside-20260131-235959`.
const ASIDE: &str = ".aside-";

/// A name for keeping this file that nothing has yet, whatever the clock says.
fn aside(path: &Path, stamp: &str) -> PathBuf {
    let first = with_suffix(path, &format!("{ASIDE}{stamp}"));
    let more = (2u32..).map(|n| with_suffix(path, &format!("{ASIDE}{stamp}-{n}")));
    std::iter::once(first.clone()).chain(more).find(|p| p.symlink_metadata().is_err()).unwrap_or(first)
}

fn now() -> String {
    Local::now().format("%Y%m%d-%H%M%S").to_string()
}

/// Gives a file another name, and says which.
pub(super) fn move_aside(path: &Path) -> io::Result<PathBuf> {
    let to = aside(path, &now());
    disk::rename(path, &to)?;
    sync_folder(&to)?;
    Ok(to)
}

/// Keeps a file that was replaced beside the one that replaced it, and says where.
pub(crate) fn kept_as(old: &Path, new: &Path) -> io::Result<PathBuf> {
    let to = aside(new, &now());
    disk::rename(old, &to)?;
    Ok(to)
}

/// Whether a journal lies beside a record that was written after it.
pub(crate) fn newer_journal(record: &Path) -> bool {
    let time = |path: &Path| path.metadata().and_then(|m| m.modified()).ok();
    time(&beside(record, "journal")).is_some_and(|journal| Some(journal) > time(record))
}

/// Whether a file of this name is one that lies beside a record or a lesson: its journal, its lock, or a file kept from before.
pub(crate) fn is_beside_name(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
    [".points.journal", ".points.lock", ".lesson.journal", ".lesson.lock"]
        .iter()
        .any(|end| name.ends_with(end))
        || name.contains(ASIDE)
}

/// Copies a file under another name, down to the disk, and says which.
pub(crate) fn copy_aside(path: &Path) -> io::Result<PathBuf> {
    let to = aside(path, &now());
    let copied = disk::copy(path, &to).and_then(|()| disk::sync_all(&File::open(&to)?));
    if let Err(e) = copied {
        // Half a copy would look like one.
        let _ = fs::remove_file(&to);
        return Err(e);
    }
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

/// The files kept beside a document whose version is now `version` by the three above, and what killed saves left, in the order of
/// their names.
pub(super) fn kept_beside(record: &Path, version: u32) -> Vec<PathBuf> {
    let older: Vec<PathBuf> = (1..version).map(|v| beside(record, &format!("v{v}.json"))).collect();
    let own = [record.to_owned(), beside(record, "journal")];
    let starts: Vec<PathBuf> = (own.iter().map(|p| with_suffix(p, ASIDE)))
        .chain(own.iter().chain(&older).map(|p| p.with_file_name(temporary(p))))
        .collect();
    let name = |p: &Path| p.file_name().unwrap_or_default().as_encoded_bytes().to_vec();
    let ours = |p: &PathBuf| {
        older.iter().any(|o| name(o) == name(p)) || starts.iter().any(|s| name(p).starts_with(&name(s)))
    };
    let entries = fs::read_dir(folder(record)).into_iter().flatten().flatten();
    let mut found: Vec<_> = entries.map(|e| e.path()).filter(ours).collect();
    found.sort();
    found
}

/// Puts a new content in a file's stead: whoever opens it finds the old one or the new one, whatever happens.
pub(crate) fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let temp = written(path, bytes)?;
    if let Ok(old) = fs::metadata(path) {
        temp.as_file().set_permissions(old.permissions())?;
    }
    disk::persist(temp, path, true)?;
    sync_folder(path)
}

/// Like [`replace`], but fails when the file exists.
pub(super) fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    disk::persist(written(path, bytes)?, path, false)?;
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
    #[cfg(all(unix, not(feature = "portable")))]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any other new file: the user's mask takes from it what it takes.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut temp = disk::temporary(&builder, folder(path))?;
    disk::write(temp.as_file_mut(), bytes)?;
    disk::sync_all(temp.as_file())?;
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

    #[cfg(all(unix, not(feature = "portable")))]
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
    /// The wall clock may be set back between two of them: no name depends on its order.
    #[test]
    fn a_clock_set_back_takes_no_name_twice() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x");
        let mut kept = std::collections::BTreeSet::new();
        for stamp in ["20260301-120000", "20260301-110000", "19700101-000000", "20260301-120000"] {
            let name = aside(&path, stamp);
            fs::write(&name, stamp).unwrap();
            kept.insert(name);
        }
        assert_eq!(kept.len(), 4);
        assert!(kept.contains(&dir.path().join("x.aside-20260301-120000-2")));
    }
}
