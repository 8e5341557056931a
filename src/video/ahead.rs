//! Frames that are decoded before they are asked for.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::frame::Frame;

/// How many frames are decoded ahead.
const EXPECTED: usize = 16;

/// How many frames are kept, those that were expected before too, and how many bytes they may hold together: of 1080p 20
/// frames, of 4K 5.
const MOST: usize = 20;
const BYTES: usize = 160 << 20;

/// The frames to which the next key can lead, and those of them that are decoded.
#[derive(Debug, Default)]
pub(super) struct Ahead {
    expected: Vec<usize>,
    frames: BTreeMap<usize, Frame>,
    /// Frames that were expected before, the oldest first.
    before: VecDeque<usize>,
    room: usize,
    given_up: bool,
}

impl Ahead {
    /// Takes other frames to be expected, the likeliest first, as many as there is room for of so many pixels each.
    pub(super) fn expect(&mut self, mut frames: Vec<usize>, pixels: usize) {
        self.room = (BYTES / (4 * pixels).max(1)).clamp(1, MOST);
        let mut seen = BTreeSet::new();
        frames.retain(|i| seen.insert(*i));
        frames.truncate(self.room.min(EXPECTED));
        self.before.retain(|i| !frames.contains(i));
        let kept = self.expected.iter().filter(|i| !frames.contains(i) && self.frames.contains_key(i));
        self.before.extend(kept);
        self.expected = frames;
        self.make_room();
    }

    /// The frames that are expected, the likeliest first.
    pub(super) fn expected(&self) -> &[usize] {
        &self.expected
    }

    /// A frame that was decoded ahead.
    pub(super) fn get(&self, i: usize) -> Option<&Frame> {
        self.frames.get(&i)
    }

    pub(super) fn is_expected(&self, i: usize) -> bool {
        self.expected.contains(&i)
    }

    /// The likeliest frame that is expected and not decoded.
    pub(super) fn missing(&self) -> Option<usize> {
        self.expected.iter().copied().find(|i| !self.frames.contains_key(i)).filter(|_| !self.given_up)
    }

    /// Whether every frame that is expected is decoded.
    pub(super) fn is_ready(&self) -> bool {
        self.missing().is_none()
    }

    /// Takes in what was decoded for frame `i`: another where the file has not that one.
    pub(super) fn take_in(&mut self, i: usize, frame: Option<Frame>) {
        match frame {
            Some(frame) if frame.index == i && self.is_expected(i) => {
                self.frames.insert(i, frame);
                self.make_room();
            }
            Some(_) => self.expected.retain(|e| *e != i),
            None => {}
        }
    }

    /// Takes in a frame that another decoder has come to, if it is expected.
    pub(super) fn offer(&mut self, frame: Frame) {
        if self.is_expected(frame.index) {
            self.take_in(frame.index, Some(frame));
        }
    }

    /// Nothing can be decoded ahead.
    pub(super) fn give_up(&mut self) {
        self.given_up = true;
    }

    fn make_room(&mut self) {
        while self.frames.len() > self.room {
            let Some(oldest) = self.before.pop_front() else { return };
            self.frames.remove(&oldest);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_is_expected_than_there_is_room_for() {
        let mut ahead = Ahead::default();
        ahead.expect((0..40).collect(), 1280 * 720);
        assert_eq!(ahead.expected.len(), 16);
        ahead.expect((0..40).collect(), 1920 * 1080);
        assert_eq!(ahead.expected.len(), 16);
        ahead.expect((0..40).collect(), 3840 * 2160);
        assert_eq!(ahead.expected, [0, 1, 2, 3, 4]);
        ahead.expect(vec![7, 3, 7, 3, 1], usize::MAX / 8);
        assert_eq!((ahead.expected.as_slice(), ahead.missing()), (&[7][..], Some(7)));
        ahead.give_up();
        assert!(ahead.is_ready());
    }

    #[test]
    fn what_was_expected_before_stays_until_its_room_is_needed() {
        super::super::init().unwrap();
        let mut ahead = Ahead::default();
        let pixels = BYTES / 4 / 4;
        let go = |ahead: &mut Ahead, frames: &[usize]| {
            ahead.expect(frames.to_vec(), pixels);
            for i in frames {
                ahead.offer(Frame::blank(*i));
            }
            ahead.frames.keys().copied().collect::<Vec<_>>()
        };
        assert_eq!(go(&mut ahead, &[10, 20]), [10, 20]);
        assert_eq!(go(&mut ahead, &[20, 30]), [10, 20, 30]);
        assert_eq!(go(&mut ahead, &[40, 50]), [20, 30, 40, 50], "the oldest one goes");
        assert_eq!(go(&mut ahead, &[20, 60]), [20, 40, 50, 60], "one that is expected again stays");
        ahead.offer(Frame::blank(70));
        assert!(ahead.get(70).is_none(), "nobody expected that");
    }
}
