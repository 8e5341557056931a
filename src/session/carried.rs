//! A corrected server, carried through the rest of the game.

use crate::logging::ball::winner_by_shots;
use crate::record::check::{Finding, contradictions};
use crate::record::{Edit, Finish, Point, Record};
use crate::tennis::Side;
use crate::tennis::count::Count;
use crate::tennis::pair::Server;
use crate::tennis::score::{Called, PointState};

/// A point that a correction changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// Its place, from 0.
    pub at: usize,
    /// Whether its winner changes too, because it follows from the shots and who served.
    pub winner: bool,
}

/// What a correction of the server does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Carried {
    /// The points, in order; the corrected one first.
    pub changes: Vec<Changed>,
    /// The points after the correction.
    points: Vec<(usize, Point)>,
    /// Who serves them now; `None` if the score decides.
    server: Option<Server>,
    /// What becomes impossible at the points that change: their places, from 0, and the reason in words.
    pub impossible: Vec<(usize, String)>,
}

impl Carried {
    /// What changes when point `at` becomes `corrected`. `None` if its server does not change.
    pub fn of(record: &Record, at: usize, corrected: &Point) -> Option<Self> {
        let old = record.points.get(at)?;
        if old.served_by == corrected.served_by || corrected.score_before != old.score_before {
            return None;
        }
        let before = record.replay();
        let mut new = record.clone();
        let server = corrected.served_by;
        let mut carried = Self { changes: Vec::new(), points: Vec::new(), server, impossible: Vec::new() };
        let mut count = Count::new(record.about.setup());
        let mut first = None;
        for (i, was) in record.points.iter().enumerate() {
            if i < at {
                count.before(i, &was.played());
                count.take(&was.played());
                continue;
            }
            let belongs = i == at || was.served_by == old.served_by;
            let mut point = if belongs { Point { served_by: server, ..was.clone() } } else { was.clone() };
            if i == at {
                point = corrected.clone();
            }
            let now = count.before(i, &point.played()).counted;
            let first = first.get_or_insert_with(|| now.clone());
            if i > at && (!same_game(first, &now) || was.score_before.is_some()) {
                break;
            }
            if belongs {
                carried.take(&mut new, i, point, (before.states[i].server, now.server));
            }
            count.take(&new.points[i].played());
        }
        carried.find_impossible(&contradictions(record, &before), &new);
        Some(carried)
    }

    /// What newly contradicts the score at the points that change.
    fn find_impossible(&mut self, before: &[Finding], new: &Record) {
        let mut now = contradictions(new, &new.replay());
        now.retain(|f| !before.contains(f));
        let changes = |at: usize| self.changes.iter().any(|c| c.at == at);
        let found = now.into_iter().filter_map(|f| Some((f.point().filter(|at| changes(*at))?, f.message)));
        self.impossible = found.collect();
    }

    /// Takes a point that somebody served before, and another serves now.
    fn take(&mut self, new: &mut Record, at: usize, mut point: Point, (was, now): (Side, Side)) {
        let old_winner = point.winner;
        if was != now && old_winner.is_some() && follows(&point, was) == old_winner {
            point.winner = follows(&point, now);
        }
        new.points[at] = point.clone();
        self.changes.push(Changed { at, winner: point.winner != old_winner });
        self.points.push((at, point));
    }

    /// Whether it changes more than who served this one point, so that the user is asked first.
    pub fn asks(&self) -> bool {
        self.changes.len() > 1 || self.changes.iter().any(|c| c.winner) || !self.impossible.is_empty()
    }

    /// The edit, which one undo takes back.
    pub fn edit(&self) -> Edit {
        let set = |(at, point): &(usize, Point)| Edit::SetPoint { at: *at, point: point.clone() };
        Edit::Together(self.points.iter().map(set).collect())
    }

    /// The edit of the corrected point alone.
    pub fn alone(&self) -> Option<Edit> {
        self.points.first().map(|(at, point)| Edit::SetPoint { at: *at, point: point.clone() })
    }

    /// What changes, in words, with the name of who serves.
    pub fn words(&self, name: impl Fn(Server) -> String) -> String {
        let numbers: Vec<usize> = self.changes.iter().map(|c| c.at + 1).collect();
        let winners: Vec<usize> = self.changes.iter().filter(|c| c.winner).map(|c| c.at + 1).collect();
        let (points, one) = (listed(&numbers), numbers.len() == 1);
        let text = match self.server {
            Some(server) if one => format!("{} serves {points}.", name(server)),
            Some(server) => format!("{} serves {points}, to the end of this game.", name(server)),
            None if one => format!("The score decides who serves {points}."),
            None => format!("The score decides who serves {points}, to the end of this game."),
        };
        let points = listed(&winners);
        let text = match winners.len() {
            0 => text,
            1 => format!("{text} The winner of {points} changes too, because the shots decide who won."),
            _ => format!("{text} The winners of {points} change too, because the shots decide who won."),
        };
        format!("{text}{}", self.words_of_impossible())
    }

    /// What cannot be any more, in words.
    fn words_of_impossible(&self) -> String {
        let Some((at, message)) = self.impossible.first() else { return String::new() };
        let others = self.impossible.len() - 1;
        let more = match others {
            0 => String::new(),
            1 => " One more point does not fit either.".into(),
            n => format!(" {n} more points do not fit either."),
        };
        format!("\n\nWhat was logged does not fit that. Point {}: {message}.{more}", at + 1)
    }
}

/// `point 4`, `points 4 to 7`, `points 4, 6 and 7`.
fn listed(numbers: &[usize]) -> String {
    match numbers {
        [] => String::new(),
        [one] => format!("point {one}"),
        [first, .., last] if last - first + 1 == numbers.len() => format!("points {first} to {last}"),
        [rest @ .., last] => {
            let rest: Vec<String> = rest.iter().map(usize::to_string).collect();
            format!("points {} and {last}", rest.join(", "))
        }
    }
}

/// Whether two points belong to one game with one server. In a tie-break and in a drill the server changes by itself.
fn same_game(a: &PointState, b: &PointState) -> bool {
    let one_server = !matches!(a.called, Called::TieBreak(_) | Called::NoScore);
    one_server && (a.set, a.game) == (b.set, b.game)
}

/// Who wins a point by how it ended, if `server` served it; `None` if that does not decide.
fn follows(point: &Point, server: Side) -> Option<Side> {
    match point.finish {
        Some(Finish::DoubleFault) => Some(server.other()),
        Some(Finish::Ace) if point.shots.is_empty() => Some(server),
        _ => winner_by_shots(point, server),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Logged;
    use crate::record::Shot;

    /// Points won by these letters; `R` and `S` are rallies of two and three shots that end with a winner, A serving.
    fn record(points: &str) -> Record {
        let point = |c: char| {
            let shots = match c {
                'R' => 2,
                'S' => 3,
                _ => 0,
            };
            Point {
                winner: Some(if matches!(c, 'A' | 'S') { Side::A } else { Side::B }),
                shots: vec![Shot::default(); shots],
                finish: (shots > 0).then_some(Finish::Winner),
                logged: (shots > 0).then_some(Logged::Every),
                ..Point::default()
            }
        };
        Record { points: points.chars().map(point).collect(), ..Record::default() }
    }

    fn served_by_b(record: &Record, at: usize) -> Carried {
        let point = Point { served_by: Some(Server::B), ..record.points[at].clone() };
        Carried::of(record, at, &point).unwrap()
    }

    #[test]
    fn a_server_is_carried_to_the_end_of_the_game_and_taken_back_at_once() {
        let mut record = record("AABAABBB");
        let carried = served_by_b(&record, 1);
        assert_eq!(carried.changes.iter().map(|c| c.at).collect::<Vec<_>>(), [1, 2, 3, 4]);
        assert_eq!(
            carried.words(|_| "Okafor".into()),
            "Okafor serves points 2 to 5, to the end of this game."
        );
        let before = record.clone();
        let (_, back) = record.apply(carried.edit()).unwrap();
        let servers: Vec<Side> = record.replay().states.iter().map(|s| s.server).collect();
        assert_eq!(servers[1..5], [Side::B; 4]);
        assert_eq!(servers[5], Side::A, "the order goes on from who really served");
        let _ = record.apply(back).unwrap();
        assert_eq!(record, before);
    }

    #[test]
    fn a_winner_that_the_shots_tell_changes_with_the_server() {
        let record = record("ARSB");
        let carried = served_by_b(&record, 0);
        let winners: Vec<bool> = carried.changes.iter().map(|c| c.winner).collect();
        assert_eq!(winners, [false, true, true, false], "what was keyed as won stays");
        assert_eq!(
            carried.words(|_| "Okafor".into()),
            "Okafor serves points 1 to 4, to the end of this game. The winners of points 2 to 3 change too, because \
             the shots decide who won."
        );
    }

    #[test]
    fn a_correction_taken_back_is_carried_too_and_other_servers_stay() {
        let mut record = record("AAAA");
        record.points[2].served_by = Some(Server::A);
        let carried = served_by_b(&record, 0);
        assert_eq!(carried.changes.iter().map(|c| c.at).collect::<Vec<_>>(), [0, 1, 3]);
        let _ = record.apply(carried.edit()).unwrap();
        let point = Point { served_by: None, ..record.points[0].clone() };
        let back = Carried::of(&record, 0, &point).unwrap();
        assert_eq!(back.changes.iter().map(|c| c.at).collect::<Vec<_>>(), [0, 1, 3]);
        assert_eq!(
            back.words(|_| String::new()).split(',').next().unwrap(),
            "The score decides who serves points 1"
        );
    }

    #[test]
    fn nothing_is_carried_where_the_server_stays_or_belongs_to_a_mark() {
        let record = record("AAAA");
        assert_eq!(Carried::of(&record, 1, &record.points[1]), None);
        let marked = Point {
            served_by: Some(Server::B),
            score_before: Some(crate::tennis::mark::Mark::default()),
            ..record.points[1].clone()
        };
        assert_eq!(Carried::of(&record, 1, &marked), None);
    }

    #[test]
    fn shots_that_become_impossible_are_told_and_taken_back_at_once() {
        let mut record = record("RAB");
        record.points[0].shots[0].landing = Some(crate::record::Place { x_mm: -2000, y_mm: 5000 });
        let carried = served_by_b(&record, 0);
        assert_eq!(
            carried.words(|_| "Okafor".into()).split("\n\n").nth(1).unwrap(),
            "What was logged does not fit that. Point 1: the serve landed in the far half, but by the score it was struck \
             from there; correct who served, or the ends."
        );
        let before = record.clone();
        let (_, back) = record.apply(carried.edit()).unwrap();
        assert_eq!(
            contradictions(&record, &record.replay())[0].point(),
            Some(0),
            "and it is said at the point"
        );
        let _ = record.apply(back).unwrap();
        assert_eq!(record, before);
        // One point alone asks too.
        record.points.truncate(1);
        record.points[0].logged = None;
        let carried = served_by_b(&record, 0);
        assert!(carried.asks() && carried.changes == [Changed { at: 0, winner: false }]);
        assert!(carried.words(|_| "Okafor".into()).starts_with("Okafor serves point 1.\n\n"));
    }

    #[test]
    fn in_a_tie_break_only_the_point_changes() {
        let mut record = record(&"AAAABBBB".repeat(6));
        record.points.extend(self::record("AAB").points);
        let carried = served_by_b(&record, 48);
        assert_eq!(carried.changes.len(), 1);
    }
}
