//! A voice made evenly loud and freed of noise.

use std::collections::VecDeque;

use gst::prelude::*;

use super::base::{failed, init, make};
use super::error::VideoError;
use super::tap::{stop, tap};

/// Samples a second.
const RATE: i32 = 48_000;
/// The filter works on 10 ms at a time.
const BLOCK: usize = 480;
/// How many samples later a sound comes out of the filter: with gain only, and with noise suppression. Measured with clicks, on
/// version 1.22 of the element and 1.3 of its library; a test measures it again.
const DELAY: [usize; 2] = [56, 344];
/// How long the filter may take for a block.
const PATIENCE: gst::ClockTime = gst::ClockTime::from_seconds(10);

/// Makes a voice evenly loud, and noise under and between its words quieter.
///
/// The filters are those of the WebRTC project, which calls use: GStreamer's `webrtcdsp`, from the "bad" set of plug-ins, which
/// Debian has. GStreamer's own `audiodynamic` looks at each sample by itself; as a gate it would distort quiet sounds.
#[derive(Debug)]
pub struct VoiceFilter {
    pipeline: gst::Pipeline,
    source: gst_app::AppSrc,
    sink: gst_app::AppSink,
    ready: VecDeque<i16>,
    /// Samples that are still to be left out at the beginning, because the filter holds them back.
    early: usize,
}

impl VoiceFilter {
    /// Whether the filters are installed.
    pub fn is_there() -> bool {
        init().is_ok() && gst::ElementFactory::find("webrtcdsp").is_some()
    }

    /// A filter for one voice from its beginning to its end; `None` if neither is wanted.
    ///
    /// # Errors
    /// [`VideoError::MissingElement`] when the filters are not installed.
    pub fn new(gain: bool, gate: bool) -> Result<Option<Self>, VideoError> {
        if !gain && !gate {
            return Ok(None);
        }
        init()?;
        let dsp = make("webrtcdsp")?;
        dsp.set_property("echo-cancel", false);
        dsp.set_property("gain-control", gain);
        dsp.set_property("noise-suppression", gate);
        dsp.set_property_from_str("noise-suppression-level", "high");
        let caps = gst::Caps::builder("audio/x-raw")
            .field("format", "S16LE")
            .field("layout", "interleaved")
            .field("channels", 1)
            .field("rate", RATE)
            .build();
        let source = gst_app::AppSrc::builder().caps(&caps).format(gst::Format::Time).build();
        let sink = tap().async_(false).build();
        let pipeline = gst::Pipeline::new();
        let chain = [source.upcast_ref(), &dsp, sink.upcast_ref()];
        pipeline
            .add_many(chain)
            .and_then(|()| gst::Element::link_many(chain))
            .map_err(|e| failed("building the voice's filter", &e))?;
        pipeline.set_state(gst::State::Playing).map_err(|e| failed("starting the voice's filter", &e))?;
        let early = DELAY[usize::from(gate)];
        Ok(Some(Self { pipeline, source, sink, ready: VecDeque::new(), early }))
    }

    /// The next `count` samples, of what `voice` gives, each at its own place.
    ///
    /// # Errors
    /// Those of `voice`; [`VideoError`] when the filter fails.
    pub fn read<E: From<VideoError>>(
        &mut self,
        count: usize,
        voice: &mut dyn FnMut(usize) -> Result<Vec<i16>, E>,
    ) -> Result<Vec<i16>, E> {
        while self.ready.len() < count {
            let wanted = (count + self.early - self.ready.len()).div_ceil(BLOCK) * BLOCK;
            let samples = voice(wanted)?;
            self.pass(&samples)?;
        }
        Ok(self.ready.drain(..count).collect())
    }

    /// Whole blocks go in, and as many come out.
    fn pass(&mut self, samples: &[i16]) -> Result<(), VideoError> {
        let bytes: Vec<u8> = samples.iter().flat_map(|s| s.to_le_bytes()).collect();
        let pushed = self.source.push_buffer(gst::Buffer::from_mut_slice(bytes));
        pushed.map_err(|e| failed("filtering the voice", &e))?;
        let mut due = samples.len();
        while due > 0 {
            let Some(sample) = self.sink.try_pull_sample(PATIENCE) else {
                return Err(failed("filtering the voice", &"no sound came out of the filter"));
            };
            let Some(map) = sample.buffer().and_then(|b| b.map_readable().ok()) else { continue };
            let came = map.chunks_exact(2).map(|b| i16::from_le_bytes([b[0], b[1]]));
            due = due.saturating_sub(came.len());
            for sample in came {
                if self.early > 0 {
                    self.early -= 1;
                } else {
                    self.ready.push_back(sample);
                }
            }
        }
        Ok(())
    }
}

impl Drop for VoiceFilter {
    fn drop(&mut self) {
        stop(&self.pipeline, &self.sink);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Noise as of a fan, and a click of 1 ms each second; quiet words between them.
    fn voice(at: usize, clicks: bool) -> i16 {
        let dice = (at as u32).wrapping_mul(2_654_435_761) ^ ((at as u32) >> 7).wrapping_mul(40_503);
        let noise = (dice >> 20) as i32 % 161 - 80;
        let t = at as f32 / RATE as f32;
        let second = at % RATE as usize;
        let word = if second < 24_000 {
            let swell = (std::f32::consts::PI * second as f32 / 24_000.0).sin();
            let tone = |f: f32| (std::f32::consts::TAU * f * t).sin();
            (swell * 900.0 * (tone(150.0) + tone(310.0) / 2.0 + tone(470.0) / 3.0 + tone(910.0) / 4.0)) as i32
        } else {
            0
        };
        let click = if clicks && (36_000..36_048).contains(&second) { 14_000 } else { 0 };
        (noise + word + click) as i16
    }

    fn filtered(gain: bool, gate: bool, clicks: bool) -> (Vec<i16>, Vec<i16>) {
        let n = RATE as usize * 12;
        let whole: Vec<i16> = (0..n).map(|at| voice(at, clicks)).collect();
        let mut filter = VoiceFilter::new(gain, gate).unwrap().unwrap();
        let (mut at, mut out) = (0, Vec::new());
        while out.len() < n {
            let count = 1000.min(n - out.len());
            let more = filter.read(count, &mut |count| -> Result<_, VideoError> {
                at += count;
                Ok((at - count..at).map(|k| whole.get(k).copied().unwrap_or(0)).collect())
            });
            out.extend(more.unwrap());
        }
        (whole, out)
    }

    fn loudness(samples: &[i16]) -> f64 {
        let sum: f64 = samples.iter().map(|s| f64::from(*s).powi(2)).sum();
        (sum / samples.len() as f64).sqrt()
    }

    #[test]
    fn filters_do_what_they_say_and_every_click_keeps_its_place() {
        if !VoiceFilter::is_there() {
            println!("skipped: GStreamer's webrtcdsp is not installed");
            return;
        }
        assert!(VoiceFilter::new(false, false).unwrap().is_none());
        for (gain, gate) in [(true, false), (false, true), (true, true)] {
            let (_, out) = filtered(gain, gate, true);
            for second in 4..11usize {
                let from = second * RATE as usize + 35_000;
                let loudest = (from..from + 4000).max_by_key(|k| i32::from(out[*k]).abs()).unwrap();
                let late = loudest as i64 - (second * RATE as usize + 36_000) as i64;
                println!("gain {gain}, gate {gate}: the click of second {second} is {late} samples late");
                assert!(late.abs() < 144, "3 ms");
            }
            let (whole, out) = filtered(gain, gate, false);
            let part = |all: &[i16], from: usize| {
                let (a, b) = (9 * RATE as usize + from, 9 * RATE as usize + from + 8_000);
                loudness(&all[a..b])
            };
            let by = |from| 20.0 * (part(&out, from) / part(&whole, from)).log10();
            let (words, noise) = (by(8_000), by(32_000));
            println!("gain {gain}, gate {gate}: words {words:+.1} dB, noise {noise:+.1} dB");
            assert!(!gain || words > 6.0);
            assert!(!gate || noise < words - 9.0);
        }
    }
}
