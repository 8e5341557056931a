//! The picture of a reel as it is composed, frame by frame.

use cairo::{Context, Format, ImageSurface};

use super::error::ReelError;
use super::look::{Area, card, layers};
use super::track::Freezing;
use super::words::Layer;
use crate::drawing::{Drawing, Units, View};
use crate::lesson::{Clip, Lesson, Part};
use crate::measure::{Camera, Size};
use crate::paint;
use crate::video::Frame;

/// A frame of a clip as it is shown at one moment of a reel.
#[derive(Debug, Clone)]
pub(super) struct Seen<'a> {
    pub frame: Frame,
    pub freeze: Option<Freezing>,
    pub clip: &'a Clip,
    /// What a talk draws over it.
    pub drawn: Vec<Drawing>,
    /// The camera that took it, if it is known.
    pub camera: Option<Camera>,
}

impl Seen<'_> {
    /// What is drawn over it: the clip's drawings of that moment, and those of the freeze.
    fn drawings(&self) -> Vec<&Drawing> {
        let at = self.frame.time;
        let mut seen: Vec<&Drawing> = self.clip.drawings.iter().filter(|d| d.seen_at(at)).collect();
        if let Some(freezing) = self.freeze
            && let Some(freeze) = self.clip.freezes.get(freezing.number)
        {
            seen.extend(freeze.drawings.iter().filter(|d| d.seen_at(freezing.since)));
        }
        seen.extend(&self.drawn);
        seen
    }

    /// What tells its picture from others of the same clip.
    fn key(&self) -> Key {
        let drawn = |f: Freezing| {
            let all = self.clip.freezes.get(f.number).map(|freeze| &freeze.drawings);
            let seen = all.into_iter().flatten().map(|d| d.seen_at(f.since)).collect();
            (f.number, seen)
        };
        (self.frame.index, self.freeze.map(drawn), self.drawn.clone())
    }
}

/// A frame; in a freeze which one it is and which of its drawings are seen; and what a talk draws.
type Key = (usize, Option<(usize, Vec<bool>)>, Vec<Drawing>);

/// Composes pictures of one size.
pub(super) struct Screen {
    size: (u32, u32),
    canvas: ImageSurface,
    layers: Vec<Layer>,
    /// What the canvas shows now; empty after a change of scene.
    shown: Vec<Key>,
    still: bool,
}

impl Screen {
    pub(super) fn new(size: (u32, u32)) -> Result<Self, ReelError> {
        let canvas = ImageSurface::create(Format::Rgb24, size.0 as i32, size.1 as i32)?;
        Ok(Self { size, canvas, layers: Vec::new(), shown: Vec::new(), still: false })
    }

    /// Another part begins.
    pub(super) fn begin(&mut self, part: Option<&Part>) -> Result<(), ReelError> {
        self.layers = part.map_or_else(|| Ok(Vec::new()), |part| layers(part, self.size))?;
        self.shown.clear();
        self.still = false;
        Ok(())
    }

    /// The picture of a part that does not move.
    pub(super) fn card(&mut self, lesson: &Lesson, part: Option<&Part>) -> Result<Vec<u8>, ReelError> {
        if !self.still {
            let cr = Context::new(&self.canvas)?;
            card(&cr, lesson, part, self.size)?;
            for layer in &self.layers {
                layer.paint(&cr)?;
            }
            self.still = true;
        }
        self.pixels()
    }

    /// The picture of one clip, or of two side by side.
    pub(super) fn picture(&mut self, seen: &[Seen<'_>]) -> Result<Vec<u8>, ReelError> {
        let shows: Vec<Key> = seen.iter().map(Seen::key).collect();
        if shows != self.shown {
            self.compose(seen)?;
            self.shown = shows;
        }
        self.pixels()
    }

    fn compose(&mut self, seen: &[Seen<'_>]) -> Result<(), ReelError> {
        let whole = Area::whole(self.size);
        let areas = if seen.len() == 1 { vec![whole] } else { whole.halves().to_vec() };
        let placed: Vec<(&Seen<'_>, Area)> =
            seen.iter().zip(areas).map(|(s, area)| (s, area.fitting(s.frame.display_size()))).collect();
        let fits =
            |s: &Seen<'_>| (s.frame.width, s.frame.height) == self.size && s.frame.par.0 == s.frame.par.1;
        if let [only] = seen
            && fits(only)
        {
            copy(&only.frame, &mut self.canvas)?;
            self.canvas.mark_dirty();
        } else {
            let cr = Context::new(&self.canvas)?;
            cr.set_source_rgb(0.0, 0.0, 0.0);
            cr.paint()?;
            for (seen, area) in &placed {
                scaled(&cr, &seen.frame, *area)?;
            }
        }
        let cr = Context::new(&self.canvas)?;
        for (seen, area) in placed {
            drawn(&cr, &seen.drawings(), seen.camera.as_ref(), area)?;
        }
        for layer in &self.layers {
            layer.paint(&cr)?;
        }
        Ok(())
    }

    fn pixels(&mut self) -> Result<Vec<u8>, ReelError> {
        self.canvas.flush();
        Ok(self.canvas.data()?.to_vec())
    }
}

/// Paints drawings over the picture that lies in an area.
fn drawn(cr: &Context, drawings: &[&Drawing], camera: Option<&Camera>, area: Area) -> Result<(), ReelError> {
    if drawings.is_empty() {
        return Ok(());
    }
    let view = View::of(camera, Size::new(area.width as u32, area.height as u32));
    cr.save()?;
    cr.translate(area.x, area.y);
    paint::drawings(cr, drawings.iter().copied(), &view, Units::Metres)?;
    Ok(cr.restore()?)
}

/// Copies a frame of the canvas's own size.
fn copy(frame: &Frame, canvas: &mut ImageSurface) -> Result<(), ReelError> {
    canvas.flush();
    let (row, own) = (frame.width as usize * 4, canvas.stride() as usize);
    let mut data = canvas.data()?;
    for (to, from) in data.chunks_exact_mut(own).zip(frame.pixels.as_ref().chunks(frame.stride)) {
        let n = row.min(from.len()).min(to.len());
        to[..n].copy_from_slice(&from[..n]);
    }
    Ok(())
}

/// Paints a frame into an area, in whatever size it has.
fn scaled(cr: &Context, frame: &Frame, area: Area) -> Result<(), ReelError> {
    let mut whole = ImageSurface::create(Format::Rgb24, frame.width as i32, frame.height as i32)?;
    copy(frame, &mut whole)?;
    whole.mark_dirty();
    cr.save()?;
    cr.rectangle(area.x, area.y, area.width, area.height);
    cr.clip();
    cr.translate(area.x, area.y);
    cr.scale(area.width / f64::from(frame.width), area.height / f64::from(frame.height));
    cr.set_source_surface(&whole, 0.0, 0.0)?;
    cr.source().set_extend(cairo::Extend::Pad);
    cr.source().set_filter(cairo::Filter::Good);
    cr.paint()?;
    Ok(cr.restore()?)
}
