//! A video file for each clip.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::error::MakingError;
use super::source::Watch;
use crate::saving::{NewFolder, free_space};
use crate::system::shown;
use crate::time::{MatchTime, Span};
use crate::video::{Trimmed, Trimmer, VideoError, Way, probe_watched};

/// A clip that becomes a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Film {
    /// Its footage.
    pub footage: PathBuf,
    /// What is shown of it, counted from the file's own start.
    pub span: Span,
    /// What its file is named after.
    pub title: String,
}

/// A file that was made.
#[derive(Debug, Clone)]
pub struct Made {
    /// Its name in the folder.
    pub file: String,
    /// How it was made.
    pub made: Trimmed,
}

/// Footage that is open, by its path.
pub type Trimmers = BTreeMap<PathBuf, Trimmer>;

/// Footage that cannot be read, and why.
pub type Unreadable = BTreeMap<PathBuf, VideoError>;

/// The footage of these clips, opened, and that which cannot be read. Waits.
///
/// # Errors
/// [`MakingError`] when nothing of it can be read, or it was stopped.
pub fn opened(films: &[Film], watch: Watch<'_>) -> Result<(Trimmers, Unreadable), MakingError> {
    let (mut all, mut refused) = (Trimmers::new(), Unreadable::new());
    for film in films {
        let path = &film.footage;
        if all.contains_key(path) || refused.contains_key(path) {
            continue;
        }
        match probe_watched(path, &mut |_| watch(0.0)).and_then(Trimmer::open) {
            Ok(trimmer) => drop(all.insert(path.clone(), trimmer)),
            Err(why @ VideoError::Stopped { .. }) => return Err(why.into()),
            Err(why) => drop(refused.insert(path.clone(), why)),
        }
    }
    match refused.pop_first() {
        Some((_, why)) if all.is_empty() => Err(why.into()),
        first => Ok((all, refused.into_iter().chain(first).collect())),
    }
}

/// About how many bytes the footage has in the spans of these clips.
pub(super) fn bytes(trimmers: &Trimmers, films: &[Film]) -> u64 {
    let bytes = |film: &Film| {
        let rate = trimmers.get(&film.footage).map_or(0.0, Trimmer::bytes_a_second);
        ((film.span.end() - film.span.start()).as_secs_f64() + 1.0) * rate
    };
    films.iter().map(bytes).sum::<f64>() as u64
}

/// Whether the disk has room beside `out` for as many bytes as the footage has in these spans, and half as many again.
///
/// # Errors
/// [`MakingError::NoRoom`].
pub fn check_room(trimmers: &Trimmers, films: &[Film], out: &Path) -> Result<(), MakingError> {
    let needs = bytes(trimmers, films) / 2 * 3 + 1_000_000;
    match free_space(out).filter(|free| *free < needs) {
        Some(free) => Err(MakingError::NoRoom { path: out.to_owned(), needs, free }),
        None => Ok(()),
    }
}

/// What is said where footage ends before a clip does, or before it begins: then the clip is left out. One file was perhaps not copied
/// whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ends {
    /// The clip, by its place.
    pub clip: usize,
    /// Whether nothing of it is there.
    pub gone: bool,
    /// What is said.
    pub words: String,
}

/// By how much footage may end before a clip: the length of a file is not always known to the frame.
const SLACK: Duration = Duration::from_millis(500);

/// The clips that are not whole in their footage.
pub fn ends(trimmers: &Trimmers, films: &[Film]) -> Vec<Ends> {
    let told = |(clip, film): (usize, &Film)| {
        let end = trimmers.get(&film.footage)?.end();
        let gone = film.span.start() >= end;
        (gone || film.span.end() > end.later(SLACK)).then(|| {
            let so = if gone { "so this clip is left out" } else { "so this clip is shorter than its points" };
            let words = format!(
                "{}: it ends at {}, and clip {} goes from {} to {}, {so}; see whether the file was copied whole",
                shown(&film.footage),
                end.short(),
                clip + 1,
                film.span.start().short(),
                film.span.end().short()
            );
            Ends { clip, gone, words }
        })
    };
    films.iter().enumerate().filter_map(told).collect()
}

/// Makes a file of each clip in `folder`, in their order. With `key_frames` each begins and ends at key frames around the clip.
/// Takes long.
///
/// # Errors
/// [`MakingError`].
pub fn cut(
    films: &[Film],
    trimmers: &Trimmers,
    (folder, key_frames): (&NewFolder, bool),
    watch: Watch<'_>,
) -> Result<Vec<Made>, MakingError> {
    let mut all = Vec::new();
    for (n, film) in films.iter().enumerate() {
        let Some(trimmer) = trimmers.get(&film.footage) else { continue };
        let asked = (film.span.start(), film.span.end());
        let wide = key_frames.then(|| trimmer.widened(asked.0, asked.1)).flatten();
        let span = wide.unwrap_or(asked);
        let file = name(n + 1, span.0, &film.title);
        let mut told = |done: f64| watch((n as f64 + done) / films.len() as f64);
        let made = trimmer.trim(span, &folder.path().join(&file), &mut told);
        let made = made.map_err(|e| e.renamed(|path| folder.named(path)))?;
        all.push(Made { file, made });
    }
    Ok(all)
}

impl Made {
    /// How many of its frames were encoded; the others were copied.
    pub fn encoded(&self) -> usize {
        match self.made.way {
            Way::Copied => 0,
            Way::Edges(frames) => frames,
            Way::Encoded(_) => self.made.frames,
        }
    }

    /// Why nothing was copied, if so.
    pub fn because(&self) -> Option<&'static str> {
        match self.made.way {
            Way::Encoded(why) => Some(why.words()),
            Way::Copied | Way::Edges(_) => None,
        }
    }

    /// How it was made, in words.
    pub fn way(&self) -> String {
        match (self.because(), self.encoded()) {
            (Some(why), _) => format!("encoded, because {why}"),
            (None, 0) => "copied".into(),
            (None, n) if n == self.made.frames => "pictures encoded: no key frame is within it".into(),
            (None, n) => {
                format!("copied, but for {n} of its {} frames, which were encoded", self.made.frames)
            }
        }
    }
}

/// The name of a clip's file, as `003 0-04-16 Drop shot.mp4`: no more than any file system takes.
fn name(number: usize, from: MatchTime, title: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    let words: String = title.chars().map(plain).collect();
    let mut name = String::new();
    // Whole words, but for a first one that is too long by itself.
    for word in words.split_whitespace() {
        if !name.is_empty() && name.chars().count() + 1 + word.chars().count() > LETTERS {
            break;
        }
        name.push(' ');
        name.extend(word.chars().take(LETTERS));
    }
    format!("{number:03} {}{name}.mp4", from.short().replace(':', "-"))
}

/// How many letters of its title the name of a clip's file has at most.
const LETTERS: usize = 40;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_files_are_short_and_plain() {
        let at = MatchTime::from_secs(256);
        assert_eq!(name(3, at, "Drop shot"), "003 0-04-16 Drop shot.mp4");
        assert_eq!(name(1200, at, "../..\u{202e}\n\"<x>\" /etc"), "1200 0-04-16 x etc.mp4");
        assert_eq!(name(1, at, "··"), "001 0-04-16.mp4");
        assert!(name(1, at, &"ш".repeat(10_000)).len() < 120);
        let title = "Drop shot from inside the baseline opponent deep";
        assert_eq!(name(1, at, title), "001 0-04-16 Drop shot from inside the baseline.mp4");
    }
}
