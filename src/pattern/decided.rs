//! Patterns whose conditions already say who won, so that their rate is not a finding.

use super::condition::Condition;
use crate::record::Finish;

/// Whether points that meet all of these always have the same winner, server or receiver: the server loses a double fault, and
/// whoever made an error loses the point.
pub(super) fn is_decided(all: &[Condition]) -> bool {
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

#[cfg(test)]
mod tests {
    use crate::pattern::{PatternFile, parse};

    #[test]
    fn what_is_given_away_is_lost_by_definition() {
        let all = PatternFile::starter().unwrap().patterns;
        let decided: Vec<&str> = all.iter().filter(|p| p.is_decided()).map(|p| p.name.as_str()).collect();
        assert_eq!(decided, ["Errors by the server"]);
        let one = |text: &str| {
            let text = format!("[[pattern]]\nname = \"x\"\nwon_by = \"server\"\n{text}");
            parse(&text, "ours.toml").unwrap().patterns[0].is_decided()
        };
        assert!(one("finish = \"ace\"") && one("winner = \"server\""));
        assert!(one("finish = \"winner\"\nfinish_by = \"receiver\""));
        assert!(!one("finish = \"winner\"") && !one("serve = 1"));
        assert!(!one("any = [{ finish = \"ace\" }, { serve = 1 }]"));
    }
}
