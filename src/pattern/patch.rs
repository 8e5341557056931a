//! One table of a pattern file changed and the rest left as it stands, comments and all.

use toml_edit::{ArrayOfTables, DocumentMut, Item, RawString, Table, Value};

const PATTERN: &str = "pattern";

fn tables(doc: &mut DocumentMut) -> Option<&mut ArrayOfTables> {
    doc.get_mut(PATTERN)?.as_array_of_tables_mut()
}

/// How many patterns can be changed one by one. None where the text is no TOML, or has its patterns in another way than
/// as `[[pattern]]` tables.
pub fn count(text: &str) -> Option<usize> {
    let doc: DocumentMut = text.parse().ok()?;
    match doc.get(PATTERN) {
        None => Some(0),
        Some(Item::Value(Value::Array(all))) if all.is_empty() => Some(0),
        Some(item) => item.as_array_of_tables().map(ArrayOfTables::len),
    }
}

/// The text with another table for a pattern, from 0. Comments stay above the table, and at each key that it still has.
pub fn replace(text: &str, at: usize, table: &str) -> Option<String> {
    let mut doc: DocumentMut = text.parse().ok()?;
    let mut given: DocumentMut = table.parse().ok()?;
    let mut new = tables(&mut given)?.get_mut(0)?.clone();
    let old = tables(&mut doc)?.get_mut(at)?;
    keep_comments(old, &mut new);
    *new.decor_mut() = old.decor().clone();
    new.set_position(old.position());
    *old = new;
    Some(doc.to_string())
}

/// What stands around a key and its value stays there; a value that means the same stays as it was written.
fn keep_comments(old: &Table, new: &mut Table) {
    for (mut key, item) in new.iter_mut() {
        let Some((was, Item::Value(before))) = old.get_key_value(key.get()) else { continue };
        *key.leaf_decor_mut() = was.leaf_decor().clone();
        let Item::Value(now) = item else { continue };
        if means_the_same(before, now) {
            *now = before.clone();
        } else {
            *now.decor_mut() = before.decor().clone();
        }
    }
}

fn means_the_same(a: &Value, b: &Value) -> bool {
    let read = |v: &Value| format!("v = {v}").parse::<toml::Table>().ok();
    read(a).is_some_and(|a| read(b) == Some(a))
}

/// The text with one more table at its end.
pub fn append(text: &str, table: &str) -> String {
    let gap = if text.trim().is_empty() { "" } else { "\n\n" };
    format!("{}{gap}{}\n", text.trim_end(), table.trim_end())
}

/// The text without a pattern, from 0, and the comments right above it.
pub fn remove(text: &str, at: usize) -> Option<String> {
    let mut doc: DocumentMut = text.parse().ok()?;
    let all = tables(&mut doc)?;
    let above = words(all.get(at)?.decor().prefix());
    all.remove(at);
    // Comments above an empty line are of the file, not of the pattern.
    let own = above.split_inclusive('\n').rev().take_while(|l| l.trim().starts_with('#')).map(str::len);
    let stays = above[..above.len() - own.sum::<usize>()].to_owned();
    if let Some(next) = all.get_mut(at) {
        let prefix = stays + words(next.decor().prefix()).trim_start_matches('\n');
        next.decor_mut().set_prefix(prefix);
    } else if !stays.trim().is_empty() {
        let trailing = stays + words(Some(doc.trailing())).as_str();
        doc.set_trailing(trailing);
    }
    Some(doc.to_string())
}

fn words(raw: Option<&RawString>) -> String {
    raw.and_then(RawString::as_str).unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# mine\nuntagged = \"no\"\n\n# first\n[[pattern]]\nname = \"a\"   # keep\n# why\nserve = 1\n\n[[pattern]]\nname = \"b\"\nserve = 2\n";

    #[test]
    fn the_rest_stays_as_it_is() {
        let new = "[[pattern]]\nname = \"c\"\nserve = 1\n";
        let replaced = replace(TEXT, 1, new).unwrap();
        assert_eq!(replaced, TEXT.replace("[[pattern]]\nname = \"b\"\nserve = 2\n", new));
        assert_eq!(remove(TEXT, 1).unwrap().trim_end(), TEXT.split("\n\n[[pattern]]").next().unwrap());
        assert_eq!(append(&remove(TEXT, 1).unwrap(), new).matches("[[pattern]]").count(), 2);
        assert_eq!((count(TEXT), count(""), count("pattern = []")), (Some(2), Some(0), Some(0)));
        assert_eq!((count("pattern = [{ name = \"a\" }]"), count("[[pattern")), (None, None));
        assert_eq!((replace(TEXT, 2, new), remove(TEXT, 2)), (None, None));
        assert_eq!(append("", new), new);
    }

    #[test]
    fn comments_survive_a_change_of_the_table() {
        let new = "[[pattern]]\nname = \"a\"\ncourt = \"ad\"\nserve = [1, 2]\n";
        let wanted =
            TEXT.replace("serve = 1\n", "serve = [1, 2]\n").replace("# why\n", "court = \"ad\"\n# why\n");
        assert_eq!(replace(TEXT, 0, new).unwrap(), wanted);
        // A list over several lines, with a comment, that is asked the same.
        let long = "[[pattern]]\nname = \"a\"\ntags = [\n  \"net\", # at last\n  \"lob\",\n]\n";
        let same = "[[pattern]]\nname = \"x\"\ntags = [\"net\", \"lob\"]\n";
        assert_eq!(replace(long, 0, same).unwrap(), long.replace("\"a\"", "\"x\""));
    }

    #[test]
    fn a_table_after_the_patterns_stays() {
        let text = format!("{TEXT}\n[groups]\na = [\"x\"] # mine\n");
        let new = "[[pattern]]\nname = \"c\"\nserve = 1\n";
        let replaced = replace(&text, 1, new).unwrap();
        assert!(replaced.ends_with("serve = 1\n\n[groups]\na = [\"x\"] # mine\n"), "{replaced}");
        let removed = remove(&text, 1).unwrap();
        assert!(removed.ends_with("[groups]\na = [\"x\"] # mine\n"), "{removed}");
    }

    #[test]
    fn the_head_of_the_file_outlives_its_first_pattern() {
        let text = "# My patterns\n\n# of serves\n[[pattern]]\nname = \"a\"\nserve = 1\n";
        assert_eq!(remove(text, 0).unwrap().trim_end(), "# My patterns");
        let two = format!("{text}\n# the other\n[[pattern]]\nname = \"b\"\nserve = 2\n");
        let left = "# My patterns\n\n# the other\n[[pattern]]\nname = \"b\"\nserve = 2\n";
        assert_eq!(remove(&two, 0).unwrap(), left);
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_changed_or_left(text in "((#[a-z]{0,3}|\\[\\[pattern\\]\\]|name = \"x\"|)\n){0,12}[a-z#]{0,3}", at in 0..3_usize) {
            let own = |n: usize| {
                let doc: DocumentMut = text.parse().ok()?;
                let table = doc.get(PATTERN)?.as_array_of_tables()?.get(n)?;
                Some(format!("[[pattern]]\n{table}"))
            };
            if let Some(table) = own(at) {
                proptest::prop_assert_eq!(replace(&text, at, &table), Some(text.clone()));
                proptest::prop_assert_eq!(count(&remove(&text, at).unwrap()), count(&text).map(|n| n - 1));
            }
        }
    }
}
