//! Files that are no film, or broken ones: a helpful message in time, or a warning and as much film as there is.

use std::path::Path;
use std::time::{Duration, Instant};

use changeover::frames::FootageFile;
use changeover::time::MatchTime;
use changeover::video::{Container, VideoError, probe};

use crate::film::{Film, Screen};

/// Opens a file within the time that a coach waits.
pub fn opened(path: &Path) -> Result<FootageFile, VideoError> {
    let since = Instant::now();
    let result = probe(path);
    assert!(since.elapsed() < Duration::from_secs(5), "{} took {:?}", path.display(), since.elapsed());
    result
}

fn refused(path: &Path) -> VideoError {
    let error = opened(path).unwrap_err();
    let text = error.to_string();
    let name = path.file_name().unwrap().to_str().unwrap();
    assert!(text.contains(name) && text.contains("; "), "says what, where and what to do: {text}");
    error
}

fn written(dir: &tempfile::TempDir, name: &str, film: &Film) -> std::path::PathBuf {
    let path = dir.path().join(name);
    film.write(&path);
    path
}

#[test]
fn what_is_no_film_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let file = |name: &str, content: &[u8]| {
        let path = dir.path().join(name);
        std::fs::write(&path, content).unwrap();
        path
    };
    assert!(matches!(refused(&dir.path().join("missing.mp4")), VideoError::NotFound { .. }));
    assert!(matches!(refused(dir.path()), VideoError::IsFolder { .. }));
    assert!(matches!(refused(&file("empty.mp4", b"")), VideoError::Empty { .. }));
    let text = refused(&file("text.mp4", b"Just some words about tennis.\n"));
    assert!(matches!(&text, VideoError::NotVideo { found, .. } if found.contains("text")), "{text}");
    let noise: Vec<u8> = (0..50_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    assert!(matches!(refused(&file("noise.mp4", &noise)), VideoError::NotVideo { .. }));
    let head = refused(&file("head.mp4", b"\0\0\0\x18ftypisom\0\0\0\0isommp42\0\0\0\x08free"));
    assert!(matches!(head, VideoError::Incomplete { .. }), "{head}");
}

#[test]
fn a_film_without_its_end_is_refused_or_played_as_far_as_it_goes() {
    let dir = tempfile::tempdir().unwrap();
    let whole = written(&dir, "whole.mp4", &Film::constant("30", 60));
    let bytes = std::fs::read(&whole).unwrap();
    let cut = dir.path().join("cut.mp4");
    // The index of this MP4 is at its end.
    std::fs::write(&cut, &bytes[..bytes.len() / 2]).unwrap();
    let error = refused(&cut);
    assert!(matches!(error, VideoError::Incomplete { .. }), "{error:?}");

    let whole = written(&dir, "whole.webm", &Film { container: Container::WebM, ..Film::constant("30", 90) });
    let bytes = std::fs::read(&whole).unwrap();
    let cut = dir.path().join("cut.webm");
    std::fs::write(&cut, &bytes[..bytes.len() / 2]).unwrap();
    let media = opened(&cut).unwrap();
    assert!((10..80).contains(&media.index.len()), "{}", media.index.len());
    assert!(media.warnings[0].contains("broke off"), "{:?}", media.warnings);
}

/// The header says 20 s, the data ends after a few frames.
#[test]
fn a_header_that_claims_too_much_is_not_believed() {
    let dir = tempfile::tempdir().unwrap();
    let whole = written(&dir, "whole.mp4", &Film::constant("30", 600));
    let bytes = header_first(&std::fs::read(&whole).unwrap());
    let moov = bytes.windows(4).position(|w| w == b"mdat").unwrap();
    let cut = dir.path().join("cut.mp4");
    std::fs::write(&cut, &bytes[..moov + 60_000]).unwrap();
    let media = opened(&cut).unwrap();
    assert!(media.duration < MatchTime::from_secs(15), "{}", media.duration);
    assert!(media.warnings.iter().any(|w| w.contains("says it lasts 20.0 s")), "{:?}", media.warnings);
    let made = std::sync::Arc::new(media);
    let mut s = Screen::of(&made);
    s.wait_for(0);
    let last = made.index.len() - 2;
    s.player.seek_frame(last);
    s.wait_for(last);
}

/// The same MP4 with its header before its data.
fn header_first(file: &[u8]) -> Vec<u8> {
    let mut boxes = Vec::new();
    let mut at = 0;
    while at + 8 <= file.len() {
        let size = u32::from_be_bytes(file[at..at + 4].try_into().unwrap()) as usize;
        let size = if size == 1 {
            u64::from_be_bytes(file[at + 8..at + 16].try_into().unwrap()) as usize
        } else {
            size
        };
        boxes.push(file[at..at + size].to_vec());
        at += size;
    }
    let split = boxes.iter().position(|b| &b[4..8] == b"moov").unwrap();
    let mut moov = boxes.remove(split);
    let shift = moov.len() as u32;
    // Every chunk moves back by the length of the header.
    let tables: Vec<usize> = (0..moov.len() - 4).filter(|&i| &moov[i..i + 4] == b"stco").collect();
    for table in tables {
        let count = u32::from_be_bytes(moov[table + 8..table + 12].try_into().unwrap()) as usize;
        for entry in moov[table + 12..table + 12 + 4 * count].chunks_exact_mut(4) {
            let moved = u32::from_be_bytes(entry.try_into().unwrap()) + shift;
            entry.copy_from_slice(&moved.to_be_bytes());
        }
    }
    boxes.insert(1, moov);
    boxes.concat()
}

#[test]
fn a_wrong_name_gets_a_warning_and_plays() {
    let dir = tempfile::tempdir().unwrap();
    let path = written(&dir, "really_mp4.webm", &Film::constant("30", 30));
    let media = opened(&path).unwrap();
    assert_eq!(media.index.len(), 30);
    assert!(media.warnings[0].contains("this is an MP4 file"), "{:?}", media.warnings);
    Screen::of(&std::sync::Arc::new(media)).wait_for(0);
    // A name cannot drive a terminal.
    let odd = dir.path().join("a\u{1b}[2J.w\u{1b}m");
    std::fs::rename(&path, &odd).unwrap();
    let said = &opened(&odd).unwrap().warnings[0];
    assert!(said.starts_with("a\\u{1b}[2J.w\\u{1b}m: this is") && !said.contains('\u{1b}'), "{said}");
}

#[test]
fn sound_alone_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("sound.wav");
    let samples = vec![0u8; 16_000];
    let mut wav = b"RIFF".to_vec();
    wav.extend((36 + samples.len() as u32).to_le_bytes());
    wav.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    wav.extend(8000u32.to_le_bytes());
    wav.extend(16_000u32.to_le_bytes());
    wav.extend([2, 0, 16, 0]);
    wav.extend(b"data");
    wav.extend((samples.len() as u32).to_le_bytes());
    wav.extend(samples);
    std::fs::write(&path, wav).unwrap();
    let error = refused(&path);
    assert!(matches!(&error, VideoError::NoPictures { found, .. } if found == "sound"), "{error:?}");
}

/// The header is there, the pictures are not.
#[test]
fn a_header_alone_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let whole = written(&dir, "whole.mp4", &Film { sound: true, ..Film::constant("30", 60) });
    let bytes = header_first(&std::fs::read(&whole).unwrap());
    let data = bytes.windows(4).position(|w| w == b"mdat").unwrap() - 4;
    for (name, kept) in
        [("header.mp4", data), ("header-and-8.mp4", data + 8), ("half-a-header.mp4", data / 2)]
    {
        let path = dir.path().join(name);
        std::fs::write(&path, &bytes[..kept]).unwrap();
        let error = refused(&path);
        assert!(matches!(error, VideoError::Incomplete { .. }), "{name}: {error:?}");
    }
}

/// `changeover court` on a film of two seconds, in its folder.
fn court(dir: &tempfile::TempDir, words: &[&str]) -> (Option<i32>, String, String) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_changeover"));
    let out = command.current_dir(dir.path()).env("XDG_CACHE_HOME", dir.path()).arg("court").args(words);
    let out = out.output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (out.status.code(), text(out.stdout), text(out.stderr))
}

#[test]
fn a_moment_after_the_end_is_refused_and_files_are_named_as_typed() {
    let dir = tempfile::tempdir().unwrap();
    written(&dir, "film.mp4", &Film::constant("30", 60));
    for option in ["--at", "--from"] {
        let (code, _, said) = court(&dir, &["film.mp4", option, "1:00"]);
        let wanted =
            "film.mp4: it ends at 00:00:02.000, so there is nothing at 00:01:00.000; give an earlier time";
        assert!(code == Some(1) && said.ends_with(&format!("changeover: {wanted}\n")), "{said}");
    }
    let (code, said, _) = court(&dir, &["film.mp4", "--at", "0.5001"]);
    assert!(code == Some(0) && said.starts_with("film.mp4 at 00:00:00.500: "), "{said}");
    let (code, said, _) = court(&dir, &["film.mp4", "--from", "0.1", "--to", "0.2"]);
    assert!(code == Some(0) && said.contains("\n00:00:00.100 to 00:00:00.200: not held: "), "{said}");
    std::fs::write(dir.path().join("words.mp4"), "Just some words about tennis.\n").unwrap();
    let (code, _, said) = court(&dir, &["words.mp4"]);
    assert!(code == Some(1) && said.contains("changeover: words.mp4: this is not a video file"), "{said}");
}
