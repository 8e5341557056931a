//! A comparison that turns round within groups, group by group.

use gtk::prelude::*;

use super::outside::capital;
use super::parts::Tables;
use super::widgets::text;
use crate::session::study::spot::{Part, Spot};
use crate::summary::Tally;

/// Groups beyond this are counted, not shown.
const GROUPS: usize = 12;

/// Shows the groups of a row's comparison below its table.
pub fn strata(t: &Tables<'_>, card: &gtk::Box, (section, row, strata): (usize, usize, usize)) {
    let r = &t.f.sections[section].rows[row];
    let x = &r.strata[strata];
    let says = capital(x.says.as_deref().unwrap_or_default());
    card.append(&text(&format!("{says}."), &["heading", "apart"]));
    let grid = gtk::Grid::new();
    for (column, head) in [x.by, r.name.as_str(), "the rest"].into_iter().enumerate() {
        grid.attach(&text(head, &["quiet", "head"]), column as i32, 0, 1, 1);
    }
    for (group, g) in x.groups.iter().take(GROUPS).enumerate() {
        let line = [false, true].map(|others| {
            let spot = Spot::Group { section, row, strata, group, others, part: Part::Decided };
            let words = text(&rate_words(if others { &g.that } else { &g.this }), &[]);
            t.cell(spot, &words)
        });
        let name = text(&capital(&g.name), &["head"]);
        name.set_max_width_chars(24);
        grid.attach(&name, 0, group as i32 + 1, 1, 1);
        for (column, cell) in line.iter().enumerate() {
            grid.attach(cell, column as i32 + 1, group as i32 + 1, 1, 1);
        }
        t.cells.line(line.to_vec());
    }
    card.append(&grid);
    if x.groups.len() > GROUPS {
        let more = x.groups.len() - GROUPS;
        let words = format!("{more} more are not shown. `changeover study --json` lists them all.");
        card.append(&text(&words, &["quiet"]));
    }
    if !x.cannot_tell.is_empty() {
        let words = format!("{{}} of unknown {}", x.by);
        t.chips(card, vec![t.chip(Spot::NoGroup { section, row, strata }, &words)]);
    }
}

fn rate_words(tally: &Tally) -> String {
    tally.rate.map_or_else(|| "–".into(), |r| format!("{} of {} ({})", r.won, r.of, r.percent()))
}
