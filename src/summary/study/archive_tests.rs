//! Archives of which it is known what makes a difference: what is only who serves is no finding, and what is real is found.

use std::cmp::Ordering;

use super::test_matches::played_out;
use super::*;
use crate::evidence::{Reversal, Verdict, compare};
use crate::pattern::PatternFile;
use crate::summary::Whose;
use crate::summary::study::groups::of as counts;
use crate::tennis::Side;

/// What happens on big points, for the first-named player of 300 matches.
fn big_points(seed: u64, chance: impl Fn(Side, Ordering) -> usize + Copy) -> Findings {
    let pool = Pool::new((0..300).map(|n| played_out(seed + n, chance)).collect());
    let questions = starter(&PatternFile::starter().unwrap().patterns);
    let facets = Facets { whose: Whose::Side(Side::A), ..Facets::default() };
    ask(&pool, named(&questions, "What happens on big points?").unwrap(), &facets)
}

fn rows(found: &Findings) -> impl Iterator<Item = &Row> {
    found.sections.iter().flat_map(|s| &s.rows)
}

/// A server wins 66 of 100 points at any score, whoever it is. Pooled, a player who is behind mostly returns, and seems to win
/// less.
#[test]
fn who_serves_alone_is_no_finding() {
    let found = big_points(1, |_, _| 660);
    let is_found = |v: Verdict| matches!(v, Verdict::Difference { .. } | Verdict::Explained { .. });
    let pooled = |r: &Row| compare(counts(&r.tally), counts(&r.others)).unwrap();
    let mistaken: Vec<&Row> = rows(&found).filter(|r| pooled(r).p < 1e-6).collect();
    assert!(mistaken.len() >= 2, "pooled, the scores differ");
    // Of break points to save and other points served one comparison tells both.
    let asked = found.cautions.iter().find_map(|c| match &c.caution {
        crate::evidence::Caution::ManyQuestions { questions, .. } => Some(*questions),
        _ => None,
    });
    assert_eq!(asked, Some(6));
    assert!(found.headline[0].contains("; no difference found: "), "{:?}", found.headline);
    for row in rows(&found) {
        assert!(!is_found(row.verdict), "{}: {:?}", row.name, row.verdict);
        assert!(!matches!(row.verdict, Verdict::PerhapsChance { .. }), "{}: {:?}", row.name, row.verdict);
    }
    let by_role = |r: &Row| r.strata.iter().find(|s| s.by == "who serves").cloned();
    // Break points to save are served, and those to convert are not: they have one role, and are compared within it.
    let told: Vec<(&Row, Strata)> = mistaken.into_iter().filter_map(|r| Some((r, by_role(r)?))).collect();
    assert!(told.len() >= 2);
    for (row, by_role) in told {
        assert!(by_role.compared.reversal != Reversal::No, "{}: {:?}", row.name, by_role.compared);
        assert!(
            found.headline.iter().any(|s| s.contains("Trust the comparison by who serves")),
            "{:?}",
            found.headline
        );
    }
}

/// The same, but A wins six points in a hundred less when behind in the game, on serve and on return.
#[test]
fn a_real_difference_is_found() {
    let found = big_points(1000, |server, stands| match (server, stands) {
        (Side::A, Ordering::Less) => 600,
        (Side::B, Ordering::Greater) => 720,
        _ => 660,
    });
    let behind = rows(&found).find(|r| r.name.starts_with("behind")).unwrap();
    let Verdict::Difference { interval } = behind.verdict else { panic!("{:?}", behind.verdict) };
    assert!(interval.high < 0.0 && interval.holds(-0.06), "{interval:?}");
    assert!(found.headline.contains(&behind.says), "{:?}", found.headline);
    assert!(
        behind.says.ends_with("less when points on serve and on return are compared apart"),
        "{}",
        behind.says
    );
    assert!(!found.headline.iter().any(|s| s.contains("gone")), "{:?}", found.headline);
}

/// Strong opponents and weak ones, and no score that matters: whoever wins much is ahead more often, and has more break points
/// to convert.
#[test]
fn strong_and_weak_opponents_are_no_finding() {
    for seed in [20_000, 30_000] {
        let skill = |n: u64| 40 * (n % 9) as i64 - 160;
        let one = |n: u64, server| (640 + if server == Side::A { skill(n) } else { -skill(n) }) as usize;
        let pool = Pool::new((0..300).map(|n| played_out(seed + n, |server, _| one(n, server))).collect());
        let questions = starter(&PatternFile::starter().unwrap().patterns);
        let facets = Facets { whose: Whose::Side(Side::A), ..Facets::default() };
        let found = ask(&pool, named(&questions, "What happens on big points?").unwrap(), &facets);
        let mistaken = rows(&found).filter(|r| compare_within_roles(r).is_some_and(|c| c.p < 1e-3));
        assert!(mistaken.count() >= 1, "on serve and on return alone a score seems to matter");
        for row in rows(&found) {
            assert!(!matches!(row.verdict, Verdict::Difference { .. }), "{}: {:?}", row.name, row.verdict);
        }
    }
}

/// What points on serve and on return say of a row, all matches together.
fn compare_within_roles(row: &Row) -> Option<crate::evidence::Comparison> {
    let roles = row.strata.iter().find(|s| s.by == "who serves")?;
    let groups = &roles.compared;
    Some(crate::evidence::Comparison {
        difference: groups.difference?,
        interval: groups.difference_interval?,
        p: groups.p?,
        this: groups.this,
        that: groups.that,
    })
}
