//! Counts against a plain recount, the published reversal, and lists that part the points.

use proptest::prelude::*;

use super::test_matches::{any_facets, any_record, charted, kind, served, served_by};
use super::*;
use crate::evidence::{Reversal, Verdict, false_discovery};
use crate::facts::tests::{only, point, rally, record};
use crate::facts::{Call, PointRef};
use crate::pattern::{Answer, Condition, PatternFile};
use crate::record::{Finish, Point, Record};
use crate::summary::{Tally, Whose};
use crate::tennis::pair::Server;
use crate::tennis::stroke::ServeTo;
use crate::tennis::{CourtSide, Side};
use std::cmp::Ordering;

fn starters() -> Vec<Question> {
    starter(&PatternFile::starter().unwrap().patterns)
}

fn asked(pool: &Pool, name: &str, facets: &Facets) -> Findings {
    ask(pool, named(&starters(), name).unwrap(), facets)
}

fn own(text: &str) -> Question {
    questions(text, "ours.toml", &PatternFile::starter().unwrap()).unwrap().remove(0)
}

fn of(name: &str) -> Facets {
    Facets { whose: Whose::Named(name.into()), ..Facets::default() }
}

/// Wide 24 of 30 first serves and 5 of 10 second ones; T 9 of 11 and 16 of 30. Pooled 72.5 % against 61.0 %, and less
/// with either serve (odds ratio 0.8805, reckoned apart from this program).
#[test]
fn a_reversal_is_found_and_said() {
    let (wide, t) = (ServeTo::Wide, ServeTo::T);
    let mut points =
        [kind(wide, 0, 24, 30), kind(wide, 1, 5, 10), kind(t, 0, 9, 11), kind(t, 1, 16, 30)].concat();
    // Mixed, so that neither wins so many in a row that the match is over.
    let n = points.len();
    points = (0..n).map(|i| points[i * 50 % n]).collect();
    let pool = Pool::new(vec![served_by(Some(Server::A), &points)]);
    let question = own("[[question]]\nname = \"x\"\nof = \"player\"\nrows = [\"serve direction\"]");
    let found = ask(&pool, &question, &of("Holt"));
    let row = &found.sections[0].rows[0];
    assert_eq!((row.tally.won.len(), row.tally.points.len()), (29, 40));
    assert_eq!((row.others.won.len(), row.others.points.len()), (25, 41));
    let strata = row.strata.iter().find(|s| s.by == "kind of serve").unwrap();
    assert_eq!((strata.by, strata.compared.reversal), ("kind of serve", Reversal::Everywhere));
    assert!((strata.compared.odds_ratio.unwrap() - 0.880_514_705_882_352_9).abs() < 1e-12);
    let said = "73 % were won when the serve in play went wide, and 61 % of the other points, but it is the other way round in \
                every kind of serve. Trust the comparison by kind of serve: these points and the others were not played equally \
                often in each kind of serve";
    assert_eq!(found.headline[1], said);
    let group = |n: usize| (&strata.groups[n].this, &strata.groups[n].that);
    assert_eq!(
        strata.groups.iter().map(|g| g.name.as_str()).collect::<Vec<_>>(),
        ["first serve", "second serve"]
    );
    assert_eq!((group(0).0.won.len(), group(0).0.points.len()), (24, 30));
    assert_eq!((group(1).1.won.len(), group(1).1.points.len()), (16, 30));
}

/// Each list once, all of them together.
fn parts(lists: &[&[PointRef]]) -> Vec<PointRef> {
    let mut all = lists.concat();
    let n = all.len();
    all.sort_unstable();
    all.dedup();
    assert_eq!(n, all.len(), "a point is in two lists");
    all
}

fn holds_together(t: &Tally) {
    let mut points = t.points.clone();
    points.sort_unstable();
    assert_eq!(parts(&[&t.won, &t.lost, &t.unknown]), points);
    assert_eq!(t.rate.map_or((0, 0), |r| (r.won, r.of)), (t.won.len(), t.won.len() + t.lost.len()));
}

/// The false discovery rates once more, over every question asked: of two rows that are each other's others, one.
fn corrected(found: &Findings) {
    let asked = |s: &Section| {
        let twin =
            |n: usize| s.by != "pattern" && n > 0 && s.rows[n - 1].tally.points == s.rows[n].others.points;
        let rows = s.rows.iter().enumerate().filter(|(n, _)| !twin(*n));
        rows.filter_map(|(_, r)| r.comparison).collect::<Vec<_>>()
    };
    let p: Vec<f64> = found.sections.iter().flat_map(asked).map(|c| c.p).collect();
    let kept = false_discovery(&p);
    for row in found.sections.iter().flat_map(|s| &s.rows) {
        let Some((c, q)) = row.comparison.zip(row.discovery) else { continue };
        assert!(
            p.iter().zip(&kept).any(|(p, k)| (p - c.p).abs() < 1e-12 && (k - q).abs() < 1e-12),
            "{}",
            row.name
        );
        match row.verdict {
            Verdict::Explained { .. } => {
                assert!(matches!(Verdict::of(&c, q, p.len()), Verdict::Difference { .. }));
                assert!(row.strata.iter().any(|s| s.says.is_some()), "{}", row.name);
            }
            verdict => assert_eq!(verdict, Verdict::of(&c, q, p.len())),
        }
    }
}

/// No order among rows whose intervals overlap, nor of few points.
fn in_no_false_order(section: &Section) {
    let rate = |n: &usize| section.rows[*n].tally.rate.unwrap();
    for (n, tier) in section.tiers.tiers.iter().enumerate() {
        assert!(tier.iter().all(|r| rate(r).of >= 10));
        for worse in section.tiers.tiers.iter().skip(n + 1).flatten() {
            assert!(tier.iter().all(|better| rate(better).interval.low > rate(worse).interval.high));
        }
    }
}

/// Every point is in one cell, in none, or not known.
fn on_the_court(found: &Findings) {
    for map in &found.maps {
        map.cells.iter().for_each(|c| holds_together(&c.tally));
        let mut lists: Vec<&[PointRef]> = vec![&map.cannot_tell, &map.outside];
        lists.extend(map.cells.iter().map(|c| c.tally.points.as_slice()));
        assert_eq!(parts(&lists), found.points, "{}", map.ball);
    }
}

/// What holds of every answer.
fn sound(found: &Findings, points: usize) {
    let asked = &found.points;
    assert!(parts(&[asked, &found.left_out]).len() <= points);
    corrected(found);
    for section in &found.sections {
        in_no_false_order(section);
        for row in &section.rows {
            [&row.tally, &row.others].into_iter().for_each(holds_together);
            let of = |t: &Tally| (t.won.len(), t.lost.len());
            if let Some(c) = row.comparison {
                // Points on serve that have no others on serve are compared with nothing.
                for (p, (won, lost)) in [(c.this, of(&row.tally)), (c.that, of(&row.others))] {
                    assert!(p.n() > 0 && p.won <= won && p.lost <= lost, "{}", row.name);
                }
            }
            let all = parts(&[&row.tally.points, &row.others.points, &row.cannot_tell, &row.unplaced]);
            assert!(all.iter().all(|p| asked.contains(p)));
            for strata in &row.strata {
                assert_eq!(strata.says.is_some(), !strata.groups.is_empty());
                for g in &strata.groups {
                    [&g.this, &g.that].into_iter().for_each(holds_together);
                }
            }
        }
        if section.by != "pattern" {
            let placed = |p| section.rows.iter().any(|r| r.tally.points.contains(p));
            assert!(section.estimated.iter().all(placed), "what was estimated has a row");
            let mut lists: Vec<&[PointRef]> = vec![&section.cannot_tell, &section.outside];
            lists.extend(section.rows.iter().map(|r| r.tally.points.as_slice()));
            assert_eq!(&parts(&lists), asked, "{}", section.by);
            assert!(
                section.by == "break point"
                    || section.rows.iter().all(|r| {
                        r.tally.points.len()
                            + r.others.points.len()
                            + section.cannot_tell.len()
                            + section.outside.len()
                            == asked.len()
                    })
            );
        }
    }
    on_the_court(found);
    for mix in &found.mixes {
        assert_eq!(mix.entropy.n, mix.points.len());
        assert!(mix.points.iter().all(|p| asked.contains(p)));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Every count is the length of its list, and no point is in two: whatever is known of it.
    #[test]
    fn every_count_is_its_clips(a in any_record(), b in any_record(), facets in any_facets()) {
        let pool = Pool::new(vec![a, b]);
        for question in starters() {
            sound(&ask(&pool, &question, &facets), pool.points());
        }
    }

    /// A facet takes points away and changes nothing of those that stay.
    #[test]
    fn facets_only_leave_out(a in any_record(), facets in any_facets()) {
        let pool = Pool::new(vec![a]);
        let all = Facets { whose: facets.whose.clone(), ..Facets::default() };
        for question in starters() {
            let (few, many) = (ask(&pool, &question, &facets), ask(&pool, &question, &all));
            prop_assert!(few.points.iter().all(|p| many.points.contains(p)));
            for (s, m) in few.sections.iter().zip(&many.sections).filter(|(s, _)| s.by != "set") {
                for (row, wide) in s.rows.iter().zip(&m.rows) {
                    prop_assert!(row.tally.won.iter().all(|p| wide.tally.won.contains(p)), "{}", row.name);
                    prop_assert!(row.tally.lost.iter().all(|p| wide.tally.lost.contains(p)), "{}", row.name);
                }
            }
        }
    }

    /// A second reckoning: points of one player's serves, by the direction of the serve in play.
    #[test]
    fn the_numbers_of_a_plain_recount(a in any_record(), facets in any_facets()) {
        let pool = Pool::new(vec![a]);
        let found = asked(&pool, "What wins my service points?", &Facets { whose: Whose::Side(Side::B), ..facets.clone() });
        let (mut rows, mut all, mut left_out) = ([[0usize; 3]; 3], 0, 0);
        for f in pool.matches()[0].facts.iter().filter(|f| !f.replayed) {
            // Each `None` is a thing that is not known; each `Some(false)` says no.
            let asks = [
                f.server.map(|s| s == Side::B),
                facets.court.map_or(Some(true), |c| f.court.map(|x| x == c)),
                facets.set.map_or(Some(true), |c| f.set.map(|x| x == c)),
                // For a penalty nothing was served.
                facets.serve.map_or(Some(true), |c| if f.penalty.is_some() { Some(false) } else { f.serve.map(|x| x == c) }),
                facets.important.map_or(Some(true), |c| f.important.map(|x| x == c)),
                facets.role.map_or(Some(true), |c| f.server.map(|s| (s == Side::B) == (c == Role::Serving))),
                // On their own serve, how they stand is how the server does.
                facets.standing.map_or(Some(true), |c| f.standing.map(|x| match f.server {
                    Some(Side::A) => x.reverse() == c,
                    _ => x == c,
                }).filter(|_| f.server.is_some())),
            ];
            if asks.contains(&Some(false)) {
                continue;
            }
            if asks.contains(&None) {
                left_out += 1;
                continue;
            }
            all += 1;
            if f.penalty.is_some() {
                continue; // Nothing was served.
            }
            let Some(to) = f.shots.first().and_then(|s| s.serve_to) else { continue };
            let won = f.winner.map_or(2, |w| usize::from(w != Side::B));
            rows[to as usize][won] += 1;
        }
        prop_assert_eq!((found.points.len(), found.left_out.len()), (all, left_out));
        let section = found.sections.iter().find(|s| s.by == "serve direction").unwrap();
        for (row, [won, lost, unknown]) in section.rows.iter().zip(rows) {
            let t = &row.tally;
            prop_assert_eq!((t.won.len(), t.lost.len(), t.unknown.len()), (won, lost, unknown), "{}", &row.name);
            prop_assert_eq!(t.rate.map(|r| r.rate), (won + lost > 0).then(|| won as f64 / (won + lost) as f64));
        }
    }
}

#[test]
fn a_mix_is_of_one_player_and_says_so() {
    let pool = Pool::new((1..4).map(charted).collect());
    let name = "Am I predictable on serve?";
    let both = asked(&pool, name, &Facets::default());
    assert!(both.mixes.is_empty());
    assert!(both.headline.iter().any(|s| s.contains("choose one player")), "{:?}", both.headline);
    let one = asked(&pool, name, &of("Holt"));
    assert_eq!(one.mixes.len(), 4);
    for (mix, section) in one.mixes.iter().zip(&one.sections) {
        assert_eq!(mix.of, section.by);
        assert_eq!(mix.points.len(), section.rows.iter().map(|r| r.tally.points.len()).sum::<usize>());
        // Every point is served once: first serves that were faults are not known, second serves only after one.
        assert!(mix.knowing_last.unwrap().n < mix.points.len());
    }
}

/// Two serves in a row are a pair only where nothing between them is unknown or left out.
#[test]
fn a_stretch_ends_where_something_is_not_known() {
    let (wide, t) = (ServeTo::Wide, ServeTo::T);
    // Holt wins his first game to love: deuce court wide, T (lost to the ad court between).
    let first = [(wide, 0, true), (t, 0, true), (wide, 0, true), (t, 0, true)];
    let pool = Pool::new(vec![served(&first)]);
    let found = asked(&pool, "Am I predictable on serve?", &of("Holt"));
    let deuce = &found.mixes[0];
    assert_eq!(
        (deuce.points.len(), deuce.knowing_last.unwrap().n),
        (2, 1),
        "one pair: the first and third point"
    );
    assert!(deuce.entropy.bits.abs() < 1e-12, "one direction is no mix");
    let facets = Facets { score: Some(Call::points(2, 0)), ..of("Holt") };
    let found = asked(&pool, "Am I predictable on serve?", &facets);
    assert_eq!((found.mixes[0].points.len(), found.mixes[0].knowing_last), (1, None));
    // The serve of the third point is not known.
    let mut r = served(&[first, first, first].concat());
    r.points[2].shots.clear();
    r.points[2].finish = None;
    let found = asked(&Pool::new(vec![r]), "Am I predictable on serve?", &of("Holt"));
    let deuce = &found.mixes[0];
    // Points 1, 9 and 11: Okafor serves the second game.
    assert_eq!((deuce.points.len(), deuce.knowing_last.unwrap().n), (3, 1));
}

/// The window asks in a thread of its own.
#[test]
fn questions_go_to_other_threads() {
    const fn goes<T: Send + Sync + 'static>() {}
    goes::<(Pool, Question, Facets, Findings)>();
}

#[test]
fn a_pool_names_its_players_and_takes_an_edit() {
    let mut pool = Pool::new(vec![record("AB"), record("B")]);
    assert_eq!((pool.players(), pool.points()), (vec!["Holt".into(), "Okafor".into()], 3));
    let mut edited = record("BBB");
    edited.about.a.name = "Reyes".into();
    pool.put(1, edited);
    assert_eq!((pool.players().len(), pool.points(), pool.records().len()), (3, 5, 2));
    let found = asked(&pool, "What happens on big points?", &of("REYES"));
    assert_eq!(found.looked_at, "REYES, all points");
    assert!(found.points.iter().all(|p| p.record == 1) && found.points.len() == 3);
    let found = asked(&pool, "What happens on big points?", &Facets { record: Some(0), ..Facets::default() });
    assert_eq!(
        (found.points.len(), found.looked_at.as_str()),
        (2, "both players, seen from the server, match 1")
    );
}

/// What the file with the sample says of itself is what there is.
#[test]
fn the_sample_questions_name_every_word() {
    const SAMPLE: &str = include_str!("../../../sample-tags/own-questions.toml");
    let all = questions(SAMPLE, "own-questions.toml", &PatternFile::starter().unwrap()).unwrap();
    assert_eq!(all.len(), 3);
    let pool = Pool::new((1..3).map(charted).collect());
    for question in &all {
        sound(&ask(&pool, question, &of("Okafor")), pool.points());
    }
    let words = (By::WORDS.iter().map(|w| w.0))
        .chain(MapOf::WORDS.iter().map(|w| w.0))
        .chain(Counts::WORDS.iter().map(|w| w.0))
        .chain(Part::WORDS.iter().map(|w| w.0));
    for word in words {
        assert!(SAMPLE.contains(&format!("\"{word}\"")), "the sample does not name \"{word}\"");
    }
}

#[test]
fn a_mistake_is_named_with_its_place_and_remedy() {
    let wrong =
        |text: &str| questions(text, "ours.toml", &PatternFile::starter().unwrap()).unwrap_err().to_string();
    let head = "[[question]]\nname = \"x\"\n";
    insta::assert_snapshot!(wrong(&format!("{head}rows = [\"serve dirction\"]")), @r#"ours.toml, line 3, column 9: "rows" cannot be "serve dirction"; allowed: "serve number", "serve direction", "first serve, deuce court", "first serve, ad court", "second serve, deuce court", "second serve, ad court", "court", "return depth", "return direction", "return side", "serve plus one", "rally length", "side of the last shot", "stroke of the last shot", "set", "score in the game", "big points", "break point", "tie-break"; did you mean "serve direction"?"#);
    insta::assert_snapshot!(wrong(&format!("{head}row = [\"court\"]")), @r#"ours.toml, line 3, column 1: there is no key "row" here; allowed: name, about, of, rows, counts, patterns, among, court, mix; did you mean "rows"?"#);
    insta::assert_snapshot!(wrong(&format!("{head}of = \"server\"")), @r#"ours.toml, line 2, column 8: question "x" has no rows: give "rows" or "patterns""#);
    insta::assert_snapshot!(wrong(&format!("{head}patterns = [\"Drop shop\"]")).chars().take(90).collect::<String>(), @r#"ours.toml, line 3, column 13: there is no pattern "Drop shop" in starter-patterns.toml; it"#);
    insta::assert_snapshot!(wrong(&format!("{head}of = \"player\"\nmix = true\nrows = [\"court\"]")), @r#"ours.toml, line 2, column 8: question "x" asks for the mix of serves: its "of" must be "server""#);
    insta::assert_snapshot!(wrong(&format!("{head}rows = [\"court\"]\n{head}rows = [\"set\"]")), @r#"ours.toml, line 5, column 8: question "x" is there already"#);
    insta::assert_snapshot!(wrong("question = 3"), @r#"ours.toml, line 1, column 12: "question": found 3; allowed: a list in brackets [ ]"#);
    assert!(named(&starters(), "which patterns pay").is_ok(), "without the question mark");
    insta::assert_snapshot!(named(&starters(), "which patterns pays?").unwrap_err().to_string().chars().take(70).collect::<String>(), @r#"there is no question "which patterns pays?"; allowed: "What wins my se"#);
}

/// Where a point belongs, told apart by one fact: the place of its row, none of them, or not known.
#[test]
fn what_was_not_struck_is_in_no_row_and_what_was_not_seen_is_unknown() {
    use super::by::Value::{Is, Outside, Unknown};
    let value = |by: By, finish, balls: &str| by.of(&only(&rally('A', finish, balls)), Some(Side::A));
    let (won, missed) = (Some(Finish::Winner), Some(Finish::UnforcedError));
    let played = "T / middle deep bh / left short fh / right mid fh volley";
    for (by, finish, balls, wanted) in [
        (By::ServeNumber, won, played, Is(0)),
        (By::ServeDirection, won, played, Is(2)),
        (By::ServeDirection, won, "? / middle", Unknown),
        (By::ReturnDepth, won, played, Is(2)),
        (By::ReturnThird, won, played, Is(1)),
        (By::ReturnWing, won, played, Is(1)),
        (By::ReturnDepth, Some(Finish::Ace), "T", Outside),
        (By::ReturnDepth, missed, "T / middle deep bh", Outside),
        (By::ReturnWing, missed, "T / middle deep bh", Is(1)),
        (By::ReturnDepth, None, "T / middle deep bh", Is(2)),
        (By::PlusOne, won, "T / middle deep", Outside),
        (By::Rally, won, played, Is(0)),
        (By::Rally, won, "T / ? / ? / ? / ?", Is(1)),
        (By::LastWing, won, played, Is(0)),
        (By::LastStroke, won, played, Is(1)),
        (By::LastWing, Some(Finish::Ace), "T", Outside),
        (By::Standing, won, played, Is(1)),
        (By::Set, won, played, Is(0)),
        (By::Tried(1, CourtSide::Deuce), won, played, Is(2)),
        (By::Tried(1, CourtSide::Ad), won, played, Outside),
        (By::Tried(2, CourtSide::Deuce), won, played, Outside),
    ] {
        assert_eq!(value(by, finish, balls), wanted, "{by:?}: {balls}");
    }
    let mut open = rally('A', won, played);
    open.points[0].logged = Some(crate::record::Logged::Opening);
    open.points[0].shots.truncate(2);
    let depth = By::ReturnDepth.of(&only(&open), None);
    assert_eq!(depth, Is(2), "the return landed, whatever came after it");
    open.points[0].logged = None;
    let f = only(&open);
    assert_eq!(
        [By::Rally, By::LastWing].map(|by| by.of(&f, None)),
        [Unknown; 2],
        "there may have been more balls"
    );
}

/// Nobody measured where the receiver stood: open court and behind follow from where the serve landed.
#[test]
fn what_was_estimated_is_listed() {
    let balls = "wide / middle deep bh / right short fh";
    let pool = Pool::new(vec![rally('A', Some(Finish::Winner), balls)]);
    let found = asked(&pool, "What wins my service points?", &Facets::default());
    let estimated: Vec<_> = found.sections.iter().map(|s| (s.by.as_str(), s.estimated.len())).collect();
    assert_eq!(estimated, [("serve number", 0), ("serve direction", 0), ("serve plus one", 1)]);
}

/// The cells as the striker sees them, whichever end that is.
#[test]
fn a_ball_is_in_its_cell() {
    let pool = Pool::new(vec![rally('A', Some(Finish::Winner), "T / left deep bh / left short fh")]);
    let lands = |name: &str, ball: &str| {
        let found = asked(&pool, name, &Facets::default());
        let map = found.maps.into_iter().find(|m| m.ball == ball).unwrap();
        map.cells.into_iter().filter(|c| !c.tally.points.is_empty()).map(|c| c.name).collect::<Vec<_>>()
    };
    assert_eq!(lands("What wins my service points?", "serve in play"), ["deuce court, T"]);
    // The camera's left is the right of the receiver at the far end.
    assert_eq!(lands("How do I return?", "return"), ["deep, right"]);
    assert_eq!(lands("What wins my service points?", "serve plus one"), ["short, left"]);
}

/// Winning is one thing, how it ended another.
#[test]
fn errors_and_winners_are_counted_for_their_own() {
    let error = |finish, side| {
        Counts::Error.answer(&only(&rally('A', finish, "T / left deep / left short")), Some(side)).word()
    };
    assert_eq!(error(Some(Finish::UnforcedError), Side::B), "yes");
    assert_eq!(error(Some(Finish::ForcedError), Side::B), "yes", "forced or not");
    assert_eq!(error(Some(Finish::ForcedError), Side::A), "no", "it is the opponent's");
    assert_eq!(error(Some(Finish::Winner), Side::A), "no");

    let counts = |finish, side| {
        let f = only(&rally('A', finish, "T / left deep / left short"));
        [Counts::Won, Counts::Winner, Counts::UnforcedError].map(|c| c.answer(&f, side).word())
    };
    assert_eq!(counts(Some(Finish::Winner), Some(Side::A)), ["yes", "yes", "no"]);
    assert_eq!(counts(Some(Finish::Winner), Some(Side::B)), ["no", "no", "no"]);
    assert_eq!(counts(Some(Finish::UnforcedError), Some(Side::B)), ["no", "no", "yes"]);
    assert_eq!(counts(Some(Finish::ForcedError), Some(Side::B)), ["no", "no", "no"]);
    assert_eq!(counts(None, Some(Side::A)), ["yes", "unknown", "unknown"], "nobody noted how it ended");
    assert_eq!(counts(Some(Finish::Winner), None), ["unknown", "unknown", "unknown"]);
    assert_eq!(
        counts(Some(Finish::ForcedError), None),
        ["unknown", "unknown", "unknown"],
        "or the others would be more"
    );
    // An ace is no winner, and a double fault no unforced error: the same words mean the same in the match in numbers.
    let short = |finish, serve| {
        let f = only(&rally('A', Some(finish), serve));
        [Counts::Won, Counts::Winner, Counts::UnforcedError].map(|c| c.answer(&f, Some(Side::A)).word())
    };
    assert_eq!(short(Finish::Ace, "T"), ["yes", "no", "no"]);
    let mut lost = rally('B', Some(Finish::DoubleFault), "");
    (lost.points[0].faults, lost.points[0].shots) = (Some(2), Vec::new());
    assert_eq!(Counts::UnforcedError.answer(&only(&lost), Some(Side::A)).word(), "no");
    // A serve that did not come back is noted to be one: the receiver missed, forced or not.
    let mut back = rally('A', None, "T");
    (back.points[0].unreturned, back.points[0].logged) = (true, None);
    let of =
        |side| [Counts::Winner, Counts::UnforcedError].map(|c| c.answer(&only(&back), Some(side)).word());
    assert_eq!((of(Side::A), of(Side::B)), (["no", "no"], ["no", "unknown"]));
}

/// Ahead for the one is behind for the other, whoever serves.
#[test]
fn one_stands_in_the_game_as_oneself() {
    use super::by::Value::Is;
    let pool = Pool::new(vec![record("AAB")]);
    let second = &pool.matches()[0].facts[1];
    let stands = |side| By::Standing.of(second, side);
    assert_eq!([stands(Some(Side::A)), stands(Some(Side::B)), stands(None)], [Is(2), Is(0), Is(2)]);
    let ahead = |name: &str| {
        let facets = Facets { standing: Some(Ordering::Greater), ..of(name) };
        asked(&pool, "What happens on big points?", &facets).points.len()
    };
    assert_eq!((ahead("Holt"), ahead("Okafor")), (2, 0));
}

/// Two of three break points served are saved, one of two converted: put together they would say nothing of either.
#[test]
fn break_points_are_saved_or_converted() {
    // Holt is broken with the third chance; then he breaks with the second.
    let pool = Pool::new(vec![record("BBBAABAAABA")]);
    let found = asked(&pool, "What happens on big points?", &of("Holt"));
    let section = found.sections.iter().find(|s| s.by == "break point").unwrap();
    let row = |n: usize| (section.rows[n].tally.won.len(), section.rows[n].tally.points.len());
    assert_eq!((row(0), row(2)), ((2, 3), (1, 2)));
    assert_eq!(section.rows[2].others.points, section.rows[3].tally.points, "points returned");
    // Enough of each, and serving wins far more: still no order of points served and points returned.
    let pool = Pool::new(vec![record(&"AAAA".repeat(12))]);
    let found = asked(&pool, "What happens on big points?", &of("Holt"));
    let section = found.sections.iter().find(|s| s.by == "break point").unwrap();
    assert_eq!((section.order(), section.tiers.tiers.len()), (None, 0));
}

/// Twenty double faults are twenty points lost, and nothing is learned from that.
#[test]
fn what_is_so_by_definition_is_no_finding() {
    let mut r = record(&"AABABBAB".repeat(12));
    for f in crate::facts::facts(&r) {
        let point = &mut r.points[f.number];
        point.finish = Some(if f.winner == f.server { Finish::Winner } else { Finish::DoubleFault });
        point.faults = Some(if f.winner == f.server { 0 } else { 2 });
    }
    let found = asked(&Pool::new(vec![r]), "Which patterns pay?", &Facets::default());
    let given = found.sections[0].rows.iter().find(|r| r.name == "Errors by the server").unwrap();
    assert!(given.tally.points.len() > 20 && given.verdict == Verdict::ByDefinition);
    assert!(!found.headline[0].starts_with("Given away"), "{:?}", found.headline);
}

/// Backhand returns lost all four, the other seven were all won: small, but hardly chance (p = 1/330, mid-p half of it).
#[test]
fn a_small_sample_that_is_lopsided_is_said_to_be() {
    let mut r = record("");
    for n in 1..=11u64 {
        let backhand = n <= 4;
        let mut one = rally(
            if backhand { 'A' } else { 'B' },
            Some(Finish::Winner),
            if backhand { "T / left deep bh" } else { "T / left deep fh" },
        );
        one.points[0].served_by = Some(Server::A);
        one.points[0].start = None;
        one.points[0].end = None;
        r.points.extend(one.points);
    }
    let question = own("[[question]]\nname = \"x\"\nof = \"receiver\"\nrows = [\"return side\"]");
    let found = ask(&Pool::new(vec![r]), &question, &Facets::default());
    let row = found.sections[0].rows.iter().find(|r| r.name == "backhand").unwrap();
    assert_eq!(row.verdict, Verdict::Lopsided { points: 4 });
    assert!((row.comparison.unwrap().p - 0.5 / 330.0).abs() < 1e-12);
    let said = "the receiver won 0 of 4 points when the return was a backhand, and 7 of 7 points when it was a forehand; a small sample, but lopsided: \
                watch the 4 points";
    assert_eq!(row.says, said);
}

/// A point penalty, a point that was played again and one that was joined late, whatever else the record says of them: in no row that
/// is told by a serve or by the number of a shot, and none is said to lack what was never there.
#[test]
fn what_was_not_played_or_not_seen_is_nowhere_it_does_not_belong() {
    let played = rally('A', Some(Finish::Winner), "T / middle deep bh / left short fh").points.remove(0);
    let at = |n: u64, p: Point| Point { start: point(n, 'A', None, None, &[]).start, end: None, ..p };
    for faults in [None, Some(0), Some(1)] {
        let mut r = record("");
        let penalty = Point { penalty: Some(Side::B), winner: Some(Side::A), faults, ..Point::default() };
        let late = Point { joined_late: true, faults: None, ..played.clone() };
        let again = Point { replayed: true, faults, ..played.clone() };
        r.points = vec![at(1, played.clone()), at(2, penalty), at(3, again), at(4, late)].into();
        let (penalty, again, late) = (1, 2, 3);
        let pool = Pool::new(vec![r]);
        let has = |list: &[PointRef], point| list.iter().any(|at| at.point == point);
        for serve in [None, Some(1), Some(2)] {
            let facets = Facets { serve, ..of("Holt") };
            for question in starters() {
                let found = ask(&pool, &question, &facets);
                assert!(!has(&found.points, again) && !has(&found.left_out, again), "{}", question.name);
                assert!(serve.is_none() || !has(&found.points, penalty), "{}", question.name);
                assert!(
                    !has(&found.left_out, penalty),
                    "{}, serve {serve:?}, faults {faults:?}",
                    question.name
                );
                for section in found.sections.iter().filter(|s| s.by != "rally length") {
                    // A penalty has a score, and a pattern may ask for a shot without its number.
                    let told = ["pattern", "big points", "break point", "score in the game"];
                    let told = told.contains(&section.by.as_str());
                    for row in section.rows.iter().filter(|_| !told) {
                        assert!(!has(&row.tally.points, penalty), "{}: {}", question.name, row.name);
                        let last = section.by.contains("last shot");
                        assert!(last || !has(&row.tally.points, late), "{}: {}", question.name, row.name);
                    }
                }
                for map in &found.maps {
                    let shown = |point| map.cells.iter().any(|c| has(&c.tally.points, point));
                    // The fault before it was served, somewhere.
                    let tried = faults == Some(1) && map.ball == "first serve, in or out";
                    assert!(!shown(penalty), "{}", map.ball);
                    assert!(tried || !has(&map.cannot_tell, penalty), "{}, faults {faults:?}", map.ball);
                    assert!(!shown(late) || map.ball == "last shot", "{}", map.ball);
                }
            }
        }
        for (of, list) in [(1, "first serve"), (2, "second serve")] {
            let f = &pool.matches()[0].facts[penalty];
            assert_eq!(Condition::Serve(of).answer(f), Answer::No, "{list}, faults {faults:?}");
        }
    }
}

/// A point penalty between two serves to one court: the second one still follows the first.
#[test]
fn a_penalty_breaks_no_habit() {
    let alternating: Vec<_> = (0..40).map(|n| (ServeTo::T, 0, n % 2 == 0)).collect();
    let mut r = served(&alternating);
    let pairs = |r: &Record| {
        let found = asked(&Pool::new(vec![r.clone()]), "Am I predictable on serve?", &of("Holt"));
        found.mixes[0].knowing_last.unwrap().n
    };
    assert_eq!(pairs(&r), 19, "20 serves to the deuce court");
    let p = &mut r.points[2];
    (p.shots, p.finish, p.faults, p.logged, p.penalty) = (Vec::new(), None, None, None, Some(Side::B));
    assert_eq!(pairs(&r), 18, "19 serves");
}

/// A point that contradicts itself counts as it was logged, and is told; one of other points is not.
#[test]
fn a_contradiction_is_told_beside_the_answer() {
    let mut r = record("AAAABBBB");
    r.points[1].finish = Some(Finish::DoubleFault);
    let doubtful = |r: &Record, facets: &Facets| {
        let found = asked(&Pool::new(vec![r.clone()]), "What wins my service points?", facets);
        assert!(found.doubtful.iter().all(|at| found.points.contains(at)));
        assert_eq!(found.counted().doubtful, found.doubtful.len());
        found.doubtful
    };
    assert_eq!(doubtful(&r, &of("Holt")), [PointRef { record: 0, point: 1 }]);
    assert_eq!(doubtful(&r, &of("Okafor")), []);
    r.points[1].finish = None;
    assert_eq!(doubtful(&r, &of("Holt")), []);
}
