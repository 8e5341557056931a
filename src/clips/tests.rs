use proptest::prelude::*;

use super::*;
use crate::facts::tests::{footage, point, record};

fn refs(points: &[usize]) -> Vec<PointRef> {
    points.iter().map(|p| PointRef { record: 0, point: *p }).collect()
}

fn shown(list: &ClipList) -> Vec<(String, u64, u64, Vec<usize>)> {
    let secs = |t: MatchTime| t.nanos() / 1_000_000_000;
    list.clips
        .iter()
        .map(|c| (c.file.clone(), secs(c.file_span.start()), secs(c.file_span.end()), c.points.clone()))
        .collect()
}

#[test]
fn a_point_gets_lead_in_and_lead_out() {
    let r = record("AB");
    let list = clip_list(&[&r], &refs(&[1, 0, 1]), Lead::default());
    // Points at 10–15 and 20–25 s.
    assert_eq!(shown(&list), [("match.webm".into(), 8, 16, vec![0]), ("match.webm".into(), 18, 26, vec![1])]);
    assert_eq!(list.clips[1].label, "point 2: Holt serves at 0–0, 15–0");
    assert_eq!(list.clips[1].about, "Holt serves, 15–0, ad court; Okafor wins");
}

#[test]
fn overlapping_and_touching_clips_are_joined_if_asked() {
    let r = record("ABA");
    let touch = Lead { before: Duration::from_secs(4), after: Duration::from_secs(1), merge: true };
    assert_eq!(
        shown(&clip_list(&[&r], &refs(&[0, 1, 2]), touch)),
        [("match.webm".into(), 6, 36, vec![0, 1, 2])]
    );
    let each = Lead { merge: false, ..touch };
    let name = || "match.webm".to_owned();
    assert_eq!(
        shown(&clip_list(&[&r], &refs(&[0, 1, 2]), each)),
        [(name(), 6, 16, vec![0]), (name(), 16, 26, vec![1]), (name(), 26, 36, vec![2])]
    );
}

/// In an edited film the point before may be of another match: nothing of it is shown.
#[test]
fn lead_in_and_lead_out_stop_at_the_neighbours() {
    let mut r = record("ABA");
    let secs = |s| Some(MatchTime::from_secs(s));
    (r.points[1].start, r.points[1].end) = (secs(16), secs(29));
    let list = clip_list(&[&r], &refs(&[1]), Lead { after: Duration::from_secs(3), ..Lead::default() });
    assert_eq!(shown(&list), [("match.webm".into(), 15, 30, vec![1])]);
}

#[test]
fn clips_stay_inside_the_footage_and_split_at_its_borders() {
    let mut r = record("ABAB");
    // 9–22 s, then 22–32 s, listed in the other order: point 2 (20–25 s) lies over the border.
    r.footage = vec![footage("two.webm", 22, 10), footage("one.webm", 9, 13)];
    let list = clip_list(&[&r], &refs(&[0, 1, 2, 3]), Lead::default());
    let one = |s, e, p| ("one.webm".to_owned(), s, e, p);
    let two = |s, e, p| ("two.webm".to_owned(), s, e, p);
    assert_eq!(
        shown(&list),
        [one(0, 7, vec![0]), one(9, 13, vec![1]), two(0, 4, vec![1]), two(6, 10, vec![2])]
    );
    assert_eq!(list.unreachable, [Unreachable { point: refs(&[3])[0], why: Why::NoFootage }]);
}

#[test]
fn a_file_with_only_lead_in_is_left_out() {
    let mut r = record("A");
    r.footage = vec![footage("one.webm", 0, 9), footage("two.webm", 9, 60)];
    assert_eq!(shown(&clip_list(&[&r], &refs(&[0]), Lead::default())), [("two.webm".into(), 0, 7, vec![0])]);
}

#[test]
fn what_cannot_be_shown_is_said() {
    let mut r = record("ABA");
    r.points[0].end = None;
    r.points[1].start = None;
    let mut asked = refs(&[0, 1, 7]);
    asked.push(PointRef { record: 4, point: 0 });
    let why: Vec<_> = clip_list(&[&r], &asked, Lead::default()).unreachable.iter().map(|u| u.why).collect();
    assert_eq!(why, [Why::NoTimes, Why::NoTimes, Why::NoPoint, Why::NoPoint]);
}

prop_compose! {
    fn any_record()(
        points in prop::collection::vec((0u64..400, 1u64..30), 1..25),
        files in prop::collection::vec((0u64..400, 1u64..200), 0..5),
    ) -> Record {
        let mut r = record("");
        r.points = points.iter().map(|(start, length)| {
            let mut p = point(1, 'A', None, None, &[]);
            p.start = Some(MatchTime::from_secs(*start));
            p.end = Some(MatchTime::from_secs(start + length));
            p
        }).collect();
        r.footage = files.iter().zip(0..).map(|((s, l), n)| footage(&format!("{n}.webm"), *s, *l)).collect();
        r
    }
}

proptest! {
    #[test]
    fn clips_of_a_file_never_overlap_and_all_footage_of_a_point_is_shown(
        r in any_record(), before in 0u64..40, after in 0u64..40, merge in any::<bool>(),
    ) {
        let all = refs(&(0..r.points.len()).collect::<Vec<_>>());
        let lead = Lead { before: Duration::from_secs(before), after: Duration::from_secs(after), merge };
        let list = clip_list(&[&r], &all, lead);
        for (i, x) in list.clips.iter().enumerate() {
            prop_assert_eq!(x.span.length(), x.file_span.length());
            let f = r.footage.iter().find(|f| f.file == x.file).unwrap();
            prop_assert!(x.file_span.end() <= f.duration, "outside the file");
            for y in &list.clips[i + 1..] {
                prop_assert!(!merge || x.file != y.file || x.span.joined(y.span).is_none(), "{x:?} meets {y:?}");
            }
        }
        for (n, p) in r.points.iter().enumerate() {
            let (start, end) = (p.start.unwrap(), p.end.unwrap());
            for s in (start.nanos()..end.nanos()).step_by(1_000_000_000) {
                let t = MatchTime::from_nanos(s);
                let filmed = r.footage.iter().any(|f| span_of(f).contains(t));
                let in_clip = list.clips.iter().any(|c| c.points.contains(&n) && c.span.contains(t));
                prop_assert_eq!(filmed, in_clip, "point {} at {}", n, t);
            }
            let reachable = list.clips.iter().any(|c| c.points.contains(&n));
            let listed = list.unreachable.iter().any(|u| u.point.point == n);
            prop_assert!(reachable != listed);
        }
    }
}

/// Points at 10–15, 20–25 and 30–35 s.
#[test]
fn lead_in_and_lead_out_stop_at_cuts_and_nothing_is_joined_over_one() {
    let r = record("ABA");
    let cuts = |at: &'static [u64]| move |_: &Footage| at.iter().map(|s| MatchTime::from_secs(*s)).collect();
    let wide = Lead { before: Duration::from_secs(8), after: Duration::from_secs(4), merge: true };
    let spans = |lead, at: &'static [u64]| -> Vec<_> {
        let list = clip_list_uncut(&[&r], &refs(&[0, 1, 2]), lead, &cuts(at));
        shown(&list).into_iter().map(|(_, from, to, points)| (from, to, points)).collect()
    };
    assert_eq!(spans(wide, &[]), [(2, 39, vec![0, 1, 2])]);
    assert_eq!(spans(wide, &[9, 17]), [(9, 17, vec![0]), (17, 39, vec![1, 2])]);
    assert_eq!(spans(wide, &[15, 20, 28]), [(2, 15, vec![0]), (20, 28, vec![1]), (28, 39, vec![2])]);
    let each = Lead { merge: false, ..wide };
    assert_eq!(
        spans(each, &[17, 19]),
        [(2, 17, vec![0]), (19, 29, vec![1]), (25, 39, vec![2])],
        "between two cuts nothing is shown"
    );
    assert_eq!(spans(each, &[22])[1], (15, 29, vec![1]), "a point in which the footage was cut is whole");
}
