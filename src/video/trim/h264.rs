//! What an MP4 file says of its H.264 pictures, and how pictures of another encoder stand beside them (ISO/IEC 14496-15, 5.3.3;
//! parameter sets: ITU-T H.264, 7.3.2).
//!
//! A picture names its parameter sets by number. Encoded pictures get a number that the film does not use, and the film's
//! description lists both: no decoder has to be told in between.

use std::io::{self, Read, Seek, SeekFrom};

use super::super::atoms::u32_at;
use super::tracks::{Sample, inners};

/// Bytes of a description before the boxes in it: of the list (8), of the box (8), of a picture's own fields (78).
const FIELDS: usize = 8 + 8 + 78;

/// The parameter sets by which pictures are decoded, as an MP4 file lists them (`avcC`).
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Sets {
    profile: u8,
    compatible: u8,
    level: u8,
    sequence: Vec<Vec<u8>>,
    picture: Vec<Vec<u8>>,
    /// What follows them, for the higher profiles.
    rest: Vec<u8>,
}

/// How the pictures of a film are described.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Description {
    entry: Vec<u8>,
    sets: Sets,
}

/// For what pictures an encoder makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Wanted {
    /// Number of its parameter sets.
    pub(super) number: u8,
    /// Name of the profile.
    pub(super) profile: &'static str,
}

impl Description {
    /// Of a track's list of descriptions; `None` if encoded pictures cannot stand beside its own.
    pub(super) fn of(entry: &[u8]) -> Option<Self> {
        (entry.get(12..16)? == b"avc1").then_some(())?;
        let (_, found) = inners(entry.get(FIELDS..)?).find(|(kind, _)| kind == b"avcC")?;
        let sets = Sets::of(found)?;
        // Of lengths of another size than four bytes there would be two kinds in a track.
        (found.get(4)? & 3 == 3 && sets.profile().is_some() && sets.is_plain()?)
            .then(|| Self { entry: entry.to_vec(), sets })
    }

    /// For what pictures an encoder is to make next.
    pub(super) fn next(&self) -> Wanted {
        let used = |n: u8| self.sets.numbers().any(|used| used == Some(u32::from(n)));
        let number = (1..32).find(|n| !used(*n)).unwrap_or(31);
        Wanted { number, profile: self.sets.profile().unwrap_or("high") }
    }

    /// Lists the parameter sets of an encoder too.
    pub(super) fn join(&mut self, of: &Sets) {
        self.sets.sequence.extend(of.sequence.iter().cloned());
        self.sets.picture.extend(of.picture.iter().cloned());
        self.sets.level = self.sets.level.max(of.level);
        self.sets.compatible &= of.compatible;
    }

    /// The list of descriptions with these parameter sets in it.
    pub(super) fn entry(&self) -> Vec<u8> {
        let mut inside = self.entry[16..FIELDS].to_vec();
        for (kind, content) in inners(&self.entry[FIELDS..]) {
            let own = self.sets.bytes();
            let content = if &kind == b"avcC" { &own[..] } else { content };
            // What the footage says of its rate of bits does not hold for a part of it.
            if &kind != b"btrt" {
                inside.extend((content.len() as u32 + 8).to_be_bytes());
                inside.extend(kind);
                inside.extend(content);
            }
        }
        let mut all = self.entry[..8].to_vec();
        all.extend((inside.len() as u32 + 8).to_be_bytes());
        all.extend(b"avc1");
        all.extend(inside);
        all
    }
}

impl Sets {
    /// Reads an `avcC`.
    pub(super) fn of(bytes: &[u8]) -> Option<Self> {
        let &[1, profile, compatible, level, _, many, ..] = bytes else { return None };
        let mut rest = bytes.get(6..)?;
        let sequence = taken(&mut rest, many & 31)?;
        let many = *rest.first()?;
        rest = &rest[1..];
        let picture = taken(&mut rest, many)?;
        let rest = rest.to_vec();
        (!sequence.is_empty() && !picture.is_empty()).then_some(Self {
            profile,
            compatible,
            level,
            sequence,
            picture,
            rest,
        })
    }

    fn bytes(&self) -> Vec<u8> {
        let mut bytes = vec![1, self.profile, self.compatible, self.level, 0xff];
        bytes.push(0xe0 | self.sequence.len() as u8);
        let put = |bytes: &mut Vec<u8>, sets: &[Vec<u8>]| {
            for set in sets {
                bytes.extend((set.len() as u16).to_be_bytes());
                bytes.extend(set);
            }
        };
        put(&mut bytes, &self.sequence);
        bytes.push(self.picture.len() as u8);
        put(&mut bytes, &self.picture);
        bytes.extend(&self.rest);
        bytes
    }

    /// The profile's name, if pictures of it can be made.
    fn profile(&self) -> Option<&'static str> {
        match self.profile {
            66 => Some("constrained-baseline"),
            77 => Some("main"),
            100 => Some("high"),
            _ => None,
        }
    }

    /// The numbers of all sets.
    fn numbers(&self) -> impl Iterator<Item = Option<u32>> + '_ {
        let sequence = self.sequence.iter().map(|s| Bits::of(s.get(4..).unwrap_or_default()).number());
        sequence.chain(self.picture.iter().map(|s| Bits::of(s.get(1..).unwrap_or_default()).number()))
    }

    /// Whether all pictures are of 8 bits, with half as many samples of colour each way, and not interlaced.
    fn is_plain(&self) -> Option<bool> {
        let mut plain = true;
        for set in &self.sequence {
            let mut bits = Bits::of(set.get(4..)?);
            bits.number()?;
            if self.profile == 100 {
                let (colour, luma, chroma) = (bits.number()?, bits.number()?, bits.number()?);
                plain &= (colour, luma, chroma) == (1, 0, 0);
                bits.bit()?;
                if bits.bit()? {
                    // Matrices of their own are skipped by nobody here.
                    return Some(false);
                }
            }
            bits.number()?;
            match bits.number()? {
                0 => drop(bits.number()?),
                1 => {
                    bits.bit()?;
                    bits.numbers(2)?;
                    let many = bits.number()?.min(255);
                    bits.numbers(many)?;
                }
                _ => {}
            }
            bits.number()?;
            bits.bit()?;
            bits.numbers(2)?;
            plain &= bits.bit()?;
        }
        Some(plain)
    }
}

/// Takes so many sets, each after its length in two bytes.
fn taken(rest: &mut &[u8], many: u8) -> Option<Vec<Vec<u8>>> {
    let take = |_| {
        let length = usize::from(u16::from_be_bytes(rest.get(..2)?.try_into().ok()?));
        let set = rest.get(2..2 + length)?.to_vec();
        *rest = &rest[2 + length..];
        Some(set)
    };
    (0..many).map(take).collect()
}

/// Whether a decoder can begin with a picture whatever it decoded before (an IDR picture).
///
/// # Errors
/// When the file cannot be read.
pub(super) fn is_idr<F: Read + Seek>(file: &mut F, sample: &Sample) -> io::Result<bool> {
    let (mut at, mut head) = (0, [0; 5]);
    while at + 5 <= sample.size {
        file.seek(SeekFrom::Start(sample.place + u64::from(at)))?;
        file.read_exact(&mut head)?;
        match head[4] & 31 {
            5 => return Ok(true),
            1..=4 => return Ok(false),
            _ => at = at.saturating_add(u32_at(&head, 0).unwrap_or(0)).saturating_add(4),
        }
    }
    Ok(false)
}

/// The bits of a parameter set, without the bytes that keep start codes out of it (7.4.1).
struct Bits {
    bytes: Vec<u8>,
    at: usize,
}

impl Bits {
    fn of(set: &[u8]) -> Self {
        let mut bytes: Vec<u8> = Vec::with_capacity(set.len());
        let mut zeros = 0;
        for byte in set {
            if zeros >= 2 && *byte == 3 {
                zeros = 0;
                continue;
            }
            zeros = if *byte == 0 { zeros + 1 } else { 0 };
            bytes.push(*byte);
        }
        Self { bytes, at: 0 }
    }

    fn bit(&mut self) -> Option<bool> {
        let byte = self.bytes.get(self.at / 8)?;
        let bit = byte >> (7 - self.at % 8) & 1 == 1;
        self.at += 1;
        Some(bit)
    }

    /// Passes over so many numbers.
    fn numbers(&mut self, many: u32) -> Option<()> {
        (0..many).try_for_each(|_| self.number().map(drop))
    }

    /// A number in Exp-Golomb code (9.1).
    fn number(&mut self) -> Option<u32> {
        let mut zeros = 0;
        while !self.bit()? {
            zeros += 1;
            (zeros < 32).then_some(())?;
        }
        let mut number = 1u64;
        for _ in 0..zeros {
            number = number * 2 + u64::from(self.bit()?);
        }
        u32::try_from(number - 1).ok()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Table 9-2 of ITU-T H.264: bit strings and the numbers they mean.
    #[test]
    fn numbers_are_those_of_the_standard() {
        for (bits, number) in [(0b1000_0000u8, 0), (0b0100_0000, 1), (0b0110_0000, 2), (0b0010_0000, 3)] {
            assert_eq!(Bits::of(&[bits]).number(), Some(number));
        }
        assert_eq!(Bits::of(&[0b0001_0010]).number(), Some(8));
        assert_eq!(Bits::of(&[0, 0]).number(), None);
    }

    #[test]
    fn bytes_against_start_codes_are_left_out() {
        assert_eq!(Bits::of(&[0, 0, 3, 1, 0, 0, 3]).bytes, [0, 0, 1, 0, 0]);
    }

    proptest! {
        #[test]
        fn sets_are_written_as_they_were_read(
            sets in proptest::collection::vec(proptest::collection::vec(any::<u8>(), 0..40), 1..5),
            rest in proptest::collection::vec(any::<u8>(), 0..5),
        ) {
            let all = Sets {
                profile: 100, compatible: 0, level: 30, sequence: sets.clone(), picture: sets, rest,
            };
            prop_assert_eq!(Sets::of(&all.bytes()), Some(all));
        }

        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let mut entry = vec![0; 12];
            entry.extend(b"avc1");
            entry.extend(&bytes);
            let _ = Description::of(&entry).map(|mut d| { d.join(&d.sets.clone()); (d.next(), d.entry()) });
            let mut box_ = vec![1, 100, 0, 30, 0xff, 0xe1];
            box_.extend(&bytes);
            let _ = Sets::of(&box_).map(|s| (s.is_plain(), s.numbers().count()));
        }
    }
}
