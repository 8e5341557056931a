//! The user's own questions, from a TOML file.
//!
//! Each `[[question]]` has a `name` and may have an `about`. `of` says whose win counts (default `server`), `rows` by which facts
//! the points are grouped, `counts` what is counted (default `won`), `patterns` which patterns of the pattern file are rows too,
//! `among` a pattern that every point must show, `court` the court pictures, and `mix` whether to ask how mixed the serves are.

use serde::Deserialize;
use toml::Spanned;

use super::by::By;
use super::counts::Counts;
use super::court::MapOf;
use super::error::StudyError;
use super::question::Question;
use super::question::{Ask, Part};
use crate::near::Hint;
use crate::pattern::{At, Pattern, PatternFile, same_tag};
use crate::record::{MOST_NAME, printable};
use crate::wording::in_toml;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    question: Vec<Table>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    name: Spanned<String>,
    #[serde(default)]
    about: String,
    of: Option<Spanned<String>>,
    #[serde(default)]
    rows: Vec<Spanned<String>>,
    counts: Option<Spanned<String>>,
    #[serde(default)]
    patterns: Vec<Spanned<String>>,
    among: Option<Spanned<String>>,
    #[serde(default)]
    court: Vec<Spanned<String>>,
    #[serde(default)]
    mix: bool,
}

/// The most questions of a file.
const MOST_QUESTIONS: usize = 1_000;

/// Reads a question file; `file` is its name for messages, and patterns are those of the pattern file.
///
/// # Errors
/// [`StudyError`] with the line and column, what is allowed there, and the nearest word.
pub fn questions(text: &str, file: &str, patterns: &PatternFile) -> Result<Vec<Question>, StudyError> {
    let reader = Reader { file, text, patterns };
    let parsed: File = toml::from_str(text).map_err(|e| StudyError::Form {
        at: reader.at(e.span().map_or(0, |s| s.start)),
        found: in_toml(text, &e).into(),
    })?;
    let mut all: Vec<Question> = Vec::new();
    for (n, table) in parsed.question.iter().enumerate() {
        if n >= MOST_QUESTIONS {
            return Err(reader.wrong(table, "is one too many: a file may hold 1000"));
        }
        let question = reader.question(table)?;
        if all.iter().any(|q| same_tag(&q.name, &question.name)) {
            return Err(reader.wrong(table, "is there already"));
        }
        all.push(question);
    }
    Ok(all)
}

struct Reader<'t> {
    file: &'t str,
    text: &'t str,
    patterns: &'t PatternFile,
}

impl Reader<'_> {
    fn at(&self, byte: usize) -> At {
        At::new(self.file, self.text, byte)
    }

    fn wrong(&self, table: &Table, what: &'static str) -> StudyError {
        let name = printable(table.name.get_ref(), 60).into();
        StudyError::Question { at: self.at(table.name.span().start), name, what }
    }

    fn question(&self, table: &Table) -> Result<Question, StudyError> {
        if table.name.get_ref().trim().is_empty() {
            return Err(self.wrong(table, "has no name"));
        }
        if table.name.get_ref().chars().count() > MOST_NAME {
            return Err(self.wrong(table, "has a name that is too long: a name may have 1000 letters"));
        }
        let counts =
            self.one("counts", table.counts.as_ref(), &Counts::WORDS, &Counts::OLD)?.unwrap_or(Counts::Won);
        let facts: Vec<By> = self.each("rows", &table.rows, &By::WORDS, &By::OLD)?;
        let mut asks: Vec<Ask> = facts.into_iter().map(|by| Ask::Fact(by, counts)).collect();
        let patterns: Vec<Pattern> =
            table.patterns.iter().map(|p| self.pattern(p)).collect::<Result<_, _>>()?;
        if !patterns.is_empty() {
            asks.push(Ask::Patterns(patterns));
        }
        if asks.is_empty() {
            return Err(self.wrong(table, "has no rows: give \"rows\" or \"patterns\""));
        }
        let of = self.one("of", table.of.as_ref(), &Part::WORDS, &[])?.unwrap_or(Part::Server);
        if table.mix && of != Part::Server {
            return Err(self.wrong(table, "asks for the mix of serves: its \"of\" must be \"server\""));
        }
        Ok(Question {
            name: table.name.get_ref().trim().into(),
            about: table.about.clone(),
            of,
            among: table.among.as_ref().map(|p| self.pattern(p)).transpose()?,
            asks,
            maps: self.each("court", &table.court, &MapOf::WORDS, &MapOf::OLD)?,
            mix: table.mix,
            lead: None,
        })
    }

    fn pattern(&self, name: &Spanned<String>) -> Result<Pattern, StudyError> {
        let at = || self.at(name.span().start);
        self.patterns.named(name.get_ref()).cloned().map_err(|error| StudyError::Pattern { at: at(), error })
    }

    fn each<T: Copy>(
        &self,
        key: &'static str,
        values: &[Spanned<String>],
        words: &[(&'static str, T)],
        old: &[(&'static str, T)],
    ) -> Result<Vec<T>, StudyError> {
        values.iter().filter_map(|v| self.one(key, Some(v), words, old).transpose()).collect()
    }

    fn one<T: Copy>(
        &self,
        key: &'static str,
        value: Option<&Spanned<String>>,
        words: &[(&'static str, T)],
        old: &[(&'static str, T)],
    ) -> Result<Option<T>, StudyError> {
        let Some(value) = value else { return Ok(None) };
        let found = value.get_ref().as_str();
        if let Some((_, x)) = words.iter().chain(old).find(|(w, _)| same_tag(w, found)) {
            return Ok(Some(*x));
        }
        Err(StudyError::Word {
            at: self.at(value.span().start),
            key,
            found: found.into(),
            allowed: words.iter().map(|(w, _)| format!("\"{w}\"")).collect::<Vec<_>>().join(", ").into(),
            hint: Hint::of(found, words.iter().map(|(w, _)| *w)),
        })
    }
}
