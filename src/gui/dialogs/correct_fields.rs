//! What the pages of the dialog that corrects the score share: the entries of a score, and who can have served.

use gtk::prelude::*;

use crate::gui::kit::fields::short;
use crate::record::MatchInfo;
use crate::tennis::Side;
use crate::tennis::pair::{Partner, Server};
use crate::tennis::typed::TypedMark;

/// What is chosen where the points decide.
pub const FOLLOWS: &str = "Automatic";
/// What is chosen where nobody saw it.
pub const UNKNOWN: &str = "Not known";

/// The three entries of a score.
pub struct MarkFields<'a>(pub [&'a gtk::Entry; 3]);

impl MarkFields<'_> {
    /// Shows a score.
    pub fn fill(&self, mark: &TypedMark) {
        for (entry, text) in self.0.iter().zip([&mark.sets, &mark.games, &mark.points]) {
            entry.set_text(text);
        }
    }

    /// The score as it is typed.
    pub fn typed(&self) -> TypedMark {
        let [sets, games, points] = self.0.map(|entry| entry.text().into());
        TypedMark { sets, games, points }
    }
}

/// Who can have served, in words.
pub type Servers = Vec<(String, Option<Server>)>;

/// Who can have served: the players, in doubles each of the pairs.
pub fn servers(about: &MatchInfo) -> Servers {
    let mut all = vec![(FOLLOWS.to_owned(), None)];
    for side in [Side::A, Side::B] {
        let whole = Server::new(side, None);
        if about.partner(side).is_none() {
            all.push((short(&about.player(side).name), Some(whole)));
            continue;
        }
        let names = [Partner::First, Partner::Second].map(|p| (short(&about.name_of(side, Some(p))), p));
        let either = format!("{} or {}", names[0].0, names[1].0);
        all.extend(names.map(|(name, p)| (name, Some(Server::new(side, Some(p))))));
        all.push((either, Some(whole)));
    }
    all
}
