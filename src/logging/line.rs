//! The point as a line of words while it grows, each word from the facts, and what comes next.

use std::borrow::Cow;
use std::fmt;

use super::log::open_point;
use super::pad::{Lands, PadView, Phase};
use crate::facts::{PointFacts, ball_words, striker};
use crate::record::{Logged, MatchInfo, Point, Record, Shared};
use crate::tennis::stroke::{Column, FaultKind, Miss};
use crate::tennis::{CourtSide, End, Side};

/// A piece of the line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Segment {
    /// Its words.
    pub text: String,
    /// Who strikes, and how the point ended: to be seen first.
    pub strong: bool,
    /// Of the shot that other keys go to.
    pub cursor: bool,
    /// Not seen: estimated from the shots before.
    pub estimated: bool,
    /// The shot that it is of, from 0; none of a fault and of the end.
    pub ball: Option<usize>,
}

/// The current point in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Line {
    /// What was logged of it, in order.
    pub said: Vec<Segment>,
    /// What comes next: whose shot, and where it lands.
    pub next: String,
}

impl fmt::Display for Line {
    /// In one line, estimated words with a question mark: `Holt serves wide · Okafor returns deep, cross-court? · …`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, s) in self.said.iter().enumerate() {
            let before = match (i, s.strong, i.checked_sub(1).map(|b| self.said[b].strong)) {
                (0, ..) => "",
                (_, true, _) => " · ",
                (_, false, Some(true)) => " ",
                _ => ", ",
            };
            write!(f, "{before}{}{}", s.text, if s.estimated { "?" } else { "" })?;
        }
        Ok(())
    }
}

impl Line {
    /// The current point in words, with what the pad shows of it.
    pub fn of(record: &Record, facts: &Shared<PointFacts>, current: Option<usize>, pad: &PadView) -> Self {
        let at = current.filter(|i| *i < record.points.len());
        let mut said = Vec::new();
        if let Some((point, f)) = at.and_then(|i| record.points.get(i).zip(facts.get(i))) {
            if !point.plan.is_empty() {
                said.push(segment(format!("plan: {}", point.plan), true));
            }
            called(record, point, &mut said);
            faults(f, point, &mut said);
            balls(record, f, point, pad, &mut said);
            end(record, f, point, &mut said);
        }
        let open = at.filter(|_| open_point(record) == at);
        let stopped = open.is_some_and(|i| record.points[i].logged == Some(Logged::Opening));
        let next = match (stopped && !pad.chosen, pad.phase) {
            (true, _) => "who won the point?".into(),
            (false, Phase::Idle) => format!("next point, {}", next(&record.about, pad)),
            (false, _) => {
                let about = at.map_or(Cow::Borrowed(&record.about), |i| record.about_at(i));
                next(&about, pad)
            }
        };
        Self { said, next }
    }
}

const fn segment(text: String, strong: bool) -> Segment {
    Segment { text, strong, cursor: false, estimated: false, ball: None }
}

/// What was called before the serve in play.
fn called(record: &Record, point: &Point, said: &mut Vec<Segment>) {
    let about = record.about_of(point);
    let name = |side| about.side_name(side);
    said.extend(point.time_violation.map(|s| segment(format!("time violation by {}", name(s)), true)));
    said.extend(point.penalty.map(|s| segment(format!("point penalty against {}", name(s)), true)));
    match point.lets {
        None | Some(0) => {}
        Some(1) => said.push(segment("1 let".into(), true)),
        Some(n) => said.push(segment(format!("{n} lets"), true)),
    }
}

const fn fault_words(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::Net => "into the net",
        FaultKind::Long => "long",
        FaultKind::Wide => "wide of the box",
        FaultKind::Foot => "foot fault",
    }
}

fn faults(f: &PointFacts, point: &Point, said: &mut Vec<Segment>) {
    for serve in f.serves.iter().flatten().filter(|s| s.fault) {
        said.push(segment("fault".into(), true));
        said.extend(serve.kind.map(|k| segment(fault_words(k).into(), false)));
        said.extend(serve.to.map(|to| segment(to.words().into(), false)));
        said.extend(serve.pace.map(|p| segment(p.words().into(), false)));
        said.extend(serve.spin.map(|s| segment(s.words().into(), false)));
    }
    // Where only their number is known.
    let told = f.serves.iter().flatten().filter(|s| s.fault).count();
    said.extend((told..usize::from(point.faults.unwrap_or(0))).map(|_| segment("fault".into(), true)));
}

fn balls(record: &Record, f: &PointFacts, point: &Point, pad: &PadView, said: &mut Vec<Segment>) {
    let about = record.about_of(point);
    if point.joined_late {
        said.push(segment("joined late …".into(), true));
    }
    for (n, shot) in f.shots.iter().enumerate().take(point.shots.len()) {
        let part = striker(f, n);
        let who = shot.by.map_or_else(|| part.to_owned(), |side| about.side_name(side));
        let words = ball_words(f, n);
        let verb = match n {
            _ if point.joined_late && words.is_empty() => ", not seen",
            _ if point.joined_late => "",
            0 => " serves",
            1 if words.is_empty() => " returns, not seen",
            1 => " returns",
            _ if words.is_empty() => ", not seen",
            _ => "",
        };
        let of_ball = |text: String, strong, estimated| Segment {
            text,
            strong,
            cursor: pad.goes_to == Some(n),
            estimated,
            ball: Some(n),
        };
        said.push(of_ball(who + verb, true, false));
        said.extend(words.iter().map(|w| of_ball(w.value.to_owned(), false, w.estimated)));
    }
    if point.left_early {
        said.push(segment("… left early".into(), true));
    } else if point.logged == Some(Logged::Opening) {
        said.push(segment("…".into(), true));
    }
}

/// How it ended, and who won.
fn end(record: &Record, f: &PointFacts, point: &Point, said: &mut Vec<Segment>) {
    let mut how = point.finish.map(|f| f.words().to_owned());
    // The shot that missed says where it went.
    let told = f.shots.last().is_some_and(|s| s.missed == Some(true));
    if let Some(miss) = point.miss.filter(|_| !told) {
        let to = if point.also_wide { Miss::LONG_AND_WIDE } else { miss.of_the_shot() };
        how = Some(how.map_or_else(|| format!("error, {to}"), |h| format!("{h}, {to}")));
    }
    if how.is_none() && point.unreturned {
        how = Some("serve not returned".into());
    }
    if point.replayed {
        how = Some("let, played again".into());
    }
    let wins = point.winner.map(|side| format!("{} wins", record.about_of(point).side_name(side)));
    match (how, wins, point.end) {
        (Some(how), Some(wins), _) => said.push(segment(format!("{how}; {wins}"), true)),
        (Some(one), None, _) | (None, Some(one), _) => said.push(segment(one, true)),
        (None, None, Some(_)) if point.left_early => {}
        (None, None, Some(_)) => said.push(segment("over, winner not named".into(), true)),
        (None, None, None) => {}
    }
}

/// `Okafor's ball: near half`, `Holt's second serve: deuce court, box on the left`.
fn next(about: &MatchInfo, pad: &PadView) -> String {
    let whose = |side: Option<Side>, other: &str| {
        side.map_or_else(|| other.to_owned(), |s| format!("{}’s", about.side_name(s)))
    };
    let what = if pad.joined {
        // How many shots came before is not known.
        format!("{} next shot", whose(pad.striker, "the"))
    } else if pad.ball == 0 {
        let server = whose(pad.striker, "the");
        let nth = match pad.serve {
            Some(2) => "second serve",
            Some(_) => "first serve",
            None => "serve",
        };
        format!("{server} {nth}")
    } else {
        let part = if pad.ball.is_multiple_of(2) { "the server’s" } else { "the receiver’s" };
        format!("{} shot {}", whose(pad.striker, part), pad.ball + 1)
    };
    let place = match pad.lands {
        Lands::Half(Some(End::Near)) => "near half".to_owned(),
        Lands::Half(Some(End::Far)) => "far half".to_owned(),
        Lands::Half(None) => String::new(),
        Lands::Box { court, column, .. } => {
            let court = court.map(CourtSide::words);
            let column =
                column.map(|c| if c == Column::Left { "box on the left" } else { "box on the right" });
            [court, column].into_iter().flatten().collect::<Vec<_>>().join(", ")
        }
    };
    let again = if pad.chosen { "correcting " } else { "" };
    let colon = if place.is_empty() { "" } else { ": " };
    format!("{again}{what}{colon}{place}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::logging::typing::Typist;
    use crate::record::{Hand, Player};
    use crate::time::MatchTime;

    /// The line and what comes next after each key of a script.
    fn grown(keys: &str) -> Vec<String> {
        let mut typist = Typist::default();
        for (to, name) in [(&mut typist.record.about.a, "Holt"), (&mut typist.record.about.b, "Okafor")] {
            *to = Player { hand: Some(Hand::Right), ..Player::named(name) };
        }
        let line = |t: &Typist| Line::of(&t.record, &facts(&t.record), t.logger.current(), &t.pad());
        let mut lines = vec![format!("| {}", line(&typist).next)];
        for (i, key) in keys.split(' ').enumerate() {
            typist.press(key, MatchTime::from_millis(1000 + 500 * i as u64));
            let line = line(&typist);
            lines.push(format!("{key}: {line} | {}", line.next));
        }
        assert_eq!(typist.said, Vec::<String>::new());
        lines
    }

    #[test]
    fn a_point_grows_word_by_word() {
        insta::assert_snapshot!(grown("l f u k shift+o m ; d ' 4 6").join("\n"));
    }

    #[test]
    fn other_ends() {
        insta::assert_snapshot!(grown("h h k g a").join("\n"));
        insta::assert_snapshot!(grown("s f f").join("\n"));
        insta::assert_snapshot!(grown("u k i z").join("\n"));
        insta::assert_snapshot!(grown("u 1").join("\n"));
    }

    #[test]
    fn the_ball_that_keys_go_to_is_marked() {
        let mut typist = Typist::default();
        for key in ["u", "k", "i", ";", ";"] {
            typist.press(key, MatchTime::from_secs(typist.presses as u64));
        }
        let line = Line::of(&typist.record, &facts(&typist.record), Some(0), &typist.pad());
        let marked: Vec<_> = line.said.iter().filter(|s| s.cursor).map(|s| s.ball).collect();
        assert!(!marked.is_empty() && marked.iter().all(|b| *b == Some(1)), "{line:?}");
    }
}
