//! The desktop's own list of recent files, from which a match is taken off when a person is erased. The window adds to it through
//! the toolkit.

use std::io;
use std::path::{Path, PathBuf};

use percent_encoding::percent_decode_str;

use crate::textfile::{self, Limit};

/// The list as the desktop keeps it, a file of bookmarks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DesktopList {
    file: PathBuf,
}

impl DesktopList {
    /// The list below the desktop's folder for data.
    pub fn below(data: &Path) -> Self {
        Self { file: data.join("recently-used.xbel") }
    }

    /// Takes files off the list. All else stays as it is, byte by byte.
    ///
    /// # Errors
    /// The file and the reason, when the list cannot be read, or names such a file and cannot be written.
    pub fn forget(&self, files: &[PathBuf]) -> Result<(), (PathBuf, io::Error)> {
        let text = match textfile::text(&self.file, Limit::LIST) {
            Ok(text) => text,
            Err(why) if why.is_missing() => return Ok(()),
            // It may still name the match.
            Err(why) => return Err((self.file.clone(), io::Error::other(why.to_string()))),
        };
        let left = without(&text, files);
        if left == text {
            return Ok(());
        }
        self.write(&left).map_err(|e| (self.file.clone(), e))
    }

    fn write(&self, text: &str) -> io::Result<()> {
        let folder = self.file.parent().unwrap_or(Path::new("."));
        let new = tempfile::NamedTempFile::new_in(folder)?;
        std::fs::write(new.path(), text)?;
        new.persist(&self.file).map(drop).map_err(|e| e.error)
    }
}

/// The bookmarks without those of `files`.
fn without(text: &str, files: &[PathBuf]) -> String {
    const END: &str = "</bookmark>";
    let mut left = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("<bookmark ") {
        let Some(end) = rest[at..].find(END).map(|n| at + n + END.len()) else { break };
        let gone = address(&rest[at..end]).is_some_and(|path| files.contains(&path));
        left.push_str(if gone { rest[..at].trim_end_matches([' ', '\t']) } else { &rest[..end] });
        rest = &rest[end..];
        if gone {
            rest = rest.strip_prefix('\n').unwrap_or(rest);
        }
    }
    left + rest
}

/// The file that a bookmark is of.
fn address(bookmark: &str) -> Option<PathBuf> {
    let written = bookmark.split_once("href=\"")?.1.split_once('"')?.0;
    let address = quick_xml::escape::unescape(written).ok()?;
    let path = percent_decode_str(address.strip_prefix("file://")?).decode_utf8().ok()?;
    Some(PathBuf::from(path.into_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIST: &str = "<?xml version=\"1.0\"?>\n<xbel>\n  <bookmark href=\"file:///f/holt%20%26%20reyes.mp4\" added=\"x\">\n    \
                        <info/>\n  </bookmark>\n  <bookmark href=\"file:///f/other.mp4\">\n  </bookmark>\n</xbel>\n";

    #[test]
    fn a_file_is_taken_off_and_the_rest_stays() {
        let folder = tempfile::tempdir().unwrap();
        let list = DesktopList::below(folder.path());
        assert!(list.forget(&["/f/other.mp4".into()]).is_ok(), "there is no list");
        std::fs::write(folder.path().join("recently-used.xbel"), LIST).unwrap();
        list.forget(&["/f/holt & reyes.mp4".into()]).unwrap();
        let left = std::fs::read_to_string(folder.path().join("recently-used.xbel")).unwrap();
        let wanted = "<?xml version=\"1.0\"?>\n<xbel>\n  <bookmark href=\"file:///f/other.mp4\">\n  </bookmark>\n</xbel>\n";
        assert_eq!(left, wanted);
    }

    #[test]
    fn a_list_that_cannot_be_read_is_told() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("recently-used.xbel"), [0xff, 0xfe, b'<']).unwrap();
        let (file, _) = DesktopList::below(folder.path()).forget(&["/f/a.mp4".into()]).unwrap_err();
        assert!(file.ends_with("recently-used.xbel"));
        assert_eq!(std::fs::read(&file).unwrap(), [0xff, 0xfe, b'<'], "it stays as it is");
    }

    #[test]
    fn a_list_that_is_broken_stays_as_it_is() {
        for text in
            ["", "<bookmark href=\"file:///f/a.mp4\">", "no list", "<bookmark href=\"http://f\"></bookmark>"]
        {
            assert_eq!(without(text, &["/f/a.mp4".into()]), text);
        }
    }
}
