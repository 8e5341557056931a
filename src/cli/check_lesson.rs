//! What looks wrong with a lesson: footage and voices that are away, and takes that it does not have.

use std::collections::BTreeSet;
use std::path::Path;

use crate::lesson::{Footage, Found, Lesson, find};
use crate::record::check::{Finding, Place, Severity};
use crate::record::printable;
use crate::voice::{VoiceFile, takes_left, time_of};

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
    let why = match find(path, footage) {
        Found::Here(_) | Found::Renamed(_) => return None,
        Found::Missing => "is not there; put it back to play its clips",
        Found::Outside => {
            "is outside the lesson's folder and not known to the lesson; move it into the folder"
        }
    };
    let message = format!("\"{}\" {why}", printable(&footage.file, 120));
    Some(Finding { place: Place::Footage(n), message, severity: Severity::Warning })
}

fn voice_trouble(path: &Path, n: usize, voice: &Footage) -> Option<Finding> {
    let named = printable(&voice.file, 120);
    let message = match find(path, voice).path().map(VoiceFile::open) {
        None => format!("the voice \"{named}\" is not there; put it back to hear the talk"),
        Some(Err(why)) => why.to_string(),
        Some(Ok(file)) if time_of(file.samples()) < voice.duration => {
            let (has, wanted) = (time_of(file.samples()), voice.duration);
            format!("the voice \"{named}\" lasts {has}, but {wanted} in the lesson; the rest is silent")
        }
        Some(Ok(_)) => return None,
    };
    Some(Finding { place: Place::Take(n), message, severity: Severity::Warning })
}
