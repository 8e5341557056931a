//! Reading a pattern file. The TOML is walked by hand so that every message has its line and column.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::answer::Answer;
use super::ball::ShotTest;
use super::condition::Pattern;
use super::condition::{About, Condition, Met, Named};
use super::error::PatternError;
use super::file::PatternFile;
use super::keys::{self, KEYS, SHOT_KEYS, WINGS, ball};
use super::reader::{Entry, Key, Reader, entries};
use super::tag::same_tag;
use super::who::Who;
use crate::tennis::stroke::Wing;
use crate::wording::in_toml;

type Result<T> = std::result::Result<T, PatternError>;

/// The name by which messages call the file that is built in.
pub const STARTER_NAME: &str = "starter-patterns.toml";

/// The text of the pattern file that is built in.
pub const STARTER: &str = include_str!("../../sample-tags/starter-patterns.toml");

impl PatternFile {
    /// The patterns that are built in.
    ///
    /// # Errors
    /// None in a released program: a test parses the file.
    pub fn starter() -> Result<Self> {
        parse(STARTER, STARTER_NAME)
    }
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
        found: in_toml(text, &e).into(),
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
        let tables = reader.tables(entry)?;
        for (n, table) in tables.into_iter().enumerate() {
            if n >= MOST_PATTERNS {
                let what =
                    format!("a file may hold at most {MOST_PATTERNS} patterns; split it into two files");
                return Err(reader.missing(table, &what));
            }
            let pattern = reader.pattern(table)?;
            if patterns.iter().any(|p| same_tag(&p.name, &pattern.name)) {
                let at = reader.at(table.span().start);
                return Err(PatternError::Twice { at, what: "pattern", name: pattern.name });
            }
            patterns.push(pattern);
        }
    }
    if patterns.is_empty() {
        let what = "there is no [[pattern]] in the file".into();
        return Err(PatternError::Missing { at: reader.at(0), what });
    }
    let (groups, untagged, weaker_wing) = (reader.groups, reader.untagged, reader.weaker);
    let mut made = PatternFile { name: file.into(), untagged, weaker_wing, groups, patterns };
    made.link();
    Ok(made)
}

/// The most patterns of a file.
const MOST_PATTERNS: usize = 1_000;

pub(super) const UNTAGGED: [(&str, Answer); 2] = [("unknown", Answer::Unknown), ("no", Answer::No)];

/// The keys of a pattern, besides the conditions of a point.
const ALSO: [&str; 7] = ["name", "about", "won_by", "among", "shot", "condition", "met"];

impl<'t> Reader<'t> {
    fn pattern(&self, table: &'t Spanned<DeValue<'t>>) -> Result<Pattern> {
        let (mut name, mut about, mut won_by, mut among) = (None, String::new(), Who::Server, Vec::new());
        let (mut conditions, mut parts) = (Vec::new(), Parts::default());
        for entry in self.table("pattern", table)? {
            match entry.key {
                "name" => name = Some(self.text(&entry, entry.value)?),
                "about" => about = self.text(&entry, entry.value)?,
                "won_by" => won_by = self.word(&entry, &Who::WINNERS)?,
                "among" => among = keys::conditions(self, "among", entry.value)?,
                "shot" => parts.shot = Some(ball(self, "shot", entry.value)?),
                "met" => parts.met = Some(self.word(&entry, &Met::WORDS)?),
                "condition" => parts.condition = Some(entry),
                _ => conditions.push(self.read(&entry, &KEYS, &ALSO)?),
            }
        }
        let name = name.filter(|n| !n.trim().is_empty());
        let name = name.ok_or_else(|| self.missing(table, "this pattern has no name"))?;
        conditions.extend(self.named(table, parts)?);
        if conditions.is_empty() {
            let what =
                format!("pattern \"{name}\" has no condition, so every point would show it; add a condition");
            return Err(self.missing(table, &what));
        }
        let pattern = Pattern { name, about, won_by, conditions, among };
        if won_by == Who::Striker && !pattern.has_ball() {
            return Err(self.missing(table, "won_by is \"striker\", but no condition is about a shot"));
        }
        Ok(pattern)
    }

    /// The conditions that have names. If the pattern is about a shot, they are about that shot.
    fn named(&self, table: &Spanned<DeValue<'_>>, parts: Parts<'t>) -> Result<Option<Condition>> {
        if parts.condition.is_none() && parts.met.is_some() {
            return Err(
                self.missing(table, "\"met\" needs tables in \"condition\", and this pattern has none")
            );
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

    fn named_of<T>(&self, entry: &Entry<'t>, keys: &[Key<T>]) -> Result<Vec<Named<T>>> {
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
                return Err(self.missing(
                    table,
                    &format!("condition \"{name}\" asks nothing; add a key such as stroke = \"lob\""),
                ));
            }
            all.push(Named { name, tests });
        }
        Ok(all)
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
}
