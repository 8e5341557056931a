//! The few operations by which a record's files change. All of them go through here, so that a test can make any one
//! of them fail: see `fault`.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::Path;

use tempfile::NamedTempFile;

/// What is done to the disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Op {
    /// A file is opened for writing, made if it is not there.
    Open,
    /// Its length is set.
    Cut,
    /// Bytes are written.
    Write,
    /// A file or a folder is brought down to the disk.
    Sync,
    /// A file gets another name, perhaps that of another file.
    Rename,
    /// A file is copied.
    Copy,
    /// A file is taken away.
    Remove,
    /// A lock is asked for.
    Lock,
}

/// Opens a file for writing; `make`s it when it is not there.
pub(super) fn open(path: &Path, make: bool) -> io::Result<File> {
    step(Op::Open)?;
    OpenOptions::new().read(true).write(true).create(make).truncate(false).open(path)
}

pub(super) fn set_len(file: &File, len: u64) -> io::Result<()> {
    step(Op::Cut)?;
    file.set_len(len)
}

pub(super) fn write(file: &mut File, bytes: &[u8]) -> io::Result<()> {
    if let Err(e) = step(Op::Write) {
        // A disk that is full takes a part first.
        file.write_all(&bytes[..bytes.len() / 2])?;
        return Err(e);
    }
    file.write_all(bytes)
}

pub(super) fn sync_data(file: &File) -> io::Result<()> {
    step(Op::Sync)?;
    file.sync_data()
}

pub(super) fn sync_all(file: &File) -> io::Result<()> {
    step(Op::Sync)?;
    file.sync_all()
}

/// Makes the names in a file's folder durable.
pub(super) fn sync_folder(of: &Path) -> io::Result<()> {
    step(Op::Sync)?;
    if cfg!(unix) { File::open(folder(of))?.sync_all() } else { Ok(()) }
}

pub(super) fn rename(from: &Path, to: &Path) -> io::Result<()> {
    step(Op::Rename)?;
    fs::rename(from, to)
}

pub(super) fn copy(from: &Path, to: &Path) -> io::Result<()> {
    step(Op::Copy)?;
    fs::copy(from, to).map(drop)
}

pub(super) fn remove(path: &Path) -> io::Result<()> {
    step(Op::Remove)?;
    fs::remove_file(path)
}

/// A new file of a name that nothing has, taken away again unless it is [`persist`]ed.
pub(super) fn temporary(builder: &tempfile::Builder<'_, '_>, folder: &Path) -> io::Result<NamedTempFile> {
    step(Op::Open)?;
    builder.tempfile_in(folder).map_err(unnamed)
}

/// The system's answer without the name of a temporary file, which says nothing to anybody.
pub(crate) fn unnamed(e: io::Error) -> io::Error {
    let text = e.to_string();
    match text.split_once(" at path ") {
        Some((what, _)) => io::Error::new(e.kind(), what),
        None => e,
    }
}

/// Gives a temporary file its name; over another file only if it may.
pub(super) fn persist(temp: NamedTempFile, path: &Path, over: bool) -> io::Result<()> {
    step(Op::Rename)?;
    let done = if over { temp.persist(path) } else { temp.persist_noclobber(path) };
    done.map(drop).map_err(|e| e.error)
}

pub(super) fn try_lock(file: &File) -> Result<(), TryLockError> {
    step(Op::Lock).map_err(TryLockError::Error)?;
    file.try_lock()
}

/// The folder that a file is in.
pub(super) fn folder(of: &Path) -> &Path {
    match of.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    }
}

/// Whether an open file is still the one at this path.
#[cfg(all(unix, not(feature = "portable")))]
pub(super) fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let same = |a: &fs::Metadata, b: &fs::Metadata| a.ino() == b.ino() && a.dev() == b.dev();
    matches!((&file.metadata(), &fs::metadata(path)), (Ok(a), Ok(b)) if same(a, b))
}

/// Elsewhere a file that is open cannot be taken away.
#[cfg(any(not(unix), feature = "portable"))]
pub(super) fn is_at(_: &File, _: &Path) -> bool {
    true
}

#[cfg(not(test))]
#[expect(clippy::unnecessary_wraps, reason = "under test it fails when told to")]
const fn step(_: Op) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
use fault::step;

/// Faults on demand, for this thread.
#[cfg(test)]
pub(super) mod fault {
    use std::cell::RefCell;
    use std::io;

    use super::Op;

    /// What fails, from when on, how.
    #[derive(Debug, Clone, Copy)]
    pub(in crate::record) struct Fault {
        /// The number of the operation, from 0.
        pub from: usize,
        /// How many of them fail.
        pub times: usize,
        /// The system's error number (`ENOSPC` is 28, `EIO` 5, `EACCES` 13, `ENOLCK` 37 on Linux).
        pub errno: i32,
        /// Which operations can fail.
        pub hits: fn(Op) -> bool,
    }

    thread_local! {
        static PLAN: RefCell<(usize, Option<Fault>)> = const { RefCell::new((0, None)) };
    }

    /// Counts from nought, and fails as told.
    pub(in crate::record) fn plan(fault: Option<Fault>) {
        PLAN.with(|p| *p.borrow_mut() = (0, fault));
    }

    /// How many operations there were since [`plan`].
    pub(in crate::record) fn count() -> usize {
        PLAN.with(|p| p.borrow().0)
    }

    pub(super) fn step(op: Op) -> io::Result<()> {
        PLAN.with(|p| {
            let (n, fault) = &mut *p.borrow_mut();
            let now = *n;
            *n += 1;
            match fault {
                Some(f) if now >= f.from && now - f.from < f.times && (f.hits)(op) => {
                    Err(io::Error::from_raw_os_error(f.errno))
                }
                _ => Ok(()),
            }
        })
    }
}
