//! Reading a pattern file. The TOML is walked by hand so that every message has its line and column.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::ball::ShotTest;
use super::condition::{About, Condition, Met, Named, TagTest, same_tag};
use super::error::{At, Hint, PatternError};
use super::keys::{KEYS, Read, SHOT_KEYS, WINGS};
use super::{Answer, Pattern, PatternFile, Who, nearest};
use crate::tennis::stroke::Wing;

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
    groups: Vec<(String, Vec<String>)>,
    untagged: Answer,
    /// The weaker wings of A and B.
    pub(super) weaker: [Option<Wing>; 2],
}

/// What a pattern's table holds beside conditions of the point.
#[derive(Default)]
struct Parts<'t> {
    shot: Option<Vec<ShotTest>>,
    condition: Option<Entry<'t>>,
    met: Option<Met>,
}

/// Reads a pattern file; `file` is its name for messages.
///
/// # Errors
/// [`PatternError`] with the line and column, what is allowed there, and the nearest word.
pub fn parse(text: &str, file: &str) -> Result<PatternFile> {
    let mut reader = Reader { file, text, groups: Vec::new(), untagged: Answer::Unknown, weaker: [None; 2] };
    let root = DeTable::parse(text).map_err(|e| PatternError::Syntax {
        at: reader.at(e.span().map_or(0, |s| s.start)),
        found: e.message().into(),
    })?;
    let entries = entries(root.get_ref());
    for entry in &entries {
        match entry.key {
            "untagged" => reader.untagged = reader.word(entry, &UNTAGGED)?,
            "groups" => reader.groups = reader.groups(entry)?,
            "weaker_wing" => reader.weaker = reader.weaker(entry)?,
            "pattern" => {}
            _ => return Err(reader.wrong_key(entry, &["untagged", "weaker_wing", "groups", "pattern"])),
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
    let (groups, untagged, weaker_wing) = (reader.groups, reader.untagged, reader.weaker);
    let mut made = PatternFile { name: file.into(), untagged, weaker_wing, groups, patterns };
    made.link();
    Ok(made)
}

pub(super) const UNTAGGED: [(&str, Answer); 2] = [("unknown", Answer::Unknown), ("no", Answer::No)];

/// The keys of a pattern beside those of a point.
const ALSO: [&str; 7] = ["name", "about", "won_by", "among", "shot", "condition", "met"];

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
        let (mut name, mut about, mut won_by, mut among) = (None, String::new(), Who::Server, Vec::new());
        let (mut conditions, mut parts) = (Vec::new(), Parts::default());
        for entry in self.table("pattern", table)? {
            match entry.key {
                "name" => name = Some(self.text(&entry, entry.value)?),
                "about" => about = self.text(&entry, entry.value)?,
                "won_by" => won_by = self.word(&entry, &Who::WINNERS)?,
                "among" => among = self.conditions("among", entry.value)?,
                "shot" => parts.shot = Some(self.ball("shot", entry.value)?),
                "met" => parts.met = Some(self.word(&entry, &Met::WORDS)?),
                "condition" => parts.condition = Some(entry),
                _ => conditions.push(self.read(&entry, &KEYS, &ALSO)?),
            }
        }
        let name = name.filter(|n| !n.trim().is_empty());
        let name = name.ok_or_else(|| self.missing(table, "this pattern has no name"))?;
        conditions.extend(self.named(table, parts)?);
        if conditions.is_empty() {
            let what = format!("pattern \"{name}\" has no condition; every point would show it");
            return Err(self.missing(table, &what));
        }
        let pattern = Pattern { name, about, won_by, conditions, among };
        if won_by == Who::Striker && !pattern.has_ball() {
            return Err(self.missing(table, "won_by is \"striker\", and no condition is about a ball"));
        }
        Ok(pattern)
    }

    /// The conditions that have names, of the ball that the pattern is about if there is one.
    fn named(&self, table: &Spanned<DeValue<'_>>, parts: Parts<'t>) -> Result<Option<Condition>> {
        if parts.condition.is_none() && parts.met.is_some() {
            return Err(self.missing(table, "\"met\" is of the tables in \"condition\", and there are none"));
        }
        let met = parts.met.unwrap_or(Met::All);
        Ok(match (parts.shot, parts.condition) {
            (Some(tests), Some(entry)) => {
                Some(Condition::About(About { tests, named: self.named_of(&entry, &SHOT_KEYS)?, met }))
            }
            (Some(tests), None) => Some(Condition::About(About { tests, named: Vec::new(), met })),
            (None, Some(entry)) => Some(Condition::Named(self.named_of(&entry, &KEYS)?, met)),
            (None, None) => None,
        })
    }

    fn named_of<T>(&self, entry: &Entry<'t>, keys: &[(&'static str, Read<T>)]) -> Result<Vec<Named<T>>> {
        let mut all = Vec::new();
        for table in self.tables(entry)? {
            let (mut name, mut tests) = (None, Vec::new());
            for e in self.table("condition", table)? {
                match e.key {
                    "name" => name = Some(self.text(&e, e.value)?),
                    _ => tests.push(self.read(&e, keys, &["name"])?),
                }
            }
            let name = name.ok_or_else(|| self.missing(table, "this condition has no name"))?;
            if tests.is_empty() {
                return Err(self.missing(table, &format!("condition \"{name}\" is always met")));
            }
            all.push(Named { name, tests });
        }
        Ok(all)
    }

    /// The conditions of a point in a table that holds nothing else.
    pub(super) fn conditions(&self, key: &str, value: &'t Spanned<DeValue<'t>>) -> Result<Vec<Condition>> {
        self.each(key, value, &KEYS)
    }

    /// The conditions of a ball, likewise.
    pub(super) fn ball(&self, key: &str, value: &'t Spanned<DeValue<'t>>) -> Result<Vec<ShotTest>> {
        self.each(key, value, &SHOT_KEYS)
    }

    /// A list of tables of conditions of a point, each of which means all of its own.
    pub(super) fn points(&self, e: &Entry<'t>) -> Result<Vec<Condition>> {
        self.tables(e)?.into_iter().map(|t| self.conditions(e.key, t).map(Condition::All)).collect()
    }

    /// A list of tables of conditions of a ball, likewise.
    pub(super) fn balls(&self, e: &Entry<'t>) -> Result<Vec<ShotTest>> {
        self.tables(e)?.into_iter().map(|t| self.ball(e.key, t).map(ShotTest::All)).collect()
    }

    /// Every entry of a table, by the keys that it may have.
    pub(super) fn each<T>(
        &self,
        key: &str,
        value: &'t Spanned<DeValue<'t>>,
        keys: &[(&'static str, Read<T>)],
    ) -> Result<Vec<T>> {
        self.table(key, value)?.iter().map(|e| self.read(e, keys, &[])).collect()
    }

    /// One entry, by the keys that it may have; `also` are allowed here and read elsewhere.
    pub(super) fn read<T>(
        &self,
        entry: &Entry<'t>,
        keys: &[(&'static str, Read<T>)],
        also: &[&'static str],
    ) -> Result<T> {
        if let Some((_, read)) = keys.iter().find(|k| k.0 == entry.key) {
            return read(self, entry);
        }
        let allowed: Vec<_> = also.iter().copied().chain(keys.iter().map(|k| k.0)).collect();
        Err(self.wrong_key(entry, &allowed))
    }

    pub(super) fn missing(&self, table: &Spanned<DeValue<'_>>, what: &str) -> PatternError {
        PatternError::Missing { at: self.at(table.span().start), what: what.into() }
    }

    /// One wing for both players, or a table with one for each.
    fn weaker(&self, entry: &Entry<'t>) -> Result<[Option<Wing>; 2]> {
        if !entry.value.get_ref().is_table() {
            return Ok([Some(self.word(entry, &WINGS)?); 2]);
        }
        let mut wings = [None; 2];
        for e in self.table("weaker_wing", entry.value)? {
            match e.key {
                "a" => wings[0] = Some(self.word(&e, &WINGS)?),
                "b" => wings[1] = Some(self.word(&e, &WINGS)?),
                _ => return Err(self.wrong_key(&e, &["a", "b"])),
            }
        }
        Ok(wings)
    }

    fn groups(&self, entry: &Entry<'t>) -> Result<Vec<(String, Vec<String>)>> {
        let mut groups: Vec<(String, Vec<String>)> = Vec::new();
        for group in self.table("groups", entry.value)? {
            let mut tags = Vec::new();
            for value in Self::list(&group) {
                let tag = self.text(&group, value)?;
                if groups.iter().flat_map(|g| &g.1).chain(&tags).any(|t| same_tag(t, &tag)) {
                    let at = self.at(value.span().start);
                    return Err(PatternError::Twice { at, what: "tag in a group,", name: tag });
                }
                tags.push(tag);
            }
            groups.push((group.key.into(), tags));
        }
        Ok(groups)
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
            Some(v) => Err(self.wrong(entry, v, "a table, or a list of tables", None)),
            None => Ok(all),
        }
    }

    pub(super) fn table(&self, key: &str, value: &'t Spanned<DeValue<'t>>) -> Result<Vec<Entry<'t>>> {
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
