//! How the page shares its room between the answer, the footage and the clips: numbers only, no widgets.

/// How the parts lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// The answer on the left; on the right the footage, and the clips below it.
    Beside,
    /// The answer above; below it the footage, and the clips beside it.
    Stacked,
    /// The footage takes the page, with the clips beside it.
    Large,
}

/// Room for the clips beside large footage, in pixels of the usual text.
const CLIPS: f64 = 260.0;
/// The row under the footage: play, time and bar, in pixels of the usual text.
const BAR: f64 = 34.0;
/// The least height of the clips below the footage, and the least width beside it.
const LEAST_CLIPS: f64 = 130.0;
/// Below this width the tables of an answer are cut off, in pixels of the usual text; and the most that the answer takes for it.
const LEAST_ANSWER: f64 = 430.0;
const MOST_ANSWER: f64 = 0.56;
/// What a page this wide has room for beside the answer: the questions, in pixels of the usual text.
const WITH_QUESTIONS: f64 = 1500.0;
/// Pages narrower than this stack their parts.
const NARROW: f64 = 760.0;

/// The room of the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// In pixels.
    pub width: f64,
    /// In pixels.
    pub height: f64,
    /// How large text is: 1 for the usual size.
    pub scale: f64,
    /// Width over height of the footage.
    pub film: f64,
}

/// Where the two handles are, each as a share of the room that it divides; none where nobody moved it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Handles {
    /// Share of the answer.
    pub answer: Option<f64>,
    /// Share of the footage beside the clips.
    pub footage: Option<f64>,
}

impl Room {
    /// How the parts lie in it.
    pub fn shape(self, large: bool) -> Shape {
        if large {
            Shape::Large
        } else if self.width / self.scale < NARROW {
            Shape::Stacked
        } else {
            Shape::Beside
        }
    }

    /// Whether the questions have a column of their own.
    pub fn has_aside(self) -> bool {
        self.width / self.scale >= WITH_QUESTIONS
    }

    /// Whether there is room for the clips beside large footage.
    pub fn has_clips(self, shape: Shape) -> bool {
        shape != Shape::Large || self.width / self.scale >= 3.0 * CLIPS
    }

    /// The place of the handle between answer and footage, in pixels.
    pub fn answer(self, shape: Shape, handles: Handles) -> f64 {
        match shape {
            // So that usual footage covers a quarter of a usual window.
            Shape::Beside => {
                let least = (LEAST_ANSWER * self.scale / self.width).min(MOST_ANSWER);
                self.width * handles.answer.unwrap_or_else(|| least.max(0.47))
            }
            Shape::Stacked => self.height * 0.5,
            Shape::Large => 0.0,
        }
    }

    /// The place of the handle between footage and clips, in pixels; this is the room of the two.
    pub fn footage(self, shape: Shape, handles: Handles) -> f64 {
        let clips = LEAST_CLIPS * self.scale;
        match shape {
            Shape::Beside => {
                let whole = (self.width / self.film + BAR * self.scale).min(self.height - clips);
                handles.footage.map_or(whole, |share| self.height * share)
            }
            Shape::Stacked => ((self.height - BAR * self.scale) * self.film).min(self.width - 1.6 * clips),
            Shape::Large => self.width - CLIPS * self.scale,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(width: f64, height: f64, scale: f64) -> Room {
        Room { width, height, scale, film: 16.0 / 9.0 }
    }

    #[test]
    fn parts_lie_beside_each_other_where_there_is_room() {
        assert_eq!(room(1342.0, 580.0, 1.0).shape(false), Shape::Beside);
        assert_eq!(room(1000.0, 450.0, 1.0).shape(false), Shape::Beside);
        assert_eq!(room(1000.0, 450.0, 1.5).shape(false), Shape::Stacked);
        assert_eq!(room(1000.0, 450.0, 1.5).shape(true), Shape::Large);
        assert!(room(1896.0, 800.0, 1.0).has_aside() && !room(1342.0, 580.0, 1.0).has_aside());
        assert!(!room(1000.0, 450.0, 1.5).has_clips(Shape::Large));
    }

    /// The tables of an answer keep the width that they need with large text.
    #[test]
    fn the_answer_has_room_for_its_tables_with_large_text() {
        let answer = |width, scale| room(width, 580.0, scale).answer(Shape::Beside, Handles::default());
        assert!((answer(1342.0, 1.0) - 0.47 * 1342.0).abs() < 1e-9);
        assert!((answer(1256.0, 1.5) - 645.0).abs() < 1e-9);
        assert!((answer(1000.0, 1.3) - 559.0).abs() < 1e-9);
        assert!((answer(800.0, 1.05) - 448.0).abs() < 1e-9, "the clips keep room too");
    }

    #[test]
    fn footage_takes_all_the_width_it_can_and_leaves_room_for_clips() {
        let none = Handles::default();
        let side = room(700.0, 580.0, 1.0);
        assert!((side.footage(Shape::Beside, none) - 427.75).abs() < 1e-9);
        assert!((room(700.0, 400.0, 1.0).footage(Shape::Beside, none) - 270.0).abs() < 1e-9);
        let moved = Handles { answer: Some(0.3), footage: Some(0.5) };
        assert!((side.footage(Shape::Beside, moved) - 290.0).abs() < 1e-9);
        assert!((room(1000.0, 500.0, 1.0).answer(Shape::Beside, moved) - 300.0).abs() < 1e-9);
        assert!((room(1340.0, 700.0, 1.0).footage(Shape::Large, none) - 1080.0).abs() < 1e-9);
    }
}
