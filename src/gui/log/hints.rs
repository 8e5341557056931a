//! The keys that a coach needs while logging, from the card.

use gtk::glib;

use crate::logging::{Action, KeyCard};

/// The hints in Pango's markup: each key stays with its word.
pub fn hints(card: &KeyCard, courtside: bool) -> String {
    let one = |cap: &str, word: &str| {
        let cap = glib::markup_escape_text(cap);
        let word = glib::markup_escape_text(word);
        unbroken(&format!("<b>{cap}</b> {word}"))
    };
    let play = (!courtside).then_some((Action::PlayPause, "play"));
    let actions = play.into_iter().chain([
        (Action::PointStart, "start"),
        (Action::Undo, "undo"),
        (Action::BallBack, "shot before"),
        (Action::Note, "note"),
    ]);
    let keys = actions.map(|(a, word)| (card.cap(a), word)).filter(|(cap, _)| !cap.is_empty());
    let mut parts: Vec<String> = keys.map(|(cap, word)| one(&cap, word)).collect();
    parts.extend(card.tags().map(|(key, tag)| one(&card.cap_of(key), tag)));
    parts.join("  ")
}

/// The text with spaces at which no line breaks.
fn unbroken(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}
