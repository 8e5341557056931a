//! The ends, if the score does not tell them. They are asked for once: the answer belongs to the score mark after which they are
//! not known, and everything later follows from it.

use super::state::Session;
use crate::facts::facts;
use crate::logging::pad::{Lands, Phase};
use crate::record::{Edit, Point, Record};
use crate::tennis::mark::Mark;
use crate::tennis::{End, Side};

/// The point that is asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Of {
    /// This one, from 0.
    Point(usize),
    /// The one that comes next.
    Next,
}

impl Session {
    /// Who serves the point that the pad is about, where it is known but not from which end.
    pub fn end_is_asked(&self) -> Option<Side> {
        let pad = &self.view.pad;
        let unknown = match pad.lands {
            Lands::Box { from, .. } => from.is_none(),
            Lands::Half(end) => end.is_none(),
        };
        let over = pad.phase == Phase::Idle && self.view.won.is_some();
        pad.server.filter(|_| unknown && !over && self.view.read_only.is_none())
    }

    /// The edit that notes at which end the server stands; `None` if there is nothing yet that can hold it.
    pub fn end_told(&self, end: End) -> Option<Edit> {
        let next = self.view.pad.phase == Phase::Idle;
        let of = if next { Of::Next } else { Of::Point(self.current()?) };
        told(&self.view.record, of, end)
    }
}

fn told(record: &Record, of: Of, end: End) -> Option<Edit> {
    let points = &record.points;
    let (upto, closing) = match of {
        Of::Point(at) => (at + 1, None),
        Of::Next => (points.len(), record.closing_score.as_ref()),
    };
    if upto > points.len() {
        return None;
    }
    let bare = |mark: &&Mark| mark.a_end.is_none();
    let closing = closing
        .filter(bare)
        .into_iter()
        .flat_map(|mark| both(mark).map(|mark| Edit::SetClosingScore(Some(mark))));
    let marked = (0..upto).rev().filter_map(|at| Some((at, points[at].score_before.as_ref().filter(bare)?)));
    let marked = marked.flat_map(|(at, mark)| {
        both(mark).map(|mark| {
            let point = Point { score_before: Some(mark), ..points[at].clone() };
            Edit::SetPoint { at, point }
        })
    });
    closing.chain(marked).find(|edit| server_end(record, of, edit) == Some(end)).or_else(|| match of {
        Of::Point(at) => {
            let point = Point { server_end: Some(end), ..points[at].clone() };
            Some(Edit::SetPoint { at, point })
        }
        Of::Next => None,
    })
}

fn both(mark: &Mark) -> [Mark; 2] {
    [End::Near, End::Far].map(|end| Mark { a_end: Some(end), ..mark.clone() })
}

/// From which end the point is served once the edit is made.
fn server_end(record: &Record, of: Of, edit: &Edit) -> Option<End> {
    let mut new = record.clone();
    let _ = new.apply(edit.clone()).ok()?;
    match of {
        Of::Point(at) => facts(&new).get(at)?.server_end,
        Of::Next => new.replay().end.state().server_end,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::score::SetScore;

    /// After a set whose tie-break nobody saw, the ends are not known.
    fn unseen() -> Mark {
        let set = SetScore { games: [7, 6], tie_break: None };
        Mark { sets: vec![set], server: Some(crate::tennis::pair::Server::A), ..Mark::default() }
    }

    fn ends(record: &Record) -> Vec<Option<End>> {
        facts(record).iter().map(|f| f.server_end).collect()
    }

    #[test]
    fn an_answer_is_for_all_points_after_the_mark() {
        let won = |side| Point { winner: Some(side), ..Point::default() };
        let mut record = Record { points: vec![won(Side::A); 6].into(), ..Record::default() };
        record.points[0].score_before = Some(unseen());
        assert_eq!(ends(&record), [None; 6]);
        for (of, end) in [(Of::Point(5), End::Far), (Of::Point(0), End::Near), (Of::Next, End::Near)] {
            let mut told_of = record.clone();
            let _ = told_of.apply(told(&record, of, end).unwrap()).unwrap();
            assert!(ends(&told_of).iter().all(Option::is_some), "{of:?}");
            let at = match of {
                Of::Point(at) => ends(&told_of)[at],
                Of::Next => told_of.replay().end.state().server_end,
            };
            assert_eq!(at, Some(end), "{of:?}");
        }
    }

    #[test]
    fn before_the_first_point_the_answer_belongs_to_the_score_that_was_entered() {
        let mut record = Record { closing_score: Some(unseen()), ..Record::default() };
        assert_eq!(record.replay().end.state().server_end, None);
        let _ = record.apply(told(&record, Of::Next, End::Far).unwrap()).unwrap();
        assert_eq!(record.replay().end.state().server_end, Some(End::Far));
        assert_eq!(record.closing_score.unwrap().a_end, Some(End::Far));
    }

    #[test]
    fn without_a_mark_the_answer_is_of_the_point_alone() {
        let mut record = Record { points: vec![Point::default(); 2].into(), ..Record::default() };
        let edit = told(&record, Of::Point(1), End::Far).unwrap();
        let _ = record.apply(edit).unwrap();
        assert_eq!((record.points[0].server_end, record.points[1].server_end), (None, Some(End::Far)));
        assert_eq!(told(&record, Of::Next, End::Far), None);
    }
}
