//! The cells of what the score does not tell: courts and ends as seen, and whose a tag is.

use std::collections::{BTreeMap, BTreeSet};

use super::cell::{tags, tags_words};
use crate::near::{Allowed, one_of};
use crate::record::Whose;
use crate::tennis::{CourtSide, End};

/// Courts.
pub const COURTS: [(&str, CourtSide); 2] = [("deuce", CourtSide::Deuce), ("ad", CourtSide::Ad)];

/// Ends.
pub const ENDS: [(&str, End); 2] = [("near", End::Near), ("far", End::Far)];

/// Yes or no.
pub const YES: [(&str, bool); 2] = [("yes", true), ("no", false)];

const WHOSE: [(&str, Whose); 3] = [("a", Whose::A), ("b", Whose::B), ("both", Whose::Both)];

/// The word of a value; empty for none.
pub fn word_of<T: PartialEq>(value: Option<T>, words: &[(&'static str, T)]) -> &'static str {
    value.and_then(|v| words.iter().find(|(_, other)| *other == v)).map_or("", |(word, _)| word)
}

/// The cell of whose the tags are: `a:drop shot;both:lob`, the tags separated as in the column of the tags.
pub fn tag_of_words(whose: &BTreeMap<String, Whose>) -> String {
    let one = |(tag, by): (&String, &Whose)| format!("{}:{}", word_of(Some(*by), &WHOSE), tag.trim());
    tags_words(&whose.iter().map(one).collect::<BTreeSet<_>>())
}

/// Whose each tag of a cell is.
///
/// # Errors
/// The part of the cell that says nothing, and what is allowed.
pub fn tag_of(cell: &str) -> Result<BTreeMap<String, Whose>, (String, Allowed)> {
    let one = |part: String| {
        let (by, tag) = part.split_once(':').unwrap_or((&part, ""));
        let by = one_of(by.trim(), &WHOSE)
            .map_err(|allowed| (part.clone(), allowed.but("before a colon and the tag, as a:drop shot")))?;
        Ok((tag.trim().to_owned(), by))
    };
    tags(cell).into_iter().map(one).filter(|r| r.as_ref().map_or(true, |(tag, _)| !tag.is_empty())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whose_tags_are_is_written_and_read_back() {
        let all: BTreeMap<String, Whose> =
            [("drop shot".into(), Whose::A), ("a;b:c".into(), Whose::Both), ("lob".into(), Whose::B)].into();
        let cell = tag_of_words(&all);
        assert_eq!(cell, "a:drop shot;b:lob;both:a\\;b:c");
        assert_eq!(tag_of(&cell).unwrap(), all);
        assert_eq!(tag_of("").unwrap(), BTreeMap::new());
        assert_eq!(tag_of("c:lob").unwrap_err().0, "c:lob");
        assert_eq!(tag_of("lob").unwrap_err().0, "lob");
    }
}
