//! Reads the values of a pattern file, so that every message has its line and column.

use std::fmt::Display;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::answer::Answer;
use super::error::{At, PatternError};
use super::tag::{TagTest, same_tag};
use super::values::Values;
use crate::near::{Hint, nearest};
use crate::record::MOST_NAME;
use crate::tennis::stroke::Wing;

/// The most letters of what a pattern means.
const MOST_ABOUT: usize = 10_000;

type Result<T> = std::result::Result<T, PatternError>;

/// How the value of a key is read.
pub(super) type Read<T> = for<'t> fn(&Reader<'t>, &Entry<'t>) -> Result<T>;

/// A key that may stand in a table: what it takes, and how that is read.
pub(super) struct Key<T: 'static> {
    pub(super) name: &'static str,
    pub(super) takes: fn() -> Values,
    pub(super) read: Read<T>,
}

/// A key, where it stands, and its value.
pub(super) struct Entry<'t> {
    pub(super) key: &'t str,
    pub(super) at: Range<usize>,
    pub(super) value: &'t Spanned<DeValue<'t>>,
}

/// What the file says beside its patterns.
pub(super) struct Reader<'t> {
    pub(super) file: &'t str,
    pub(super) text: &'t str,
    pub(super) groups: Vec<(String, Vec<String>)>,
    pub(super) untagged: Answer,
    /// The weaker wings of A and B.
    pub(super) weaker: [Option<Wing>; 2],
}

/// The entries of a table in the order in which they were written.
pub(super) fn entries<'t>(table: &'t DeTable<'t>) -> Vec<Entry<'t>> {
    let mut all: Vec<_> =
        table.iter().map(|(k, value)| Entry { key: k.get_ref(), at: k.span(), value }).collect();
    all.sort_by_key(|e| e.at.start);
    all
}

impl<'t> Reader<'t> {
    /// Where a byte of the file is.
    pub(super) fn at(&self, byte: usize) -> At {
        At::new(self.file, self.text, byte)
    }

    /// Every entry of a table, by the keys that it may have.
    pub(super) fn each<T>(
        &self,
        key: &str,
        value: &'t Spanned<DeValue<'t>>,
        keys: &[Key<T>],
    ) -> Result<Vec<T>> {
        self.table(key, value)?.iter().map(|e| self.read(e, keys, &[])).collect()
    }

    /// One entry, by the keys that it may have; `also` are allowed here and read elsewhere.
    pub(super) fn read<T>(&self, entry: &Entry<'t>, keys: &[Key<T>], also: &[&'static str]) -> Result<T> {
        if let Some(key) = keys.iter().find(|k| k.name == entry.key) {
            return (key.read)(self, entry);
        }
        let allowed: Vec<_> = also.iter().copied().chain(keys.iter().map(|k| k.name)).collect();
        Err(self.wrong_key(entry, &allowed))
    }

    pub(super) fn missing(&self, table: &Spanned<DeValue<'_>>, what: &str) -> PatternError {
        PatternError::Missing { at: self.at(table.span().start), what: what.into() }
    }

    /// The test of a tag, with the group that it belongs to.
    pub(super) fn tag(&self, tag: String) -> TagTest {
        let group = self.groups.iter().map(|g| &g.1).find(|g| g.iter().any(|t| same_tag(t, &tag)));
        let instead = group.map(|g| g.iter().filter(|t| !same_tag(t, &tag)).cloned().collect());
        TagTest { tag, instead, untagged: self.untagged }
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
            Some(v) => Err(self.wrong(entry, v, &Values::Tables, None)),
            None => Ok(all),
        }
    }

    pub(super) fn table(&self, key: &str, value: &'t Spanned<DeValue<'t>>) -> Result<Vec<Entry<'t>>> {
        let entry = Entry { key: "", at: value.span(), value };
        match value.get_ref() {
            DeValue::Table(t) => Ok(entries(t)),
            _ => Err(self.wrong(&Entry { key, ..entry }, value, &"a table", None)),
        }
    }

    /// A text that is not blank, and no longer than any name or tag is.
    pub(super) fn text(&self, entry: &Entry<'_>, value: &Spanned<DeValue<'_>>) -> Result<String> {
        let most = if entry.key == "about" { MOST_ABOUT } else { MOST_NAME };
        match value.get_ref() {
            DeValue::String(s) if s.chars().count() > most => {
                Err(self.wrong(entry, value, &format_args!("a text of at most {most} letters"), None))
            }
            DeValue::String(s) if !s.trim().is_empty() => Ok(s.trim().into()),
            _ => Err(self.wrong(entry, value, &Values::Text, None)),
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
        Err(self.wrong(entry, value, &Values::words(words), nearest(found, words.iter().map(|(w, _)| *w))))
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
            .ok_or_else(|| self.wrong(entry, value, &Values::Number { most }, None))
    }

    /// A length from 0 to 50 metres, in millimetres.
    pub(super) fn millimetres(&self, entry: &Entry<'_>) -> Result<u32> {
        let metres: Option<f64> = match entry.value.get_ref() {
            DeValue::Float(f) => f.as_str().parse().ok(),
            DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse().ok(),
            _ => None,
        };
        let metres = metres.filter(|m| (0.0..=50.0).contains(m));
        metres
            .map(|m| (m * 1000.0).round() as u32)
            .ok_or_else(|| self.wrong(entry, entry.value, &Values::Metres, None))
    }

    /// True or false.
    pub(super) fn yes_no(&self, entry: &Entry<'_>) -> Result<bool> {
        let wrong = || self.wrong(entry, entry.value, &Values::YesNo, None);
        entry.value.get_ref().as_bool().ok_or_else(wrong)
    }

    pub(super) fn wrong(
        &self,
        entry: &Entry<'_>,
        value: &Spanned<DeValue<'_>>,
        allowed: &dyn Display,
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
            allowed: allowed.to_string().into(),
            hint: Hint(near.map(Into::into)),
        }
    }

    pub(super) fn wrong_key(&self, entry: &Entry<'_>, allowed: &[&'static str]) -> PatternError {
        PatternError::Key {
            at: self.at(entry.at.start),
            found: entry.key.into(),
            allowed: allowed.join(", ").into(),
            hint: Hint::of(entry.key, allowed.iter().copied()),
        }
    }
}
