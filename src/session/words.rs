//! Text as a sentence.

/// The text as a sentence begins; a file's name stays as it is.
pub fn capital(text: &str) -> String {
    let first = text.split(char::is_whitespace).next().unwrap_or_default().trim_end_matches(['.', ':']);
    if first.contains(['.', '/']) {
        return text.into();
    }
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_begins_with_a_capital_and_a_file_name_stays() {
        assert_eq!(capital("no room. then"), "No room. then");
        assert_eq!(capital("élan"), "Élan");
        assert_eq!(capital("ro/m: cannot save"), "ro/m: cannot save");
        assert_eq!(capital("m.points.json: cannot save"), "m.points.json: cannot save");
        assert_eq!(capital(""), "");
    }
}
