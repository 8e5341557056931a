//! The voice of a whole talk, from its first piece to its last.

use std::collections::BTreeMap;
use std::path::PathBuf;

use super::error::VoiceError;
use super::wav::{VoiceFile, sample_at};
use crate::lesson::talk::Talk;
use crate::time::MatchTime;

/// How many samples it takes to come and to go at a cut: 5 ms, so that none clicks.
const FADE: u64 = 240;

/// A piece on the clock of the talk, in samples.
#[derive(Debug, Clone, Copy)]
struct Placed {
    take: usize,
    /// The take's sample with which it begins.
    from: u64,
    starts: u64,
    ends: u64,
}

/// Reads the voice of a talk.
#[derive(Debug)]
pub struct Voice {
    /// Where each take's voice lies; none where it is away.
    paths: Vec<Option<PathBuf>>,
    pieces: Vec<Placed>,
    open: Option<(usize, VoiceFile)>,
    at: u64,
}

impl Voice {
    /// The voice of a talk. `files` are the paths of its voice files, by the names that the talk has for them; a voice that is not
    /// among them is silent.
    pub fn of(talk: &Talk, files: &BTreeMap<String, PathBuf>) -> Self {
        let mut time = MatchTime::ZERO;
        let mut pieces = Vec::new();
        for piece in &talk.pieces {
            let starts = sample_at(time);
            time = time.later(piece.to - piece.from);
            let (take, from, ends) = (piece.take, sample_at(piece.from), sample_at(time));
            pieces.push(Placed { take, from, starts, ends });
        }
        let paths = talk.takes.iter().map(|take| files.get(&take.voice.file).cloned()).collect();
        Self { paths, pieces, open: None, at: 0 }
    }

    /// How many samples it has.
    pub fn samples(&self) -> u64 {
        self.pieces.last().map_or(0, |piece| piece.ends)
    }

    /// The next sample that is read.
    pub const fn at(&self) -> u64 {
        self.at
    }

    /// Goes to a sample.
    pub fn go(&mut self, sample: u64) {
        self.at = sample;
        self.open = None;
    }

    /// The next `count` samples; silence after the end.
    ///
    /// # Errors
    /// [`VoiceError`] when a voice file cannot be read.
    pub fn read(&mut self, count: usize) -> Result<Vec<i16>, VoiceError> {
        let mut out = Vec::with_capacity(count);
        while out.len() < count {
            let n = self.pieces.partition_point(|piece| piece.ends <= self.at);
            let Some(piece) = self.pieces.get(n).copied() else {
                self.at += (count - out.len()) as u64;
                out.resize(count, 0);
                break;
            };
            let left = usize::try_from(piece.ends - self.at).unwrap_or(usize::MAX).min(count - out.len());
            let mut samples = self.of_piece(n, piece, left)?;
            self.fade(piece, &mut samples);
            self.at += left as u64;
            out.append(&mut samples);
        }
        Ok(out)
    }

    fn of_piece(&mut self, n: usize, piece: Placed, count: usize) -> Result<Vec<i16>, VoiceError> {
        let Some(Some(path)) = self.paths.get(piece.take) else { return Ok(vec![0; count]) };
        if self.open.as_ref().is_none_or(|(open, _)| *open != n) {
            let mut file = VoiceFile::open(path)?;
            file.go(piece.from + (self.at - piece.starts))?;
            self.open = Some((n, file));
        }
        match &mut self.open {
            Some((_, file)) => file.read(count),
            None => Ok(vec![0; count]),
        }
    }

    /// Softer at the ends of a piece.
    fn fade(&self, piece: Placed, samples: &mut [i16]) {
        for (n, sample) in samples.iter_mut().enumerate() {
            let at = self.at + n as u64;
            let edge = (at - piece.starts).min(piece.ends - 1 - at);
            if edge < FADE {
                *sample = (i64::from(*sample) * edge as i64 / FADE as i64) as i16;
            }
        }
    }
}
