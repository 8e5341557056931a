//! The messages of `import`: what it wrote, what is wrong, and what looks wrong.

use std::io::{self, Write};

use schemars::JsonSchema;
use serde::Serialize;

use super::args::Args;
use crate::cli::answer::complain;
use crate::cli::reading::shown;
use crate::record::check::check;
use crate::record::{Record, printable};

/// Bad cells that are told one by one.
const MOST_TOLD: usize = 100;
/// Records with something to look at that are told one by one.
const MOST_LOOKS: usize = 20;

/// A record that was written, as `import --json` tells it: one object a line.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Imported {
    /// The match, as the column `match` names it.
    #[serde(rename = "match")]
    pub name: Option<String>,
    /// The file of its record.
    pub record: String,
    /// Its points.
    pub points: usize,
}

/// All that is wrong, told in the end; more than can be read is only counted.
pub(super) struct Wrong {
    pub(super) source: String,
    pub(super) told: Vec<String>,
    pub(super) count: usize,
}

impl Wrong {
    pub(super) fn add(&mut self, what: impl FnOnce() -> String) {
        self.count += 1;
        if self.told.len() < MOST_TOLD {
            self.told.push(what());
        }
    }

    pub(super) fn tell(&self) {
        for what in &self.told {
            complain(&format!("{}: {what}", self.source));
        }
        let more = match self.count - self.told.len() {
            0 => String::new(),
            n => format!("and {n} more like these; "),
        };
        complain(&format!("{}: {more}nothing is imported", self.source));
    }
}

pub(super) fn tell(args: &Args, written: &[Imported], out: &mut dyn Write) -> io::Result<()> {
    if args.json {
        for record in written {
            serde_json::to_writer(&mut *out, record)?;
            writeln!(out)?;
        }
        return Ok(());
    }
    let count = |n: usize, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
    let points = count(written.iter().map(|w| w.points).sum(), "point");
    match written {
        [one] => writeln!(out, "{}: {points}", printable(&one.record, 400)),
        all => writeln!(out, "{}: {}, {points}", shown(&args.out), count(all.len(), "record")),
    }
}

/// What looks wrong with a record, for which it is nevertheless one.
pub(super) struct Look {
    /// Its place among those written.
    pub(super) at: usize,
    pub(super) first: String,
    pub(super) more: usize,
}

impl Look {
    pub(super) fn at(at: usize, record: &Record) -> Option<Self> {
        let mut found = check(record).into_iter();
        let first = found.next()?.to_string();
        Some(Self { at, first, more: found.count() })
    }
}

pub(super) fn tell_looks(looks: &[Look], written: &[Imported]) {
    for look in looks.iter().take(MOST_LOOKS) {
        let record = written.get(look.at).map_or("", |w| &w.record);
        let more = if look.more == 0 {
            String::new()
        } else {
            format!("; and {} more (changeover check)", look.more)
        };
        complain(&format!("{}: imported, but: {}{more}", printable(record, 400), look.first));
    }
    let more = looks.len().saturating_sub(MOST_LOOKS);
    if more > 0 {
        complain(&format!("and {more} more records with findings; see changeover check"));
    }
}

/// The records written, and what looks wrong with them.
pub(super) type Written = (Vec<Imported>, Vec<Look>);
