//! How long footage of a player may be kept, and reminders when that day has passed.

use chrono::{Local, NaiveDate};

use super::model::{MatchInfo, Player, Record};
use crate::system::printable;

impl MatchInfo {
    /// Everybody on court, each with the word that names them on the command line.
    pub fn people(&self) -> impl Iterator<Item = (&'static str, &Player)> {
        let partners = [("a-partner", &self.a_partner), ("b-partner", &self.b_partner)];
        let partners = partners.into_iter().filter_map(|(who, p)| Some((who, p.as_ref()?)));
        [("a", &self.a), ("b", &self.b)].into_iter().chain(partners)
    }

    /// All of [`Self::people`], to be changed.
    pub(super) fn people_mut(&mut self) -> impl Iterator<Item = &mut Player> {
        [&mut self.a, &mut self.b].into_iter().chain(&mut self.a_partner).chain(&mut self.b_partner)
    }
}

/// Today, by the wall clock.
pub fn today() -> NaiveDate {
    Local::now().date_naive()
}

impl Record {
    /// Everybody of whom a record knows more than a name, each with the word that names them on the command line. For points of
    /// many matches these are the listed people, by name.
    fn known(&self) -> impl Iterator<Item = (&str, &Player)> {
        let listed = self.people.iter().map(|p| (p.name.as_str(), p));
        self.about.people().map(|(who, p)| -> (&str, &Player) { (who, p) }).chain(listed)
    }
}

/// One reminder, in words, for each player whose footage was to be kept until a day before `today`.
pub fn overdue(record: &Record, today: NaiveDate) -> Vec<String> {
    (record.known())
        .filter_map(|(who, player)| Some((who, player, player.keep_until.filter(|day| *day < today)?)))
        .map(|(who, player, day)| {
            let who = printable(who, 60);
            let who = if who.contains(char::is_whitespace) { format!("\"{who}\"") } else { who };
            format!(
                "footage of {} could be kept until {day}, which has passed: delete it, and delete the name with changeover erase --player {who}",
                printable(&player.name, 60)
            )
        })
        .collect()
}

/// The messages about players who did not agree, for when a record is opened. The store reports days that have passed.
pub fn refusals(record: &Record) -> Vec<String> {
    let against = record.known().filter(|(_, player)| player.consent == Some(false));
    against
        .map(|(_, p)| format!("{} did not agree to be filmed. Do not share clips that show them.", p.name))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_that_has_passed_is_told_and_no_other() {
        let day = |d| NaiveDate::from_ymd_opt(2026, 5, d).unwrap();
        let mut record = Record::default();
        assert!(overdue(&record, day(31)).is_empty());
        record.about.b.name = "Okafor".into();
        record.about.b.keep_until = Some(day(7));
        record.about.a_partner = Some(Player { keep_until: Some(day(31)), ..Player::named("Reyes") });
        assert!(overdue(&record, day(7)).is_empty(), "the last day is still one");
        assert_eq!(
            overdue(&record, day(8)),
            [
                "footage of Okafor could be kept until 2026-05-07, which has passed: delete it, and delete the name with changeover erase --player b"
            ]
        );
        let people = vec![Player { keep_until: Some(day(7)), ..Player::named("Mia Vale") }];
        let told = overdue(&Record { people, ..Record::default() }, day(8));
        assert!(told[0].ends_with("changeover erase --player \"Mia Vale\""), "{told:?}");
    }

    #[test]
    fn a_player_who_did_not_agree_is_named() {
        let of = |name, consent| Player { consent, ..Player::named(name) };
        let about = MatchInfo {
            a: of("Holt", Some(true)),
            b: of("Okafor", Some(false)),
            b_partner: Some(of("Reyes", None)),
            ..MatchInfo::default()
        };
        assert_eq!(
            refusals(&Record { about, ..Record::default() }),
            ["Okafor did not agree to be filmed. Do not share clips that show them."]
        );
    }
}
