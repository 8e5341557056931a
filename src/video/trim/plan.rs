//! Which frames of a span are copied, and which are encoded. Pure.

use std::ops::Range;

use super::boxes::{Data, Piece};
use super::tracks::{Sample, Track};

/// What becomes of the frames of a span, in their order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Plan {
    /// Frames before the first that is copied, to be encoded.
    pub(super) head: Range<usize>,
    /// Samples that are copied, in the order of decoding.
    pub(super) copy: Range<usize>,
    /// Frames after the last that is copied, to be encoded.
    pub(super) tail: Range<usize>,
}

/// The samples that are shown, in the order of showing.
pub(super) fn shown(track: &Track) -> Vec<usize> {
    let mut all: Vec<usize> =
        (0..track.samples.len()).filter(|i| !track.is_before(&track.samples[*i])).collect();
    all.sort_by_key(|i| track.samples[*i].at);
    all
}

/// Copies as much of some frames as can be. `begins` says of a sample whether a decoder can begin with it, whatever it decoded
/// before.
pub(super) fn plan(
    samples: &[Sample],
    shown: &[usize],
    frames: Range<usize>,
    begins: &mut dyn FnMut(usize) -> bool,
) -> Plan {
    let start = frames.clone().find(|f| is_clean(samples, shown, *f) && begins(shown[*f]));
    let Some(start) = start else {
        return Plan { head: frames.clone(), copy: 0..0, tail: frames.end..frames.end };
    };
    let first = shown[start];
    let copied = closed(samples, shown, start, frames.end);
    Plan { head: frames.start..start, copy: first..first + copied, tail: start + copied..frames.end }
}

/// The frames from the clean key frame at or before the first of these to the last before the clean key frame at or after their
/// end. `None` when there is no such frame before them. `begins` is as for [`plan`].
pub(super) fn widened(
    samples: &[Sample],
    shown: &[usize],
    frames: Range<usize>,
    begins: &mut dyn FnMut(usize) -> bool,
) -> Option<Range<usize>> {
    let mut is_key = |f: &usize| is_clean(samples, shown, *f) && begins(shown[*f]);
    let start = (0..=frames.start).rev().find(&mut is_key)?;
    let end = (frames.end..shown.len()).find(&mut is_key).unwrap_or(shown.len());
    Some(start..end)
}

/// Whether a frame is a key frame, all that is decoded before it is shown before it, and all after it after it.
fn is_clean(samples: &[Sample], shown: &[usize], frame: usize) -> bool {
    // Then as many samples are decoded before it as frames are shown before it, and those are the same.
    let place = shown[frame];
    let hidden = samples.len() - shown.len();
    samples[place].key
        && place == frame + hidden
        && samples[..place].iter().rev().take(REORDERED).all(|s| s.at < samples[place].at)
        && samples[place..].iter().skip(1).take(REORDERED).all(|s| s.at > samples[place].at)
}

/// No picture is stored more places away from where it is shown (H.264 keeps 16 at most).
const REORDERED: usize = 33;

/// How many samples from a clean key frame on can be copied so that they are exactly the frames from there on, and none of the
/// frame `end` or later.
fn closed(samples: &[Sample], shown: &[usize], start: usize, end: usize) -> usize {
    let first = shown[start];
    let (mut latest, mut most) = (i64::MIN, 0);
    for n in 1..=end - start {
        let Some(sample) = samples.get(first + n - 1) else { break };
        latest = latest.max(sample.at);
        // All of them are shown by the n-th frame: they are the first n.
        if latest == samples[shown[start + n - 1]].at {
            most = n;
        }
    }
    most
}

impl Plan {
    /// The frame after the last.
    pub(super) fn end(&self, shown: &[usize]) -> usize {
        debug_assert!(self.tail.end <= shown.len());
        self.tail.end
    }

    /// The pictures in the order of decoding, encoded ones where they belong.
    pub(super) fn pieces(
        &self,
        track: &Track,
        shown: &[usize],
        head: Vec<Vec<u8>>,
        tail: Vec<Vec<u8>>,
    ) -> Vec<Piece> {
        let at = |frame: usize| track.samples[shown[frame]].at;
        let own = |frames: &Range<usize>, data: Vec<Vec<u8>>| -> Vec<(i64, Data, bool)> {
            let first = frames.start;
            frames.clone().zip(data).map(|(f, bytes)| (at(f), Data::Own(bytes), f == first)).collect()
        };
        let mut all = own(&self.head, head);
        let copied = track.samples[self.copy.clone()].iter();
        all.extend(copied.map(|s| (s.at, Data::At(s.place, s.size), s.key)));
        all.extend(own(&self.tail, tail));
        let last = self.tail.end - 1;
        let end = match shown.get(last + 1) {
            Some(next) => track.samples[*next].at,
            None => at(last) + i64::from(track.samples[shown[last]].lasts.max(1)),
        };
        timed(all, end)
    }
}

/// Gives pictures times of decoding: in steps as they are shown, as late as can be so that none is shown before it is decoded.
fn timed(all: Vec<(i64, Data, bool)>, end: i64) -> Vec<Piece> {
    let mut steps: Vec<i64> = all.iter().map(|p| p.0).collect();
    steps.sort_unstable();
    let delay = steps.iter().zip(&all).map(|(step, p)| step - p.0).max().unwrap_or(0).max(0);
    let next = |n: usize| steps.get(n + 1).copied().unwrap_or(end);
    let piece = |(n, (at, data, key)): (usize, (i64, Data, bool))| Piece {
        data,
        lasts: u32::try_from(next(n) - steps[n]).unwrap_or(0),
        late: u32::try_from(at - steps[n] + delay).unwrap_or(0),
        key,
    };
    all.into_iter().enumerate().map(piece).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Samples from the order in which they are decoded: the number of the frame that each shows; keys are marked.
    fn samples(order: &[(usize, bool)]) -> (Vec<Sample>, Vec<usize>) {
        let of = |&(at, key): &(usize, bool)| Sample {
            place: at as u64,
            size: 1,
            at: at as i64 * 10 + 20,
            lasts: 10,
            key,
        };
        let all: Vec<Sample> = order.iter().map(of).collect();
        let mut shown: Vec<usize> = (0..all.len()).collect();
        shown.sort_by_key(|i| all[*i].at);
        (all, shown)
    }

    /// I P B B, in groups of so many frames.
    fn groups(n: usize, length: usize) -> Vec<(usize, bool)> {
        let mut order = Vec::new();
        for start in (0..n).step_by(length) {
            let end = (start + length).min(n);
            order.push((start, true));
            let mut f = start + 1;
            while f < end {
                let p = (f + 2).min(end - 1);
                order.push((p, false));
                order.extend((f..p).map(|b| (b, false)));
                f = p + 1;
            }
        }
        order
    }

    #[test]
    fn a_span_between_key_frames_is_copied_whole() {
        let (samples, shown) = samples(&groups(30, 10));
        let plan = plan(&samples, &shown, 10..20, &mut |_| true);
        assert_eq!(plan, Plan { head: 10..10, copy: 10..20, tail: 20..20 });
    }

    #[test]
    fn what_is_before_the_first_key_frame_and_what_hangs_together_at_the_end_is_encoded() {
        let (samples, shown) = samples(&groups(30, 10));
        // Decoded 10, 13, 11, 12, 16, 14, 15 …: the first four are closed, 14 needs 16.
        let plan = plan(&samples, &shown, 7..15, &mut |_| true);
        assert_eq!(plan, Plan { head: 7..10, copy: 10..14, tail: 14..15 });
    }

    #[test]
    fn an_open_group_is_no_beginning() {
        // Frame 4 is a key frame, but 3 is decoded after it.
        let order = [(0, true), (1, false), (2, false), (4, true), (3, false), (5, false)];
        let (samples, shown) = samples(&order);
        assert_eq!(plan(&samples, &shown, 3..6, &mut |_| true).copy, 0..0);
        assert_eq!(widened(&samples, &shown, 3..4, &mut |_| true), Some(0..6));
        let mut no = |n: usize| n != 0;
        assert_eq!(plan(&samples, &shown, 0..6, &mut no).copy, 0..0, "a decoder cannot begin there");
    }

    #[test]
    fn times_of_decoding_rise_and_none_is_after_its_showing() {
        let (samples, _) = samples(&groups(12, 12));
        let all = samples.iter().map(|s| (s.at, Data::At(s.place, 1), s.key)).collect();
        let pieces = timed(all, 140);
        let mut decoded = 0;
        for (piece, sample) in pieces.iter().zip(&samples) {
            let delay = i64::from(pieces[0].late);
            assert_eq!(decoded + i64::from(piece.late) - delay, sample.at - 20);
            decoded += i64::from(piece.lasts);
        }
        assert_eq!(decoded, 120, "the track lasts as long as its frames");
    }

    proptest! {
        #[test]
        fn every_frame_of_a_span_comes_once_in_its_place(
            n in 1usize..60, length in 1usize..20, from in 0usize..60, many in 1usize..60,
        ) {
            let (samples, shown) = samples(&groups(n, length));
            let frames = from.min(n - 1)..(from.min(n - 1) + many).min(n);
            let plan = plan(&samples, &shown, frames.clone(), &mut |_| true);
            let mut copied: Vec<usize> = plan.copy.clone().map(|i| samples[i].place as usize).collect();
            copied.sort_unstable();
            let all: Vec<usize> = plan.head.clone().chain(copied).chain(plan.tail.clone()).collect();
            prop_assert_eq!(all, frames.collect::<Vec<_>>());
            prop_assert!(plan.copy.is_empty() || samples[plan.copy.start].key);
        }
    }
}
