//! What a dialog asks for: one of the things that are made of a lesson, or files of clips.

use std::path::{Path, PathBuf};
use std::time::Duration;

use super::clips::{Film, bytes, check_room, cut, ends, opened};
use super::error::MakingError;
use super::grounds::Grounds;
use super::page::{make_page, plan_page};
use super::people::people;
use super::place::{unused, vacant};
use super::sheet::{check_sheet, sheet_of_lesson, write_sheet};
use super::source::{Source, Watch};
use super::video::{container, plan_video, video_expected, video_words};
use crate::counted::{Bytes, Counted, Noun};
use crate::export::Format;
use crate::lesson::{Clip, Part};
use crate::page::{Names, Naming, readable};
use crate::record::printable;
use crate::reel::{Files, Wish, render};
use crate::saving::{NewFolder, Replace, allowed, save};
use crate::session::followed::KeptCourts;
use crate::session::lesson_list::{self, Wanted};
use crate::time::{MatchTime, Span};
use crate::video::{Container, VideoError};

/// What is made of a lesson.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// One video.
    Video {
        /// What kind of file.
        container: Container,
        /// Width and height; else those of most of the footage.
        size: Option<(u32, u32)>,
        /// As the coach talked over it.
        talk: bool,
        /// How players are named.
        naming: Naming,
    },
    /// A folder that any browser opens.
    Page {
        /// The bytes of the folder at most.
        limit: Option<u64>,
        /// How players are named.
        naming: Naming,
    },
    /// A printed sheet.
    Sheet {
        /// How players are named.
        naming: Naming,
    },
    /// A list of its clips for other programs.
    List {
        /// How it is written.
        format: Format,
    },
    /// A folder with a video file of each clip.
    Clips {
        /// How players are named in the names of the files.
        naming: Naming,
    },
}

/// What would be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// How long and how large it will be.
    pub words: String,
    /// What the records have to say of consent, and what will be left out.
    pub said: Vec<String>,
}

/// What was made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// What a program opens: the file, a page's first file, or the folder.
    pub opens: PathBuf,
    /// How long and how large it is, and what was left out.
    pub words: String,
}

impl Order {
    /// Whether a folder is made.
    pub const fn is_folder(&self) -> bool {
        matches!(self, Self::Page { .. } | Self::Clips { .. })
    }

    /// The name of its file or folder.
    pub fn name(&self, of: &Source) -> String {
        let file = of.home.file_name().unwrap_or_default().to_string_lossy();
        let stem = file.strip_suffix(".lesson.json").unwrap_or(&file);
        match self {
            Self::Video { container: Container::Mp4, .. } => format!("{stem}.mp4"),
            Self::Video { container: Container::WebM, .. } => format!("{stem}.webm"),
            Self::Video { container: Container::Matroska, .. } => format!("{stem}.mkv"),
            Self::Page { .. } => format!("{stem}-page"),
            Self::Sheet { .. } => format!("{stem}-sheet.pdf"),
            Self::List { format } => format!("{stem}-clips.{}", format.ending()),
            Self::Clips { .. } => format!("{stem}-clips"),
        }
    }

    /// Whether it may be made at `out`.
    ///
    /// # Errors
    /// [`MakingError`] when something is there already, or the name is that of something else.
    pub fn check(&self, of: &Source, out: &Path) -> Result<(), MakingError> {
        match self {
            Self::Video { container: wanted, .. } => {
                let is_of_it = container(out).is_ok_and(|named| named == *wanted);
                let ending = match wanted {
                    Container::Mp4 => "mp4",
                    Container::WebM => "webm",
                    Container::Matroska => "mkv",
                };
                is_of_it.then_some(()).ok_or_else(|| MakingError::Ending { path: out.to_owned(), ending })?;
            }
            Self::Sheet { .. } => return check_sheet(out),
            Self::Page { .. } | Self::Clips { .. } => {
                return vacant(out).map_err(|_| MakingError::FolderExists(out.to_owned()));
            }
            Self::List { .. } => {}
        }
        Ok(allowed(out, Replace::Nothing, &[&of.home])?)
    }

    /// How large it will be; nothing is made. Waits until the footage is open.
    ///
    /// # Errors
    /// [`MakingError`] when it cannot be made.
    pub fn stated(&self, of: &Source, watch: Watch<'_>) -> Result<Stated, MakingError> {
        let mut said = people(&of.lesson, of.folder()).1;
        match *self {
            Self::Video { size, talk, .. } => {
                if talk {
                    said.extend(of.short_voices()?);
                }
                let files = of.files(talk, watch)?;
                said.extend(grounds(of, &files, watch)?.left_out(&of.lesson, talk, &files));
                let plan = plan_video(of, &files, talk, Wish { size, rate: None })?;
                Ok(Stated { words: video_expected(&plan, &files), said })
            }
            Self::Page { limit, .. } => {
                let out = unused(of.folder(), &self.name(of));
                let grounds = page_grounds(of, watch)?;
                let words = plan_page(of, out, limit, &grounds, watch)?.words();
                said.extend(grounds.left_out(&of.lesson, false, &*of.files(false, watch)?));
                Ok(Stated { words, said })
            }
            Self::Sheet { .. } => Ok(Stated { words: "One page of A4".into(), said }),
            Self::List { format } => {
                listed(of, format, &of.folder().join(self.name(of)))?;
                said.extend(without(of));
                Ok(Stated { words: clips_of(of), said })
            }
            Self::Clips { .. } => Ok(Stated { said, ..stated_clips(&films(of, &Names::default())?, watch)? }),
        }
    }

    /// Makes it at `out`, where nothing may be yet. Takes long.
    ///
    /// # Errors
    /// [`MakingError`], and nothing is left behind.
    pub fn make(&self, of: &Source, out: &Path, watch: Watch<'_>) -> Result<Done, MakingError> {
        self.check(of, out)?;
        match *self {
            Self::Video { container, size, talk, naming } => {
                let of = &of.named(&names(of, naming));
                let files = of.files(talk, watch)?;
                let plan = plan_video(of, &files, talk, Wish { size, rate: None })?;
                let grounds = grounds(of, &files, watch)?;
                let ground = |clip: &Clip, at| grounds.camera(clip, at);
                let made = render(&of.lesson, &files, &plan, (out, container), &ground, watch)?;
                Ok(Done { opens: out.to_owned(), words: video_words(&plan, made.bytes) })
            }
            Self::Page { limit, naming } => {
                let grounds = page_grounds(of, watch)?;
                let planned = plan_page(of, out.to_owned(), limit, &grounds, watch)?;
                let bytes = make_page(of, &planned, &names(of, naming), &grounds, watch)?;
                Ok(Done { opens: out.join("index.html"), words: Bytes(bytes).to_string() })
            }
            Self::Sheet { naming } => {
                let (sheet, stills, said) = sheet_of_lesson(of, &names(of, naming), watch)?;
                write_sheet(&sheet, &stills, out, &[&of.home])?;
                let words = std::iter::once("one page of A4".to_owned()).chain(said);
                Ok(Done { opens: out.to_owned(), words: words.collect::<Vec<_>>().join("\n") })
            }
            Self::List { format } => {
                let text = listed(of, format, out)?;
                if watch(1.0).is_break() {
                    return Err(MakingError::Stopped);
                }
                save(out, &text, Replace::Nothing, &[&of.home])?;
                let words = std::iter::once(clips_of(of)).chain(without(of));
                Ok(Done { opens: out.to_owned(), words: words.collect::<Vec<_>>().join(". ") })
            }
            Self::Clips { naming } => cut_clips(&films(of, &names(of, naming))?, out, watch),
        }
    }
}

/// The clips of a lesson as a list that will lie at `out`.
fn listed(of: &Source, format: Format, out: &Path) -> Result<String, MakingError> {
    if of.lesson.parts.iter().flat_map(Part::clips).next().is_none() {
        return Err(MakingError::NoClips);
    }
    let wanted = Wanted { format, start_timecode: None, file: None, out: Some(out) };
    lesson_list::text(&wanted, (&of.home, &of.lesson)).map_err(|e| MakingError::List(e.into()))
}

fn clips_of(of: &Source) -> String {
    Counted(of.lesson.parts.iter().flat_map(Part::clips).count(), Noun::Clip).to_string()
}

/// What a list does not hold of a lesson, in words, if there is something.
fn without(of: &Source) -> Option<String> {
    let left_out = lesson_list::left_out(&of.lesson);
    (!left_out.is_empty())
        .then(|| format!("Left out, because a list has only spans and words: {}", left_out.join(", ")))
}

fn grounds(of: &Source, files: &Files, watch: Watch<'_>) -> Result<Grounds, MakingError> {
    Grounds::of(of, &KeptCourts::default(), files, watch)
}

fn page_grounds(of: &Source, watch: Watch<'_>) -> Result<Grounds, MakingError> {
    let files = of.files(false, watch)?;
    grounds(of, &files, watch)
}

fn names(of: &Source, naming: Naming) -> Names {
    Names::of(&people(&of.lesson, of.folder()).0, naming)
}

/// The clips of a lesson, each named after its caption, or after the pattern that found it.
fn films(of: &Source, names: &Names) -> Result<Vec<Film>, MakingError> {
    let film = |clip: &Clip| {
        let words = [&clip.caption, &clip.pattern].into_iter().find(|w| !w.trim().is_empty());
        let title = words.map_or_else(String::new, |w| names.shown(&readable(w)));
        let span = Span::new(clip.from, clip.to).ok()?;
        Some(of.path(&clip.footage).map(|footage| Film { footage, span, title }))
    };
    of.lesson.parts.iter().flat_map(Part::clips).filter_map(film).collect()
}

/// How large the files of these clips will be; nothing is made. Waits until the footage is open.
///
/// # Errors
/// [`MakingError`] when they cannot be made.
pub fn stated_clips(films: &[Film], watch: Watch<'_>) -> Result<Stated, MakingError> {
    let (trimmers, unreadable) = opened(&here(films)?, watch)?;
    let films: Vec<Film> = films.iter().filter(|f| trimmers.contains_key(&f.footage)).cloned().collect();
    let size = bytes(&trimmers, &films);
    let length: Duration = films.iter().map(|f| f.span.end() - f.span.start()).sum();
    let length = MatchTime::ZERO.later(length).short();
    let clips = Counted(films.len(), Noun::Clip);
    let said = unreadable.values().map(left_out).collect();
    Ok(Stated { words: format!("{clips}, {length}, about {}", Bytes(size)), said })
}

/// Makes a folder at `out` with a video file of each of these clips; those without footage are left out, and it is said. Takes long.
///
/// # Errors
/// [`MakingError`], and nothing is left behind.
pub fn cut_clips(films: &[Film], out: &Path, watch: Watch<'_>) -> Result<Done, MakingError> {
    let mut there = here(films)?;
    let folder = NewFolder::begin(out).map_err(|e| MakingError::of_folder(out, e))?;
    let (trimmers, unreadable) = opened(&there, watch)?;
    let away = films.len() - there.len();
    there.retain(|film| trimmers.contains_key(&film.footage));
    let ends = ends(&trimmers, &there);
    for end in ends.iter().rev().filter(|end| end.gone) {
        there.remove(end.clip);
    }
    if there.is_empty() {
        return Err(MakingError::NothingThere);
    }
    check_room(&trimmers, &there, out)?;
    let made = cut(&there, &trimmers, (&folder, false), watch)?;
    folder.finish().map_err(|e| MakingError::of_folder(out, e))?;
    let bytes = Bytes(made.iter().map(|m| m.made.bytes).sum());
    let away = match away {
        0 => String::new(),
        n => format!("; {} left out, because the footage is not there", Counted(n, Noun::Clip)),
    };
    let also = ends.into_iter().map(|end| end.words).chain(unreadable.values().map(left_out));
    let away = also.fold(away, |said, words| format!("{said}. {words}"));
    let words = format!("{}, {bytes}{away}", Counted(made.len(), Noun::Clip));
    Ok(Done { opens: out.to_owned(), words: printable(&words, 400) })
}

/// That clips are left out whose footage cannot be read.
fn left_out(why: &VideoError) -> String {
    format!("{why}; its clips are left out")
}

/// The clips whose footage is there.
fn here(films: &[Film]) -> Result<Vec<Film>, MakingError> {
    if films.is_empty() {
        return Err(MakingError::NoClips);
    }
    let there: Vec<Film> = films.iter().filter(|f| f.footage.is_file()).cloned().collect();
    if there.is_empty() { Err(MakingError::NoFootage) } else { Ok(there) }
}
