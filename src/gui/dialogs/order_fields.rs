//! The page on how pairs share serve and return: in which order from which set on (ITF rules 14 and 15).

use gtk::prelude::*;

use crate::gui::kit::fields::{choice, chosen, grid, quiet, short, title};
use crate::gui::kit::words::named;
use crate::record::MatchInfo;
use crate::tennis::Side;
use crate::tennis::pair::{PairOrder, Partner, SetOrder};

/// Sets that a match can have at most.
const SETS: usize = 5;

/// Who of a pair, to choose from: the first is what nobody noted.
type Of = [(String, Option<Partner>); 3];

/// The fields of one set: for each side who serves first, who receives in the deuce court.
struct SetFields([[gtk::DropDown; 2]; 2]);

/// The fields of all sets.
pub struct OrderFields {
    sets: Vec<SetFields>,
    first: [Of; 2],
    later: [Of; 2],
}

impl OrderFields {
    /// Fields that show the order of a match.
    pub fn of(about: &MatchInfo) -> Self {
        let words = |not_noted: &str| [Side::A, Side::B].map(|side| of_pair(about, side, not_noted));
        let (first, later) = (words("Unknown"), words("Same as before"));
        let sets = (0..SETS).map(|set| {
            let order = about.order.get(set).copied().flatten().unwrap_or_default();
            let words = if set == 0 { &first } else { &later };
            SetFields([Side::A, Side::B].map(|side| {
                let of = order.of(side);
                [of.serves_first, of.receives_deuce].map(|now| choice(&words[side.index()], now))
            }))
        });
        Self { sets: sets.collect(), first, later }
    }

    /// The page.
    pub fn page(&self, about: &MatchInfo) -> gtk::Box {
        let grid = grid();
        for (column, (side, head)) in (1..).zip([(Side::A, "●"), (Side::B, "□")]) {
            let head = title(&format!("{head} {}", short(&about.side_name(side))));
            head.set_css_classes(&[["side-a", "side-b"][side.index()]]);
            grid.attach(&head, column, 0, 1, 1);
        }
        for (set, SetFields(sides)) in self.sets.iter().take(usize::from(about.rules.best_of)).enumerate() {
            for (n, what) in ["serves first", "receives in deuce court"].into_iter().enumerate() {
                let row = (2 * set + n + 1) as i32;
                let label = title(&format!("Set {}: {what}", set + 1));
                grid.attach(&label, 0, row, 1, 1);
                for (column, fields) in (1..).zip(sides) {
                    let field = &fields[n];
                    let pair = ["Player A", "Player B"][column as usize - 1];
                    named(field.upcast_ref(), &format!("Set {}, {pair}: {what}", set + 1));
                    field.set_hexpand(true);
                    field.set_margin_bottom(if n == 1 { 8 } else { 0 });
                    label.set_margin_bottom(field.margin_bottom());
                    grid.attach(field, column, row, 1, 1);
                }
            }
        }
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&quiet("Each pair may change its order before every set and before a match tie-break."));
        page.append(&grid);
        page
    }

    /// The order as the fields say, for a match of at most so many sets.
    pub fn read(&self, best_of: usize) -> Vec<Option<SetOrder>> {
        let noted = self.sets.iter().take(best_of).enumerate().map(|(set, SetFields(sides))| {
            let words = if set == 0 { &self.first } else { &self.later };
            let of = |side: Side| {
                let fields = &sides[side.index()];
                PairOrder {
                    serves_first: chosen(&fields[0], &words[side.index()]),
                    receives_deuce: chosen(&fields[1], &words[side.index()]),
                }
            };
            SetOrder { a: of(Side::A), b: of(Side::B) }
        });
        orders(noted)
    }
}

/// What the record keeps: a set of which nothing was noted has no entry, and what one entry does not say stays as the one
/// before has it.
fn orders(noted: impl Iterator<Item = SetOrder>) -> Vec<Option<SetOrder>> {
    let mut before = SetOrder::default();
    let mut all: Vec<_> = noted
        .map(|now| {
            let said = Some(now).filter(|o| *o != SetOrder::default())?;
            let of = |now: PairOrder, before: PairOrder| PairOrder {
                serves_first: now.serves_first.or(before.serves_first),
                receives_deuce: now.receives_deuce.or(before.receives_deuce),
            };
            before = SetOrder { a: of(said.a, before.a), b: of(said.b, before.b) };
            Some(before)
        })
        .collect();
    while all.last() == Some(&None) {
        all.pop();
    }
    all
}

/// The pair by name; a partner without a name yet is "the partner".
fn of_pair(about: &MatchInfo, side: Side, not_noted: &str) -> Of {
    let first = Some(&about.player(side).name).filter(|n| !n.is_empty());
    let partner = about.partner(side).map(|p| &p.name).filter(|n| !n.is_empty());
    [
        (not_noted.to_owned(), None),
        (first.map_or_else(|| "The player".into(), |n| short(n)), Some(Partner::First)),
        (partner.map_or_else(|| "The partner".into(), |n| short(n)), Some(Partner::Second)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn a(serves_first: Option<Partner>, receives_deuce: Option<Partner>) -> SetOrder {
        SetOrder { a: PairOrder { serves_first, receives_deuce }, ..SetOrder::default() }
    }

    #[test]
    fn a_set_of_which_nothing_is_said_has_no_entry() {
        let none = SetOrder::default();
        let second = a(Some(Partner::Second), None);
        assert_eq!(orders([none; 5].into_iter()), []);
        assert_eq!(orders([none, none, second, none].into_iter()), [None, None, Some(second)]);
    }

    #[test]
    fn what_is_as_before_is_kept_from_before() {
        let (one, two) = (Some(Partner::First), Some(Partner::Second));
        let told = orders([a(one, one), a(two, None)].into_iter());
        assert_eq!(told, [Some(a(one, one)), Some(a(two, one))]);
    }

    #[gtk::test]
    fn the_fields_give_back_what_they_show() {
        let (one, two) = (Some(Partner::First), Some(Partner::Second));
        let about =
            MatchInfo { order: vec![Some(a(one, two)), None, Some(a(two, one))], ..MatchInfo::default() };
        let fields = OrderFields::of(&about);
        assert_eq!(fields.read(3), about.order);
        assert_eq!(fields.read(1), about.order[..1]);
        fields.sets[1].0[0][0].set_selected(2);
        assert_eq!(fields.read(3)[1], Some(a(two, two)));
    }
}
