//! Texts of the user, made fit to be read on a page.

/// The text with what would act on the page, or on the text beside it, shown or taken away: control characters become `␀`-like
/// pictures of themselves, and marks that turn the direction of what follows go. Line breaks stay.
pub fn readable(text: &str) -> String {
    let text = text.replace("\r\n", "\n");
    text.trim_end().chars().filter_map(seen).collect()
}

fn seen(c: char) -> Option<char> {
    match c {
        '\n' | '\t' => Some(c),
        '\0'..='\u{1f}' => char::from_u32(0x2400 + c as u32),
        '\u{7f}' => Some('\u{2421}'),
        '\u{80}'..='\u{9f}' => Some('\u{fffd}'),
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' => None,
        c => Some(c),
    }
}

/// The first line, at most so many characters of it.
pub(super) fn first_line(text: &str, most: usize) -> String {
    let line = text.trim_start().lines().next().unwrap_or_default();
    match line.char_indices().nth(most) {
        Some((at, _)) => format!("{}…", line[..at].trim_end()),
        None => line.to_owned(),
    }
}
