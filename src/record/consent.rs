//! How long footage of a player may be kept, and what a day that has passed asks for.

use chrono::{Local, NaiveDate};

use super::error::printable;
use super::model::{MatchInfo, Player};

impl MatchInfo {
    /// Everybody on court, each under the word by which verbs ask for them.
    pub fn people(&self) -> impl Iterator<Item = (&'static str, &Player)> {
        let partners = [("a-partner", &self.a_partner), ("b-partner", &self.b_partner)];
        let partners = partners.into_iter().filter_map(|(who, p)| Some((who, p.as_ref()?)));
        [("a", &self.a), ("b", &self.b)].into_iter().chain(partners)
    }

    /// One of [`Self::people`], to be changed.
    pub(super) fn person_mut(&mut self, who: &str) -> Option<&mut Player> {
        match who {
            "a" => Some(&mut self.a),
            "b" => Some(&mut self.b),
            "a-partner" => self.a_partner.as_mut(),
            "b-partner" => self.b_partner.as_mut(),
            _ => None,
        }
    }
}

/// Today, by the wall clock.
pub fn today() -> NaiveDate {
    Local::now().date_naive()
}

/// One reminder, in words, for each player whose footage was to be kept until a day before `today`.
pub fn overdue(about: &MatchInfo, today: NaiveDate) -> Vec<String> {
    (about.people())
        .filter_map(|(who, player)| Some((who, player, player.keep_until.filter(|day| *day < today)?)))
        .map(|(who, player, day)| {
            format!(
                "footage of {} was to be kept until {day}, which has passed: delete it, and take the name out with changeover erase --player {who}",
                printable(&player.name, 60)
            )
        })
        .collect()
}

/// What to say of players who did not agree, when a record is opened. Of days that have passed the store tells.
pub fn refusals(about: &MatchInfo) -> Vec<String> {
    let against = about.people().filter(|(_, player)| player.consent == Some(false));
    against
        .map(|(_, p)| format!("{} did not agree to be filmed. Do not share clips of this match.", p.name))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_that_has_passed_is_told_and_no_other() {
        let day = |d| NaiveDate::from_ymd_opt(2026, 5, d).unwrap();
        let mut about = MatchInfo::default();
        assert!(overdue(&about, day(31)).is_empty());
        about.b.name = "Okafor".into();
        about.b.keep_until = Some(day(7));
        about.a_partner = Some(Player { keep_until: Some(day(31)), ..Player::named("Reyes") });
        assert!(overdue(&about, day(7)).is_empty(), "the last day is still one");
        assert_eq!(
            overdue(&about, day(8)),
            [
                "footage of Okafor was to be kept until 2026-05-07, which has passed: delete it, and take the name out with changeover erase --player b"
            ]
        );
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
            refusals(&about),
            ["Okafor did not agree to be filmed. Do not share clips of this match."]
        );
    }
}
