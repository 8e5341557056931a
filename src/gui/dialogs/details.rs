//! Players and rules: a small dialog, one edit.

use gtk::glib;
use gtk::prelude::*;

use super::error::FieldsError;
use super::order_fields::OrderFields;
use super::player_fields::{GENDER_ROW, PlayerFields, ROWS, date};
use super::sources;
use crate::gui::kit::fields::{attach, choice, chosen, entry, grid, quiet, short, title};
use crate::gui::kit::pages::{After, ask_with_pages};
use crate::gui::kit::words::{capital, named};
use crate::gui::model::Model;
use crate::record::{Edit, Kind, MatchInfo};
use crate::session::keeper::Ask;
use crate::tennis::presets::PRESETS;
use crate::tennis::rules::{Deuce, Rules, Sides};
use crate::tennis::{End, Side};

const PLAYERS: [&str; 2] = ["Player A", "Player B"];
const HEADS: [&str; 2] = ["● Player A", "□ Player B"];
const ENDS: [(&str, End); 2] = [("Near end", End::Near), ("Far end", End::Far)];
const SIDES: [(&str, Sides); 3] =
    [("Singles", Sides::Singles), ("Doubles", Sides::Doubles), ("Mixed doubles", Sides::MixedDoubles)];
const DEUCE: [(&str, Deuce); 2] =
    [("Advantage", Deuce::Advantage), ("One deciding point (no-ad)", Deuce::NoAd)];

/// The fields of one side: its player, the partner in doubles.
struct SideFields {
    player: PlayerFields,
    partner: PlayerFields,
}

impl SideFields {
    fn of(about: &MatchInfo, side: Side) -> Self {
        Self {
            player: PlayerFields::of(Some(about.player(side))),
            partner: PlayerFields::of(about.partner(side)),
        }
    }

    /// Puts the fields in their column: the player, below the partner.
    fn put(&self, grid: &gtk::Grid, i: usize, shown: &mut Shown) {
        let column = i as i32 + 1;
        let heads = [HEADS[i].to_owned(), format!("{}, partner", HEADS[i])];
        let whose = [PLAYERS[i].to_owned(), format!("{}, partner", PLAYERS[i])];
        for (pair, (people, top)) in [(&self.player, 0), (&self.partner, 7)].into_iter().enumerate() {
            let head = title(&heads[pair]);
            head.set_css_classes(&[["side-a", "side-b"][i]]);
            grid.attach(&head, column, top, 1, 1);
            let mut rows = vec![head.upcast()];
            for (n, (text, field)) in (0..).zip(ROWS.into_iter().zip(people.widgets())) {
                let put = put(grid, (column, top + 1 + n), text, &format!("{}: {text}", whose[pair]), field);
                let gender = n as usize == GENDER_ROW;
                if gender { &mut shown.mixed } else { &mut rows }.extend(put);
            }
            if pair == 1 {
                shown.doubles.append(&mut rows);
            }
        }
    }
}

/// The dialog's fields.
struct Fields {
    sides: [SideFields; 2],
    order: OrderFields,
    play: gtk::DropDown,
    first: gtk::DropDown,
    end: gtk::DropDown,
    rules: gtk::DropDown,
    deuce: gtk::DropDown,
    date: gtk::Entry,
    venue: gtk::Entry,
    surface: gtk::Entry,
}

impl Fields {
    fn of(about: &MatchInfo) -> Self {
        let fields = Self {
            sides: [SideFields::of(about, Side::A), SideFields::of(about, Side::B)],
            order: OrderFields::of(about),
            play: choice(&SIDES, about.rules.sides),
            first: choice(&both(about), about.first_server),
            end: choice(&ENDS, about.a_starts),
            rules: choice(&rules(about.rules), about.rules),
            deuce: choice(&DEUCE, about.rules.deuce),
            date: entry(&about.date.map(|d| d.to_string()).unwrap_or_default()),
            venue: entry(&about.venue),
            surface: entry(&about.surface),
        };
        fields.date.set_placeholder_text(Some("year-month-day"));
        fields
    }

    /// The match as the fields say.
    fn read(&self, old: &MatchInfo) -> Result<MatchInfo, FieldsError> {
        let mut about = old.clone();
        if let Some((_, chosen)) = rules(old.rules).get(self.rules.selected() as usize) {
            about.rules = *chosen;
        }
        about.rules.sides = chosen(&self.play, &SIDES);
        about.rules.deuce = chosen(&self.deuce, &DEUCE);
        about.rules.check()?;
        let (doubles, mixed) = pairs(about.rules.sides);
        let [a, b] = &self.sides;
        about.a = a.player.read(Some(&old.a), mixed)?;
        about.b = b.player.read(Some(&old.b), mixed)?;
        if doubles || about.rules.sides != old.rules.sides {
            let partner = |side: &SideFields, old| doubles.then(|| side.partner.read(old, mixed)).transpose();
            about.a_partner = partner(a, old.a_partner.as_ref())?;
            about.b_partner = partner(b, old.b_partner.as_ref())?;
            about.order =
                if doubles { self.order.read(usize::from(about.rules.best_of)) } else { Vec::new() };
        }
        about.date = date(&self.date)?;
        self.venue.text().trim().clone_into(&mut about.venue);
        self.surface.text().trim().clone_into(&mut about.surface);
        about.first_server = chosen(&self.first, &both(old));
        about.a_starts = chosen(&self.end, &ENDS);
        Ok(about)
    }

    /// The players, side by side, partners below; what only doubles or mixed doubles have is there only then.
    fn players(&self) -> gtk::Box {
        let grid = grid();
        let mut all = Shown::default();
        for (i, side) in self.sides.iter().enumerate() {
            side.put(&grid, i, &mut all);
        }
        let show = move |sides: Sides| {
            let (doubles, mixed) = pairs(sides);
            for (widgets, visible) in [(&all.doubles, doubles), (&all.mixed, mixed)] {
                for widget in widgets {
                    widget.set_visible(visible);
                }
            }
        };
        show(chosen(&self.play, &SIDES));
        self.play.connect_selected_notify(move |play| show(chosen(play, &SIDES)));
        let who = self::grid();
        attach(&who, 0, "Type of match", &self.play);
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&who);
        page.append(&grid);
        page.append(&quiet("A pseudonym is enough. All of this stays in the record, on this computer."));
        page
    }

    /// How pairs share serve and return; there in doubles only.
    fn shared(&self, about: &MatchInfo) -> gtk::Box {
        let page = self.order.page(about);
        page.set_visible(pairs(chosen(&self.play, &SIDES)).0);
        self.play.connect_selected_notify(glib::clone!(
            #[weak]
            page,
            move |play| page.set_visible(pairs(chosen(play, &SIDES)).0)
        ));
        page
    }

    fn about(&self, about: &MatchInfo) -> gtk::Box {
        let grid = grid();
        attach(&grid, 0, "Served first", &self.first);
        attach(&grid, 1, &format!("{} started at", short(&about.side_name(Side::A))), &self.end);
        attach(&grid, 2, "Rules", &self.rules);
        attach(&grid, 3, "At deuce", &self.deuce);
        attach(&grid, 4, "Date", &self.date);
        attach(&grid, 5, "Venue", &self.venue);
        attach(&grid, 6, "Surface", &self.surface);
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&grid);
        page
    }
}

/// The two sides, by their names.
fn both(about: &MatchInfo) -> [(String, Side); 2] {
    [Side::A, Side::B].map(|side| (short(&about.side_name(side)), side))
}

/// What is shown only in doubles, and only in mixed doubles.
#[derive(Default)]
struct Shown {
    doubles: Vec<gtk::Widget>,
    mixed: Vec<gtk::Widget>,
}

/// Puts a field in its row, with its name before the first column; gives all that was put.
fn put(
    grid: &gtk::Grid,
    (column, row): (i32, i32),
    text: &str,
    spoken: &str,
    field: &gtk::Widget,
) -> Vec<gtk::Widget> {
    let mut put = vec![field.clone()];
    if column == 1 {
        let label = title(text);
        grid.attach(&label, 0, row, 1, 1);
        put.push(label.upcast());
    }
    field.set_hexpand(true);
    named(field, spoken);
    grid.attach(field, column, row, 1, 1);
    put
}

/// Whether pairs play, and whether each is a woman and a man.
const fn pairs(sides: Sides) -> (bool, bool) {
    (!matches!(sides, Sides::Singles), matches!(sides, Sides::MixedDoubles))
}

/// The rules to choose from: those of the record first when they have no row of their own. Doubles and no-ad stay.
fn rules(now: Rules) -> Vec<(String, Rules)> {
    let presets =
        PRESETS.iter().map(|p| (capital(p.about), Rules { sides: now.sides, deuce: now.deuce, ..p.rules }));
    let mut all: Vec<(String, Rules)> = presets.collect();
    if all.iter().all(|(_, rules)| *rules != now) {
        all.insert(0, ("The rules of this record".into(), now));
    }
    all
}

/// Asks for the players, who served first, the rules.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let many = model.session().borrow().as_ref().is_some_and(|s| s.view.record.about.kind() == Kind::Points);
    // In points of many matches each point has its own players.
    let dialog = if many { sources::dialog(model, parent) } else { dialog(model, parent) };
    if let Some(dialog) = dialog {
        dialog.present();
    }
}

/// The dialog, without a session none.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>) -> Option<gtk::Window> {
    let about = model.session().borrow().as_ref().map(|s| s.view.record.about.clone())?;
    let fields = Fields::of(&about);
    let pages = [
        ("Players", fields.players()),
        ("Order of serve", fields.shared(&about)),
        ("Match", fields.about(&about)),
    ];
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |_: &gtk::Window| {
            let read = fields.read(&about)?;
            model.ask(Ask::Edit(Box::new(Edit::SetMatch(Box::new(read)))));
            Ok::<_, FieldsError>(After::Close)
        }
    );
    Some(ask_with_pages(parent, "Players and rules", &pages, save))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_that_have_no_row_are_kept() {
        let plain = rules(Rules::best_of_three());
        assert_eq!(plain.len(), PRESETS.len());
        let own = Rules { best_of: 5, ..Rules::best_of_one() };
        let all = rules(Rules { best_of: 3, ..own });
        assert!(all.iter().any(|(_, r)| *r == Rules::best_of_three()));
        let odd = Rules { set: crate::tennis::rules::SetRules { games: 9, ..own.set }, ..own };
        assert_eq!(rules(odd)[0], ("The rules of this record".into(), odd));
    }
}
