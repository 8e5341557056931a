//! Whether a pattern asks where a shot went: then only shots whose direction is known can answer it.

use super::ball::ShotTest;
use super::condition::{Condition, Pattern};
use crate::facts::{Fact, Goes, Lane, ShotFacts, Target};
use crate::tennis::stroke::Column;

/// Where a missed shot may have been aimed, as far as a pattern asks for it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Aim {
    lane: Option<Lane>,
    goes: Option<Goes>,
    target: Option<Target>,
    column: Option<Column>,
}

impl Aim {
    /// The shot, had it been aimed there.
    pub(crate) fn of(self, shot: ShotFacts) -> ShotFacts {
        ShotFacts {
            lane: self.lane.map(Fact::estimated).or(shot.lane),
            goes: self.goes.map(Fact::estimated).or(shot.goes),
            target: self.target.map(Fact::estimated).or(shot.target),
            direction: self.column.or(shot.direction),
            ..shot
        }
    }
}

/// Each value, or none if it is not asked for.
fn each<T: Copy, const N: usize>(asked: bool, words: [(&'static str, T); N]) -> Vec<Option<T>> {
    if asked { words.map(|(_, value)| Some(value)).to_vec() } else { vec![None] }
}

impl Pattern {
    /// The aims of a missed shot that the pattern can tell apart; none if it does not ask for a direction.
    pub(crate) fn aims(&self) -> Vec<Aim> {
        if !self.asks_direction() {
            return Vec::new();
        }
        let asks = |of| self.conditions.iter().chain(&self.among).any(|c| of_a_point(c, of));
        let lanes = each(asks(|t| matches!(t, ShotTest::Lane(_))), Lane::WORDS);
        let goes = each(asks(|t| matches!(t, ShotTest::Goes(_))), Goes::WORDS);
        let wings = |t: &ShotTest| matches!(t, ShotTest::ToWing(_) | ShotTest::ToWeaker(_));
        let targets = each(asks(wings), Target::WORDS);
        let columns = each(asks(|t| matches!(t, ShotTest::Middle(_))), Column::ALL.map(|c| ("", c)));
        let mut aims = Vec::new();
        for (lane, goes) in lanes.iter().flat_map(|lane| goes.iter().map(|goes| (*lane, *goes))) {
            for (target, column) in targets.iter().flat_map(|t| columns.iter().map(|c| (*t, *c))) {
                aims.push(Aim { lane, goes, target, column });
            }
        }
        aims
    }

    /// Whether it asks for the direction of a shot other than a serve: its line, its side, or the part of the opponent.
    pub(crate) fn asks_direction(&self) -> bool {
        self.conditions.iter().chain(&self.among).any(|c| of_a_point(c, is_direction))
    }

    /// Whether it asks what only a shot that landed shows, other than a serve: its depth, or what it does to the opponent's.
    pub(crate) fn asks_depth(&self) -> bool {
        self.conditions.iter().any(|c| of_a_point(c, is_depth))
    }
}

/// What is asked of a shot.
type Asks = fn(&ShotTest) -> bool;

const fn is_direction(test: &ShotTest) -> bool {
    use ShotTest::{Goes, Lane, Middle, ToWeaker, ToWing};
    matches!(test, Lane(_) | Goes(_) | Middle(_) | ToWing(_) | ToWeaker(_))
}

const fn is_depth(test: &ShotTest) -> bool {
    matches!(test, ShotTest::Depth(_) | ShotTest::Push(_))
}

fn of_a_point(condition: &Condition, asks: Asks) -> bool {
    let any = |tests: &[ShotTest]| tests.iter().any(|t| of_a_shot(t, asks));
    let of_a_point = |c: &Condition| of_a_point(c, asks);
    match condition {
        Condition::Shot(1, _) => false,
        Condition::Shot(_, tests) | Condition::SomeShot(tests) | Condition::LastShot(tests) => any(tests),
        Condition::Sequence(steps) => steps.iter().any(|s| any(&s.tests)),
        Condition::About(about) => any(&about.tests) || about.named.iter().any(|n| any(&n.tests)),
        Condition::Named(named, _) => named.iter().any(|n| n.tests.iter().any(of_a_point)),
        Condition::All(all) | Condition::Any(all) => all.iter().any(of_a_point),
        Condition::Not(not) => of_a_point(not),
        Condition::PlanPlayed(_, plans) => {
            plans.0.iter().any(|p| p.conditions.iter().chain(&p.among).any(of_a_point))
        }
        _ => false,
    }
}

fn of_a_shot(test: &ShotTest, asks: Asks) -> bool {
    match test {
        ShotTest::All(all) | ShotTest::Any(all) => all.iter().any(|t| of_a_shot(t, asks)),
        ShotTest::Not(not) => of_a_shot(not, asks),
        test => asks(test),
    }
}

#[cfg(test)]
mod tests {
    use crate::pattern::parse;

    #[test]
    fn a_pattern_asks_a_direction_of_shots_other_than_the_serve() {
        let asks = |text: &str| {
            let text = format!("[[pattern]]\nname = \"x\"\nwon_by = \"server\"\n{text}");
            parse(&text, "ours.toml").unwrap().patterns[0].asks_direction()
        };
        assert!(asks("shots = [{ number = 3, goes = \"open court\" }]"));
        assert!(asks("no_shot = { any = [{ lane = \"middle\" }, { spin = \"slice\" }] }"));
        assert!(asks("serve = 1\namong = { some_shot = { middle_third = false } }"));
        assert!(!asks("shots = [{ number = 1, to_wing = \"backhand\" }, { number = 2, depth = \"deep\" }]"));
        assert!(!asks("rally = \"9+\""));
    }

    #[test]
    fn a_pattern_asks_a_depth_that_only_a_shot_in_court_has() {
        let asks = |text: &str| {
            let text = format!("[[pattern]]\nname = \"x\"\nwon_by = \"server\"\n{text}");
            parse(&text, "ours.toml").unwrap().patterns[0].asks_depth()
        };
        assert!(asks("shots = [{ number = 2, depth = \"deep\" }]"));
        assert!(asks("some_shot = { pushes = \"back\" }"));
        assert!(!asks("shots = [{ number = 3, goes = \"open court\" }]"));
    }
}
