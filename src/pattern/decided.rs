//! Patterns whose conditions already say who won, so that their rate is not a finding.

use super::condition::Condition;
use crate::record::Finish;

/// Whether points that meet all of these always have the same winner, server or receiver: the server loses a double fault, and
/// whoever made an error loses the point.
///
/// A short rally decides it in part: aces, double faults and serves that do not come back are short because of who won.
pub(super) fn is_decided(all: &[Condition]) -> bool {
    if all.iter().any(is_short) && all.iter().all(|c| is_short(c) || is_before(c)) {
        return true;
    }
    let (mut finish, mut by) = (false, false);
    for condition in all {
        match condition {
            Condition::Winner(_) | Condition::Finish(Finish::DoubleFault | Finish::Ace) => return true,
            Condition::Finish(_) => finish = true,
            Condition::FinishBy(_) => by = true,
            Condition::All(inner) if is_decided(inner) => return true,
            Condition::Any(ways)
                if !ways.is_empty() && ways.iter().all(|w| is_decided(std::slice::from_ref(w))) =>
            {
                return true;
            }
            _ => {}
        }
    }
    finish && by
}

/// Whether it is of rallies that the serve or the return may end, and of no long ones.
fn is_short(condition: &Condition) -> bool {
    matches!(condition, Condition::Rally(shots) if *shots.start() <= 2 && *shots.end() <= SHORT)
}

/// The longest short rally.
const SHORT: usize = 4;

/// Whether it is known before the point begins.
const fn is_before(condition: &Condition) -> bool {
    use Condition::{Called, Court, Moment, Server, Set, Standing};
    matches!(condition, Called(_) | Court(_) | Moment(..) | Server(_) | Set(_) | Standing(_))
}

#[cfg(test)]
mod tests {
    use crate::pattern::{PatternFile, parse};

    #[test]
    fn what_is_given_away_is_lost_by_definition() {
        let all = PatternFile::starter().unwrap().patterns;
        let decided: Vec<&str> = all.iter().filter(|p| p.is_decided()).map(|p| p.name.as_str()).collect();
        assert_eq!(decided, ["Errors by the server", "Short rally"]);
        let one = |text: &str| {
            let text = format!("[[pattern]]\nname = \"x\"\nwon_by = \"server\"\n{text}");
            parse(&text, "ours.toml").unwrap().patterns[0].is_decided()
        };
        assert!(one("finish = \"ace\"") && one("winner = \"server\""));
        assert!(one("finish = \"winner\"\nfinish_by = \"receiver\""));
        assert!(one("rally_at_most = 2") && one("rally = \"1-4\"\ncourt = \"ad\""));
        assert!(!one("rally = \"5-8\"") && !one("rally_at_most = 20"));
        assert!(!one("rally_at_least = 3\nrally_at_most = 4"), "the return came back");
        assert!(!one("finish = \"winner\"") && !one("serve = 1"));
        assert!(!one("any = [{ finish = \"ace\" }, { serve = 1 }]"));
    }
}
