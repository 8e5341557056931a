//! Words on the pictures of a reel: captions, the score, conditions, headings.

use cairo::{Context, Format, ImageSurface};
use pangocairo::functions::{create_layout, show_layout};

use super::error::ReelError;

/// More than this of a text is never laid out: it would not fit.
const MOST: usize = 600;
/// Ink on the dark ground of boxes.
const LIGHT: [f64; 3] = [0.97, 0.97, 0.95];
/// The ground of boxes, and how dense it is.
const GROUND: ([f64; 3], f64) = ([0.05, 0.07, 0.09], 0.74);

/// A text as it may be painted: one line without control characters and marks that change the direction of writing. Letters of
/// scripts that run from right to left stay as they are.
pub(super) fn inert(text: &str) -> String {
    let mark = |c: char| matches!(c, '\u{200e}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    let plain = |c: char| if c.is_control() { ' ' } else { c };
    let clean: String = text.chars().filter(|c| !mark(*c)).map(plain).collect();
    let mut words: String = clean.split_whitespace().collect::<Vec<_>>().join(" ");
    if let Some((cut, _)) = words.char_indices().nth(MOST) {
        words.truncate(cut);
        words.push('…');
    }
    words
}

/// The lines of a text as somebody wrote them, each as it may be painted: at most so many, the last one with all that is left.
fn written(text: &str, most: u16) -> Vec<String> {
    let mut lines: Vec<String> = text.lines().map(inert).filter(|line| !line.is_empty()).collect();
    let most = usize::from(most.max(1));
    if lines.len() > most {
        let rest = lines.split_off(most - 1).join(" ");
        lines.push(inert(&rest));
    }
    lines
}

/// How a text is set.
#[derive(Debug, Clone, Copy)]
pub(super) struct Set {
    /// Height of the letters in pixels.
    pub size: f64,
    /// Whether its letters are bold.
    pub bold: bool,
    /// The widest line in pixels.
    pub width: f64,
    /// The most lines.
    pub lines: u16,
    /// Whether lines stand in the middle.
    pub middle: bool,
}

/// A text that is laid out.
pub(super) struct Block {
    layout: pango::Layout,
    /// Its width and height in pixels.
    pub size: (f64, f64),
    left: f64,
}

impl Block {
    pub(super) fn new(cr: &Context, words: &str, set: Set) -> Self {
        let layout = create_layout(cr);
        let mut font = pango::FontDescription::new();
        font.set_family("Sans");
        font.set_weight(if set.bold { pango::Weight::Bold } else { pango::Weight::Medium });
        let scale = f64::from(pango::SCALE);
        font.set_absolute_size(set.size * scale);
        layout.set_font_description(Some(&font));
        layout.set_width((set.width.max(1.0) * scale) as i32);
        let lines = written(words, set.lines);
        // Pango counts the lines of each paragraph.
        layout.set_height(-i32::from((set.lines / lines.len().max(1) as u16).max(1)));
        layout.set_wrap(pango::WrapMode::WordChar);
        layout.set_ellipsize(pango::EllipsizeMode::End);
        if set.middle {
            layout.set_alignment(pango::Alignment::Center);
        }
        layout.set_text(&lines.join("\n"));
        if lines.len() > 1 && layout.is_ellipsized() {
            // One after another more of them fits.
            layout.set_height(-i32::from(set.lines));
            layout.set_text(&inert(words));
        }
        let around = layout.extents().1;
        let of = |n: i32| f64::from(n) / scale;
        Self { layout, size: (of(around.width()).ceil(), of(around.height()).ceil()), left: of(around.x()) }
    }

    /// Paints it with its upper left corner there.
    pub(super) fn paint(&self, cr: &Context, (x, y): (f64, f64), ink: [f64; 3]) {
        cr.set_source_rgb(ink[0], ink[1], ink[2]);
        cr.move_to(x - self.left, y);
        show_layout(cr, &self.layout);
        cr.new_path();
    }
}

/// A small picture to be laid over others.
pub(super) struct Layer {
    surface: ImageSurface,
    /// Where it lies.
    pub at: (f64, f64),
    /// How large it is.
    pub size: (f64, f64),
}

impl Layer {
    pub(super) fn paint(&self, cr: &Context) -> Result<(), ReelError> {
        cr.set_source_surface(&self.surface, self.at.0, self.at.1)?;
        Ok(cr.paint()?)
    }

    /// It with its upper left corner at whole pixels, so that letters stay sharp.
    pub(super) fn moved(mut self, x: f64, y: f64) -> Self {
        self.at = (x.round(), y.round());
        self
    }
}

/// A context to measure text with.
pub(super) fn measuring() -> Result<Context, ReelError> {
    Ok(Context::new(ImageSurface::create(Format::ARgb32, 1, 1)?)?)
}

/// Lines of text on a dark box with round corners; each line is made of blocks side by side, each with its ink.
pub(super) fn boxed(lines: &[Vec<(Block, [f64; 3])>], unit: f64) -> Result<Layer, ReelError> {
    let (side, top, gap) = (unit * 2.0, unit * 1.2, unit * 1.6);
    let width_of = |line: &Vec<(Block, [f64; 3])>| {
        line.iter().map(|b| b.0.size.0).sum::<f64>() + gap * line.len().saturating_sub(1) as f64
    };
    let height_of = |line: &Vec<(Block, [f64; 3])>| line.iter().map(|b| b.0.size.1).fold(0.0, f64::max);
    let width = (lines.iter().map(width_of).fold(0.0, f64::max) + 2.0 * side).ceil();
    let height = (lines.iter().map(height_of).sum::<f64>() + 2.0 * top).ceil();
    let surface = ImageSurface::create(Format::ARgb32, width.max(1.0) as i32, height.max(1.0) as i32)?;
    let cr = Context::new(&surface)?;
    rounded(&cr, (width, height), unit * 1.4);
    let ([r, g, b], dense) = GROUND;
    cr.set_source_rgba(r, g, b, dense);
    cr.fill()?;
    let mut y = top;
    for line in lines {
        let mut x = side;
        for (block, ink) in line {
            block.paint(&cr, (x, y), *ink);
            x += block.size.0 + gap;
        }
        y += height_of(line);
    }
    drop(cr);
    surface.flush();
    Ok(Layer { surface, at: (0.0, 0.0), size: (width, height) })
}

/// One text in a box.
pub(super) fn label(words: &str, set: Set, unit: f64) -> Result<Layer, ReelError> {
    let block = Block::new(&measuring()?, words, set);
    boxed(&[vec![(block, LIGHT)]], unit)
}

fn rounded(cr: &Context, (w, h): (f64, f64), radius: f64) {
    use std::f64::consts::FRAC_PI_2;
    let r = radius.min(w / 2.0).min(h / 2.0);
    cr.new_path();
    for (n, (x, y)) in [(w - r, r), (w - r, h - r), (r, h - r), (r, r)].into_iter().enumerate() {
        let from = FRAC_PI_2 * (n as f64 - 1.0);
        cr.arc(x, y, r, from, from + FRAC_PI_2);
    }
    cr.close_path();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_keeps_its_lines_as_far_as_there_is_room() {
        assert_eq!(written("Well\u{202e} done\n\n \nRest", 3), ["Well done", "Rest"]);
        assert_eq!(written("a\r\nb\nc d\ne", 3), ["a", "b", "c d e"]);
        assert_eq!(written("a\nb", 1), ["a b"]);
        let set = Set { size: 20.0, bold: false, width: 900.0, lines: 4, middle: false };
        let high = |text: &str| Block::new(&measuring().unwrap(), text, set).size.1;
        assert!(high("one\ntwo") > 1.8 * high("one") && high("a b") < 1.2 * high("one"));
        let long = "word ".repeat(400);
        assert!(high(&format!("{long}\n{long}")) <= 1.1 * high(&long), "no more than four lines");
        let narrow = Set { width: 200.0, lines: 3, ..set };
        let block = Block::new(&measuring().unwrap(), "First.\nA longer second line.", narrow);
        assert!(!block.layout.is_ellipsized(), "no word is lost: {}", block.layout.text());
    }

    #[test]
    fn words_of_a_stranger_are_inert() {
        assert_eq!(inert("a\u{202e}b\n\tc\u{0}d <b>&amp;</b>"), "ab c d <b>&amp;</b>");
        assert_eq!(inert("\u{5e9}\u{5dc}\u{5d5}\u{5dd}"), "\u{5e9}\u{5dc}\u{5d5}\u{5dd}");
        let long = inert(&"x".repeat(10_000));
        assert_eq!(long.chars().count(), MOST + 1);
        assert!(long.ends_with('…'));
    }

    #[test]
    fn a_long_text_keeps_to_its_lines_and_width() {
        let cr = measuring().unwrap();
        let set = Set { size: 18.0, bold: false, width: 300.0, lines: 3, middle: true };
        let one = Block::new(&cr, "x", set).size.1;
        for words in [&"word ".repeat(2000), &"x".repeat(10_000), &"\u{5e9}\u{5dc} ".repeat(900), "<b>&</b>"]
        {
            let (w, h) = Block::new(&cr, words, set).size;
            assert!(w <= 301.0 && h <= 3.6 * one, "{w} × {h}");
        }
    }
}
