//! The clips of a lesson as a clip list, for other programs.

use super::model::Part;
use super::whole::Lesson;
use crate::clips::{self, ClipList};
use crate::time::Span;

/// The clips in their order, of two side by side the left one first, and the records that they refer to, by their names. A lesson does
/// not know where its footage is on a match clock: both spans of a clip are counted from the first moment of its file.
pub fn listed(lesson: &Lesson) -> (Vec<String>, ClipList) {
    let (mut records, mut list) = (Vec::<String>::new(), ClipList::default());
    for clip in lesson.parts.iter().flat_map(Part::clips) {
        let Ok(span) = Span::new(clip.from, clip.to) else { continue };
        let name = clip.of.as_ref().map_or("", |of| of.record.as_str());
        let record = records.iter().position(|r| r == name).unwrap_or(records.len());
        if record == records.len() {
            records.push(name.to_owned());
        }
        let words = [&clip.caption, &clip.score, &clip.pattern].map(|text| text.trim());
        let mut words = words.into_iter().filter(|text| !text.is_empty());
        let label = words.next().map_or_else(|| format!("Clip {}", list.clips.len() + 1), str::to_owned);
        list.clips.push(clips::Clip {
            record,
            points: clip.of.iter().map(|of| of.point).collect(),
            span,
            label,
            about: words.collect::<Vec<_>>().join(", "),
            file: clip.footage.file.clone(),
            file_span: span,
            rate: clip.footage.rate,
            duration: clip.footage.duration,
        });
    }
    (records, list)
}
