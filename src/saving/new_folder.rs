//! A new folder of files: under its name when it is whole, or not at all.

use std::io;
use std::path::{Path, PathBuf};

use super::place::folder;

/// A folder that is being made beside its place. If it is dropped before it is finished, nothing is left of it.
#[derive(Debug)]
pub struct NewFolder {
    temp: tempfile::TempDir,
    out: PathBuf,
}

impl NewFolder {
    /// Begins a folder that will be `out`.
    ///
    /// # Errors
    /// [`io::ErrorKind::AlreadyExists`] when something of that name is there, else what the system says.
    pub fn begin(out: &Path) -> io::Result<Self> {
        vacant(out)?;
        let temp = tempfile::Builder::new().prefix(".changeover-").suffix(".part").tempdir_in(folder(out))?;
        Ok(Self { temp, out: out.to_owned() })
    }

    /// Where its files are written.
    pub fn path(&self) -> &Path {
        self.temp.path()
    }

    /// The path that a file in it gets when the folder has its name; any other path as it is.
    pub fn named(&self, path: &Path) -> PathBuf {
        path.strip_prefix(self.path()).map_or_else(|_| path.to_owned(), |inside| self.out.join(inside))
    }

    /// Gives it its name. What came there meanwhile is not replaced.
    ///
    /// # Errors
    /// As [`NewFolder::begin`].
    pub fn finish(self) -> io::Result<()> {
        open_to_all(self.temp.path())?;
        // Only an empty folder could be replaced.
        vacant(&self.out)?;
        std::fs::rename(self.temp.path(), &self.out)?;
        // It has another name now.
        let _ = self.temp.keep();
        Ok(())
    }
}

fn vacant(path: &Path) -> io::Result<()> {
    if path.symlink_metadata().is_ok() { Err(io::ErrorKind::AlreadyExists.into()) } else { Ok(()) }
}

/// A temporary folder can be read by nobody else; this one becomes a folder as any other.
fn open_to_all(path: &Path) -> io::Result<()> {
    let other = path.join(".other");
    std::fs::create_dir(&other)?;
    let permissions = other.metadata()?.permissions();
    std::fs::remove_dir(&other)?;
    std::fs::set_permissions(path, permissions)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_whole_or_not_there() {
        let home = tempfile::tempdir().unwrap();
        let out = home.path().join("clips");
        let begun = NewFolder::begin(&out).unwrap();
        std::fs::write(begun.path().join("a"), "1").unwrap();
        drop(begun);
        assert_eq!(std::fs::read_dir(home.path()).unwrap().count(), 0);
        let begun = NewFolder::begin(&out).unwrap();
        std::fs::write(begun.path().join("a"), "1").unwrap();
        assert_eq!(begun.named(&begun.path().join("clips/01.mp4")), out.join("clips/01.mp4"));
        assert_eq!(begun.named(Path::new("match.mp4")), Path::new("match.mp4"));
        begun.finish().unwrap();
        assert_eq!(std::fs::read_to_string(out.join("a")).unwrap(), "1");
        assert_eq!(std::fs::read_dir(home.path()).unwrap().count(), 1);
    }

    #[test]
    fn what_is_there_is_not_replaced() {
        let home = tempfile::tempdir().unwrap();
        let out = home.path().join("clips");
        let begun = NewFolder::begin(&out).unwrap();
        std::fs::create_dir(&out).unwrap();
        assert_eq!(NewFolder::begin(&out).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(begun.finish().unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(std::fs::read_dir(home.path()).unwrap().count(), 1);
    }
}
