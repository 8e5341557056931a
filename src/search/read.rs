//! From what was typed to chips.

use std::ops::Range;

use super::chip::{Chip, Meaning};
use super::dates::dates;
use super::number::number;
use super::vocabulary::{Kind, Phrase, Vocabulary, normal};
use crate::near::Hint;

/// The most letters that are read of a search.
const MOST: usize = 1000;

/// A word, and where it was typed.
struct Word {
    text: String,
    place: Range<usize>,
    /// Where a comma stands behind it.
    comma: Option<usize>,
}

/// What was typed, taken apart.
enum Piece {
    Words(Vec<Word>),
    Quoted(Range<usize>),
}

/// The chips of what was typed, in its order.
pub(super) fn chips(text: &str, vocabulary: &Vocabulary) -> Vec<Chip> {
    let end = text.char_indices().nth(MOST).map_or(text.len(), |(at, _)| at);
    let text = &text[..end];
    let mut chips = Vec::new();
    for piece in pieces(text) {
        match piece {
            Piece::Words(words) => read_words(&words, vocabulary, text, &mut chips),
            Piece::Quoted(place) => {
                let words = text[place.clone()].trim_matches(['"', '“', '”']).trim().to_owned();
                if !words.is_empty() {
                    chips.push(Chip {
                        place,
                        words: format!("note with \"{words}\""),
                        meaning: Meaning::Note(words),
                    });
                }
            }
        }
    }
    chips
}

/// Runs of words, and texts in quotes.
fn pieces(text: &str) -> Vec<Piece> {
    let mut all = Vec::new();
    let mut words: Vec<Word> = Vec::new();
    let mut start: Option<usize> = None;
    let mut quote: Option<usize> = None;
    for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
        let is_quote = matches!(c, '"' | '“' | '”');
        if let Some(from) = quote {
            if is_quote || at == text.len() {
                let until = if is_quote { at + c.len_utf8() } else { at };
                all.push(Piece::Quoted(from..until));
                quote = None;
            }
            continue;
        }
        if !(c.is_whitespace() || c == ',' || is_quote) {
            start = start.or(Some(at));
            continue;
        }
        if let Some(from) = start.take() {
            let word = |text| Word { text, place: from..at, comma: None };
            words.extend(normal(&text[from..at]).into_iter().map(word));
        }
        if c == ','
            && let Some(last) = words.last_mut()
        {
            last.comma = Some(at);
        }
        if is_quote || at == text.len() {
            if !words.is_empty() {
                all.push(Piece::Words(std::mem::take(&mut words)));
            }
            quote = is_quote.then_some(at);
        }
    }
    all
}

fn read_words(words: &[Word], vocabulary: &Vocabulary, text: &str, chips: &mut Vec<Chip>) {
    let mut rest = words;
    while let Some(first) = rest.first() {
        let (taken, said, meaning) = phrase(rest, vocabulary);
        let (these, after) = rest.split_at(taken.clamp(1, rest.len()));
        let last = these.last().unwrap_or(first);
        let place = first.place.start..last.place.end;
        let words = said.unwrap_or_else(|| text[place.clone()].to_owned());
        chips.push(Chip { place, words, meaning });
        if let Some(at) = last.comma {
            chips.push(Chip { place: at..at + 1, words: ",".into(), meaning: Meaning::Comma });
        }
        rest = after;
    }
}

/// The longest phrase at the start of these words; how the screens write it, where it is known. Only a name goes on over
/// a comma.
fn phrase(words: &[Word], vocabulary: &Vocabulary) -> (usize, Option<String>, Meaning) {
    let all: Vec<&str> = words.iter().map(|w| w.text.as_str()).collect();
    let until = words.iter().position(|w| w.comma.is_some()).map_or(words.len(), |at| at + 1);
    let near = &all[..until];
    let of = |(n, p): (usize, &Phrase)| (n, p.words.clone(), p.meaning.clone());
    let name = vocabulary.longest_of(&all, |kind| kind != Kind::Word).map(of);
    let known = vocabulary.longest_of(near, |kind| kind == Kind::Word).map(of);
    let counted = number(near);
    let dated = dates(near).map(|(n, d)| (n, d.to_string(), Meaning::Dates(d)));
    let found = [known, counted, dated, name].into_iter().flatten();
    match found.reduce(|a, b| if b.0 > a.0 { b } else { a }) {
        Some((n, said, meaning)) => (n, Some(said), meaning),
        None => (1, None, Meaning::Unknown(vocabulary.near(all.first().copied().unwrap_or_default()))),
    }
}

impl Vocabulary {
    /// The nearest phrase of one word.
    fn near(&self, word: &str) -> Hint {
        let mut phrases: Vec<&str> =
            self.all().map(|(typed, _)| typed).filter(|p| !p.contains(' ')).collect();
        phrases.sort_unstable();
        Hint::of(word, phrases)
    }
}
