//! How cells are written and read: the same words both ways.

use std::borrow::Cow;
use std::collections::BTreeSet;

use crate::near::{Allowed, one_of};
use crate::record::{Finish, Logged, Outcome};
use crate::tennis::Side;
use crate::tennis::pair::Server;
use crate::tennis::stroke::Miss;

/// Who served or won. The last four are of doubles.
const SERVERS: [(&str, Server); 6] = [
    ("a", Server::A),
    ("b", Server::B),
    ("a1", Server::A1),
    ("a2", Server::A2),
    ("b1", Server::B1),
    ("b2", Server::B2),
];

const OUTCOMES: [(&str, Outcome); 5] = [
    ("a retired", Outcome::Retired(Side::A)),
    ("b retired", Outcome::Retired(Side::B)),
    ("a defaulted", Outcome::Defaulted(Side::A)),
    ("b defaulted", Outcome::Defaulted(Side::B)),
    ("unfinished", Outcome::Unfinished),
];

/// Where the last shot went, and whether it went wide too.
pub const MISSES: [(&str, (Miss, bool)); 4] = [
    ("net", (Miss::Net, false)),
    ("long", (Miss::Long, false)),
    ("wide", (Miss::Wide, false)),
    (Miss::LONG_AND_WIDE, (Miss::Long, true)),
];

/// Whether the serve in play was not returned.
pub const UNRETURNED: [(&str, bool); 2] = [("yes", true), ("no", false)];

/// Which shots are there.
pub const LOGGED: [(&str, Logged); 2] = [("opening", Logged::Opening), ("every", Logged::Every)];

/// What is allowed in the column `winner`, for messages.
pub const WINNERS: &str = "allowed: a, b, ? (not known), let (played again)";

/// The cell of a server.
pub fn server_words(server: Server) -> &'static str {
    SERVERS.iter().find(|(_, other)| *other == server).map_or("", |(word, _)| word)
}

/// The server of a cell; only in doubles (`pairs`) one of two.
///
/// # Errors
/// What is allowed.
pub fn server(cell: &str, pairs: bool) -> Result<Server, Allowed> {
    one_of(cell, if pairs { &SERVERS[..] } else { &SERVERS[..2] }).map_err(|allowed| {
        if pairs { allowed } else { allowed.but("a1, a2, b1, b2 only under rules for doubles") }
    })
}

/// The cell of a point's winner: `let` when the point was played again.
pub const fn winner_words(winner: Option<Side>, replayed: bool) -> &'static str {
    match (replayed, winner) {
        (true, _) => "let",
        (false, None) => "?",
        (false, Some(Side::A)) => "a",
        (false, Some(Side::B)) => "b",
    }
}

/// The winner of a cell, and whether the point was played again; nothing when it says neither.
pub fn winner(cell: &[u8]) -> Option<(Option<Side>, bool)> {
    match cell {
        b"a" | b"A" => Some((Some(Side::A), false)),
        b"b" | b"B" => Some((Some(Side::B), false)),
        b"?" => Some((None, false)),
        word => word.eq_ignore_ascii_case(b"let").then_some((None, true)),
    }
}

/// The cell of the serve that started the rally or failed last, by the faults before it.
pub const fn serve_words(faults: Option<u8>) -> &'static str {
    match faults {
        None => "",
        Some(0) => "1",
        Some(_) => "2",
    }
}

/// The cell of a side; empty for none.
pub const fn side_words(side: Option<Side>) -> &'static str {
    match side {
        None => "",
        Some(Side::A) => "a",
        Some(Side::B) => "b",
    }
}

/// The side of a cell.
///
/// # Errors
/// What is allowed.
pub fn side(cell: &str) -> Result<Side, Allowed> {
    one_of(cell, &[("a", Side::A), ("b", Side::B)])
}

/// The cell of a miss; empty if there was none. Only a shot that went long can have gone wide as well.
pub fn miss_words(miss: Option<Miss>, also_wide: bool) -> &'static str {
    match miss {
        Some(Miss::Long) if also_wide => Miss::LONG_AND_WIDE,
        miss => miss.map_or("", Miss::words),
    }
}

/// The cell of which shots are there; empty where that was not noted.
pub fn logged_words(logged: Option<Logged>) -> &'static str {
    logged.and_then(|l| LOGGED.iter().find(|(_, other)| *other == l)).map_or("", |(word, _)| word)
}

/// What a word of a cell means; case, and hyphens for blanks, do not count.
///
/// # Errors
/// What is allowed.
pub fn one<T: Copy>(cell: &str, words: &[(&'static str, T)]) -> Result<T, Allowed> {
    one_of(&plain(cell), words)
}

/// How the point of a cell ended.
///
/// # Errors
/// What is allowed.
pub fn finish(cell: &str) -> Result<Finish, Allowed> {
    one_of(&plain(cell), &Finish::ALL.map(|f| (f.words(), f)))
}

/// How a match ended that its score did not end, in words: `a retired`.
///
/// # Errors
/// What is allowed.
pub fn outcome(words: &str) -> Result<Outcome, Allowed> {
    one_of(&plain(words), &OUTCOMES)
}

/// The words that [`outcome`] reads.
pub fn outcome_words(outcome: Outcome) -> &'static str {
    OUTCOMES.iter().find(|(_, other)| *other == outcome).map_or("", |(words, _)| words)
}

/// A cell's words without outer blanks; no-break spaces and the like are blanks.
pub fn tidy(cell: &str) -> Cow<'_, str> {
    let odd = |c: char| matches!(c, '\u{a0}' | '\u{2007}' | '\u{202f}' | '\u{200b}' | '\u{feff}');
    if !cell.contains(odd) {
        return cell.trim().into();
    }
    cell.replace(odd, " ").trim().to_owned().into()
}

/// Words without what does not count.
fn plain(words: &str) -> String {
    tidy(words).to_lowercase().replace(['-', '_'], " ")
}

/// The cell of tags: `;` between them; one within a tag gets a backslash before it, and so does a backslash.
pub fn tags_words(tags: &BTreeSet<String>) -> String {
    let one = |t: &str| t.replace('\\', "\\\\").replace(';', "\\;");
    let all: Vec<String> = tags.iter().map(|t| t.trim()).filter(|t| !t.is_empty()).map(one).collect();
    guarded(&all.join(";"))
}

/// The tags of a cell.
pub fn tags(text: &str) -> BTreeSet<String> {
    let (mut all, mut tag) = (Vec::new(), String::new());
    let mut letters = bare(text).chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            ';' => all.push(std::mem::take(&mut tag)),
            '\\' => tag.push(letters.next_if(|n| matches!(n, ';' | '\\')).unwrap_or('\\')),
            c => tag.push(c),
        }
    }
    all.push(tag);
    all.iter().map(|t| t.trim()).filter(|t| !t.is_empty()).map(Into::into).collect()
}

/// The text with an apostrophe before it if a spreadsheet might take it for a formula: if it starts with `=`, `+`,
/// `-`, `@`, tab or a line end, also in full width (OWASP, *CSV Injection*). A text that already has apostrophes
/// before such a sign gets one more, so that taking one away always gives the text back.
pub fn guarded(text: &str) -> String {
    if is_formula(text.trim_start_matches('\'')) { format!("'{text}") } else { text.into() }
}

/// The text that [`guarded`] was given.
pub fn bare(text: &str) -> &str {
    text.strip_prefix('\'').filter(|rest| is_formula(rest.trim_start_matches('\''))).unwrap_or(text)
}

fn is_formula(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'])
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_is_written_is_read_again() {
        for (word, s) in SERVERS {
            assert_eq!((server_words(s), server(&word.to_uppercase(), true)), (word, Ok(s)));
        }
        for (replayed, side) in [(true, None), (false, None), (false, Some(Side::A)), (false, Some(Side::B))]
        {
            assert_eq!(winner(winner_words(side, replayed).as_bytes()), Some((side, replayed)));
        }
        for (words, o) in OUTCOMES {
            assert_eq!((outcome_words(o), outcome(words)), (words, Ok(o)));
        }
        for f in Finish::ALL {
            assert_eq!(finish(f.words()), Ok(f));
        }
        assert_eq!(finish("Forced_Error"), Ok(Finish::ForcedError));
        let wrong = outcome("a retird").unwrap_err().to_string();
        assert_eq!(
            wrong,
            "allowed: a retired, b retired, a defaulted, b defaulted, unfinished; did you mean \"a retired\"?"
        );
        let wrong = server("a1", false).unwrap_err().to_string();
        assert_eq!(wrong, "allowed: a, b (a1, a2, b1, b2 only under rules for doubles)");
    }

    proptest! {
        #[test]
        fn a_guard_comes_off_again(text in r"['=+@\-a\t]{0,5}.{0,5}") {
            let kept = guarded(&text);
            prop_assert_eq!(bare(&kept), text.as_str());
            prop_assert!(!is_formula(&kept));
        }

        #[test]
        fn tags_are_read_as_they_are_written(all in proptest::collection::btree_set("[a;\\\\=b]{1,4}", 0..4)) {
            prop_assert_eq!(tags(&tags_words(&all)), all);
        }
    }
}
