//! File names for matches: whatever the name of a match, its record gets a name that every file system allows.

use std::collections::HashMap;

/// Bytes of a name that every file system takes, less what comes after it.
const MOST_BYTES: usize = 180;

/// Names that one system keeps for devices, whatever comes after the first dot.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// Gives each match a file name, no two of which differ by case alone.
#[derive(Debug, Default)]
pub struct FileNames {
    /// Every name given, in lower case, with the number to try next for another match of that name.
    taken: HashMap<String, u32>,
}

impl FileNames {
    /// The file name for a match: letters, digits, blanks and `-_.,()+` stay, all else becomes `_`; when another match
    /// has the name already, a number is added.
    pub fn of(&mut self, name: &str) -> String {
        let stem = safe(name);
        let key = stem.to_lowercase();
        let mut name = stem.clone();
        if let Some(mut next) = self.taken.get(&key).copied() {
            while self.taken.contains_key(&name.to_lowercase()) {
                name = format!("{stem}-{next}");
                next += 1;
            }
            self.taken.insert(key, next);
        }
        self.taken.entry(name.to_lowercase()).or_insert(2);
        format!("{name}.points.json")
    }
}

fn safe(name: &str) -> String {
    let keep = |c: char| c.is_alphanumeric() || " -_.,()+".contains(c);
    let mut stem = String::new();
    for c in name.trim().chars().map(|c| if keep(c) { c } else { '_' }) {
        if stem.len() + c.len_utf8() > MOST_BYTES {
            break;
        }
        stem.push(c);
    }
    let stem = stem.trim_end();
    let first = stem.split('.').next().unwrap_or_default().to_lowercase();
    let numbered = |device| {
        first.strip_prefix(device).is_some_and(|n| n.len() == 1 && n.bytes().all(|b| b.is_ascii_digit()))
    };
    if stem.is_empty()
        || stem.starts_with(['.', '-'])
        || DEVICES.contains(&&*first)
        || numbered("com")
        || numbered("lpt")
    {
        return format!("_{stem}");
    }
    stem.to_owned()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn names_that_every_system_takes() {
        let named = |name| FileNames::default().of(name);
        assert_eq!(
            named("2026-05-01 Holt v. Okafor (final)"),
            "2026-05-01 Holt v. Okafor (final).points.json"
        );
        assert_eq!(named("../../etc/passwd"), "_.._.._etc_passwd.points.json");
        assert_eq!(named("a\\b:c*\0\n\u{202e}é"), "a_b_c____é.points.json");
        assert_eq!(named("NUL.x"), "_NUL.x.points.json");
        assert_eq!(named("-rf"), "_-rf.points.json");
        assert_eq!(named("com1"), "_com1.points.json");
        assert_eq!(named("command"), "command.points.json");
    }

    #[test]
    fn no_two_are_the_same() {
        let mut names = FileNames::default();
        let all = ["a/b", "a:b", "A?b", "a_b-2"].map(|n| names.of(n));
        assert_eq!(all, ["a_b.points.json", "a_b-2.points.json", "A_b-3.points.json", "a_b-2-2.points.json"]);
    }

    proptest! {
        #[test]
        fn any_name_is_one_file(name in "\\PC{1,300}") {
            let file = FileNames::default().of(&name);
            prop_assert!(file.len() < 200 && !file.contains(['/', '\\', '\0']) && !file.starts_with('.'));
        }
    }
}
