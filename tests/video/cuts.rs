//! Cuts in films of another encoder: every one within a frame, and no other.

use std::ops::ControlFlow;
use std::path::Path;

use changeover::demo::{Demo, make};
use changeover::time::MatchTime;
use changeover::video::{VideoError, cuts};

use crate::ffmpeg::Folder;

/// Films of 25 frames a second: what is put in and done with it, and the frames at which there are cuts.
const FILMS: [(&str, &str, &str, &[u64]); 10] = [
    ("test picture", "-f lavfi -i testsrc2=s=320x180:r=25:d=4", "[0]null", &[]),
    ("zoom", "-f lavfi -i mandelbrot=s=320x180:r=25", "[0]trim=duration=4", &[]),
    ("noise", "-f lavfi -i nullsrc=s=320x180:r=25:d=4", "[0]geq=random(1)*255:128:128", &[]),
    (
        "four scenes",
        "-f lavfi -i testsrc2=s=320x180:r=25:d=1 -f lavfi -i mandelbrot=s=320x180:r=25 -f lavfi -i smptebars=s=320x180:r=25:d=1 \
         -f lavfi -i testsrc=s=320x180:r=25:d=1",
        "[1]trim=duration=1[m];[0][m][2][3]concat=n=4",
        &[25, 50, 75],
    ),
    ("fade to black", "-f lavfi -i testsrc2=s=320x180:r=25:d=4", "[0]fade=out:30:25,fade=in:60:25", &[]),
    (
        "dissolve",
        "-f lavfi -i testsrc2=s=320x180:r=25:d=3 -f lavfi -i smptebars=s=320x180:r=25:d=3",
        "[0][1]xfade=duration=1:offset=1.5",
        &[],
    ),
    (
        "flashes",
        "-f lavfi -i testsrc2=s=320x180:r=25:d=4",
        "[0]eq=brightness='if(lt(mod(n,30),2),0.8,0)':eval=frame,trim=start_frame=5,setpts=PTS-STARTPTS",
        &[],
    ),
    (
        "exposure steps",
        "-f lavfi -i testsrc2=s=320x180:r=25:d=4",
        "[0]eq=brightness='if(lt(mod(n,40),20),0.12,0)':eval=frame",
        &[],
    ),
    ("a fast pan", "-f lavfi -i testsrc2=s=1280x180:r=25:d=4", "[0]crop=320:180:min(n*9\\,900):0", &[]),
    (
        "a graphic appears and goes",
        "-f lavfi -i testsrc2=s=320x180:r=25:d=4",
        "[0]drawbox=10:140:120:30:white:fill:enable='between(n,40,70)'",
        &[],
    ),
];

#[test]
fn every_cut_is_found_and_no_other() {
    let folder = Folder::new();
    let (mut missed, mut wrong, mut all) = (0, 0, 0);
    for (n, (name, inputs, filter, wanted)) in FILMS.iter().enumerate() {
        // Rough pictures with a key frame every 12, which look different from those before them.
        let how = "-c:v libx264 -preset ultrafast -crf 32 -g 12 -pix_fmt yuv420p";
        let path = folder.make(&format!("{inputs} -filter_complex {filter} {how} {n}.mp4"));
        let found = cuts(&path, &mut |_| ControlFlow::Continue(())).unwrap();
        let wanted: Vec<MatchTime> = wanted.iter().map(|n| MatchTime::from_millis(n * 40)).collect();
        let here = wanted.iter().filter(|t| !found.contains(t)).count();
        let others = found.iter().filter(|t| !wanted.contains(t)).count();
        println!("{name}: {} cuts, {here} missed, {others} false {found:?}", wanted.len());
        (missed, wrong, all) = (missed + here, wrong + others, all + wanted.len());
    }
    assert_eq!((missed, wrong), (0, 0), "of {all}");
}

#[test]
fn the_search_tells_how_far_it_is_can_be_stopped_and_refuses_what_it_cannot_read() {
    let folder = Folder::new();
    let path = folder.make("-f lavfi -i testsrc2=s=160x90:r=25:d=6 -c:v libx264 -pix_fmt yuv420p film.mp4");
    let mut told = Vec::new();
    let found = cuts(&path, &mut |part| {
        told.push(part);
        ControlFlow::Continue(())
    });
    assert_eq!(found.unwrap(), vec![]);
    assert!(told.is_sorted() && told.iter().all(|p| (0.0..=1.0).contains(p)), "{told:?}");
    let stopped = cuts(&path, &mut |_| ControlFlow::Break(()));
    assert!(matches!(stopped, Err(VideoError::Stopped { .. })), "{stopped:?}");
    assert!(matches!(
        cuts(Path::new("/there/is/none.mp4"), &mut |_| ControlFlow::Continue(())),
        Err(VideoError::NotFound { .. })
    ));
}

/// The camera stands still: only the players and the ball are elsewhere after a cut, and the far one is small. Where both stand nearly
/// where they stood before, the cut is not found; play is not taken for one.
#[test]
fn most_cuts_of_edited_demo_footage_are_found_and_no_false_one() {
    let folder = tempfile::tempdir().unwrap();
    let (mut all, mut hit, mut wrong) = (0, 0, 0);
    for (number, rate) in [(1, Some("25")), (2, Some("30")), (3, None)] {
        let demo = Demo {
            number,
            points: Some(6),
            brisk: true,
            cut: true,
            width: 480,
            height: 270,
            rate: rate.and_then(|r| r.parse().ok()),
            ..Demo::default()
        };
        let place = folder.path().join(number.to_string());
        let truth = make(&demo, &place, &mut |_, _| {}).unwrap();
        let found = cuts(&place.join(&truth.files[0].name), &mut |_| ControlFlow::Continue(())).unwrap();
        let near =
            |t: &MatchTime, all: &[MatchTime]| all.iter().any(|o| o.nanos().abs_diff(t.nanos()) <= 2_000_000);
        let here = truth.cuts.iter().filter(|t| near(t, &found)).count();
        let others = found.iter().filter(|t| !near(t, &truth.cuts)).count();
        println!("demo {number}: {} cuts, {here} found, {others} false", truth.cuts.len());
        (all, hit, wrong) = (all + truth.cuts.len(), hit + here, wrong + others);
        for (point, pair) in truth.points.iter().zip(truth.points.iter().skip(1)) {
            assert!(point.span.end() < pair.span.start(), "points follow each other");
        }
    }
    println!("{hit} of {all} found");
    assert_eq!((all, wrong), (15, 0));
    assert!(hit >= 6, "{hit} of {all}");
}
