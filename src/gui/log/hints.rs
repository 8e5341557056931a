//! The keys that a coach needs while logging, from the card.

use gtk::glib;

use crate::logging::{Action, KeyCard};

/// The hints in Pango's markup: each key stays with its word. Without a current point (`point`), those that need one are left
/// out.
pub fn hints(card: &KeyCard, courtside: bool, point: bool) -> String {
    let one = |cap: &str, word: &str| {
        let cap = glib::markup_escape_text(cap);
        let word = glib::markup_escape_text(word);
        unbroken(&format!("<b>{cap}</b> {word}"))
    };
    let play = (!courtside).then_some((Action::PlayPause, "play"));
    let of_a_point =
        [(Action::Undo, "undo"), (Action::BallBack, "shot before"), (Action::Note, "note")].into_iter();
    let actions = play
        .into_iter()
        .chain([(Action::PointStart, "start of a point")])
        .chain(of_a_point.filter(|_| point));
    let keys = actions.map(|(a, word)| (card.cap(a), word)).filter(|(cap, _)| !cap.is_empty());
    let mut parts: Vec<String> = keys.map(|(cap, word)| one(&cap, word)).collect();
    parts.extend(card.tags().filter(|_| point).map(|(key, tag)| one(&card.cap_of(key), tag)));
    parts.join("  ")
}

/// The text with spaces at which no line breaks.
fn unbroken(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_point_only_the_keys_that_begin_one_are_told() {
        let card = KeyCard::parse(crate::logging::card::BUILT_IN).unwrap();
        let few = hints(&card, false, false);
        assert!(few.contains("play") && few.contains("start\u{a0}of") && !few.contains("note"), "{few}");
        let all = hints(&card, true, true);
        assert!(all.contains("note") && all.contains("F2") && !all.contains("play"), "{all}");
    }
}
