//! The coach's voice in the reel of a talk.

use super::error::ReelError;
use super::loud::{Meter, gain};
use super::plan::Plan;
use crate::lesson::Lesson;
use crate::lesson::talk::Talk;
use crate::video::VoiceFilter;
use crate::voice::{VOICE_RATE, Voice};

/// Gives the voice of a talk, filtered as the talk says, at an even loudness.
pub(super) struct Spoken {
    talk: Talk,
    voice: Voice,
    filter: Option<VoiceFilter>,
    gain: f32,
}

impl Spoken {
    /// The voice, if a plan is of a talk.
    ///
    /// # Errors
    /// [`ReelError`] when the filters are not installed.
    pub(super) fn of(lesson: &Lesson, plan: &Plan) -> Result<Option<Self>, ReelError> {
        let Some((talk, voices)) = lesson.talk.as_deref().zip(plan.voices.as_ref()) else { return Ok(None) };
        let filter = VoiceFilter::new(talk.gain, talk.gate)?;
        let voice = Voice::of(talk, voices);
        Ok(Some(Self { talk: talk.clone(), voice, filter, gain: 1.0 }))
    }

    /// Listens to all of it, so that it becomes as loud as footage. `watch` says whether to go on.
    ///
    /// # Errors
    /// [`ReelError`] when it cannot be read, or it is stopped.
    pub(super) fn level(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), ReelError> {
        let failed =
            |e: ebur128::Error| ReelError::Loudness { file: "the voice".into(), reason: e.to_string() };
        let mut meter = Meter::new().map_err(failed)?;
        let all = self.voice.samples();
        let mut done = 0;
        while done < all {
            let count = (all - done).min(u64::from(VOICE_RATE) / 2);
            let samples = self.read(count as usize)?;
            let pairs: Vec<f32> = samples.into_iter().flat_map(|s| [s, s]).collect();
            meter.hear(&pairs).map_err(failed)?;
            done += count;
            if !watch(done as f64 / all as f64) {
                return Err(ReelError::Stopped);
            }
        }
        self.gain = gain(meter.loudness());
        // From its beginning again.
        self.voice.go(0);
        self.filter = VoiceFilter::new(self.talk.gain, self.talk.gate)?;
        Ok(())
    }

    fn read(&mut self, count: usize) -> Result<Vec<f32>, ReelError> {
        let voice = &mut self.voice;
        let samples = match &mut self.filter {
            Some(filter) => filter.read(count, &mut |n| Ok::<_, ReelError>(voice.read(n)?))?,
            None => voice.read(count)?,
        };
        Ok(samples.into_iter().map(|s| f32::from(s) / 32_768.0).collect())
    }

    /// Lays the next `count` samples over pairs of samples.
    ///
    /// # Errors
    /// [`ReelError`] when it cannot be read.
    pub(super) fn over(&mut self, pairs: &mut [f32], count: usize) -> Result<(), ReelError> {
        let samples = self.read(count)?;
        for (pair, sample) in pairs.chunks_exact_mut(2).zip(samples) {
            for s in pair {
                *s += sample * self.gain;
            }
        }
        Ok(())
    }
}
