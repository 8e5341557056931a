//! A lesson of which something is made, with its footage.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::error::MakingError;
use crate::lesson::{Footage, Lesson, Part, find};
use crate::page::Names;
use crate::reel::{Files, Voices};
use crate::saving::folder;
use crate::video::probe_watched;
use crate::voice::{VoiceFile, too_short};

/// Is told how much is done, from 0 to 1, and stops the work by a break.
pub type Watch<'a> = &'a mut dyn FnMut(f64) -> ControlFlow<()>;

/// A lesson of which something is made. Its footage is opened when it is first needed, and once.
#[derive(Debug, Clone)]
pub struct Source {
    /// The lesson.
    pub lesson: Arc<Lesson>,
    /// The lesson's file: its footage and its records are looked for beside it.
    pub home: PathBuf,
    files: Arc<Mutex<Files>>,
}

impl Source {
    /// This lesson, whose file is at `home`.
    pub fn new(lesson: Arc<Lesson>, home: PathBuf) -> Self {
        Self { lesson, home, files: Arc::default() }
    }

    /// The folder of the lesson.
    pub fn folder(&self) -> &Path {
        folder(&self.home)
    }

    /// The footage of the lesson, or that of its talk, opened. Waits.
    ///
    /// # Errors
    /// [`MakingError`] when a file is away, may not be opened or cannot be read, and when it was stopped.
    pub fn files(&self, talk: bool, watch: Watch<'_>) -> Result<MutexGuard<'_, Files>, MakingError> {
        // A thread that failed left whole files behind, or none.
        let mut files = self.files.lock().unwrap_or_else(PoisonError::into_inner);
        let wanted: Vec<&Footage> = match &self.lesson.talk {
            Some(spoken) if talk => spoken.footage().collect(),
            _ => self.lesson.parts.iter().flat_map(Part::clips).map(|clip| &clip.footage).collect(),
        };
        for footage in wanted {
            if !files.contains_key(&footage.file) {
                let media = probe_watched(&self.path(footage)?, &mut |_| watch(0.0))?;
                files.insert(footage.file.clone(), media);
            }
        }
        Ok(files)
    }

    /// The same with its people named so.
    #[must_use]
    pub fn named(&self, names: &Names) -> Self {
        Self::new(Arc::new(names.lesson(&self.lesson)), self.home.clone())
    }

    /// Where a file of footage is.
    ///
    /// # Errors
    /// [`MakingError::Astray`].
    pub fn path(&self, footage: &Footage) -> Result<PathBuf, MakingError> {
        let astray = |why| MakingError::Astray { file: footage.file.clone(), why };
        find(&self.home, footage).file().map_err(astray)
    }

    /// The voice files of the talk.
    ///
    /// # Errors
    /// [`MakingError::NoVoice`].
    pub(super) fn voices(&self) -> Result<Voices, MakingError> {
        let astray = |voice: &Footage, why| MakingError::NoVoice { file: voice.file.clone(), why };
        let all = self.lesson.talk.iter().flat_map(|talk| talk.voices());
        all.map(|v| Ok((v.file.clone(), find(&self.home, v).file().map_err(|why| astray(v, why))?))).collect()
    }

    /// Which voices of the talk end before the lesson says.
    ///
    /// # Errors
    /// [`MakingError::NoVoice`] and [`MakingError::Voice`].
    pub fn short_voices(&self) -> Result<Vec<String>, MakingError> {
        let paths = self.voices()?;
        let all = self.lesson.talk.iter().flat_map(|talk| talk.voices());
        let short = all.filter_map(|voice| paths.get(&voice.file).map(|path| (voice, path)));
        short
            .map(|(voice, path)| Ok(too_short(voice, &VoiceFile::open(path)?)))
            .filter_map(Result::transpose)
            .collect()
    }
}
