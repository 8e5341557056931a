//! One table of a pattern file changed and the rest left as it stands, comments and all.

/// Text in which each pattern is a `[[pattern]]` table of its own, in pieces: what stands before the first, then one
/// piece a pattern, with the comments right above it. None where the text is written in another way.
fn pieces(text: &str) -> Option<Vec<String>> {
    let (mut pieces, mut comments) = (vec![String::new()], String::new());
    for line in text.split_inclusive('\n') {
        let bare = line.trim();
        if bare.starts_with('#') {
            comments.push_str(line);
            continue;
        }
        let header = bare.strip_prefix("[[").and_then(|t| t.split("]]").next()).map(str::trim);
        match header {
            Some("pattern") => pieces.push(std::mem::take(&mut comments)),
            // A table after the patterns would be lost with the one before it.
            _ if line.starts_with('[') && pieces.len() > 1 => return None,
            _ => {}
        }
        if let Some(last) = pieces.last_mut() {
            last.push_str(&std::mem::take(&mut comments));
            last.push_str(line);
        }
    }
    if let Some(last) = pieces.last_mut() {
        last.push_str(&comments);
    }
    Some(pieces)
}

/// How many patterns can be changed one by one.
pub fn count(text: &str) -> Option<usize> {
    pieces(text).map(|p| p.len() - 1)
}

/// The text with another table for a pattern, from 0.
pub fn replace(text: &str, at: usize, table: &str) -> Option<String> {
    let mut all = pieces(text)?;
    let last = at + 2 == all.len();
    let piece = all.get_mut(at + 1)?;
    let comments: String = piece.split_inclusive('\n').take_while(|l| l.trim().starts_with('#')).collect();
    *piece = format!("{comments}{}\n{}", table.trim_end(), if last { "" } else { "\n" });
    Some(all.concat())
}

/// The text with one more table at its end.
pub fn append(text: &str, table: &str) -> String {
    let gap = if text.trim().is_empty() { "" } else { "\n\n" };
    format!("{}{gap}{}\n", text.trim_end(), table.trim_end())
}

/// The text without a pattern, from 0, and the comments right above it.
pub fn remove(text: &str, at: usize) -> Option<String> {
    let mut all = pieces(text)?;
    (at + 1 < all.len()).then(|| all.remove(at + 1))?;
    Some(all.concat())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# mine\nuntagged = \"no\"\n\n# first\n[[pattern]]\nname = \"a\"   # keep\nserve = 1\n\n[[ pattern ]]\nname = \"b\"\nserve = 2\n";

    #[test]
    fn the_rest_stays_as_it_is() {
        let new = "[[pattern]]\nname = \"c\"\nserve = 1\n";
        let replaced = replace(TEXT, 1, new).unwrap();
        assert_eq!(replaced, TEXT.replace("[[ pattern ]]\nname = \"b\"\nserve = 2\n", new));
        let replaced = replace(TEXT, 0, new).unwrap();
        assert_eq!(replaced, TEXT.replace("[[pattern]]\nname = \"a\"   # keep\nserve = 1\n", new));
        assert_eq!(remove(TEXT, 1).unwrap() + "[[ pattern ]]\nname = \"b\"\nserve = 2\n", TEXT);
        assert_eq!(append(&remove(TEXT, 1).unwrap(), new).matches("[[pattern]]").count(), 2);
        assert_eq!((count(TEXT), count(""), count("pattern = []")), (Some(2), Some(0), Some(0)));
        assert_eq!((replace(TEXT, 2, new), remove(TEXT, 2)), (None, None));
        assert_eq!(append("", new), new);
    }

    #[test]
    fn a_table_that_would_be_lost_is_left_to_the_text() {
        assert_eq!(replace(&format!("{TEXT}\n[groups]\na = [\"x\"]\n"), 0, ""), None);
    }

    proptest::proptest! {
        #[test]
        fn pieces_are_the_whole_text(text in "((#[a-z]{0,3}|\\[\\[pattern\\]\\]|name = \"x\"|)\n){0,12}[a-z#]{0,3}") {
            if let Some(all) = pieces(&text) {
                proptest::prop_assert_eq!(all.concat(), text);
            }
        }
    }
}
