//! The footage of a record: where it lies, and how to know it again.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Component, Path, PathBuf};

use sha2::{Digest, Sha256};

use super::error::{RecordError, printable};
use super::journal::folder;
use super::model::Footage;
use super::read::hex;

const MIB: u64 = 1 << 20;

/// Where a footage file of the record at `record` lies.
///
/// # Errors
/// [`RecordError::Outside`] when its name is absolute, empty, or leads out of the record's folder: a record from a
/// stranger may not make the program open any file.
pub fn footage_path(record: &Path, footage: &Footage) -> Result<PathBuf, RecordError> {
    if is_inside(&footage.file) {
        Ok(record.with_file_name(&footage.file))
    } else {
        Err(RecordError::Outside { file: printable(&footage.file, 200) })
    }
}

/// Whether a name stays in the folder it is in.
pub(super) fn is_inside(name: &str) -> bool {
    let path = Path::new(name);
    let mut parts = path.components().peekable();
    parts.peek().is_some() && parts.all(|c| matches!(c, Component::Normal(_))) && !name.contains('\0')
}

/// Looks for footage that is no longer where the record says: a file of the same kind in the record's folder with the
/// same fingerprint.
pub fn find_again(record: &Path, footage: &Footage) -> Option<PathBuf> {
    let wanted = footage.fingerprint.as_deref()?;
    let kind = Path::new(&footage.file).extension();
    let entries = std::fs::read_dir(folder(record)).ok()?;
    // Two MiB are read of each; a folder with more files than this is not a folder of matches.
    let files = entries.flatten().map(|e| e.path()).filter(|p| p.extension() == kind).take(500);
    files.into_iter().find(|p| fingerprint(p).is_ok_and(|found| found == wanted))
}

/// What a media file is known by when it was moved or renamed: `sha256:` and the SHA-256, in hexadecimal, of its
/// size in bytes (8 bytes, big-endian), its first MiB and its last MiB. A shorter file is its own first and last
/// part.
///
/// # Errors
/// [`RecordError`] when it cannot be read or is not a file.
pub fn fingerprint(path: &Path) -> Result<String, RecordError> {
    let failed = || RecordError::io(path, "read it");
    let about = std::fs::metadata(path).map_err(failed())?;
    if !about.is_file() {
        return Err(RecordError::NotAFile { path: path.to_owned() });
    }
    let mut file = File::open(path).map_err(failed())?;
    let size = about.len();
    let mut sum = Sha256::new();
    sum.update(size.to_be_bytes());
    for start in [0, size.saturating_sub(MIB)] {
        let mut part = Vec::new();
        file.seek(SeekFrom::Start(start)).map_err(failed())?;
        (&file).take(MIB).read_to_end(&mut part).map_err(failed())?;
        sum.update(&part);
    }
    Ok(format!("sha256:{}", hex(&sum.finalize())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::MatchTime;

    fn named(file: &str) -> Footage {
        Footage {
            file: file.into(),
            fingerprint: None,
            duration: MatchTime::from_secs(1),
            rate: None,
            rotation: 0,
            start: MatchTime::ZERO,
        }
    }

    #[test]
    fn footage_stays_in_the_records_folder() {
        let at = |f| footage_path(Path::new("d/m.points.json"), &named(f)).ok();
        assert_eq!(at("m.mp4"), Some("d/m.mp4".into()));
        assert_eq!(at("part/two.mp4"), Some("d/part/two.mp4".into()));
        for bad in ["", "/etc/hosts", "../m.mp4", "a/../../m.mp4", ".", "a\0b"] {
            assert_eq!(at(bad), None, "{bad:?}");
        }
    }

    #[test]
    fn footage_that_was_renamed_is_found_again() {
        let dir = tempfile::tempdir().unwrap();
        let record = dir.path().join("m.points.json");
        let moved = dir.path().join("moved.mp4");
        std::fs::write(&moved, b"pictures").unwrap();
        std::fs::write(dir.path().join("other.mp4"), b"Pictures").unwrap();
        let mut footage = named("m.mp4");
        assert_eq!(find_again(&record, &footage), None);
        footage.fingerprint = fingerprint(&moved).ok();
        assert_eq!(find_again(&record, &footage), Some(moved));
    }

    #[test]
    fn a_fingerprint_sees_size_start_and_end() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.mp4");
        let mut bytes = vec![7u8; 3 * MIB as usize];
        let mut of = |i: Option<usize>| {
            if let Some(i) = i {
                bytes[i] ^= 1;
            }
            std::fs::write(&path, &bytes).unwrap();
            fingerprint(&path).unwrap()
        };
        let first = of(None);
        assert!(first.starts_with("sha256:") && first.len() == 71);
        assert_eq!(of(Some(3 << 19)), first, "the middle is not read");
        assert_ne!(of(Some(0)), first);
        assert_eq!(of(Some(0)), first);
        assert_ne!(of(Some((3 << 20) - 1)), first);
        std::fs::write(&path, b"").unwrap();
        assert_ne!(fingerprint(&path).unwrap(), first);
        assert!(matches!(fingerprint(dir.path()), Err(RecordError::NotAFile { .. })));
    }
}
