//! One writer: a lock beside the record.

use std::fs::{File, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

use chrono::{Local, SecondsFormat};

use super::disk;
use super::holder::{HeldBy, Holder};
use crate::system::printable;

/// What came of asking for the lock.
pub(super) enum Asked {
    /// Ours, until dropped.
    Got(Lock),
    /// Somebody else's: who.
    Held(HeldBy),
    /// The folder takes no file: why.
    None(io::Error),
    /// The file system knows no locks, as some network folders do: why. Signed, so that a second program sees us.
    Unlocked(Lock, io::Error),
}

/// The lock of a record. Dropping it lets the next writer in.
#[derive(Debug)]
pub(crate) struct Lock {
    path: PathBuf,
    /// Holds the system's lock for as long as it is open.
    _file: File,
}

impl Lock {
    /// Takes the lock file at `path`; `None` if no lock is possible. The error is who has it.
    pub(crate) fn take(path: &Path) -> Result<Option<Self>, HeldBy> {
        match Self::ask(path) {
            Asked::Got(lock) | Asked::Unlocked(lock, _) => Ok(Some(lock)),
            Asked::None(_) => Ok(None),
            Asked::Held(who) => Err(who),
        }
    }

    /// Asks for the lock file at `path`, without waiting.
    pub(super) fn ask(path: &Path) -> Asked {
        // The holder before us may take its file away between our opening and our locking it: then ask again.
        for _ in 0..16 {
            let mut file = match disk::open(path, true) {
                Ok(file) => file,
                Err(e) => return Asked::None(e),
            };
            // Who holds a pipe cannot be read: it would be waited for.
            if !file.metadata().is_ok_and(|about| about.is_file()) {
                return Asked::None(io::Error::other(
                    "something that is not a file has the name of the lock",
                ));
            }
            match disk::try_lock(&file) {
                Ok(()) if !disk::is_at(&file, path) => {}
                Ok(()) => return Asked::Got(Self::signed(path, file)),
                Err(TryLockError::WouldBlock) => {
                    return Asked::Held(holder(&mut file).map_or(HeldBy::Unsigned, HeldBy::Program));
                }
                Err(TryLockError::Error(e)) => return Self::without_system(path, file, e),
            }
        }
        Asked::Held(HeldBy::Restless)
    }

    /// If the file system has no locks, the content of the file decides.
    fn without_system(path: &Path, mut file: File, why: io::Error) -> Asked {
        match holder(&mut file) {
            Some(holder) if !is_dead(&holder) => {
                let lock = printable(&path.file_name().unwrap_or_default().to_string_lossy(), 200);
                Asked::Held(HeldBy::AsSigned { holder, lock })
            }
            _ => Asked::Unlocked(Self::signed(path, file), why),
        }
    }

    fn signed(path: &Path, mut file: File) -> Self {
        // The content only lets a second window name us; the lock works without it.
        let _ = sign(&mut file);
        Self { path: path.to_owned(), _file: file }
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

/// The name of this computer, or nothing.
fn host() -> String {
    let name =
        std::fs::read_to_string("/proc/sys/kernel/hostname").or_else(|_| std::env::var("COMPUTERNAME"));
    name.unwrap_or_default().trim().to_owned()
}

/// Whether a program ran on this computer and runs no more; what cannot be known is no.
fn is_dead(holder: &Holder) -> bool {
    let alive = Path::new("/proc").join(holder.pid.to_string());
    Path::new("/proc/self").exists() && holder.host == host() && !alive.exists()
}

fn sign(file: &mut File) -> io::Result<()> {
    let since = Local::now().to_rfc3339_opts(SecondsFormat::Secs, false);
    let text = serde_json::to_string(&Holder { pid: std::process::id(), host: host(), since })?;
    file.set_len(0)?;
    file.rewind()?;
    file.write_all(text.as_bytes())
}

fn holder(file: &mut File) -> Option<Holder> {
    let mut text = Vec::new();
    file.take(1000).read_to_end(&mut text).ok()?;
    serde_json::from_slice(&text).ok()
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
                let who = who.to_string();
                let (us, host) = (std::process::id(), host());
                assert!(who.starts_with(&format!("process {us} on {host}, since 2")), "{who}");
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
    #[test]
    fn the_file_of_a_dead_process_holds_nobody_up() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.points.lock");
        std::fs::write(&path, r#"{"pid":4194305,"host":"court-3","since":"2026-05-01T10:00:00Z"}"#).unwrap();
        let Asked::Got(_lock) = Lock::ask(&path) else { panic!("free") };
        let now = std::fs::read_to_string(&path).unwrap();
        assert!(now.contains(&std::process::id().to_string()), "{now}");
    }

    /// As on a network folder without locks (`ENOLCK`, 37 on Linux).
    #[cfg(target_os = "linux")]
    #[test]
    fn without_system_locks_the_file_itself_must_do() {
        use disk::fault::{Fault, plan};
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.points.lock");
        plan(Some(Fault { from: 0, times: usize::MAX, errno: 37, hits: |op| op == disk::Op::Lock }));
        let Asked::Unlocked(first, why) = Lock::ask(&path) else { panic!("free") };
        assert_eq!(why.raw_os_error(), Some(37));
        let Asked::Held(who) = Lock::ask(&path) else { panic!("signed by the first") };
        let who = who.to_string();
        assert!(who.contains("according to m.points.lock; delete that file"), "{who}");
        drop(first);
        // Process numbers end below 2^22 on Linux: this one is dead, if it was here.
        for (host, free) in [(host(), true), ("court-3".into(), false)] {
            let text = format!(r#"{{"pid":4194305,"host":"{host}","since":"2026-05-01T10:00:00Z"}}"#);
            std::fs::write(&path, text).unwrap();
            assert_eq!(matches!(Lock::ask(&path), Asked::Unlocked(..)), free, "{host}");
        }
        plan(None);
    }
}
