//! Spans of films as files of their own: the right frames, the copied ones to the bit, decoded by others without a complaint.

use std::ops::{ControlFlow, Range};
use std::path::Path;
use std::process::Command;

use changeover::frames::FootageFile;
use changeover::video::{Container, Frame, Reason, Trimmed, Trimmer, VideoError, Way, frame_of, probe};

use crate::ffmpeg::Folder;
use crate::film::{Film, made, number};

/// The pictures of a film as ffmpeg decodes them, each by its MD5. Fails when ffmpeg complains.
fn pictures(path: &Path) -> Vec<String> {
    let out = Command::new("ffmpeg")
        .args(["-v", "warning", "-noautorotate", "-i"])
        .arg(path)
        .args(["-map", "0:v:0", "-fps_mode", "passthrough", "-f", "framemd5", "-"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success() && said.trim().is_empty(), "{}: {said}", path.display());
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    let of = |line: &str| line.rsplit(',').next().map(|md5| md5.trim().to_owned());
    text.lines().filter(|l| !l.starts_with('#')).filter_map(of).collect()
}

/// The sound of a film as ffmpeg decodes it: 48,000 samples a second.
fn sound(path: &Path) -> Vec<f32> {
    let out = Command::new("ffmpeg")
        .args(["-v", "error", "-i"])
        .arg(path)
        .args(["-map", "0:a:0", "-ac", "1", "-ar", "48000", "-f", "f32le", "-"])
        .output()
        .unwrap();
    assert!(out.status.success() && out.stderr.is_empty());
    out.stdout.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]])).collect()
}

/// Makes a file of some frames.
fn trimmed(trimmer: &Trimmer, media: &FootageFile, frames: &Range<usize>, path: &Path) -> Trimmed {
    let index = &media.index;
    let span = (index.time(frames.start), index.gone(frames.end - 1));
    let mut told = 0.0;
    let made = trimmer.trim(span, path, &mut |done| {
        assert!((told..=1.001).contains(&done), "{done} after {told}");
        told = done;
        ControlFlow::Continue(())
    });
    let made = made.unwrap();
    assert_eq!((made.frames, made.from, made.to), (frames.len(), span.0, span.1));
    assert_eq!(made.bytes, path.metadata().unwrap().len());
    made
}

/// Spans all over a film of so many frames, long and short.
fn spans(n: usize) -> impl Iterator<Item = Range<usize>> {
    let all = [(0, n), (0, 1), (n - 1, n), (n / 3, n / 3 + 2), (7, n - 5), (1, n / 2), (n / 2, n), (30, 61)];
    all.into_iter().map(|(from, to)| from..to).filter(move |r| r.end <= n && r.start < r.end)
}

/// How far two pictures are apart, in levels of 256, on average: colours that were read in another way would be far.
fn apart(a: &Frame, b: &Frame) -> f64 {
    assert_eq!((a.width, a.height), (b.width, b.height));
    let row = |f: &Frame, y: u32| {
        let start = y as usize * f.stride;
        f.pixels.as_ref()[start..start + f.width as usize * 4].to_vec()
    };
    let sum: u64 = (0..a.height)
        .flat_map(|y| row(a, y).into_iter().zip(row(b, y)))
        .map(|(a, b)| u64::from(a.abs_diff(b)))
        .sum();
    sum as f64 / f64::from(a.width * a.height * 4)
}

/// Each span has exactly its frames by our reading and by ffmpeg's, and all but the encoded ones are as they were.
fn exact(media: &FootageFile, folder: &Folder, read: Option<fn(&Frame) -> usize>) -> Vec<Way> {
    let trimmer = Trimmer::open(media.clone()).unwrap();
    let whole = pictures(&media.path);
    assert_eq!(whole.len(), media.index.len());
    let mut ways = Vec::new();
    for (n, frames) in spans(whole.len()).enumerate() {
        let path = folder.path(&format!("{n}-{}.mp4", media.path.file_stem().unwrap().to_string_lossy()));
        let made = trimmed(&trimmer, media, &frames, &path);
        let opened = probe(&path).unwrap();
        assert_eq!(opened.index.len(), frames.len(), "{frames:?} {:?}", made.way);
        assert_eq!(
            (opened.rotation, opened.width, opened.height),
            (media.rotation, media.width, media.height)
        );
        assert!(opened.warnings.is_empty(), "{:?}", opened.warnings);
        for (i, f) in frames.clone().enumerate() {
            let (at, wanted) = (opened.index.time(i), media.index.time(f) - made.from);
            let off = (at - changeover::time::MatchTime::ZERO).abs_diff(wanted);
            assert!(off < std::time::Duration::from_millis(1), "frame {f} at {at}, not {wanted:?}");
        }
        for f in [frames.start, frames.start + frames.len() / 2, frames.end - 1] {
            let (ours, theirs) = (frame_of(&opened, f - frames.start).unwrap(), frame_of(media, f).unwrap());
            let off = apart(&ours, &theirs);
            assert!(off < 3.0, "frame {f} of {frames:?} is {off:.2} levels off, {:?}", made.way);
            if let Some(read) = read {
                assert_eq!(read(&ours), f);
            }
        }
        let theirs = pictures(&path);
        assert_eq!(theirs.len(), frames.len(), "{frames:?} {:?}", made.way);
        let changed = theirs.iter().zip(&whole[frames.clone()]).filter(|(a, b)| a != b).count();
        match made.way {
            Way::Copied => assert_eq!(changed, 0, "{frames:?}"),
            Way::Edges(encoded) => assert!(changed <= encoded, "{frames:?}: {changed} of {encoded}"),
            Way::Encoded(_) => {}
        }
        ways.push(made.way);
    }
    ways
}

#[test]
fn frames_are_exact_and_copied_ones_are_as_they_were() {
    let folder = Folder::new();
    for film in [
        Film { sound: true, ..Film::constant("30", 150) },
        Film { b_frames: 3, ..Film::constant("30000/1001", 150) },
        Film { b_frames: 2, sound: true, ..Film::varying(120) },
        Film { rotation: 90, ..Film::constant("25", 100) },
    ] {
        let made = made(&film);
        let ways = exact(&made.media, &folder, Some(number));
        assert!(ways.contains(&Way::Copied), "{ways:?}");
        assert!(ways.iter().any(|w| matches!(w, Way::Edges(n) if *n < 35)), "{ways:?}");
        std::fs::remove_dir_all(folder.path("")).and_then(|()| std::fs::create_dir(folder.path(""))).unwrap();
    }
}

const PICTURES: &str = "-f lavfi -i testsrc2=s=160x90:r=30:d=4";

#[test]
fn films_of_another_encoder() {
    let folder = Folder::new();
    let forms = [
        "-c:v libx264 -pix_fmt yuv420p -g 30 -bf 3 -b_strategy 2 -x264-params b-pyramid=normal pyramid.mp4",
        "-c:v libx264 -pix_fmt yuv420p -g 24 -bf 0 -profile:v baseline baseline.mov",
        "-c:v libx264 -pix_fmt yuv420p -g 24 -profile:v main -x264-params repeat-headers=1 main.mp4",
        "-c:v libx264 -pix_fmt yuvj420p -g 24 -color_range pc full.mp4",
        "-c:v libx264 -pix_fmt yuv420p -g 24 -x264-params open-gop=1:bframes=2 open.mp4",
        "-c:v libx264 -pix_fmt yuv420p -g 24 -x264-params sps-id=3 third.mp4",
    ];
    for form in forms {
        let media = probe(&folder.make(&format!("{PICTURES} {form}"))).unwrap();
        let ways = exact(&media, &folder, None);
        assert!(ways.iter().all(|w| matches!(w, Way::Copied | Way::Edges(_))), "{form}: {ways:?}");
        assert!(ways.contains(&Way::Copied), "{form}: {ways:?}");
    }
}

#[test]
fn what_cannot_be_copied_is_encoded_and_why_is_said() {
    let folder = Folder::new();
    for (form, why) in [
        ("-c:v libx264 -pix_fmt yuv420p -g 30 film.mkv", Reason::Container),
        (
            "-c:v libx264 -pix_fmt yuv420p -g 30 -movflags frag_keyframe+empty_moov parts.mp4",
            Reason::Container,
        ),
        ("-c:v libx264 -pix_fmt yuv444p -g 30 colour.mp4", Reason::Pictures),
        ("-c:v mpeg4 -g 30 old.mp4", Reason::Pictures),
        ("-f lavfi -i sine=440:d=4 -c:v libx264 -pix_fmt yuv420p -g 30 -c:a alac other.mp4", Reason::Sound),
    ] {
        let media = probe(&folder.make(&format!("{PICTURES} {form}"))).unwrap();
        let trimmer = Trimmer::open(media.clone()).unwrap();
        let path = folder.path("out.mp4");
        let made = trimmed(&trimmer, &media, &(10..75), &path);
        assert_eq!(made.way, Way::Encoded(why), "{form}");
        assert_eq!(pictures(&path).len(), 65);
        std::fs::remove_file(path).unwrap();
    }
}

#[test]
fn sound_is_copied_and_in_step() {
    let folder = Folder::new();
    let words = "-f lavfi -i aevalsrc='0.5*sin(300*t*t)':d=4:s=48000 -c:v libx264 -pix_fmt yuv420p -g 30 -c:a aac -b:a 128k s.mp4";
    let media = probe(&folder.make(&format!("{PICTURES} {}", words.replace('\'', "")))).unwrap();
    let trimmer = Trimmer::open(media.clone()).unwrap();
    let whole = sound(&media.path);
    for (n, frames) in [30..90, 37..101, 0..20].into_iter().enumerate() {
        let path = folder.path(&format!("sound-{n}.mp4"));
        let made = trimmed(&trimmer, &media, &frames, &path);
        let part = sound(&path);
        let begin = (made.from.as_secs_f64() * 48_000.0).round() as usize;
        let lasts = ((made.to - made.from).as_secs_f64() * 48_000.0) as usize;
        assert!(part.len().abs_diff(lasts) <= 1100, "{} samples for {lasts}", part.len());
        let (part, whole) = (&part[2048..lasts - 1100], &whole[begin + 2048..begin + lasts - 1100]);
        let most = part.iter().zip(whole).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
        assert!(most < 0.01, "{frames:?}: off by {most}");
    }
}

#[test]
fn nothing_is_written_over_and_nothing_is_left_behind() {
    let folder = Folder::new();
    let made = made(&Film { sound: true, ..Film::constant("30", 90) });
    let trimmer = Trimmer::open(made.media.clone().as_ref().clone()).unwrap();
    let index = &made.media.index;
    let there = folder.path("there.mp4");
    std::fs::write(&there, "mine").unwrap();
    for span in [(index.time(0), index.time(60)), (index.time(7), index.time(50))] {
        let why = trimmer.trim(span, &there, &mut |_| ControlFlow::Continue(())).unwrap_err();
        assert!(matches!(why, VideoError::Write { .. }), "{why}");
        let stopped = trimmer.trim(span, &folder.path("new.mp4"), &mut |_| ControlFlow::Break(()));
        assert!(matches!(stopped, Err(VideoError::Stopped { .. })));
    }
    assert_eq!(std::fs::read_to_string(&there).unwrap(), "mine");
    assert_eq!(std::fs::read_dir(folder.path("")).unwrap().count(), 1);
}

#[test]
fn footage_of_another_container_is_not_widened() {
    let film = made(&Film { container: Container::WebM, ..Film::constant("30", 60) });
    let trimmer = Trimmer::open(film.media.as_ref().clone()).unwrap();
    let index = &film.media.index;
    assert_eq!(trimmer.widened(index.time(10), index.time(20)), None);
    let film = made(&Film::constant("30", 90));
    let trimmer = Trimmer::open(film.media.as_ref().clone()).unwrap();
    let index = &film.media.index;
    assert_eq!(trimmer.widened(index.time(31), index.time(40)), Some((index.time(30), index.time(60))));
    assert_eq!(trimmer.widened(index.time(30), index.time(60)), Some((index.time(30), index.time(60))));
    assert_eq!(trimmer.widened(index.time(70), index.time(89)), Some((index.time(60), index.end())));
}
