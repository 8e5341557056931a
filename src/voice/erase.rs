//! Deletes a person from a lesson and its talk: the name, all notes, the history of the lesson, and what is noted of talks that were cut
//! off. This cannot be undone. Voices stay: nobody can search them.
//!
//! The lesson is replaced first, as a record is (`record/erase.rs`), then each log. If the program is killed in between, each of them is
//! unchanged or erased, and erasing again does the rest.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use super::recover::{lines, takes_left};
use super::take::{Line, talk_folder};
use crate::lesson::texts::{NOTES, each_text, of_action, of_shown};
use crate::lesson::{Footage, Lesson, LessonStore, Part, load};
use crate::record::erase::{Erased, Person, is_named_beside, kept, not_here, put};
use crate::record::{RecordError, printable, replace};

/// What stands in the place of a name in a lesson: it does not say at which place in a record somebody is.
const PSEUDONYM: &str = "Player";

/// Lists what [`erase`] would do; changes nothing.
///
/// # Errors
/// [`RecordError::NotNamed`] when nothing in the lesson names `who`; [`RecordError`] when it cannot be read.
pub fn preview(path: &Path, who: &str) -> Result<Erased, RecordError> {
    let (lesson, _) = load(path)?;
    let Looked { lesson, mut erased, .. } = look(path, lesson, who)?;
    (_, erased.files) = kept::<Lesson>(path)?;
    erased.not_reached = not_reached(path, &lesson, &erased);
    Ok(erased)
}

/// Deletes the person of this name from the lesson at `path` and from the logs of its talk.
///
/// # Errors
/// [`RecordError::NotNamed`], [`RecordError::ReadOnly`] (also when it is open elsewhere), and [`RecordError`] when the lesson cannot be
/// written: it is then unchanged.
pub fn erase(path: &Path, who: &str) -> Result<Erased, RecordError> {
    let mut store = LessonStore::open(path)?;
    let Looked { lesson, mut erased, logs } = look(path, store.document().clone(), who)?;
    put(&mut store, lesson, &mut erased)?;
    for (log, text) in logs {
        if let Err(e) = replace(&log, text.as_bytes()) {
            erased.failed.push(format!("{}: {e}", printable(&log.to_string_lossy(), 200)));
        }
    }
    erased.not_reached = not_reached(path, store.document(), &erased);
    Ok(erased)
}

/// A lesson without a person, and the logs of its talk that change.
struct Looked {
    lesson: Lesson,
    erased: Erased,
    logs: Vec<(PathBuf, String)>,
}

fn look(path: &Path, mut lesson: Lesson, who: &str) -> Result<Looked, RecordError> {
    let mut erased = Erased::of(Person { name: who.trim().to_owned(), pseudonym: PSEUDONYM.into() });
    each_text(&mut lesson, &mut |field, text| scrub(&mut erased, field, text));
    let mut out = Vec::new();
    for log in logs(path) {
        let found = lines(&log).and_then(|(lines, whole)| Some((scrubbed(lines, &mut erased)?, whole)));
        match found {
            Some((text, whole)) if text.as_bytes() != whole => out.push((log, text)),
            Some(_) => {}
            None => erased.failed.push(format!(
                "{}: it cannot be read, and may name the player",
                printable(&log.to_string_lossy(), 200)
            )),
        }
    }
    let files = lesson.footage().chain(voices(&lesson)).map(|f| f.file.as_str());
    let in_names = files.chain(records(&lesson)).any(|file| erased.person.is_in_file_name(file));
    if erased.is_named() || in_names || is_named_beside::<Lesson>(path, &erased.person)? {
        return Ok(Looked { lesson, erased, logs: out });
    }
    Err(RecordError::NotNamed { found: printable(who, 60) })
}

fn scrub(erased: &mut Erased, field: &str, text: &mut String) {
    if field == NOTES { erased.note(text) } else { erased.text(field, text) }
}

/// The lines of a log without the person.
fn scrubbed(lines: Vec<Line>, erased: &mut Erased) -> Option<String> {
    let mut out = String::new();
    for mut line in lines {
        let see = &mut |field: &'static str, text: &mut String| scrub(erased, field, text);
        match &mut line {
            Line::Shown(shown) => of_shown(shown, see),
            Line::Action(action) => of_action(action, see),
            Line::Take { .. } => {}
        }
        out += &serde_json::to_string(&line).ok()?;
        out.push('\n');
    }
    Some(out)
}

/// The logs in the folder of the talk.
fn logs(lesson: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(talk_folder(lesson)).into_iter().flatten().flatten();
    let mut all: Vec<PathBuf> = entries.map(|e| e.path()).collect();
    all.retain(|p| p.to_string_lossy().ends_with(".actions.part"));
    all.sort();
    all
}

fn voices(lesson: &Lesson) -> impl Iterator<Item = &Footage> {
    lesson.talk.iter().flat_map(|talk| talk.voices())
}

/// The records that the clips are from.
fn records(lesson: &Lesson) -> impl Iterator<Item = &str> {
    let told = lesson.talk.iter().flat_map(|talk| &talk.takes).flat_map(|take| &take.clips);
    let clips = lesson.parts.iter().flat_map(Part::clips).chain(told.map(|shown| &shown.clip));
    clips.filter_map(|clip| Some(clip.of.as_ref()?.record.as_str()))
}

/// What stays behind, as far as it can be known from here.
fn not_reached(path: &Path, lesson: &Lesson, erased: &Erased) -> Vec<String> {
    let mut out = Vec::new();
    let footage: BTreeSet<&str> = lesson.footage().map(|f| f.file.as_str()).collect();
    out.extend(footage.into_iter().map(|file| erased.footage(file)));
    let spoken: BTreeSet<&str> = voices(lesson).map(|f| f.file.as_str()).collect();
    let said = "may say the name, and a voice cannot be searched; listen to it";
    out.extend(spoken.into_iter().map(|file| format!("the voice {}: it {said}", printable(file, 200))));
    let folder = talk_folder(path).file_name().unwrap_or_default().to_string_lossy().into_owned();
    let unused = takes_left(path, lesson.talk.as_deref());
    out.extend(unused.iter().map(|name| {
        let file = printable(&format!("{folder}/{name}"), 200);
        format!("the voice {file}, which the lesson does not use: it {said}, or delete it")
    }));
    let from: BTreeSet<&str> = records(lesson).collect();
    out.extend(from.into_iter().map(|record| {
        format!("the record {}, which clips are from: erase the player there too", printable(record, 200))
    }));
    out.extend(not_here(path, &erased.person, "lesson"));
    out
}
