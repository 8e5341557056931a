//! What is known of a file of footage, and when each of its frames is shown. Pure; the video room fills it in.

use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use crate::time::{FrameRate, MatchTime};

/// How far a frame may be from where a constant rate puts it, in nanoseconds: some containers count in
/// milliseconds, which rounds by up to half of one, and the first frame may be rounded as well.
const ROUNDING: u64 = 1_100_000;

/// The shortest time that a last frame is believed to be shown. Where frames are stored in another order than they are
/// shown, what is left of the clock's rounding can stand as the duration of the last one: a few nanoseconds.
const SHORTEST: Duration = Duration::from_millis(1);

/// How far a frame's time may be off after its way through a decoder.
const NEAR: Duration = Duration::from_millis(1);

/// Rates that cameras use, in frames per second.
const KNOWN_RATES: [(u32, u32); 17] = [
    (24_000, 1001),
    (30_000, 1001),
    (60_000, 1001),
    (120_000, 1001),
    (10, 1),
    (12, 1),
    (15, 1),
    (20, 1),
    (24, 1),
    (25, 1),
    (30, 1),
    (48, 1),
    (50, 1),
    (60, 1),
    (100, 1),
    (120, 1),
    (240, 1),
];

/// A file of footage that was opened and can be played.
#[derive(Debug, Clone)]
pub struct FootageFile {
    /// The file.
    pub path: PathBuf,
    /// Width as shown: turned upright, in square pixels.
    pub width: u32,
    /// Height as shown: turned upright, in square pixels.
    pub height: u32,
    /// How long it lasts, by its frames and not by what its header says.
    pub duration: MatchTime,
    /// Frames a second, or `None` when the rate varies.
    pub rate: Option<FrameRate>,
    /// Degrees clockwise by which the stored picture is turned to be upright: 0, 90, 180 or 270.
    pub rotation: u16,
    /// Whether there is sound.
    pub has_audio: bool,
    /// When each frame is shown.
    pub index: Arc<FrameIndex>,
    /// What the coach should know about the file, in whole sentences.
    pub warnings: Vec<String>,
    /// The name of the video stream that is shown, where the file gives its streams names.
    pub stream: Option<String>,
    /// Whether its pictures have transparency, which takes other decoders.
    pub transparent: bool,
    /// When the size of its pictures changes first, if that was seen when it was opened.
    pub resized: Option<MatchTime>,
    /// When its pictures are shown, where the file does not say it.
    pub stored: Option<Arc<Stored>>,
}

/// When each picture of a file is shown, by its content and the time at which it is decoded; for files that do not say it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Stored {
    /// The content's hash, when it is decoded and when it is shown, on the file's own clock; sorted.
    pictures: Vec<(u64, MatchTime, MatchTime)>,
}

impl Stored {
    /// From the hash of each picture's content, when it is decoded and when it is shown, on the file's own clock.
    pub fn new(mut pictures: Vec<(u64, MatchTime, MatchTime)>) -> Self {
        pictures.sort_unstable();
        Self { pictures }
    }

    /// When a picture is shown, on the file's own clock. Of several with the same content the one decoded nearest to `decoded` is
    /// meant; if that is unknown, there must be only one.
    pub fn shown(&self, content: u64, decoded: Option<MatchTime>) -> Option<MatchTime> {
        let from = self.pictures.partition_point(|p| p.0 < content);
        let alike = self.pictures[from..].iter().take_while(|p| p.0 == content);
        match decoded {
            Some(t) => alike.min_by_key(|p| p.1.nanos().abs_diff(t.nanos())).map(|p| p.2),
            None => Some(alike).filter(|a| a.clone().count() == 1)?.map(|p| p.2).next(),
        }
    }

    /// When the picture that is shown at a time of the file's own clock is decoded.
    pub fn decoded(&self, shown: MatchTime) -> Option<MatchTime> {
        self.pictures.iter().find(|p| p.2 == shown).map(|p| p.1)
    }
}

/// The presentation times of every frame that a file of footage shows, in order, and which of them are key frames.
///
/// Times are what a player's clock shows, 0 at the start of the footage. A file's own clock may have begun before that:
/// see [`FrameIndex::counted_from`]. Seeks go only to the frames' times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrameIndex {
    times: Vec<MatchTime>,
    keys: Vec<usize>,
    end: MatchTime,
    rate: Option<FrameRate>,
    /// How much the file's own clock shows at 0.
    clock_start: Duration,
}

impl FrameIndex {
    /// An index from each frame's time and whether it is a key frame, in any order; frames of the same time are one.
    /// `last` is how long the last frame is shown, if known; else it is shown as long as most. `None` when there is no frame.
    pub fn new(mut frames: Vec<(MatchTime, bool)>, last: Option<Duration>) -> Option<Self> {
        // Of two with the same time the key frame is kept.
        frames.sort_unstable_by_key(|&(t, key)| (t, !key));
        frames.dedup_by_key(|f| f.0);
        let times: Vec<MatchTime> = frames.iter().map(|f| f.0).collect();
        let keys = (0..frames.len()).filter(|&i| frames[i].1).collect();
        let mut gaps: Vec<Duration> = times.windows(2).map(|w| w[1] - w[0]).collect();
        gaps.sort_unstable();
        let usual = gaps.get(gaps.len() / 2).copied().unwrap_or(Duration::from_millis(40));
        let last = last.filter(|d| *d >= SHORTEST).unwrap_or(usual);
        let end = times.last()?.later(last);
        let rate = constant_rate(&times);
        Some(Self { times, keys, end, rate, clock_start: Duration::ZERO })
    }

    /// The same frames counted from a moment of the file's own clock, but no later than the first frame.
    #[must_use]
    pub fn counted_from(mut self, start: Duration) -> Self {
        let start = start.min(self.times[0] - MatchTime::ZERO);
        self.times.iter_mut().chain([&mut self.end]).for_each(|t| *t = t.earlier(start));
        self.clock_start += start;
        self
    }

    /// When frame `i` appears on the file's own clock.
    pub fn clock_time(&self, i: usize) -> MatchTime {
        self.time(i).later(self.clock_start)
    }

    /// When the last frame stops being shown, on the file's own clock.
    pub fn clock_end(&self) -> MatchTime {
        self.end.later(self.clock_start)
    }

    /// As [`FrameIndex::near`], for a time of the file's own clock.
    pub fn near_clock(&self, t: MatchTime) -> Option<usize> {
        let early = self.clock_start.saturating_sub(t - MatchTime::ZERO);
        self.near(t.earlier(self.clock_start)).filter(|_| early <= NEAR)
    }

    /// How many frames the footage shows.
    #[expect(clippy::len_without_is_empty, reason = "an index has at least one frame")]
    pub fn len(&self) -> usize {
        self.times.len()
    }

    /// When frame `i` appears; the last frame's time beyond the end.
    pub fn time(&self, i: usize) -> MatchTime {
        self.times[i.min(self.times.len() - 1)]
    }

    /// When the last frame stops being shown.
    pub fn end(&self) -> MatchTime {
        self.end
    }

    /// When frame `i` gives way to the next one.
    pub fn gone(&self, i: usize) -> MatchTime {
        self.times.get(i + 1).copied().unwrap_or(self.end)
    }

    /// The frame on the screen at `t`: the last that appeared by then; the first frame before it appears.
    pub fn at(&self, t: MatchTime) -> usize {
        self.times.partition_point(|&x| x <= t).saturating_sub(1)
    }

    /// The frame that appears exactly at `t`, if one does.
    pub fn exact(&self, t: MatchTime) -> Option<usize> {
        self.times.binary_search(&t).ok()
    }

    /// The frame whose time `t` is, but for rounding on the way through a decoder: less than half the way to its
    /// neighbours and at most a millisecond off.
    pub fn near(&self, t: MatchTime) -> Option<usize> {
        let i = self.at(t);
        let j = (i + 1).min(self.times.len() - 1);
        let off = |k: usize| self.times[k].nanos().abs_diff(t.nanos());
        let best = if off(j) < off(i) { j } else { i };
        (Duration::from_nanos(off(best)) <= NEAR).then_some(best)
    }

    /// The frames of a clip from one moment until another: those that begin between them, where each moment is that of the frame
    /// that begins nearest to it. So no frame is in two clips of which one begins when the other ends, and a moment that was rounded on its
    /// way is still that of its frame. At least one frame; `None` when the footage ends before the clip begins.
    pub fn clip(&self, from: MatchTime, to: MatchTime) -> Option<Range<usize>> {
        if from >= self.end {
            return None;
        }
        let first = self.nearest(from).min(self.times.len() - 1);
        Some(first..self.nearest(to).max(first + 1))
    }

    /// The frame that begins nearest to a moment, the later of two; as many as there are for the end.
    fn nearest(&self, t: MatchTime) -> usize {
        let i = self.times.partition_point(|&x| x < t);
        let next = self.times.get(i).unwrap_or(&self.end);
        match i.checked_sub(1) {
            Some(before) if t - self.times[before] < *next - t => before,
            _ => i,
        }
    }

    /// The nearest key frame that does not come after frame `i`; the first frame when there is none.
    pub fn key_before(&self, i: usize) -> usize {
        match self.keys.partition_point(|&k| k <= i) {
            0 => 0,
            n => self.keys[n - 1],
        }
    }

    /// The key frame nearest to frame `i`, on either side; the first frame when there is none.
    pub fn key_near(&self, i: usize) -> usize {
        let before = self.key_before(i);
        let after = self.keys.get(self.keys.partition_point(|&k| k <= i)).copied();
        after.filter(|a| a.abs_diff(i) < i.abs_diff(before)).unwrap_or(before)
    }

    /// Whether frame `i` is a key frame.
    pub fn is_key(&self, i: usize) -> bool {
        self.keys.binary_search(&i).is_ok()
    }

    /// Whether there is any key frame.
    pub fn has_keys(&self) -> bool {
        !self.keys.is_empty()
    }

    /// The frame rate, or `None` when the gaps between the frames differ by more than rounding.
    pub fn rate(&self) -> Option<FrameRate> {
        self.rate
    }

    /// The index without the frames shown before its first key frame, which cannot be decoded, and how many they are.
    /// Without any key frame everything stays.
    pub fn starting_at_a_key(mut self) -> (Self, usize) {
        let n = self.keys.first().copied().unwrap_or(0);
        self.times.drain(..n);
        self.keys.iter_mut().for_each(|k| *k -= n);
        self.rate = constant_rate(&self.times);
        (self, n)
    }
}

/// The rate by which all times can be explained, a known one if any can.
fn constant_rate(times: &[MatchTime]) -> Option<FrameRate> {
    let (first, last) = (*times.first()?, *times.last()?);
    let n = times.len() as u64 - 1;
    if n == 0 {
        return None;
    }
    let worst = |rate: FrameRate| {
        let off = |(i, t): (usize, &MatchTime)| {
            let t = *t - first;
            (t.as_nanos() as u64).abs_diff(rate.time_of(i as u64).nanos())
        };
        times.iter().enumerate().map(off).max().unwrap_or(0)
    };
    let fits = |rate: FrameRate| Some((worst(rate), rate)).filter(|w| w.0 <= ROUNDING);
    let known = KNOWN_RATES.iter().filter_map(|&(f, p)| FrameRate::new(f, p).ok()).filter_map(fits);
    if let Some((_, rate)) = known.min_by_key(|w| w.0) {
        return Some(rate);
    }
    let span = (last - first).as_nanos() as u64;
    let thousandths = (n * 1_000_000_000_000 + span / 2).checked_div(span)?;
    FrameRate::new(u32::try_from(thousandths).ok()?, 1000).ok().and_then(fits).map(|w| w.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn index(times: impl IntoIterator<Item = u64>) -> FrameIndex {
        FrameIndex::new(times.into_iter().map(|t| (MatchTime::from_nanos(t), true)).collect(), None).unwrap()
    }

    proptest! {
        #[test]
        fn the_frame_on_screen_is_the_last_that_appeared(
            times in proptest::collection::vec(0u64..5000, 1..40), t in 0u64..6000
        ) {
            let x = index(times.clone());
            let t = MatchTime::from_nanos(t);
            let shown = times.iter().map(|&n| MatchTime::from_nanos(n)).filter(|&n| n <= t).max();
            prop_assert_eq!(x.time(x.at(t)), shown.unwrap_or(x.time(0)));
            prop_assert_eq!(x.exact(t), (shown == Some(t)).then(|| x.at(t)));
            for i in 0..x.len() {
                prop_assert_eq!(x.near(x.time(i)), Some(i));
                prop_assert!(x.time(i) < x.gone(i));
            }
        }
    }

    proptest! {
        #[test]
        fn a_moment_is_the_same_frame_by_its_rate_and_among_frames_that_are_there(
            (frames, per) in prop::sample::select(vec![(24_000, 1001), (25, 1), (30_000, 1001), (50, 1), (60_000, 1001)]),
            (a, b, rest) in (1u64..60, 60u64..100, 100u64..3_000),
        ) {
            let rate = FrameRate::new(frames, per).unwrap();
            let all = index((0..200).map(|n| rate.time_of(n).nanos()));
            for off in [-1i64, 0, 1, 400_000, -400_000] {
                let at = |n: u64| MatchTime::from_nanos(rate.time_of(n).nanos().saturating_add_signed(off));
                // A stamp is its frame, however it was rounded.
                prop_assert_eq!(all.clip(at(a), at(b)), Some(a as usize..b as usize));
                prop_assert_eq!((rate.nearest(at(a)), rate.nearest(at(b))), (a, b));
            }
            // Where one clip ends the next begins, wherever that is.
            let cut = MatchTime::from_millis(rest);
            let two = [all.clip(MatchTime::ZERO, cut).unwrap(), all.clip(cut, all.end()).unwrap()];
            prop_assert_eq!(two[0].end, two[1].start);
            prop_assert_eq!(rate.nearest(cut), two[1].start as u64);
        }
    }

    #[test]
    fn a_clip_has_a_frame_and_ends_with_its_footage() {
        let four = index([0, 40, 80, 120].map(|ms| ms * 1_000_000));
        let clip = |from, to| four.clip(MatchTime::from_millis(from), MatchTime::from_millis(to));
        assert_eq!(clip(0, 160), Some(0..4));
        assert_eq!(clip(19, 61), Some(0..2));
        assert_eq!(clip(20, 60), Some(1..2));
        assert_eq!(clip(41, 42), Some(1..2));
        assert_eq!(clip(100, 9000), Some(3..4));
        assert_eq!(clip(159, 9000), Some(3..4));
        assert_eq!((clip(160, 9000), clip(5000, 9000)), (None, None));
    }

    #[test]
    fn a_constant_rate_is_seen_through_the_rounding() {
        for (f, p) in KNOWN_RATES.into_iter().chain([(18, 1), (2997, 200)]) {
            let rate = FrameRate::new(f, p).unwrap();
            let exact = (0..600).map(|i| rate.time_of(i).nanos());
            assert_eq!(index(exact.clone()).rate(), Some(rate));
            let millis = exact.map(|t| (t + 500_000) / 1_000_000 * 1_000_000 + 66_000_000);
            assert_eq!(index(millis).rate(), Some(rate), "{rate} in milliseconds");
        }
        assert_eq!(index([0, 33_000_000, 38_000_000, 1_638_000_000]).rate(), None);
        assert_eq!(index([5]).rate(), None);
    }

    #[test]
    fn a_last_frame_is_shown_for_a_time_that_can_be() {
        let of = |last| {
            let frames = (0..3).map(|i| (MatchTime::from_millis(i * 40), true)).collect();
            FrameIndex::new(frames, last).unwrap().end()
        };
        assert_eq!(of(None), MatchTime::from_millis(120));
        assert_eq!(of(Some(Duration::from_millis(5))), MatchTime::from_millis(85));
        for rounding in [0, 2, 400] {
            assert_eq!(of(Some(Duration::from_nanos(rounding))), MatchTime::from_millis(120));
        }
    }

    #[test]
    fn frames_are_counted_from_a_moment_of_the_clock() {
        let x = index([700_000_000, 740_000_000, 780_000_000]).counted_from(Duration::from_millis(680));
        let at = MatchTime::from_millis;
        assert_eq!((x.time(0), x.time(2), x.end()), (at(20), at(100), at(140)));
        assert_eq!((x.clock_time(1), x.near_clock(at(740)), x.near_clock(at(60))), (at(740), Some(1), None));
        let x = index([0, 40_000_000]).counted_from(Duration::from_millis(30));
        assert_eq!((x.time(0), x.near_clock(at(40))), (at(0), Some(1)), "no later than the first frame");
        let x = index([5_000_000, 40_000_000]).counted_from(Duration::from_millis(5));
        assert_eq!((x.near_clock(at(0)), x.near_clock(at(4)), x.near_clock(at(5))), (None, Some(0), Some(0)));
    }

    #[test]
    fn frames_before_the_first_key_frame_go() {
        let frames = (0..10).map(|i| (MatchTime::from_millis(i * 40), i == 4 || i == 8)).collect();
        let (x, gone) = FrameIndex::new(frames, None).unwrap().starting_at_a_key();
        assert_eq!((gone, x.len(), x.time(0)), (4, 6, MatchTime::from_millis(160)));
        assert_eq!((x.key_before(3), x.key_before(4), x.key_before(9)), (0, 4, 4));
        assert_eq!([0, 1, 2, 3, 4, 5].map(|i| x.key_near(i)), [0, 0, 0, 4, 4, 4]);
        assert_eq!(x.end(), MatchTime::from_millis(400));
    }
}
