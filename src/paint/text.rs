//! Text with Pango, which finds a font for every script.

use cairo::Context;

use super::error::PaintError;

/// Which part of the text lies at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// The left end.
    Left,
    /// The middle.
    Middle,
    /// The right end.
    Right,
}

/// Words that are ready to be painted.
#[derive(Debug)]
pub struct Text {
    layout: pango::Layout,
    size: f64,
}

impl Text {
    /// Words of this size in pixels.
    pub fn new(cr: &Context, words: &str, size: f64, bold: bool) -> Self {
        let layout = pangocairo::functions::create_layout(cr);
        let mut font = pango::FontDescription::new();
        font.set_family("Sans");
        font.set_weight(if bold { pango::Weight::Bold } else { pango::Weight::Normal });
        font.set_absolute_size(size * f64::from(pango::SCALE));
        layout.set_font_description(Some(&font));
        layout.set_text(words);
        Self { layout, size }
    }

    /// The same, broken into lines at most this wide.
    #[must_use]
    pub fn within(self, width: f64) -> Self {
        self.layout.set_width((width.max(1.0) * f64::from(pango::SCALE)) as i32);
        self.layout.set_wrap(pango::WrapMode::WordChar);
        self
    }

    /// Its lines stand in the middle of each other.
    #[must_use]
    pub fn centred(self) -> Self {
        self.layout.set_alignment(pango::Alignment::Center);
        self
    }

    /// Width and height in pixels.
    pub fn extent(&self) -> (f64, f64) {
        let (w, h) = self.layout.size();
        (f64::from(w) / f64::from(pango::SCALE), f64::from(h) / f64::from(pango::SCALE))
    }

    /// Paints it in the source that is set, its top at `y`.
    pub fn paint(&self, cr: &Context, (x, y): (f64, f64), align: Align) {
        let width = self.extent().0;
        let left = match align {
            Align::Left => x,
            Align::Middle => x - width / 2.0,
            Align::Right => x - width,
        };
        cr.move_to(left, y);
        pangocairo::functions::show_layout(cr, &self.layout);
        cr.new_path();
    }

    /// Paints a border of this colour around each letter, to be painted over by [`Self::paint`] aligned left.
    ///
    /// # Errors
    /// When cairo refuses.
    pub fn halo(&self, cr: &Context, (x, y): (f64, f64), [r, g, b, a]: [f64; 4]) -> Result<(), PaintError> {
        cr.save()?;
        cr.new_path();
        cr.move_to(x, y);
        pangocairo::functions::layout_path(cr, &self.layout);
        cr.set_source_rgba(r, g, b, a);
        cr.set_line_join(cairo::LineJoin::Round);
        cr.set_dash(&[], 0.0);
        cr.set_line_width(self.size * 0.22);
        cr.stroke()?;
        Ok(cr.restore()?)
    }
}
