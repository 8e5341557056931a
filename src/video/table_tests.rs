use proptest::prelude::*;

use super::*;

fn atom(kind: &[u8], content: &[u8]) -> Vec<u8> {
    [&(content.len() as u32 + 8).to_be_bytes()[..], kind, content].concat()
}

fn words(all: &[u32]) -> Vec<u8> {
    all.iter().flat_map(|w| w.to_be_bytes()).collect()
}

/// A file of six frames of 40 ms at 25,000 ticks a second, four bytes each, in two chunks; what a test changes.
struct Film {
    /// Kind and words of each list.
    lists: Vec<(&'static str, Vec<u32>)>,
    edits: Vec<u32>,
    before: Vec<Vec<u8>>,
    lasts: u32,
    data: usize,
}

impl Film {
    fn new() -> Self {
        let lists: [(&str, &[u32]); 5] = [
            ("stts", &[0, 1, 6, 1000]),
            ("stss", &[0, 2, 1, 4]),
            ("stsc", &[0, 2, 1, 4, 1, 2, 2, 1]),
            ("stsz", &[0, 0, 6, 4, 4, 4, 4, 4, 4]),
            ("stco", &[0, 2, 16, 32]),
        ];
        let lists = lists.into_iter().map(|(kind, words)| (kind, words.to_vec())).collect();
        Self { lists, edits: Vec::new(), before: Vec::new(), lasts: 0, data: 24 }
    }

    fn with(mut self, kind: &'static str, words: &[u32]) -> Self {
        self.lists.retain(|l| l.0 != kind);
        self.lists.push((kind, words.to_vec()));
        self
    }

    fn edited(mut self, edits: &[u32]) -> Self {
        self.edits = [&[0, edits.len() as u32 / 3], edits].concat();
        self
    }

    fn bytes(&self) -> Vec<u8> {
        let tables: Vec<u8> =
            self.lists.iter().flat_map(|(kind, list)| atom(kind.as_bytes(), &words(list))).collect();
        let clock = |ticks: u32, lasts: u32| words(&[0, 0, 0, ticks, lasts, 0]);
        let handler = [&[0; 8], &b"vide"[..], &[0; 12]].concat();
        let media = [
            atom(b"mdhd", &clock(25_000, self.lasts)),
            atom(b"hdlr", &handler),
            atom(b"minf", &atom(b"stbl", &tables)),
        ];
        let edits =
            if self.edits.is_empty() { vec![] } else { atom(b"edts", &atom(b"elst", &words(&self.edits))) };
        let track = atom(b"trak", &[edits, atom(b"mdia", &media.concat())].concat());
        let movie = [atom(b"mvhd", &clock(1000, 0)), self.before.concat(), track].concat();
        [atom(b"mdat", &vec![0; self.data]), atom(b"free", b"12345678"), atom(b"moov", &movie)].concat()
    }

    fn listed(&self) -> Option<Listed> {
        listed(&mut io::Cursor::new(self.bytes())).unwrap()
    }

    /// The milliseconds of the frames, as they come.
    fn millis(&self) -> Option<Vec<u64>> {
        Some(self.listed()?.frames.iter().map(|f| f.0.nanos() / 1_000_000).collect())
    }
}

#[test]
fn times_and_key_frames_are_as_listed() {
    let listed = Film::new().listed().unwrap();
    let at = |i: u64| MatchTime::from_millis(i * 40);
    assert_eq!(listed.frames, (0..6u64).map(|i| (at(i), i == 0 || i == 3)).collect::<Vec<_>>());
    assert_eq!(listed.last, Some((at(5), Duration::from_millis(40))));
    let uneven = Film::new().with("stts", &[0, 3, 2, 1000, 3, 500, 1, 25]).listed().unwrap();
    assert_eq!(uneven.last, Some((MatchTime::from_millis(140), Duration::from_millis(1))));
    let mut all_keys = Film::new();
    all_keys.lists.retain(|l| l.0 != "stss");
    assert!(all_keys.listed().unwrap().frames.iter().all(|f| f.1));
    // Shown in another order than stored, and the film starts with the first that is shown.
    let shifts: &[u32] = &[0, 6, 1, 1000, 1, 3000, 1, 1000, 1, 0, 1, 1000, 1, 1000];
    let film = || Film::new().with("ctts", shifts);
    assert_eq!(film().millis(), Some(vec![40, 160, 120, 120, 200, 240]));
    let from_nought = Some(vec![0, 120, 80, 80, 160, 200]);
    assert_eq!(film().edited(&[240, 1000, 0x1_0000]).millis(), from_nought);
    // The same with shifts that go back in time, and all moved so that they do not.
    let back: &[u32] = &[0, 6, 1, 0, 1, 2000, 1, 0, 1, 1000_u32.wrapping_neg(), 1, 0, 1, 0];
    assert_eq!(Film::new().with("ctts", back).millis(), from_nought);
    let moved = Film::new().with("ctts", back).with("cslg", &[0, 1000, 0, 0, 0, 0]);
    assert_eq!(moved.edited(&[240, 0, 0x1_0000]).millis(), from_nought);
    assert_eq!(Film { lasts: 6000, ..Film::new() }.millis(), Film::new().millis());
}

/// As some encoders write it: what all frames are shown later than decoded stands in the length of the last one too.
#[test]
fn the_last_frame_is_shown_until_the_end_of_the_track() {
    let shifts: &[u32] = &[0, 6, 1, 1000, 1, 3000, 1, 1000, 1, 0, 1, 1000, 1, 1000];
    let of = |last: u32| {
        let film = Film::new().with("ctts", shifts).with("stts", &[0, 2, 5, 1000, 1, last]);
        film.edited(&[280, 1000, 0x1_0000]).listed().unwrap().last.unwrap().1.as_millis()
    };
    assert_eq!((of(1000), of(2000)), (40, 40), "by the list, and without the delay of 40 ms");
}

#[test]
fn one_edit_after_a_pause_is_understood() {
    let whole = Some(vec![0, 40, 80, 120, 160, 200]);
    assert_eq!(Film::new().edited(&[240, 0, 0x1_0000]).millis(), whole);
    assert_eq!(Film::new().edited(&[0, 0, 0x1_0000]).millis(), whole, "no length is none that ends it");
    let pause = &[500, u32::MAX, 0x1_0000, 240, 0, 0x1_0000];
    assert_eq!(Film::new().edited(pause).millis(), Some(vec![500, 540, 580, 620, 660, 700]));
    // It starts within the second frame, which is left out.
    assert_eq!(Film::new().edited(&[180, 1500, 0x1_0000]).millis(), Some(vec![20, 60, 100, 140]));
}

#[test]
fn what_is_not_understood_has_no_answer() {
    let films = [
        ("ends before its frames", Film::new().edited(&[100, 0, 0x1_0000])),
        ("two parts", Film::new().edited(&[120, 0, 0x1_0000, 120, 3000, 0x1_0000])),
        ("at half speed", Film::new().edited(&[240, 0, 0x8000])),
        ("ends before its frames, without an edit", Film { lasts: 5000, ..Film::new() }),
        ("no shift for all", Film::new().with("ctts", &[0, 1, 6, 0]).with("cslg", &[])),
        ("too few times", Film::new().with("stts", &[0, 1, 5, 1000])),
        ("too few shifts", Film::new().with("ctts", &[0, 1, 5, 1000])),
        ("a key frame before the first", Film::new().with("stss", &[0, 1, 0])),
        ("a key frame after the last", Film::new().with("stss", &[0, 1, 7])),
        ("fewer places than frames", Film::new().with("stco", &[0, 1, 16])),
        ("no place", Film::new().with("stsc", &[0, 0])),
        ("frames behind the end", Film::new().with("stco", &[0, 2, 16, 1_000_000])),
        (
            "frames that share their bytes",
            Film::new()
                .with("stsz", &[0, 40, 12])
                .with("stsc", &[0, 1, 1, 6, 1])
                .with("stco", &[0, 2, 0, 0])
                .with("stts", &[0, 1, 12, 1000]),
        ),
        ("frames that are too long", Film::new().with("stsz", &[0, u32::MAX, 6])),
        ("no frame", Film::new().with("stsz", &[0, 0, 0])),
        ("four thousand million frames", Film::new().with("stsz", &[0, 1, u32::MAX])),
        ("fragments", Film { before: vec![atom(b"mvex", b"")], ..Film::new() }),
    ];
    for (what, film) in films {
        assert_eq!(film.listed(), None, "{what}");
    }
    assert!(
        Film { before: vec![atom(b"trak", b"")], ..Film::new() }.listed().is_some(),
        "another track first"
    );
    for kind in ["stts", "stsc", "stsz", "stco"] {
        let mut film = Film::new();
        film.lists.retain(|l| l.0 != kind);
        assert_eq!(film.listed(), None);
    }
}

proptest! {
    /// Whatever word of the file is another one, and wherever it is cut off.
    #[test]
    fn no_bytes_make_it_panic(at in 0usize..90, word in any::<u32>(), cut in 0usize..420) {
        let mut bytes = Film::new().with("ctts", &[0, 1, 6, 1000]).edited(&[240, 1000, 0x1_0000]).bytes();
        if let Some(place) = bytes.get_mut(at * 4..at * 4 + 4) {
            place.copy_from_slice(&word.to_be_bytes());
        }
        let _ = listed(&mut io::Cursor::new(&bytes));
        bytes.truncate(cut);
        let _ = listed(&mut io::Cursor::new(&bytes));
    }
}
