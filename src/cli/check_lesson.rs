//! What looks wrong with a lesson: footage and voices that are away, and takes that it does not have.

use std::collections::BTreeSet;
use std::path::Path;

use crate::lesson::{Footage, Lesson, find};
use crate::record::check::{Finding, Place, Severity};
use crate::record::footage::{OTHER, is_other};
use crate::record::printable;
use crate::voice::{VoiceFile, takes_left, too_short};

/// What is wrong with a lesson that can be read.
pub(super) fn found(path: &Path, lesson: &Lesson) -> Vec<Finding> {
    let mut told = BTreeSet::new();
    let footage = lesson.footage().filter(|f| told.insert(f.file.clone())).collect::<Vec<_>>();
    let away = footage.into_iter().enumerate().filter_map(|(n, f)| astray(path, n, f));
    let takes = lesson.talk.iter().flat_map(|talk| talk.voices()).enumerate();
    let silent = takes.filter_map(|(n, voice)| voice_trouble(path, n, voice));
    let left = takes_left(path, lesson.talk.as_deref()).into_iter().map(|name| Finding {
        place: Place::Lesson,
        message: format!(
            "\"{}\" is a recording that the lesson does not use; delete it if no undo needs it",
            printable(&name, 120)
        ),
        severity: Severity::Note,
    });
    away.chain(silent).chain(left).collect()
}

fn astray(path: &Path, n: usize, footage: &Footage) -> Option<Finding> {
    let other = |at: &Path| is_other(at, footage.fingerprint.as_deref()).then(|| OTHER.to_owned());
    let why = match find(path, footage).file() {
        Ok(at) => other(&at)?,
        Err(why) => why.to_string(),
    };
    let message = format!("\"{}\" {why}", printable(&footage.file, 120));
    Some(Finding { place: Place::Footage(n), message, severity: Severity::Warning })
}

fn voice_trouble(path: &Path, n: usize, voice: &Footage) -> Option<Finding> {
    let named = printable(&voice.file, 120);
    let message = match find(path, voice).file().map(|file| VoiceFile::open(&file)) {
        Err(why) => format!("the voice \"{named}\" {why}"),
        Ok(Err(why)) => why.to_string(),
        Ok(Ok(file)) => too_short(voice, &file)?,
    };
    Some(Finding { place: Place::Take(n), message, severity: Severity::Warning })
}
