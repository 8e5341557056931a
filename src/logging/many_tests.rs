//! Footage of points of many matches, and an edited match, logged by keys: every fact, pattern and clip is the truth's, and unknown
//! where the footage does not show it.

use super::*;
use crate::clips::{Lead, clip_list_uncut};
use crate::demo::{PointsTruth, SeenPoint, logged_points, points_truth, whole_points};
use crate::facts::{Fact, PointFacts, PointRef, ShotFacts};
use crate::pattern::{Answer, PatternFile, answer};
use crate::record::{Edit, Footage};
use crate::tennis::{CourtSide, End, Side};

fn demo(number: u64) -> Demo {
    Demo { number, brisk: true, ..Demo::default() }
}

/// The seen part of a point, in the form of a whole one, from which keys are made.
fn part(whole: &Played, seen: &SeenPoint) -> Played {
    let mut played = whole.clone();
    played.span = seen.span;
    played.strikes.retain(|s| s.time >= seen.span.start() && s.time < seen.span.end());
    played
}

/// One press for the first answer, two for the second.
fn cycled(key: &'static str, second: bool, seen: MatchTime) -> Vec<Cue> {
    vec![Cue { key, seen }; 1 + usize::from(second)]
}

/// The keys of a point as far as it is seen.
fn keys(whole: &Played, seen: &SeenPoint, logged: &Point) -> Vec<Cue> {
    let (start, end) = (seen.span.start(), seen.span.end());
    let mut cues = vec![Cue { key: if seen.joined_late { "ctrl+j" } else { "s" }, seen: start }];
    if let Some(first) = logged.first_by {
        cues.extend(cycled("shift+F8", first == Side::B, start));
    }
    if let (Some(server), Some(from), Some(court)) = (seen.server, seen.server_end, seen.court_side) {
        cues.extend(cycled("F8", server == Side::B, start));
        cues.extend(cycled("F9", from == End::Far, start));
        cues.extend(cycled("shift+F9", court == CourtSide::Ad, start));
    }
    let mut rally = keys_of(&part(whole, seen), logged, Detail::All, false, false);
    if seen.left_early {
        rally.retain(|c| !matches!(c.key, "1" | "2"));
        rally.push(Cue { key: "ctrl+shift+j", seen: end });
    }
    cues.extend(rally);
    cues
}

/// Who plays is what the window's dialog says for the first point of each match; a key says it for those after it. The score of each
/// point is its own.
fn name_players(typist: &mut Typist, n: usize, want: &Point) {
    let same = |p: &Point| p.source.as_ref().map(|s| (s.a.clone(), s.b.clone(), s.event.clone()));
    assert_eq!(typist.said, Vec::<String>::new(), "point {}", n + 1);
    if n > 0 && same(&typist.record.points[n - 1]) == same(want) {
        typist.press("ctrl+b", MatchTime::ZERO);
    }
    let mut point = typist.record.points[n].clone();
    if point.source.is_some() {
        assert_eq!(same(&point), same(want));
    }
    point.source.clone_from(&want.source);
    drop(typist.record.apply(Edit::SetPoint { at: n, point }).unwrap());
}

fn typed(truth: &PointsTruth, whole: &[Played], wanted: &Record) -> Record {
    let mut typist = Typist::default();
    (typist.record.about, typist.record.people) = (wanted.about.clone(), wanted.people.clone());
    typist.press("alt+f", MatchTime::ZERO);
    typist.press("alt+g", MatchTime::ZERO);
    for (n, ((whole, seen), want)) in whole.iter().zip(&truth.points).zip(&wanted.points).enumerate() {
        for cue in keys(whole, seen, want) {
            typist.press(cue.key, cue.seen);
        }
        name_players(&mut typist, n, want);
    }
    assert_eq!(typist.said, Vec::<String>::new());
    let mut record = typist.record;
    for shot in record.points.iter_mut().flat_map(|p| &mut p.shots) {
        // The truth names no wing of an overhead.
        shot.wing = shot.wing.filter(|_| shot.stroke != Some(Stroke::Overhead));
    }
    record
}

fn without_aims(mut record: Record) -> Record {
    for point in &mut record.points {
        for shot in point.shots.iter_mut().chain(&mut point.serves_out) {
            (shot.aim, shot.fault) = (None, None);
        }
    }
    record
}

/// The same points with nothing hidden.
fn open(truth: &PointsTruth, whole: &[Played]) -> Record {
    let points = truth.points.iter().zip(whole).map(|(seen, whole)| SeenPoint {
        span: whole.span,
        joined_late: false,
        left_early: false,
        server: Some(whole.server),
        court_side: Some(whole.court_side),
        server_end: Some(whole.server_end),
        called: Some(whole.score.called.clone()),
        strikes: whole.strikes.clone(),
        winner: Some(whole.winner),
        ending: Some(whole.ending),
        ..seen.clone()
    });
    without_aims(logged_points(&PointsTruth { points: points.collect(), ..truth.clone() }))
}

/// Known and the same, or unknown; gives how many of the fields are unknown though the whole point knows them.
macro_rules! known_or_same {
    ($part:expr, $whole:expr, $what:expr, $($field:ident)*) => {
        0 $(+ {
            assert!($part.$field.is_none() || $part.$field == $whole.$field, "{}: {} is {:?}, in truth {:?}",
                $what, stringify!($field), $part.$field, $whole.$field);
            usize::from($part.$field.is_none() && $whole.$field.is_some())
        })*
    };
}

/// What is told by the next shot is only estimated without it, and marked so.
fn estimate_or_same<T: PartialEq + std::fmt::Debug>(
    part: Option<&Fact<T>>,
    whole: Option<&Fact<T>>,
    what: &str,
) -> usize {
    match (part, whole) {
        (Some(p), Some(w)) => assert!(p == w || p.estimated && !w.estimated, "{what}: {p:?}, in truth {w:?}"),
        (p, w) => assert!(p.is_none(), "{what}: {p:?}, in truth {w:?}"),
    }
    usize::from(part.is_none() && whole.is_some())
}

fn shot_agrees(part: &ShotFacts, whole: &ShotFacts, what: &str) -> usize {
    estimate_or_same(part.target.as_ref(), whole.target.as_ref(), what)
        + estimate_or_same(part.lane.as_ref(), whole.lane.as_ref(), what)
        + estimate_or_same(part.goes.as_ref(), whole.goes.as_ref(), what)
        + estimate_or_same(part.push.as_ref(), whole.push.as_ref(), what)
        + known_or_same!(part, whole, what, by end stroke volley wing spin pace approach at_net net_cord column direction depth
            serve_to inside opponent_deep opponent_leaving missed)
}

fn point_agrees(part: &PointFacts, whole: &PointFacts, skipped: usize, what: &str) -> usize {
    let mut hidden = known_or_same!(part, whole, what, called server court server_end serve length winner finish finish_by miss
        unreturned break_point game_point set_point match_point important standing);
    for (n, shot) in part.shots.iter().enumerate() {
        hidden += shot_agrees(shot, &whole.shots[n + skipped], &format!("{what}, shot {}", n + 1));
    }
    hidden
}

const NUMBERS: [u64; 3] = [1, 2, 5];

#[test]
fn points_of_five_matches_logged_by_keys_are_what_was_seen_and_nothing_else() {
    for number in NUMBERS {
        let truth = points_truth(&demo(number), 5).unwrap();
        let whole = whole_points(&demo(number), 5);
        let wanted = without_aims(logged_points(&truth));
        let logged = typed(&truth, &whole, &wanted);
        same(&logged, &wanted, Detail::All);
        assert_eq!(logged.people, wanted.people);
        for ((l, w), seen) in logged.points.iter().zip(&wanted.points).zip(&truth.points) {
            assert_eq!((l.start, l.end), (w.start, w.end));
            assert_eq!(l.source, w.source);
            assert_eq!((l.joined_late, l.left_early), (seen.joined_late, seen.left_early));
        }
    }
}

/// What is said of a part of a point is said of the whole of it too, or is unknown; of a point that is seen whole it is the same.
#[test]
fn facts_and_patterns_of_what_is_hidden_are_unknown_and_the_others_are_the_truth() {
    let patterns = PatternFile::starter().unwrap();
    let (mut known, mut unknown, mut hidden) = (0, 0, 0);
    for number in NUMBERS {
        let truth = points_truth(&demo(number), 5).unwrap();
        let whole = whole_points(&demo(number), 5);
        let part = facts(&typed(&truth, &whole, &without_aims(logged_points(&truth))));
        let all = facts(&open(&truth, &whole));
        for (((p, w), seen), played) in part.iter().zip(&all).zip(&truth.points).zip(&whole) {
            let what = format!("number {number}, point {}", seen.number);
            let before = |s: &&Strike| s.shot.is_some() && s.time < seen.span.start();
            let skipped = played.strikes.iter().filter(before).count();
            let here = point_agrees(p, w, skipped, &what);
            let is_part = seen.joined_late || seen.left_early;
            assert_eq!(here > 0, is_part, "{what}: {here} facts are hidden");
            hidden += here;
            assert_eq!((p.length.is_none(), p.winner.is_none()), (is_part, seen.left_early), "{what}");
            if seen.joined_late {
                assert_eq!((p.serve, p.serves, p.server, p.called), (None, [None; 2], None, None), "{what}");
            }
            for pattern in &patterns.patterns {
                let (a, truth) = (answer(pattern, p), answer(pattern, w));
                assert!(
                    a == Answer::Unknown && is_part || a == truth,
                    "{what}: {} is {a:?}, in truth {truth:?}",
                    pattern.name
                );
                *(if a == Answer::Unknown { &mut unknown } else { &mut known }) += 1;
            }
        }
    }
    println!("{known} answers are the truth’s, {unknown} are unknown; {hidden} facts are hidden");
    assert!(known > 500 && unknown > 100 && hidden > 100, "{known}, {unknown}, {hidden}");
}

fn with_footage(mut record: Record, file: &crate::demo::truth::File) -> Record {
    record.footage = vec![Footage {
        file: file.name.clone(),
        fingerprint: None,
        duration: MatchTime::ZERO.later(file.end - file.start),
        rate: file.rate,
        rotation: 0,
        start: file.start,
    }];
    record
}

/// With every cut known, a clip shows its point, two seconds before and one after, and nothing of another piece.
fn clips_are_their_pieces(record: &Record, spans: &[crate::time::Span], cuts: &[MatchTime], end: MatchTime) {
    let points: Vec<PointRef> = (0..spans.len()).map(|point| PointRef { record: 0, point }).collect();
    let lead = Lead { merge: true, ..Lead::default() };
    for lead in [Lead::default(), lead] {
        let list = clip_list_uncut(&[record], &points, lead, &|_| cuts.to_vec());
        assert_eq!((list.clips.len(), list.unreachable.len()), (spans.len(), 0));
        let starts = std::iter::once(MatchTime::ZERO).chain(cuts.iter().copied());
        let ends = cuts.iter().copied().chain([end]);
        for ((clip, span), piece) in list.clips.iter().zip(spans).zip(starts.zip(ends)) {
            let wide = span.widened(lead.before, lead.after);
            let want = (wide.start().max(piece.0), wide.end().min(piece.1));
            assert_eq!((clip.span.start(), clip.span.end()), want, "{}", clip.label);
        }
    }
}

#[test]
fn clips_of_points_of_many_matches_stay_in_their_pieces() {
    for number in NUMBERS {
        let truth = points_truth(&demo(number), 5).unwrap();
        let whole = whole_points(&demo(number), 5);
        let logged = typed(&truth, &whole, &without_aims(logged_points(&truth)));
        let record = with_footage(logged, &truth.files[0]);
        let spans: Vec<_> = truth.points.iter().map(|p| p.span).collect();
        clips_are_their_pieces(&record, &spans, &truth.cuts, truth.files[0].end);
    }
}

/// The edited match: the pauses are cut out, the score runs on.
#[test]
fn an_edited_match_logged_by_keys_is_the_match_and_its_clips_stay_in_their_pieces() {
    let demo = Demo { games: Some(6), cut: true, ..Demo::default() };
    let truth = truth(&demo).unwrap();
    let wanted = wanted(&truth);
    let mut typist = typist(&truth, Some(Detail::All));
    for (played, point) in truth.points.iter().zip(&wanted.points) {
        for cue in every_ball(played, point, Detail::All, true) {
            typist.press(cue.key, cue.seen);
        }
    }
    assert_eq!(typist.said, Vec::<String>::new());
    same(&typist.record, &wanted, Detail::All);
    let all = facts(&typist.record);
    for (f, played) in all.iter().zip(&truth.points) {
        let call = f.called.map(|c| c.to_string());
        assert_eq!((f.server, f.court), (Some(played.server), Some(played.court_side)));
        assert_eq!(call.as_deref(), Some(played.score.called.as_str()));
        assert_eq!((f.winner, f.span), (Some(played.winner), Some(played.span)));
    }
    let patterns = PatternFile::starter().unwrap();
    let expected = facts(&wanted);
    for (f, w) in all.iter().zip(&expected) {
        assert!(patterns.patterns.iter().all(|p| answer(p, f) == answer(p, w)));
    }
    let record = with_footage(typist.record, &truth.files[0]);
    let spans: Vec<_> = truth.points.iter().map(|p| p.span).collect();
    clips_are_their_pieces(&record, &spans, &truth.cuts, truth.files[0].end);
}
