//! The declared table of keys against the reader and the guide.

use super::keys::{KEYS, SERVE_KEYS, SHOT_KEYS};
use super::reader::Key;
use super::{PatternError, Values, parse};

const GUIDE: &str = include_str!("../../docs/guide/patterns.md");

/// A key, what it takes, and a file in which it has a value that no key takes.
fn all() -> Vec<(&'static str, Values, String)> {
    fn of<T>(keys: &[Key<T>], start: &str, end: &str) -> Vec<(&'static str, Values, String)> {
        let file = |name| format!("[[pattern]]\nname = \"x\"\n{start}{name} = -1{end}\n");
        keys.iter().map(|k| (k.name, (k.takes)(), file(k.name))).collect()
    }
    let point = of(&KEYS, "", "");
    let shot = of(&SHOT_KEYS, "some_shot = { ", " }");
    [point, shot, of(&SERVE_KEYS, "first_serve = { ", " }")].concat()
}

#[test]
fn the_reader_takes_what_the_table_says() {
    for (name, takes, file) in all() {
        let said = parse(&file, "x.toml").unwrap_err();
        let PatternError::Value { key, allowed, .. } = said else { panic!("{name}: {said}") };
        assert_eq!(&*key, name);
        if takes != Values::Tables {
            assert_eq!(*allowed, *takes.to_string(), "{name}");
        }
    }
}

/// Each key in the guide, and no other.
#[test]
fn the_guide_lists_every_key_with_what_it_takes() {
    let rows: Vec<String> = all().iter().map(|(name, takes, _)| format!("| `{name}` | {takes} |")).collect();
    let there: Vec<&str> = GUIDE.lines().filter(|line| line.starts_with("| `")).collect();
    assert_eq!(there, rows, "docs/guide/patterns.md must have these rows:\n{}", rows.join("\n"));
}
