//! What the readers of JSON and TOML complain of, in our words: what was found, what is allowed, and the nearest allowed
//! word.
//!
//! Those readers have no other form for what is wrong than their message, so this is the one place that takes messages
//! apart. One that is not known here is passed on, without the reader's own names for types.

use crate::near::nearest;

/// The form of the text that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    /// JSON: records and journals.
    Json,
    /// TOML: key cards, patterns, questions, rules, settings.
    Toml,
}

/// Letters of a word found that are shown.
const MOST_SHOWN: usize = 60;

/// A reader's message in our words, without the place. `key` is the last key before the value that it is about, or empty.
fn reworded(message: &str, form: Form, key: &str) -> String {
    let message = message.lines().next().unwrap_or_default();
    let wrong_value = invalid(message, form).map(|(found, allowed)| {
        let narrower = narrowed(key, &allowed);
        format!("found {found}; allowed: {}", narrower.unwrap_or(&allowed))
    });
    wrong_value
        .or_else(|| unknown(message))
        .or_else(|| field(message))
        .or_else(|| fixed(message).map(Into::into))
        .or_else(|| unclosed(message))
        .or_else(|| message.contains(", expected ").then(|| NOT_TOML.into()))
        .unwrap_or_else(|| message.replace('`', "\""))
}

/// What is wrong with a JSON text, in our words, without the place. `key` is the last key before what it is about, or
/// empty.
pub fn in_json(e: &serde_json::Error, key: &str) -> String {
    let text = e.to_string();
    reworded(text.rsplit_once(" at line ").map_or(text.as_str(), |(words, _)| words), Form::Json, key)
}

/// What is wrong with a TOML text, in our words: with the key, where it is about a value.
pub fn in_toml(text: &str, e: &toml::de::Error) -> String {
    let key = e.span().and_then(|at| key_before(text, at.start));
    let words = reworded(e.message(), Form::Toml, key.unwrap_or_default());
    match key {
        Some(key) => format!("\"{key}\": {words}"),
        None => words,
    }
}

/// What some keys take, where the reader only knows the kind of it.
const NUMBERS: &[(&str, &str)] = &[
    ("faults", "0, 1 or 2"),
    ("best_of", "1, 3 or 5"),
    ("games", "a whole number from 1 to 12"),
    ("at", "a whole number up to 24"),
    ("points", "a whole number from 2 to 20"),
    ("lead", "1 or 2"),
    ("rotation", "0, 90, 180 or 270"),
];
const TIMES: [&str; 3] = ["start", "end", "duration"];

/// What a key takes, where the reader allows more.
fn narrowed(key: &str, allowed: &str) -> Option<&'static str> {
    match allowed {
        TEXT if TIMES.contains(&key) => Some("a time in quotes, as \"00:01:02.500\""),
        number if number.starts_with("a whole number") => {
            NUMBERS.iter().find(|(name, _)| *name == key).map(|(_, takes)| *takes)
        }
        _ => None,
    }
}

/// How a text is asked for.
const TEXT: &str = "text in quotes";

/// The key that stands before the value at this byte of a TOML text, if one does.
fn key_before(text: &str, at: usize) -> Option<&str> {
    let line = text.get(..at)?.rsplit('\n').next()?;
    let before = line.trim_end().strip_suffix('=')?.trim_end();
    let key = before.rsplit(|c: char| !(c.is_alphanumeric() || matches!(c, '_' | '-' | '"'))).next()?;
    Some(key.trim_matches('"')).filter(|key| !key.is_empty())
}

/// A value of another kind, out of range, or of another length: what was found, and what is allowed.
fn invalid(message: &str, form: Form) -> Option<(String, String)> {
    let rest = message.strip_prefix("invalid ")?;
    let (what, rest) = rest.split_once(' ')?;
    let (found, allowed) = rest.rsplit_once(", expected ")?;
    let found = match what {
        "type:" | "value:" => value(found, form),
        "length" if allowed.starts_with("struct ") => "a list".into(),
        "length" => format!("a list of {found}"),
        _ => return None,
    };
    Some((found, kind(allowed, form)))
}

/// A value as the reader names it.
fn value(found: &str, form: Form) -> String {
    let inner = |kind: &str| {
        let text = found.strip_prefix(kind)?;
        // A number that no type holds is followed by the type that was tried.
        let text = text.split_once("` as ").map_or(text, |(number, _)| number);
        Some(text.trim_matches(['`', '"']).to_owned())
    };
    if let Some(text) = inner("string ") {
        return format!("\"{}\"", shown(&text));
    }
    let plain = ["integer ", "floating point ", "boolean ", "character "];
    if let Some(text) = plain.iter().find_map(|kind| inner(kind)) {
        return shown(&text);
    }
    match found {
        "map" => table(form).into(),
        "sequence" => "a list".into(),
        "null" | "unit value" | "Option value" => "nothing (null)".into(),
        "unit variant" => "a word alone".into(),
        "newtype variant" | "tuple variant" | "struct variant" => "a word with a value".into(),
        other => shown(&other.replace('`', "\"")),
    }
}

/// A kind of value as the reader names it.
fn kind(allowed: &str, form: Form) -> String {
    let list = |n: &str| format!("a list of {n}");
    if let Some(n) =
        allowed.strip_prefix("an array of length ").or_else(|| allowed.strip_prefix("a tuple of size "))
    {
        return list(n);
    }
    match allowed {
        "u8" => format!("a whole number from 0 to {}", u8::MAX),
        "u16" => format!("a whole number from 0 to {}", u16::MAX),
        "u32" => format!("a whole number from 0 to {}", u32::MAX),
        "u64" | "usize" => "a whole number, 0 or more".into(),
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number".into(),
        "f32" | "f64" => "a number".into(),
        "a string" | "a borrowed string" | "string or map" => TEXT.into(),
        "a boolean" => "true or false".into(),
        "a formatted date string" => "a day as \"2026-05-31\"".into(),
        "an RFC 3339 formatted date and time string" => "a moment as \"2026-05-31T14:30:00+02:00\"".into(),
        "a sequence" => "a list in brackets [ ]".into(),
        "newtype variant" => "the word with a value".into(),
        "unit variant" => "the word alone".into(),
        "a map" => table(form).into(),
        other if other.starts_with("struct ") => table(form).into(),
        other if other.starts_with("tuple ") => "a list in brackets [ ]".into(),
        other if other.starts_with("enum ") => "a word in quotes".into(),
        other => other.replace('`', "\""),
    }
}

const fn table(form: Form) -> &'static str {
    match form {
        Form::Json => "fields in braces { }",
        Form::Toml => "a table",
    }
}

/// A word or a key that is none of those allowed.
fn unknown(message: &str) -> Option<String> {
    let (is_key, rest) =
        match (message.strip_prefix("unknown variant `"), message.strip_prefix("unknown field `")) {
            (Some(rest), _) => (false, rest),
            (_, Some(rest)) => (true, rest),
            _ => return None,
        };
    let (found, allowed) = match rest.rsplit_once("`, expected ") {
        Some((found, allowed)) => (found, allowed.split('`').skip(1).step_by(2).collect::<Vec<_>>()),
        None => (rest.split('`').next()?, Vec::new()),
    };
    let hint = nearest(found, allowed.iter().copied());
    let hint = hint.map(|near| format!("; did you mean \"{near}\"?")).unwrap_or_default();
    let allowed = if allowed.is_empty() { "none".into() } else { allowed.join(", ") };
    let found = shown(found);
    Some(if is_key {
        format!("there is no key \"{found}\" here; allowed: {allowed}{hint}")
    } else {
        format!("found \"{found}\"; allowed: {allowed}{hint}")
    })
}

/// A key that is not there, or is there twice.
fn field(message: &str) -> Option<String> {
    let named = |before: &str| message.strip_prefix(before)?.strip_suffix('`');
    let missing = named("missing field `").map(|key| format!("the key \"{}\" is missing here", shown(key)));
    missing
        .or_else(|| named("duplicate field `").map(|key| format!("the key \"{}\" is here twice", shown(key))))
}

const NO_SIGN: &str = "a sign is written as \\u… and is none";
const NO_DAY: &str = "this is not a day or a moment; allowed: a day as \"2026-05-31\", a moment as \"2026-05-31T14:30:00+02:00\"";

const KEY: &str = "this is not the name of a key; allowed without quotes: letters, digits, - and _";
const ONE_EQUALS: &str = "there is one = too many; write key = value";
const ESCAPE: &str = "the sign after this backslash is not allowed; write \\\\ for a backslash";
const NUMBER: &str = "this is not a number that is allowed here; write it with digits only, as 12 or 0.5";

/// For every other message of the TOML reader.
const NOT_TOML: &str = "this is not allowed here; write key = value, and text in quotes";

/// Messages without anything to fill in, or how they begin, and our words.
const FIXED: &[(&str, &str)] = &[
    ("duplicate key", "this key is here twice"),
    (
        "expected value",
        "this is not allowed here; a value is missing, such as text in quotes, a number, true, false, null, [ ] or { }",
    ),
    ("expected `:`", "a colon is missing here, between a field's name and its value"),
    ("expected `,` or `}`", "a comma is missing here, or the brace } that closes the fields"),
    ("expected `,` or `]`", "a comma is missing here, or the bracket ] that closes the list"),
    ("expected ident", "a word is misspelt here; without quotes only true, false and null are allowed"),
    ("key must be a string", "the name of a field must be in quotes"),
    ("trailing comma", "there is one comma too many before this"),
    ("trailing characters", "more text follows after the end"),
    ("EOF while parsing a string", "the file ends within a text in quotes"),
    ("EOF while parsing a list", "the file ends within a list"),
    ("EOF while parsing an object", "the file ends within fields in braces"),
    ("EOF while parsing a value", "the file ends where a value is missing"),
    (
        "control character (\\u0000-\\u001F) found while parsing a string",
        "a text in quotes runs over the end of its line, or holds a control character",
    ),
    ("invalid escape", "the sign after this backslash is not allowed; write \\\\ for a backslash"),
    ("invalid number", "this is not a number that JSON allows"),
    ("number out of range", "this number is too large"),
    ("recursion limit exceeded", "lists or braces are nested too deeply"),
    (
        "string values must be quoted, expected literal string",
        "a value is missing here, or a text is not in quotes",
    ),
    ("lone leading surrogate in hex escape", NO_SIGN),
    ("unexpected end of hex escape", NO_SIGN),
    ("invalid unicode code point", NO_SIGN),
    ("premature end of input", NO_DAY),
    ("input is out of range", NO_DAY),
    ("input contains invalid characters", NO_DAY),
    ("trailing input", NO_DAY),
    ("key with no value, expected `=`", "a key without a value; write key = value"),
    ("unquoted keys cannot be empty", "a key is missing here; write key = value"),
    ("data did not match any variant", "this has none of the forms allowed here"),
    ("invalid basic string", "the quote that ends this text is missing"),
    ("invalid literal string", "the quote that ends this text is missing"),
    ("invalid unquoted key", KEY),
    ("invalid key", KEY),
    ("missing key", KEY),
    ("keys cannot be multi-line", "the name of a key must be on one line"),
    ("unexpected key or value", "something follows here; write each key = value on a line of its own"),
    ("unexpected content", "something follows here; write each key = value on a line of its own"),
    ("missing comma", "a comma is missing here"),
    ("extra comma", "there is one comma too many here"),
    ("extra `=`", ONE_EQUALS),
    ("extra assignment", ONE_EQUALS),
    ("unexpected `=`", ONE_EQUALS),
    ("missing assignment", "an = is missing here, between a key and its value"),
    ("missing value", "a value is missing here"),
    ("missing opening quote", "the quote that begins this text is missing"),
    ("missing escaped value", ESCAPE),
    ("too few unicode value digits", ESCAPE),
    ("invalid comment character", "a comment holds a control character; delete it"),
    (
        "carriage return",
        "a line ends with half a line end (a carriage return alone); save the file as plain text",
    ),
    ("cannot recurse", "lists or braces are nested too deeply"),
    ("invalid inline table", "this is not allowed between braces; write key = value, with commas between"),
    ("`_` may only", NUMBER),
    ("integers with a radix", NUMBER),
    ("radix must", NUMBER),
    ("redundant", NUMBER),
    ("unexpected leading zero", NUMBER),
    ("unexpected sign", NUMBER),
];

fn fixed(message: &str) -> Option<&'static str> {
    FIXED.iter().find(|(theirs, _)| message.starts_with(theirs)).map(|(_, ours)| *ours)
}

/// A bracket that is opened and not closed.
fn unclosed(message: &str) -> Option<String> {
    let (what, sign) = message.strip_prefix("unclosed ")?.split_once(", expected ")?;
    let what = match what {
        "table" | "array table" => "the name of a table",
        "inline table" => "a table in braces",
        "array" => "a list",
        _ => "what is opened here",
    };
    Some(format!("{what} is not closed; {} is missing", sign.trim_matches(['`', '"'])))
}

/// A stranger's word: short, and without control characters.
fn shown(word: &str) -> String {
    let mut text: String = word.chars().take(MOST_SHOWN).flat_map(char::escape_debug).collect();
    text = text.replace("\\\"", "\"").replace("\\'", "'").replace("\\\\", "\\");
    if word.chars().count() > MOST_SHOWN {
        text.push('…');
    }
    text
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only what is wrong with it is looked at")]
    struct Sample {
        number: Option<u8>,
        word: Option<Word>,
        list: Option<Vec<String>>,
        pair: Option<[u16; 2]>,
        table: Option<Box<Sample>>,
        text: Option<String>,
        flag: Option<bool>,
        day: Option<chrono::NaiveDate>,
        with: Option<With>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(rename_all = "kebab-case")]
    enum Word {
        FirstServe,
        SecondServe,
    }

    #[derive(Debug, Deserialize)]
    #[serde(rename_all = "kebab-case")]
    #[expect(dead_code, reason = "only what is wrong with it is looked at")]
    enum With {
        Retired(Word),
        Spot(f64, f64),
        Run { from: u16 },
    }

    fn json(text: &str) -> String {
        in_json(&serde_json::from_str::<Sample>(text).unwrap_err(), "")
    }

    #[test]
    fn values_of_words_are_named_by_their_form() {
        for (text, wanted) in [
            ("{\"with\": {\"spot\": 7}}", "a list in brackets [ ]"),
            ("{\"with\": {\"run\": 7}}", "fields in braces { }"),
        ] {
            let said = json(text);
            assert!(said.contains(&format!("allowed: {wanted}")) && !said.contains("variant"), "{said}");
        }
    }

    fn toml(text: &str) -> String {
        reworded(::toml::from_str::<Sample>(text).unwrap_err().message(), Form::Toml, "")
    }

    #[test]
    fn json_in_our_words() {
        let all = [
            r#"{"number": 300}"#,
            r#"{"number": -1}"#,
            r#"{"number": "2"}"#,
            r#"{"number": 1.5}"#,
            r#"{"word": "first-srve"}"#,
            r#"{"word": {}}"#,
            r#"{"list": "a"}"#,
            r#"{"list": [1]}"#,
            r#"{"pair": [1]}"#,
            r#"{"pair": 6}"#,
            r#"{"table": "x"}"#,
            r#"{"text": []}"#,
            r#"{"text": {}}"#,
            r#"{"flag": "yes"}"#,
            r#"{"flga": true}"#,
            r#"{"day": "2026-13-01"}"#,
            r#"{"day": "soon"}"#,
            r#"{"day": [1]}"#,
            r#"{"with": "retired"}"#,
            r#"{"text": "a", "text": "b"}"#,
            r#"{"text": "a" "#,
            r#"{"text" "a"}"#,
            r#"{"text": nul}"#,
            r#"{"text": a}"#,
            r#"{"text": "a",}"#,
            "{\"text\": \"a\nb\"}",
            r#"{"text": "a"} x"#,
            r#"{"text": "a"#,
            "",
        ];
        insta::assert_snapshot!(all.map(json).join("\n"), @r#"
        found 300; allowed: a whole number from 0 to 255
        found -1; allowed: a whole number from 0 to 255
        found "2"; allowed: a whole number from 0 to 255
        found 1.5; allowed: a whole number from 0 to 255
        found "first-srve"; allowed: first-serve, second-serve; did you mean "first-serve"?
        this is not allowed here; a value is missing, such as text in quotes, a number, true, false, null, [ ] or { }
        found "a"; allowed: a list in brackets [ ]
        found 1; allowed: text in quotes
        found a list of 1; allowed: a list of 2
        found 6; allowed: a list of 2
        found "x"; allowed: fields in braces { }
        found a list; allowed: text in quotes
        found fields in braces { }; allowed: text in quotes
        found "yes"; allowed: true or false
        there is no key "flga" here; allowed: number, word, list, pair, table, text, flag, day, with; did you mean "flag"?
        this is not a day or a moment; allowed: a day as "2026-05-31", a moment as "2026-05-31T14:30:00+02:00"
        this is not a day or a moment; allowed: a day as "2026-05-31", a moment as "2026-05-31T14:30:00+02:00"
        found a list; allowed: a day as "2026-05-31"
        found a word alone; allowed: the word with a value
        the key "text" is here twice
        the file ends within fields in braces
        a colon is missing here, between a field's name and its value
        a word is misspelt here; without quotes only true, false and null are allowed
        this is not allowed here; a value is missing, such as text in quotes, a number, true, false, null, [ ] or { }
        there is one comma too many before this
        a text in quotes runs over the end of its line, or holds a control character
        more text follows after the end
        the file ends within a text in quotes
        the file ends where a value is missing
        "#);
    }

    #[test]
    fn toml_in_our_words() {
        let all = [
            "number = 300",
            "number = \"2\"",
            "number = true",
            "word = \"frst-serve\"",
            "lst = []",
            "list = \"a\"",
            "table = 6",
            "text = [\"a\"]",
            "text = ",
            "text = a",
            "text = \"a",
            "text",
            "= 3",
            "[table",
            "[[table",
            "list = [\"a\"",
            "table = { number = 1",
            "text = \"a\"\ntext = \"b\"",
            "t%xt = 1",
            "text = \"a\" number = 2",
            "list = [\"a\" \"b\"]",
            "list = [\"a\",,]",
            "text == \"a\"",
            "number = 01",
            "number = 1__0",
            "text = \"\\u12\"",
            "text = \"a\"\rnumber = 2",
            "\"\"\"text\"\"\" = 1",
            "table = { number 1 }",
            "number = 1 ]",
        ];
        insta::assert_snapshot!(all.map(toml).join("\n"), @r#"
        found 300; allowed: a whole number from 0 to 255
        found "2"; allowed: a whole number from 0 to 255
        found true; allowed: a whole number from 0 to 255
        found "frst-serve"; allowed: first-serve, second-serve; did you mean "first-serve"?
        there is no key "lst" here; allowed: number, word, list, pair, table, text, flag, day, with; did you mean "list"?
        found "a"; allowed: a list in brackets [ ]
        found 6; allowed: a table
        found a list; allowed: text in quotes
        a value is missing here, or a text is not in quotes
        a value is missing here, or a text is not in quotes
        the quote that ends this text is missing
        a key without a value; write key = value
        a key is missing here; write key = value
        the name of a table is not closed; ] is missing
        the name of a table is not closed; ]] is missing
        a list is not closed; ] is missing
        a table in braces is not closed; } is missing
        this key is here twice
        this is not the name of a key; allowed without quotes: letters, digits, - and _
        something follows here; write each key = value on a line of its own
        a comma is missing here
        there is one comma too many here
        there is one = too many; write key = value
        this is not a number that is allowed here; write it with digits only, as 12 or 0.5
        this is not a number that is allowed here; write it with digits only, as 12 or 0.5
        the sign after this backslash is not allowed; write \\ for a backslash
        a line ends with half a line end (a carriage return alone); save the file as plain text
        the name of a key must be on one line
        an = is missing here, between a key and its value
        something follows here; write each key = value on a line of its own
        "#);
        for text in all {
            let said = toml(text);
            assert!(!said.contains("expected") && !said.contains('`'), "{text}: {said}");
        }
    }

    #[test]
    fn what_a_key_takes_is_told() {
        let kinds = "a whole number from 0 to 255";
        assert_eq!(narrowed("best_of", kinds), Some("1, 3 or 5"));
        assert_eq!(narrowed("faults", kinds), Some("0, 1 or 2"));
        assert_eq!(narrowed("lets", kinds), None);
        assert_eq!(narrowed("start", TEXT), Some("a time in quotes, as \"00:01:02.500\""));
        assert_eq!(narrowed("points", "a list in brackets [ ]"), None);
        let message = "invalid value: integer `300`, expected u8";
        assert_eq!(reworded(message, Form::Json, "best_of"), "found 300; allowed: 1, 3 or 5");
        assert_eq!(
            toml("number = 99999999999999999999"),
            "found 99999999999999999999; allowed: a whole number from 0 to 255"
        );
    }

    #[test]
    fn the_key_of_a_value_is_found() {
        for (text, before, key) in [
            ("best_of = 3", "3", "best_of"),
            ("a = 1\nset = { games = \"x\" }", "\"x", "games"),
            ("play-pause=[]", "[", "play-pause"),
            ("\"key\" = 1", "1", "key"),
        ] {
            assert_eq!(key_before(text, text.find(before).unwrap()), Some(key), "{text}");
        }
        assert_eq!(key_before("rows = [\"a\"]", 8), None);
        assert_eq!(key_before("é", 1), None, "not between letters");
    }

    #[test]
    fn a_strangers_word_is_short_and_tame() {
        let long = format!(r#"{{"word": "{}\u001b[2J"}}"#, "x".repeat(50));
        let said = json(&long);
        assert!(said.contains("\\u{1b}[2J") && said.len() < 140, "{said}");
        assert!(json(&format!(r#"{{"{}": 1}}"#, "y".repeat(1_000))).len() < 200);
    }
}
