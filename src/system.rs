//! What the operating system answers when it refuses, in our words: without its numbers, and with what to do. File names and other
//! text of a stranger, made fit for a message.

use std::fmt;
use std::io::{self, ErrorKind as Kind};
use std::path::Path;

/// What the number in the system's answer begins with.
const NUMBER: &str = " (os error ";

/// What was tried when the system refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Doing {
    Reading,
    Writing,
}

/// A refusal in our words.
#[derive(Debug)]
pub struct Refused<'a> {
    error: &'a io::Error,
    doing: Doing,
}

/// Why a file or folder cannot be read.
pub const fn reading(error: &io::Error) -> Refused<'_> {
    Refused { error, doing: Doing::Reading }
}

/// Why a file or folder cannot be written.
pub const fn writing(error: &io::Error) -> Refused<'_> {
    Refused { error, doing: Doing::Writing }
}

impl fmt::Display for Refused<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let read = self.doing == Doing::Reading;
        let text = self.error.to_string();
        if self.error.get_ref().is_some() && !text.contains(NUMBER) {
            // Words of our own, or of a library that is no system.
            return f.write_str(&text);
        }
        f.write_str(match self.error.kind() {
            Kind::NotFound if read => "there is no such file; check the name",
            Kind::NotFound => "its folder is not there",
            Kind::PermissionDenied if read => "you may not read it; change its permissions",
            Kind::PermissionDenied => "you may not write there",
            Kind::ReadOnlyFilesystem => "the disk or card is write-protected",
            Kind::StorageFull => "the disk is full",
            Kind::QuotaExceeded => "your share of the disk is full",
            Kind::FileTooLarge => "it would be larger than this disk allows",
            Kind::IsADirectory => "this is a folder",
            Kind::NotADirectory => "a part of its path is a file, not a folder",
            Kind::InvalidFilename => "the name is too long, or has a character that this disk does not allow",
            Kind::InvalidInput if self.error.raw_os_error().is_none() => {
                "the name has a character that no file name may have"
            }
            Kind::TimedOut | Kind::StaleNetworkFileHandle | Kind::NotConnected => {
                "the disk does not answer; check that it is connected"
            }
            _ => return f.write_str(plainly(&text)),
        })
    }
}

/// The system's words without its number, and without the path that a library adds after it.
fn plainly(text: &str) -> &str {
    let words = text.split_once(NUMBER).map_or(text, |(words, _)| words);
    match words {
        "Input/output error" => "the disk has an error; copy the file to another disk if you can",
        "Function not implemented" | "Operation not supported" => "this disk does not offer it",
        "Too many levels of symbolic links" => "its links lead in a circle",
        words => words,
    }
}

/// A stranger's text for a message: at most `most` characters, control characters shown as escapes.
pub(crate) fn printable(text: &str, most: usize) -> String {
    let mut shown = String::new();
    for (n, c) in text.chars().enumerate() {
        if n == most {
            shown.push('…');
            break;
        }
        if c.is_control()
            || matches!(c, '\u{200e}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        {
            shown.extend(c.escape_unicode());
        } else {
            shown.push(c);
        }
    }
    shown
}

/// A path for a message, as the user knows it.
pub(crate) fn shown(path: &Path) -> String {
    printable(&below_portal(path).unwrap_or(path).to_string_lossy(), 400)
}

/// What a sandbox shows below the folder that its document portal made for one choice: `match.mp4` or `Footage/match.mp4` of
/// `/run/user/1000/doc/1a2b3c4d/…`. None for any other path.
pub(crate) fn below_portal(path: &Path) -> Option<&Path> {
    let below = path.strip_prefix("/run/user").ok().and_then(|below| {
        let mut names = below.components();
        names.next()?;
        names.as_path().strip_prefix("doc").ok()
    });
    let mut names = below.or_else(|| path.strip_prefix("/run/flatpak/doc").ok())?.components();
    names.next()?;
    Some(names.as_path()).filter(|rest| !rest.as_os_str().is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_has_no_number() {
        for (kind, when_read, when_written) in [
            (Kind::NotFound, "there is no such file; check the name", "its folder is not there"),
            (
                Kind::PermissionDenied,
                "you may not read it; change its permissions",
                "you may not write there",
            ),
            (Kind::StorageFull, "the disk is full", "the disk is full"),
        ] {
            let error = io::Error::from(kind);
            assert_eq!(reading(&error).to_string(), when_read);
            assert_eq!(writing(&error).to_string(), when_written);
        }
        #[cfg(unix)]
        for number in 1..=131 {
            let error = io::Error::from_raw_os_error(number);
            for said in [reading(&error).to_string(), writing(&error).to_string()] {
                assert!(!said.contains("os error") && !said.is_empty(), "{number}: {said}");
            }
        }
    }

    #[test]
    fn what_a_library_said_itself_is_kept() {
        let error = io::Error::new(Kind::NotFound, "another program took it away");
        assert_eq!(writing(&error).to_string(), "another program took it away");
    }

    #[cfg(unix)]
    #[test]
    fn a_path_that_a_library_adds_is_left_out() {
        let error = tempfile::NamedTempFile::new_in("/no/such/folder").unwrap_err();
        assert_eq!(writing(&error).to_string(), "its folder is not there");
    }

    #[cfg(unix)]
    #[test]
    fn a_path_of_the_document_portal_is_shown_as_the_user_knows_it() {
        for (path, known) in [
            ("/run/user/1000/doc/1a2b3c4d/match.mp4", "match.mp4"),
            ("/run/user/1000/doc/1a2b3c4d/Footage/match.mp4", "Footage/match.mp4"),
            ("/run/flatpak/doc/1a2b3c4d/match.mp4", "match.mp4"),
            ("/run/user/1000/doc/1a2b3c4d", "/run/user/1000/doc/1a2b3c4d"),
            ("/run/user/1000/documents/a/match.mp4", "/run/user/1000/documents/a/match.mp4"),
            ("/home/coach/doc/a/match.mp4", "/home/coach/doc/a/match.mp4"),
        ] {
            assert_eq!(shown(Path::new(path)), known);
        }
    }

    #[test]
    fn a_strangers_text_cannot_drive_a_terminal() {
        assert_eq!(printable("a\u{1b}[2Jb\u{202e}", 100), "a\\u{1b}[2Jb\\u{202e}");
        assert_eq!(printable("äöüß", 2), "äö…");
    }
}
