//! Every text of a lesson that a person wrote or that may name one. File names are not among them.

use super::model::{Clip, Part, Picture};
use super::talk::{Action, Deed, Shown};
use super::whole::Lesson;
use crate::drawing::{Drawing, Shape};

/// The notes, which only the coach sees.
pub const NOTES: &str = "notes";

/// Is told each text, after the name of its field.
pub type See<'a> = &'a mut dyn FnMut(&'static str, &mut String);

/// All texts of a lesson and of its talk.
pub fn each_text(lesson: &mut Lesson, see: See<'_>) {
    see("title", &mut lesson.title);
    see("player", &mut lesson.player);
    for part in &mut lesson.parts {
        of_part(part, see);
    }
    for take in lesson.talk.iter_mut().flat_map(|talk| &mut talk.takes) {
        take.clips.iter_mut().for_each(|shown| of_shown(shown, see));
        take.actions.iter_mut().for_each(|action| of_action(action, see));
    }
}

fn of_part(part: &mut Part, see: See<'_>) {
    match part {
        Part::Chapter(chapter) => {
            see("chapters", &mut chapter.title);
            see(NOTES, &mut chapter.notes);
        }
        Part::Clip(clip) => of_clip(clip, see),
        Part::Pair(pair) => {
            of_clip(&mut pair.left, see);
            of_clip(&mut pair.right, see);
            see("captions", &mut pair.caption);
            see(NOTES, &mut pair.notes);
        }
        Part::Still(still) => {
            see("captions", &mut still.caption);
            see(NOTES, &mut still.notes);
            match &mut still.shows {
                Picture::Court(drawings) => of_drawings(drawings, see),
                Picture::Words(words) => see("words", words),
            }
        }
    }
}

fn of_clip(clip: &mut Clip, see: See<'_>) {
    see("captions", &mut clip.caption);
    see("scores", &mut clip.score);
    see(NOTES, &mut clip.notes);
    see("patterns", &mut clip.pattern);
    for condition in &mut clip.conditions {
        see("conditions", &mut condition.words);
    }
    of_drawings(&mut clip.drawings, see);
    for freeze in &mut clip.freezes {
        of_drawings(&mut freeze.drawings, see);
    }
}

/// The texts of a clip as a talk shows it.
pub fn of_shown(shown: &mut Shown, see: See<'_>) {
    see("chapters", &mut shown.chapter);
    of_clip(&mut shown.clip, see);
}

/// What was written on the picture in a talk.
pub fn of_action(action: &mut Action, see: See<'_>) {
    if let Deed::Draw { shape, .. } = &mut action.does {
        of_shape(shape, see);
    }
}

fn of_drawings(drawings: &mut [Drawing], see: See<'_>) {
    for drawing in drawings {
        of_shape(&mut drawing.shape, see);
    }
}

fn of_shape(shape: &mut Shape, see: See<'_>) {
    if let Shape::Text { words, .. } = shape {
        see("drawings", words);
    }
}
