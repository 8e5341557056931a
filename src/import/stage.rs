//! Many new files at one stroke: written aside, brought to the disk, then moved to where they belong.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

/// A folder that files are written in before they are moved to the one they are for. Dropped without [`Stage::put`],
/// it is gone with all that is in it.
#[derive(Debug)]
pub struct Stage {
    aside: TempDir,
    out: PathBuf,
    /// Whether the folder that they are for is not there yet.
    new: bool,
}

impl Stage {
    /// A stage for files of the folder `out`, which need not be there.
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
        builder.prefix(".changeover-").suffix(".tmp");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // It becomes the folder: the user's mask takes from it what it takes from any other.
            builder.permissions(fs::Permissions::from_mode(0o777));
        }
        Ok(Self { aside: builder.tempdir_in(home)?, out: out.to_owned(), new })
    }

    /// Where to write the files.
    pub fn folder(&self) -> &Path {
        self.aside.path()
    }

    /// Moves the files of these names to their folder: all, or after an error none. A file of the same name that is
    /// there is replaced; the caller has asked. Killed in the middle, a folder that is new is there whole or not at
    /// all, and one that was there may have some of the files.
    ///
    /// # Errors
    /// What the system says; the folder is then as it was.
    pub fn put(self, names: &[String]) -> io::Result<()> {
        sync_files(self.folder(), names)?;
        if !self.new {
            return self.move_all(names);
        }
        if let Some(parent) = self.out.parent().filter(|p| !p.as_os_str().is_empty()) {
            fs::create_dir_all(parent)?;
        }
        fs::rename(self.aside.path(), &self.out)?;
        // It is at its place: nothing is left to be taken away.
        let _ = self.aside.keep();
        File::open(nearest_folder(&self.out))?.sync_all()
    }

    fn move_all(&self, names: &[String]) -> io::Result<()> {
        let mut done: Vec<(&String, Option<PathBuf>)> = Vec::new();
        for (n, name) in names.iter().enumerate() {
            let target = self.out.join(name);
            let old = target.symlink_metadata().is_ok().then(|| self.folder().join(format!(".old-{n}")));
            let moved = match &old {
                Some(old) => fs::rename(&target, old),
                None => Ok(()),
            };
            let moved = moved.and_then(|()| {
                done.push((name, old));
                fs::rename(self.folder().join(name), &target)
            });
            if let Err(e) = moved {
                self.take_back(&done);
                return Err(e);
            }
        }
        File::open(&self.out)?.sync_all()
    }

    fn take_back(&self, done: &[(&String, Option<PathBuf>)]) {
        for (name, old) in done.iter().rev() {
            let target = self.out.join(name);
            // The error that led here is the one to tell; what fails now too is left where it is.
            let _ = match old {
                Some(old) => fs::rename(old, &target),
                None => fs::remove_file(&target),
            };
        }
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
        let (stage, mut names) = staged(dir.path(), &["a", "b"]);
        names.push("never written".into());
        stage.put(&names).unwrap_err();
        assert_eq!(texts(dir.path()), pairs(&[("a", "old")]));
        let (stage, names) = staged(dir.path(), &["a", "b"]);
        stage.put(&names).unwrap();
        assert_eq!(texts(dir.path()), pairs(&[("a", "new"), ("b", "new")]));
        Stage::new(&dir.path().join("a")).unwrap_err();
    }
}
