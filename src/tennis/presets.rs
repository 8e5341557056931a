//! Rules by name, and rules from a file.
//!
//! ```text
//! like = "best-of-3"              # start from rules that have a name; left out: best-of-3
//! sides = "doubles"               # singles, doubles, mixed-doubles
//! best_of = 3                     # 1, 3, 5
//! set = { games = 6, tie_break = { at = 6, points = 7 } }     # no tie_break: an advantage set
//! final_set = { match_tie_break = { points = 10 } }           # or { set = { games = 6 } }
//! deuce = "no-ad"                 # advantage, no-ad
//! tie_break_ends = "every-six"    # every-six, first-then-every-four, after-four
//! ```

use serde::Deserialize;
use toml::de::{DeTable, DeValue};

use super::rules::{Deuce, Play, Rules, RulesError, SetForm, SetRules, Sides, TieBreak, TieBreakEnds};
use crate::wording::in_toml;

/// Rules that have a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Preset {
    /// The name.
    pub name: &'static str,
    /// What is played, in a line.
    pub about: &'static str,
    /// The rules: singles, with advantage games.
    pub rules: Rules,
}

const fn preset(name: &'static str, about: &'static str, rules: Rules) -> Preset {
    Preset { name, about, rules }
}

const fn with_final(best_of: u8, last: SetForm) -> Rules {
    Rules { final_set: Some(last), ..Rules::of(best_of, Rules::TIE_BREAK_SET) }
}

const fn set(games: u8, at: u8, points: u8) -> SetRules {
    SetRules { games, tie_break: Some(TieBreak::by_two(at, points)) }
}

const fn match_tie_break(points: u8) -> SetForm {
    SetForm::MatchTieBreak { points }
}

const ADVANTAGE: SetRules = SetRules { games: 6, tie_break: None };
const SHORT: SetRules = set(4, 4, 7);
const TO_FIVE: SetRules = SetRules { games: 4, tie_break: Some(TieBreak { at: 3, points: 5, lead: 1 }) };

/// Rules that have a name. Before any but `drill` may stand, in this order, `doubles-` or `mixed-`, and `no-ad-`.
/// Numbers: ITF Rules of Tennis, rules 5 to 7 and appendix V; which event played which final set is common knowledge of
/// the trade, no source.
pub const PRESETS: [Preset; 24] = [
    preset("best-of-3", "best of three sets to 6, a tie-break to 7 at 6–6 in each", Rules::best_of_three()),
    preset(
        "best-of-5",
        "best of five sets to 6, a tie-break to 7 at 6–6 in each",
        Rules::of(5, Rules::TIE_BREAK_SET),
    ),
    preset("one-set", "one set to 6, a tie-break to 7 at 6–6", Rules::best_of_one()),
    preset("best-of-3-advantage", "best of three advantage sets: no tie-break", Rules::of(3, ADVANTAGE)),
    preset("best-of-5-advantage", "best of five advantage sets: no tie-break", Rules::of(5, ADVANTAGE)),
    preset("one-set-advantage", "one advantage set: no tie-break", Rules::of(1, ADVANTAGE)),
    preset(
        "best-of-3-final-advantage",
        "as best-of-3, the third set an advantage set",
        with_final(3, SetForm::Set(ADVANTAGE)),
    ),
    preset(
        "best-of-5-final-advantage",
        "as best-of-5, the fifth set an advantage set",
        with_final(5, SetForm::Set(ADVANTAGE)),
    ),
    preset(
        "best-of-3-final-tie-break-at-12",
        "as best-of-3, in the third set the tie-break at 12–12",
        with_final(3, SetForm::Set(set(6, 12, 7))),
    ),
    preset(
        "best-of-5-final-tie-break-at-12",
        "as best-of-5, in the fifth set the tie-break at 12–12",
        with_final(5, SetForm::Set(set(6, 12, 7))),
    ),
    preset(
        "best-of-3-final-tie-break-to-10",
        "as best-of-3, in the third set the tie-break to 10",
        with_final(3, SetForm::Set(set(6, 6, 10))),
    ),
    preset(
        "best-of-5-final-tie-break-to-10",
        "as best-of-5, in the fifth set the tie-break to 10",
        with_final(5, SetForm::Set(set(6, 6, 10))),
    ),
    preset(
        "best-of-3-match-tie-break-10",
        "two sets to 6, then a match tie-break to 10 for a third",
        with_final(3, match_tie_break(10)),
    ),
    preset(
        "best-of-3-match-tie-break-7",
        "two sets to 6, then a match tie-break to 7 for a third",
        with_final(3, match_tie_break(7)),
    ),
    preset("match-tie-break-10", "match tie-break only, to 10", with_final(1, match_tie_break(10))),
    preset("match-tie-break-7", "match tie-break only, to 7", with_final(1, match_tie_break(7))),
    preset("pro-set-8", "one set to 8, a tie-break to 7 at 8–8", Rules::of(1, set(8, 8, 7))),
    preset("pro-set-8-tie-break-at-7", "one set to 8, a tie-break to 7 at 7–7", Rules::of(1, set(8, 7, 7))),
    preset("short-sets", "best of three sets to 4, a tie-break to 7 at 4–4", Rules::of(3, SHORT)),
    preset(
        "short-sets-tie-break-at-3",
        "best of three sets to 4, a tie-break to 7 at 3–3",
        Rules::of(3, set(4, 3, 7)),
    ),
    preset(
        "short-sets-match-tie-break-10",
        "two sets to 4, then a match tie-break to 10 for a third",
        Rules { final_set: Some(match_tie_break(10)), ..Rules::of(3, SHORT) },
    ),
    preset(
        "short-sets-tie-break-to-5",
        "best of three sets to 4, at 3–3 a tie-break to 5, at 4–4 in it one point decides; ends change after four points",
        Rules { tie_break_ends: TieBreakEnds::AfterFour, ..Rules::of(3, TO_FIVE) },
    ),
    preset("one-short-set", "one set to 4, a tie-break to 7 at 4–4", Rules::of(1, SHORT)),
    preset("drill", "no score (drills, clips)", Rules::drill()),
];

const SIDES: [(&str, Sides); 2] = [("doubles-", Sides::Doubles), ("mixed-", Sides::MixedDoubles)];
const NO_AD: &str = "no-ad-";

/// A rules file: what it leaves out is as in the rules it is like.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RulesFile {
    like: Option<String>,
    play: Option<Play>,
    sides: Option<Sides>,
    best_of: Option<u8>,
    set: Option<SetRules>,
    final_set: Option<SetForm>,
    deuce: Option<Deuce>,
    tie_break_ends: Option<TieBreakEnds>,
}

const TABLES: [&str; 4] = ["set", "final_set", "tie_break", "match_tie_break"];

/// A list where a table belongs: the reader would take its values for those of the table, in their order.
fn in_brackets(text: &str) -> Option<(usize, String)> {
    fn first(table: &DeTable<'_>) -> Option<(usize, String)> {
        table.iter().find_map(|(key, value)| match value.get_ref() {
            DeValue::Array(_) if TABLES.contains(&key.get_ref().as_ref()) => {
                Some((value.span().start, key.get_ref().to_string()))
            }
            DeValue::Table(inner) => first(inner),
            _ => None,
        })
    }
    first(DeTable::parse(text).ok()?.get_ref())
}

impl Rules {
    /// The rules of a name: one of [`PRESETS`], with `doubles-` or `mixed-` and `no-ad-` before it where wanted, as in
    /// `doubles-no-ad-best-of-3-match-tie-break-10`.
    ///
    /// # Errors
    /// [`RulesError::Name`]; [`RulesError::Drill`] for a drill with no-ad.
    pub fn named(name: &str) -> Result<Self, RulesError> {
        let (sides, rest) = SIDES
            .iter()
            .find_map(|(prefix, sides)| Some((*sides, name.strip_prefix(prefix)?)))
            .unwrap_or((Sides::Singles, name));
        let (deuce, rest) = match rest.strip_prefix(NO_AD) {
            Some(rest) => (Deuce::NoAd, rest),
            None => (Deuce::Advantage, rest),
        };
        let preset = PRESETS.iter().find(|p| p.name == rest).ok_or_else(|| unknown(name))?;
        let rules = Self { sides, deuce, ..preset.rules };
        rules.check()?;
        Ok(rules)
    }

    /// The name of these rules, if they have one.
    pub fn name(self) -> Option<String> {
        let preset = PRESETS
            .iter()
            .find(|p| p.rules == Self { sides: Sides::Singles, deuce: Deuce::Advantage, ..self })?;
        let sides = SIDES.iter().find(|(_, s)| *s == self.sides).map_or("", |(prefix, _)| *prefix);
        let deuce = if self.deuce == Deuce::NoAd { NO_AD } else { "" };
        Some(format!("{sides}{deuce}{}", preset.name))
    }

    /// Reads a rules file: TOML, as shown at the top of [`super::presets`].
    ///
    /// # Errors
    /// [`RulesError::File`] with line and column; [`RulesError`] for a combination that makes no match.
    pub fn parse(text: &str) -> Result<Self, RulesError> {
        let wrong = |at: usize, found: String| {
            let before = text.get(..at).unwrap_or(text);
            let line = before.matches('\n').count() + 1;
            let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
            RulesError::File { line, column, found: found.into() }
        };
        if let Some((at, key)) = in_brackets(text) {
            return Err(wrong(at, format!("\"{key}\": found a list; allowed: a table")));
        }
        let file: RulesFile =
            toml::from_str(text).map_err(|e| wrong(e.span().map_or(0, |s| s.start), in_toml(text, &e)))?;
        let like = file.like.as_deref().map_or(Ok(Self::default()), Self::named)?;
        let rules = Self {
            play: file.play.unwrap_or(like.play),
            sides: file.sides.unwrap_or(like.sides),
            best_of: file.best_of.unwrap_or(like.best_of),
            set: file.set.unwrap_or(like.set),
            final_set: file.final_set.or(like.final_set),
            deuce: file.deuce.unwrap_or(like.deuce),
            tie_break_ends: file.tie_break_ends.unwrap_or(like.tie_break_ends),
        };
        rules.check()?;
        Ok(rules)
    }
}

fn unknown(name: &str) -> RulesError {
    let names: Vec<_> = PRESETS.iter().map(|p| p.name).collect();
    RulesError::Name {
        found: name.chars().take(60).collect::<String>().escape_debug().to_string().into(),
        allowed: format!("{}; before them doubles- or mixed-, then no-ad-", names.join(", ")).into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_makes_a_match_and_is_found_again() {
        for preset in PRESETS {
            for sides in ["", "doubles-", "mixed-"] {
                for deuce in ["", "no-ad-"] {
                    let name = format!("{sides}{deuce}{}", preset.name);
                    match Rules::named(&name) {
                        Ok(rules) => assert_eq!(rules.name(), Some(name)),
                        Err(e) => {
                            assert_eq!(e, RulesError::Drill { found: "no-ad" });
                            assert_eq!(preset.name, "drill");
                        }
                    }
                }
            }
        }
        assert_eq!(Rules::of(3, set(5, 5, 9)).name(), None);
    }

    #[test]
    fn a_name_that_is_none_lists_those_that_are() {
        let said = Rules::named("best-of-4").unwrap_err().to_string();
        assert!(
            said.starts_with("there are no rules named \"best-of-4\"; allowed: best-of-3, best-of-5,"),
            "{said}"
        );
        assert!(said.ends_with("drill; before them doubles- or mixed-, then no-ad-"), "{said}");
        let said = Rules::named(&"\u{1b}".repeat(1000)).unwrap_err().to_string();
        assert!(said.len() < 2_000 && !said.contains('\u{1b}'), "{said}");
    }

    #[test]
    fn a_file_changes_what_it_names() {
        let text = "like = \"best-of-5\"\nsides = \"doubles\"\nset = { games = 6 }\n\
                    final_set = { match_tie_break = { points = 10 } }\ntie_break_ends = \"first-then-every-four\"";
        let want = Rules {
            sides: Sides::Doubles,
            set: ADVANTAGE,
            final_set: Some(match_tie_break(10)),
            tie_break_ends: TieBreakEnds::FirstThenEveryFour,
            ..Rules::of(5, ADVANTAGE)
        };
        assert_eq!(Rules::parse(text), Ok(want));
        assert_eq!(Rules::parse(""), Ok(Rules::best_of_three()));
        let fast = "best_of = 1\nset = { games = 4, tie_break = { at = 3, points = 5, lead = 1 } }\ndeuce = \"no-ad\"";
        assert_eq!(Rules::parse(fast), Ok(Rules { deuce: Deuce::NoAd, ..Rules::of(1, TO_FIVE) }));
    }

    #[test]
    fn a_wrong_file_says_where_and_what_is_allowed() {
        let wrong = [
            "best_of = 3\nsett = 6",
            "sides = \"double\"",
            "set = { games = 6, tie_break = { at = 6, points = 7, by = 2 } }",
            "best_of = \n",
            "best_of = 2",
            "best_of = 300",
            "[set]\ngames = \"6\"",
            "[[set]]\n",
            "set = { games = 6, tie_break = [6, 7] }",
            "like = \"drill\"\ndeuce = \"no-ad\"",
            "final_set = { match_tie_break = { points = 100 } }",
        ];
        let said: Vec<_> = wrong.map(|text| Rules::parse(text).unwrap_err().to_string()).into();
        insta::assert_snapshot!(said.join("\n"), @r#"
        line 2, column 1: there is no key "sett" here; allowed: like, play, sides, best_of, set, final_set, deuce, tie_break_ends; did you mean "set"?
        line 1, column 9: "sides": found "double"; allowed: singles, doubles, mixed-doubles; did you mean "doubles"?
        line 1, column 54: there is no key "by" here; allowed: at, points, lead
        line 1, column 11: "best_of": a value is missing here, or a text is not in quotes
        a match cannot be the best of 2 sets: 1, 3 or 5 are allowed
        line 1, column 11: "best_of": found 300; allowed: 1, 3 or 5
        line 2, column 9: "games": found "6"; allowed: a whole number from 1 to 12
        line 1, column 1: "set": found a list; allowed: a table
        line 1, column 32: "tie_break": found a list; allowed: a table
        a drill has no score, so no-ad has no meaning in it: leave it out, or set play to "match"
        a match tie-break cannot be to 100 points: 2 to 20 are allowed
        "#);
    }
}
