//! Files that are odd but play: every one opens in time, and shows the frame that it says it shows.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use changeover::frames::FootageFile;
use changeover::time::MatchTime;
use changeover::video::{Container, PlayerEvent, VideoError, probe_watched};
use gst::prelude::*;

use crate::bad_files::opened;
use crate::film::{Film, HEIGHT, Screen, WIDTH};
use crate::remux::{boxed, boxes, find, from, run, source, to};
use crate::{exercise, film_test};

/// A folder with a film in it, and room for what is made of it.
struct Bench {
    folder: tempfile::TempDir,
    film: PathBuf,
}

impl Bench {
    fn of(film: &Film) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let name = if film.container == Container::Mp4 { "film.mp4" } else { "film.webm" };
        let path = folder.path().join(name);
        film.write(&path);
        Self { folder, film: path }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }
}

/// Opens a file with so many frames, of which the first shows the number `first`, and does with it what a coach does.
fn plays(path: &Path, first: usize, frames: usize) -> Arc<FootageFile> {
    let media = Arc::new(opened(path).unwrap());
    assert_eq!(media.index.len(), frames, "{}: {:?}", path.display(), media.warnings);
    exercise(Screen { first, ..Screen::of(&media) }, 7, 14);
    media
}

/// The time of the first picture in a transport stream, in ticks of 90 kHz (ISO/IEC 13818-1, 2.4.3.7).
fn first_ticks(stream: &[u8]) -> u64 {
    let start = stream.windows(4).position(|w| w == [0, 0, 1, 0xE0]).unwrap();
    let t: Vec<u64> = stream[start + 9..start + 14].iter().map(|&b| u64::from(b)).collect();
    (t[0] >> 1 & 7) << 30 | t[1] << 22 | (t[2] >> 1) << 15 | t[3] << 7 | t[4] >> 1
}

#[test]
fn a_transport_stream_that_starts_at_ten_seconds() {
    let bench = Bench::of(&Film { sound: true, b_frames: 2, ..Film::constant("30", 90) });
    let path = bench.path("late.ts");
    let line = format!(
        "{} ! qtdemux name=d  mpegtsmux name=m ! {}  d.video_0 ! queue ! h264parse name=v config-interval=-1 ! m. \
         d.audio_0 ! queue ! aacparse name=a ! m.",
        from(&bench.film),
        to(&path)
    );
    run(&line, |p| ["v", "a"].iter().for_each(|name| source(p, name).set_offset(10_000_000_000)));
    assert!(first_ticks(&std::fs::read(&path).unwrap()) >= 900_000);
    let media = plays(&path, 0, 90);
    assert!(media.duration < MatchTime::from_secs(4), "{}", media.duration);
}

#[test]
fn pictures_that_start_80_ms_after_the_sound() {
    let mut film = Film { sound: true, ..Film::constant("25", 60) };
    film.times.iter_mut().for_each(|t| *t = t.later(Duration::from_millis(80)));
    let media = plays(&Bench::of(&film).film, 0, 60);
    assert_eq!(media.index.time(0), MatchTime::from_millis(80));
}

#[test]
fn pixels_that_are_not_square() {
    let bench = Bench::of(&Film::constant("25", 40));
    let path = bench.path("wide.mp4");
    let line = format!(
        "{} ! qtdemux ! h264parse ! avdec_h264 ! capssetter caps=video/x-raw,pixel-aspect-ratio=4/3 ! x264enc \
         speed-preset=superfast pass=quant quantizer=20 bframes=0 ! h264parse ! mp4mux ! {}",
        from(&bench.film),
        to(&path)
    );
    run(&line, |_| {});
    let media = plays(&path, 0, 40);
    // 320 × 4/3 = 426.7
    assert_eq!((media.width, media.height), (427, HEIGHT));
}

/// An edit list that starts the film at frame 12, inside a group of pictures (ISO/IEC 14496-12, 8.6.6). The pictures before
/// frame 12 are decoded and not shown.
#[test]
fn an_edit_list_that_cuts_into_a_group_of_pictures() {
    let bench = Bench::of(&Film::constant("30", 60));
    let file = boxes(&std::fs::read(&bench.film).unwrap());
    let moov = boxes(find(&file, *b"moov"));
    let trak = boxes(find(&moov, *b"trak"));
    let number = |b: &[u8], at: usize| u32::from_be_bytes(b[at..at + 4].try_into().unwrap());
    let ticks = number(find(&boxes(find(&trak, *b"mdia")), *b"mdhd"), 12);
    let film_ticks = number(find(&moov, *b"mvhd"), 12);
    let entry = [0, 1, film_ticks * 48 / 30, ticks * 12 / 30, 0x0001_0000];
    let list = boxed(*b"edts", &boxed(*b"elst", &entry.map(u32::to_be_bytes).concat()));
    let join = |all: &[([u8; 4], Vec<u8>)]| all.iter().flat_map(|(k, c)| boxed(*k, c)).collect::<Vec<u8>>();
    let mut trak: Vec<_> = trak.into_iter().filter(|b| &b.0 != b"edts").collect();
    trak.insert(1, (*b"edts", list[8..].to_vec()));
    let moov: Vec<_> =
        moov.into_iter().map(|(k, c)| if &k == b"trak" { (k, join(&trak)) } else { (k, c) }).collect();
    // The header is the last box: what comes before it stays where it is, byte for byte.
    let whole = std::fs::read(&bench.film).unwrap();
    assert_eq!(&file.last().unwrap().0, b"moov");
    let start = whole.len() - find(&file, *b"moov").len() - 8;
    let path = bench.path("edited.mp4");
    std::fs::write(&path, [&whole[..start], &boxed(*b"moov", &join(&moov))].concat()).unwrap();
    let media = plays(&path, 12, 48);
    assert_eq!(media.index.time(0), MatchTime::ZERO);
    assert!(media.warnings.is_empty(), "{:?}", media.warnings);
}

#[test]
fn two_films_two_sounds_and_subtitles() {
    let bench = Bench::of(&Film { sound: true, ..Film::constant("30", 60) });
    let (second, text, path) = (bench.path("second.mp4"), bench.path("words.srt"), bench.path("all.mkv"));
    Film { sound: true, ..Film::constant("25", 30) }.write(&second);
    std::fs::write(&text, "1\n00:00:00,200 --> 00:00:01,000\nwide serve\n").unwrap();
    let line = format!(
        "matroskamux name=m ! {}  {} ! qtdemux name=a  {} ! qtdemux name=b \
         a.video_0 ! queue ! h264parse ! m.video_0  a.audio_0 ! queue ! aacparse ! m.audio_0 \
         b.video_0 ! queue ! h264parse ! m.video_1  b.audio_0 ! queue ! aacparse ! m.audio_1 \
         {} ! subparse ! queue ! m.subtitle_0",
        to(&path),
        from(&bench.film),
        from(&second),
        from(&text)
    );
    run(&line, |_| {});
    let media = plays(&path, 0, 60);
    assert!(media.has_audio);
    assert!(
        media.warnings.iter().any(|w| w.contains("holds 2 video tracks; the first")),
        "{:?}",
        media.warnings
    );
}

#[test]
fn sound_that_is_garbage() {
    let bench = Bench::of(&Film { sound: true, ..Film::constant("30", 60) });
    let path = bench.path("hiss.mp4");
    let line = format!(
        "{} ! qtdemux name=d  mp4mux name=m ! {}  d.video_0 ! queue ! h264parse ! m. \
         d.audio_0 ! queue ! aacparse ! identity name=spoil ! m.",
        from(&bench.film),
        to(&path)
    );
    run(&line, |p| {
        source(p, "spoil").add_probe(gst::PadProbeType::BUFFER, |_, info| {
            let mut n = 1u32;
            let buffer = info.buffer_mut().unwrap().make_mut();
            for byte in buffer.map_writable().unwrap().iter_mut() {
                n = n.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                *byte = (n >> 24) as u8;
            }
            gst::PadProbeReturn::Ok
        });
    });
    let media = plays(&path, 0, 60);
    let mut s = Screen::of(&media);
    s.wait_for(0);
    s.player.play();
    s.wait_until("the end", |s| s.others.iter().any(|e| matches!(e, PlayerEvent::Ended)));
    assert_eq!(s.shown, Some(59));
}

/// A recording that was switched on in the middle: the first seven pictures are lost, among them the complete one.
fn without_its_start(mux: &str, ending: &str) -> Arc<FootageFile> {
    let bench = Bench::of(&Film { gop: 20, ..Film::constant("30", 60) });
    let path = bench.path(&format!("headless.{ending}"));
    let line = format!(
        "{} ! qtdemux ! h264parse config-interval=-1 ! identity name=cut ! {mux} ! {}",
        from(&bench.film),
        to(&path)
    );
    run(&line, |p| {
        let gone = AtomicU32::new(0);
        source(p, "cut").add_probe(gst::PadProbeType::BUFFER, move |_, _| {
            let lost = gone.fetch_add(1, Ordering::SeqCst) < 7;
            if lost { gst::PadProbeReturn::Drop } else { gst::PadProbeReturn::Ok }
        });
    });
    plays(&path, 20, 40)
}

#[test]
fn no_complete_picture_at_the_start() {
    for (mux, ending) in [("mp4mux", "mp4"), ("matroskamux", "mkv"), ("mpegtsmux", "ts")] {
        let media = without_its_start(mux, ending);
        assert!(media.index.is_key(0));
        if ending != "ts" {
            let said = media.warnings.iter().any(|w| w.contains("the first 13 frames cannot be shown"));
            assert!(said, "{ending}: {:?}", media.warnings);
        }
    }
}

#[test]
fn turned_and_of_variable_rate() {
    film_test(&Film { rotation: 90, sound: true, ..Film::varying(40) }, None, 12);
    film_test(&Film { rotation: 180, b_frames: 2, ..Film::varying(40) }, None, 12);
}

/// The place of a WebM file's length, an eight-byte number (element 0x4489). It stands before the first cluster; in the
/// pictures the same bytes are chance.
fn length_place(webm: &[u8]) -> Option<usize> {
    let head = webm.windows(4).position(|w| w == [0x1f, 0x43, 0xb6, 0x75]).unwrap_or(webm.len());
    webm[..head].windows(3).position(|w| w == [0x44, 0x89, 0x88]).map(|i| i + 3)
}

#[test]
fn webm_without_a_length() {
    let bench = Bench::of(&Film { container: Container::WebM, sound: true, ..Film::constant("30", 60) });
    let path = bench.path("live.webm");
    let line = format!(
        "{} ! matroskademux name=d  webmmux name=m streamable=true ! {}  d.video_0 ! queue ! m. \
         d.audio_0 ! queue ! opusparse ! m.",
        from(&bench.film),
        to(&path)
    );
    run(&line, |_| {});
    assert!(length_place(&std::fs::read(&bench.film).unwrap()).is_some());
    assert_eq!(length_place(&std::fs::read(&path).unwrap()), None);
    let media = plays(&path, 0, 60);
    assert!(media.duration > MatchTime::from_millis(1950) && media.duration < MatchTime::from_millis(2050));
}

#[test]
fn six_frames_that_claim_to_last_35_s() {
    let bench = Bench::of(&Film { container: Container::WebM, ..Film::constant("30", 6) });
    let mut bytes = std::fs::read(&bench.film).unwrap();
    let at = length_place(&bytes).unwrap();
    bytes[at..at + 8].copy_from_slice(&35_000f64.to_be_bytes());
    let path = bench.path("long.webm");
    std::fs::write(&path, bytes).unwrap();
    let media = plays(&path, 0, 6);
    assert!(media.warnings.iter().any(|w| w.contains("says it lasts 35.0 s")), "{:?}", media.warnings);
}

/// Opening tells how far it is. The watcher takes its time, so that it is asked again at every frame.
#[test]
fn opening_tells_how_far_it_is() {
    let mp4 = Bench::of(&Film::constant("30", 30));
    let webm = Bench::of(&Film { container: Container::WebM, ..Film::constant("30", 30) });
    let mut bytes = std::fs::read(&webm.film).unwrap();
    let at = length_place(&bytes).unwrap();
    // No length: the name of the element becomes that of an empty place (0xEC).
    bytes.splice(at - 3..at, [0xEC, 0x89, 0]);
    std::fs::write(&webm.film, bytes).unwrap();
    for path in [&mp4.film, &webm.film] {
        let mut told = Vec::new();
        let media = probe_watched(path, &mut |part| {
            told.push(part);
            std::thread::sleep(Duration::from_millis(55));
            ControlFlow::Continue(())
        });
        assert_eq!(media.unwrap().index.len(), 30);
        assert!(told.is_sorted() && told[0] >= 0.0, "{told:?}");
        assert!(told.last().is_some_and(|p| (p - 1.0).abs() < 1e-9), "{told:?}");
        assert!(told.iter().filter(|p| (0.1..0.9).contains(*p)).count() >= 3, "{told:?}");
    }
}

#[test]
fn opening_can_be_stopped() {
    let bench = Bench::of(&Film::constant("30", 60));
    for after in [1, 3] {
        let mut asked = 0;
        let stopped = probe_watched(&bench.film, &mut |_| {
            asked += 1;
            std::thread::sleep(Duration::from_millis(55));
            if asked == after { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert!(matches!(stopped, Err(VideoError::Stopped { .. })), "{stopped:?}");
        assert_eq!(asked, after);
    }
    assert_eq!((WIDTH, HEIGHT), (opened(&bench.film).unwrap().width, HEIGHT));
}
