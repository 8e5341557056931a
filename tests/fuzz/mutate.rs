//! Changed inputs: bytes as a bad disk changes them, words as a person or a hostile sender does.

/// Repeatable numbers (SplitMix64): one number gives one series.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to `n` − 1; 0 when `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        (self.roll() >> 16) as usize % n.max(1)
    }

    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

/// No input is longer.
const MOST: usize = 1 << 20;

/// What has upset readers of JSON, TOML and CSV before.
const WORDS: &[&str] = &[
    "0",
    "-0",
    "-1",
    "1",
    "2",
    "3",
    "24",
    "25",
    "255",
    "256",
    "65536",
    "2147483648",
    "4294967296",
    "9007199254740993",
    "18446744073709551615",
    "18446744073709551616",
    "1e999",
    "-1e-999",
    "0.1",
    "NaN",
    "inf",
    "null",
    "true",
    "false",
    "\"\"",
    "\" \"",
    "[]",
    "{}",
    "[",
    "]",
    "{",
    "}",
    ",",
    ":",
    "=",
    ".",
    "\"",
    "'",
    "\\",
    "\\u0000",
    "\"\\ud800\"",
    "\n",
    "\r\n",
    "\t",
    "\u{feff}",
    "\u{0}",
    "\u{202e}",
    "\u{e9}",
    "\u{1f3be}",
    "\"a\"",
    "\"b\"",
    "a",
    "b",
    "#",
    "\"\"\"",
    "[[",
    "]]",
    "\"00:00:00.000\"",
    "\"99999999:59:59.999999999\"",
    "\"2026-02-30\"",
    "2026-02-28",
    "\"../../x\"",
    "\"/etc/hosts\"",
    "ctrl+shift+alt+",
    ";",
    "|",
];

/// One to several changes of a seed, some of them with a piece of another.
pub fn mutated(seed: &[u8], other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut out = seed.to_vec();
    for _ in 0..=dice.below(6) {
        out = if dice.below(3) == 0 { bytes(out, dice) } else { words(&out, other, dice) };
        out.truncate(MOST);
    }
    out
}

fn bytes(mut out: Vec<u8>, dice: &mut Dice) -> Vec<u8> {
    let i = dice.below(out.len());
    match dice.below(6) {
        _ if out.is_empty() => out.push(dice.roll() as u8),
        0 => out[i] = dice.roll() as u8,
        1 => out[i] ^= 1 << dice.below(8),
        2 => out.insert(i, dice.roll() as u8),
        3 => drop(out.remove(i)),
        4 => out.truncate(i),
        _ => drop(out.splice(i..i, [0xff, 0xfe])),
    }
    out
}

fn words(text: &[u8], other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut words = tokens(text);
    if words.is_empty() {
        return dice.pick(WORDS).as_bytes().to_vec();
    }
    let (i, j) = (dice.below(words.len()), dice.below(words.len()));
    let (from, to) = (i.min(j), i.max(j).min(i.min(j) + 40));
    match dice.below(9) {
        0 => drop(words.remove(i)),
        1 => drop(words.drain(from..to)),
        2 => words.swap(i, j),
        3 | 4 => words[i] = dice.pick(WORDS).as_bytes(),
        5 => words.insert(i, dice.pick(WORDS).as_bytes()),
        6 => {
            let many = 1 << dice.below(18);
            let word = if dice.below(2) == 0 { words[i] } else { dice.pick(WORDS).as_bytes() };
            // What is too long is cut off anyway: a long word is not repeated into gigabytes first.
            let many = many.min(MOST / word.len() + 1);
            drop(words.splice(i..i, std::iter::repeat_n(word, many)));
        }
        7 => {
            let piece: Vec<&[u8]> = words[from..to].to_vec();
            drop(words.splice(j..j, piece));
        }
        _ => {
            let theirs = tokens(other);
            let (a, b) = (dice.below(theirs.len()), dice.below(60));
            let piece = theirs.into_iter().skip(a).take(b);
            drop(words.splice(from..to, piece));
        }
    }
    words.concat()
}

/// Strings, words and numbers, and everything else byte by byte; put together again they are the text.
fn tokens(text: &[u8]) -> Vec<&[u8]> {
    let mut out = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.first() {
        let word = |b: &u8| b.is_ascii_alphanumeric() || b"_-+.".contains(b) || *b >= 0x80;
        let len = match first {
            b'"' => string_length(rest),
            b if word(b) => rest.iter().take_while(|b| word(b)).count(),
            _ => 1,
        };
        let (token, after) = rest.split_at(len);
        out.push(token);
        rest = after;
    }
    out
}

fn string_length(text: &[u8]) -> usize {
    let mut escaped = false;
    for (i, b) in text.iter().enumerate().skip(1) {
        match b {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => return i + 1,
            b'\n' => return 1,
            _ => {}
        }
    }
    1
}

#[test]
fn tokens_make_the_text_again() {
    let text = b"{\"a\\\"b\": [1.5e3, tru\xc3\xa9], \"open\n'x' = \"";
    let parts = tokens(text);
    assert_eq!(parts.concat(), text);
    assert!(parts.contains(&&b"\"a\\\"b\""[..]) && parts.contains(&&b"1.5e3"[..]));
}

#[test]
fn one_number_gives_one_series() {
    let series = |n| (0..50).map(|_| mutated(b"{\"a\": 1}", b"[2]", &mut Dice(n))).collect::<Vec<_>>();
    assert_eq!(series(7), series(7));
    assert_ne!(series(7), series(8));
}
