//! WAV: RIFF WAVE with 16-bit PCM, by the multimedia data standards of IBM and Microsoft, 1991 (from memory; the tests ask ffprobe
//! and GStreamer).

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use super::error::VoiceError;
use crate::lesson::Footage;
use crate::record::printable;
use crate::time::MatchTime;

/// Samples a second of every voice.
pub const VOICE_RATE: u32 = 48_000;
/// Bytes before the first sample.
pub(super) const HEAD: u64 = 44;
/// Bytes of a sample.
pub(super) const WIDE: u64 = 2;

/// When a sample is heard: the nanosecond nearest to it.
pub fn time_of(sample: u64) -> MatchTime {
    let (x, rate) = (u128::from(sample) * 1_000_000_000, u128::from(VOICE_RATE));
    MatchTime::from_nanos(u64::try_from((x + rate / 2) / rate).unwrap_or(u64::MAX))
}

/// The sample nearest to a time.
pub fn sample_at(time: MatchTime) -> u64 {
    let x = u128::from(time.nanos()) * u128::from(VOICE_RATE) + 500_000_000;
    u64::try_from(x / 1_000_000_000).unwrap_or(u64::MAX)
}

/// The header of a voice of so many samples.
pub(super) fn head(samples: u64) -> [u8; HEAD as usize] {
    let bytes = u32::try_from(samples * WIDE).unwrap_or(u32::MAX - HEAD as u32);
    let mut out = [0; HEAD as usize];
    out[..4].copy_from_slice(b"RIFF");
    out[4..8].copy_from_slice(&(bytes + HEAD as u32 - 8).to_le_bytes());
    out[8..16].copy_from_slice(b"WAVEfmt ");
    out[16..20].copy_from_slice(&16u32.to_le_bytes());
    out[20..22].copy_from_slice(&1u16.to_le_bytes());
    out[22..24].copy_from_slice(&1u16.to_le_bytes());
    out[24..28].copy_from_slice(&VOICE_RATE.to_le_bytes());
    out[28..32].copy_from_slice(&(VOICE_RATE * WIDE as u32).to_le_bytes());
    out[32..34].copy_from_slice(&(WIDE as u16).to_le_bytes());
    out[34..36].copy_from_slice(&16u16.to_le_bytes());
    out[36..40].copy_from_slice(b"data");
    out[40..44].copy_from_slice(&bytes.to_le_bytes());
    out
}

/// A voice that is read.
#[derive(Debug)]
pub struct VoiceFile {
    path: PathBuf,
    file: File,
    /// Where the samples begin.
    data: u64,
    samples: u64,
    at: u64,
}

impl VoiceFile {
    /// Opens a voice.
    ///
    /// # Errors
    /// [`VoiceError`] when it cannot be read, or is no voice of a talk.
    pub fn open(path: &Path) -> Result<Self, VoiceError> {
        let mut file = File::open(path).map_err(VoiceError::read(path))?;
        let meta = file.metadata().map_err(VoiceError::read(path))?;
        let no = |found| VoiceError::NoVoice { path: path.to_owned(), found };
        if !meta.is_file() {
            return Err(no("it is no regular file"));
        }
        let mut head = [0; 12];
        file.read_exact(&mut head).map_err(|_| no("it is too short"))?;
        if &head[..4] != b"RIFF" || &head[8..] != b"WAVE" {
            return Err(no("it is no WAV file"));
        }
        let (mut at, mut fits) = (12u64, false);
        // Other programs put their own chunks before the samples.
        for _ in 0..64 {
            let mut chunk = [0; 8];
            file.read_exact(&mut chunk).map_err(|_| no("it has no samples"))?;
            let size = u64::from(u32::from_le_bytes([chunk[4], chunk[5], chunk[6], chunk[7]]));
            at += 8;
            match &chunk[..4] {
                b"data" if !fits => return Err(no("it has another form")),
                b"data" => {
                    let samples = size.min(meta.len().saturating_sub(at)) / WIDE;
                    return Ok(Self { path: path.to_owned(), file, data: at, samples, at: 0 });
                }
                b"fmt " if size >= 16 => {
                    let mut format = [0; 16];
                    file.read_exact(&mut format).map_err(|_| no("it is too short"))?;
                    let ours = head_of_format();
                    fits = format == ours;
                }
                _ => {}
            }
            at += size + size % 2;
            file.seek(SeekFrom::Start(at)).map_err(VoiceError::read(path))?;
        }
        Err(no("it has no samples"))
    }

    /// How many samples it has.
    pub const fn samples(&self) -> u64 {
        self.samples
    }

    /// Goes to a sample.
    ///
    /// # Errors
    /// [`VoiceError::Read`].
    pub fn go(&mut self, sample: u64) -> Result<(), VoiceError> {
        let to = self.data + sample.min(self.samples) * WIDE;
        self.file.seek(SeekFrom::Start(to)).map_err(VoiceError::read(&self.path))?;
        self.at = sample;
        Ok(())
    }

    /// The next `count` samples; silence after the end.
    ///
    /// # Errors
    /// [`VoiceError::Read`].
    pub fn read(&mut self, count: usize) -> Result<Vec<i16>, VoiceError> {
        let there = usize::try_from(self.samples.saturating_sub(self.at)).unwrap_or(usize::MAX).min(count);
        let mut bytes = vec![0; there * WIDE as usize];
        self.file.read_exact(&mut bytes).map_err(VoiceError::read(&self.path))?;
        self.at += count as u64;
        let mut out: Vec<i16> = bytes.chunks_exact(2).map(|b| i16::from_le_bytes([b[0], b[1]])).collect();
        out.resize(count, 0);
        Ok(out)
    }
}

/// The first 16 bytes of the format of every voice.
fn head_of_format() -> [u8; 16] {
    let mut out = [0; 16];
    out.copy_from_slice(&head(0)[20..36]);
    out
}

/// Says of a voice whether it ends before the lesson's does.
pub fn too_short(voice: &Footage, file: &VoiceFile) -> Option<String> {
    let (has, wanted) = (time_of(file.samples()), voice.duration);
    let named = printable(&voice.file, 120);
    (has < wanted)
        .then(|| format!("the voice \"{named}\" lasts {has}, but {wanted} in the lesson; the rest is silent"))
}
