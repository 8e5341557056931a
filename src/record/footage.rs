//! The footage of a record: where it lies, and how to know it again.

use std::ffi::OsStr;
use std::fmt;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Component, Path, PathBuf};

use sha2::{Digest, Sha256};

use super::disk::folder;
use super::document_kind::DocumentKind;
use super::edit::Edit;
use super::error::RecordError;
use super::model::Footage;
use super::read::hex;
use super::store::Store;
use crate::system::printable;
use crate::time::MatchTime;

const MIB: u64 = 1 << 20;

impl Footage {
    /// Whether it was running at this moment of the match clock.
    pub fn covers(&self, at: MatchTime) -> bool {
        self.start <= at && at <= self.start.later(self.duration - MatchTime::ZERO)
    }
}

/// Where a footage file of the record at `record` lies.
///
/// # Errors
/// [`RecordError::Outside`] when its name is absolute, empty, or leads out of the record's folder: a record from a
/// stranger may not make the program open any file.
pub fn footage_path(record: &Path, footage: &Footage) -> Result<PathBuf, RecordError> {
    if is_inside(&footage.file) {
        Ok(record.with_file_name(name_path(&footage.file)))
    } else {
        Err(RecordError::Outside { file: printable(&footage.file, 200) })
    }
}

/// Whether a name stays in the folder it is in.
pub(crate) fn is_inside(name: &str) -> bool {
    let path = name_path(name);
    let mut parts = path.components().peekable();
    let inside = parts.peek().is_some() && parts.all(|c| matches!(c, Component::Normal(_)));
    inside && !path.as_os_str().as_encoded_bytes().contains(&0)
}

/// Bytes from 0x80 that make no UTF-8 are held as the private-use characters U+EF80 to U+EFFF.
const RAW: u32 = 0xef00;

/// A file name as text for the record, without loss: JSON holds only Unicode, a name on disk may be any bytes. Each byte
/// that is not UTF-8, and each byte of a character from U+EF80 to U+EFFF, becomes U+EF00 plus the byte. [`name_path`] is
/// the way back.
pub fn name_text(name: &Path) -> String {
    let held = |b: &u8| char::from_u32(RAW + u32::from(*b)).unwrap_or('\u{fffd}');
    let mut text = String::new();
    for chunk in name.as_os_str().as_encoded_bytes().utf8_chunks() {
        for c in chunk.valid().chars() {
            if is_held(c) {
                text.extend(c.encode_utf8(&mut [0; 4]).as_bytes().iter().map(held));
            } else {
                text.push(c);
            }
        }
        text.extend(chunk.invalid().iter().map(held));
    }
    text
}

/// The file name that a record's text stands for: see [`name_text`].
pub fn name_path(text: &str) -> PathBuf {
    name_bytes(text).into()
}

const fn is_held(c: char) -> bool {
    matches!(c, '\u{ef80}'..='\u{efff}')
}

#[cfg(all(unix, not(feature = "portable")))]
fn name_bytes(text: &str) -> std::ffi::OsString {
    use std::os::unix::ffi::OsStringExt;
    let mut bytes = Vec::with_capacity(text.len());
    for c in text.chars() {
        if is_held(c) {
            bytes.push((u32::from(c) - RAW) as u8);
        } else {
            bytes.extend_from_slice(c.encode_utf8(&mut [0; 4]).as_bytes());
        }
    }
    std::ffi::OsString::from_vec(bytes)
}

/// Names are Unicode on other systems.
#[cfg(any(not(unix), feature = "portable"))]
fn name_bytes(text: &str) -> std::ffi::OsString {
    text.into()
}

/// Looks for footage that is no longer where the record says: a file of the same kind in the record's folder with the
/// same fingerprint.
pub fn find_again(record: &Path, footage: &Footage) -> Option<PathBuf> {
    let wanted = footage.fingerprint.as_deref()?;
    find_same(folder(record), name_path(&footage.file).extension(), wanted)
}

/// A file in a folder with this ending and this fingerprint.
pub(crate) fn find_same(folder: &Path, kind: Option<&OsStr>, wanted: &str) -> Option<PathBuf> {
    let entries = std::fs::read_dir(folder).ok()?;
    // Two MiB are read of each; a folder with more files than this is not a folder of matches.
    let files = entries.flatten().map(|e| e.path()).filter(|p| p.extension() == kind).take(500);
    files.into_iter().find(|p| fingerprint(p).is_ok_and(|found| found == wanted))
}

/// Why a footage file is not opened where the record says. As words it goes on after the file's name in quotes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Astray {
    /// It is not there, and no other file is the same.
    Missing,
    /// It is not there; this file in the record's folder is the same footage.
    Renamed(PathBuf),
    /// Its name leads out of the record's folder.
    Outside,
}

impl fmt::Display for Astray {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing => write!(f, "is not in the record's folder; put it there to play it"),
            Self::Renamed(now) => {
                let now = printable(&now.file_name().unwrap_or_default().to_string_lossy(), 200);
                write!(f, "is now named \"{now}\"; open the record in the window to save the new name")
            }
            Self::Outside => {
                write!(f, "is outside the record's folder, so it is not opened; move it into the folder")
            }
        }
    }
}

/// What keeps a footage file of the record at `record` from being opened; nothing where it is in its place.
pub fn astray(record: &Path, footage: &Footage) -> Option<Astray> {
    let Ok(path) = footage_path(record, footage) else { return Some(Astray::Outside) };
    if path.is_file() {
        return None;
    }
    Some(find_again(record, footage).map_or(Astray::Missing, Astray::Renamed))
}

/// Whether the file at this place is another than the one with this fingerprint. Two MiB of it are read. Where nothing is known, or
/// nothing can be read, it is not.
pub fn is_other(path: &Path, known: Option<&str>) -> bool {
    known.is_some_and(|known| fingerprint(path).is_ok_and(|found| found != known))
}

/// What is said of a file that is another, after its name.
pub const OTHER: &str = "is not the file that was tagged: its content is another. What is shown or made of it may be of other people; \
                         look at it, or put the right file in its place";

/// The files of footage that are there and are not those of the record, by their places.
pub fn others<'a>(record: &'a Path, footage: &'a [Footage]) -> impl Iterator<Item = (usize, &'a Footage)> {
    footage.iter().enumerate().filter(|(_, file)| {
        footage_path(record, file).is_ok_and(|path| is_other(&path, file.fingerprint.as_deref()))
    })
}

/// Looks for each footage file that is not where the record says, and puts the name under which [`find_again`] finds it
/// into the record: one edit, which can be undone. What was found, or could not be noted, is among the store's notices.
pub fn relink(store: &mut Store) {
    let mut footage = store.record().footage.clone();
    let mut calibrations = store.record().calibrations.clone();
    let mut said = Vec::new();
    for file in &mut footage {
        let Ok(path) = footage_path(store.path(), file) else { continue };
        if path.exists() {
            continue;
        }
        let Some(found) = find_again(store.path(), file) else { continue };
        let name = name_text(found.file_name().unwrap_or_default().as_ref());
        let (was, is) = (printable(&file.file, 200), printable(&name, 200));
        said.push(format!("footage {was} is missing; {is} has the same content and is used instead"));
        for marks in calibrations.iter_mut().filter(|c| c.file == file.file) {
            marks.file.clone_from(&name);
        }
        file.file = name;
    }
    if said.is_empty() {
        return;
    }
    let mut edit = Edit::SetFootage(footage);
    if calibrations != store.record().calibrations {
        edit = Edit::Together(vec![edit, Edit::SetCalibrations(calibrations)]);
    }
    if let Err(e) = store.apply(edit) {
        said.push(format!("the new name of the footage could not be saved: {e}"));
    }
    for notice in said {
        store.tell(notice);
    }
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
        return Err(RecordError::NotAFile { path: path.to_owned(), kind: DocumentKind::Record });
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
    use crate::record::{CourtMarks, FoundBy, Record};
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
    fn footage_found_again_is_noted_in_the_record() {
        let dir = tempfile::tempdir().unwrap();
        let record = dir.path().join("m.points.json");
        let (first, second) = (dir.path().join("renamed \"one\".mp4"), dir.path().join("two.mp4"));
        std::fs::write(&first, b"first set").unwrap();
        std::fs::write(&second, b"second set").unwrap();
        let print = |path: &Path| fingerprint(path).ok();
        let footage = vec![
            Footage { fingerprint: print(&first), ..named("one.mp4") },
            Footage { fingerprint: print(&second), ..named("two.mp4") },
            Footage { fingerprint: Some("sha256:0".into()), ..named("lost.mp4") },
        ];
        let marks = |file: &str| CourtMarks {
            file: file.into(),
            at: MatchTime::ZERO,
            size: crate::measure::Size::new(64, 36),
            marks: Vec::new(),
            by: FoundBy::Hand,
            centre: None,
            moving: false,
        };
        let calibrations = vec![marks("one.mp4"), marks("two.mp4")];
        let full = Record { footage, calibrations, ..Record::default() };
        let mut store = Store::create(&record, full).unwrap();
        relink(&mut store);
        let names: Vec<_> = store.record().footage.iter().map(|f| f.file.clone()).collect();
        assert_eq!(names, ["renamed \"one\".mp4", "two.mp4", "lost.mp4"]);
        let marked = store.record().calibrations.iter().map(|c| c.file.as_str());
        assert_eq!(marked.collect::<Vec<_>>(), ["renamed \"one\".mp4", "two.mp4"], "marks follow their file");
        let said = "footage one.mp4 is missing; renamed \"one\".mp4 has the same content and is used instead";
        assert_eq!(store.notices(), [said]);
        relink(&mut store);
        assert_eq!(store.notices().len(), 1, "found once");
        let _ = store.undo().unwrap().unwrap();
        assert_eq!(store.record().footage[0].file, "one.mp4");
        assert_eq!(store.record().calibrations[0].file, "one.mp4");
        let mut second = Store::open(&record).unwrap();
        relink(&mut second);
        assert!(second.notices().last().unwrap().contains("could not be saved"), "{:?}", second.notices());
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
    #[cfg(all(unix, not(feature = "portable")))]
    #[test]
    fn any_name_on_disk_is_held_without_loss() {
        use std::os::unix::ffi::OsStrExt;
        let dir = tempfile::tempdir().unwrap();
        let record = dir.path().join("m.points.json");
        for name in [
            &b"m.mp4"[..],
            b"two words.mp4",
            b"\"quoted\" 'twice'.mp4",
            b"line\nline.mp4",
            b"\xff\xfe caf\xe9.mp4",
            "\u{ef80}\u{efff}\u{ef7f}.mp4".as_bytes(),
            "set \u{fffd} é.mp4".as_bytes(),
        ] {
            let disk = Path::new(std::ffi::OsStr::from_bytes(name));
            let text = name_text(disk);
            assert_eq!(name_path(&text), disk, "{text:?}");
            std::fs::write(dir.path().join(disk), name).unwrap();
            let json = serde_json::to_string(&named(&text)).unwrap();
            let back: Footage = serde_json::from_str(&json).unwrap();
            assert_eq!(std::fs::read(footage_path(&record, &back).unwrap()).unwrap(), name);
        }
        let up = name_text(Path::new(std::ffi::OsStr::from_bytes(b"../\xff.mp4")));
        assert!(footage_path(&record, &named(&up)).is_err(), "no escape leads out of the folder");
        assert!(footage_path(&record, &named("\u{ef80}/../../m.mp4")).is_err());
    }

    proptest::proptest! {
        #[cfg(all(unix, not(feature = "portable")))]
        #[test]
        fn a_name_comes_back_from_its_text(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..20)) {
            use std::os::unix::ffi::OsStrExt;
            let disk = Path::new(std::ffi::OsStr::from_bytes(&bytes));
            proptest::prop_assert_eq!(name_path(&name_text(disk)), disk);
        }
    }
}
