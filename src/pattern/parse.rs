//! Reading a pattern file. The TOML is walked by hand so that every message has its line and column.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::condition::{Condition, TagTest, same_tag};
use super::error::{At, Hint, PatternError};
use super::keys;
use super::{Answer, Pattern, PatternFile, Who, nearest};

type Result<T> = std::result::Result<T, PatternError>;

/// A key, where it stands, and its value.
pub(super) struct Entry<'t> {
    pub(super) key: &'t str,
    pub(super) at: Range<usize>,
    pub(super) value: &'t Spanned<DeValue<'t>>,
}

/// What the file says beside its patterns.
pub(super) struct Reader<'t> {
    file: &'t str,
    text: &'t str,
    groups: Vec<Vec<String>>,
    untagged: Answer,
}

/// Reads a pattern file; `file` is its name for messages.
///
/// # Errors
/// [`PatternError`] with the line and column, what is allowed there, and the nearest word.
pub fn parse(text: &str, file: &str) -> Result<PatternFile> {
    let mut reader = Reader { file, text, groups: Vec::new(), untagged: Answer::Unknown };
    let root = DeTable::parse(text).map_err(|e| PatternError::Syntax {
        at: reader.at(e.span().map_or(0, |s| s.start)),
        found: e.message().into(),
    })?;
    let entries = entries(root.get_ref());
    for entry in &entries {
        match entry.key {
            "untagged" => reader.untagged = reader.word(entry, &UNTAGGED)?,
            "groups" => reader.groups = reader.groups(entry)?,
            "pattern" => {}
            _ => return Err(reader.wrong_key(entry, &["untagged", "groups", "pattern"])),
        }
    }
    let mut patterns: Vec<Pattern> = Vec::new();
    for entry in entries.iter().filter(|e| e.key == "pattern") {
        for table in reader.tables(entry)? {
            let pattern = reader.pattern(table)?;
            if patterns.iter().any(|p| same_tag(&p.name, &pattern.name)) {
                let at = reader.at(table.span().start);
                return Err(PatternError::Twice { at, what: "pattern", name: pattern.name });
            }
            patterns.push(pattern);
        }
    }
    if patterns.is_empty() {
        return Err(PatternError::Missing { at: reader.at(0), what: "no [[pattern]] in the file".into() });
    }
    Ok(PatternFile { name: file.into(), patterns })
}

const UNTAGGED: [(&str, Answer); 2] = [("unknown", Answer::Unknown), ("no", Answer::No)];

/// The entries of a table in the order in which they were written.
fn entries<'t>(table: &'t DeTable<'t>) -> Vec<Entry<'t>> {
    let mut all: Vec<_> =
        table.iter().map(|(k, value)| Entry { key: k.get_ref(), at: k.span(), value }).collect();
    all.sort_by_key(|e| e.at.start);
    all
}

impl<'t> Reader<'t> {
    fn at(&self, byte: usize) -> At {
        At::new(self.file, self.text, byte)
    }

    fn pattern(&self, table: &'t Spanned<DeValue<'t>>) -> Result<Pattern> {
        let missing =
            |what: &str| PatternError::Missing { at: self.at(table.span().start), what: what.into() };
        let (mut name, mut about, mut won_by, mut among) = (None, String::new(), Who::Server, Vec::new());
        let mut conditions = Vec::new();
        for entry in self.table("pattern", table)? {
            match entry.key {
                "name" => name = Some(self.text(&entry, entry.value)?),
                "about" => about = self.text(&entry, entry.value)?,
                "won_by" => won_by = self.word(&entry, &Who::WORDS)?,
                "among" => among = self.conditions("among", entry.value)?,
                _ => conditions.push(self.condition(&entry, &["name", "about", "won_by", "among"])?),
            }
        }
        let name =
            name.filter(|n| !n.trim().is_empty()).ok_or_else(|| missing("this pattern has no name"))?;
        if conditions.is_empty() {
            return Err(missing(&format!("pattern \"{name}\" has no condition; every point would show it")));
        }
        Ok(Pattern { name, about, won_by, conditions, among })
    }

    /// The conditions of a table that holds nothing else.
    pub(super) fn conditions(&self, key: &str, value: &'t Spanned<DeValue<'t>>) -> Result<Vec<Condition>> {
        self.table(key, value)?.iter().map(|e| self.condition(e, &[])).collect()
    }

    fn condition(&self, entry: &Entry<'t>, also: &[&'static str]) -> Result<Condition> {
        if let Some((_, read)) = keys::KEYS.iter().find(|k| k.0 == entry.key) {
            return read(self, entry);
        }
        let allowed: Vec<_> = also.iter().copied().chain(keys::KEYS.iter().map(|k| k.0)).collect();
        Err(self.wrong_key(entry, &allowed))
    }

    fn groups(&self, entry: &Entry<'t>) -> Result<Vec<Vec<String>>> {
        let mut groups: Vec<Vec<String>> = Vec::new();
        for group in self.table("groups", entry.value)? {
            let mut tags = Vec::new();
            for value in Self::list(&group) {
                let tag = self.text(&group, value)?;
                if groups.iter().flatten().chain(&tags).any(|t| same_tag(t, &tag)) {
                    let at = self.at(value.span().start);
                    return Err(PatternError::Twice { at, what: "tag in a group,", name: tag });
                }
                tags.push(tag);
            }
            groups.push(tags);
        }
        Ok(groups)
    }

    /// The test of a tag, with the group that it belongs to.
    pub(super) fn tag(&self, tag: String) -> Condition {
        let group = self.groups.iter().find(|g| g.iter().any(|t| same_tag(t, &tag)));
        let instead = group.map(|g| g.iter().filter(|t| !same_tag(t, &tag)).cloned().collect());
        Condition::Tag(TagTest { tag, instead, untagged: self.untagged })
    }

    /// A value, or each value of a list.
    pub(super) fn list(entry: &Entry<'t>) -> Vec<&'t Spanned<DeValue<'t>>> {
        match entry.value.get_ref() {
            DeValue::Array(all) => all.iter().collect(),
            _ => vec![entry.value],
        }
    }

    /// The tables of a list of tables, or the one table.
    pub(super) fn tables(&self, entry: &Entry<'t>) -> Result<Vec<&'t Spanned<DeValue<'t>>>> {
        let all = Self::list(entry);
        match all.iter().find(|v| !v.get_ref().is_table()) {
            Some(v) => Err(self.wrong(entry, v, "a table, or a list of tables", None)),
            None => Ok(all),
        }
    }

    fn table(&self, key: &str, value: &'t Spanned<DeValue<'t>>) -> Result<Vec<Entry<'t>>> {
        let entry = Entry { key: "", at: value.span(), value };
        match value.get_ref() {
            DeValue::Table(t) => Ok(entries(t)),
            _ => Err(self.wrong(&Entry { key, ..entry }, value, "a table", None)),
        }
    }

    /// A text that is not blank.
    pub(super) fn text(&self, entry: &Entry<'_>, value: &Spanned<DeValue<'_>>) -> Result<String> {
        match value.get_ref() {
            DeValue::String(s) if !s.trim().is_empty() => Ok(s.trim().into()),
            _ => Err(self.wrong(entry, value, "a text in quotes that is not blank", None)),
        }
    }

    /// One of a few words.
    pub(super) fn word<T: Copy>(&self, entry: &Entry<'t>, words: &[(&'static str, T)]) -> Result<T> {
        self.one_of(entry, entry.value, words)
    }

    /// One of a few words, of a value in a list.
    pub(super) fn one_of<T: Copy>(
        &self,
        entry: &Entry<'_>,
        value: &Spanned<DeValue<'_>>,
        words: &[(&'static str, T)],
    ) -> Result<T> {
        let found = value.get_ref().as_str().unwrap_or_default();
        if let Some((_, x)) = words.iter().find(|(w, _)| same_tag(w, found)) {
            return Ok(*x);
        }
        let allowed = words.iter().map(|(w, _)| format!("\"{w}\"")).collect::<Vec<_>>().join(", ");
        Err(self.wrong(entry, value, &allowed, nearest(found, words.iter().map(|(w, _)| *w))))
    }

    /// A whole number from 1 to `most`.
    pub(super) fn number(
        &self,
        entry: &Entry<'_>,
        value: &Spanned<DeValue<'_>>,
        most: usize,
    ) -> Result<usize> {
        let n = value.get_ref().as_integer().and_then(|i| usize::from_str_radix(i.as_str(), i.radix()).ok());
        n.filter(|n| (1..=most).contains(n))
            .ok_or_else(|| self.wrong(entry, value, &format!("a whole number from 1 to {most}"), None))
    }

    /// True or false.
    pub(super) fn yes_no(&self, entry: &Entry<'_>) -> Result<bool> {
        let wrong = || self.wrong(entry, entry.value, "true, false", None);
        entry.value.get_ref().as_bool().ok_or_else(wrong)
    }

    pub(super) fn wrong(
        &self,
        entry: &Entry<'_>,
        value: &Spanned<DeValue<'_>>,
        allowed: &str,
        near: Option<&str>,
    ) -> PatternError {
        let source = self.text.get(value.span()).unwrap_or_default();
        let line = source.lines().next().unwrap_or_default();
        let found = match value.get_ref() {
            DeValue::Table(_) => "a table".to_owned(),
            _ if line.chars().count() > 40 => format!("{}…", line.chars().take(40).collect::<String>()),
            _ => line.to_owned(),
        };
        PatternError::Value {
            at: self.at(value.span().start),
            key: entry.key.into(),
            found: found.into(),
            allowed: allowed.into(),
            hint: Hint(near.map(Into::into)),
        }
    }

    fn wrong_key(&self, entry: &Entry<'_>, allowed: &[&'static str]) -> PatternError {
        PatternError::Key {
            at: self.at(entry.at.start),
            found: entry.key.into(),
            allowed: allowed.join(", ").into(),
            hint: Hint(nearest(entry.key, allowed.iter().copied()).map(Into::into)),
        }
    }
}
