//! What to keep in mind beside a number, the most common mistake first.

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use super::many::any_false_alarm;
use super::percent::Percent;
use super::power::about;
use super::proportion::Proportion;
use super::verdict::FEW;
use super::verdict::needed;

/// Two mixes that differ by this much are mentioned (our choice).
const APART: f64 = 0.1;

/// How a comparison came about.
#[derive(Debug, Clone, Default)]
pub struct Circumstances {
    /// The points asked about.
    pub this: Proportion,
    /// What they are compared with.
    pub that: Proportion,
    /// How many such questions were asked.
    pub questions: usize,
    /// Whether the players chose when to play it, as in a match; false if it was drawn by lot.
    pub chosen: bool,
    /// Points of both by score (ahead, level, behind).
    pub score: Mixing,
    /// Points of both by opponent.
    pub opponent: Mixing,
    /// Points whose shot missed without a known aim: any of them may belong to the points asked about.
    pub missed: Proportion,
}

/// How the points of two sides are spread over groups.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Mixing {
    /// Not looked at.
    #[default]
    Unseen,
    /// Points of this and of that side, group by group.
    Seen(Vec<[usize; 2]>),
}

impl Mixing {
    /// The share of a side's points that would have to be in another group to give both sides the same mix, 0 to 1; `None` if
    /// it was not checked or a side has no points.
    pub fn apart(&self) -> Option<f64> {
        let Self::Seen(groups) = self else { return None };
        let total = |side: usize| groups.iter().map(|g| g[side]).sum::<usize>() as f64;
        let (this, that) = (total(0), total(1));
        let off: f64 = groups.iter().map(|g| (g[0] as f64 / this - g[1] as f64 / that).abs()).sum();
        (this > 0.0 && that > 0.0).then_some(off / 2.0)
    }

    /// How many groups have points.
    fn groups(&self) -> usize {
        match self {
            Self::Unseen => 0,
            Self::Seen(groups) => groups.iter().filter(|g| g[0] + g[1] > 0).count(),
        }
    }

    /// Whether the groups could explain the difference: they were not checked, or are mixed differently.
    fn may_matter(&self) -> bool {
        self.apart().is_none_or(|apart| apart >= APART)
    }
}

/// One thing to keep in mind. The variants are in the order in which they are printed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "caution", rename_all = "snake_case")]
pub enum Caution {
    /// The smaller side has too few points to see a difference of 20 percentage points.
    SmallSample {
        /// Its decided points.
        points: usize,
        /// What it would take.
        needed: usize,
    },
    /// More than one question was asked.
    ManyQuestions {
        /// How many.
        questions: usize,
        /// The probability that at least one comparison finds a difference where there is none, 0 to 1.
        alarm: f64,
    },
    /// The rate counts only shots that landed; other shots missed, and their aims are not known.
    LandedOnly {
        /// How many missed.
        missed: usize,
        /// The most by which the rate can be too high, 0 to 1: if all lost missed shots belong here, and none of the won ones.
        high: f64,
        /// The most by which the rate can be too low, 0 to 1: if all won ones belong here, and none of the lost ones.
        low: f64,
    },
    /// Points on serve and on return are in one table, and one is won more often than the other.
    Serving {
        /// The player's points on serve.
        on_serve: Proportion,
        /// The player's points on return.
        on_return: Proportion,
    },
    /// The players chose when to play it, or some points are not known.
    Selection {
        /// Whether they chose.
        chosen: bool,
        /// How many points are not known.
        unknown: usize,
    },
    /// The scores at which both were played differ for a tenth of the points or more, or were not checked.
    ScoreEffect {
        /// By how much, 0 to 1.
        apart: Option<f64>,
    },
    /// There is only one opponent, or the opponents differ for a tenth of the points or more, or were not checked.
    OpponentEffect {
        /// How many there are; 0 when not looked at.
        opponents: usize,
        /// By how much they differ, 0 to 1.
        apart: Option<f64>,
    },
}

/// The cautions that apply, in their order.
pub fn cautions(of: &Circumstances) -> Vec<Caution> {
    let points = of.this.n().min(of.that.n());
    let needed = needed(of.this, of.that).max(FEW);
    let unknown = of.this.unknown + of.that.unknown;
    let opponents = of.opponent.groups();
    [
        (points < needed).then_some(Caution::SmallSample { points, needed }),
        (of.questions > 1).then(|| Caution::ManyQuestions {
            questions: of.questions,
            alarm: any_false_alarm(of.questions),
        }),
        landed_only(of.this, of.missed),
        (of.chosen || unknown > 0).then_some(Caution::Selection { chosen: of.chosen, unknown }),
        of.score.may_matter().then(|| Caution::ScoreEffect { apart: of.score.apart() }),
        (opponents < 2 || of.opponent.may_matter())
            .then(|| Caution::OpponentEffect { opponents, apart: of.opponent.apart() }),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// How far a rate can be wrong because missed shots are left out. The missing shots can only be among its other points.
fn landed_only(this: Proportion, missed: Proportion) -> Option<Caution> {
    let n = this.n();
    if n == 0 || missed.n() == 0 {
        return None;
    }
    let rate = |won: usize, of: usize| won as f64 / of as f64;
    let seen = rate(this.won, n);
    let high = seen - rate(this.won, n + missed.lost);
    let low = rate(this.won + missed.won, n + missed.won) - seen;
    Some(Caution::LandedOnly { missed: missed.n(), high, low })
}

impl Caution {
    /// That a rate is of shots that landed, where others missed; none where none did.
    pub fn landed(this: Proportion, missed: Proportion) -> Option<Self> {
        landed_only(this, missed)
    }

    /// Its place in the order in which cautions are printed.
    pub const fn place(&self) -> usize {
        match self {
            Self::SmallSample { .. } => 0,
            Self::ManyQuestions { .. } => 1,
            Self::LandedOnly { .. } => 2,
            Self::Serving { .. } => 3,
            Self::Selection { .. } => 4,
            Self::ScoreEffect { .. } => 5,
            Self::OpponentEffect { .. } => 6,
        }
    }

    /// How many comparisons were made, if it is about that.
    pub const fn questions(&self) -> Option<usize> {
        match self {
            Self::ManyQuestions { questions, .. } => Some(*questions),
            _ => None,
        }
    }

    /// Whether a difference of rates, 0 to 1, could come from this alone: from the shots that missed.
    pub fn could_make(&self, difference: f64) -> bool {
        match *self {
            Self::LandedOnly { high, low, .. } => {
                difference > 0.0 && high >= difference || difference < 0.0 && low >= -difference
            }
            _ => false,
        }
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::SmallSample { points, needed } => few(f, points, needed),
            Self::ManyQuestions { questions, alarm } => {
                let alarm = Percent::of(alarm);
                write!(
                    f,
                    "many comparisons: among {questions}, chance alone makes at least one look like a difference \
                     {alarm} of the time"
                )
            }
            Self::LandedOnly { missed, high, low } => landed(f, missed, high, low),
            Self::Serving { on_serve, on_return } => serving(f, on_serve, on_return),
            Self::Selection { chosen, unknown } => selection(f, chosen, unknown),
            Self::ScoreEffect { apart: None } => {
                f.write_str("score: not compared; it may explain the difference")
            }
            Self::ScoreEffect { apart: Some(apart) } => {
                write!(
                    f,
                    "score: up to {} of a row's points were played at other scores than the points it is compared with; \
                     a filter by score compares like with like",
                    Percent::of(apart)
                )
            }
            Self::OpponentEffect { opponents: 1, .. } => {
                f.write_str("opponent: there is only one; against another it may be different")
            }
            Self::OpponentEffect { apart: None, .. } => {
                f.write_str("opponent: not compared; it may explain the difference")
            }
            Self::OpponentEffect { apart: Some(apart), .. } => {
                write!(
                    f,
                    "opponent: up to {} of a row's points were played against other opponents than the points it is compared with",
                    Percent::of(apart)
                )
            }
        }
    }
}

fn serving(f: &mut fmt::Formatter<'_>, on_serve: Proportion, on_return: Proportion) -> fmt::Result {
    let told = |p: Proportion| (p.won, p.n(), Percent::of(p.rate().unwrap_or(0.0)));
    let ((won, of, share), (back, returned, rate)) = (told(on_serve), told(on_return));
    write!(
        f,
        "serving: {won} of {of} points on serve were won ({share}), and {back} of {returned} on return ({rate}); each \
         comparison is made on serve and on return apart, but the rates shown are of both together"
    )
}

fn few(f: &mut fmt::Formatter<'_>, points: usize, needed: usize) -> fmt::Result {
    write!(
        f,
        "few points: the smaller of the two groups has {points}, and needs about {} to show a difference of 20 percentage points",
        about(needed)
    )
}

fn landed(f: &mut fmt::Formatter<'_>, missed: usize, high: f64, low: f64) -> fmt::Result {
    let more = match missed {
        1 => "1 more missed, and it is not known whether it belongs here".to_owned(),
        n => format!("{n} more missed, and it is not known which of them belong here"),
    };
    write!(f, "missed shots: only shots that landed are counted; {more}")?;
    let (high, low) = (Percent::up(high).whole(), Percent::up(low).whole());
    if high <= 0 && low <= 0 {
        return f.write_str(", but the rate would be the same");
    }
    f.write_str(", so the rate may be ")?;
    let lost = |f: &mut fmt::Formatter<'_>| {
        write!(f, "too high by up to {high} percentage points, if all that lost the point belong here")
    };
    let won = |f: &mut fmt::Formatter<'_>| {
        write!(f, "too low by up to {low} percentage points, if all that won it belong here")
    };
    match (high > 0, low > 0) {
        (true, true) => {
            lost(f)?;
            f.write_str(", or ")?;
            won(f)
        }
        (false, true) => won(f),
        _ => lost(f),
    }
}

fn selection(f: &mut fmt::Formatter<'_>, chosen: bool, unknown: usize) -> fmt::Result {
    f.write_str("choice: ")?;
    if chosen {
        f.write_str(
            "players choose when to play a shot, so these points may have been easier or harder than the others",
        )?;
    }
    match (chosen, unknown) {
        (_, 0) => Ok(()),
        (true, 1) => f.write_str("; 1 point is unknown"),
        (false, 1) => f.write_str("1 point is unknown and may be unlike the others"),
        (true, _) => write!(f, "; {unknown} points are unknown"),
        (false, _) => write!(f, "{unknown} points are unknown and may be unlike the others"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{near, won_of};

    fn said(of: &Circumstances) -> String {
        cautions(of).iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    }

    /// Enough points, one question, drawn by lot, the same scores and opponents.
    fn careful() -> Circumstances {
        Circumstances {
            this: won_of(100, 200),
            that: won_of(120, 200),
            questions: 1,
            chosen: false,
            score: Mixing::Seen(vec![[70, 72], [60, 58], [70, 70]]),
            opponent: Mixing::Seen(vec![[100, 105], [100, 95]]),
            missed: Proportion::default(),
        }
    }

    #[test]
    fn all_of_them_in_their_order() {
        let worst = Circumstances {
            this: Proportion { won: 3, lost: 2, unknown: 4 },
            that: won_of(3, 6),
            questions: 20,
            chosen: true,
            ..Circumstances::default()
        };
        insta::assert_snapshot!(said(&worst), @r"
        few points: the smaller of the two groups has 5, and needs about 90 to show a difference of 20 percentage points
        many comparisons: among 20, chance alone makes at least one look like a difference 64 % of the time
        choice: players choose when to play a shot, so these points may have been easier or harder than the others; 4 points are unknown
        score: not compared; it may explain the difference
        opponent: not compared; it may explain the difference
        ");
        let looked_at = Circumstances {
            score: Mixing::Seen(vec![[8, 2], [2, 8]]),
            opponent: Mixing::Seen(vec![[10, 5], [0, 5]]),
            ..careful()
        };
        insta::assert_snapshot!(said(&looked_at), @r"
        score: up to 60 % of a row's points were played at other scores than the points it is compared with; a filter by score compares like with like
        opponent: up to 50 % of a row's points were played against other opponents than the points it is compared with
        ");
    }

    #[test]
    fn each_applies_by_its_own_condition() {
        assert_eq!(cautions(&careful()), []);
        let one = |of: Circumstances| {
            let c = cautions(&of);
            assert_eq!(c.len(), 1, "{c:?}");
            c[0]
        };
        let few = one(Circumstances { this: won_of(3, 5), ..careful() });
        assert!(matches!(few, Caution::SmallSample { points: 5, .. }));
        let many = one(Circumstances { questions: 2, ..careful() });
        assert!(matches!(many, Caution::ManyQuestions { questions: 2, .. }));
        let chosen = one(Circumstances { chosen: true, ..careful() });
        assert_eq!(chosen, Caution::Selection { chosen: true, unknown: 0 });
        let lost = Proportion { unknown: 1, ..careful().this };
        let unknown = one(Circumstances { this: lost, ..careful() });
        assert_eq!(unknown.to_string(), "choice: 1 point is unknown and may be unlike the others");
        let score = one(Circumstances { score: Mixing::Unseen, ..careful() });
        assert_eq!(score, Caution::ScoreEffect { apart: None });
        let alone = one(Circumstances { opponent: Mixing::Seen(vec![[200, 200]]), ..careful() });
        assert_eq!(alone.to_string(), "opponent: there is only one; against another it may be different");
    }

    /// 30 of 40 that landed, and 10 that missed and were lost: of 50 attempts, between 30 of 40 and 30 of 50 were won.
    #[test]
    fn missed_shots_without_an_aim_lean_one_way_by_at_most_so_much() {
        let of = |missed| Circumstances { this: won_of(30, 40), that: won_of(200, 400), missed, ..careful() };
        let only =
            |missed| cautions(&of(missed)).into_iter().find(|c| matches!(c, Caution::LandedOnly { .. }));
        let said = |missed| only(missed).unwrap().to_string();
        let Some(Caution::LandedOnly { missed: 10, high, low }) = only(won_of(0, 10)) else { panic!() };
        near(high, 0.75 - 0.6, 1e-12);
        near(low, 0.0, 0.0);
        assert_eq!(
            said(won_of(0, 10)),
            "missed shots: only shots that landed are counted; 10 more missed, and it is not known which of them belong here, so the \
             rate may be too high by up to 15 percentage points, if all that lost the point belong here"
        );
        assert!(said(won_of(10, 10)).contains("too low by up to 5 percentage points, if all that won"));
        let both = said(won_of(10, 20));
        assert!(both.contains("too high by up to 15 ") && both.contains("or too low by up to 5 "), "{both}");
        assert_eq!(only(won_of(0, 0)), None);
        let all = landed_only(won_of(40, 40), won_of(1, 1)).unwrap().to_string();
        assert!(
            all.ends_with("it is not known whether it belongs here, but the rate would be the same"),
            "{all}"
        );
    }

    #[test]
    fn serving_and_returning_in_one_table_is_told_with_both_rates() {
        let told = Caution::Serving { on_serve: won_of(40, 51), on_return: won_of(21, 51) }.to_string();
        assert!(
            told.starts_with(
                "serving: 40 of 51 points on serve were won (78 %), and 21 of 51 on return (41 %)"
            ),
            "{told}"
        );
    }

    #[test]
    fn a_tenth_apart_is_worth_a_word() {
        let mixed = |a, b| Mixing::Seen(vec![[a, b], [100 - a, 100 - b]]);
        near(mixed(60, 40).apart().unwrap(), 0.2, 1e-12);
        near(mixed(50, 50).apart().unwrap(), 0.0, 0.0);
        assert!(mixed(61, 50).may_matter() && !mixed(59, 50).may_matter());
        assert_eq!(Mixing::Seen(vec![[5, 0]]).apart(), None);
        assert_eq!(Mixing::Seen(Vec::new()).apart(), None);
    }
}
