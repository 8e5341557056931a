//! The clips of a lesson in the formats of clip lists, and what such a list does not hold of it.

use std::path::Path;
use std::time::Duration;

use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::export::timecode::Label;
use crate::export::{ExportError, Format, Of, Sheet, name_from};
use crate::lesson::{Clip, Found, Lesson, Part, find, listed};
use crate::record::footage::{name_path, name_text};
use crate::record::load;
use crate::saving::folder;
use crate::session::show::view::notes;

/// How the clips are written.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    /// The format.
    pub format: Format,
    /// The timecode of the first frame of each file; none is 00:00:00:00.
    pub start_timecode: Option<Label>,
    /// Only clips of this file, as the lesson names it.
    pub file: Option<&'a str>,
    /// The file that will hold the list; without it, footage is named as seen from the current folder.
    pub out: Option<&'a Path>,
}

/// The clips of the lesson at `path` as text. Footage that was found again has the name that it has now.
///
/// # Errors
/// [`ExportError`] when they do not fit the format.
pub fn text(wanted: &Wanted<'_>, (path, lesson): (&Path, &Lesson)) -> Result<String, ExportError> {
    let (names, list) = listed(lesson);
    let of = |name: &String| {
        let record = Some(name).filter(|name| !name.is_empty());
        let known = record.and_then(|name| load(&folder(path).join(name_path(name))).ok());
        let bare = || Of { file: name.clone(), a: String::new(), b: String::new() };
        known.map_or_else(bare, |(record, _)| Of::record(name, &record))
    };
    let lead = Lead { before: Duration::ZERO, after: Duration::ZERO, merge: false };
    let mut sheet = Sheet::new(&lesson.title, names.iter().map(of).collect(), lead, list);
    sheet.start_timecode = wanted.start_timecode;
    sheet.left_out = left_out(lesson);
    if let Some(file) = wanted.file {
        sheet.keep_file(file)?;
    }
    name_anew(&mut sheet, path, lesson);
    name_from(&mut sheet, &vec![path.to_owned(); names.len()], wanted.out)?;
    wanted.format.text(&sheet)
}

/// Footage that is the same under another name is named so.
fn name_anew(sheet: &mut Sheet, path: &Path, lesson: &Lesson) {
    for footage in sheet.files().into_iter().map(str::to_owned).collect::<Vec<_>>() {
        let Some(known) = lesson.footage().find(|f| f.file == footage) else { continue };
        let Found::Renamed(now) = find(path, known) else { continue };
        let name = name_text(now.strip_prefix(folder(path)).unwrap_or(&now));
        for clip in sheet.clips.iter_mut().filter(|clip| clip.file == footage) {
            clip.file.clone_from(&name);
        }
    }
}

/// What of a lesson a list of its clips does not hold: `2 chapters`, `the speeds of 3 clips`.
pub fn left_out(lesson: &Lesson) -> Vec<String> {
    let parts = |is: fn(&Part) -> bool| lesson.parts.iter().filter(|p| is(p)).count();
    let clips = |is: fn(&Clip) -> bool| lesson.parts.iter().flat_map(Part::clips).filter(|c| is(c)).count();
    let counted = |n: usize, noun, before: &str| (n > 0).then(|| format!("{before}{}", Counted(n, noun)));
    let of = |is, what: &str| counted(clips(is), Noun::Clip, what);
    let is_drawn = |c: &Clip| !c.drawings.is_empty() || c.freezes.iter().any(|f| !f.drawings.is_empty());
    let all = [
        counted(parts(|p| matches!(p, Part::Chapter(_))), Noun::Chapter, ""),
        counted(parts(|p| matches!(p, Part::Still(_))), Noun::Still, ""),
        counted(parts(|p| matches!(p, Part::Pair(_))), Noun::Pair, "side by side: "),
        of(|c| !c.conditions.is_empty(), "the conditions of "),
        of(|c| !c.stretches.is_empty(), "the speeds of "),
        of(|c| !c.freezes.is_empty(), "the freezes of "),
        of(is_drawn, "the drawings of "),
        of(|c| c.times.is_some_and(|n| n > 1), "the repeats of "),
        counted(parts(|p| !notes(p).trim().is_empty()), Noun::Part, "your notes on "),
        lesson.talk.is_some().then(|| "the talk".to_owned()),
    ];
    all.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;

    fn clip(file: &str) -> Value {
        json!({ "footage": { "file": file, "duration": "00:01:00.000", "rate": "25" },
            "from": "00:00:02.000", "to": "00:00:04.000" })
    }

    fn lesson(parts: &Value) -> Lesson {
        serde_json::from_value(json!({ "format": "changeover-lesson", "version": 1, "parts": parts }))
            .unwrap()
    }

    #[test]
    fn all_that_a_list_does_not_hold_is_told() {
        assert_eq!(left_out(&lesson(&json!([{ "clip": clip("a.mp4") }]))), [""; 0], "nothing is left out");
        let mut one = clip("a.mp4");
        one["stretches"] = json!([{ "from": "00:00:02.000", "to": "00:00:03.000", "pace": 50 }]);
        one["times"] = 2.into();
        one["notes"] = "slower".into();
        one["conditions"] = json!([{ "words": "deep", "met": "met" }]);
        let arrow = json!([{ "picture": [1000, 1000] }, { "picture": [5000, 5000] }]);
        let drawing = json!({ "shape": { "arrow": arrow }, "from": "0:00", "to": "0:01" });
        let mut two = clip("a.mp4");
        two["freezes"] = json!([{ "at": "00:00:03.000", "lasts": "00:00:01.000", "drawings": [drawing] }]);
        let pair =
            json!({ "left": one, "right": two, "left_at": "00:00:02.000", "right_at": "00:00:02.000" });
        let still = json!({ "lasts": "00:00:02.000", "shows": { "words": "x" } });
        let mut all =
            lesson(&json!([{ "chapter": { "title": "Net" } }, { "pair": pair }, { "still": still },
            { "clip": one }]));
        all.talk = Some(Box::default());
        assert_eq!(
            left_out(&all),
            [
                "1 chapter",
                "1 still",
                "side by side: 1 pair",
                "the conditions of 2 clips",
                "the speeds of 2 clips",
                "the freezes of 1 clip",
                "the drawings of 1 clip",
                "the repeats of 2 clips",
                "your notes on 1 part",
                "the talk"
            ]
        );
    }

    /// The name is the one that the footage has now: what the list names can be opened.
    #[test]
    fn footage_that_was_renamed_is_named_as_it_is_called_now() {
        let dir = tempfile::tempdir().unwrap();
        let home = dir.path().join("lessons");
        std::fs::create_dir(&home).unwrap();
        std::fs::write(home.join("new #1.mp4"), b"pictures").unwrap();
        let mut one = clip("old.mp4");
        let known = crate::record::footage::fingerprint(&home.join("new #1.mp4")).unwrap();
        one["footage"]["fingerprint"] = known.into();
        let lesson = lesson(
            &json!([{ "clip": one }, { "clip": clip("gone.mp4") }, { "clip": clip("../beside.mp4") }]),
        );
        let path = home.join("x.lesson.json");
        std::fs::write(&path, "{}").unwrap();
        let list = |format, file| {
            let out = dir.path().join("list");
            text(&Wanted { format, start_timecode: None, file, out: Some(&out) }, (&path, &lesson)).unwrap()
        };
        let csv = list(Format::Csv, None);
        assert!(csv.contains("lessons/new #1.mp4") && csv.contains("lessons/gone.mp4"), "{csv}");
        assert!(!csv.contains("old.mp4"), "{csv}");
        assert!(csv.contains(",beside.mp4,"), "the short way, not by lessons/..: {csv}");
        let one = list(Format::Csv, Some("old.mp4"));
        assert!(one.contains("new #1.mp4") && !one.contains("gone.mp4"), "{one}");
    }
}
