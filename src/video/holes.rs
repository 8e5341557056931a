//! Places of a transport stream at which bytes are missing (ISO/IEC 13818-1).

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use super::program::{PACKET, TICKS, picture_ticks};
use crate::time::MatchTime;

/// As much as is read at once.
const PIECE: usize = 1 << 20;

/// The number of packets that hold nothing.
const EMPTY: usize = 0x1FFF;

/// What stands for a counter that is not known yet.
const UNKNOWN: u8 = 0xFF;

/// Places at which bytes are missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Holes {
    /// How many there are at least.
    places: usize,
    /// How long after the first picture the first of them is, about.
    first: Duration,
}

impl Holes {
    /// What a person should know of them; continues a sentence that begins with the file's name.
    pub(super) fn words(self) -> String {
        let at = MatchTime::ZERO.later(self.first).short();
        let places = match self.places {
            1 => format!("in one place of this transport stream, at about {at}"),
            n => format!("in {n} places of this transport stream, the first at about {at}"),
        };
        format!(
            "bytes are missing or damaged {places}. Frames may be missing or damaged there. Copy the file again if the camera \
             still has it."
        )
    }
}

/// Looks for holes on a thread, while others read the same file.
#[derive(Debug)]
pub(super) struct Search {
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<io::Result<Option<Holes>>>>,
}

impl Search {
    pub(super) fn start(path: &Path) -> Self {
        let (stop, path) = (Arc::<AtomicBool>::default(), path.to_owned());
        let stopped = stop.clone();
        let read = move || {
            let mut seen = Seen::default();
            seen.read(&mut File::open(path)?, &stopped)?;
            Ok(seen.holes())
        };
        let thread = std::thread::Builder::new().name("holes".into()).spawn(read).ok();
        Self { stop, thread }
    }

    /// What was found; nothing where the file cannot be read.
    pub(super) fn finish(mut self) -> Option<Holes> {
        self.thread.take()?.join().ok()?.ok()?
    }
}

impl Drop for Search {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// What has been read of a stream.
struct Seen {
    /// The counter of the last packet with content, by the packets' number.
    counters: Vec<u8>,
    /// How often it did not go on by one, by the packets' number; the last place is for bytes that are no packet.
    breaks: Vec<usize>,
    /// The number of the packets with pictures, and when the first and the newest of them is shown, in ticks.
    pictures: Option<(usize, u64, u64)>,
    /// Another recording may begin here: the tables of the stream have begun again.
    anew: bool,
    /// Whether the next packet has not been found yet.
    lost: bool,
    /// When the first hole was seen, in ticks after the first picture.
    first: Option<u64>,
}

impl Default for Seen {
    fn default() -> Self {
        let (counters, breaks) = (vec![UNKNOWN; EMPTY + 1], vec![0; EMPTY + 1]);
        Self { counters, breaks, pictures: None, anew: false, lost: false, first: None }
    }
}

impl Seen {
    fn read(&mut self, file: &mut dyn Read, stop: &AtomicBool) -> io::Result<()> {
        let (mut bytes, mut skip) = (Vec::new(), None);
        while !stop.load(Ordering::Relaxed) && file.take(PIECE as u64).read_to_end(&mut bytes)? > 0 {
            // Camcorders put four bytes before each packet.
            let skip = *skip.get_or_insert(if bytes[0] == 0x47 { 0 } else { 4 });
            let used = self.packets(&bytes, skip);
            bytes.drain(..used);
        }
        Ok(())
    }

    /// Reads all packets that have another one behind them; how many bytes they are.
    fn packets(&mut self, bytes: &[u8], skip: usize) -> usize {
        let size = PACKET + skip;
        let is_start = |at: usize| bytes.get(at + skip) == Some(&0x47);
        let mut at = 0;
        while at + 2 * size <= bytes.len() {
            if !is_start(at) || (self.lost && !is_start(at + size)) {
                (at, self.lost) = (at + 1, true);
                continue;
            }
            if std::mem::take(&mut self.lost) {
                self.hole(EMPTY);
            }
            self.packet(&bytes[at + skip..at + size]);
            at += size;
        }
        at
    }

    fn packet(&mut self, packet: &[u8]) {
        let number = usize::from(u16::from_be_bytes([packet[1] & 0x1F, packet[2]]));
        // 2.4.3.2: damaged on its way, something begins, more before the content, content, and a counter.
        let (damaged, begins) = (packet[1] & 0x80 != 0, packet[1] & 0x40 != 0);
        let (more, content, counter) = (packet[3] & 0x20 != 0, packet[3] & 0x10 != 0, packet[3] & 0x0F);
        if number == EMPTY || !content {
            return;
        }
        if damaged {
            self.counters[number] = UNKNOWN;
            return self.hole(number);
        }
        self.note_picture(number, packet);
        // 2.4.3.3: the counter goes on with each packet that has content, a packet may come twice, and a jump may be announced.
        let before = std::mem::replace(&mut self.counters[number], counter);
        let announced = more && packet[4] > 0 && packet[5] & 0x80 != 0;
        let goes_on = announced || before == UNKNOWN || counter == before || counter == (before + 1) % 16;
        let pictures = self.pictures.is_some_and(|p| p.0 == number);
        // If the tables begin again and then a picture does, it is another recording.
        let another = !pictures || !std::mem::take(&mut self.anew) || begins;
        match (goes_on, number) {
            (false, 0) => {
                self.counters[1..].fill(UNKNOWN);
                self.anew = true;
            }
            (false, _) => self.hole(number),
            (true, _) if !another => self.hole(number),
            (true, _) => {}
        }
    }

    fn note_picture(&mut self, number: usize, packet: &[u8]) {
        let Some(ticks) = picture_ticks(packet) else { return };
        match &mut self.pictures {
            None => self.pictures = Some((number, ticks, ticks)),
            Some((pictures, _, newest)) if *pictures == number => *newest = ticks,
            Some(_) => {}
        }
    }

    /// Bytes are missing in the packets of a number.
    fn hole(&mut self, number: usize) {
        self.breaks[number] += 1;
        let since = self.pictures.map_or(0, |(_, first, newest)| (newest + TICKS - first) % TICKS);
        // In the second half of the clock it is before the first picture.
        self.first.get_or_insert(if since < TICKS / 2 { since } else { 0 });
    }

    fn holes(&self) -> Option<Holes> {
        // One hole may break several streams.
        let places = self.breaks.iter().copied().max().filter(|n| *n > 0)?;
        Some(Holes { places, first: Duration::from_nanos(self.first.unwrap_or(0) * 100_000 / 9) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tables, then pictures of five packets each, twenty-five in a second; between them packets of sound.
    fn stream(pictures: u64) -> Vec<u8> {
        let mut counters = [0u8; 3];
        let mut all = Vec::new();
        let mut packet = |number: usize, begins: bool, content: &[u8]| {
            let counter = &mut counters[number];
            let mut packet = vec![0x47, u8::from(begins) << 6, number as u8, 0x10 | *counter];
            *counter = (*counter + 1) % 16;
            packet.extend(content);
            packet.resize(PACKET, 0xFF);
            all.extend(packet);
        };
        for n in 0..pictures {
            if n % 10 == 0 {
                packet(0, true, &[0]);
            }
            let ticks = 3600 * n;
            let time = [0x21, 0, 1 | ((ticks >> 15) as u8) << 1, (ticks >> 7) as u8, 1 | (ticks as u8) << 1];
            packet(1, true, &[&[0, 0, 1, 0xE0, 0, 0, 0x80, 0x80, 5][..], &time].concat());
            (0..4).for_each(|_| packet(1, false, &[7]));
            packet(2, true, &[0, 0, 1, 0xC0]);
        }
        all
    }

    fn holes(stream: &[u8]) -> Option<Holes> {
        let mut seen = Seen::default();
        seen.read(&mut &*stream, &AtomicBool::new(false)).unwrap();
        seen.holes()
    }

    /// The stream without some bytes.
    fn without(stream: &[u8], at: usize, length: usize) -> Vec<u8> {
        [&stream[..at], &stream[at + length..]].concat()
    }

    #[test]
    fn a_whole_stream_has_no_holes() {
        let whole = stream(200);
        assert_eq!(holes(&whole), None);
        let camcorder: Vec<u8> = whole.chunks(PACKET).flat_map(|p| [&[0; 4], p].concat()).collect();
        assert_eq!(holes(&camcorder), None);
        assert_eq!(holes(&[whole.clone(), stream(47)].concat()), None, "another recording follows");
        assert_eq!(holes(&whole[..whole.len() - 40]), None, "its end is missing: nothing is in the middle");
        assert_eq!(holes(&[]), None);
        let mut twice = whole.clone();
        twice.splice(PACKET * 3..PACKET * 3, whole[PACKET * 2..PACKET * 3].to_vec());
        assert_eq!(holes(&twice), None, "a packet may come twice");
    }

    #[test]
    fn bytes_that_are_missing_are_found_with_their_place() {
        let whole = stream(200);
        // Picture 100 is shown after four seconds: 6 packets a picture, and 10 tables before it.
        let at = PACKET * (6 * 100 + 10 + 1);
        for (at, length) in
            [(at, PACKET), (at + 100, 1), (at + 20, PACKET), (at, 30 * PACKET), (at - 9, 5000)]
        {
            let found = holes(&without(&whole, at, length)).unwrap();
            assert_eq!(found.places, 1, "{length} at {at}");
            let off = found.first.abs_diff(Duration::from_secs(4));
            assert!(off < Duration::from_millis(300), "{length} at {at}: {found:?}");
        }
        let two = without(&without(&whole, at * 3 / 2, 300), at, 300);
        assert_eq!(holes(&two).unwrap().places, 2);
        assert!(
            holes(&two)
                .unwrap()
                .words()
                .contains("in 2 places of this transport stream, the first at about 0:00:0")
        );
    }

    #[test]
    fn a_jump_that_is_announced_is_no_hole_and_a_damaged_packet_is() {
        let whole = stream(20);
        let mut announced = without(&whole, PACKET * 8, PACKET);
        announced[PACKET * 8 + 3] |= 0x20;
        announced[PACKET * 8 + 4..PACKET * 8 + 6].copy_from_slice(&[1, 0x80]);
        assert_eq!(holes(&announced), None);
        let mut damaged = whole;
        damaged[PACKET * 8 + 1] |= 0x80;
        assert_eq!(holes(&damaged).unwrap().places, 1);
    }
}
