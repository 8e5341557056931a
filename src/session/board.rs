//! What the score board says of each side. What is not known is left open, and not shown as 0.

use std::borrow::Cow;

use super::state::Session;
use crate::facts::PointFacts;
use crate::record::{Kind, MatchInfo};
use crate::tennis::{End, Side};

/// A side on the score board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardRow {
    /// Its name.
    pub name: String,
    /// Whether it serves, where that is known.
    pub serves: bool,
    /// The end at which it plays, where that is known.
    pub end: Option<End>,
    /// Its games in each set that is over.
    pub sets: Vec<u16>,
    /// Its games in this set and its points in this game, as they are called; nothing where no score is counted.
    pub score: Option<(String, String)>,
}

impl Session {
    /// Who plays: in points of many matches those of the current point.
    pub fn about(&self) -> Cow<'_, MatchInfo> {
        let record = &*self.view.record;
        self.current().map_or(Cow::Borrowed(&record.about), |at| record.about_at(at))
    }

    /// The names of both sides, as [`Self::about`].
    pub fn names(&self) -> [String; 2] {
        let about = self.about();
        [Side::A, Side::B].map(|side| about.side_name(side))
    }

    /// A side on the score board.
    pub fn board(&self, side: Side) -> BoardRow {
        let name = self.about().side_name(side);
        if self.view.record.about.kind() == Kind::Points {
            let of_point = |f: &PointFacts| of_a_point(name.clone(), f, side);
            let bare =
                BoardRow { name: name.clone(), serves: false, end: None, sets: Vec::new(), score: None };
            return self.current().and_then(|at| self.facts().get(at)).map_or(bare, of_point);
        }
        let state = self.score();
        let end = if side == Side::A { state.a_end } else { state.a_end.map(End::other) };
        if !self.is_score_known() {
            let unknown = Some(("?".to_owned(), "?".to_owned()));
            let serves = self.view.pad.server == Some(side);
            return BoardRow { name, serves, end, sets: Vec::new(), score: unknown };
        }
        let sets = state.sets.iter().map(|set| set.games[side.index()]).collect();
        let over = self.won().is_some() && state.games == [0, 0];
        let score = (state.games[side.index()].to_string(), state.called.of(side));
        BoardRow { name, serves: side == state.server, end, sets, score: Some(score).filter(|_| !over) }
    }

    /// Whether nothing before a score mark hides the score that is shown.
    fn is_score_known(&self) -> bool {
        let record = &*self.view.record;
        record.about.kind() != Kind::Part
            || match self.before() {
                Some(f) => f.score_known,
                None => !record.is_unscored() && self.facts().last().is_none_or(|f| f.score_known),
            }
    }
}

/// A side in a point of a match of its own: what was seen or heard of it.
fn of_a_point(name: String, f: &PointFacts, side: Side) -> BoardRow {
    let serves = f.server == Some(side);
    let end = f.server_end.zip(f.server).map(|(end, server)| if server == side { end } else { end.other() });
    let score = f.called.zip(f.server).map(|(call, server)| (String::new(), call.of(side, server)));
    BoardRow { name, serves, end, sets: Vec::new(), score }
}
