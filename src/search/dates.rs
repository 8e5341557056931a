//! Dates of matches as people type them: `2026`, `May 2026`, `3 May 2026`, `2026-05-03`, `since May 2026`.

use std::fmt;

use chrono::{Days, Months, NaiveDate};

/// The months, as people write them.
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// A stretch of days, both ends included; an end that is missing is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dates {
    /// The first day.
    pub from: Option<NaiveDate>,
    /// The last day.
    pub until: Option<NaiveDate>,
}

impl Dates {
    /// From this first day on, for so many months.
    fn months(first: NaiveDate, months: u32) -> Option<Self> {
        let until = first.checked_add_months(Months::new(months))?.pred_opt();
        Some(Self { from: Some(first), until })
    }

    fn day(day: NaiveDate) -> Self {
        Self { from: Some(day), until: Some(day) }
    }

    /// Whether a day is one of them.
    pub fn contains(self, day: NaiveDate) -> bool {
        self.from.is_none_or(|first| first <= day) && self.until.is_none_or(|last| day <= last)
    }
}

impl fmt::Display for Dates {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.from, self.until) {
            (Some(a), Some(b)) if a == b => write!(f, "on {a}"),
            (Some(a), Some(b)) => write!(f, "{a} to {b}"),
            (Some(a), None) => write!(f, "since {a}"),
            (None, Some(b)) => write!(f, "until {b}"),
            (None, None) => f.write_str("on any day"),
        }
    }
}

/// Dates at the start of these words, and how many words they take.
pub(super) fn dates(words: &[&str]) -> Option<(usize, Dates)> {
    let (first, rest) = words.split_first()?;
    let bound = |keep: fn(Dates) -> Option<Dates>| {
        let (taken, dates) = plain(rest)?;
        Some((taken + 1, keep(dates)?))
    };
    match *first {
        "since" | "from" => bound(|d| Some(Dates { from: d.from, until: None })),
        "after" => bound(|d| Some(Dates { from: d.until?.checked_add_days(Days::new(1)), until: None })),
        "before" => bound(|d| Some(Dates { from: None, until: d.from?.pred_opt() })),
        "until" => bound(|d| Some(Dates { from: None, until: d.until })),
        _ => plain(words),
    }
}

fn plain(words: &[&str]) -> Option<(usize, Dates)> {
    if let [day, month, year, ..] = words
        && let Some(date) = date(year, month, day)
    {
        return Some((3, Dates::day(date)));
    }
    if let [month, year, ..] = words
        && let Some(first) = date(year, month, "1")
    {
        return Some((2, Dates::months(first, 1)?));
    }
    Some((1, written(words.first()?)?))
}

fn date(year: &str, month: &str, day: &str) -> Option<NaiveDate> {
    let at_least_three = |m: &str| month.len() >= 3 && m.starts_with(month);
    let month = MONTHS.iter().position(|m| at_least_three(m))?;
    NaiveDate::from_ymd_opt(year_of(year)?, u32::try_from(month).ok()? + 1, day.parse().ok()?)
}

fn year_of(word: &str) -> Option<i32> {
    let year = word.parse().ok().filter(|_| word.len() == 4)?;
    (1900..2200).contains(&year).then_some(year)
}

/// `2026`, `2026-05`, `2026-05-03`.
fn written(word: &str) -> Option<Dates> {
    if let Ok(day) = word.parse::<NaiveDate>() {
        return Some(Dates::day(day));
    }
    let first = |year, month| NaiveDate::from_ymd_opt(year, month, 1);
    match word.split_once('-') {
        Some((year, month)) if month.len() == 2 => {
            Dates::months(first(year_of(year)?, month.parse().ok()?)?, 1)
        }
        Some(_) => None,
        None => Dates::months(first(year_of(word)?, 1)?, 12),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_as_people_type_them() {
        for (text, taken, said) in [
            ("2026", 1, "2026-01-01 to 2026-12-31"),
            ("2026-02", 1, "2026-02-01 to 2026-02-28"),
            ("2026-05-03 clay", 1, "on 2026-05-03"),
            ("may 2026", 2, "2026-05-01 to 2026-05-31"),
            ("3 may 2026", 3, "on 2026-05-03"),
            ("3 sept 2026", 3, "on 2026-09-03"),
            ("since may 2026", 3, "since 2026-05-01"),
            ("after may 2026", 3, "since 2026-06-01"),
            ("before 2026", 2, "until 2025-12-31"),
            ("until 2026", 2, "until 2026-12-31"),
        ] {
            let words: Vec<&str> = text.split(' ').collect();
            let (n, found) = dates(&words).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((n, found.to_string().as_str()), (taken, said), "{text}");
        }
        for text in ["may", "30-40", "20260", "since holt", "2026-13", "31 february 2026", "ma 2026", ""] {
            let words: Vec<&str> = text.split(' ').collect();
            assert!(dates(&words).is_none_or(|(_, d)| text.starts_with("31") && d.from != d.until), "{text}");
        }
    }

    #[test]
    fn both_ends_belong_to_them() {
        let (_, may) = dates(&["may", "2026"]).unwrap();
        let day = |d: &str| d.parse::<NaiveDate>().unwrap();
        assert!(may.contains(day("2026-05-01")) && may.contains(day("2026-05-31")));
        assert!(!may.contains(day("2026-04-30")) && !may.contains(day("2026-06-01")));
    }
}
