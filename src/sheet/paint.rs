//! A sheet as PDF: one page of A4, the findings below each other.

use std::fmt::Write;

use cairo::Context;

use super::content::{Court, Finding, Moment, Sheet, corners};
use crate::drawing::{Units, View};
use crate::measure::{Pixel, Size};
use crate::paint::{Align, Canvas, PaintError, Text, Vector, drawings, vector};
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, HALF_SINGLES, SERVICE_LINE};

/// The pictures of a finding's clips; nothing where a clip could not be read.
pub type Still = Option<Canvas>;

/// A4 in points, and its margin.
const PAGE: Size = Size { width: 595, height: 842 };
const MARGIN: f64 = 40.0;
const INK: [f64; 3] = [0.125, 0.145, 0.165];
const FAINT: [f64; 3] = [0.365, 0.384, 0.408];
const LINE: [f64; 3] = [0.851, 0.835, 0.784];
const MARK: [f64; 3] = [0.949, 0.812, 0.271];
const COURT: [f64; 3] = [0.239, 0.408, 0.576];
/// The columns of a finding: the court, and the stills.
const COURT_WIDTH: f64 = 92.0;
const STILL_WIDTH: f64 = 138.0;
const GAP: f64 = 14.0;
/// How high the head, the coach's lines and the foot are.
const HEAD: f64 = 62.0;
const HAND: f64 = 128.0;
const FOOT: f64 = 34.0;

/// The sheet on one page. `stills` are the pictures of each finding, at most two of which are shown.
///
/// # Errors
/// When cairo refuses.
pub fn pdf(sheet: &Sheet, stills: &[Vec<Still>]) -> Result<Vec<u8>, PaintError> {
    vector(Vector::Pdf, PAGE, |cr| {
        let width = f64::from(PAGE.width) - 2.0 * MARGIN;
        head(cr, sheet, width);
        let bottom = f64::from(PAGE.height) - MARGIN - FOOT - HAND;
        let each = (bottom - MARGIN - HEAD) / 3.0;
        for (n, finding) in sheet.findings.iter().enumerate() {
            let top = MARGIN + HEAD + each * n as f64;
            let seen = stills.get(n).map(Vec::as_slice).unwrap_or_default();
            Block { cr, top, width, height: each - GAP }.paint(n + 1, finding, seen)?;
        }
        hand(cr, bottom, width)?;
        foot(cr, width);
        Ok(())
    })
}

fn ink(cr: &Context, [r, g, b]: [f64; 3]) {
    cr.set_source_rgb(r, g, b);
}

/// Paints words within a width and a height, the last line cut by dots where they are too long; how high they are.
fn words(cr: &Context, text: &str, size: f64, bold: bool, place: (f64, f64), room: (f64, f64)) -> f64 {
    let fits = |n: usize| {
        let cut = n < text.chars().count();
        let mut part: String = text.chars().take(n).collect();
        if cut {
            part.truncate(part.trim_end().len());
            part.push('…');
        }
        Text::new(cr, &part, size, bold).within(room.0)
    };
    // Far more than a page holds need not be measured.
    let (mut least, mut most) = (0, text.chars().count().min(4_000));
    if fits(most).extent().1 > room.1 {
        while least + 1 < most {
            let middle = usize::midpoint(least, most);
            if fits(middle).extent().1 > room.1 { most = middle } else { least = middle }
        }
        most = least;
    }
    let text = fits(most);
    let height = text.extent().1;
    if height <= room.1 {
        text.paint(cr, place, Align::Left);
    }
    height.min(room.1)
}

fn head(cr: &Context, sheet: &Sheet, width: f64) {
    ink(cr, INK);
    let high = words(cr, &sheet.title, 19.0, true, (MARGIN, MARGIN - 6.0), (width, 26.0));
    ink(cr, FAINT);
    words(cr, &sheet.about, 9.5, false, (MARGIN, MARGIN - 3.0 + high), (width, 26.0));
}

/// The place of one finding.
struct Block<'a> {
    cr: &'a Context,
    top: f64,
    width: f64,
    height: f64,
}

impl Block<'_> {
    fn paint(&self, number: usize, finding: &Finding, stills: &[Still]) -> Result<(), PaintError> {
        let cr = self.cr;
        rule(cr, self.top - 8.0, self.width)?;
        let seen: Vec<&Canvas> = stills.iter().flatten().take(2).collect();
        let right = MARGIN + self.width - if seen.is_empty() { 0.0 } else { STILL_WIDTH };
        let mut left = MARGIN;
        if let Some(court) = &finding.court {
            self.court(court)?;
            left += COURT_WIDTH + GAP;
        }
        self.told(number, finding, left, right - left - if seen.is_empty() { 0.0 } else { GAP });
        let mut top = self.top;
        for still in seen {
            let high = STILL_WIDTH * f64::from(still.size().height) / f64::from(still.size().width.max(1));
            if top + high <= self.top + self.height {
                still.onto(cr, (right, top), STILL_WIDTH)?;
                top += high + 6.0;
            }
        }
        Ok(())
    }

    /// Its words, numbers, and clip times.
    fn told(&self, number: usize, finding: &Finding, left: f64, width: f64) {
        let cr = self.cr;
        ink(cr, MARK);
        cr.rectangle(left, self.top + 1.0, 16.0, 16.0);
        let _ = cr.fill();
        ink(cr, INK);
        Text::new(cr, &number.to_string(), 11.0, true).paint(cr, (left + 8.0, self.top + 2.0), Align::Middle);
        let times = times(finding);
        let end = self.top + self.height - if times.is_empty() { 0.0 } else { 26.0 };
        let mut y = self.top;
        // A long sentence is set smaller, so that all of it is there.
        let size = if finding.words.chars().count() > 110 { 10.0 } else { 12.0 };
        y += words(cr, &finding.words, size, true, (left + 22.0, y), (width - 22.0, (end - y) * 0.7)) + 4.0;
        for more in &finding.more {
            if end - y > 12.0 {
                y += words(cr, more, 9.0, false, (left, y), (width, end - y)) + 2.0;
            }
        }
        if !times.is_empty() {
            ink(cr, FAINT);
            words(cr, &times, 8.0, false, (left, end + 3.0), (width, 23.0));
        }
    }

    fn court(&self, court: &Court) -> Result<(), PaintError> {
        match court {
            Court::Cells { shot, cells } => self.cells(shot, cells),
            Court::Drawn(drawn) => {
                let metre = (self.height / (HALF_LENGTH.0 * 2.0 + 3.0))
                    .min(COURT_WIDTH / (HALF_DOUBLES.0 * 2.0 + 1.0));
                let size = Size::new(COURT_WIDTH as u32, self.height as u32);
                let middle = Pixel::new(COURT_WIDTH / 2.0, self.height / 2.0);
                self.cr.save()?;
                self.cr.translate(MARGIN, self.top);
                whole(self.cr, middle, metre)?;
                drawings(self.cr, drawn, &View::above(middle, metre, size), Units::Metres)?;
                Ok(self.cr.restore()?)
            }
        }
    }

    /// The half court in which shots landed, each part with how many of how many were won.
    fn cells(
        &self,
        shot: &str,
        cells: &[(crate::summary::study::Place, usize, usize)],
    ) -> Result<(), PaintError> {
        let cr = self.cr;
        let width = COURT_WIDTH;
        let height = (width * HALF_LENGTH.0 / (HALF_SINGLES.0 * 2.0)).min(self.height - 24.0);
        let most = cells.iter().map(|c| c.2).max().unwrap_or(1).max(1);
        for (place, won, all) in cells {
            let (l, t, r, b) = corners(*place);
            let (x, y) = (MARGIN + l * width, self.top + (1.0 - t) * height);
            let (w, h) = ((r - l) * width, (t - b) * height);
            let [red, green, blue] = COURT;
            cr.set_source_rgba(red, green, blue, 0.08 + 0.55 * *all as f64 / most as f64);
            cr.rectangle(x, y, w, h);
            cr.fill()?;
            ink(cr, [1.0; 3]);
            cr.set_line_width(0.8);
            cr.rectangle(x, y, w, h);
            cr.stroke()?;
            if *all > 0 {
                ink(cr, INK);
                let size = if w < 20.0 { 6.0 } else { 9.0 };
                let said = Text::new(cr, &format!("{won}/{all}"), size, true);
                said.paint(cr, (x + w / 2.0, y + h / 2.0 - size * 0.75), Align::Middle);
            }
        }
        ink(cr, INK);
        cr.set_line_width(1.2);
        cr.rectangle(MARGIN, self.top, width, height);
        cr.stroke()?;
        let service = self.top + height * (1.0 - SERVICE_LINE.0 / HALF_LENGTH.0);
        for (from, to) in
            [((0.0, service), (width, service)), ((width / 2.0, service), (width / 2.0, self.top + height))]
        {
            cr.move_to(MARGIN + from.0, from.1);
            cr.line_to(MARGIN + to.0, to.1);
            cr.stroke()?;
        }
        ink(cr, FAINT);
        let said = format!("{shot}, won of all; net below");
        words(cr, &said, 7.5, false, (MARGIN, self.top + height + 2.0), (width, 22.0));
        Ok(())
    }
}

/// All lines of a court seen from above.
fn whole(cr: &Context, middle: Pixel, metre: f64) -> Result<(), PaintError> {
    let at = |x: f64, y: f64| (middle.x + x * metre, middle.y - y * metre);
    let (doubles, singles) = (HALF_DOUBLES.0, HALF_SINGLES.0);
    let (base, service) = (HALF_LENGTH.0, SERVICE_LINE.0);
    let (x, y) = at(-doubles, base);
    ink(cr, COURT);
    cr.rectangle(x, y, doubles * 2.0 * metre, base * 2.0 * metre);
    cr.fill()?;
    ink(cr, [1.0; 3]);
    cr.set_line_width(0.8);
    let line = |a: (f64, f64), b: (f64, f64)| {
        let (a, b) = (at(a.0, a.1), at(b.0, b.1));
        cr.move_to(a.0, a.1);
        cr.line_to(b.0, b.1);
        cr.stroke()
    };
    for side in [-1.0, 1.0] {
        line((-doubles, base * side), (doubles, base * side))?;
        line((doubles * side, -base), (doubles * side, base))?;
        line((singles * side, -base), (singles * side, base))?;
        line((-singles, service * side), (singles, service * side))?;
    }
    line((0.0, -service), (0.0, service))?;
    line((-doubles - 0.9, 0.0), (doubles + 0.9, 0.0))?;
    Ok(())
}

/// `Clips: holt.mp4 0:12:03, 0:14:22 and 3 more`.
fn times(finding: &Finding) -> String {
    let mut out = String::new();
    let mut file: Option<&str> = None;
    for Moment { file: own, at, .. } in &finding.moments {
        let new = file != Some(own.as_str());
        out.push_str(if out.is_empty() {
            "Clips: "
        } else if new {
            "; "
        } else {
            ", "
        });
        if new {
            out.push_str(own);
            out.push(' ');
            file = Some(own);
        }
        out.push_str(&at.short());
    }
    if finding.further > 0 {
        // Writing to a text cannot fail.
        let _ = write!(out, " and {} more", finding.further);
    }
    out
}

fn rule(cr: &Context, y: f64, width: f64) -> Result<(), PaintError> {
    ink(cr, LINE);
    cr.set_line_width(0.8);
    cr.move_to(MARGIN, y);
    cr.line_to(MARGIN + width, y);
    Ok(cr.stroke()?)
}

/// Lines for the coach to write on.
fn hand(cr: &Context, top: f64, width: f64) -> Result<(), PaintError> {
    rule(cr, top - 8.0, width)?;
    ink(cr, FAINT);
    words(cr, "What we do with it (coach and player):", 9.0, false, (MARGIN, top), (width, 14.0));
    for n in 1..=4 {
        rule(cr, top + 10.0 + 26.0 * f64::from(n), width)?;
    }
    Ok(())
}

fn foot(cr: &Context, width: f64) {
    ink(cr, FAINT);
    let said = "How much to train, and anything that hurts, is for the coach in person and for a doctor. This sheet shows people, \
                perhaps minors: show it only to those who agreed.";
    words(cr, said, 8.0, false, (MARGIN, f64::from(PAGE.height) - MARGIN - FOOT + 12.0), (width, 24.0));
}
