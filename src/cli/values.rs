//! Values of the command line that are numbers or days, refused in our words.

use std::ops::RangeInclusive;

use chrono::NaiveDate;

/// A whole number within a range.
pub(super) fn whole<T: TryFrom<u64>>(
    range: RangeInclusive<u64>,
) -> impl Fn(&str) -> Result<T, String> + Clone + Send + Sync + 'static {
    move |text| {
        let number = text.trim().parse::<u64>().ok().filter(|n| range.contains(n));
        let (first, last) = (range.start(), range.end());
        number.and_then(|n| T::try_from(n).ok()).ok_or_else(|| match (first, last - first) {
            (_, 1) => format!("allowed: {first} or {last}"),
            _ => format!("allowed: a whole number from {first} to {last}"),
        })
    }
}

/// A day.
pub(super) fn day(text: &str) -> Result<NaiveDate, String> {
    text.trim().parse().map_err(|_| "this is not a date; write year-month-day, for example 2026-05-31".into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_allowed_is_told() {
        let set = whole::<u8>(1..=5);
        assert_eq!(set(" 3 "), Ok(3));
        for wrong in ["0", "6", "-1", "300", "1.5", "two", "", "99999999999999999999999"] {
            assert_eq!(set(wrong), Err("allowed: a whole number from 1 to 5".into()), "{wrong}");
        }
        assert_eq!(whole::<u8>(1..=2)("3"), Err("allowed: 1 or 2".into()));
        assert_eq!(day("2026-05-31"), Ok(NaiveDate::from_ymd_opt(2026, 5, 31).unwrap()));
        for wrong in ["2026-13-01", "31.5.2026", "2026-02-30", "soon", "2026-5-31x"] {
            assert!(day(wrong).unwrap_err().starts_with("this is not a date"), "{wrong}");
        }
    }
}
