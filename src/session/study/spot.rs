//! The places of an answer that can have the focus; each names the points behind it. No widgets.
//!
//! The number at a place is the length of its list, so a number and its clips can never differ.

use super::found::{Found, NumberAt};
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::summary::Tally;
use crate::summary::study::{Counts, Row, Section};

/// Which points of a tally.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// All of them.
    Points,
    /// Those that count.
    Won,
    /// Those that do not.
    Lost,
    /// Those of which that is not known.
    Unknown,
    /// Those that the rate is of.
    Decided,
}

/// A place in the findings.
#[expect(missing_docs, reason = "each field is a number from 0, in the order of the findings")]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// The points looked at.
    All,
    /// Points that may belong to them.
    LeftOut,
    /// Points in which there is a contradiction.
    Doubtful,
    /// A row of a table.
    Row { section: usize, row: usize, part: Part },
    /// What a row is compared with.
    Others { section: usize, row: usize, part: Part },
    /// Points that lack the data to tell whether they show a row's pattern.
    CannotTell { section: usize, row: usize },
    /// Points that may not belong among a row's others.
    Unplaced { section: usize, row: usize },
    /// Points in no row of a table: it is known that they belong to none, or it is not known to which.
    NoRow { section: usize, known: bool },
    /// Points whose row was estimated, not seen.
    Estimated { section: usize },
    /// A group of a row's comparison: the row's points, or the others.
    Group { section: usize, row: usize, strata: usize, group: usize, others: bool, part: Part },
    /// Points of a row's comparison of which the group is not known.
    NoGroup { section: usize, row: usize, strata: usize },
    /// A cell of a court picture.
    Cell { map: usize, cell: usize, part: Part },
    /// Points in no cell: without such a shot in court, or it is not known where it landed.
    NoCell { map: usize, known: bool },
    /// The serves of a mix.
    Mix(usize),
    /// A number of a player.
    Number(NumberAt),
}

fn part_of(tally: &Tally, part: Part) -> Vec<&[PointRef]> {
    match part {
        Part::Points => vec![&tally.points],
        Part::Won => vec![&tally.won],
        Part::Lost => vec![&tally.lost],
        Part::Unknown => vec![&tally.unknown],
        Part::Decided => vec![&tally.won, &tally.lost],
    }
}

/// What is counted, and what is not, at the head of a column.
pub const fn heads(counts: Counts) -> [&'static str; 2] {
    match counts {
        Counts::Winner => ["winner", "no winner"],
        Counts::UnforcedError => ["unforced error", "none"],
        Counts::Error => ["error", "no error"],
        Counts::Won => ["won", "lost"],
    }
}

/// The short verdict of a row's comparison, for a table; empty if there is no rate.
pub fn words_of(row: &Row) -> String {
    row.tally.rate.map_or_else(String::new, |_| row.verdict.short())
}

impl Spot {
    /// The lists whose points these are; none when the findings have no such place.
    fn lists(self, f: &Found) -> Vec<&[PointRef]> {
        let row = |section: usize, row: usize| f.sections.get(section).and_then(|s| s.rows.get(row));
        let found = match self {
            Self::All => Some(vec![&*f.points]),
            Self::LeftOut => Some(vec![&*f.left_out]),
            Self::Doubtful => Some(vec![&*f.doubtful]),
            Self::Row { section, row: n, part } => row(section, n).map(|r| part_of(&r.tally, part)),
            Self::Others { section, row: n, part } => row(section, n).map(|r| part_of(&r.others, part)),
            Self::CannotTell { section, row: n } => row(section, n).map(|r| vec![&*r.cannot_tell]),
            Self::Unplaced { section, row: n } => row(section, n).map(|r| vec![&*r.unplaced]),
            Self::NoRow { section, known } => {
                f.sections.get(section).map(|s| vec![if known { &*s.outside } else { &*s.cannot_tell }])
            }
            Self::Estimated { section } => f.sections.get(section).map(|s| vec![&*s.estimated]),
            Self::Group { section, row: n, strata, group, others, part } => row(section, n)
                .and_then(|r| r.strata.get(strata)?.groups.get(group))
                .map(|g| part_of(if others { &g.that } else { &g.this }, part)),
            Self::NoGroup { section, row: n, strata } => {
                row(section, n).and_then(|r| r.strata.get(strata)).map(|s| vec![&*s.cannot_tell])
            }
            Self::Cell { map, cell, part } => {
                f.maps.get(map).and_then(|m| m.cells.get(cell)).map(|c| part_of(&c.tally, part))
            }
            Self::NoCell { map, known } => {
                f.maps.get(map).map(|m| vec![if known { &*m.outside } else { &*m.cannot_tell }])
            }
            Self::Mix(n) => f.mixes.get(n).map(|m| vec![&*m.points]),
            // Its points are not in the tables.
            Self::Number(_) => None,
        };
        found.unwrap_or_default()
    }

    /// How many points are behind it, or shots where shots are counted.
    pub fn count(self, f: &Found) -> usize {
        if let Self::Number(at) = self {
            return f.count(at);
        }
        self.lists(f).iter().map(|l| l.len()).sum()
    }

    /// The points behind it, in the order played.
    pub fn points(self, f: &Found) -> Vec<PointRef> {
        if let Self::Number(at) = self {
            return f.points(at);
        }
        let mut all = self.lists(f).concat();
        all.sort_unstable();
        all
    }

    /// The row that it belongs to.
    pub const fn row(self) -> Option<(usize, usize)> {
        match self {
            Self::Row { section, row, .. }
            | Self::Others { section, row, .. }
            | Self::CannotTell { section, row }
            | Self::Unplaced { section, row }
            | Self::Group { section, row, .. }
            | Self::NoGroup { section, row, .. } => Some((section, row)),
            _ => None,
        }
    }

    /// What its points are, in words without their number.
    pub fn title(self, f: &Found) -> String {
        let name = |section: usize, row: usize| {
            f.sections.get(section).and_then(|s| s.rows.get(row)).map_or_else(String::new, |r| r.name.clone())
        };
        let counts = |section: usize| f.sections.get(section).map_or(Counts::Won, |s| s.counts);
        match self {
            Self::All => "all points".into(),
            Self::LeftOut => "no data for this question".into(),
            Self::Doubtful => "contradiction, or no ending".into(),
            Self::Row { section, row, part } => with(name(section, row), word(part, counts(section))),
            Self::Others { section, row, part } => {
                with(format!("other than {}", name(section, row)), word(part, counts(section)))
            }
            Self::CannotTell { section, row } => format!("perhaps {}", name(section, row)),
            Self::Unplaced { section, row } => {
                format!("not {}; may not be comparable", name(section, row))
            }
            Self::NoRow { section, known } => {
                f.sections.get(section).map_or_else(String::new, |s| no_row(s, known))
            }
            Self::Estimated { section } => {
                format!("{}: estimated, not seen", f.sections.get(section).map_or("", |s| &s.by))
            }
            Self::Group { section, row, strata, group, others, part } => {
                let group = f
                    .sections
                    .get(section)
                    .and_then(|s| s.rows.get(row)?.strata.get(strata)?.groups.get(group));
                let of = name(section, row);
                let of = if others { format!("other than {of}") } else { of };
                with(format!("{of}, {}", group.map_or("", |g| &g.name)), word(part, counts(section)))
            }
            Self::NoGroup { section, row, strata } => {
                let strata = f.sections.get(section).and_then(|s| s.rows.get(row)?.strata.get(strata));
                format!("{}: {} unknown", name(section, row), strata.map_or("", |s| s.by))
            }
            Self::Number(at) => f.title(at),
            Self::Cell { .. } | Self::NoCell { .. } | Self::Mix(_) => self.title_in_a_picture(f),
        }
    }

    fn title_in_a_picture(self, f: &Found) -> String {
        let ball = |map: usize| f.maps.get(map).map_or("", |m| m.ball.as_str());
        match self {
            Self::Cell { map, cell, part } => {
                let cells = f.maps.get(map).map_or(&[][..], |m| &m.cells);
                let at = cells.get(cell).map_or("", |c| &c.name);
                with(format!("{}, {at}", ball(map)), word(part, Counts::Won))
            }
            Self::NoCell { map, known: true } => {
                f.maps.get(map).map_or_else(String::new, |m| m.outside_means.clone())
            }
            Self::NoCell { map, known: false } => format!("{}: place unknown", ball(map)),
            Self::Mix(n) => f.mixes.get(n).map_or_else(String::new, |m| m.of.clone()),
            _ => String::new(),
        }
    }

    /// What a screen reader says of it: the whole row at the name of a row.
    pub fn spoken(self, f: &Found) -> String {
        if let Self::Number(at) = self {
            return f.spoken(at);
        }
        if let Self::Row { section, row, part: Part::Points } = self
            && let Some((head, r)) =
                f.sections.get(section).and_then(|s| Some((heads(s.counts)[0], s.rows.get(row)?)))
        {
            return spoken_row(r, head);
        }
        format!("{}: {}", self.title(f), Counted(self.count(f), Noun::Point))
    }
}

fn no_row(s: &Section, known: bool) -> String {
    if known { format!("points that {}", s.outside_means) } else { format!("no {}", s.lacking) }
}

fn with(of: String, part: &str) -> String {
    if part.is_empty() { of } else { format!("{of}: {part}") }
}

const fn word(part: Part, counts: Counts) -> &'static str {
    match part {
        Part::Points => "",
        Part::Won => heads(counts)[0],
        Part::Lost => heads(counts)[1],
        Part::Unknown if matches!(counts, Counts::Won) => "winner unknown",
        Part::Unknown => "ending unknown",
        Part::Decided => "points in the rate",
    }
}

/// `Wide serve, then open court: 14 points, 11 won, 79 %, 95 % interval 52 to 92, too few to tell`.
fn spoken_row(r: &Row, head: &str) -> String {
    let t = &r.tally;
    let mut parts = vec![Counted(t.points.len(), Noun::Point).to_string(), format!("{} {head}", t.won.len())];
    parts.extend(Some(t.unknown.len()).filter(|n| *n > 0).map(|n| format!("{n} unknown")));
    parts.extend(Some(r.cannot_tell.len()).filter(|n| *n > 0).map(|n| format!("{n} may show it")));
    parts.extend(t.rate.map(|rate| {
        let [low, high] = rate.range();
        format!("{}, 95 % interval {} to {high}", rate.percent(), low.whole())
    }));
    parts.extend(Some(words_of(r)).filter(|w| !w.is_empty()));
    format!("{}: {}", r.name, parts.join(", "))
}
