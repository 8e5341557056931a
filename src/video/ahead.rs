//! Frames that are decoded before they are asked for.

use std::collections::BTreeMap;

use super::frame::Frame;

/// How many frames are decoded ahead, and how many bytes they may hold together: all there is of 1080p are 15, of 4K 3.
const MOST: usize = 16;
const BYTES: usize = 128 << 20;

/// The frames to which the next key can lead, and those of them that are decoded.
#[derive(Debug, Default)]
pub(super) struct Ahead {
    expected: Vec<usize>,
    frames: BTreeMap<usize, Frame>,
    given_up: bool,
}

impl Ahead {
    /// Takes other frames to be expected, the likeliest first, as many as there is room for of so many pixels each.
    pub(super) fn expect(&mut self, mut frames: Vec<usize>, pixels: usize) {
        let mut seen = std::collections::BTreeSet::new();
        frames.retain(|i| seen.insert(*i));
        frames.truncate((BYTES / (4 * pixels).max(1)).clamp(1, MOST));
        self.frames.retain(|i, _| frames.contains(i));
        self.expected = frames;
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
            }
            Some(_) => self.expected.retain(|e| *e != i),
            None => {}
        }
    }

    /// Nothing can be decoded ahead.
    pub(super) fn give_up(&mut self) {
        self.given_up = true;
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
        assert_eq!(ahead.expected, [0, 1, 2, 3]);
        ahead.expect(vec![7, 3, 7, 3, 1], usize::MAX / 8);
        assert_eq!((ahead.expected.as_slice(), ahead.missing()), (&[7][..], Some(7)));
        ahead.give_up();
        assert!(ahead.is_ready());
    }
}
