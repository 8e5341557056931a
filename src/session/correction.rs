//! Corrections of the score: from what was chosen and typed to the corrected point or match. No widgets.

use crate::record::{Edit, Outcome, Point, Record};
use crate::tennis::mark::Mark;
use crate::tennis::pair::{Partner, Server};
use crate::tennis::rules::Rules;
use crate::tennis::typed::{TypedMark, TypedMarkError};
use crate::tennis::{CourtSide, End, Side};

/// What a coach saw of a point, if it differs from what follows from the points before it. `None` means that it follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointForm {
    /// The score before it.
    pub mark: TypedMark,
    /// Who served.
    pub server: Option<Server>,
    /// Who of the pair received.
    pub receiver: Option<Partner>,
    /// The court that it was served from.
    pub court: Option<CourtSide>,
    /// The end at which A stood.
    pub a_end: Option<End>,
    /// It does not count.
    pub replayed: bool,
}

impl PointForm {
    /// What is in the record of a point that `server` serves by the score.
    pub fn of(point: &Point, rules: Rules, server: Side) -> Self {
        let mark = point.score_before.as_ref();
        Self {
            mark: TypedMark::of(mark, rules),
            server: point.served_by.or_else(|| mark?.server),
            receiver: point.received_by,
            court: point.side,
            a_end: mark.and_then(|m| m.a_end).or_else(|| point.server_end.map(|e| swapped(e, server))),
            replayed: point.replayed,
        }
    }

    /// The point with everything that was changed since [`PointForm::of`]. With a mark, the server and A's end belong to the mark,
    /// and the order continues from there. Without a mark they belong to this point alone.
    ///
    /// # Errors
    /// What was typed is no score.
    pub fn applied(&self, point: &Point, rules: Rules, server: Side) -> Result<Point, TypedMarkError> {
        let was = Self::of(point, rules, server);
        let mut new = point.clone();
        (new.received_by, new.side, new.replayed) = (self.receiver, self.court, self.replayed);
        if self.mark != was.mark {
            new.score_before = read(&self.mark, rules, point.score_before.as_ref())?;
        }
        let moved = new.score_before.is_some() != point.score_before.is_some();
        let other_server = self.server != was.server;
        if moved || other_server {
            new.served_by = self.server.filter(|_| new.score_before.is_none());
            if let Some(mark) = &mut new.score_before {
                mark.server = self.server;
            }
        }
        if moved || other_server || self.a_end != was.a_end {
            let server = self.server.map_or(server, Server::side);
            new.server_end = self.a_end.map(|e| swapped(e, server)).filter(|_| new.score_before.is_none());
            if let Some(mark) = &mut new.score_before {
                mark.a_end = self.a_end;
            }
        }
        Ok(new)
    }
}

/// A's end as that of the server, or the server's as A's.
fn swapped(end: End, server: Side) -> End {
    if server == Side::A { end } else { end.other() }
}

/// The mark that was typed, with what is known of the one before it.
fn read(typed: &TypedMark, rules: Rules, old: Option<&Mark>) -> Result<Option<Mark>, TypedMarkError> {
    let (server, a_end) = old.map_or((None, None), |m| (m.server, m.a_end));
    Ok(typed.read(rules)?.map(|m| Mark { server, a_end, ..m }))
}

/// How the match ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EndForm {
    /// Not by its score, but so.
    pub outcome: Option<Outcome>,
    /// The score after the last point.
    pub closing: TypedMark,
}

impl EndForm {
    /// What is in the record.
    pub fn of(record: &Record) -> Self {
        Self {
            outcome: record.about.outcome,
            closing: TypedMark::of(record.closing_score.as_ref(), record.about.rules),
        }
    }

    /// The edits that make the record so, one for each of the two that changed.
    ///
    /// # Errors
    /// What was typed is no score.
    pub fn edits(&self, record: &Record) -> Result<Vec<Edit>, TypedMarkError> {
        let (was, mut edits) = (Self::of(record), Vec::new());
        if self.closing != was.closing {
            let mark = read(&self.closing, record.about.rules, record.closing_score.as_ref())?;
            edits.push(Edit::SetClosingScore(mark));
        }
        if self.outcome != was.outcome {
            let about = crate::record::MatchInfo { outcome: self.outcome, ..record.about.clone() };
            edits.push(Edit::SetMatch(Box::new(about)));
        }
        Ok(edits)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const RULES: Rules = Rules::best_of_three();

    fn typed(sets: &str, games: &str, points: &str) -> TypedMark {
        TypedMark { sets: sets.into(), games: games.into(), points: points.into() }
    }

    #[test]
    fn a_server_belongs_to_the_point_and_with_a_mark_to_the_mark() {
        let point = Point::default();
        let mut form = PointForm::of(&point, RULES, Side::A);
        form.server = Some(Server::B);
        form.a_end = Some(End::Near);
        let alone = form.applied(&point, RULES, Side::A).unwrap();
        assert_eq!((alone.served_by, alone.server_end), (Some(Server::B), Some(End::Far)));
        form.mark = typed("6-4", "2-1", "");
        let marked = form.applied(&alone, RULES, Side::B).unwrap();
        let mark = marked.score_before.as_ref().unwrap();
        assert_eq!((mark.server, mark.a_end, mark.games), (Some(Server::B), Some(End::Near), [2, 1]));
        assert_eq!((marked.served_by, marked.server_end), (None, None));
        // The mark taken off again, what was seen of the point stays.
        let off = PointForm { mark: TypedMark::default(), ..PointForm::of(&marked, RULES, Side::B) };
        assert_eq!(off.applied(&marked, RULES, Side::B).unwrap(), alone);
    }

    #[test]
    fn a_slip_in_the_score_is_told_and_changes_nothing() {
        let mut form = PointForm::of(&Point::default(), RULES, Side::A);
        form.mark = typed("", "9-1", "");
        let said = form.applied(&Point::default(), RULES, Side::A).unwrap_err().to_string();
        assert!(said.starts_with("the score cannot be 9–1 under these rules"), "{said}");
    }

    #[test]
    fn the_end_is_one_edit_for_each_thing_that_changed() {
        let mut record = Record::default();
        let mut form = EndForm::of(&record);
        assert_eq!(form.edits(&record), Ok(vec![]));
        form.outcome = Some(Outcome::Retired(Side::B));
        form.closing = typed("6-4", "1-0", "15-0");
        let edits = form.edits(&record).unwrap();
        assert_eq!(edits.len(), 2);
        for edit in edits {
            let _ = record.apply(edit).unwrap();
        }
        assert_eq!((record.winner(), record.closing_score.as_ref().unwrap().points), (Some(Side::A), [1, 0]));
        assert_eq!(EndForm::of(&record).edits(&record), Ok(vec![]));
    }

    proptest! {
        /// A form that nobody touched changes nothing, even where the record says what nobody could enter.
        #[test]
        fn an_untouched_form_changes_nothing(
            games in any::<[u16; 2]>(), points in any::<[u16; 2]>(), marked in any::<bool>(), which in 0usize..3,
            served in any::<bool>(), far in any::<bool>(), replayed in any::<bool>(),
        ) {
            let server = [None, Some(Server::A), Some(Server::B2)][which];
            let mark = Mark { games, points, server, a_end: far.then_some(End::Far), ..Mark::default() };
            let point = Point {
                score_before: marked.then_some(mark),
                served_by: served.then_some(Server::A1),
                server_end: far.then_some(End::Near),
                replayed,
                ..Point::default()
            };
            let form = PointForm::of(&point, RULES, Side::B);
            prop_assert_eq!(form.applied(&point, RULES, Side::B).unwrap(), point);
        }
    }
}
