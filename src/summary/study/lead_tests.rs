//! The first line answers the question that was asked.

use super::test_matches::charted;
use super::{Facets, Findings, Pool, ask, named, starter};
use crate::pattern::PatternFile;
use crate::summary::Whose;

fn holt(name: &str) -> Findings {
    let pool = Pool::new((1..4).map(charted).collect());
    let questions = starter(&PatternFile::starter().unwrap().patterns);
    let facets = Facets { whose: Whose::Named("Holt".into()), ..Facets::default() };
    ask(&pool, named(&questions, name).unwrap(), &facets)
}

#[test]
fn big_points_are_asked_for_and_told() {
    let found = holt("What happens on big points?");
    let first = &found.headline[0];
    let row = &found.sections[0].rows[0];
    assert!(first.contains(&row.numbers) && first.contains(" on big points, and "), "{first}");
    assert!(found.headline[1].starts_with("on serve ") && found.headline[1].contains("; on return "));
    let serving = found.cautions.iter().find(|c| c.to_string().starts_with("serving: "));
    assert!(serving.is_some(), "serving and returning stand in one table");
}

/// The endings of a row's points are all of them.
#[test]
fn long_rallies_are_told_first_and_their_endings_add_up() {
    let found = holt("How do long rallies end?");
    assert!(found.headline[0].contains("in rallies of 9 shots or more"), "{:?}", found.headline);
    for row in &found.sections[0].rows {
        let start = format!("in rallies of {}: ", row.name);
        let Some(told) = found.headline.iter().find(|s| s.starts_with(&start)) else {
            assert!(row.tally.points.is_empty(), "{start}");
            continue;
        };
        for (part, all) in told[start.len()..].split("; ").zip([&row.tally.won, &row.tally.lost]) {
            let numbers: Vec<usize> =
                part.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse().ok()).collect();
            assert_eq!((numbers[0], numbers[1..].iter().sum()), (all.len(), all.len()), "{told}");
        }
    }
}

#[test]
fn errors_are_all_errors_with_the_unforced_ones_apart() {
    let found = holt("Which side makes the errors?");
    let (all, unforced) = (&found.sections[0].rows[0].tally, &found.sections[2].rows[0].tally);
    let rate = all.rate.unwrap();
    let said = format!("{} of {} with the forehand", rate.won, rate.of);
    assert!(found.headline[0].contains(&said), "{:?}", found.headline);
    assert!(found.headline[0].contains(&format!(", {} of them unforced", unforced.won.len())));
    assert!(unforced.won.iter().all(|at| all.won.contains(at)), "an unforced error is an error");
}

/// Of a few points it is said that nobody can tell, of which row, and how many more it takes: the same row as in the caution.
#[test]
fn too_few_is_said_of_the_row_that_is_nearest_to_a_difference() {
    let found = holt("What wins my service points?");
    let first = &found.headline[0];
    assert!(
        first.starts_with("cannot tell yet: too few points. Nearest to a difference: Holt won "),
        "{first}"
    );
    let rows = || found.sections.iter().flat_map(|s| &s.rows);
    let least = rows().min_by(|a, b| {
        let p = |r: &super::Row| r.comparison.map_or(1.0, |c| c.p);
        p(a).total_cmp(&p(b))
    });
    assert!(least.is_some_and(|r| first.contains(&r.numbers)), "{first}");
    let few = found.cautions.iter().find(|c| c.to_string().starts_with("few points: ")).unwrap();
    assert!(least.is_some_and(|r| r.title() == few.row), "{few}");
    // No row claims anything, so that no number of comparisons has made it look like something.
    assert!(!found.cautions.iter().any(|c| c.to_string().starts_with("many comparisons")));
}

/// A row of one or two points, all won or all lost, is no answer to anything while another row has more.
#[test]
fn a_row_of_a_few_points_is_not_the_one_nearest_to_a_difference() {
    let found = holt("Which patterns pay?");
    let named = |r: &&super::Row| !r.numbers.is_empty() && found.headline[0].contains(&r.numbers);
    let row = found.sections.iter().flat_map(|s| &s.rows).find(named).unwrap();
    assert!(row.tally.won.len() + row.tally.lost.len() >= 5, "{}", found.headline[0]);
}

#[test]
fn predictable_is_answered_before_the_order_of_serves() {
    let found = holt("Am I predictable on serve?");
    let first = &found.headline[0];
    let direction = first.starts_with("yes, Holt has a favourite direction: ")
        || first.starts_with("no favourite direction was found for Holt, beyond chance");
    assert!(direction && first.contains(" times of "), "{first}");
    assert!(first.ends_with("Whether one serve gives away the next: too few serves to say"), "{first}");
}
