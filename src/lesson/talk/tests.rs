//! A talk shows again what the show did, and a cut changes nothing of the rest.

use std::time::Duration;

use proptest::prelude::*;

use super::{Action, Deed, Piece, Screen, Shown, Take, Talk, Timeline, Watcher};
use crate::drawing::{Anchor, Colour, Shape};
use crate::lesson::{Clip, Edit, Footage, Lesson, Pace, create, load};
use crate::record::{Document, EditError};
use crate::time::MatchTime;

const fn ms(n: u64) -> MatchTime {
    MatchTime::from_millis(n)
}

fn footage(file: &str, lasts: u64) -> Footage {
    Footage { file: file.into(), fingerprint: None, duration: ms(lasts), rate: "25".parse().ok() }
}

fn shown(n: usize) -> Shown {
    let text = serde_json::json!({ "footage": footage(&format!("{n}.mp4"), 600_000), "from": ms(0), "to": ms(500_000) });
    Shown { chapter: String::new(), clip: serde_json::from_value::<Clip>(text).unwrap() }
}

fn line(n: i32) -> Shape {
    Shape::Line((0..10).map(|i| Anchor::Picture(n, i * 100)).collect())
}

fn take(lasts: u64, actions: Vec<(u64, Deed)>) -> Take {
    let actions = actions.into_iter().map(|(at, does)| Action { at: ms(at), does }).collect();
    Take { voice: footage("l.talk/take-1.wav", lasts), clips: (0..4).map(shown).collect(), actions }
}

fn talk(take: Take) -> Talk {
    Talk::default().then(take)
}

/// A show, ticked by the millisecond: it knows nothing of actions on a time line, and adds up what passes.
#[derive(Debug, Clone)]
struct Show {
    clip: usize,
    /// In hundredths of a millisecond, because a tick at 50 per cent is half of one.
    moment: u64,
    pace: Option<u16>,
    drawn: Vec<Shape>,
}

impl Show {
    fn tick(&mut self) {
        self.moment += u64::from(self.pace.unwrap_or(0));
    }

    /// A key, by numbers; what the talk notes of it.
    fn press(&mut self, (what, a, b): (u8, u64, u16)) -> Vec<Deed> {
        let pace = Pace([25, 50, 100, 200][usize::from(b % 4)]);
        let here = ms(self.moment / 100);
        if matches!(what % 7, 1 | 2 | 4) {
            // A frame is on the screen; the show goes on from it.
            self.moment = self.moment / 100 * 100;
        }
        match what % 7 {
            0 => {
                (self.clip, self.moment, self.pace) = (a as usize % 4, a * 100, None);
                self.drawn.clear();
                vec![Deed::Clip { clip: self.clip, moment: ms(a) }]
            }
            1 => {
                self.pace = Some(pace.0);
                vec![Deed::Play { moment: here, pace }]
            }
            2 => {
                self.pace = None;
                vec![Deed::Pause { moment: here }]
            }
            3 => {
                self.moment = a * 100;
                vec![Deed::Go { moment: ms(a) }]
            }
            4 => {
                self.moment += 4000;
                vec![Deed::Step { moment: ms(self.moment / 100) }]
            }
            5 => {
                self.drawn.push(line(i32::from(b)));
                vec![Deed::Draw { shape: line(i32::from(b)), colour: Colour::Yellow, took: ms(0) }]
            }
            _ => {
                self.drawn.clear();
                vec![Deed::Wipe]
            }
        }
    }
}

type Keys = Vec<(u64, (u8, u64, u16))>;

fn keys() -> impl Strategy<Value = Keys> {
    let key = (1u64..60, (0u8..7, 0u64..90_000, 0u16..1000));
    proptest::collection::vec(key, 0..25)
}

/// Plays a show by these keys, each so many milliseconds after the one before. What was on the screen in each millisecond, and
/// the talk of it.
fn played(keys: &Keys) -> (Vec<Show>, Talk) {
    let mut show = Show { clip: 0, moment: 0, pace: None, drawn: Vec::new() };
    let mut actions = vec![(0, Deed::Clip { clip: 0, moment: ms(0) })];
    let mut seen = Vec::new();
    for (after, key) in keys {
        for _ in 0..*after {
            seen.push(show.clone());
            show.tick();
        }
        let at = seen.len() as u64;
        actions.extend(show.press(*key).into_iter().map(|deed| (at, deed)));
    }
    for _ in 0..50 {
        seen.push(show.clone());
        show.tick();
    }
    let lasts = seen.len() as u64;
    (seen, talk(take(lasts, actions)))
}

fn same(talk: &Timeline<'_>, t: u64, show: &Show) -> Result<(), TestCaseError> {
    let scene = talk.frame_at(ms(t)).unwrap();
    prop_assert_eq!(scene.clip, show.clip, "at {} ms", t);
    prop_assert_eq!(scene.moment.nanos(), show.moment * 10_000, "at {} ms", t);
    prop_assert_eq!(scene.pace.map(|p| p.0), show.pace);
    let drawn: Vec<Shape> = scene.drawings.into_iter().map(|d| d.shape).collect();
    prop_assert_eq!(&drawn, &show.drawn);
    Ok(())
}

proptest! {
    #[test]
    fn a_talk_shows_what_the_show_did(keys in keys()) {
        let (seen, talk) = played(&keys);
        let line = Timeline::of(&talk);
        for (t, show) in seen.iter().enumerate() {
            same(&line, t as u64, show)?;
        }
        prop_assert_eq!(line.frame_at(ms(seen.len() as u64)), None);
        // Between two turns nothing but playing changes the picture.
        prop_assert!(line.turns().windows(2).all(|w| w[0] < w[1]));
    }

    #[test]
    fn after_a_cut_the_rest_is_as_it_was(keys in keys(), cuts in proptest::collection::vec((0u64..1500, 1u64..400), 1..5)) {
        let (seen, mut talk) = played(&keys);
        let mut left: Vec<u64> = (0..seen.len() as u64).collect();
        for (from, long) in cuts {
            let to = from + long;
            let Some(cut) = talk.cut(ms(from), ms(to)) else {
                let n = left.len() as u64;
                prop_assert!(from >= n || (from == 0 && to >= n));
                continue;
            };
            let end = (to as usize).min(left.len());
            left.drain(from as usize..end);
            talk = cut;
        }
        let line = Timeline::of(&talk);
        prop_assert_eq!(talk.length(), ms(left.len() as u64));
        for (t, was) in left.iter().enumerate() {
            same(&line, t as u64, &seen[*was as usize])?;
            // The voice goes with the picture.
            prop_assert_eq!(line.place(ms(t as u64)).unwrap().at, ms(*was));
        }
    }

    #[test]
    fn a_talk_is_spoken_again_from_any_moment(first in keys(), second in keys(), t in 1u64..2000) {
        let ((seen, old), (other, new)) = (played(&first), played(&second));
        let t = t.min(seen.len() as u64);
        let talk = old.until(ms(t)).unwrap().then(new.takes[0].clone());
        let line = Timeline::of(&talk);
        prop_assert_eq!(talk.length(), ms(t + other.len() as u64));
        for (n, show) in seen[..t as usize].iter().chain(&other).enumerate() {
            same(&line, n as u64, show)?;
        }
        prop_assert!(old.until(ms(0)).is_none());
        // What was replaced from the beginning on is no take any more.
        prop_assert_eq!(talk.cut(ms(0), ms(t)).unwrap().takes.len(), 1);
    }

    #[test]
    fn a_talk_is_kept_with_the_lesson_and_taken_back(keys in keys()) {
        let (_, talk) = played(&keys);
        let mut lesson = Lesson::default();
        let (_, back) = lesson.apply(Edit::SetTalk { talk: Some(Box::new(talk.clone())) }).unwrap();
        let text = serde_json::to_string(&lesson).unwrap();
        let read: Lesson = serde_json::from_str(&text).unwrap();
        prop_assert_eq!(&read, &lesson);
        prop_assert!(lesson.sound().is_ok());
        lesson.apply(back).unwrap();
        prop_assert_eq!(lesson, Lesson::default());
    }

    #[test]
    fn what_is_watched_is_replayed_within_a_frame(keys in keys(), late in 0u64..15) {
        // A screen that shows a frame every 40 ms and is looked at every 16 ms; a look comes late.
        let (seen, _) = played(&keys);
        let mut watcher = Watcher::default();
        let mut actions = Vec::new();
        let frame = |moment: u64| moment / 4000 * 40;
        for t in (late..seen.len() as u64).step_by(16) {
            let s = &seen[t as usize];
            let screen = Screen {
                clip: s.clip,
                moment: ms(frame(s.moment)),
                lasts: Duration::from_millis(40),
                pace: s.pace.map(Pace),
            };
            actions.extend(watcher.see(ms(t), screen));
        }
        let talk = talk(Take { actions, ..take(seen.len() as u64, Vec::new()) });
        let line = Timeline::of(&talk);
        for t in (late..seen.len() as u64).step_by(16) {
            let (scene, s) = (line.frame_at(ms(t)).unwrap(), &seen[t as usize]);
            prop_assert_eq!(scene.clip, s.clip);
            prop_assert_eq!(scene.pace.map(|p| p.0), s.pace);
            let off = scene.moment.nanos().abs_diff(frame(s.moment) * 1_000_000);
            prop_assert!(off <= 60_000_000, "{} ms off at {} ms", off / 1_000_000, t);
            prop_assert!(s.pace.is_some() || off == 0, "what stands is exact");
        }
    }
}

#[test]
fn a_line_appears_as_it_was_drawn_and_drawings_are_changed_afterwards() {
    let draw = |n, took| Deed::Draw { shape: line(n), colour: Colour::Yellow, took: ms(took) };
    let appears = Deed::Clip { clip: 0, moment: ms(0) };
    let next = Deed::Clip { clip: 1, moment: ms(0) };
    let talk = talk(take(5000, vec![(0, appears), (1000, draw(1, 1000)), (2500, draw(2, 0)), (4000, next)]));
    let places = |talk: &Talk, t: u64| -> Vec<usize> {
        let all = talk.frame_at(ms(t)).unwrap().drawings;
        all.into_iter().map(|d| if let Shape::Line(p) = d.shape { p.len() } else { 0 }).collect()
    };
    assert_eq!(places(&talk, 999), [0; 0]);
    assert_eq!((places(&talk, 1000), places(&talk, 1500), places(&talk, 2000)), (vec![1], vec![5], vec![10]));
    assert_eq!((places(&talk, 3000), places(&talk, 4000)), (vec![10, 10], vec![]));
    let ring = Shape::Ring { middle: Anchor::Picture(1, 1), radius: 5 };
    let more = talk.drawn(ms(3000), ring, Colour::Blue).unwrap();
    assert_eq!(
        (places(&more, 2999), places(&more, 3000), places(&more, 4000)),
        (vec![10; 2], vec![10, 10, 0], vec![])
    );
    let less = more.wiped(ms(2600)).unwrap();
    assert_eq!((places(&less, 2600), places(&less, 3000)), (vec![], vec![0]));
    assert!(less.wiped(ms(2600)).is_none());
    assert!(talk.drawn(ms(5000), line(3), Colour::Blue).is_none());
}

/// A change of a talk, and what the refusal names.
type Case<'a> = (&'a dyn Fn(&mut Talk), &'a str);

/// What a freeze of the lesson draws was on the screen while the coach talked. A picture that was stopped elsewhere, or reached frame
/// by frame, shows none of it.
#[test]
fn a_freeze_shows_its_own_drawings_for_its_own_time() {
    let arrow = |x: u64| {
        serde_json::json!({ "shape": { "arrow": [{ "picture": [x, 0] }, { "picture": [x, 9000] }] },
        "from": ms(100 * x), "to": ms(1000) })
    };
    let freeze = serde_json::json!({ "at": ms(1240), "lasts": ms(800), "drawings": [arrow(0), arrow(4)] });
    let with_freeze = |actions: Vec<(u64, Deed)>| {
        let mut take = take(9000, actions);
        take.clips[0].clip.freezes = vec![serde_json::from_value(freeze.clone()).unwrap()];
        talk(take)
    };
    let appears = (0, Deed::Clip { clip: 0, moment: ms(0) });
    let plays = |at: u64, moment: u64| (at, Deed::Play { moment: ms(moment), pace: Pace(100) });
    let stops = |at: u64, moment: u64| (at, Deed::Pause { moment: ms(moment) });
    let drawn = |talk: &Talk, at: u64| {
        let all = talk.frame_at(ms(at)).unwrap().drawings;
        all.iter().map(|d| d.shape.name()).collect::<Vec<_>>()
    };
    let ring = Deed::Draw {
        shape: Shape::Ring { middle: Anchor::Picture(1, 1), radius: 9 },
        colour: Colour::default(),
        took: ms(0),
    };
    let all = vec![appears.clone(), plays(0, 0), stops(1250, 1240), (1500, ring), plays(2050, 1240)];
    let shown = with_freeze(all);
    assert_eq!(drawn(&shown, 1249), [""; 0]);
    assert_eq!(drawn(&shown, 1250), ["arrow"]);
    assert_eq!(drawn(&shown, 1649), ["arrow", "ring"]);
    assert_eq!(drawn(&shown, 1650), ["arrow", "arrow", "ring"]);
    assert_eq!(drawn(&shown, 2049), ["arrow", "arrow", "ring"]);
    assert_eq!(drawn(&shown, 2050), ["ring"], "it plays on");
    // A frame too many was shown first.
    let step = (1290, Deed::Step { moment: ms(1240) });
    let late = with_freeze(vec![appears.clone(), plays(0, 0), stops(1280, 1280), step]);
    assert_eq!((drawn(&late, 1285).len(), drawn(&late, 1290).len()), (0, 1));
    // It stays after its time, as when the coach stopped it: the drawings go.
    assert_eq!((drawn(&late, 2079).len(), drawn(&late, 2080).len()), (2, 0));
    let elsewhere = with_freeze(vec![appears.clone(), plays(0, 0), stops(1210, 1200)]);
    assert_eq!(drawn(&elsewhere, 1700), [""; 0]);
    let stepped = (3000, Deed::Step { moment: ms(1240) });
    let by_hand = with_freeze(vec![appears, plays(0, 0), stops(1210, 1200), stepped]);
    assert_eq!(drawn(&by_hand, 3500), [""; 0], "the show froze nothing there");
}

#[test]
fn what_no_talk_may_hold_is_refused_with_its_place() {
    let good = talk(take(5000, vec![(0, Deed::Clip { clip: 0, moment: ms(0) })]));
    let refused = |change: &dyn Fn(&mut Talk)| -> String {
        let mut bad = good.clone();
        change(&mut bad);
        let edit = Edit::SetTalk { talk: Some(Box::new(bad)) };
        let refused: EditError = Lesson::default().apply(edit).unwrap_err();
        refused.to_string()
    };
    let piece = |take, from, to| Piece { take, from: ms(from), to: ms(to) };
    let cases: [Case<'_>; 9] = [
        (&|t| t.takes[0].voice.file = "../others.wav".into(), "talk.takes[0].voice.file"),
        (&|t| t.takes[0].voice.file = "/etc/passwd".into(), "talk.takes[0].voice.file"),
        (&|t| t.takes[0].actions.clear(), "talk.takes[0].actions"),
        (&|t| t.takes[0].actions[0].does = Deed::Wipe, "talk.takes[0].actions"),
        (
            &|t| t.takes[0].actions[0].does = Deed::Clip { clip: 4, moment: ms(0) },
            "actions[0].does.clip.clip",
        ),
        (&|t| t.pieces.clear(), "talk.pieces"),
        (&|t| t.pieces[0] = piece(1, 0, 10), "talk.pieces[0].take"),
        (&|t| t.pieces[0] = piece(0, 10, 10), "talk.pieces[0]"),
        (&|t| t.pieces[0] = piece(0, 0, 5001), "talk.pieces[0]"),
    ];
    for (change, place) in &cases {
        let said = refused(change);
        assert!(said.contains(place), "{place}: {said}");
    }
    let mut long = good.clone();
    long.takes[0].voice.duration = ms(6_000_000);
    long.pieces = vec![piece(0, 0, 6_000_000); 2];
    let edit = Edit::SetTalk { talk: Some(Box::new(long)) };
    assert!(Lesson::default().apply(edit).unwrap_err().to_string().contains("03:00:00"));
}

#[test]
fn a_lesson_with_a_talk_comes_back_from_the_disk() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("l.lesson.json");
    let talk = talk(take(5000, vec![(0, Deed::Clip { clip: 0, moment: ms(0) })]));
    let lesson = Lesson { talk: Some(Box::new(talk)), ..Lesson::default() };
    create(&path, &lesson).unwrap();
    assert_eq!(load(&path).unwrap().0, lesson);
}
