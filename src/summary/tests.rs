use proptest::prelude::*;

use super::*;
use crate::facts::tests::{point, rally, record};
use crate::pattern::{PatternFile, parse};
use crate::record::Finish;

/// Winner, faults, finish and tags of a point.
type Told = (char, Option<u8>, Option<Finish>, &'static [&'static str]);

/// Two service games with tags, known and unknown winners.
pub(crate) fn tagged() -> Record {
    let mut r = record("");
    let all: [Told; 12] = [
        ('A', Some(0), Some(Finish::Ace), &["wide serve"]),
        ('A', Some(0), Some(Finish::Winner), &["wide serve", "open court"]),
        ('B', Some(1), Some(Finish::UnforcedError), &["body serve", "drop shot"]),
        ('A', Some(0), Some(Finish::Winner), &["wide serve", "open court"]),
        ('A', None, None, &[]),
        ('B', Some(0), Some(Finish::Winner), &["T serve"]),
        ('A', Some(2), Some(Finish::DoubleFault), &["long rally"]),
        ('?', Some(1), None, &["wide serve", "open court"]),
        ('B', Some(0), None, &["wide serve", "drop shot"]),
        ('B', Some(0), Some(Finish::ForcedError), &["body serve"]),
        ('A', Some(1), None, &[]),
        ('B', Some(0), None, &["T serve"]),
    ];
    r.points = all.iter().zip(1..).map(|((w, s, f, t), n)| point(n, *w, *s, *f, t)).collect();
    r
}

fn only(pattern: &str, whose: &Whose) -> Row {
    let p = PatternFile::starter().unwrap().named(pattern).unwrap().clone();
    summarise(&[&tagged()], &[p], whose).rows.remove(0)
}

fn numbers(refs: &[PointRef]) -> Vec<usize> {
    refs.iter().map(|r| r.point + 1).collect()
}

#[test]
fn every_point_has_its_place() {
    let row = only("Wide serve, open court", &Whose::Both);
    assert_eq!(numbers(&row.happened.points), [2, 4, 8]);
    assert_eq!(numbers(&row.happened.won), [2, 4]);
    assert_eq!(numbers(&row.happened.unknown), [8]);
    assert_eq!(numbers(&row.cannot_tell), [5, 11], "nobody tagged them");
    assert_eq!(numbers(&row.others.points), [1, 9], "other wide serves");
    let rate = row.happened.rate.unwrap();
    assert_eq!((rate.won, rate.of, rate.too_few), (2, 2, true));
}

#[test]
fn one_player_is_asked_about_on_his_own_serves() {
    // The first game ends with point 5; Okafor serves points 6 to 9 and on.
    let a = only("First serve in", &Whose::Side(Side::A));
    assert_eq!(numbers(&a.happened.points), [1, 2, 4]);
    assert_eq!(numbers(&a.others.points), [3]);
    let b = only("First serve in", &Whose::Named("OKAFOR".into()));
    assert_eq!(numbers(&b.happened.points), [6, 9, 10]);
    assert!(!Whose::Named("Nobody".into()).is_in(&tagged()));
    let none = only("First serve in", &Whose::Named("Nobody".into()));
    assert_eq!((none.happened.rate, none.happened.points.len()), (None, 0));
}

#[test]
fn compared_only_among_its_like() {
    let row = only("T serve, ad court", &Whose::Side(Side::A));
    assert!(numbers(&row.others.points).iter().all(|n| n % 2 == 0), "{row:?}");
    let p = "[[pattern]]\nname = \"x\"\nwinner = \"server\"\namong = { serve = 1 }";
    let row = summarise(&[&tagged()], &parse(p, "x").unwrap().patterns, &Whose::Both).rows.remove(0);
    assert_eq!(numbers(&row.unplaced), Vec::<usize>::new());
    assert_eq!(numbers(&row.cannot_tell), [5, 12], "the serve or the server is not known");
}

/// Shot 3 is the server's drop shot, or shot 4 the receiver's, and A wins.
#[test]
fn who_played_it_should_win() {
    let drop = |balls| rally('A', Some(Finish::Winner), balls).points.remove(0);
    let mut r = rally('A', None, "?");
    r.points = [
        drop("T / middle mid / right short drop"),
        drop("T / middle mid / right short / left short drop / left deep"),
        drop("T / middle mid / right short"),
    ]
    .into();
    let p = [PatternFile::starter().unwrap().named("Drop shot").unwrap().clone()];
    let row = |whose: &Whose| summarise(&[&r], &p, whose).rows.remove(0);
    let both = row(&Whose::Both);
    assert_eq!((numbers(&both.happened.won), numbers(&both.happened.lost)), (vec![1], vec![2]));
    assert_eq!(numbers(&both.others.unknown), [3], "nobody played one: whose win would count?");
    let b = row(&Whose::Side(Side::B));
    assert_eq!((numbers(&b.happened.lost), numbers(&b.others.lost)), (vec![2], vec![1, 3]));
}

proptest! {
    #[test]
    fn lists_part_the_points_and_counts_are_their_lengths(
        winners in "[AB?]{0,60}", faults in prop::collection::vec(prop::option::of(0u8..3), 60), who in 0..3usize,
    ) {
        let mut r = record(&winners);
        for (p, f) in r.points.iter_mut().zip(faults) {
            p.faults = f;
        }
        let patterns = PatternFile::starter().unwrap().patterns;
        let whose = [Whose::Both, Whose::Side(Side::A), Whose::Named("Okafor".into())][who].clone();
        let table = summarise(&[&r, &r], &patterns, &whose);
        prop_assert_eq!(table.points, 2 * winners.len());
        for row in table.rows {
            let mut all: Vec<PointRef> = Vec::new();
            for t in [&row.happened, &row.others] {
                prop_assert_eq!(t.points.len(), t.won.len() + t.lost.len() + t.unknown.len());
                prop_assert_eq!(t.rate.map_or(0, |r| r.of), t.won.len() + t.lost.len());
                all.extend([&t.won, &t.lost, &t.unknown].into_iter().flatten());
            }
            all.extend(row.cannot_tell.iter().chain(&row.unplaced));
            let n = all.len();
            all.sort_unstable();
            all.dedup();
            prop_assert_eq!(n, all.len(), "a point is in two lists");
            prop_assert!(n <= table.points);
        }
    }
}
