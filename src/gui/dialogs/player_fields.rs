//! The fields of one player in the dialog of players and rules.

use chrono::NaiveDate;
use gtk::prelude::*;

use super::error::FieldsError;
use crate::gui::kit::fields::{choice, chosen, entry};
use crate::record::{Backhand, Gender, Hand, Player};

const HANDS: [(&str, Option<Hand>); 3] =
    [("Unknown", None), ("Right-handed", Some(Hand::Right)), ("Left-handed", Some(Hand::Left))];
const BACKHANDS: [(&str, Option<Backhand>); 3] =
    [("Unknown", None), ("One-handed", Some(Backhand::OneHanded)), ("Two-handed", Some(Backhand::TwoHanded))];
const GENDERS: [(&str, Option<Gender>); 3] =
    [("Not stated", None), ("Woman", Some(Gender::Woman)), ("Man", Some(Gender::Man))];
const CONSENT: [(&str, Option<bool>); 3] =
    [("Not asked yet", None), ("Yes", Some(true)), ("No", Some(false))];

/// The fields of one player.
pub struct PlayerFields {
    name: gtk::Entry,
    hand: gtk::DropDown,
    backhand: gtk::DropDown,
    gender: gtk::DropDown,
    consent: gtk::DropDown,
    keep_until: gtk::Entry,
}

/// The names of the fields, in their order; gender is asked in mixed doubles only.
pub const ROWS: [&str; 6] =
    ["Name or pseudonym", "Plays", "Backhand", "Gender", "Agreed to be filmed", "Keep footage until"];
/// The row of [`ROWS`] that only mixed doubles have.
pub const GENDER_ROW: usize = 3;

impl PlayerFields {
    /// Fields that show a player, or nobody yet.
    pub fn of(player: Option<&Player>) -> Self {
        let player = player.cloned().unwrap_or_else(|| Player::named(""));
        let fields = Self {
            name: entry(&player.name),
            hand: choice(&HANDS, player.hand),
            backhand: choice(&BACKHANDS, player.backhand),
            gender: choice(&GENDERS, player.gender),
            consent: choice(&CONSENT, player.consent),
            keep_until: entry(&player.keep_until.map(|d| d.to_string()).unwrap_or_default()),
        };
        fields.keep_until.set_placeholder_text(Some("year-month-day"));
        fields
    }

    /// The fields in the order of [`ROWS`].
    pub fn widgets(&self) -> [&gtk::Widget; 6] {
        [
            self.name.upcast_ref(),
            self.hand.upcast_ref(),
            self.backhand.upcast_ref(),
            self.gender.upcast_ref(),
            self.consent.upcast_ref(),
            self.keep_until.upcast_ref(),
        ]
    }

    /// Whether nobody is named.
    pub fn is_empty(&self) -> bool {
        self.name.text().trim().is_empty()
    }

    /// The player as the fields say. Gender is asked in `mixed` doubles only.
    pub fn read(&self, old: Option<&Player>, mixed: bool) -> Result<Player, FieldsError> {
        let name = self.name.text().trim().to_owned();
        if name.is_empty() {
            return Err(FieldsError::NoName);
        }
        let was = old.and_then(|o| o.gender);
        let gender = if mixed { chosen(&self.gender, &GENDERS) } else { was };
        Ok(Player {
            name,
            hand: chosen(&self.hand, &HANDS),
            backhand: chosen(&self.backhand, &BACKHANDS),
            gender,
            consent: chosen(&self.consent, &CONSENT),
            keep_until: date(&self.keep_until)?,
        })
    }
}

/// The day in an entry, or none.
pub fn date(entry: &gtk::Entry) -> Result<Option<NaiveDate>, FieldsError> {
    let text = entry.text().trim().to_owned();
    if text.is_empty() {
        return Ok(None);
    }
    text.parse().map(Some).map_err(|_| FieldsError::NotADate { found: text })
}
