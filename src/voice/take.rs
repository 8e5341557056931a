//! A take that is recorded.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};

use super::error::VoiceError;
use super::wav::{VOICE_RATE, WIDE, head, time_of};
use crate::lesson::Footage;
use crate::lesson::talk::{Action, Shown, Take};
use crate::record::footage::{fingerprint, name_text};
use crate::time::MatchTime;

/// How often what was recorded is brought to the disk.
const OFTEN: Duration = Duration::from_millis(250);
/// How many takes a folder may have.
const MOST: usize = 100_000;

/// A line of what was done.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Line {
    /// The first line: the moment of the talk after which the take comes; none for a new talk.
    Take { version: u32, after: Option<MatchTime> },
    /// Another clip was shown.
    Shown(Box<Shown>),
    /// Something was done.
    Action(Action),
}

/// The version of those lines.
pub(super) const VERSION: u32 = 1;

/// A take that is complete.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// The take; its voice is named as the lesson names footage.
    pub take: Take,
    /// The moment of the talk after which it comes; none for a new talk.
    pub after: Option<MatchTime>,
}

/// The folder of a lesson's voice files.
pub fn talk_folder(lesson: &Path) -> PathBuf {
    let name = lesson.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let stem = name.strip_suffix(".lesson.json").unwrap_or(&name);
    lesson.with_file_name(format!("{stem}.talk"))
}

/// A file's name with something after it.
pub(super) fn with(path: &Path, more: &str) -> PathBuf {
    let mut name: OsString = path.as_os_str().to_owned();
    name.push(more);
    PathBuf::from(name)
}

/// Writes one take. When it is dropped without [`TakeWriter::finish`], what was written stays, and [`super::recover`] finds it.
#[derive(Debug)]
pub struct TakeWriter {
    /// The take's path without an ending.
    stem: PathBuf,
    wav: File,
    log: File,
    samples: u64,
    waiting: Vec<u8>,
    synced: Instant,
    after: Option<MatchTime>,
    clips: Vec<Shown>,
    actions: Vec<Action>,
}

impl TakeWriter {
    /// Begins a take of the lesson at `lesson`, whose folder must be there. It comes `after` a moment of the talk.
    ///
    /// # Errors
    /// [`VoiceError::Write`] when the folder cannot be written.
    pub fn begin(lesson: &Path, after: Option<MatchTime>) -> Result<Self, VoiceError> {
        let folder = talk_folder(lesson);
        fs::create_dir_all(&folder).map_err(VoiceError::write(&folder))?;
        let (stem, log) = free(&folder).map_err(VoiceError::write(&folder))?;
        let part = with(&stem, ".wav.part");
        let new = OpenOptions::new().write(true).create_new(true).open(&part);
        let wav = new.map_err(VoiceError::write(&part))?;
        let (samples, waiting, synced) = (0, head(0).to_vec(), Instant::now());
        let (clips, actions) = (Vec::new(), Vec::new());
        let mut this = Self { stem, wav, log, samples, waiting, synced, after, clips, actions };
        this.note(&Line::Take { version: VERSION, after })?;
        this.sync()?;
        Ok(this)
    }

    /// Writes what was heard next.
    ///
    /// # Errors
    /// [`VoiceError::Write`]; what was written before stays.
    pub fn hear(&mut self, samples: &[i16]) -> Result<(), VoiceError> {
        self.waiting.extend(samples.iter().flat_map(|s| s.to_le_bytes()));
        self.samples += samples.len() as u64;
        if self.synced.elapsed() >= OFTEN { self.sync() } else { Ok(()) }
    }

    /// Another clip was shown; its place among the clips of the take.
    ///
    /// # Errors
    /// [`VoiceError::Write`].
    pub fn show(&mut self, shown: Shown) -> Result<usize, VoiceError> {
        self.note(&Line::Shown(Box::new(shown.clone())))?;
        self.clips.push(shown);
        Ok(self.clips.len() - 1)
    }

    /// Something was done.
    ///
    /// # Errors
    /// [`VoiceError::Write`].
    pub fn act(&mut self, action: Action) -> Result<(), VoiceError> {
        self.note(&Line::Action(action.clone()))?;
        self.actions.push(action);
        Ok(())
    }

    /// How much was heard.
    pub fn length(&self) -> MatchTime {
        time_of(self.samples)
    }

    fn note(&mut self, line: &Line) -> Result<(), VoiceError> {
        let path = with(&self.stem, ".actions.part");
        let text = serde_json::to_string(line).map_err(io::Error::other).map_err(VoiceError::write(&path))?;
        self.log.write_all(format!("{text}\n").as_bytes()).map_err(VoiceError::write(&path))
    }

    fn sync(&mut self) -> Result<(), VoiceError> {
        self.synced = Instant::now();
        let path = with(&self.stem, ".wav.part");
        // What is written in part on a full disk must not be written again.
        let waiting = std::mem::take(&mut self.waiting);
        self.wav.write_all(&waiting).and_then(|()| self.wav.sync_data()).map_err(VoiceError::write(&path))?;
        let path = with(&self.stem, ".actions.part");
        self.log.sync_data().map_err(VoiceError::write(&path))
    }

    /// Gives the voice its name. The log stays until [`super::forget`], so that nothing is lost before the lesson names the take. Of a
    /// voice that could not be written to its end, the part that was written is kept.
    ///
    /// # Errors
    /// [`VoiceError::Nothing`] when there is no take to make of it; a voice of less than a second is then deleted. [`VoiceError`] when it cannot be written.
    pub fn finish(mut self) -> Result<Kept, VoiceError> {
        // A full disk was told when it was found out.
        let _ = self.sync();
        let Self { stem, after, clips, actions, .. } = self;
        finished(&stem, after, clips, actions)
    }
}

/// The first name that nothing has, and its log.
fn free(folder: &Path) -> io::Result<(PathBuf, File)> {
    for n in 1..MOST {
        let stem = folder.join(format!("take-{n}"));
        if [".wav", ".wav.part"].iter().any(|end| with(&stem, end).symlink_metadata().is_ok()) {
            continue;
        }
        match OpenOptions::new().write(true).create_new(true).open(with(&stem, ".actions.part")) {
            Ok(log) => return Ok((stem, log)),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
            Err(e) => return Err(e),
        }
    }
    Err(io::Error::other("it has too many takes"))
}

/// Makes a take of its files: the voice gets a right header and its name.
pub(super) fn finished(
    stem: &Path,
    after: Option<MatchTime>,
    clips: Vec<Shown>,
    mut actions: Vec<Action>,
) -> Result<Kept, VoiceError> {
    let (part, whole) = (with(stem, ".wav.part"), with(stem, ".wav"));
    let there = if part.is_file() { &part } else { &whole };
    let samples = mended(there).map_err(VoiceError::write(there))?;
    let duration = time_of(samples);
    // A line is noted when its end is drawn.
    actions.sort_by_key(|a| a.at);
    actions.retain(|a| a.at <= duration);
    if samples == 0 || clips.is_empty() || actions.is_empty() {
        // A voice stays although its log is damaged: somebody spoke it. `takes_left` finds it.
        let spoken = samples >= u64::from(VOICE_RATE);
        for file in [part, with(stem, ".actions.part")].into_iter().filter(|_| !spoken) {
            // What is empty may as well stay.
            let _ = fs::remove_file(file);
        }
        return Err(VoiceError::Nothing);
    }
    if there == &part {
        if whole.exists() {
            return Err(VoiceError::write(&whole)(io::ErrorKind::AlreadyExists.into()));
        }
        fs::rename(&part, &whole).map_err(VoiceError::write(&whole))?;
        durable(&whole);
    }
    let folder = whole.parent().and_then(Path::file_name).unwrap_or_default();
    let file = name_text(&Path::new(folder).join(whole.file_name().unwrap_or_default()));
    let voice = Footage { file, fingerprint: fingerprint(&whole).ok(), duration, rate: None };
    Ok(Kept { take: Take { voice, clips, actions }, after })
}

/// Writes the right header of a voice that was cut off anywhere; how many samples it has.
fn mended(path: &Path) -> io::Result<u64> {
    let mut file = OpenOptions::new().read(true).write(true).open(path)?;
    let samples = file.metadata()?.len().saturating_sub(super::wav::HEAD) / WIDE;
    if samples > 0 {
        file.set_len(super::wav::HEAD + samples * WIDE)?;
        file.seek(SeekFrom::Start(0))?;
        file.write_all(&head(samples))?;
        file.sync_all()?;
    }
    Ok(samples)
}

/// Brings a new name to the disk, where the system can.
fn durable(path: &Path) {
    if cfg!(unix)
        && let Some(folder) = path.parent()
        && let Ok(folder) = File::open(folder)
    {
        let _ = folder.sync_all();
    }
}
