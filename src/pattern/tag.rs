//! Tags, and what a point says to one.

use super::answer::Answer;
use crate::facts::PointFacts;
use crate::record::{Whose, is_star};
use crate::tennis::Side;

/// A tag, and what its absence says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TagTest {
    /// The tag, compared without regard to case.
    pub tag: String,
    /// The other tags of its group. A point has only one tag of a group, so any of these means that it does not have this one.
    pub instead: Option<Vec<String>>,
    /// What a point without any tag answers.
    pub untagged: Answer,
}

impl TagTest {
    pub(super) fn answer(&self, f: &PointFacts) -> Answer {
        let has = |tag: &str| has_tag(f, tag);
        match &self.instead {
            _ if has(&self.tag) => Answer::Yes,
            // A star is set or it is not, and a star alone does not say that somebody tagged the point.
            None if is_star(&self.tag) => Answer::No,
            Some(others) if others.iter().any(|t| has(t)) => Answer::No,
            Some(_) => self.untagged,
            None if f.tags.iter().all(|t| is_star(t)) => self.untagged,
            None => Answer::No,
        }
    }
}

/// Whether two tags are the same: upper and lower case, and blanks around them, do not matter.
pub fn same_tag(a: &str, b: &str) -> bool {
    if a.eq_ignore_ascii_case(b) {
        return true;
    }
    // This runs for every point, so the common case must be fast: most tags differ and have nothing to trim.
    let plain = |s: &str| {
        s.is_ascii()
            && ![s.as_bytes().first(), s.as_bytes().last()].into_iter().flatten().any(u8::is_ascii_whitespace)
    };
    if plain(a) && plain(b) {
        return false;
    }
    let (a, b) = (a.trim(), b.trim());
    a.eq_ignore_ascii_case(b) || !(a.is_ascii() && b.is_ascii()) && a.to_lowercase() == b.to_lowercase()
}

/// Whether the point has the tag, as this side's. A tag that does not say whose it is may be either's.
pub(super) fn tag_of(f: &PointFacts, tag: &str, side: Side) -> Answer {
    match f.tags.iter().find(|t| same_tag(t, tag)) {
        Some(tag) => f.tags_by.get(tag).map(|by| by.is(side)).into(),
        None => Answer::No,
    }
}

/// Whose the tag is, where it is one player's.
pub(super) fn side_of(f: &PointFacts, tag: &str) -> Option<Side> {
    let tag = f.tags.iter().find(|t| same_tag(t, tag))?;
    match f.tags_by.get(tag)? {
        Whose::A => Some(Side::A),
        Whose::B => Some(Side::B),
        Whose::Both => None,
    }
}

pub(super) fn has_tag(f: &PointFacts, tag: &str) -> bool {
    f.tags.iter().any(|t| same_tag(t, tag))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::facts::tests::record;
    use crate::record::STAR;

    #[test]
    fn a_star_is_there_or_not_and_says_nothing_of_other_tags() {
        let mut r = record("AAA");
        r.points = r
            .points
            .iter()
            .cloned()
            .zip([vec![], vec![STAR], vec![STAR, "net"]])
            .map(|(p, tags)| crate::record::Point { tags: tags.into_iter().map(Into::into).collect(), ..p })
            .collect();
        let test = |tag: &str| TagTest { tag: tag.into(), instead: None, untagged: Answer::Unknown };
        let answers = |tag| facts(&r).iter().map(|f| test(tag).answer(f)).collect::<Vec<_>>();
        assert_eq!(answers("Starred"), [Answer::No, Answer::Yes, Answer::Yes]);
        assert_eq!(answers("net"), [Answer::Unknown, Answer::Unknown, Answer::Yes]);
        assert_eq!(answers("lob"), [Answer::Unknown, Answer::Unknown, Answer::No]);
    }
}
