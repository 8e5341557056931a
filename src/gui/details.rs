//! Players and rules: a small dialog, one edit.

use chrono::NaiveDate;
use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::help::close_on_escape;
use super::keeper::Ask;
use super::window::{Window, capital, named};
use crate::record::{Edit, Hand, MatchInfo, Player};
use crate::tennis::presets::PRESETS;
use crate::tennis::rules::Rules;
use crate::tennis::{End, Side};

const PLAYERS: [&str; 2] = ["First-named player", "Second-named player"];
const HANDS: [(&str, Option<Hand>); 3] =
    [("Not known", None), ("Right-handed", Some(Hand::Right)), ("Left-handed", Some(Hand::Left))];
const CONSENT: [(&str, Option<bool>); 3] =
    [("Not asked yet", None), ("Yes", Some(true)), ("No", Some(false))];

/// What to say of players who did not agree, when a record is opened. Of days that have passed the store tells.
pub fn refusals(about: &MatchInfo) -> Vec<String> {
    let against = about.people().filter(|(_, player)| player.consent == Some(false));
    against.map(|(_, p)| format!("{} did not agree to be filmed: hand nothing on.", p.name)).collect()
}

/// The fields of one player.
struct PlayerFields {
    name: gtk::Entry,
    hand: gtk::DropDown,
    consent: gtk::DropDown,
    keep_until: gtk::Entry,
}

impl PlayerFields {
    fn of(player: &Player) -> Self {
        Self {
            name: entry(&player.name),
            hand: choice(&HANDS, player.hand),
            consent: choice(&CONSENT, player.consent),
            keep_until: entry(&player.keep_until.map(|d| d.to_string()).unwrap_or_default()),
        }
    }

    fn rows(&self) -> [(&'static str, &gtk::Widget); 4] {
        [
            ("Name or pseudonym", self.name.upcast_ref()),
            ("Plays", self.hand.upcast_ref()),
            ("Agreed to be filmed", self.consent.upcast_ref()),
            ("Keep footage until", self.keep_until.upcast_ref()),
        ]
    }

    fn read(&self, old: &Player) -> Result<Player, String> {
        let name = self.name.text().trim().to_owned();
        if name.is_empty() {
            return Err("A player needs a name, or a pseudonym.".into());
        }
        Ok(Player {
            name,
            hand: HANDS[self.hand.selected() as usize % HANDS.len()].1,
            consent: CONSENT[self.consent.selected() as usize % CONSENT.len()].1,
            keep_until: date(&self.keep_until)?,
            ..old.clone()
        })
    }
}

/// The dialog's fields.
struct Fields {
    players: [PlayerFields; 2],
    first: gtk::DropDown,
    end: gtk::DropDown,
    rules: gtk::DropDown,
    date: gtk::Entry,
    venue: gtk::Entry,
    surface: gtk::Entry,
}

impl Fields {
    fn of(about: &MatchInfo) -> Self {
        let two = |words: [&'static str; 2], second: bool| choice(&words.map(|w| (w, w == words[1])), second);
        Self {
            players: [PlayerFields::of(&about.a), PlayerFields::of(&about.b)],
            first: two(PLAYERS, about.first_server == Side::B),
            end: two(["Near end", "Far end"], about.a_starts == End::Far),
            rules: choice(&rules(about.rules), about.rules),
            date: entry(&about.date.map(|d| d.to_string()).unwrap_or_default()),
            venue: entry(&about.venue),
            surface: entry(&about.surface),
        }
    }

    fn rows(&self) -> [(&'static str, &gtk::Widget); 6] {
        [
            ("Served first", self.first.upcast_ref()),
            ("First-named started at", self.end.upcast_ref()),
            ("Rules", self.rules.upcast_ref()),
            ("Date", self.date.upcast_ref()),
            ("Venue", self.venue.upcast_ref()),
            ("Surface", self.surface.upcast_ref()),
        ]
    }

    /// The match as the fields say.
    fn read(&self, old: &MatchInfo) -> Result<MatchInfo, String> {
        let mut about = old.clone();
        about.a = self.players[0].read(&old.a)?;
        about.b = self.players[1].read(&old.b)?;
        about.date = date(&self.date)?;
        self.venue.text().trim().clone_into(&mut about.venue);
        self.surface.text().trim().clone_into(&mut about.surface);
        about.first_server = if self.first.selected() == 1 { Side::B } else { Side::A };
        about.a_starts = if self.end.selected() == 1 { End::Far } else { End::Near };
        if let Some((_, chosen)) = rules(old.rules).get(self.rules.selected() as usize) {
            about.rules = *chosen;
        }
        Ok(about)
    }

    fn grid(&self) -> gtk::Grid {
        let grid = gtk::Grid::builder().column_spacing(14).row_spacing(8).build();
        let title = |text: &str| gtk::Label::builder().label(text).xalign(0.0).build();
        for (i, of) in self.players.iter().enumerate() {
            let column = i as i32 + 1;
            let head = title(["● First-named player", "□ Second-named player"][i]);
            head.set_css_classes(&[["side-a", "side-b"][i]]);
            grid.attach(&head, column, 0, 1, 1);
            for (row, (text, field)) in (1..).zip(of.rows()) {
                if i == 0 {
                    grid.attach(&title(text), 0, row, 1, 1);
                }
                field.set_hexpand(true);
                named(field, &format!("{}: {text}", PLAYERS[i]));
                grid.attach(field, column, row, 1, 1);
            }
        }
        let rule = gtk::Separator::new(gtk::Orientation::Horizontal);
        grid.attach(&rule, 0, 5, 3, 1);
        for (row, (text, field)) in (6..).zip(self.rows()) {
            let label = title(text);
            label.set_mnemonic_widget(Some(field));
            named(field, text);
            grid.attach(&label, 0, row, 1, 1);
            grid.attach(field, 1, row, 2, 1);
        }
        for date in [&self.players[0].keep_until, &self.players[1].keep_until, &self.date] {
            date.set_placeholder_text(Some("year-month-day"));
        }
        grid
    }
}

/// The rules to choose from: those of the record first when they have no row of their own. Doubles and no-ad stay.
fn rules(now: Rules) -> Vec<(String, Rules)> {
    let presets =
        PRESETS.iter().map(|p| (capital(p.about), Rules { sides: now.sides, deuce: now.deuce, ..p.rules }));
    let mut all: Vec<(String, Rules)> = presets.collect();
    if all.iter().all(|(_, rules)| *rules != now) {
        all.insert(0, ("As they are in the record".into(), now));
    }
    all
}

fn entry(text: &str) -> gtk::Entry {
    gtk::Entry::builder().text(text).hexpand(true).width_chars(8).activates_default(true).build()
}

fn choice<T: PartialEq + Copy>(all: &[(impl AsRef<str>, T)], now: T) -> gtk::DropDown {
    let words: Vec<&str> = all.iter().map(|(word, _)| word.as_ref()).collect();
    let drop = gtk::DropDown::from_strings(&words);
    drop.set_selected(all.iter().position(|(_, x)| *x == now).unwrap_or(0) as u32);
    drop
}

fn date(entry: &gtk::Entry) -> Result<Option<NaiveDate>, String> {
    let text = entry.text().trim().to_owned();
    if text.is_empty() {
        return Ok(None);
    }
    text.parse()
        .map(Some)
        .map_err(|_| format!("\"{text}\" is not a date: write year-month-day, as 2026-05-09."))
}

impl Window {
    /// Asks for the players, who served first, the rules.
    pub fn show_details(&self) {
        let Some(about) = self.imp().session.borrow().as_ref().map(|s| s.view.record.about.clone()) else {
            return;
        };
        let fields = Fields::of(&about);
        let care = "A pseudonym will do. Everything here stays in the record, on this computer.";
        let care = gtk::Label::builder().label(care).wrap(true).xalign(0.0).css_classes(["quiet"]).build();
        let wrong =
            gtk::Label::builder().wrap(true).xalign(0.0).css_classes(["wrong"]).visible(false).build();
        let keep =
            gtk::Button::builder().label("Keep").halign(gtk::Align::End).css_classes(["primary"]).build();
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&fields.grid());
        page.append(&care);
        page.append(&wrong);
        page.append(&keep);
        let dialog = self.dialog("Players and rules", &page, (640, -1));
        dialog.set_default_widget(Some(&keep));
        let (window, weak) = (self.downgrade(), dialog.downgrade());
        keep.connect_clicked(move |_| match (fields.read(&about), window.upgrade(), weak.upgrade()) {
            (Err(message), _, _) => {
                wrong.set_label(&message);
                wrong.set_visible(true);
            }
            (Ok(about), Some(w), Some(d)) => {
                w.ask(Ask::Edit(Box::new(Edit::SetMatch(Box::new(about)))));
                d.close();
            }
            _ => {}
        });
        dialog.present();
    }

    /// A dialog in the window's colours, with room around its page, that Escape closes.
    pub fn dialog(&self, title: &str, page: &impl IsA<gtk::Widget>, size: (i32, i32)) -> gtk::Window {
        for set in [
            gtk::prelude::WidgetExt::set_margin_top,
            gtk::prelude::WidgetExt::set_margin_bottom,
            gtk::prelude::WidgetExt::set_margin_start,
            gtk::prelude::WidgetExt::set_margin_end,
        ] {
            set(page.upcast_ref::<gtk::Widget>(), 18);
        }
        let dialog = gtk::Window::builder()
            .title(title)
            .transient_for(self)
            .modal(true)
            .default_width(size.0)
            .default_height(size.1)
            .child(page)
            .build();
        dialog.set_css_classes(&self.css_classes().iter().map(glib::GString::as_str).collect::<Vec<_>>());
        close_on_escape(&dialog);
        dialog
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_player_who_did_not_agree_is_named() {
        let of = |name, consent| Player { consent, ..Player::named(name) };
        let about = MatchInfo {
            a: of("Holt", Some(true)),
            b: of("Okafor", Some(false)),
            b_partner: Some(of("Reyes", None)),
            ..MatchInfo::default()
        };
        assert_eq!(refusals(&about), ["Okafor did not agree to be filmed: hand nothing on."]);
    }

    #[test]
    fn rules_that_have_no_row_are_kept() {
        let plain = rules(Rules::best_of_three());
        assert_eq!(plain.len(), PRESETS.len());
        let own = Rules { best_of: 5, ..Rules::best_of_one() };
        let all = rules(Rules { best_of: 3, ..own });
        assert!(all.iter().any(|(_, r)| *r == Rules::best_of_three()));
        let odd = Rules { set: crate::tennis::rules::SetRules { games: 9, ..own.set }, ..own };
        assert_eq!(rules(odd)[0], ("As they are in the record".into(), odd));
    }
}
