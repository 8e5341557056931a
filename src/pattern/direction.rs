//! Whether a pattern asks where a shot went: then only shots whose direction is known can answer it.

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
}
