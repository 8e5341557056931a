//! Logging without footage: what the match clock shows, and what is going on in the match, in words.

use super::state::Session;
use super::words::capital;
use crate::counted::{Counted, Noun};
use crate::facts::heading_of;
use crate::logging::clock::steady;
use crate::logging::log::open_point;
use crate::record::{Kind, Record};
use crate::tennis::Side;
use crate::time::MatchTime;

/// Who has won the match, in words, once somebody has.
pub fn match_won(record: &Record, won: Option<Side>) -> Option<String> {
    Some(format!("{} has won the match", record.about.side_name(won?)))
}

impl Session {
    /// Whether nothing was filmed, and nothing is being attached.
    pub fn courtside(&self) -> bool {
        self.view.record.footage.is_empty() && self.parts.is_empty()
    }

    /// What the match clock shows where nothing is filmed.
    pub fn court_time(&self) -> Option<MatchTime> {
        let about = Some(&self.view.record.about).filter(|_| self.courtside())?;
        self.clock.shows(about, steady())
    }

    /// What is happening in the match, in words: the point being played, or the next point.
    pub fn going_on(&self) -> String {
        let record = &*self.view.record;
        let open = open_point(record).and_then(|i| self.facts().get(i));
        if let Some(f) = open {
            let since = record.points[f.number].start.unwrap_or_default().short();
            return format!("{}\nbeing played since {since}", capital(&heading_of(record, f)));
        }
        if let Some(over) = match_won(record, self.view.won) {
            return over;
        }
        if matches!(record.about.kind(), Kind::Points | Kind::Part) && self.view.pad.server.is_none() {
            return format!("Next is point {}", record.points.len() + 1);
        }
        let (next, server) = (&self.view.after, self.view.after.server);
        let (mine, theirs) = (next.games[server.index()], next.games[server.other().index()]);
        let (name, call) = (&record.about.player(server).name, next.called.server_first(server));
        format!("Next is point {}: {name} serves at {mine}–{theirs}, {call}", record.points.len() + 1)
    }
}

/// The match clock as the page shows it. If it has run for days, it was forgotten, and only the days are shown.
pub fn clock_words(t: MatchTime) -> String {
    const DAY: u64 = 86_400_000_000_000;
    match t.nanos() / DAY {
        0 => t.short(),
        days => Counted(days as usize, Noun::Day).to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_ran_for_days_says_so() {
        assert_eq!(clock_words(MatchTime::from_secs(3605)), "1:00:05");
        assert_eq!(clock_words(MatchTime::from_secs(86_400)), "1 day");
        assert_eq!(clock_words(MatchTime::from_secs(2 * 86_400 + 61)), "2 days");
    }
}
