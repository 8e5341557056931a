//! Old kinds of files whose frames are stored in another order than they are shown, and do not say when each is.

use std::sync::Arc;

use changeover::video::PlayerEvent;

use crate::bad_files::opened;
use crate::ffmpeg::{Folder, probed};
use crate::film::{Film, Screen};

/// What other encoders make of the numbered film.
const FILMS: [&str; 6] = [
    "-c:v mpeg2video -q:v 2 -bf 2 -g 15 -an -f vob 1.vob",
    "-c:v mpeg2video -q:v 2 -bf 2 -g 15 -c:a mp2 -f vob 2.mpg",
    "-c:v mpeg2video -q:v 2 -bf 2 -g 12 -flags +ilme+ildct -c:a mp2 -f mpeg 3.mpg",
    "-c:v mpeg4 -q:v 2 -bf 2 -g 24 -an 4.avi",
    "-c:v mpeg4 -q:v 2 -bf 1 -g 50 -c:a mp3 5.avi",
    "-c:v libx264 -preset ultrafast -bf 2 -g 30 -c:a mp3 6.avi",
];

/// Every frame counts as with `ffprobe`, and is found by its number from anywhere, also by playing.
#[test]
fn frames_that_are_stored_in_another_order_than_shown_are_all_found() {
    let folder = Folder::new();
    let whole = folder.path("whole.mp4");
    Film { sound: true, ..Film::constant("30", 100) }.write(&whole);
    for words in FILMS {
        println!("{words}");
        let path = folder.make(&format!("-i whole.mp4 {words}"));
        let (media, said) = (Arc::new(opened(&path).unwrap()), probed(&path));
        assert_eq!((media.index.len(), said.frames), (100, 100), "{words}: {:?}", media.warnings);
        assert!(media.rate.is_some_and(|r| r.to_string() == "30"), "{words}: {:?}", media.rate);
        let mut s = Screen::of(&media);
        s.wait_for(0);
        // No two in order, each from somewhere else.
        for n in 0..100 {
            s.go(n * 37 % 100);
        }
        s.go(60);
        s.player.play();
        s.wait_until("the end", |s| s.others.iter().any(|e| matches!(e, PlayerEvent::Ended)));
        assert_eq!(s.shown, Some(99), "{words}");
    }
}

/// The demuxer closes a gap in the clock; every frame is there, and the note says what is left out.
#[test]
fn a_gap_in_a_transport_stream_is_told() {
    let folder = Folder::new();
    let film = "-f lavfi -i testsrc2=s=160x90:r=30:d=8 -f lavfi -i sine=440:d=8";
    let gap = "-vf select=lt(t\\,2)+gt(t\\,7) -vsync vfr";
    let h264 = "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 30 -c:a aac";
    for sound in ["", " -an"] {
        let path = folder.make(&format!("{film} {gap} {h264}{sound} gap.ts"));
        let (media, said) = (opened(&path).unwrap(), probed(&path));
        assert_eq!(media.index.len(), said.frames, "{:?}", media.warnings);
        let note = media.warnings.iter().find(|w| w.contains("nothing was recorded for ")).unwrap();
        let left: f64 = note.split("for ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        // What is left of the gap here, and what the note says of it, is what `ffprobe` sees.
        let all = (media.duration - media.index.time(0)).as_secs_f64() + left;
        assert!((all - said.lasts.unwrap()).abs() < 0.1, "{note} {said:?}");
    }
}

/// GStreamer and other decoders leave out different frames around a hole; that there is one is told.
#[test]
fn bytes_cut_out_of_a_transport_stream_are_told() {
    let folder = Folder::new();
    let film = "-f lavfi -i testsrc2=s=320x180:r=25:d=4 -f lavfi -i sine=440:d=4";
    for h264 in ["-c:v libx264 -g 25 -bf 0 -c:a aac", "-c:v libx264 -g 25 -bf 2 -c:a aac"] {
        let whole = folder.make(&format!("{film} {h264} -pix_fmt yuv420p whole.ts"));
        let (media, said) = (opened(&whole).unwrap(), probed(&whole));
        assert_eq!((media.index.len(), media.warnings.len()), (said.frames, 0), "{:?}", media.warnings);
        let bytes = std::fs::read(&whole).unwrap();
        for (part, length) in [(0.25, 1), (0.4, 188), (0.5, 3760), (0.6, 20_001), (0.75, 50)] {
            // A packet that is missing as a whole: without it the others stay in step.
            let at = (bytes.len() as f64 * part) as usize / 188 * 188;
            let path = folder.path("cut.ts");
            std::fs::write(&path, [&bytes[..at], &bytes[at + length..]].concat()).unwrap();
            let (media, said) = (opened(&path).unwrap(), probed(&path));
            let note =
                media.warnings.iter().find(|w| w.contains("bytes are missing or damaged in one place"));
            let at = note.and_then(|n| n.split("about 0:00:0").nth(1)?.get(..1)?.parse::<f64>().ok());
            assert!(at.is_some_and(|at| (at - 4.0 * part).abs() <= 1.1), "{part} {:?}", media.warnings);
            assert!(media.index.len().abs_diff(said.frames) < 30, "{} {said:?}", media.index.len());
        }
    }
}
