//! Pictures of reels.

use std::ops::ControlFlow;

use changeover::lesson::{Chapter, Freeze, Lesson, Pace, Pair, Part, Picture, Still, Stretch};
use changeover::reel::{Plan, ReelError, Shows, render};
use changeover::video::{Container, Frame, probe};

use crate::asked::{Bench, clip, container, frames, halves, lesson, ms, number, part};
use crate::film::Film;

fn films() -> Vec<(&'static str, Film)> {
    vec![
        ("a.mp4", Film { sound: true, b_frames: 2, ..Film::constant("30", 120) }),
        ("turned.mp4", Film { rotation: 90, ..Film::constant("25", 100) }),
        ("c.webm", Film { container: Container::WebM, sound: true, ..Film::constant("30000/1001", 90) }),
        ("uneven.mp4", Film::varying(60)),
    ]
}

fn pair(
    left: &changeover::lesson::Clip,
    right: &changeover::lesson::Clip,
    left_at: u64,
    right_at: u64,
) -> Part {
    let text =
        serde_json::json!({ "left": left, "right": right, "left_at": ms(left_at), "right_at": ms(right_at) });
    Part::Pair(Box::new(serde_json::from_value::<Pair>(text).unwrap()))
}

/// Cuts, a freeze, slow and fast stretches, a loop, two clips side by side, a heading and words between.
fn everything() -> Lesson {
    let mut first = clip("a.mp4", 1000, 2000);
    first.freezes = vec![Freeze { at: ms(1300), lasts: ms(400), drawings: Vec::new() }];
    first.stretches = vec![
        Stretch { from: ms(1500), to: ms(1700), pace: Pace(50) },
        Stretch { from: ms(1800), to: ms(2000), pace: Pace(200) },
    ];
    first.caption = "A long rally, and then the ball short".into();
    let mut again = clip("turned.mp4", 480, 1000);
    again.times = Some(2);
    let parts = vec![
        part(first.clone()),
        Part::Chapter(Chapter { title: "Second".into(), notes: String::new() }),
        part(again),
        pair(&first, &clip("turned.mp4", 200, 2200), 1500, 1200),
        Part::Still(Box::new(Still {
            caption: "Next time".into(),
            lasts: ms(300),
            shows: Picture::Words("Wait for the short ball".into()),
            notes: String::new(),
        })),
        part(clip("c.webm", 500, 1200)),
        part(clip("uneven.mp4", 300, 1500)),
        // Back in a file that was open before.
        part(clip("a.mp4", 100, 400)),
    ];
    Lesson { title: "All that there is".into(), ..lesson(parts) }
}

/// Each frame of the reel against the plan; how many were read.
fn checked(plan: &Plan, all: &[Frame]) -> usize {
    assert_eq!(all.len() as u64, plan.frames());
    let mut read = 0;
    let whole = (0, 0, plan.size.0);
    for (k, frame) in all.iter().enumerate() {
        assert_eq!((frame.width, frame.height), plan.size);
        let scene = plan.scene(k as u64).unwrap();
        let at = k as u64 - scene.starts;
        match &scene.shows {
            Shows::Card | Shows::Told(_) => {}
            Shows::One(track) => {
                let wanted = track.at(at, plan.rate).frame;
                assert_eq!(number(frame, whole), wanted, "frame {k} of the reel, {}", track.file);
                read += 1;
            }
            Shows::Two(both) => {
                for ((track, before), place) in both.iter().zip(halves(plan.size)) {
                    let wanted = track.at(at.saturating_sub(*before), plan.rate).frame;
                    assert_eq!(number(frame, place), wanted, "frame {k} of the reel, {}", track.file);
                    read += 1;
                }
            }
        }
    }
    read
}

#[test]
fn every_frame_of_a_reel_is_the_one_of_the_plan() {
    let bench = Bench::of(&films());
    let lesson = everything();
    for (name, size) in [("reel.mp4", (640, 360)), ("reel.webm", (320, 180)), ("reel.mkv", (480, 270))] {
        let plan = bench.plan(&lesson, size);
        let out = bench.render(&lesson, &plan, name).unwrap();
        let media = probe(&out).unwrap();
        assert_eq!((media.rate, media.has_audio), (Some(plan.rate), true), "{name}");
        let read = checked(&plan, &frames(&out));
        println!("{name}: {read} numbers read in {} frames", plan.frames());
        assert!(read > 200);
    }
}

#[test]
fn a_rate_that_is_asked_for_keeps_ends_and_length() {
    let bench = Bench::of(&films()[..2]);
    let lesson = lesson(vec![part(clip("a.mp4", 0, 1000)), part(clip("turned.mp4", 400, 1400))]);
    for rate in ["24000/1001", "50", "60000/1001"] {
        let wish = changeover::reel::Wish { size: Some((320, 180)), rate: rate.parse().ok() };
        let plan = Plan::new(&lesson, &bench.files, wish).unwrap();
        let out = bench.render(&lesson, &plan, &format!("{}.mp4", rate.replace('/', "-"))).unwrap();
        assert_eq!(probe(&out).unwrap().rate, Some(plan.rate));
        checked(&plan, &frames(&out));
    }
}

#[test]
fn an_upright_film_stands_in_the_middle_and_its_proportions_stay() {
    let tall = Film { rotation: 0, ..Film::constant("30", 30) };
    let bench = Bench::of(&[("a.mp4", tall)]);
    let lesson = lesson(vec![part(clip("a.mp4", 0, 500))]);
    // The film is 320 × 180; in 360 × 640 it is 360 × 203 (rounded), 218 from the top.
    let plan = bench.plan(&lesson, (360, 640));
    let all = frames(&bench.render(&lesson, &plan, "tall.mp4").unwrap());
    for (k, frame) in all.iter().enumerate() {
        assert_eq!(number(frame, (0, 218, 360)), k);
        let at = |y: usize| frame.pixels.as_ref()[y * frame.stride + 4 * 180];
        assert!(at(100) < 20 && at(600) < 20, "black above and below");
    }
}

#[test]
fn a_reel_that_is_stopped_or_stands_in_the_way_leaves_nothing() {
    let bench = Bench::of(&films()[..1]);
    let lesson = lesson(vec![part(clip("a.mp4", 0, 3000))]);
    let plan = bench.plan(&lesson, (320, 180));
    let out = bench.path("reel.mp4");
    let mut stop = |done: f64| if done > 0.5 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
    let stopped = render(&lesson, &bench.files, &plan, (&out, container(&out)), &|_, _| None, &mut stop);
    assert!(matches!(stopped, Err(ReelError::Stopped)));
    assert_eq!(bench.others(), [""; 0]);
    let mut theirs = |done: f64| {
        if done > 0.5 && !out.exists() {
            std::fs::write(&out, "theirs").unwrap();
        }
        ControlFlow::Continue(())
    };
    let refused =
        render(&lesson, &bench.files, &plan, (&out, container(&out)), &|_, _| None, &mut theirs).unwrap_err();
    assert!(refused.to_string().contains("another program made a file of this name"), "{refused}");
    assert_eq!(std::fs::read_to_string(&out).unwrap(), "theirs");
    assert_eq!(bench.others(), ["reel.mp4"]);
}

/// A disk of a few MB that fills up while a reel is written, and one that is too full from the beginning.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_no_half_reel() {
    use std::process::Command;
    let bench = Bench::of(&films()[..1]);
    let lesson = lesson(vec![part(clip("a.mp4", 0, 3900))]);
    let plan = bench.plan(&lesson, (320, 180));
    let disk = tempfile::tempdir().unwrap();
    let run = Command::new("mount").args(["-t", "tmpfs", "-o", "size=3m", "tmpfs"]).arg(disk.path()).output();
    if !run.is_ok_and(|out| out.status.success()) {
        println!("skipped: this user may not mount a file system");
        return;
    }
    let out = disk.path().join("reel.mp4");
    let ballast = disk.path().join("ballast");
    let mut fill = |done: f64| {
        if done > 0.1 && !ballast.exists() {
            let _ = std::fs::write(&ballast, vec![1; 3 << 20]);
        }
        ControlFlow::Continue(())
    };
    let filled = render(&lesson, &bench.files, &plan, (&out, container(&out)), &|_, _| None, &mut fill);
    let refused = render(&lesson, &bench.files, &plan, (&out, container(&out)), &|_, _| None, &mut |_| {
        ControlFlow::Continue(())
    });
    let left: Vec<_> = std::fs::read_dir(disk.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    let _ = Command::new("umount").arg(disk.path()).status();
    let said = filled.unwrap_err().to_string();
    assert!(said.contains("the disk is full") || said.contains("space"), "{said}");
    assert!(matches!(refused, Err(ReelError::NoRoom { .. })), "{refused:?}");
    assert_eq!(left, ["ballast"], "no half-written file");
}
