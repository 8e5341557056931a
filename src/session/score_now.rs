//! The score before anything is logged. A coach who comes late enters it, and it belongs to the first point.

use crate::record::{Edit, MatchInfo, Record};
use crate::tennis::End;
use crate::tennis::mark::Mark;
use crate::tennis::pair::Server;
use crate::tennis::typed::{TypedMark, TypedMarkError};

/// The score before the first point, who serves it, and where A stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NowForm {
    /// The score; empty at the start of the match.
    pub mark: TypedMark,
    /// Who serves the next point.
    pub server: Server,
    /// Where A stands; `None`: as the score says.
    pub a_end: Option<End>,
}

impl NowForm {
    /// What is in a record without points.
    pub fn of(record: &Record) -> Self {
        let (about, mark) = (&record.about, record.closing_score.as_ref());
        Self {
            mark: TypedMark::of(mark, about.rules),
            server: mark.and_then(|m| m.server).unwrap_or(Server::new(about.first_server, None)),
            a_end: match mark {
                Some(mark) => mark.a_end,
                None => Some(about.a_starts),
            },
        }
    }

    /// The edit, if anything changed. At the start of the match server and ends belong to the match, later to the score.
    ///
    /// # Errors
    /// What was typed is no score.
    pub fn edit(&self, record: &Record) -> Result<Option<Edit>, TypedMarkError> {
        if *self == Self::of(record) {
            return Ok(None);
        }
        let about = &record.about;
        let typed = self.mark.read(about.rules)?;
        let mark = typed.map(|m| Mark { server: Some(self.server), a_end: self.a_end, ..m });
        let mut all = Vec::new();
        if mark != record.closing_score {
            all.push(Edit::SetClosingScore(mark.clone()));
        }
        if mark.is_none() {
            let (first_server, a_starts) = (self.server.side(), self.a_end.unwrap_or(about.a_starts));
            let new = MatchInfo { first_server, a_starts, ..about.clone() };
            if new != *about {
                all.push(Edit::SetMatch(Box::new(new)));
            }
        }
        Ok(if all.len() > 1 { Some(Edit::Together(all)) } else { all.pop() })
    }
}

/// The first point of a record takes the score that was entered before it.
pub fn with_score_now(record: &Record, edit: Edit) -> Edit {
    match (edit, &record.closing_score) {
        (Edit::InsertPoint { at: 0, mut point }, Some(mark))
            if record.points.is_empty() && point.score_before.is_none() && record.about.outcome.is_none() =>
        {
            point.score_before = Some(mark.clone());
            Edit::Together(vec![Edit::SetClosingScore(None), Edit::InsertPoint { at: 0, point }])
        }
        (edit, _) => edit,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Point;
    use crate::tennis::Side;

    fn typed(games: &str, points: &str) -> TypedMark {
        TypedMark { sets: String::new(), games: games.into(), points: points.into() }
    }

    #[test]
    fn a_score_entered_before_the_first_point_belongs_to_it() {
        let mut record = Record::default();
        let form = NowForm { mark: typed("2-1", "0-15"), server: Server::B, a_end: None };
        let _ = record.apply(form.edit(&record).unwrap().unwrap()).unwrap();
        let now = record.replay().end.state();
        assert_eq!((now.games, now.server), ([2, 1], Side::B));
        assert_eq!(NowForm::of(&record), NowForm { mark: typed("2–1", "0–15"), ..form });
        let first = with_score_now(&record, Edit::InsertPoint { at: 0, point: Point::default() });
        let before = record.clone();
        let (_, back) = record.apply(first).unwrap();
        assert_eq!((&record.closing_score, record.replay().states[0].games), (&None, [2, 1]));
        let second = Edit::InsertPoint { at: 1, point: Point::default() };
        assert_eq!(with_score_now(&record, second.clone()), second);
        let _ = record.apply(back).unwrap();
        assert_eq!(record, before);
    }

    #[test]
    fn at_the_start_server_and_ends_belong_to_the_match() {
        let mut record = Record::default();
        assert_eq!(NowForm::of(&record).edit(&record), Ok(None));
        let form = NowForm {
            mark: TypedMark::default(),
            server: Server::B,
            a_end: Some(record.about.a_starts.other()),
        };
        let _ = record.apply(form.edit(&record).unwrap().unwrap()).unwrap();
        assert_eq!((record.about.first_server, record.closing_score.is_none()), (Side::B, true));
        assert_eq!(NowForm::of(&record), form);
        let slip = NowForm { mark: typed("9-1", ""), ..form };
        assert!(slip.edit(&record).is_err());
    }
}
