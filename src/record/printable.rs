//! A stranger's text, made fit for a message.

/// A stranger's text for a message: at most `most` characters, control characters shown as escapes.
pub(crate) fn printable(text: &str, most: usize) -> String {
    let mut shown = String::new();
    for (n, c) in text.chars().enumerate() {
        if n == most {
            shown.push('…');
            break;
        }
        if c.is_control()
            || matches!(c, '\u{200e}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        {
            shown.extend(c.escape_unicode());
        } else {
            shown.push(c);
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strangers_text_cannot_drive_a_terminal() {
        assert_eq!(printable("a\u{1b}[2Jb\u{202e}", 100), "a\\u{1b}[2Jb\\u{202e}");
        assert_eq!(printable("äöüß", 2), "äö…");
    }
}
