//! What a transport stream lists of its streams (ISO/IEC 13818-1).

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;
use std::time::Duration;

/// As much of a file as is looked at: the lists come again at least every tenth of a second.
const LOOKED_AT: u64 = 1 << 20;

pub(super) const PACKET: usize = 188;

/// The type of a stream whose form only its descriptors tell.
const PRIVATE: u8 = 6;

/// Whether a transport stream has sound whose form it does not say. GStreamer leaves that out without a word, and some programs
/// write the sound of camcorder files so.
pub(super) fn has_unmarked_sound(path: &Path) -> io::Result<bool> {
    let mut head = Vec::new();
    File::open(path)?.take(LOOKED_AT).read_to_end(&mut head)?;
    Ok(unmarked_sound(&head))
}

/// Whether a transport stream has a clock reference in what is looked at.
///
/// # Errors
/// When the file cannot be read.
pub(super) fn has_clock(path: &Path) -> io::Result<bool> {
    let mut head = Vec::new();
    File::open(path)?.take(LOOKED_AT).read_to_end(&mut head)?;
    Ok(pieces(&head).any(|p| p[0] == 0x47 && p[3] & 0x20 != 0 && p[4] >= 7 && p[5] & 0x10 != 0))
}

/// From the first picture of a transport stream to its last, by the file's own clock, as far as its start and its end tell.
///
/// # Errors
/// When the file cannot be read.
pub(super) fn clock_span(path: &Path) -> io::Result<Option<Duration>> {
    let mut file = File::open(path)?;
    let mut head = Vec::new();
    (&mut file).take(LOOKED_AT).read_to_end(&mut head)?;
    let size = if head.first() == Some(&0x47) { PACKET } else { PACKET + 4 } as u64;
    let end = file.metadata()?.len() / size * size;
    file.seek(SeekFrom::Start(end - end.min(LOOKED_AT / size * size)))?;
    let mut tail = Vec::new();
    file.take(LOOKED_AT).read_to_end(&mut tail)?;
    Ok(span(&head, &tail))
}

/// How many pictures the first ones are: they may be stored in another order than shown.
const FIRST: usize = 16;

/// The clock of transport streams starts again after so many ticks, 90,000 a second (ISO/IEC 13818-1, 2.4.3.7).
pub(super) const TICKS: u64 = 1 << 33;

fn span(head: &[u8], tail: &[u8]) -> Option<Duration> {
    let first = pictures(head).next()?;
    let from = pictures(head).filter(|p| p.0 == first.0).take(FIRST).map(|p| p.1).min()?;
    let since = |t: u64| (t + TICKS - from) % TICKS;
    let to = pictures(tail).filter(|p| p.0 == first.0).map(|p| since(p.1)).max()?;
    // In the second half of the clock it is before the first picture: another stream was added.
    (to < TICKS / 2).then(|| Duration::from_nanos(to * 100_000 / 9))
}

/// Where pictures begin: the number of their stream, and when they are shown, in ticks (ISO/IEC 13818-1, 2.4.3.6).
fn pictures(bytes: &[u8]) -> impl Iterator<Item = (u16, u64)> {
    pieces(bytes).filter_map(packet).filter_map(|p| Some((p.number, shown(&p)?)))
}

/// When the picture that begins in a packet is shown, in ticks.
pub(super) fn picture_ticks(bytes: &[u8]) -> Option<u64> {
    shown(&packet(bytes)?)
}

fn shown(packet: &Packet<'_>) -> Option<u64> {
    let head = packet.content.get(..14).filter(|_| packet.begins)?;
    let is_picture = head.starts_with(&[0, 0, 1]) && head[3] >> 4 == 0xE && head[7] & 0x80 != 0;
    let part = |at: usize, bits: u32| u64::from(head[at]) >> 1 & ((1 << bits) - 1);
    let ticks = part(9, 3) << 30
        | u64::from(head[10]) << 22
        | part(11, 7) << 15
        | u64::from(head[12]) << 7
        | part(13, 7);
    is_picture.then_some(ticks)
}

fn unmarked_sound(head: &[u8]) -> bool {
    let all = packets(head);
    let tables = all.iter().filter(|p| p.number == 0 && p.begins).find_map(|p| table_numbers(section(p)?));
    let unmarked: Vec<u16> = tables
        .into_iter()
        .flatten()
        .filter_map(|number| all.iter().find(|p| p.number == number && p.begins))
        .flat_map(|p| section(p).map(unmarked_streams).unwrap_or_default())
        .collect();
    // The number of a stream of sound is 110x xxxx (table 2-22).
    let is_sound =
        |p: &Packet<'_>| p.content.starts_with(&[0, 0, 1]) && p.content.get(3).is_some_and(|id| id >> 5 == 6);
    all.iter().any(|p| p.begins && unmarked.contains(&p.number) && is_sound(p))
}

/// A packet without its header.
struct Packet<'a> {
    number: u16,
    /// Whether something begins in it.
    begins: bool,
    content: &'a [u8],
}

fn packets(head: &[u8]) -> Vec<Packet<'_>> {
    pieces(head).filter_map(packet).collect()
}

fn pieces(head: &[u8]) -> impl Iterator<Item = &[u8]> {
    // Camcorders put four bytes before each packet.
    let skip = if head.first() == Some(&0x47) { 0 } else { 4 };
    head.chunks_exact(skip + PACKET).map(move |piece| &piece[skip..])
}

fn packet(p: &[u8]) -> Option<Packet<'_>> {
    let start = if p[3] & 0x20 == 0 { 4 } else { 5 + usize::from(p[4]) };
    let number = u16::from_be_bytes([p[1] & 0x1F, p[2]]);
    (p[0] == 0x47).then_some(Packet { number, begins: p[1] & 0x40 != 0, content: p.get(start..)? })
}

/// The section that begins in a packet and ends there, without the check sum at its end.
fn section<'a>(packet: &Packet<'a>) -> Option<&'a [u8]> {
    let all = packet.content.get(1 + usize::from(*packet.content.first()?)..)?;
    let length = 3 + usize::from(u16::from_be_bytes([all.get(1)? & 0x0F, *all.get(2)?]));
    all.get(..length)?.get(..length.checked_sub(4)?)
}

/// In which packets the programs are described, by the table of programs.
fn table_numbers(section: &[u8]) -> Option<Vec<u16>> {
    let programs = section.get(8..)?.chunks_exact(4);
    Some(programs.filter(|p| p[..2] != [0, 0]).map(|p| u16::from_be_bytes([p[2] & 0x1F, p[3]])).collect())
}

/// Descriptors of a stream that do not tell its form: its language and its number (ISO/IEC 13818-1, 2.6.18; ETSI EN 300 468, 6.2.39).
const NO_FORM: [u8; 2] = [0x0A, 0x52];

/// Whether none of the descriptors of a stream tells its form.
fn form_unsaid(mut described: &[u8]) -> bool {
    while let [kind, length, rest @ ..] = described {
        if !NO_FORM.contains(kind) {
            return false;
        }
        described = rest.get(usize::from(*length)..).unwrap_or_default();
    }
    true
}

/// The streams of a program of which no descriptor tells the form.
fn unmarked_streams(section: &[u8]) -> Vec<u16> {
    let length =
        |at: usize| Some(usize::from(u16::from_be_bytes([section.get(at)? & 0x0F, *section.get(at + 1)?])));
    let (mut found, mut at) = (Vec::new(), 12 + length(10).unwrap_or(0));
    while let (Some([kind, high, low]), Some(described)) = (section.get(at..at + 3), length(at + 3)) {
        let all = section.get(at + 5..(at + 5 + described).min(section.len())).unwrap_or_default();
        if *kind == PRIVATE && form_unsaid(all) {
            found.push(u16::from_be_bytes([high & 0x1F, *low]));
        }
        at += 5 + described;
    }
    found
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn packet(number: u16, content: &[u8]) -> Vec<u8> {
        let [high, low] = number.to_be_bytes();
        let mut packet = vec![0x47, 0x40 | high, low, 0x10];
        packet.extend(content);
        packet.resize(PACKET, 0xFF);
        packet
    }

    fn table(kind: u8, content: &[u8]) -> Vec<u8> {
        let length = (5 + content.len() + 4) as u8;
        [&[0, kind, 0xB0, length, 0, 1, 0xC1, 0, 0][..], content, &[0; 4]].concat()
    }

    fn stream(kind: u8, descriptors: &[u8], begins: u8) -> Vec<u8> {
        let program = table(0, &[0, 1, 0xE1, 0x00]);
        let described = [&[kind, 0xE1, 0x01, 0xF0, descriptors.len() as u8][..], descriptors].concat();
        let streams = [&[0xE1, 0x02, 0xF0, 0, 0x1B, 0xE1, 0x02, 0xF0, 0][..], &described].concat();
        [packet(0, &program), packet(0x100, &table(2, &streams)), packet(0x101, &[0, 0, 1, begins])].concat()
    }

    #[test]
    fn sound_without_a_form_is_found() {
        assert!(unmarked_sound(&stream(PRIVATE, &[], 0xC0)));
        assert!(
            unmarked_sound(&stream(PRIVATE, &[0x0A, 4, b'u', b'n', b'd', 0], 0xC0)),
            "a language is no form"
        );
        assert!(!unmarked_sound(&stream(PRIVATE, &[], 0xBD)), "perhaps no sound");
        assert!(!unmarked_sound(&stream(PRIVATE, &[5, 4, b'A', b'C', b'-', b'3'], 0xC0)));
        assert!(!unmarked_sound(&stream(0x0F, &[], 0xC0)));
        let camcorder: Vec<u8> =
            stream(PRIVATE, &[], 0xC0).chunks(PACKET).flat_map(|p| [&[0; 4], p].concat()).collect();
        assert!(unmarked_sound(&camcorder));
    }

    /// A picture shown at so many ticks, in packets of a stream.
    fn picture(number: u16, ticks: u64) -> Vec<u8> {
        let part = |shift: u32, bits: u64| (ticks >> shift & bits) as u8;
        let time = [
            0x21 | part(30, 7) << 1,
            part(22, 0xFF),
            part(15, 0x7F) << 1 | 1,
            part(7, 0xFF),
            part(0, 0x7F) << 1 | 1,
        ];
        packet(number, &[&[0, 0, 1, 0xE0, 0, 0, 0x80, 0x80, 5][..], &time].concat())
    }

    #[test]
    fn the_clock_tells_how_long_a_stream_lasts() {
        let all = |ticks: &[u64]| ticks.iter().flat_map(|t| picture(7, *t)).collect::<Vec<u8>>();
        let of = |head: &[u64], tail: &[u64]| span(&all(head), &all(tail));
        assert_eq!(
            of(&[93_000, 90_000, 96_000], &[183_000, 180_000]),
            Some(Duration::from_nanos(1_033_333_333))
        );
        let end = (1 << 33) - 90_000;
        assert_eq!(of(&[end], &[90_000]), Some(Duration::from_secs(2)), "the clock starts again");
        assert_eq!(of(&[180_000], &[90_000]), None, "another stream was added");
        assert_eq!(span(&[], &all(&[1])), None);
        let two = [picture(9, 90_000), picture(7, 5)].concat();
        assert_eq!(
            span(&two, &[picture(7, 900_000), picture(9, 180_000)].concat()),
            Some(Duration::from_secs(1))
        );
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(at in 0usize..564, bytes in proptest::collection::vec(any::<u8>(), 0..40)) {
            let mut all = stream(PRIVATE, &[], 0xC0);
            for (place, byte) in all[at..].iter_mut().zip(bytes) {
                *place = byte;
            }
            let _ = unmarked_sound(&all);
            let _ = (unmarked_sound(&all[at..]), span(&all, &all[at..]));
        }
    }
}
