//! Text files of the user, read with a limit. Whatever a name leads to, reading it ends: a pipe that nobody writes to, a
//! device and a folder are refused, and so is what is larger than any file of its kind.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use thiserror::Error;

use crate::system::reading;

const MIB: u64 = 1 << 20;

/// The most bytes that a file of some kind may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limit {
    mebibytes: u64,
}

impl Limit {
    /// What is written by hand: key cards, patterns, questions, rules, settings.
    pub const SETTINGS: Self = Self { mebibytes: 1 };
    /// Lists of file names.
    pub const LIST: Self = Self { mebibytes: 16 };
    /// Records and their journals.
    pub const RECORD: Self = Self { mebibytes: 64 };
    /// Tables of points; they are read row by row.
    pub const TABLE: Self = Self { mebibytes: 256 };

    /// In bytes.
    pub const fn bytes(self) -> u64 {
        self.mebibytes * MIB
    }

    /// In words.
    pub fn words(self) -> String {
        format!("{} MiB", self.mebibytes)
    }
}

/// Why a text file is not read. A message goes on after the file's name.
#[derive(Debug, Error)]
pub enum TextError {
    /// The system does not open it.
    #[error("cannot open it: {}", reading(.0))]
    Open(io::Error),
    /// The system does not give its bytes.
    #[error("cannot read it: {}", reading(.0))]
    Read(io::Error),
    /// A folder.
    #[error("this is a folder; name a file")]
    Folder,
    /// A device, a pipe or the like.
    #[error("this is not a regular file, so it is not read; name a file")]
    NotAFile,
    /// Larger than any file of its kind.
    #[error("it is larger than {}, so it is not read", .0.words())]
    TooBig(Limit),
    /// Nothing in it.
    #[error("this file is empty")]
    Empty,
    /// Footage, a picture or the like: it holds a NUL, which no text does.
    #[error("this is not a text file, but footage, a picture or the like; name another file")]
    NotText,
    /// UTF-16, by its first two bytes.
    #[error("it is written in UTF-16; save it as text in UTF-8")]
    Utf16,
    /// Bytes that are no text in UTF-8.
    #[error("line {line}, column {column}: this is not text in UTF-8; save the file in UTF-8")]
    NotUtf8 {
        /// Line of the first such byte, from 1.
        line: usize,
        /// Column in characters, from 1.
        column: usize,
    },
}

impl TextError {
    /// Whether there is no such file.
    pub fn is_missing(&self) -> bool {
        matches!(self, Self::Open(e) if e.kind() == io::ErrorKind::NotFound)
    }
}

/// Opens a regular file.
///
/// # Errors
/// [`TextError`] when there is none.
pub fn open(path: &Path) -> Result<File, TextError> {
    // Before it is opened: opening a pipe waits for somebody at its other end.
    regular(&path.metadata().map_err(TextError::Open)?)?;
    let file = File::open(path).map_err(TextError::Open)?;
    regular(&file.metadata().map_err(TextError::Open)?)?;
    Ok(file)
}

fn regular(about: &std::fs::Metadata) -> Result<(), TextError> {
    if about.is_dir() {
        return Err(TextError::Folder);
    }
    if about.is_file() { Ok(()) } else { Err(TextError::NotAFile) }
}

/// The bytes of a regular file.
///
/// # Errors
/// [`TextError`] when it cannot be read or is larger than the limit.
pub fn bytes(path: &Path, limit: Limit) -> Result<Vec<u8>, TextError> {
    all(open(path)?, limit)
}

/// All that a reader gives, as far as the limit.
///
/// # Errors
/// [`TextError`] when it cannot be read or gives more.
pub fn all(from: impl Read, limit: Limit) -> Result<Vec<u8>, TextError> {
    let mut bytes = Vec::new();
    from.take(limit.bytes() + 1).read_to_end(&mut bytes).map_err(TextError::Read)?;
    if bytes.len() as u64 > limit.bytes() { Err(TextError::TooBig(limit)) } else { Ok(bytes) }
}

/// The text of a regular file, without a byte order mark.
///
/// # Errors
/// [`TextError`] when it cannot be read, is larger than the limit, or is not UTF-8.
pub fn text(path: &Path, limit: Limit) -> Result<String, TextError> {
    decoded(&bytes(path, limit)?)
}

fn decoded(bytes: &[u8]) -> Result<String, TextError> {
    let text = utf_8(bytes)?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text).to_owned())
}

/// Bytes as text.
///
/// # Errors
/// [`TextError::Utf16`], [`TextError::NotText`] and [`TextError::NotUtf8`].
pub fn utf_8(bytes: &[u8]) -> Result<&str, TextError> {
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        return Err(TextError::Utf16);
    }
    if bytes.contains(&0) {
        return Err(TextError::NotText);
    }
    std::str::from_utf8(bytes).map_err(|e| {
        let good = &bytes[..e.valid_up_to()];
        let lines = good.split(|b| *b == b'\n');
        let last = lines.clone().next_back().unwrap_or_default();
        TextError::NotUtf8 { line: lines.count(), column: String::from_utf8_lossy(last).chars().count() + 1 }
    })
}

/// A reader that fails once it has given as much as the limit.
#[derive(Debug)]
pub struct Bounded<R> {
    from: R,
    left: u64,
    limit: Limit,
}

impl<R> Bounded<R> {
    /// Around a reader.
    pub const fn new(from: R, limit: Limit) -> Self {
        Self { from, left: limit.bytes(), limit }
    }
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let n = self.from.read(into)?;
        let left = self.left.checked_sub(n as u64).ok_or_else(|| {
            io::Error::other(format!("it is larger than {}, so no more of it is read", self.limit.words()))
        })?;
        self.left = left;
        Ok(n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said<T: std::fmt::Debug>(read: Result<T, TextError>) -> String {
        read.unwrap_err().to_string()
    }

    #[test]
    fn a_text_is_read_without_its_mark() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a");
        std::fs::write(&path, "\u{feff}é\n").unwrap();
        assert_eq!(text(&path, Limit::SETTINGS).unwrap(), "é\n");
        std::fs::write(&path, b"one\n\xc3\xa9\xe9").unwrap();
        let utf_8 = "line 2, column 2: this is not text in UTF-8; save the file in UTF-8";
        assert_eq!(said(text(&path, Limit::SETTINGS)), utf_8);
        std::fs::write(&path, b"\xff\xfea\0").unwrap();
        assert_eq!(said(text(&path, Limit::SETTINGS)), "it is written in UTF-16; save it as text in UTF-8");
        std::fs::write(&path, b"\0\0\0\x18ftypisom\xff").unwrap();
        assert!(said(text(&path, Limit::SETTINGS)).starts_with("this is not a text file, but footage"));
    }

    #[test]
    fn what_is_too_large_is_not_read() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a");
        let file = File::create(&path).unwrap();
        file.set_len(Limit::SETTINGS.bytes()).unwrap();
        assert_eq!(bytes(&path, Limit::SETTINGS).unwrap().len(), 1 << 20);
        file.set_len(Limit::SETTINGS.bytes() + 1).unwrap();
        assert_eq!(said(bytes(&path, Limit::SETTINGS)), "it is larger than 1 MiB, so it is not read");
        assert_eq!(said(all(io::repeat(0), Limit::SETTINGS)), "it is larger than 1 MiB, so it is not read");
        let read = io::copy(&mut Bounded::new(io::repeat(0), Limit::SETTINGS), &mut io::sink());
        assert_eq!(read.unwrap_err().to_string(), "it is larger than 1 MiB, so no more of it is read");
    }

    #[test]
    fn what_is_no_file_is_refused_at_once() {
        let dir = tempfile::tempdir().unwrap();
        assert_eq!(said(open(dir.path())), "this is a folder; name a file");
        let missing = open(&dir.path().join("none")).unwrap_err();
        assert!(missing.is_missing());
        #[cfg(unix)]
        {
            let pipe = dir.path().join("pipe");
            assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
            for path in [&pipe, Path::new("/dev/zero")] {
                assert!(said(open(path)).starts_with("this is not a regular file"), "{}", path.display());
            }
        }
    }
}
