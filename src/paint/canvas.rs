//! What is painted on: pixels in memory, SVG and PDF.

use cairo::{Context, Format, ImageSurface};

use super::error::PaintError;
use crate::measure::Size;

/// cairo's limit for a side.
const MOST: u32 = 32_767;

/// A picture in memory: rows of blue, green, red and a fourth byte, without gaps between rows.
#[derive(Debug)]
pub struct Canvas {
    surface: ImageSurface,
    size: Size,
}

impl Canvas {
    /// A picture that is transparent everywhere; the fourth byte is alpha, the others are premultiplied by it.
    ///
    /// # Errors
    /// When there is no picture of this size.
    pub fn clear(size: Size) -> Result<Self, PaintError> {
        Self::new(Format::ARgb32, size)
    }

    /// An opaque picture, black at first.
    ///
    /// # Errors
    /// When there is no picture of this size.
    pub fn opaque(size: Size) -> Result<Self, PaintError> {
        Self::new(Format::Rgb24, size)
    }

    fn new(format: Format, size: Size) -> Result<Self, PaintError> {
        let Size { width, height } = size;
        if ![width, height].iter().all(|side| (1..=MOST).contains(side)) {
            return Err(PaintError::Size { width, height });
        }
        let surface = ImageSurface::create(format, width as i32, height as i32)?;
        Ok(Self { surface, size })
    }

    /// An opaque picture of `size` that shows a frame: rows of blue, green, red and any fourth byte, `stride` bytes apart. Where
    /// the frame has another size (its pixels are not square), it is stretched.
    ///
    /// # Errors
    /// When the frame has fewer pixels than its size says.
    pub fn over(frame: &[u8], stride: usize, frame_size: Size, size: Size) -> Result<Self, PaintError> {
        let whole = Self::opaque(frame_size)?.copied(frame, stride)?;
        if frame_size == size {
            return Ok(whole);
        }
        let mut stretched = Self::opaque(size)?;
        stretched.paint(|cr| {
            let by = |to: u32, from: u32| f64::from(to) / f64::from(from);
            cr.scale(by(size.width, frame_size.width), by(size.height, frame_size.height));
            cr.set_source_surface(&whole.surface, 0.0, 0.0)?;
            cr.source().set_extend(cairo::Extend::Pad);
            Ok(cr.paint()?)
        })?;
        Ok(stretched)
    }

    fn copied(mut self, frame: &[u8], stride: usize) -> Result<Self, PaintError> {
        let Size { width, height } = self.size;
        let (row, rows) = (width as usize * 4, height as usize);
        let own = self.surface.stride() as usize;
        if stride < row || frame.len() < stride * (rows - 1) + row {
            return Err(PaintError::TooFew { width, height, found: frame.len() });
        }
        let mut data = self.surface.data()?;
        for (to, from) in data.chunks_mut(own).zip(frame.chunks(stride)) {
            to[..row].copy_from_slice(&from[..row]);
        }
        drop(data);
        Ok(self)
    }

    /// How large it is.
    pub fn size(&self) -> Size {
        self.size
    }

    /// Paints on it.
    ///
    /// # Errors
    /// What `paint` says.
    pub fn paint(
        &mut self,
        paint: impl FnOnce(&Context) -> Result<(), PaintError>,
    ) -> Result<(), PaintError> {
        let cr = Context::new(&self.surface)?;
        paint(&cr)?;
        drop(cr);
        self.surface.flush();
        Ok(())
    }

    /// Puts it on another surface, its left upper corner at a place, this wide, and as high as that makes it.
    ///
    /// # Errors
    /// When cairo refuses.
    pub fn onto(&self, cr: &Context, (x, y): (f64, f64), width: f64) -> Result<(), PaintError> {
        cr.save()?;
        cr.translate(x, y);
        let by = width / f64::from(self.size.width);
        cr.scale(by, by);
        cr.set_source_surface(&self.surface, 0.0, 0.0)?;
        cr.paint()?;
        Ok(cr.restore()?)
    }

    /// Its pixels, without gaps between rows.
    ///
    /// # Errors
    /// When somebody holds the picture.
    pub fn pixels(mut self) -> Result<Vec<u8>, PaintError> {
        let (row, own) = (self.size.width as usize * 4, self.surface.stride() as usize);
        let data = self.surface.data()?;
        if row == own {
            return Ok(data.to_vec());
        }
        Ok(data.chunks(own).flat_map(|line| line[..row].to_vec()).collect())
    }

    /// It as a PNG file.
    ///
    /// # Errors
    /// When the library refuses.
    pub fn png(&self) -> Result<Vec<u8>, PaintError> {
        let mut bytes = Vec::new();
        self.surface.write_to_png(&mut bytes)?;
        Ok(bytes)
    }
}

/// A form of picture that can be enlarged without loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Vector {
    /// For pages and for editing.
    Svg,
    /// For print.
    Pdf,
}

/// Paints on a page of this size and gives the file's bytes. The unit is a pixel in SVG and a point in PDF.
///
/// # Errors
/// What `paint` says.
pub fn vector(
    form: Vector,
    size: Size,
    paint: impl FnOnce(&Context) -> Result<(), PaintError>,
) -> Result<Vec<u8>, PaintError> {
    let (width, height) = (f64::from(size.width), f64::from(size.height));
    let stream = match form {
        Vector::Svg => {
            let mut surface = cairo::SvgSurface::for_stream(width, height, Vec::new())?;
            surface.set_document_unit(cairo::SvgUnit::Px);
            paint(&Context::new(&surface)?)?;
            surface.finish_output_stream()
        }
        Vector::Pdf => {
            let surface = cairo::PdfSurface::for_stream(width, height, Vec::new())?;
            paint(&Context::new(&surface)?)?;
            surface.finish_output_stream()
        }
    };
    let stream = stream.map_err(|e| PaintError::Stream(std::io::Error::other(e.error.to_string())))?;
    let bytes = stream.downcast::<Vec<u8>>().map_err(|_| cairo::Error::WriteError)?;
    Ok(*bytes)
}
