use super::*;

fn small() -> Demo {
    Demo { brisk: true, width: 160, height: 90, ..Demo::default() }
}

#[test]
fn points_of_five_matches_follow_each_other_and_hide_what_was_not_filmed() {
    for number in 1..=6 {
        let demo = Demo { number, ..small() };
        let truth = points_truth(&demo, 5).unwrap();
        let whole = whole_points(&demo, 5);
        assert_eq!((truth.points.len(), truth.cuts.len(), whole.len()), (20, 19, 20), "{number}");
        assert_eq!(truth.people.len(), 8, "two play in two matches");
        for (piece, pair) in truth.cuts.iter().zip(truth.points.windows(2)) {
            assert!(pair[0].span.end() < *piece && *piece <= pair[1].span.start());
        }
        for (seen, whole) in truth.points.iter().zip(&whole) {
            hides(seen, whole);
        }
        let count = |f: fn(&SeenPoint) -> bool| truth.points.iter().filter(|p| f(p)).count();
        let parts =
            [count(|p| p.joined_late), count(|p| p.left_early), count(|p| p.joined_late && p.left_early)];
        assert_eq!(parts, [8, 6, 3]);
    }
}

/// What is seen is what happened, and of the rest nothing is said.
fn hides(seen: &SeenPoint, whole: &Point) {
    let all = whole.strikes.len();
    let before = whole.strikes.iter().take_while(|s| s.time < seen.span.start()).count();
    let after = whole.strikes.iter().filter(|s| s.time >= seen.span.end()).count();
    assert_eq!(seen.strikes.len(), all - before - after);
    assert_eq!((before > 0, after > 0), (seen.joined_late, seen.left_early), "point {}", seen.number);
    for (s, w) in seen.strikes.iter().zip(&whole.strikes[before..]) {
        assert_eq!((s.by, s.time, s.stroke, s.fate_spot), (w.by, w.time, w.stroke, w.fate_spot));
        assert!(seen.span.start() <= s.time && s.fate_time <= seen.span.end(), "point {}", seen.number);
        assert_eq!(s.shot, w.shot.filter(|_| !seen.joined_late));
    }
    let serve = seen.server.zip(seen.server_end).zip(seen.court_side).zip(seen.called.as_ref());
    assert_eq!(serve.is_none(), seen.joined_late);
    assert_eq!((seen.winner.is_none(), seen.ending.is_none()), (seen.left_early, seen.left_early));
}

#[test]
fn the_truth_reads_back_and_is_the_same_each_time() {
    let truth = points_truth(&small(), 2).unwrap();
    let text = serde_json::to_string(&truth).unwrap();
    assert_eq!(serde_json::from_str::<PointsTruth>(&text).unwrap(), truth);
    assert_eq!(points_truth(&small(), 2).unwrap(), truth);
    for (demo, matches) in [(small(), 0), (small(), 9), (Demo { cut: true, ..small() }, 2)] {
        let said = points_truth(&demo, matches).unwrap_err().to_string();
        assert!(said.contains("are allowed") || said.contains("leave out"), "{said}");
    }
}

/// The file has the frames that the truth says, by our own probe.
#[test]
fn the_footage_is_as_the_truth_says() {
    let folder = tempfile::tempdir().unwrap();
    let truth = make_all_points(&Demo { width: 64, height: 64, ..small() }, 1, folder.path()).unwrap();
    let media = crate::video::probe(&folder.path().join(&truth.files[0].name)).unwrap();
    assert_eq!(media.index.len() as u64, truth.files[0].frames);
    assert!((media.duration.as_secs_f64() - truth.files[0].end.as_secs_f64()).abs() < 0.002);
    let again = make_all_points(&small(), 1, folder.path()).unwrap_err();
    assert!(matches!(again, DemoError::There { .. }), "{again}");
}
