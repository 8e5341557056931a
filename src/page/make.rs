//! Makes a page: cuts its clips and writes its folder.

use std::collections::{BTreeMap, HashMap};
use std::io;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::Duration;

use thiserror::Error;

use super::along::{self, Cut};
use super::budget::{Budget, BudgetError, Film, Sizes};
use super::content::{Content, SCRIPT, STYLE, amount, html};
use super::names::Names;
use super::vtt;
use crate::counted::{Bytes, Counted, about};
use crate::frames::FootageFile;
use crate::lesson::{Ground, Lesson, Part};
use crate::record::printable;
use crate::saving::{NewFolder, free_space};
use crate::system::{shown, writing};
use crate::time::MatchTime;
use crate::video::{Recode, VideoError, bytes_a_second, frame_of, jpeg, recode};

/// Why a page is not made. Nothing is left behind.
#[derive(Debug, Error)]
pub enum PageError {
    /// The lesson shows nothing.
    #[error("{} has no clips and no stills, so a page would be empty; add clips to it first", shown(.0))]
    Empty(PathBuf),
    /// Something is there already.
    #[error("{} is there already; give the name of a folder that does not exist yet", shown(.0))]
    Exists(PathBuf),
    /// Footage is not open.
    #[error("clip {clip}: the footage \"{}\" is not open", printable(file, 120))]
    Missing {
        /// The clip's number.
        clip: usize,
        /// The file.
        file: String,
    },
    /// A clip is not in its footage.
    #[error(
        "clip {clip}: it runs from {from} to {to}, but its footage ends at {end}; set the clip's start and end again"
    )]
    Outside {
        /// The clip's number.
        clip: usize,
        /// Where it begins.
        from: MatchTime,
        /// Where it ends.
        to: MatchTime,
        /// Where the footage ends.
        end: MatchTime,
    },
    /// The limit is too small.
    #[error(transparent)]
    Budget(#[from] BudgetError),
    /// Footage cannot be read, or a clip cannot be written.
    #[error(transparent)]
    Video(#[from] VideoError),
    /// The disk has too little room.
    #[error(
        "{}: the disk has {} free, and the page needs about {}; make room, or choose a smaller size at most",
        shown(path), Bytes(*free), Bytes(*needs)
    )]
    NoRoom {
        /// The folder that was to be made.
        path: PathBuf,
        /// How many bytes it needs.
        needs: u64,
        /// How many there are.
        free: u64,
    },
    /// The system does not take a file.
    #[error("cannot write {}: {}", shown(path), writing(why))]
    Write {
        /// Its path.
        path: PathBuf,
        /// What the system says.
        why: io::Error,
    },
    /// The page could not be laid out.
    #[error("the page could not be laid out: {0}; this is a fault of Changeover, please report it")]
    Layout(#[from] askama::Error),
}

impl PageError {
    /// The same error with the names that files get when the page is whole.
    fn named(self, folder: &NewFolder) -> Self {
        match self {
            Self::Video(e) => Self::Video(e.renamed(|path| folder.named(path))),
            Self::Write { path, why } => Self::Write { path: folder.named(&path), why },
            other => other,
        }
    }
}

/// What is wished of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wish {
    /// The lesson's file, by which messages name it.
    pub lesson: PathBuf,
    /// The folder to make.
    pub out: PathBuf,
    /// The bytes of the folder at most.
    pub limit: Option<u64>,
}

/// A page that can be made.
#[derive(Debug)]
pub struct Planned {
    wish: Wish,
    clips: Vec<(FootageFile, MatchTime, MatchTime)>,
    amount: (Counted, Duration),
    sizes: Sizes,
}

impl Planned {
    /// How large its folder is at most, in bytes.
    pub fn bytes(&self) -> u64 {
        self.sizes.bytes
    }

    /// What will be made, as `3 clips, 0:24 in all, up to 1280 × 720: about 2.2 MB, at most 9.1 MB`.
    pub fn words(&self) -> String {
        let size = about(self.sizes.about, self.sizes.bytes);
        let largest = self.sizes.films.iter().max_by_key(|f| f.width * f.height);
        let (clips, length) = &self.amount;
        match largest {
            Some(f) => {
                let length = super::budget::minutes(*length);
                format!("{clips}, {length} in all, up to {} × {}: {size}", f.width, f.height)
            }
            None => format!("{clips}: {size}"),
        }
    }
}

/// Decides the sizes of all clips; `files` is their footage, by the names that the lesson has for it. `ground` is that of [`make`].
///
/// # Errors
/// [`PageError`] when the page cannot be made.
pub fn plan(
    lesson: &Lesson,
    wish: Wish,
    files: &BTreeMap<String, FootageFile>,
    ground: Ground<'_>,
) -> Result<Planned, PageError> {
    if !lesson.parts.iter().any(|p| !matches!(p, Part::Chapter(_))) {
        return Err(PageError::Empty(wish.lesson));
    }
    let (mut found, mut films) = (Vec::new(), Vec::new());
    for (n, clip) in lesson.parts.iter().flat_map(Part::clips).enumerate() {
        let missing = || PageError::Missing { clip: n + 1, file: clip.footage.file.clone() };
        let media = files.get(&clip.footage.file).ok_or_else(missing)?;
        let end = media.index.end();
        if clip.from >= end || clip.to <= clip.from {
            return Err(PageError::Outside { clip: n + 1, from: clip.from, to: clip.to, end });
        }
        let (from, to, size) = (clip.from, clip.to.min(end), (media.width, media.height));
        let cut = Cut { name: String::new(), size, rate: rate(media), from, to };
        films.push(film(&cut, media, along::bytes(clip, &cut, ground)));
        found.push((media.clone(), from, to));
    }
    let sizes = Sizes::of(&films, wish.limit)?;
    let amount = amount(lesson, &mut found.iter().map(|(_, from, to)| (*from, *to)));
    Ok(Planned { wish, clips: found, amount, sizes })
}

fn film(cut: &Cut, media: &FootageFile, drawn: u64) -> Film {
    let (sound, flow) = (media.has_audio, bytes_a_second(media));
    Film { size: cut.size, rate: cut.rate, lasts: cut.to - cut.from, sound, drawn, flow }
}

/// Frames a second; on average where they vary.
fn rate(media: &FootageFile) -> f64 {
    let seconds = media.index.end().as_secs_f64().max(0.001);
    let average = media.index.len() as f64 / seconds;
    media.rate.map_or(average, |r| f64::from(r.frames()) / f64::from(r.per()))
}

/// Makes the page. What is drawn on the ground of the court is seen where `ground` knows the camera. It is made in a folder beside
/// its own place, which gets its name when it is whole. `watch` is told how much is done, from 0 to 1, and stops it by a break. Takes
/// long: call it on a thread. Its bytes.
///
/// # Errors
/// [`PageError`], and nothing is left behind.
pub fn make(
    lesson: &Lesson,
    planned: &Planned,
    names: &Names,
    ground: Ground<'_>,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<u64, PageError> {
    let out = &planned.wish.out;
    let failed = |why: io::Error| match why.kind() {
        io::ErrorKind::AlreadyExists => PageError::Exists(out.clone()),
        _ => PageError::Write { path: out.clone(), why },
    };
    let needs = planned.sizes.needed();
    if let Some(free) = free_space(out).filter(|free| *free < needs) {
        return Err(PageError::NoRoom { path: out.clone(), needs, free });
    }
    let temp = NewFolder::begin(out).map_err(failed)?;
    std::fs::create_dir(temp.path().join("clips")).map_err(failed)?;
    let cuts = cut_all(planned, temp.path(), watch).map_err(|e| e.named(&temp))?;
    let content = Content::of(lesson, &cuts, names, ground);
    let lengths = cuts.iter().map(|c| (c.name.as_str(), c.to - c.from)).collect::<HashMap<_, _>>();
    for show in content.shows() {
        for film in &show.films {
            let lasts = lengths.get(film.name.as_str()).copied().unwrap_or_default();
            let text = vtt::captions(&film.captions, lasts);
            std::fs::write(temp.path().join(format!("{}.vtt", film.name)), text).map_err(failed)?;
        }
    }
    let files = [("index.html", html(&content)?), ("page.css", STYLE.into()), ("page.js", SCRIPT.into())];
    for (name, text) in &files {
        std::fs::write(temp.path().join(name), text).map_err(failed)?;
    }
    let bytes = size(temp.path()).map_err(failed)?;
    temp.finish().map_err(failed)?;
    Ok(bytes)
}

fn size(path: &Path) -> io::Result<u64> {
    let mut bytes = 0;
    for entry in std::fs::read_dir(path)? {
        let entry = entry?;
        let about = entry.metadata()?;
        bytes += if about.is_dir() { size(&entry.path())? } else { about.len() };
    }
    Ok(bytes)
}

fn cut_all(
    planned: &Planned,
    folder: &Path,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Cut>, PageError> {
    let whole: f64 = planned.clips.iter().map(|c| (c.2 - c.1).as_secs_f64()).sum();
    let mut before = 0.0;
    let mut cuts = Vec::new();
    for (n, ((media, from, to), budget)) in planned.clips.iter().zip(&planned.sizes.films).enumerate() {
        let part = (*to - *from).as_secs_f64() / whole.max(0.001);
        let name = format!("clips/{:02}", n + 1);
        let mut told = |done: f64| watch(before + done * part);
        let (from, to) = cut(media, (*from, *to), budget, &folder.join(&name), &mut told)?;
        let size = (budget.width, budget.height);
        cuts.push(Cut { name, size, rate: rate(media), from, to });
        before += part;
    }
    Ok(cuts)
}

/// The longer side of the picture of a clip, in pixels.
const PICTURE: u32 = 640;
/// How often a clip that came out too large is made again.
const AGAIN: usize = 3;

/// Cuts one clip and makes its picture. When its first frame is shown in the footage, and when its last one is gone.
fn cut(
    media: &FootageFile,
    (from, to): (MatchTime, MatchTime),
    budget: &Budget,
    path: &Path,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<(MatchTime, MatchTime), PageError> {
    let film = path.with_extension("mp4");
    let mut wish = Recode {
        path: film.clone(),
        width: budget.width,
        height: budget.height,
        bits: budget.bits,
        sound: budget.sound,
    };
    let mut made = recode(media, from, to, &wish, watch)?;
    for _ in 0..AGAIN {
        if made.bytes <= budget.bytes {
            break;
        }
        wish.bits = (f64::from(wish.bits) * budget.bytes as f64 / made.bytes as f64 * 0.9) as u32;
        let failed = |why| PageError::Write { path: film.clone(), why };
        std::fs::remove_file(&film).map_err(failed)?;
        made = recode(media, from, to, &wish, watch)?;
    }
    let still = path.with_extension("jpg");
    let frame = frame_of(media, media.index.at(made.from))?;
    let picture = jpeg(&frame, (budget.width.min(PICTURE), budget.height.min(PICTURE)))?;
    std::fs::write(&still, picture).map_err(|why| PageError::Write { path: still.clone(), why })?;
    Ok((made.from, made.to))
}
