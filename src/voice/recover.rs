//! What a kill left behind.

use std::fs;
use std::path::{Path, PathBuf};

use super::error::VoiceError;
use super::take::{Kept, Line, VERSION, finished, talk_folder, with};
use crate::lesson::talk::{Action, Shown, Talk};
use crate::textfile::Limit;
use crate::time::MatchTime;

/// Makes takes of what was being recorded over the lesson at `lesson` when the program was killed, in the order in which it was
/// recorded. Takes that its talk already has are left out. Only whoever holds the lesson's lock may call it: it may be recorded now
/// otherwise.
pub fn recover(lesson: &Path, talk: Option<&Talk>) -> Vec<Result<Kept, VoiceError>> {
    let mut out = Vec::new();
    for stem in unfinished(&talk_folder(lesson)) {
        let Some((after, clips, actions)) = read(&with(&stem, ".actions.part")) else { continue };
        let name = with(&stem, ".wav");
        let name = name.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let named = |file: &str| file.rsplit('/').next() == Some(&name);
        if talk.is_some_and(|talk| talk.voices().any(|voice| named(&voice.file))) {
            let _ = fs::remove_file(with(&stem, ".actions.part"));
            continue;
        }
        match finished(&stem, after, clips, actions) {
            Err(VoiceError::Nothing) => {}
            kept => out.push(kept),
        }
    }
    out
}

/// Deletes the log of a take that the lesson names now.
pub fn forget(lesson: &Path, kept: &Kept) {
    let name = kept.take.voice.file.rsplit('/').next().unwrap_or_default();
    if let Some(stem) = name.strip_suffix(".wav") {
        // If it stays, the next start finds that the lesson has the take.
        let _ = fs::remove_file(talk_folder(lesson).join(format!("{stem}.actions.part")));
    }
}

/// The voice files in the lesson's folder of takes that its talk does not have, and unfinished ones; by their names in that folder.
pub fn takes_left(lesson: &Path, talk: Option<&Talk>) -> Vec<String> {
    let Ok(entries) = fs::read_dir(talk_folder(lesson)) else { return Vec::new() };
    let used = |name: &str| {
        talk.is_some_and(|talk| talk.voices().any(|voice| voice.file.rsplit('/').next() == Some(name)))
    };
    let names = entries.flatten().map(|e| e.file_name().to_string_lossy().into_owned());
    let voice = |name: &String| {
        name.strip_suffix(".part")
            .unwrap_or(name)
            .strip_suffix(".wav")
            .is_some_and(|n| n.starts_with("take-"))
    };
    let mut left: Vec<String> = names.take(10_000).filter(|name| voice(name) && !used(name)).collect();
    left.sort();
    left
}

/// The takes of a folder that have a log, by their numbers.
fn unfinished(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let number = |name: &str| name.strip_prefix("take-")?.strip_suffix(".actions.part")?.parse::<u32>().ok();
    let named = entries.flatten().filter_map(|e| number(&e.file_name().to_string_lossy()));
    let mut all: Vec<u32> = named.take(10_000).collect();
    all.sort_unstable();
    all.into_iter().map(|n| folder.join(format!("take-{n}"))).collect()
}

type Log = (Option<MatchTime>, Vec<Shown>, Vec<Action>);

/// The lines of a log up to the first one that is not whole, and all its bytes. `None` if it is not a log that this version reads.
pub(super) fn lines(path: &Path) -> Option<(Vec<Line>, Vec<u8>)> {
    let meta = fs::symlink_metadata(path).ok()?;
    if !meta.is_file() || meta.len() > Limit::RECORD.bytes() {
        return None;
    }
    let bytes = fs::read(path).ok()?;
    let whole = |line: &[u8]| -> Option<Line> {
        line.ends_with(b"\n").then(|| serde_json::from_slice(line).ok()).flatten()
    };
    let lines: Vec<Line> = bytes.split_inclusive(|b| *b == b'\n').map_while(whole).collect();
    let known = match lines.first() {
        Some(Line::Take { version, .. }) => *version <= VERSION,
        Some(_) => false,
        // A log of nothing is one too: its files are then deleted.
        None => true,
    };
    known.then_some((lines, bytes))
}

/// What was done, up to the first line that is not whole.
fn read(path: &Path) -> Option<Log> {
    let mut lines = lines(path)?.0.into_iter();
    let Some(Line::Take { after, .. }) = lines.next() else { return Some((None, Vec::new(), Vec::new())) };
    let (mut clips, mut actions) = (Vec::new(), Vec::new());
    for line in lines {
        match line {
            Line::Shown(shown) => clips.push(*shown),
            Line::Action(action) => actions.push(action),
            Line::Take { .. } => break,
        }
    }
    Some((after, clips, actions))
}
