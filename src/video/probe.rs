//! Opening a file: what it is, whether it plays, and what is odd about it.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;

use super::atoms;
use super::base::init;
use super::drain::Watch;
use super::early::{Early, first_frame};
use super::error::{VideoError, check_file};
use super::holes::Search;
use super::kind::{Kind, head, no_footage};
use super::program::{clock_span, has_clock, has_unmarked_sound};
use super::scan::{SLACK, Scan, scan};
use super::table::{Listed, listed};
use crate::frames::{FootageFile, FrameIndex};
use crate::system::{printable, reading};

/// Opens footage and reads it through once. Takes as long as reading the file does: call it on a thread.
///
/// A bad file gives its error within five seconds; a file that plays in spite of a fault gives a warning.
///
/// # Errors
/// Every [`VideoError`] that is about reading.
pub fn probe(path: &Path) -> Result<FootageFile, VideoError> {
    probe_watched(path, &mut |_| ControlFlow::Continue(()))
}

/// As [`probe`]; `watch` is told at least every tenth of a second how much of the file has been read, from 0 to 1 and
/// never less than before, and stops the reading when it answers with a break.
///
/// # Errors
/// Every [`VideoError`] that is about reading; [`VideoError::Stopped`] after a break.
pub fn probe_watched(
    path: &Path,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<FootageFile, VideoError> {
    init()?;
    check_file(path)?;
    opened(path, watch).map_err(|e| e.of(path))
}

/// As [`probe_watched`]; errors name the file by its whole path.
fn opened(path: &Path, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<FootageFile, VideoError> {
    let path = path
        .canonicalize()
        .map_err(|e| VideoError::Unreadable { path: path.to_path_buf(), reason: reading(&e).to_string() })?;
    let head = head(&path);
    if let Some(error) = no_footage(&head, &path) {
        return Err(error);
    }
    check_table(&path, &head)?;
    let listed = listed_by(&path, &head);
    let early = listed.as_ref().and_then(|l| Early::start(&path, l));
    let holes = (Kind::of(&head) == Some(Kind::TransportStream)).then(|| Search::start(&path));
    let (found, mut warnings) = scanned(&path, &head, listed, watch)?;
    let (index, lost) = index_of(&found, &path)?.starting_at_a_key();
    warnings.extend(oddities(&path, &head, &found, &index, lost));
    let holes = holes.and_then(Search::finish);
    warnings.extend(holes.map(|h| format!("{}: {}", name(&path), h.words())));
    // Which of several video tracks the decoder chose by itself is not known.
    let early = early.filter(|_| found.other_videos == 0).and_then(|e| e.finish(&index));
    let (first, index) = early.map_or_else(|| (None, Arc::new(index)), |(frame, index)| (Some(frame), index));
    let mut media = FootageFile {
        width: 0,
        height: 0,
        duration: index.end(),
        rate: index.rate(),
        rotation: found.rotation,
        has_audio: found.has_audio,
        index,
        warnings,
        stream: found.stream.clone(),
        transparent: found.transparent,
        resized: found.resized().map(|r| r.0),
        stored: found.stored.map(Arc::new),
        path,
    };
    let first = first.map_or_else(|| first_frame(&media), Ok)?;
    (media.width, media.height) = first.display_size();
    if watch(1.0).is_break() {
        return Err(VideoError::Stopped { path: media.path });
    }
    Ok(media)
}

/// Scans a file, by decoding it where there is no other way, and what is to be said about that.
fn scanned(
    path: &Path,
    head: &[u8],
    listed: Option<Listed>,
    watch: Watch<'_>,
) -> Result<(Scan, Vec<String>), VideoError> {
    let first = scan(path, false, listed, watch).map_err(|e| explained(e, path, head))?;
    if !first.untimed() {
        return Ok((first, Vec::new()));
    }
    if first.timeless() && Kind::of(head) == Some(Kind::TransportStream) {
        let path = path.to_path_buf();
        let late = has_clock(&path).unwrap_or(false);
        return Err(if late { VideoError::LateClock { path } } else { VideoError::NoClock { path } });
    }
    let mut found = scan(path, true, None, watch)?;
    found.has_audio |= first.has_audio;
    let warning = "the file does not say when its frames are shown; they were counted by decoding it.";
    let mut warnings = vec![format!("{}: {warning}", name(path))];
    let together = found.together();
    if together > 0 {
        warnings.push(format!(
            "{}: of {} frames, {together} cannot be shown, because the decoder gives them the time of another frame; convert the file to \
             MP4 with H.264 to see all.",
            name(path),
            found.frames()
        ));
    }
    Ok((found, warnings))
}

/// What an MP4 file lists of its frames, if that is understood.
fn listed_by(path: &Path, head: &[u8]) -> Option<Listed> {
    Kind::of(head).filter(|k| *k == Kind::Mp4)?;
    listed(&mut std::fs::File::open(path).ok()?).ok()?
}

/// Refuses an MP4 file without the box that says where its frames are, which cameras write last. GStreamer would say
/// so too, but some such files keep it waiting.
fn check_table(path: &Path, head: &[u8]) -> Result<(), VideoError> {
    if Kind::of(head) != Some(Kind::Mp4) {
        return Ok(());
    }
    let unreadable = |e: std::io::Error| VideoError::Unreadable {
        path: path.to_path_buf(),
        reason: reading(&e).to_string(),
    };
    let mut file = std::fs::File::open(path).map_err(unreadable)?;
    if atoms::has_table(&mut file).map_err(unreadable)? {
        return Ok(());
    }
    let reason = "the list of its frames, which cameras write last, is missing".to_owned();
    Err(VideoError::Incomplete { path: path.to_path_buf(), reason })
}

fn index_of(found: &Scan, path: &Path) -> Result<FrameIndex, VideoError> {
    let reason = || "it holds no frame that can be shown".to_owned();
    found.index().ok_or_else(|| VideoError::Incomplete { path: path.to_path_buf(), reason: reason() })
}

/// What is odd but does not keep the footage from playing.
fn oddities(path: &Path, head: &[u8], found: &Scan, index: &FrameIndex, lost: usize) -> Vec<String> {
    let name = name(path);
    let mut odd = Vec::new();
    odd.extend(misnamed(path, head));
    odd.extend(broke_off(path, head, found).map(|how| {
        format!(
            "{name}: {how}. The recording or its copy broke off; copy it again if the camera still has it."
        )
    }));
    if lost > 0 {
        odd.push(format!(
            "{name}: the first {lost} frames cannot be shown, because the footage does not start with a complete picture. \
             It starts at {}.",
            index.time(0)
        ));
    }
    if let Some((at, before, after)) = found.resized() {
        odd.push(format!(
            "{name}: the size of the picture changes from {} × {} to {} × {} at {at}.",
            before.0, before.1, after.0, after.1
        ));
    }
    let stream = Kind::of(head) == Some(Kind::TransportStream);
    if stream && !found.has_audio && has_unmarked_sound(path).unwrap_or(false) {
        odd.push(format!(
            "{name}: there is sound in this file, but the file does not say in which form, so it is not played; convert it to \
             MP4, which can copy pictures and sound as they are."
        ));
    }
    odd.extend(Some(()).filter(|()| stream).and_then(|()| left_out(path, found)));
    if found.other_videos > 0 {
        odd.push(format!(
            "{name}: the file holds {} video tracks; the first is shown.",
            found.other_videos + 1
        ));
    }
    odd
}

/// That the clock of a transport stream jumps over a time without pictures: the demuxer closes that gap.
fn left_out(path: &Path, found: &Scan) -> Option<String> {
    let gap = clock_span(path).ok()??.checked_sub(found.spread()).filter(|gap| *gap > SLACK)?;
    Some(format!(
        "{}: nothing was recorded for {:.1} s in the middle of this transport stream. Here that time is left out: what comes after it \
         has earlier times than in other players. Convert the file to MP4 to keep it.",
        name(path),
        gap.as_secs_f64()
    ))
}

/// That a file is of another kind than its name says.
fn misnamed(path: &Path, head: &[u8]) -> Option<String> {
    let ending = path.extension().and_then(|e| e.to_str()).filter(|e| !e.is_empty())?;
    let kind = Kind::of(head).filter(|k| !k.endings().contains(&ending.to_lowercase().as_str()))?;
    let (kind, right, ending) = (kind.words(), kind.endings()[0], printable(ending, 20));
    let name = name(path);
    Some(format!(
        "{name}: this is {kind}, though its name ends in .{ending}. It plays; rename it to .{right} for other programs."
    ))
}

/// How it shows that a file is not all there.
fn broke_off(path: &Path, head: &[u8], found: &Scan) -> Option<String> {
    // What a list that was believed names lies within the file.
    let mut claimed = found.claimed.filter(|_| !found.believed);
    if Kind::of(head) == Some(Kind::Matroska) {
        // It counts from the zero of the file's clock, frames count from the first one or its sound.
        claimed = claimed.map(|c| c.saturating_sub(found.begins()));
    }
    let claimed = claimed.filter(|c| *c > found.reached() + SLACK);
    if let Some(claimed) = claimed {
        let (claimed, lasts) = (claimed.as_secs_f64(), found.pictures().as_secs_f64());
        return Some(format!("the file says it lasts {claimed:.1} s but has pictures for {lasts:.1} s only"));
    }
    let mut file = std::fs::File::open(path).ok()?;
    let cut = match Kind::of(head)? {
        Kind::Mp4 => atoms::is_cut_off(&mut file).unwrap_or(false),
        Kind::Avi => file.metadata().is_ok_and(|m| avi_is_cut_off(head, m.len())),
        _ => false,
    };
    cut.then(|| "the file ends in the middle of its last part".to_owned())
}

/// Whether an AVI file is shorter than its first part says. A recorder that was switched off leaves the number empty.
fn avi_is_cut_off(head: &[u8], length: u64) -> bool {
    let said = head.get(4..8).and_then(|b| b.try_into().ok()).map_or(0, u32::from_le_bytes);
    said != u32::MAX && u64::from(said) + 8 > length + 1
}

fn name(path: &Path) -> String {
    printable(&path.file_name().unwrap_or(path.as_os_str()).to_string_lossy(), 200)
}

/// Whether a file begins as a text. Its first bytes may end within a letter.
fn is_text(head: &[u8]) -> bool {
    let whole = std::str::from_utf8(head).map_or_else(|e| e.error_len().is_none(), |_| true);
    whole && !head.contains(&0)
}

/// A file whose first bytes are those of a video file is broken and not "no video file"; a text says what it is.
fn explained(error: VideoError, path: &Path, head: &[u8]) -> VideoError {
    let path = path.to_path_buf();
    match (error, Kind::of(head).map(Kind::words)) {
        (VideoError::NotVideo { .. }, Some(kind)) => VideoError::Incomplete {
            path,
            reason: format!("it starts as {kind} but nothing in it can be found"),
        },
        // Some broken files make the demuxer wait for what never comes.
        (VideoError::TooSlow { .. }, Some(kind)) => VideoError::Incomplete {
            path,
            reason: format!("it starts as {kind}, but there is no video in it"),
        },
        (VideoError::NotVideo { .. } | VideoError::TooSlow { .. }, None) if head.iter().all(|b| *b == 0) => {
            VideoError::NotVideo {
                path,
                found: "it begins with zeros, as after a copy that failed".to_owned(),
            }
        }
        (VideoError::NotVideo { .. } | VideoError::TooSlow { .. }, None) if is_text(head) => {
            VideoError::NotVideo { path, found: "it holds plain text".to_owned() }
        }
        (error, _) => error,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_avi_file_that_is_shorter_than_it_says_was_cut_off() {
        let head = [&b"RIFF"[..], &100u32.to_le_bytes(), b"AVI "].concat();
        assert!(avi_is_cut_off(&head, 60));
        // A last odd part may have no byte after it.
        assert!(!avi_is_cut_off(&head, 107) && !avi_is_cut_off(&head, 5000));
        assert!(!avi_is_cut_off(b"RIFF\0\0\0\0AVI ", 60) && !avi_is_cut_off(b"RIFF\xff\xff\xff\xffAVI ", 60));
    }

    #[test]
    fn a_broken_film_is_not_called_a_text() {
        let error = || VideoError::NotVideo { path: "x".into(), found: "?".to_owned() };
        let path = Path::new("x");
        assert!(matches!(explained(error(), path, b"1234ftypisom"), VideoError::Incomplete { .. }));
        assert!(explained(error(), path, b"words").to_string().contains("plain text"));
        assert!(
            explained(error(), path, "wor\u{e4}".as_bytes().split_last().unwrap().1)
                .to_string()
                .contains("plain text")
        );
        let slow = || VideoError::TooSlow { path: "x".into(), seconds: 3 };
        assert!(explained(slow(), path, b"WEBVTT\n").to_string().contains("plain text"));
        assert!(explained(error(), path, &[0; 40]).to_string().contains("it begins with zeros"));
    }
}
