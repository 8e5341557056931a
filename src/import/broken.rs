//! Cleans up after an import that was killed. The next import deletes its temporary files and moves back what it had moved.
//!
//! While files are moved, their stage holds a plan: each file with its size and time. A file that was changed since does not
//! match the plan and is left alone. A stage is in use as long as a program holds the lock beside it.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use crate::record::{Lock, hold, kept_as, newer_journal, printable};
use crate::system::writing;
use crate::textfile::{self, Limit};

/// How the name of a stage begins and ends.
pub(super) const NAME: [&str; 2] = [".changeover-", ".tmp"];
/// The plan, in the stage.
const PLAN: &str = ".moves";
/// The plan once all of it is done.
const DONE: &str = ".moves-done";

/// What a killed import had done, and what became of it.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Broken {
    /// Files that are as they were before it.
    pub back: usize,
    /// Files that were changed since, or are open, and stay; what they replaced is kept beside them.
    pub left: Vec<PathBuf>,
}

/// A file on its way.
#[derive(Serialize, Deserialize)]
pub(super) struct Move {
    name: String,
    bytes: u64,
    nanos: u128,
}

impl Move {
    fn of(name: &str, path: &Path) -> io::Result<Self> {
        let about = path.metadata()?;
        Ok(Self { name: name.into(), bytes: about.len(), nanos: nanos(about.modified()?) })
    }

    /// A plan that somebody wrote by hand shall not reach farther than its folder.
    fn stays_in_folder(&self) -> bool {
        Path::new(&self.name).file_name() == Some(self.name.as_ref())
    }

    /// Moves the file back to where it was `staged`, and what it replaced from `old` to its place. Nothing when it was not
    /// moved; `false` when it stays.
    fn take_back(&self, staged: &Path, old: &Path, target: &Path) -> io::Result<Option<bool>> {
        let (moved, replaced) = (!staged.exists(), old.exists());
        let there = target.symlink_metadata().is_ok();
        // Held and let go, its lock is gone too, if the kill came while it was held.
        let held = if there { hold(target) } else { Ok(None) };
        if !moved && !replaced {
            return Ok(None);
        }
        if there && (held.is_err() || !moved || !self.is_still(target)) {
            if replaced {
                kept_as(old, target)?;
            }
            return Ok(Some(false));
        }
        if there {
            fs::rename(target, staged)?;
        }
        if replaced {
            fs::rename(old, target)?;
            drop(hold(target));
        }
        Ok(Some(true))
    }

    /// Whether the file there is the one that was moved, and nobody has worked on it since.
    fn is_still(&self, target: &Path) -> bool {
        let same =
            Self::of(&self.name, target).is_ok_and(|now| (now.bytes, now.nanos) == (self.bytes, self.nanos));
        same && !newer_journal(target)
    }
}

fn nanos(time: SystemTime) -> u128 {
    time.duration_since(UNIX_EPOCH).unwrap_or_default().as_nanos()
}

/// The lock of a stage.
pub(super) fn lock_of(stage: &Path) -> PathBuf {
    let mut name = stage.as_os_str().to_owned();
    name.push(".lock");
    name.into()
}

/// Where a file that is replaced waits, in the stage.
pub(super) fn old(stage: &Path, n: usize) -> PathBuf {
    stage.join(format!(".old-{n}"))
}

/// Writes down what is about to be moved.
pub(super) fn plan(stage: &Path, names: &[String]) -> io::Result<()> {
    let moves: Vec<Move> =
        names.iter().map(|name| Move::of(name, &stage.join(name))).collect::<io::Result<_>>()?;
    // Under another name first: half a plan would be none.
    let draft = stage.join(".moves-draft");
    let mut file = File::create(&draft)?;
    file.write_all(&serde_json::to_vec(&moves)?)?;
    file.sync_all()?;
    fs::rename(draft, stage.join(PLAN))?;
    File::open(stage)?.sync_all()
}

/// Clears a folder of what killed imports of the same user left in it; `ours` is the stage of this one.
pub(super) fn clear(folder: &Path, ours: &Path) -> io::Result<Broken> {
    let mut broken = Broken::default();
    // A folder that cannot be listed may still take files.
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let bare = name.strip_suffix(".lock").unwrap_or(&name);
        let stage = folder.join(bare);
        if !(bare.starts_with(NAME[0]) && bare.ends_with(NAME[1])) || owner(&entry.path()) != owner(ours) {
            continue;
        }
        // Held: it is alive.
        let Ok(Some(_lock)) = Lock::take(&lock_of(&stage)) else { continue };
        if stage.is_dir() && owner(&stage) == owner(ours) {
            undo(&stage, folder, &mut broken).map_err(|e| {
                let what = "an interrupted import had moved a file, which cannot be moved back";
                io::Error::new(
                    e.kind(),
                    format!("{what}: {}; it is in {}", writing(&e), printable(&stage.to_string_lossy(), 400)),
                )
            })?;
            keep_old(&stage, folder, &mut Vec::new())?;
            // What stays is litter.
            let _ = fs::remove_dir_all(&stage);
        }
    }
    Ok(broken)
}

/// The owner of a file: a stage of another user is left alone.
fn owner(path: &Path) -> Option<u32> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        path.symlink_metadata().ok().map(|about| about.uid())
    }
    #[cfg(not(unix))]
    path.symlink_metadata().ok().map(|_| 0)
}

/// All moves are done, so none of them will be undone.
pub(super) fn done(stage: &Path) -> io::Result<()> {
    fs::rename(stage.join(PLAN), stage.join(DONE))
}

/// Keeps the files that a finished plan replaced with other content, beside the new ones.
pub(super) fn keep_old(stage: &Path, folder: &Path, kept: &mut Vec<PathBuf>) -> io::Result<()> {
    let Ok(text) = textfile::bytes(&stage.join(DONE), Limit::RECORD) else { return Ok(()) };
    let moves: Vec<Move> = serde_json::from_slice(&text)?;
    for (n, file) in moves.iter().enumerate().filter(|(_, file)| file.stays_in_folder()) {
        let (old, target) = (old(stage, n), folder.join(&file.name));
        if fs::read(&old).is_ok_and(|bytes| fs::read(&target).ok() != Some(bytes)) {
            kept.push(kept_as(&old, &target)?);
        }
    }
    Ok(())
}

/// All moves are undone; nothing is left to do.
fn settle(stage: &Path) -> io::Result<()> {
    fs::remove_file(stage.join(PLAN))
}

/// Undoes the moves, if there were any. If it is interrupted itself, the next call continues.
pub(super) fn undo(stage: &Path, folder: &Path, broken: &mut Broken) -> io::Result<()> {
    let Ok(text) = textfile::bytes(&stage.join(PLAN), Limit::RECORD) else { return Ok(()) };
    let moves: Vec<Move> = serde_json::from_slice(&text)?;
    for (n, file) in moves.iter().enumerate().rev() {
        if !file.stays_in_folder() {
            continue;
        }
        let target = folder.join(&file.name);
        match file.take_back(&stage.join(&file.name), &old(stage, n), &target)? {
            None => {}
            Some(true) => broken.back += 1,
            Some(false) => broken.left.push(target),
        }
    }
    File::open(folder)?.sync_all()?;
    settle(stage)
}
