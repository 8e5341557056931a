//! The names that starter patterns had before.

use super::tag::same_tag;

/// Starter patterns that had another name, or were two patterns, each with its name now.
const RENAMED: [(&str, &str); 10] = [
    ("Wide serve, then open court", "Wide serve, open court"),
    ("Serve plus one, behind", "Plus one, behind"),
    ("First serve wide, deuce court", "First serve wide, in or out, deuce court"),
    ("First serve T, ad court", "First serve T, in or out, ad court"),
    ("Body serve", "Serve at the body"),
    ("Short rally, 1 to 4 balls", "Short rally"),
    ("Long rally, 9 balls or more", "Long rally"),
    ("Given away by the server", "Errors by the server"),
    ("Brought in", "Opponent pulled in"),
    ("Pushed back", "Opponent pushed back"),
];

/// The name that a starter pattern has now; `None` if it never had this name.
pub(super) fn renamed(name: &str) -> Option<&'static str> {
    RENAMED.iter().find(|(old, _)| same_tag(old, name)).map(|(_, new)| *new)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::PatternFile;

    #[test]
    fn an_old_name_finds_the_pattern() {
        let file = PatternFile::starter().unwrap();
        for (old, new) in RENAMED {
            assert_eq!(file.named(&old.to_uppercase()).unwrap().name, new);
        }
        assert!(file.named("Wide serve, then").is_err());
    }
}
