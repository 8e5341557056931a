//! Whom a lesson names.

use std::path::Path;

use crate::lesson::{Lesson, Part};
use crate::record::Record;
use crate::record::consent::{overdue, refusals, today};
use crate::record::footage::name_path;

/// Everybody whom the records of the lesson name, and whom the lesson is for; and what is to be said of it: what the records have to
/// say of consent, and which of them could not be read.
pub fn people(lesson: &Lesson, home: &Path) -> (Vec<String>, Vec<String>) {
    let (mut people, mut said) = (Vec::new(), Vec::new());
    let mut read: Vec<&str> = Vec::new();
    for clip in lesson.parts.iter().flat_map(Part::clips) {
        let Some(of) = clip.of.as_ref().filter(|of| !read.contains(&of.record.as_str())) else { continue };
        read.push(&of.record);
        match crate::record::load(&home.join(name_path(&of.record))) {
            Ok((record, _)) => {
                said.extend(refusals(&record).into_iter().chain(overdue(&record, today())));
                people.extend(named(&record));
            }
            Err(e) => said.push(format!("the names of players could not be looked up: {e}")),
        }
    }
    people.push(lesson.player.clone());
    (people, said)
}

fn named(record: &Record) -> Vec<String> {
    let listed = record.people.iter().map(|p| p.name.clone());
    record.about.people().map(|(_, p)| p.name.clone()).chain(listed).collect()
}
