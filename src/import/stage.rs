//! Many new files, all or none: written into a temporary folder, synced to the disk, then moved to their place.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::broken::{self, Broken, NAME};
use crate::record::{Lock, hold, unnamed};

/// A temporary folder in which files are written before they are moved to their own folder. If it is dropped without
/// [`Stage::put`], it is deleted with all its files.
#[derive(Debug)]
pub struct Stage {
    /// Says that it is alive. Let go before it is taken away.
    lock: Option<Lock>,
    aside: TempDir,
    out: PathBuf,
    /// Whether the folder that they are for is not there yet.
    new: bool,
    broken: Broken,
}

impl Stage {
    /// A stage for files of the folder `out`, which need not be there. What killed imports left is cleared away first:
    /// see [`Stage::broken`].
    ///
    /// # Errors
    /// What the system says.
    pub fn new(out: &Path) -> io::Result<Self> {
        let new = !out.is_dir();
        if new && out.symlink_metadata().is_ok() {
            return Err(io::Error::new(
                io::ErrorKind::NotADirectory,
                "there is a file of this name, not a folder",
            ));
        }
        // Only within one file system can files be moved at one stroke.
        let home = if new { nearest_folder(out) } else { out };
        let mut builder = tempfile::Builder::new();
        builder.prefix(NAME[0]).suffix(NAME[1]);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // It becomes the folder: the user's mask takes from it what it takes from any other.
            builder.permissions(fs::Permissions::from_mode(0o777));
        }
        let aside = builder.tempdir_in(home).map_err(unnamed)?;
        let lock = Lock::take(&broken::lock_of(aside.path())).map_err(io::Error::other)?;
        let mut broken = broken::clear(home, aside.path())?;
        if !new {
            // A stage of when it was not there yet.
            let beside = broken::clear(nearest_folder(out), aside.path())?;
            broken.back += beside.back;
            broken.left.extend(beside.left);
        }
        Ok(Self { lock, aside, out: out.to_owned(), new, broken })
    }

    /// What imports that were killed had done here, and what became of it.
    pub const fn broken(&self) -> &Broken {
        &self.broken
    }

    /// Where to write the files.
    pub fn folder(&self) -> &Path {
        self.aside.path()
    }

    /// Moves the files of these names to their folder: all, or after an error none. A file of the same name that is
    /// there is replaced, unless a program has it open; the caller has asked. Killed in the middle, a folder that is
    /// new is there whole or not at all; in one that was there the next stage takes back what was moved.
    ///
    /// A file that was replaced by another content is kept beside it; the answer is where.
    ///
    /// # Errors
    /// The system's error. Nothing in the folder has changed then.
    pub fn put(self, names: &[String]) -> io::Result<Vec<PathBuf>> {
        sync_files(self.folder(), names)?;
        if !self.new {
            broken::plan(self.folder(), names)?;
            return self.move_all(names);
        }
        if let Some(parent) = self.out.parent().filter(|p| !p.as_os_str().is_empty()) {
            fs::create_dir_all(parent)?;
        }
        fs::rename(self.aside.path(), &self.out)?;
        // It is at its place: nothing is left to be taken away.
        let _ = self.aside.keep();
        drop(self.lock);
        File::open(nearest_folder(&self.out))?.sync_all()?;
        Ok(Vec::new())
    }

    fn move_all(self, names: &[String]) -> io::Result<Vec<PathBuf>> {
        let moved = names.iter().enumerate().try_for_each(|(n, name)| self.move_one(n, name));
        let moved = moved.and_then(|()| File::open(&self.out)?.sync_all());
        let Err(e) = moved.and_then(|()| broken::done(self.folder())) else { return Ok(self.keep_old()) };
        if broken::undo(self.folder(), &self.out, &mut Broken::default()).is_err() {
            // The next stage tries again, so what was replaced must not go with this one.
            let _ = self.aside.keep();
        }
        Err(e)
    }

    /// Keeps what was replaced, and says where.
    fn keep_old(self) -> Vec<PathBuf> {
        let mut kept = Vec::new();
        if broken::keep_old(self.folder(), &self.out, &mut kept).is_err() {
            // The next stage tries again, so what was replaced must not go with this one.
            let _ = self.aside.keep();
        }
        kept
    }

    fn move_one(&self, n: usize, name: &str) -> io::Result<()> {
        let target = self.out.join(name);
        // Nobody may write it while it is replaced.
        let _held = if target.exists() { hold(&target).map_err(io::Error::other)? } else { None };
        if target.symlink_metadata().is_ok() {
            fs::rename(&target, broken::old(self.folder(), n))?;
        }
        fs::rename(self.folder().join(name), &target)
    }
}

/// The folder that a path is in, or that its missing folders would be in.
fn nearest_folder(path: &Path) -> &Path {
    let up = path.ancestors().skip(1).map(|p| if p.as_os_str().is_empty() { Path::new(".") } else { p });
    up.into_iter().find(|p| p.is_dir()).unwrap_or(Path::new("."))
}

/// Brings files to the disk. One call for the whole file system: thousands of files one by one take minutes.
#[cfg(target_os = "linux")]
fn sync_files(folder: &Path, _: &[String]) -> io::Result<()> {
    Ok(rustix::fs::syncfs(File::open(folder)?)?)
}

#[cfg(not(target_os = "linux"))]
fn sync_files(folder: &Path, names: &[String]) -> io::Result<()> {
    names.iter().try_for_each(|name| File::open(folder.join(name))?.sync_all())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(folder: &Path) -> Vec<(String, String)> {
        let mut all: Vec<_> = fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap())
            .map(|e| (e.file_name().into_string().unwrap(), fs::read_to_string(e.path()).unwrap_or_default()))
            .collect();
        all.sort();
        all
    }

    fn staged(out: &Path, names: &[&str]) -> (Stage, Vec<String>) {
        let stage = Stage::new(out).unwrap();
        for name in names {
            fs::write(stage.folder().join(name), "new").unwrap();
        }
        (stage, names.iter().map(|n| (*n).to_owned()).collect())
    }

    fn pairs(all: &[(&str, &str)]) -> Vec<(String, String)> {
        all.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect()
    }

    #[test]
    fn a_new_folder_is_there_whole() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("deep/er");
        let (stage, names) = staged(&out, &["a", "b"]);
        assert!(!out.exists());
        stage.put(&names).unwrap();
        assert_eq!(texts(&out), pairs(&[("a", "new"), ("b", "new")]));
        assert_eq!(texts(dir.path()).len(), 1, "nothing else is left");
        drop(staged(&dir.path().join("never"), &["a"]));
        assert_eq!(texts(dir.path()).len(), 1, "nothing else is left");
    }

    #[test]
    fn after_a_failure_all_is_as_it_was() {
        let dir = tempfile::tempdir().unwrap();
        fs::write(dir.path().join("a"), "old").unwrap();
        let (stage, names) = staged(dir.path(), &["a", "b"]);
        fs::write(dir.path().join("b"), "old").unwrap();
        let open = hold(&dir.path().join("b")).unwrap();
        let said = stage.put(&names).unwrap_err().to_string();
        assert!(said.contains("b: it is open in process"), "{said}");
        drop(open);
        assert_eq!(texts(dir.path()), pairs(&[("a", "old"), ("b", "old")]));
        fs::remove_file(dir.path().join("b")).unwrap();
        let (stage, names) = staged(dir.path(), &["a", "b"]);
        fs::remove_file(stage.folder().join("b")).unwrap();
        stage.put(&names).unwrap_err();
        assert_eq!(texts(dir.path()), pairs(&[("a", "old")]));
        let (stage, names) = staged(dir.path(), &["a", "b"]);
        let kept = stage.put(&names).unwrap();
        assert_eq!(kept.iter().map(|k| fs::read_to_string(k).unwrap()).collect::<Vec<_>>(), ["old"]);
        fs::remove_file(&kept[0]).unwrap();
        assert_eq!(texts(dir.path()), pairs(&[("a", "new"), ("b", "new")]));
        // The same content again is not worth keeping.
        let (stage, names) = staged(dir.path(), &["a", "b"]);
        assert_eq!(stage.put(&names).unwrap(), Vec::<PathBuf>::new());
        assert_eq!(texts(dir.path()), pairs(&[("a", "new"), ("b", "new")]));
        Stage::new(&dir.path().join("a")).unwrap_err();
    }
    /// As a kill leaves it: no more is done, and the lock is let go.
    fn killed(stage: Stage) {
        let Stage { lock, aside, .. } = stage;
        let _ = aside.keep();
        drop(lock);
    }

    #[test]
    fn what_a_killed_import_moved_is_taken_back() {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        let half = || {
            fs::write(at("a"), "old").unwrap();
            let (stage, names) = staged(dir.path(), &["a", "b", "c"]);
            broken::plan(stage.folder(), &names).unwrap();
            stage.move_one(0, "a").unwrap();
            stage.move_one(1, "b").unwrap();
            assert_eq!(Stage::new(dir.path()).unwrap().broken(), &Broken::default(), "it is alive");
            killed(stage);
            assert_eq!(fs::read_to_string(at("a")).unwrap(), "new");
        };
        half();
        let next = Stage::new(dir.path()).unwrap();
        assert_eq!(next.broken(), &Broken { back: 2, left: Vec::new() });
        drop(next);
        assert_eq!(texts(dir.path()), pairs(&[("a", "old")]), "nothing else is left");
        // What was changed since stays, and what it had replaced is kept.
        half();
        fs::write(at("a"), "worked on").unwrap();
        let open = hold(&at("b")).unwrap();
        let left = Stage::new(dir.path()).unwrap().broken().left.clone();
        drop(open);
        assert_eq!(left, [at("b"), at("a")]);
        let all = texts(dir.path());
        assert_eq!(all.len(), 3, "{all:?}");
        assert_eq!(all[0], ("a".into(), "worked on".into()));
        assert!(all[1].0.starts_with("a.aside-2") && all[1].1 == "old", "{all:?}");
        assert_eq!(all[2], ("b".into(), "new".into()));
    }

    #[test]
    fn what_a_killed_import_replaced_is_kept() {
        let dir = tempfile::tempdir().unwrap();
        fs::write(dir.path().join("a"), "old").unwrap();
        let (stage, names) = staged(dir.path(), &["a"]);
        broken::plan(stage.folder(), &names).unwrap();
        stage.move_one(0, "a").unwrap();
        broken::done(stage.folder()).unwrap();
        killed(stage);
        let next = Stage::new(dir.path()).unwrap();
        assert_eq!(next.broken(), &Broken::default(), "all of it was done");
        drop(next);
        let all = texts(dir.path());
        assert_eq!(all.len(), 2, "{all:?}");
        assert_eq!(all[0], ("a".into(), "new".into()));
        assert!(all[1].0.starts_with("a.aside-2") && all[1].1 == "old", "{all:?}");
    }

    #[test]
    fn of_a_new_folder_only_litter_can_be_left() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        killed(staged(&out, &["a"]).0);
        fs::write(dir.path().join(".changeover-gone.tmp.lock"), "").unwrap();
        assert_eq!(texts(dir.path()).len(), 2);
        let (stage, names) = staged(&out, &["b"]);
        stage.put(&names).unwrap();
        assert_eq!(texts(dir.path()).len(), 1, "{:?}", texts(dir.path()));
        assert_eq!(texts(&out), pairs(&[("b", "new")]));
    }
}
