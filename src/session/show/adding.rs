//! Clips from any list as parts of a lesson.

use std::path::{Path, PathBuf};

use crate::clips::Lead;
use crate::lesson::{Origin, Part, parts_of};
use crate::pattern::Pattern;
use crate::session::library::finds::Finds;

/// The clips that are to be added.
#[derive(Debug, Clone)]
pub struct Adding {
    /// The points, in their order.
    pub finds: Finds,
    /// Footage before and after each point.
    pub lead: Lead,
    /// The pattern that was asked for: each clip then says which of its conditions are met.
    pub pattern: Option<Pattern>,
}

/// The clips as parts of the lesson at `path`, and how many points have none.
pub fn parts_for(adding: Adding, path: &Path) -> (Vec<Part>, usize) {
    let Adding { finds, lead, pattern } = adding;
    let wanted = finds.points.len();
    let (list, records) = finds.clips(lead, &finds.points);
    let paths: Vec<PathBuf> = records.iter().map(|(path, _)| real(path)).collect();
    let origins: Vec<Origin<'_>> =
        records.iter().zip(&paths).map(|((_, record), path)| Origin { record, path }).collect();
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let parts = parts_of(&list, &origins, pattern.as_ref(), &real(folder));
    let shown: usize = list.clips.iter().map(|clip| clip.points.len()).sum();
    let left_out = list.clips.len() - parts.len();
    (parts, wanted.saturating_sub(shown) + left_out)
}

fn real(path: &Path) -> PathBuf {
    path.canonicalize().or_else(|_| std::path::absolute(path)).unwrap_or_else(|_| path.to_owned())
}

/// The name of a lesson's file: `.lesson.json` is added where it is not there.
pub fn lesson_name(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    if is_lesson(path) {
        return path.to_owned();
    }
    let stem = name.strip_suffix(".json").unwrap_or(&name);
    path.with_file_name(format!("{stem}.lesson.json"))
}

/// A name for a new lesson's file, which no file has yet: `Mara-Ada 2026-05-03.lesson.json`, or with a number behind.
pub fn proposed_name(words: &str, date: Option<&str>, is_taken: &dyn Fn(&str) -> bool) -> String {
    let plain = |c: char| if c.is_alphanumeric() || c == '-' { c } else { ' ' };
    let words: String = words.replace(" – ", "-").chars().map(plain).collect();
    let words: String =
        words.split_whitespace().collect::<Vec<_>>().join(" ").replace(" -", "-").chars().take(60).collect();
    let words = Some(words.trim_matches([' ', '-'])).filter(|w| !w.is_empty()).unwrap_or("Lesson");
    let stem = date.map_or_else(|| words.to_owned(), |date| format!("{words} {date}"));
    let first = format!("{stem}.lesson.json");
    let further = (2..1000).map(|n| format!("{stem} {n}.lesson.json"));
    std::iter::once(first.clone()).chain(further).find(|name| !is_taken(name)).unwrap_or(first)
}

/// Whether a file is a lesson, by its name.
pub fn is_lesson(path: &Path) -> bool {
    path.to_string_lossy().to_lowercase().ends_with(".lesson.json")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_lesson_is_named_after_who_plays_and_when() {
        let free = |_: &str| false;
        let name = |words: &str, date| proposed_name(words, date, &free);
        assert_eq!(name("Mara – Ada", Some("2026-05-03")), "Mara-Ada 2026-05-03.lesson.json");
        assert_eq!(name("Drop shot, all conditions met", None), "Drop shot all conditions met.lesson.json");
        assert_eq!(name("Mara H. – Mara V.", None), "Mara H-Mara V.lesson.json");
        assert_eq!(name(" – ", None), "Lesson.lesson.json");
        assert_eq!(name("", Some("2026-05-03")), "Lesson 2026-05-03.lesson.json");
        assert_eq!(name("../a\u{202e}\n\"<x>\" /etc", None), "a x etc.lesson.json");
        assert!(name(&"ш".repeat(10_000), None).len() < 200);
        let taken = |name: &str| !name.contains(" 3.");
        assert_eq!(proposed_name("Mara – Ada", None, &taken), "Mara-Ada 3.lesson.json");
    }
}
