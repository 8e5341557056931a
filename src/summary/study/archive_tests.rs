//! Archives of which it is known what makes a difference: what is only who serves is no finding, and what is real is found.

use std::cmp::Ordering;

use super::test_matches::played_out;
use super::*;
use crate::evidence::{Reversal, Verdict, compare};
use crate::facts::tests::{point, record};
use crate::pattern::{PatternFile, parse};
use crate::record::Point;
use crate::summary::Whose;
use crate::summary::study::groups::of as counts;
use crate::tennis::Side;
use crate::tennis::pair::Server;
use crate::tennis::rules::Rules;

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

/// The other way round: two rates that look the same, because what wins more on serve and on return is played mostly on return.
/// It is found, and the sentence beside it has the numbers that were compared; without such a difference nothing is said.
#[test]
fn a_difference_that_serving_hides_is_found_and_told_with_its_numbers() {
    let [found, row] = tagged([(80, 100), (170, 300), (120, 300), (30, 100)]);
    assert!(row.starts_with("player A won 200 of 400 points (50 %) with “X”, and 200 of 400 points (50 %) without it; a difference"));
    assert!(row.ends_with(" more when points on serve and on return are compared apart"), "{row}");
    assert_eq!(
        found,
        "50 % were won with “X”, as of the other points, but they differ when points on serve and on return are compared apart: \
         on serve 80 of 100, and 170 of the 300 others; on return 120 of 300, and 30 of the 100 others"
    );
    // Equal within each, and not in all: the other way round, which is told too.
    let [found, row] = tagged([(60, 100), (180, 300), (120, 300), (40, 100)]);
    assert!(
        found.contains("but the difference is gone when points on serve and on return are compared apart"),
        "{found}"
    );
    assert!(row.contains("no difference found: "), "{row}");
    // Equal within each, and equal in all: no such sentence.
    let [found, row] = tagged([(50, 100), (150, 300), (150, 300), (50, 100)]);
    assert!(found.is_empty() && row.contains("no difference found: "), "{found} {row}");
}

/// Won of so many with a tag on serve and others on serve, then on return: what is told of who serves, and what the row says.
fn tagged(counts: [(usize, usize); 4]) -> [String; 2] {
    let mut r = record("");
    r.about.rules = Rules::drill();
    for (place, (won, of)) in counts.into_iter().enumerate() {
        let tags: &[&str] = if place % 2 == 0 { &["x"] } else { &[] };
        let server = if place < 2 { Server::A } else { Server::B };
        r.points.extend((0..of).map(|n| Point {
            served_by: Some(server),
            ..point(n as u64 + 1, if n < won { 'A' } else { 'B' }, None, None, tags)
        }));
    }
    let file = parse("[[pattern]]\nname = \"X\"\nwon_by = \"a\"\nhas_tag = \"x\"\n", "ours.toml").unwrap();
    let all = "[[question]]\nname = \"x\"\nof = \"player\"\npatterns = [\"X\"]\n";
    let question = questions(all, "ours.toml", &file).unwrap().remove(0);
    let facets = Facets { whose: Whose::Named("Holt".into()), ..Facets::default() };
    let found = ask(&Pool::new(vec![r]), &question, &facets);
    let row = &found.sections[0].rows[0];
    let told = row.strata.iter().find(|s| s.by == "who serves").and_then(|s| s.says.clone());
    assert!(told.iter().all(|s| found.headline.contains(s)), "{:?}", found.headline);
    [told.unwrap_or_default(), row.says.clone()]
}
