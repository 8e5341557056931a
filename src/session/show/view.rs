//! The lesson as it stands, in rows and words.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::lesson::{Clip, Found, Lesson, Part, Picture};
use crate::record::printable;
use crate::session::play_list::Item;
use crate::time::{MatchTime, Span};

/// The most letters of a row.
const MOST: usize = 300;

/// The lesson after a request, and what follows from it.
#[derive(Debug, Clone, Default)]
pub struct View {
    /// Its file.
    pub path: PathBuf,
    /// The lesson.
    pub lesson: Arc<Lesson>,
    /// How many requests it follows from.
    pub handled: u64,
    /// The part that is chosen.
    pub chosen: Option<usize>,
    /// Why it may not be changed, if so.
    pub read_only: Option<String>,
    /// Why the last edits are not on disk, if so.
    pub trouble: Option<String>,
    /// Where its footage was found, by the name that the lesson has for it.
    pub files: Arc<BTreeMap<String, Found>>,
}

/// What kind of part a row shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A heading.
    Chapter,
    /// A span of footage.
    Clip,
    /// Two clips side by side.
    Pair,
    /// A picture of the court or words.
    Still,
}

/// A part as a row of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its kind.
    pub kind: Kind,
    /// Which of the parts it is, from 1; chapters are not counted.
    pub number: Option<usize>,
    /// Its caption or title.
    pub title: String,
    /// When and how long: `0:01:02 · 6.4 s · slow · 1 freeze`.
    pub about: String,
    /// Why it cannot be shown, if so.
    pub astray: Option<String>,
}

impl View {
    /// What the lesson is called: its title, or its file's name.
    pub fn title(&self) -> String {
        let title = self.lesson.title.trim();
        if title.is_empty() { self.name() } else { printable(title, MOST) }
    }

    /// Its file's name without the ending.
    pub fn name(&self) -> String {
        let name = self.path.file_name().unwrap_or_default().to_string_lossy();
        printable(name.strip_suffix(".lesson.json").unwrap_or(&name), MOST)
    }

    /// The part that is chosen.
    pub fn part(&self) -> Option<&Part> {
        self.lesson.parts.get(self.chosen?)
    }

    /// The rows of the list.
    pub fn rows(&self) -> Vec<Row> {
        let mut counted = 0;
        let mut number = |part: &Part| {
            let counts = !matches!(part, Part::Chapter(_));
            counted += usize::from(counts);
            counts.then_some(counted)
        };
        self.lesson.parts.iter().map(|part| Row { number: number(part), ..self.row(part) }).collect()
    }

    fn row(&self, part: &Part) -> Row {
        let (kind, title, about) = match part {
            Part::Chapter(chapter) => (Kind::Chapter, chapter.title.as_str(), String::new()),
            Part::Clip(clip) => (Kind::Clip, clip.caption.as_str(), about(clip)),
            Part::Pair(pair) => {
                let words = format!("side by side · {}", about(&pair.left));
                (Kind::Pair, pair.caption.as_str(), words)
            }
            Part::Still(still) => {
                let what = match still.shows {
                    Picture::Court(_) => "picture of the court",
                    Picture::Words(_) => "words",
                };
                (Kind::Still, still.caption.as_str(), format!("{what} · {}", seconds(still.lasts)))
            }
        };
        let untitled = match kind {
            Kind::Chapter => "Chapter without a title",
            _ => "No caption",
        };
        let title = if title.trim().is_empty() { untitled.to_owned() } else { printable(title, MOST) };
        Row { kind, number: None, title, about, astray: part.clips().find_map(|clip| self.astray(clip)) }
    }

    /// Why the footage of a clip cannot be shown.
    fn astray(&self, clip: &Clip) -> Option<String> {
        let file = printable(&clip.footage.file, MOST);
        match self.files.get(&clip.footage.file) {
            Some(Found::Astray(why)) => Some(format!("{file} {why}")),
            _ => None,
        }
    }

    /// What to play of the part at a place: the clip, or the left one of a pair. `None` for a chapter or a still, and for
    /// footage that is not there.
    pub fn item(&self, at: usize) -> Option<Item> {
        let clip = self.lesson.parts.get(at)?.clips().next()?;
        let footage = self.files.get(&clip.footage.file)?.path()?.to_owned();
        Some(Item { footage, span: Span::new(clip.from, clip.to).ok()? })
    }

    /// The part whose picture is seen when the part at a place is chosen: itself, or of a chapter its first clip that can be played.
    pub fn pictured(&self, at: usize) -> Option<usize> {
        let parts = &self.lesson.parts;
        match parts.get(at)? {
            Part::Chapter(_) => (at + 1..parts.len())
                .take_while(|n| !matches!(parts[*n], Part::Chapter(_)))
                .find(|n| self.item(*n).is_some()),
            _ => self.item(at).is_some().then_some(at),
        }
    }

    /// All that can be played, in order, each with its place among the parts.
    pub fn items(&self) -> Vec<(usize, Item)> {
        (0..self.lesson.parts.len()).filter_map(|at| Some((at, self.item(at)?))).collect()
    }

    /// The single clip that is chosen, if this file is its footage.
    pub fn clip_of(&self, footage: &Path) -> Option<&Clip> {
        let Part::Clip(clip) = self.part()? else { return None };
        let found = self.files.get(&clip.footage.file)?.path()?;
        (found == footage).then_some(&**clip)
    }

    /// The chapter that a part belongs to.
    pub fn chapter_of(&self, at: usize) -> Option<&str> {
        self.lesson.parts.get(..=at)?.iter().rev().find_map(|part| match part {
            Part::Chapter(chapter) => Some(chapter.title.as_str()),
            _ => None,
        })
    }
}

/// When a clip begins, how long it is, and what is done to it.
fn about(clip: &Clip) -> String {
    let lasts = MatchTime::ZERO.later(clip.to - clip.from);
    let slow = clip.stretches.iter().any(|s| s.pace.0 < 100).then(|| "slow".to_owned());
    let freezes = match clip.freezes.len() {
        0 => None,
        1 => Some("1 freeze".to_owned()),
        n => Some(format!("{n} freezes")),
    };
    let times = clip.times.filter(|n| *n > 1).map(|n| format!("{n} times"));
    let score = Some(printable(&clip.score, MOST)).filter(|s| !s.is_empty());
    let all = [Some(clip.from.short()), Some(seconds(lasts)), slow, freezes, times, score];
    all.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

fn seconds(lasts: MatchTime) -> String {
    let tenths = lasts.nanos() / 100_000_000;
    format!("{}.{} s", tenths / 10, tenths % 10)
}

/// The words under a part, or a chapter's title.
pub fn caption(part: &Part) -> &str {
    match part {
        Part::Chapter(chapter) => &chapter.title,
        Part::Clip(clip) => &clip.caption,
        Part::Pair(pair) => &pair.caption,
        Part::Still(still) => &still.caption,
    }
}

/// The notes of a part, which only the coach sees.
pub fn notes(part: &Part) -> &str {
    match part {
        Part::Chapter(chapter) => &chapter.notes,
        Part::Clip(clip) => &clip.notes,
        Part::Pair(pair) => &pair.notes,
        Part::Still(still) => &still.notes,
    }
}
