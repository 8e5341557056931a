//! What a file holds, by its first bytes.

/// The kind of footage or sound that a file starts as, in words; `None` for anything else. `head` should be its first
/// 1024 bytes or more.
pub fn footage_kind(head: &[u8]) -> Option<&'static str> {
    let at = |from: usize, what: &[u8]| head.get(from..from + what.len()) == Some(what);
    let starts_with_box = |names: &[&[u8]]| names.iter().any(|name| at(4, name));
    // The last four are words too: there the size before them shows that it is a box.
    if starts_with_box(&[b"ftyp", b"moov", b"mdat", b"moof", b"styp"])
        || (at(0, &[0]) && starts_with_box(&[b"free", b"skip", b"wide", b"pnot"]))
    {
        return Some("an MP4 or MOV file");
    }
    if at(0, &[0x1a, 0x45, 0xdf, 0xa3]) {
        return Some("a Matroska or WebM file");
    }
    if at(0, b"RIFF") {
        return Some("an AVI or WAV file");
    }
    if at(0, b"OggS") {
        return Some("an Ogg file");
    }
    // Packets of a transport stream have 188 bytes; those of camcorders have four more in front.
    let packets = |first: usize, size: usize| (0..3).all(|n| at(first + n * size, &[0x47]));
    if std::str::from_utf8(head).is_err() && (packets(0, 188) || packets(4, 192)) {
        return Some("a transport stream");
    }
    if at(0, &[0, 0, 1, 0xba]) || at(0, &[0, 0, 1, 0xb3]) {
        return Some("an MPEG file");
    }
    if at(0, &[0, 0, 0, 1]) || at(0, &[0, 0, 1]) {
        return Some("a bare video stream");
    }
    if at(0, b"FLV\x01") {
        return Some("a Flash video");
    }
    if at(0, &[0x30, 0x26, 0xb2, 0x75, 0x8e, 0x66, 0xcf, 0x11]) {
        return Some("a Windows Media file");
    }
    // The last ones are how frames of MP3 and AAC begin.
    if at(0, b"fLaC")
        || at(0, b"ID3")
        || [0xf1, 0xf2, 0xf3, 0xf9, 0xfa, 0xfb].iter().any(|b| at(0, &[0xff, *b]))
    {
        return Some("a sound file");
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn footage_is_known_by_its_first_bytes() {
        let packets = |first: usize, size: usize| {
            let mut bytes = vec![0xff; 1024];
            for at in (first..1024).step_by(size) {
                bytes[at] = 0x47;
            }
            bytes
        };
        let mut files: Vec<(&str, Vec<u8>)> = vec![
            ("an MP4 or MOV file", b"\0\0\0\x18ftypisom".to_vec()),
            ("an MP4 or MOV file", b"\0\0\0\x08wide\0\0\0\0mdat".to_vec()),
            ("a Matroska or WebM file", vec![0x1a, 0x45, 0xdf, 0xa3]),
            ("an AVI or WAV file", b"RIFF1234AVI LIST".to_vec()),
            ("an Ogg file", b"OggS".to_vec()),
            ("an MPEG file", vec![0, 0, 1, 0xba]),
            ("a bare video stream", vec![0, 0, 0, 1, 0x67]),
            ("a Flash video", b"FLV\x01".to_vec()),
            ("a sound file", b"ID3".to_vec()),
        ];
        files.extend([packets(0, 188), packets(4, 192)].map(|bytes| ("a transport stream", bytes)));
        for (kind, bytes) in files {
            assert_eq!(footage_kind(&bytes), Some(kind), "{bytes:x?}");
        }
        let texts = ["", "winner,free\n", "one free word", "WEBVTT\n", &"G".repeat(1024)];
        for text in texts.map(str::as_bytes).into_iter().chain([&b"\xff\xfew\0"[..]]) {
            assert_eq!(footage_kind(text), None, "{text:x?}");
        }
    }
}
