//! What a file is by its first bytes.

use std::io::Read;
use std::path::Path;

use super::error::VideoError;

/// As many bytes of a file's start as are looked at.
const HEAD: u64 = 4096;

/// The first bytes of a file; fewer where it cannot be read.
pub(super) fn head(path: &Path) -> Vec<u8> {
    let mut head = Vec::new();
    let _ = std::fs::File::open(path).and_then(|f| f.take(HEAD).read_to_end(&mut head));
    head
}

/// A kind of file that holds footage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Mp4,
    Matroska,
    Avi,
    Ogg,
    TransportStream,
}

impl Kind {
    /// The kind that the first bytes of a file show.
    pub(super) fn of(head: &[u8]) -> Option<Self> {
        let at = |from: usize, what: &[u8]| head.get(from..from + what.len()) == Some(what);
        if at(4, b"ftyp") || at(4, b"moov") || at(4, b"mdat") {
            Some(Self::Mp4)
        } else if at(0, &[0x1A, 0x45, 0xDF, 0xA3]) {
            Some(Self::Matroska)
        } else if at(0, b"RIFF") && at(8, b"AVI ") {
            Some(Self::Avi)
        } else if at(0, b"OggS") {
            Some(Self::Ogg)
        } else if [0, 4].iter().any(|&skip| at(skip, &[0x47]) && at(skip + 188 + skip, &[0x47])) {
            // Camcorders put four bytes before each packet.
            Some(Self::TransportStream)
        } else {
            None
        }
    }

    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Mp4 => "an MP4 file",
            Self::Matroska => "a Matroska or WebM file",
            Self::Avi => "an AVI file",
            Self::Ogg => "an Ogg file",
            Self::TransportStream => "a transport stream",
        }
    }

    /// The endings of names that belong to it, the usual one first.
    pub(super) fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Mp4 => &["mp4", "mov", "m4v", "qt", "3gp", "3g2", "insv", "lrv"],
            Self::Matroska => &["webm", "mkv", "mk3d"],
            Self::Avi => &["avi", "divx"],
            Self::Ogg => &["ogv", "ogg", "ogm"],
            Self::TransportStream => &["ts", "mts", "m2ts", "m2t"],
        }
    }
}

/// What a file is that holds a picture, or an animation made of pictures, in words; `None` for any other file.
pub(super) fn picture(head: &[u8]) -> Option<String> {
    let at = |from: usize, what: &[u8]| head.get(from..from + what.len()) == Some(what);
    let has = |what: &[u8]| head.windows(what.len()).any(|w| w == what);
    let (moves, format) = if at(0, &[0xFF, 0xD8, 0xFF]) {
        (false, "JPEG")
    } else if at(0, b"\x89PNG\r\n\x1a\n") {
        (has(b"acTL"), "PNG")
    } else if at(0, b"GIF8") {
        (has(b"NETSCAPE2.0") || has(b"ANIMEXTS1.0"), "GIF")
    } else if at(0, b"RIFF") && at(8, b"WEBP") {
        (at(12, b"VP8X") && head.get(20).is_some_and(|flags| flags & 2 != 0), "WebP")
    } else if at(0, b"BM") && at(6, &[0; 4]) {
        (false, "BMP")
    } else if at(0, b"II*\0") || at(0, b"MM\0*") {
        (false, "TIFF")
    } else if at(4, b"ftypavif") {
        (false, "AVIF")
    } else if at(4, b"ftypavis") {
        (true, "AVIF")
    } else if [b"heic", b"heix", b"mif1"].iter().any(|brand| at(4, b"ftyp") && at(8, *brand)) {
        (false, "HEIF")
    } else {
        return None;
    };
    Some(if moves { format!("an animation ({format})") } else { format!("a still picture ({format})") })
}

/// What is no footage, by a file's first bytes and its name; `None` for what may be some.
pub(super) fn no_footage(head: &[u8], path: &Path) -> Option<VideoError> {
    let path = path.to_path_buf();
    let at = |what: &[u8]| head.starts_with(what);
    let has = |what: &[u8]| head.windows(what.len()).any(|w| w == what);
    if let Some(found) = picture(head) {
        return Some(VideoError::Picture { path, found });
    }
    let sheets: [&[u8]; 3] = [b"[Content_Types].xml", b"xl/", b"opendocument.spreadsheet"];
    if at(&[0xD0, 0xCF, 0x11, 0xE0]) || at(b"PK\x03\x04") && sheets.iter().any(|s| has(s)) {
        return Some(VideoError::Workbook { path });
    }
    let wide = at(b"\xFF\xFE") || at(b"\xFE\xFF");
    if (wide || std::str::from_utf8(head).is_ok()) && is_table(head, &path) {
        return Some(VideoError::Table { path });
    }
    let found = match () {
        () if wide => "a text in UTF-16",
        () if at(b"PK\x03\x04") => "an archive (ZIP)",
        () if at(b"%PDF") => "a PDF document",
        () => return None,
    };
    Some(VideoError::NotVideo { path, found: format!("it is {found}") })
}

/// Whether a text is a table of points: by its ending, or because its first row names the column of winners.
fn is_table(text: &[u8], path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    let rows = String::from_utf8_lossy(text).replace(['\0', '"', '\u{feff}', '\u{fffd}'], "").to_lowercase();
    let named = |row: &str| row.split([',', ';', '\t']).any(|cell| cell.trim() == "winner");
    ["csv", "tsv"].contains(&ending.as_str()) || rows.lines().take(2).any(named)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_footage_is_told_by_its_kind() {
        let said = |head: &[u8], name: &str| no_footage(head, Path::new(name)).map(|e| e.to_string());
        for (head, name) in [
            (&b"winner,tags\na,x\n"[..], "chart"),
            (b"sep=;\n\"Start\";\"Winner\"\n", "chart.txt"),
            (b"\xff\xfew\0i\0n\0n\0e\0r\0\n\0", "chart"),
            (b"anything", "Chart.CSV"),
        ] {
            let said = said(head, name).unwrap();
            assert!(said.contains("changeover import") && said.starts_with(name), "{said}");
        }
        for head in [&b"PK\x03\x04\x14\0\x06\0[Content_Types].xml"[..], b"\xd0\xcf\x11\xe0"] {
            assert!(said(head, "w").unwrap().contains("this is a workbook"));
        }
        assert!(said(b"PK\x03\x04", "w").unwrap().contains("an archive (ZIP)"));
        assert!(said(b"\xff\xfea\0", "w").unwrap().contains("a text in UTF-16"));
        for head in [&b"\0\0\0\x18ftypisom"[..], b"#EXTM3U\n", b"the winner\n", b"\xff\xfb\x90"] {
            assert_eq!(said(head, "w"), None);
        }
    }

    #[test]
    fn kinds_are_told_by_the_first_bytes() {
        assert_eq!(Kind::of(b"\0\0\0\x18ftypisom"), Some(Kind::Mp4));
        assert_eq!(Kind::of(&[0x1A, 0x45, 0xDF, 0xA3]), Some(Kind::Matroska));
        assert_eq!(Kind::of(b"RIFF1234AVI LIST"), Some(Kind::Avi));
        for skip in [0, 4] {
            let mut packets = vec![0; 500];
            (packets[skip], packets[188 + 2 * skip]) = (0x47, 0x47);
            assert_eq!(Kind::of(&packets), Some(Kind::TransportStream));
        }
        assert_eq!(Kind::of(b"plain words"), None);
        assert_eq!(Kind::of(b""), None);
    }

    #[test]
    fn pictures_and_animations_are_told_by_the_first_bytes() {
        for (head, words) in [
            (&b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"[..], "a still picture (PNG)"),
            (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR....\0\0\0\x08acTL", "an animation (PNG)"),
            (b"GIF89a....NETSCAPE2.0", "an animation (GIF)"),
            (b"GIF87a....", "a still picture (GIF)"),
            (b"RIFF\0\0\0\0WEBPVP8X\x0a\0\0\0\x02", "an animation (WebP)"),
            (b"RIFF\0\0\0\0WEBPVP8 \x0a\0\0\0\x02", "a still picture (WebP)"),
            (b"\0\0\0\x18ftypheic", "a still picture (HEIF)"),
            (b"\0\0\0\x18ftypavis", "an animation (AVIF)"),
        ] {
            assert_eq!(picture(head).as_deref(), Some(words));
        }
        assert_eq!(picture(b"\0\0\0\x18ftypisom"), None);
        assert_eq!(picture(b"RIFF1234AVI LIST"), None);
        assert_eq!(picture(b"BMW is no picture"), None);
    }
}
