//! The score before anything is logged. A coach who comes late enters it, and it belongs to the first point.

use thiserror::Error;

use crate::record::{Edit, Kind, MatchInfo, Record};
use crate::tennis::End;
use crate::tennis::mark::Mark;
use crate::tennis::pair::Server;
use crate::tennis::typed::{TypedMark, TypedMarkError};

/// The score before the first point, who serves it, and where A stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NowForm {
    /// The score; empty at the start of the match.
    pub mark: TypedMark,
    /// Who serves the next point; `None`: nobody saw it, which only part of a match allows.
    pub server: Option<Server>,
    /// Where A stands; `None`: as the score says, in part of a match not known.
    pub a_end: Option<End>,
}

/// Why the score before the first point is not kept.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ScoreNowError {
    /// What was typed is no score.
    #[error(transparent)]
    Mark(#[from] TypedMarkError),
    /// Of part of a match, the server or the ends are said without a score, which they would belong to.
    #[error(
        "The server and the ends belong to a score, and there is none. Type the score, or choose \"Not known\" for both: \
         each point then asks who serves it."
    )]
    NoScore,
}

impl NowForm {
    /// What is in a record without points.
    pub fn of(record: &Record) -> Self {
        let (about, mark) = (&record.about, record.closing_score.as_ref());
        Self {
            mark: TypedMark::of(mark, about.rules),
            server: match mark {
                Some(mark) if part(record) => mark.server,
                None if part(record) => None,
                _ => mark.and_then(|m| m.server).or(Some(Server::new(about.first_server, None))),
            },
            a_end: match mark {
                Some(mark) => mark.a_end,
                None => Some(about.a_starts).filter(|_| !part(record)),
            },
        }
    }

    /// The edit, if anything changed. At the start of the match server and ends belong to the match, later to the score.
    ///
    /// # Errors
    /// What was typed is no score; or there is none, and part of a match has no start that the rest could belong to.
    pub fn edit(&self, record: &Record) -> Result<Option<Edit>, ScoreNowError> {
        if *self == Self::of(record) {
            return Ok(None);
        }
        let about = &record.about;
        let typed = self.mark.read(about.rules)?;
        let mark = typed.map(|m| Mark { server: self.server, a_end: self.a_end, ..m });
        let mut all = Vec::new();
        if mark != record.closing_score {
            all.push(Edit::SetClosingScore(mark.clone()));
        }
        if mark.is_none() && part(record) {
            if self.server.is_some() || self.a_end.is_some() {
                return Err(ScoreNowError::NoScore);
            }
        } else if mark.is_none() {
            let first_server = self.server.map_or(about.first_server, Server::side);
            let a_starts = self.a_end.unwrap_or(about.a_starts);
            let new = MatchInfo { first_server, a_starts, ..about.clone() };
            if new != *about {
                all.push(Edit::SetMatch(Box::new(new)));
            }
        }
        Ok(if all.len() > 1 { Some(Edit::Together(all)) } else { all.pop() })
    }
}

/// Whether the record begins after the match did.
fn part(record: &Record) -> bool {
    record.about.kind() == Kind::Part
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
        let form = NowForm { mark: typed("2-1", "0-15"), server: Some(Server::B), a_end: None };
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
            server: Some(Server::B),
            a_end: Some(record.about.a_starts.other()),
        };
        let _ = record.apply(form.edit(&record).unwrap().unwrap()).unwrap();
        assert_eq!((record.about.first_server, record.closing_score.is_none()), (Side::B, true));
        assert_eq!(NowForm::of(&record), form);
        let slip = NowForm { mark: typed("9-1", ""), ..form };
        assert!(slip.edit(&record).is_err());
    }

    #[test]
    fn of_part_of_a_match_nothing_is_known_until_it_is_said() {
        let mut record = Record::default();
        record.about.shows = Kind::Part;
        let nothing = NowForm { mark: TypedMark::default(), server: None, a_end: None };
        assert_eq!(NowForm::of(&record), nothing);
        assert_eq!(nothing.edit(&record), Ok(None));
        let served = NowForm { server: Some(Server::B), ..nothing.clone() };
        assert_eq!(served.edit(&record), Err(ScoreNowError::NoScore));
        let ends = NowForm { a_end: Some(End::Far), ..nothing.clone() };
        assert_eq!(ends.edit(&record), Err(ScoreNowError::NoScore));
        let scored = NowForm { mark: typed("2-1", "30-15"), ..nothing.clone() };
        let _ = record.apply(scored.edit(&record).unwrap().unwrap()).unwrap();
        let mark = record.closing_score.clone().unwrap();
        assert_eq!((mark.games, mark.server, mark.a_end), ([2, 1], None, None));
        assert_eq!(NowForm::of(&record), NowForm { mark: typed("2–1", "30–15"), ..nothing.clone() });
        let all = NowForm { server: Some(Server::B), a_end: Some(End::Far), ..NowForm::of(&record) };
        let _ = record.apply(all.edit(&record).unwrap().unwrap()).unwrap();
        assert_eq!(NowForm::of(&record), all);
        // The score taken off again, nothing may be left that belonged to it.
        let _ = record.apply(nothing.edit(&record).unwrap().unwrap()).unwrap();
        assert_eq!(record.closing_score, None);
    }
}
