//! A score mark as a coach types it, and back: `6–4 6–7(5)` sets, `2–1` games, `30–15` points, player A first.

use thiserror::Error;

use super::mark::{Conflict, Mark};
use super::rules::{Deuce, Play, Rules, SetForm};
use super::score::SetScore;

/// A score mark in three fields of text. All empty: no mark.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TypedMark {
    /// Sets finished: `6–4 6–7(5)`, in brackets the points of whoever lost the tie-break; `10–7` for a match tie-break.
    pub sets: String,
    /// Games of the set being played: `2–1`; empty is 0–0.
    pub games: String,
    /// Points of the game being played: `30–15`, `deuce`, `ad–40`, in a tie-break `5–3`; empty is 0–0.
    pub points: String,
}

/// Why text is no score mark.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TypedMarkError {
    /// No set.
    #[error(
        "\"{found}\" is not a finished set: write 6-4, or 7-6(5) with the points of the tie-break's loser"
    )]
    Set {
        /// What was typed.
        found: String,
    },
    /// No games.
    #[error("\"{found}\" is not a score in games: write 2-1, player A first")]
    Games {
        /// What was typed.
        found: String,
    },
    /// No points.
    #[error(
        "\"{found}\" is not a score in points: write 30-15, 40-40 or deuce, ad-40 or 40-ad, player A first"
    )]
    Points {
        /// What was typed.
        found: String,
    },
    /// No points of a tie-break.
    #[error("\"{found}\" is not a score in a tie-break: write the points, for example 5-3, player A first")]
    TieBreak {
        /// What was typed.
        found: String,
    },
    /// No match under these rules can have this score.
    #[error("the score cannot be {stated} under these rules: {why}")]
    Impossible {
        /// The score as understood.
        stated: Box<str>,
        /// What is wrong with it.
        why: &'static str,
    },
}

impl TypedMark {
    /// A mark as it would be typed.
    pub fn of(mark: Option<&Mark>, rules: Rules) -> Self {
        let Some(mark) = mark else { return Self::default() };
        let sets: Vec<String> = mark.sets.iter().map(|s| set_typed(*s)).collect();
        Self {
            sets: sets.join(" "),
            games: format!("{}–{}", mark.games[0], mark.games[1]),
            points: points_typed(mark, rules),
        }
    }

    /// The mark, or `None` when nothing was typed. Who serves and who stands where is not in it.
    ///
    /// # Errors
    /// [`TypedMarkError`]: which field, what was found there, what is allowed.
    pub fn read(&self, rules: Rules) -> Result<Option<Mark>, TypedMarkError> {
        if [&self.sets, &self.games, &self.points].iter().all(|t| t.trim().is_empty()) {
            return Ok(None);
        }
        let words = self.sets.split([' ', ',', ';']).filter(|w| !w.is_empty());
        let sets = words.enumerate().map(|(n, w)| {
            read_set(w, rules.form(n)).ok_or_else(|| TypedMarkError::Set { found: w.to_owned() })
        });
        let mut mark = Mark { sets: sets.collect::<Result<_, _>>()?, ..Mark::default() };
        mark.games = match self.games.trim() {
            "" => [0, 0],
            text => pair(text).ok_or_else(|| TypedMarkError::Games { found: text.to_owned() })?,
        };
        mark.points = read_points(self.points.trim(), counted(&mark, rules))?;
        match mark.check(rules) {
            Err(Conflict::Impossible { stated, why }) => Err(TypedMarkError::Impossible { stated, why }),
            _ => Ok(Some(mark)),
        }
    }
}

/// Whether points are counted, not called.
fn counted(mark: &Mark, rules: Rules) -> bool {
    rules.play == Play::Drill || mark.tie_break(rules).is_some()
}

/// Two numbers with a dash or a colon between.
fn pair<T: std::str::FromStr>(text: &str) -> Option<[T; 2]> {
    let (a, b) = text.split_once(['-', '–', ':'])?;
    Some([a.trim().parse().ok()?, b.trim().parse().ok()?])
}

fn set_typed(set: SetScore) -> String {
    let [a, b] = set.games;
    match set.tie_break {
        // A match tie-break: its points are the score that is called.
        Some([x, y]) if a + b == 1 => format!("{x}–{y}"),
        Some([x, y]) => format!("{a}–{b}({})", x.min(y)),
        None => format!("{a}–{b}"),
    }
}

fn read_set(text: &str, form: SetForm) -> Option<SetScore> {
    let text = text.trim_matches(['[', ']']);
    let (score, loser) = match text.strip_suffix(')') {
        Some(rest) => rest.split_once('(').map(|(s, l)| (s, Some(l)))?,
        None => (text, None),
    };
    let loser: Option<u16> = loser.map(|l| l.parse().ok()).map_or(Some(None), |l| l.map(Some))?;
    let games: [u16; 2] = pair(score)?;
    let a_won = games[0] > games[1];
    let both = |to: u8, lead: u8, lost: u16| {
        let won = u16::from(to).max(lost.saturating_add(u16::from(lead)));
        if a_won { [won, lost] } else { [lost, won] }
    };
    if let SetForm::MatchTieBreak { points } = form {
        let called = games[0].max(games[1]) > 1;
        let tie_break = if called { Some(games) } else { loser.map(|l| both(points, 2, l)) };
        return Some(SetScore { games: if a_won { [1, 0] } else { [0, 1] }, tie_break });
    }
    let SetForm::Set(set) = form else { return None };
    let tie_break = match (loser, set.tie_break) {
        (Some(lost), Some(t)) => Some(both(t.points, t.lead, lost)),
        (Some(_), None) => return None,
        (None, _) => None,
    };
    Some(SetScore { games, tie_break })
}

fn points_typed(mark: &Mark, rules: Rules) -> String {
    let [a, b] = mark.points;
    let word = |n: u16| ["0", "15", "30", "40"].get(usize::from(n)).copied().unwrap_or("40");
    match (a.min(b) >= 3, a.cmp(&b)) {
        _ if counted(mark, rules) => format!("{a}–{b}"),
        (true, std::cmp::Ordering::Equal) if rules.deuce == Deuce::NoAd => "40–40".into(),
        (true, std::cmp::Ordering::Equal) => "deuce".into(),
        (true, std::cmp::Ordering::Greater) => "ad–40".into(),
        (true, std::cmp::Ordering::Less) => "40–ad".into(),
        (false, _) => format!("{}–{}", word(a), word(b)),
    }
}

fn read_points(text: &str, counted: bool) -> Result<[u16; 2], TypedMarkError> {
    let found = text.to_owned();
    if text.is_empty() {
        return Ok([0, 0]);
    }
    if counted {
        return pair(text).ok_or(TypedMarkError::TieBreak { found });
    }
    let text = text.to_lowercase();
    if text == "deuce" {
        return Ok([3, 3]);
    }
    let called = |word: &str| match word.trim() {
        "0" => Some(0),
        "15" => Some(1),
        "30" => Some(2),
        "40" => Some(3),
        "ad" => Some(4),
        _ => None,
    };
    let both = text.split_once(['-', '–', ':']).and_then(|(a, b)| Some([called(a)?, called(b)?]));
    // Advantage is over forty alone.
    both.filter(|p| !p.contains(&4) || p.contains(&3)).ok_or(TypedMarkError::Points { found })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::End;
    use crate::tennis::Side;
    use crate::tennis::presets::PRESETS;
    use crate::tennis::scorer::Scorer;
    use crate::tennis::setup::{Played, Setup};
    use proptest::prelude::*;

    fn typed(sets: &str, games: &str, points: &str) -> TypedMark {
        TypedMark { sets: sets.into(), games: games.into(), points: points.into() }
    }

    fn read(sets: &str, games: &str, points: &str) -> Result<Option<Mark>, String> {
        typed(sets, games, points).read(Rules::best_of_three()).map_err(|e| e.to_string())
    }

    #[test]
    fn nothing_typed_is_no_mark() {
        assert_eq!(read(" ", "", "  "), Ok(None));
        assert_eq!(read("", "0-0", ""), Ok(Some(Mark::default())));
    }

    #[test]
    fn sets_games_and_points_as_they_are_called() {
        let set = |games, tie_break| SetScore { games, tie_break };
        let mark = read("6-4, 6–7(5)", "2:1", "30-15").unwrap().unwrap();
        assert_eq!(mark.sets, [set([6, 4], None), set([6, 7], Some([5, 7]))]);
        assert_eq!((mark.games, mark.points), ([2, 1], [2, 1]));
        assert_eq!(read("7-6(9)", "", "").unwrap().unwrap().sets, [set([7, 6], Some([11, 9]))]);
        for (text, points) in [("deuce", [3, 3]), ("40-40", [3, 3]), ("Ad-40", [4, 3]), ("40–ad", [3, 4])] {
            assert_eq!(read("", "1-0", text).unwrap().unwrap().points, points, "{text}");
        }
        assert_eq!(read("", "6-6", "5-3").unwrap().unwrap().points, [5, 3]);
        let rules = Rules::named("best-of-3-match-tie-break-10").unwrap();
        for last in ["10-7", "[10–7]", "1-0(7)"] {
            let mark = typed(&format!("6-4 4-6 {last}"), "", "").read(rules).unwrap().unwrap();
            assert_eq!(mark.sets[2], set([1, 0], Some([10, 7])), "{last}");
        }
    }

    #[test]
    fn what_is_no_score_is_told_in_words() {
        let cases = [
            (("six", "", ""), "\"six\" is not a finished set"),
            (("6-4(", "", ""), "\"6-4(\" is not a finished set"),
            (("6-4(x)", "", ""), "\"6-4(x)\" is not a finished set"),
            (("", "2", ""), "\"2\" is not a score in games"),
            (("", "2-1", "50-15"), "\"50-15\" is not a score in points"),
            (("", "2-1", "ad-30"), "\"ad-30\" is not a score in points"),
            (("", "6-6", "deuce"), "\"deuce\" is not a score in a tie-break"),
            (("6-5", "", ""), "under these rules: one of its finished sets cannot end with that score"),
            (("", "7-1", ""), "under these rules: the set is over at these games"),
            (("6-0 6-0", "1-0", ""), "under these rules: the match is over after its last set"),
            (("6-4(3)", "", ""), "one of its finished sets cannot end with that score"),
            (("7-6(99999)", "", ""), "is not a finished set"),
        ];
        for ((sets, games, points), wanted) in cases {
            let said = read(sets, games, points).unwrap_err();
            assert!(said.contains(wanted), "{sets:?} {games:?} {points:?}: {said}");
        }
    }

    proptest! {
        /// Any text is read or refused, and any score that play comes to is typed and read again.
        #[test]
        fn any_text_is_read_or_refused(sets in ".{0,20}", games in ".{0,8}", points in ".{0,8}") {
            let _ = typed(&sets, &games, &points).read(Rules::best_of_three());
        }

        #[test]
        fn a_score_is_read_as_it_is_typed(preset in 0..PRESETS.len(), wins in proptest::collection::vec(any::<bool>(), 0..300)) {
            let rules = PRESETS[preset].rules;
            prop_assume!(rules.play == Play::Match);
            let mut scorer = Scorer::new(Setup::new(rules, Side::A, End::Near));
            for a in wins {
                if !scorer.finished() {
                    scorer.play(&Played::won(if a { Side::A } else { Side::B }));
                }
            }
            let mut mark = scorer.stands();
            let read = TypedMark::of(Some(&mark), rules).read(rules).unwrap().unwrap();
            // However long a game went level: deuce is deuce.
            if mark.tie_break(rules).is_none() && mark.points[0].min(mark.points[1]) >= 3 {
                let level = mark.points[0].min(mark.points[1]) - 3;
                mark.points = mark.points.map(|p| p - level);
            }
            prop_assert_eq!(read, mark);
        }
    }
}
