//! Whether a pattern asks where a shot went: what the answer then rests on are shots whose direction is known.

use super::ball::ShotTest;
use super::condition::{Condition, Pattern};

impl Pattern {
    /// Whether it asks for the direction of a shot other than a serve: its line, its side, or the part of the opponent.
    pub(crate) fn asks_direction(&self) -> bool {
        self.conditions.iter().chain(&self.among).any(of_a_point)
    }
}

fn of_a_point(condition: &Condition) -> bool {
    let any = |tests: &[ShotTest]| tests.iter().any(of_a_shot);
    match condition {
        Condition::Shot(1, _) => false,
        Condition::Shot(_, tests) | Condition::SomeShot(tests) | Condition::LastShot(tests) => any(tests),
        Condition::Sequence(steps) => steps.iter().any(|s| any(&s.tests)),
        Condition::About(about) => any(&about.tests) || about.named.iter().any(|n| any(&n.tests)),
        Condition::Named(named, _) => named.iter().any(|n| n.tests.iter().any(of_a_point)),
        Condition::All(all) | Condition::Any(all) => all.iter().any(of_a_point),
        Condition::Not(not) => of_a_point(not),
        Condition::PlanPlayed(_, plans) => plans.0.iter().any(Pattern::asks_direction),
        _ => false,
    }
}

fn of_a_shot(test: &ShotTest) -> bool {
    match test {
        ShotTest::Lane(_)
        | ShotTest::Goes(_)
        | ShotTest::Middle(_)
        | ShotTest::ToWing(_)
        | ShotTest::ToWeaker(_) => true,
        ShotTest::All(all) | ShotTest::Any(all) => all.iter().any(of_a_shot),
        ShotTest::Not(not) => of_a_shot(not),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use crate::pattern::PatternFile;

    #[test]
    fn directions_are_asked_by_the_starter_patterns_that_name_them() {
        let all = PatternFile::starter().unwrap().patterns;
        let asks = |name: &str| all.iter().find(|p| p.name == name).unwrap().asks_direction();
        assert!(asks("Plus one, open court") && asks("T serve, then to a side"));
        assert!(!asks("Serve at the body") && !asks("Long rally, 9 balls or more"));
    }
}
