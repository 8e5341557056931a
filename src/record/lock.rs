//! One writer: a lock beside the record.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

use chrono::{Local, SecondsFormat};
use serde::{Deserialize, Serialize};

use super::error::printable;

/// What came of asking for the lock.
pub(super) enum Asked {
    /// Ours, until dropped.
    Got(Lock),
    /// Somebody else's: who, in words.
    Held(String),
    /// No lock can be had here: why, in words.
    None(io::Error),
}

/// The lock of a record. Dropping it lets the next writer in.
#[derive(Debug)]
pub(super) struct Lock {
    path: PathBuf,
    /// Holds the system's lock for as long as it is open.
    _file: File,
}

#[derive(Serialize, Deserialize)]
struct Holder {
    pid: u32,
    since: String,
}

impl Lock {
    /// Asks for the lock file at `path`, without waiting.
    pub(super) fn ask(path: &Path) -> Asked {
        // The holder before us may take its file away between our opening and our locking it: then ask again.
        for _ in 0..16 {
            let opened = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path);
            let mut file = match opened {
                Ok(file) => file,
                Err(e) => return Asked::None(e),
            };
            match file.try_lock() {
                Ok(()) if !is_at(&file, path) => {}
                Ok(()) => {
                    // Who we are only helps a second window to name us; the lock holds without it.
                    let _ = sign(&mut file);
                    return Asked::Got(Self { path: path.to_owned(), _file: file });
                }
                Err(TryLockError::WouldBlock) => return Asked::Held(holder(&mut file)),
                Err(TryLockError::Error(e)) => return Asked::None(e),
            }
        }
        Asked::Held("another program that opens and closes it all the time".into())
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // While still locked, so that nobody can hold a file that is no longer at this path.
        if cfg!(unix) {
            let _ = std::fs::remove_file(&self.path);
        }
    }
}

#[cfg(unix)]
fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let same = |a: &std::fs::Metadata, b: &std::fs::Metadata| a.ino() == b.ino() && a.dev() == b.dev();
    matches!((&file.metadata(), &std::fs::metadata(path)), (Ok(a), Ok(b)) if same(a, b))
}

#[cfg(not(unix))]
fn is_at(_: &File, _: &Path) -> bool {
    true
}

fn sign(file: &mut File) -> io::Result<()> {
    let since = Local::now().to_rfc3339_opts(SecondsFormat::Secs, false);
    let text = serde_json::to_string(&Holder { pid: std::process::id(), since })?;
    file.set_len(0)?;
    file.rewind()?;
    file.write_all(text.as_bytes())
}

fn holder(file: &mut File) -> String {
    let mut text = Vec::new();
    let read = file.take(1000).read_to_end(&mut text);
    match read.ok().and_then(|_| serde_json::from_slice::<Holder>(&text).ok()) {
        Some(Holder { pid, since }) => format!("process {pid}, since {}", printable(&since, 40)),
        None => "another program".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_holds_it_and_is_named() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.points.lock");
        let Asked::Got(first) = Lock::ask(&path) else { panic!("free") };
        match Lock::ask(&path) {
            Asked::Held(who) => {
                assert!(who.starts_with(&format!("process {}, since 2", std::process::id())), "{who}");
            }
            _ => panic!("held"),
        }
        drop(first);
        assert!(matches!(Lock::ask(&path), Asked::Got(_)));
        assert!(!path.exists());
    }

    #[test]
    fn a_strange_lock_file_does_no_harm() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.points.lock");
        std::fs::write(&path, [0xff; 5000]).unwrap();
        let Asked::Got(lock) = Lock::ask(&path) else { panic!("free") };
        drop(lock);
        std::fs::create_dir(&path).unwrap();
        assert!(matches!(Lock::ask(&path), Asked::None(_)));
    }
}
