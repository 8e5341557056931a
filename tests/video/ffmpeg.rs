//! Films made on the spot by another encoder: for each, what `ffprobe` says of it, or a refusal that names the reason.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use changeover::frames::FootageFile;
use changeover::time::MatchTime;
use changeover::video::{PlayerEvent, VideoError};

use crate::bad_files::opened;
use crate::film::{Film, Screen};

/// Pictures and sound to be encoded.
const PICTURES: &str = "-f lavfi -i testsrc2=s=160x90:r=30:d=3";
const LARGER: &str = "-f lavfi -i testsrc2=s=240x136:r=30:d=3";
const SOUND: &str = "-f lavfi -i sine=440:d=3";
const H264: &str = "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 30 -c:a aac";
const B_FRAMES: &str = "-c:v libx264 -preset superfast -bf 2 -pix_fmt yuv420p -g 30 -c:a aac";

/// A folder for films.
pub struct Folder(tempfile::TempDir);

impl Folder {
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Has a film made, in the folder, by words for `ffmpeg` of which the last is its name.
    pub fn make(&self, words: &str) -> PathBuf {
        let mut ffmpeg = Command::new("ffmpeg");
        ffmpeg.args(["-v", "error", "-y", "-nostdin"]).current_dir(self.0.path());
        ffmpeg.args(words.split_whitespace());
        let out = ffmpeg
            .output()
            .unwrap_or_else(|e| panic!("ffmpeg does not run ({e}): scripts/setup installs it"));
        assert!(out.status.success(), "{words}: {}", String::from_utf8_lossy(&out.stderr));
        self.path(words.split_whitespace().last().unwrap())
    }

    /// Writes a file from the start of another.
    fn cut(&self, whole: &Path, part: f64, name: &str) -> PathBuf {
        let bytes = std::fs::read(whole).unwrap();
        let path = self.path(name);
        std::fs::write(&path, &bytes[..(bytes.len() as f64 * part) as usize]).unwrap();
        path
    }

    /// Writes two files into one.
    fn join(&self, first: &Path, second: &Path, name: &str) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, [std::fs::read(first).unwrap(), std::fs::read(second).unwrap()].concat())
            .unwrap();
        path
    }
}

/// What `ffprobe` says of the first film in a file.
#[derive(Debug)]
pub struct Probed {
    pub frames: usize,
    /// Seconds, where the file says so.
    pub lasts: Option<f64>,
    starts: f64,
    /// Degrees clockwise.
    rotation: u16,
}

pub fn probed(path: &Path) -> Probed {
    probed_stream(path, "v:0")
}

/// Of the first stream with pictures that is no picture of a cover.
fn probed_film(path: &Path) -> Probed {
    probed_stream(path, "V:0")
}

fn probed_stream(path: &Path, stream: &str) -> Probed {
    let entries = "stream=nb_read_frames,duration,start_time:format=start_time:stream_side_data=rotation";
    let out = Command::new("ffprobe")
        .args(["-v", "error", "-count_frames", "-select_streams", stream, "-of", "json", "-show_entries"])
        .arg(entries)
        .arg(path)
        .output()
        .unwrap();
    let all: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let stream = &all["streams"][0];
    let number = |v: &serde_json::Value| v.as_str().and_then(|s| s.parse::<f64>().ok());
    let turned = stream["side_data_list"][0]["rotation"].as_i64().unwrap_or(0);
    // Other players count these from the first picture or sound.
    let counted = ["ts", "m2ts", "mkv", "webm"].iter().any(|ending| path.extension().unwrap() == *ending);
    let from = number(&all["format"]["start_time"]).filter(|_| counted);
    Probed {
        frames: stream["nb_read_frames"].as_str().unwrap().parse().unwrap(),
        lasts: number(&stream["duration"]),
        starts: number(&stream["start_time"]).unwrap_or(0.0) - from.unwrap_or(0.0),
        rotation: (-turned).rem_euclid(360) as u16,
    }
}

/// Opens a film, holds it against what `ffprobe` says, and goes to its first, middle and last frame.
fn as_probed(path: &Path) -> Arc<FootageFile> {
    let media = Arc::new(opened(path).unwrap());
    let (said, name) = (probed(path), path.display());
    assert_eq!(media.index.len(), said.frames, "{name}: {:?}", media.warnings);
    assert_eq!(media.rotation, said.rotation, "{name}");
    let first = media.index.time(0);
    assert!((first.as_secs_f64() - said.starts).abs() < 0.002, "{name}: starts at {first}, {said:?}");
    let lasts = (media.duration - first).as_secs_f64();
    let wanted = said.lasts.unwrap_or(said.frames as f64 / 30.0);
    // Fragments and AVI say it less exactly than their frames do.
    assert!((lasts - wanted).abs() < 0.035, "{name}: lasts {lasts} s, {said:?}");
    let mut s = Screen { read: |frame| frame.index, ..Screen::of(&media) };
    s.wait_for(0);
    let last = media.index.len() - 1;
    for frame in [last / 2, last / 2 - 1, last, 1] {
        s.go(frame);
    }
    media
}

/// As [`as_probed`], and there is nothing odd about it.
fn plain(path: &Path) {
    let media = as_probed(path);
    assert!(media.warnings.is_empty(), "{:?}", media.warnings);
}

/// As [`as_probed`], with one note that says so.
fn noted(path: &Path, words: &str) {
    let media = as_probed(path);
    assert!(
        media.warnings.len() == 1 && media.warnings[0].contains(words),
        "{}: {:?}",
        path.display(),
        media.warnings
    );
}

#[test]
fn transport_streams_start_where_other_players_start_them() {
    let folder = Folder::new();
    plain(&folder.make(&format!("{PICTURES} {SOUND} {B_FRAMES} sound.ts")));
    plain(&folder.make(&format!("{PICTURES} {B_FRAMES} silent.ts")));
    plain(&folder.make(&format!("{PICTURES} {SOUND} {H264} -output_ts_offset 3600 late.ts")));
    plain(&folder.make(&format!("{PICTURES} {SOUND} -c:v mpeg2video -g 15 -c:a mp2 old.ts")));
    folder.make(&format!(
        "{PICTURES} {SOUND} {B_FRAMES} -f hls -hls_time 1 -hls_segment_filename part%d.ts list.m3u8"
    ));
    plain(&folder.path("part1.ts"));
}

/// Camcorders and other programs write these with four bytes more before each packet.
#[test]
fn camcorder_files_with_and_without_a_form_of_their_sound() {
    let folder = Folder::new();
    let all = format!("{PICTURES} {SOUND} {B_FRAMES} -f mpegts -mpegts_m2ts_mode 1");
    plain(&folder.make(&format!("{all} -c:a ac3 said.m2ts")));
    // The list of streams has no word for this sound in such a file, but perhaps one for its language.
    for language in ["", "-metadata:s:a language=eng"] {
        let media = opened(&folder.make(&format!("{all} {language} unsaid.m2ts"))).unwrap();
        assert!(media.index.len() == 90 && !media.has_audio);
        let said = "there is sound in this file, but the file does not say in which form";
        assert!(media.warnings.len() == 1 && media.warnings[0].contains(said), "{:?}", media.warnings);
    }
}

/// Strikes are told on the same clock as frames.
#[test]
fn strikes_in_a_transport_stream_are_on_the_clock_of_its_frames() {
    let folder = Folder::new();
    let click = "aevalsrc=if(lt(mod(t\\,1)\\,0.004)\\,random(0)-0.5\\,0):s=48000:d=3";
    let all = format!("{PICTURES} -f lavfi -i {click} -map 0 -map 1 {H264}");
    let heard = |name: &str| {
        let path = folder.make(&format!("{all} {name}"));
        changeover::video::strikes(&path, &mut |_| std::ops::ControlFlow::Continue(())).unwrap()
    };
    let (there, here) = (heard("clicks.mp4"), heard("clicks.ts"));
    assert!(!there.is_empty());
    let first = |all: &[changeover::video::Strike]| all[0].at.as_secs_f64();
    assert!((first(&there) - first(&here)).abs() < 0.06, "{} and {}", first(&there), first(&here));
}

/// The remainder of a section of a transport stream (ISO/IEC 13818-1, annex B).
fn crc(section: &[u8]) -> u32 {
    section.iter().fold(u32::MAX, |crc, byte| {
        (0..8)
            .fold(crc ^ u32::from(*byte) << 24, |c, _| (c << 1) ^ if c >> 31 == 1 { 0x04C1_1DB7 } else { 0 })
    })
}

/// The stream without clock references: none in the packets, and 8191 as the number of the packets that have them.
fn without_clock(stream: &mut [u8]) {
    let mut table = None;
    for p in stream.chunks_exact_mut(188) {
        let number = u16::from_be_bytes([p[1] & 0x1F, p[2]]);
        let has_field = p[3] & 0x20 != 0;
        let section = 5 + if has_field { 1 + usize::from(p[4]) } else { 0 };
        if number == 0 && p[1] & 0x40 != 0 {
            table = Some(u16::from_be_bytes([p[section + 10] & 0x1F, p[section + 11]]));
        } else if Some(number) == table && p[1] & 0x40 != 0 {
            let end = section + usize::from(u16::from_be_bytes([p[section + 1] & 0x0F, p[section + 2]])) - 1;
            p[section + 8..section + 10].copy_from_slice(&[0xFF, 0xFF]);
            let crc = crc(&p[section..end]);
            p[end..end + 4].copy_from_slice(&crc.to_be_bytes());
        } else if has_field && p[4] >= 7 && p[5] & 0x10 != 0 {
            p[5] &= !0x10;
            p[6..12].fill(0xFF);
        }
    }
}

#[test]
fn a_transport_stream_without_clock_is_refused() {
    let folder = Folder::new();
    for streams in [format!("{PICTURES} {SOUND}"), PICTURES.to_owned()] {
        let path = folder.make(&format!("{streams} {B_FRAMES} clock.ts"));
        let mut bytes = std::fs::read(&path).unwrap();
        without_clock(&mut bytes);
        std::fs::write(&path, bytes).unwrap();
        let error = opened(&path).unwrap_err();
        assert!(matches!(error, VideoError::NoClock { .. }), "{error}");
        assert!(error.to_string().contains("no clock reference"), "{error}");
    }
}

/// The clock of such a stream comes with its pictures.
#[test]
fn a_transport_stream_whose_pictures_start_late_is_refused_with_that_reason() {
    let folder = Folder::new();
    let words = format!("-itsoffset 2 {PICTURES} {SOUND} -map 0:v -map 1:a {H264} late.ts");
    let error = opened(&folder.make(&words)).unwrap_err();
    assert!(matches!(error, VideoError::LateClock { .. }), "{error}");
    let said = error.to_string();
    assert!(
        said.contains("starts later than its sound or pictures") && said.contains("convert it to MP4"),
        "{said}"
    );
    // As the message says.
    as_probed(&folder.make("-i late.ts -c copy late.mp4"));
}

#[test]
fn sound_that_goes_on_much_longer() {
    let folder = Folder::new();
    let all = format!("{PICTURES} -f lavfi -i sine=440:d=18 {H264}");
    for name in ["long.mp4", "long.mov", "long.mkv", "long.ts"] {
        plain(&folder.make(&format!("{all} {name}")));
    }
    plain(&folder.make(&format!("{all} -movflags +faststart first.mp4")));
    // A fragment does not say how long its last frame is shown.
    plain(&folder.make(&format!("{all} -movflags +frag_keyframe+empty_moov fragments.mp4")));
    let media = as_probed(&folder.path("long.mp4"));
    assert!(media.has_audio);
}

/// Playing ends with the pictures.
#[test]
fn a_film_with_longer_sound_ends_with_its_pictures() {
    let folder = Folder::new();
    let path = folder.make(&format!("{PICTURES} -f lavfi -i sine=440:d=18 {H264} long.mp4"));
    let media = Arc::new(opened(&path).unwrap());
    let mut s = Screen { read: |frame| frame.index, ..Screen::of(&media) };
    s.wait_for(0);
    s.player.play();
    s.wait_until("the end", |s| s.others.iter().any(|e| matches!(e, PlayerEvent::Ended)));
    assert_eq!(s.shown, Some(89));
}

#[test]
fn a_second_film_that_is_longer() {
    let folder = Folder::new();
    let all = format!("{PICTURES} -f lavfi -i testsrc=s=160x90:r=25:d=9 -map 0 -map 1 {H264}");
    for name in ["two.mp4", "two.mkv"] {
        noted(&folder.make(&format!("{all} {name}")), "holds 2 video tracks; the first is shown");
    }
}

#[test]
fn a_size_that_changes() {
    let folder = Folder::new();
    let said = "the size of the picture changes from 160 × 90 to 240 × 136 at 00:00:03";
    let (small, large) = (
        folder.make(&format!("{PICTURES} {H264} small.ts")),
        folder.make(&format!("{LARGER} {H264} large.ts")),
    );
    let path = folder.join(&small, &large, "both.ts");
    let media = Arc::new(opened(&path).unwrap());
    assert_eq!((media.index.len(), media.resized), (180, Some(MatchTime::from_secs(3))));
    assert!(media.warnings.iter().any(|w| w.contains(said)), "{:?}", media.warnings);

    let vp8 = "-c:v libvpx -deadline realtime -cpu-used 8 -g 30";
    folder.make(&format!("{PICTURES} {vp8} small.webm"));
    folder.make(&format!("{LARGER} {vp8} large.webm"));
    std::fs::write(folder.path("list.txt"), "file small.webm\nfile large.webm\n").unwrap();
    noted(&folder.make("-f concat -i list.txt -c copy both.webm"), said);
}

/// Where the file does not say it, it is told when it is seen.
#[test]
fn a_size_that_changes_unseen_is_told_when_it_comes() {
    let folder = Folder::new();
    let (small, large) = (
        folder.make(&format!("{PICTURES} {H264} small.h264")),
        folder.make(&format!("{LARGER} {H264} large.h264")),
    );
    folder.join(&small, &large, "both.h264");
    let media = Arc::new(opened(&folder.make("-r 30 -i both.h264 -c copy both.mp4")).unwrap());
    assert_eq!(media.index.len(), 180);
    let mut s = Screen { read: |frame| frame.index, ..Screen::of(&media) };
    s.wait_for(0);
    let told = |s: &Screen| {
        let said = |e: &PlayerEvent| matches!(e, PlayerEvent::Warning(w) if w.contains("from 160 × 90 to 240 × 136"));
        s.others.iter().filter(|e| said(e)).count()
    };
    s.go(60);
    assert_eq!(told(&s), 0);
    s.go(120);
    s.go(150);
    assert_eq!(told(&s), 1, "{:?}", s.others);
}

#[test]
fn webm_with_transparency_and_without_duration() {
    let folder = Folder::new();
    let clear =
        "-vf format=yuva420p,geq=lum='p(X,Y)':a='128' -auto-alt-ref 0 -deadline realtime -cpu-used 8 -g 30";
    plain(&folder.make(&format!("{PICTURES} {clear} -c:v libvpx clear8.webm")));
    plain(&folder.make(&format!("{PICTURES} {clear} -c:v libvpx-vp9 clear9.webm")));
    let live = "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -g 30 -c:a libopus -live 1";
    plain(&folder.make(&format!("{PICTURES} {live} live.webm")));
}

#[test]
fn stills_and_animations_are_called_that() {
    let folder = Folder::new();
    let still = "-f lavfi -i testsrc2=s=160x90:r=1:d=1 -frames:v 1";
    let moving = "-f lavfi -i testsrc2=s=160x90:r=10:d=1";
    for (words, said) in [
        (format!("{still} a.png"), "this is a still picture (PNG)"),
        (format!("{still} a.jpg"), "this is a still picture (JPEG)"),
        (format!("{still} a.bmp"), "this is a still picture (BMP)"),
        (format!("{still} a.tiff"), "this is a still picture (TIFF)"),
        (format!("{still} a.webp"), "this is a still picture (WebP)"),
        (format!("{moving} b.gif"), "this is an animation (GIF)"),
        (format!("{moving} -loop 0 b.webp"), "this is an animation (WebP)"),
        (format!("{moving} -f apng b.png"), "this is an animation (PNG)"),
    ] {
        let error = opened(&folder.make(&words)).unwrap_err();
        assert!(matches!(error, VideoError::Picture { .. }) && error.to_string().contains(said), "{error}");
    }
}

#[test]
fn films_that_were_cut_off_say_so() {
    let folder = Folder::new();
    let broke = "The recording or its copy broke off";
    for pixels in ["rgb24", "uyvy422"] {
        let raw = format!("{PICTURES} -c:v rawvideo -pix_fmt {pixels} -movflags +faststart {pixels}.mov");
        let whole = folder.make(&raw);
        plain(&whole);
        let cut = opened(&folder.cut(&whole, 0.4, "cut.mov")).unwrap();
        assert!((30..40).contains(&cut.index.len()) && cut.warnings[0].contains(broke), "{:?}", cut.warnings);
    }
    let whole = folder.make(&format!("{PICTURES} {SOUND} {H264} -movflags +faststart first.mp4"));
    let cut = opened(&folder.cut(&whole, 0.5, "cut.mp4")).unwrap();
    assert!(cut.index.len() < 60 && cut.warnings[0].contains(broke), "{:?}", cut.warnings);
    let fragments = "-movflags +frag_keyframe+empty_moov fragments.mp4";
    let whole = folder.make(&format!("{PICTURES} {SOUND} {H264} {fragments}"));
    for part in [0.5, 0.65, 0.9, 0.99] {
        let path = folder.cut(&whole, part, "cut-fragments.mp4");
        let (cut, said) = (Arc::new(opened(&path).unwrap()), probed(&path));
        assert!(cut.warnings[0].contains(broke), "{:?}", cut.warnings);
        // The last picture may be there in part only.
        let missing = said.frames - cut.index.len();
        assert!(missing <= 1, "{missing} of {} frames are missing, cut at {part}", said.frames);
        let mut s = Screen { read: |frame| frame.index, ..Screen::of(&cut) };
        s.go(cut.index.len() - 1);
    }
    let whole = folder.make(&format!("{PICTURES} -c:v huffyuv whole.avi"));
    let cut = opened(&folder.cut(&whole, 0.4, "cut.avi")).unwrap();
    assert!((30..40).contains(&cut.index.len()) && cut.warnings[0].contains(broke), "{:?}", cut.warnings);
    let whole = folder.make(&format!("{PICTURES} {SOUND} {H264} last.mp4"));
    let error = opened(&folder.cut(&whole, 0.5, "headless.mp4")).unwrap_err();
    assert!(matches!(error, VideoError::Incomplete { .. }), "{error}");
}

#[test]
fn edits_fragments_and_rotations() {
    let folder = Folder::new();
    let whole = format!("{PICTURES} {SOUND} {B_FRAMES}");
    plain(&folder.make(&format!("{whole} whole.mp4")));
    plain(&folder.make(&format!("{whole} -movflags +frag_keyframe+empty_moov+default_base_moof parts.mp4")));
    plain(&folder.make("-ss 1.5 -i whole.mp4 -c copy from-within.mp4"));
    // Not all fragments are empty of frames in the header.
    for frames in [H264, B_FRAMES] {
        let words = format!("{PICTURES} {SOUND} {frames} -movflags");
        plain(&folder.make(&format!("{words} +frag_keyframe header-and-fragments.mp4")));
        plain(&folder.make(&format!("{words} +frag_keyframe+separate_moof apart.mp4")));
        plain(&folder.make(&format!("{words} +frag_keyframe+delay_moov late-header.mp4")));
    }
    plain(
        &folder.make(&format!("{PICTURES} {B_FRAMES} -movflags +frag_keyframe -g 45 silent-fragments.mp4")),
    );
    // Fragments are announced, and none comes.
    plain(&folder.make(&format!("{PICTURES} {B_FRAMES} -movflags +frag_keyframe -g 250 no-fragments.mp4")));
    // The first frame is late by its shift, and the last ones end as much after the track's length.
    plain(&folder.make("-i whole.mp4 -c copy -use_editlist 0 without-edits.mp4"));
    plain(&folder.make("-itsoffset 0.7 -i whole.mp4 -i whole.mp4 -map 0:v -map 1:a -c copy later.mp4"));
    for late in [1, 3] {
        plain(&folder.make(&format!("-itsoffset {late} -i whole.mp4 -c copy late.mkv")));
        let sound = "-i whole.mp4 -map 0:v -map 1:a -c copy";
        plain(&folder.make(&format!("-itsoffset {late} -i whole.mp4 {sound} pictures-late.mkv")));
        plain(&folder.make(&format!("-itsoffset {late} -i whole.mp4 {sound} pictures-late.mp4")));
        plain(&folder.make(&format!("-itsoffset {late} -i whole.mp4 -an -c copy silent-late.mp4")));
    }
    plain(&folder.make("-i whole.mp4 -output_ts_offset 5 -c copy later.mkv"));
    for (degrees, name) in [(90, "on-its-side.mp4"), (180, "on-its-head.mov"), (270, "on-its-other-side.mp4")]
    {
        plain(&folder.make(&format!("-i whole.mp4 -c copy -metadata:s:v rotate={degrees} {name}")));
    }
}

#[test]
fn other_codecs_and_containers() {
    let folder = Folder::new();
    for words in [
        "-c:v libx265 -preset ultrafast -x265-params log-level=error -g 30 a.mp4",
        "-c:v libaom-av1 -cpu-used 8 -g 30 b.mp4",
        "-c:v mjpeg c.avi",
        "-c:v libtheora -q:v 5 -g 30 d.ogv",
        "-c:v flv1 e.flv",
    ] {
        plain(&folder.make(&format!("{PICTURES} {words}")));
    }
    let said = "does not say when its frames are shown";
    noted(&folder.make(&format!("{PICTURES} -c:v mpeg4 -g 30 f.avi")), said);
}

/// A film trimmed without encoding may begin within a frame. Other players leave that frame out.
#[test]
fn a_film_that_begins_within_a_frame() {
    let folder = Folder::new();
    for frames in [H264, B_FRAMES] {
        folder.make(&format!("{PICTURES} {SOUND} {frames} whole.mp4"));
        // A key frame comes soon after the last two begin.
        for begin in ["0.77", "1.01", "1.99", "1.6"] {
            let path = folder.make(&format!("-ss {begin} -i whole.mp4 -c copy within.mp4"));
            let (media, said) = (Arc::new(opened(&path).unwrap()), probed(&path));
            assert_eq!(media.index.len(), said.frames, "from {begin}: {:?}", media.warnings);
            assert!((media.duration.as_secs_f64() - said.lasts.unwrap()).abs() < 0.035, "{media:?}");
            assert!(
                media.index.time(0) < MatchTime::from_millis(34) && media.warnings.is_empty(),
                "{media:?}"
            );
            let mut s = Screen { read: |frame| frame.index, ..Screen::of(&media) };
            s.wait_for(0);
            let last = media.index.len() - 1;
            for frame in [1, last / 2, 0, last] {
                s.go(frame);
            }
            s.go(last - last / 3);
            s.player.play();
            s.wait_until("the end", |s| s.others.iter().any(|e| matches!(e, PlayerEvent::Ended)));
            assert_eq!(s.shown, Some(last), "from {begin}");
        }
    }
}

/// Films that no other test has.
#[test]
fn odd_films_are_as_others_see_them() {
    let folder = Folder::new();
    folder.make("-f lavfi -i color=red:s=64x64:d=1 -frames:v 1 cover.jpg");
    std::fs::write(folder.path("words.srt"), "1\n00:00:00,000 --> 00:00:02,000\nserve\n").unwrap();
    folder.make(&format!("{PICTURES} {SOUND} {B_FRAMES} whole.mp4"));
    let uneven = "-vf select=not(mod(n\\,3))+gt(n\\,45) -vsync vfr";
    let ten_bit = "-pix_fmt yuv420p10le -g 30";
    for words in [
        format!(
            "{PICTURES} {SOUND} -c:v libx265 -preset ultrafast -x265-params log-level=error {ten_bit} 1.mkv"
        ),
        format!("{PICTURES} -c:v libvpx-vp9 -profile:v 2 -deadline realtime -cpu-used 8 {ten_bit} 2.mkv"),
        format!("{PICTURES} {SOUND} -c:v h263 -s 176x144 -c:a aac 3.3gp"),
        format!("{PICTURES} {SOUND} -c:v mpeg2video -bf 2 -g 15 -c:a mp2 4.ts"),
        format!("-f lavfi -i testsrc2=s=160x90:r=30000/1001:d=3 {SOUND} -c:v mjpeg -c:a pcm_s16le 5.avi"),
        format!("{PICTURES} {uneven} {B_FRAMES} 6.mkv"),
        format!("-f lavfi -i testsrc2=s=160x90:r=240:d=1 {B_FRAMES} 7.mov"),
        format!("{PICTURES} -vf scale=321:241,setsar=16/11 {H264} -pix_fmt yuv444p 8.mp4"),
        format!("{PICTURES} -vf scale=160x96 {H264} -flags +ildct+ilme 9.mp4"),
        format!("{PICTURES} -c:v prores_ks 10.mov"),
        format!("{PICTURES} -c:v ffv1 11.mkv"),
        format!("{PICTURES} -frames:v 1 {H264} 12.mp4"),
        format!("{PICTURES} {SOUND} {B_FRAMES} -movflags +dash+delay_moov 13.mp4"),
        "-i whole.mp4 -i cover.jpg -map 0 -map 1 -c copy -c:v:1 mjpeg -disposition:v:1 attached_pic 14.mp4"
            .into(),
        "-i cover.jpg -i whole.mp4 -map 0 -map 1 -c copy -c:v:0 mjpeg -disposition:v:0 attached_pic 15.mp4"
            .into(),
        "-i whole.mp4 -map 0 -c copy -timecode 01:00:00:00 16.mov".into(),
        "-i whole.mp4 -i words.srt -map 0 -map 1 -c copy -c:s mov_text 17.mp4".into(),
        "-ss 1.3 -t 1.2 -i whole.mp4 -c copy -metadata:s:v rotate=90 18.mp4".into(),
        "-ss 1.3 -t 1.2 -i whole.mp4 -c copy 19.ts".into(),
        "-i whole.mp4 -itsoffset 1.5 -i whole.mp4 -map 1:a -map 0:v -c copy 20.mp4".into(),
    ] {
        let path = folder.make(&words);
        let (media, said) = (opened(&path).unwrap(), probed_film(&path));
        assert_eq!((media.index.len(), media.rotation), (said.frames, said.rotation), "{words}");
        let lasts = (media.duration - media.index.time(0)).as_secs_f64();
        assert!(said.lasts.is_none_or(|l| (lasts - l).abs() < 0.05), "{words}: {lasts}, {said:?}");
        assert!(media.warnings.is_empty(), "{words}: {:?}", media.warnings);
    }
}

/// Other programs, telephones and graphics cards play what this program writes.
#[test]
fn footage_of_our_own_is_in_the_form_that_every_decoder_knows() {
    let folder = Folder::new();
    let path = folder.path("own.mp4");
    Film::constant("30", 6).write(&path);
    let out = Command::new("ffprobe")
        .args(["-v", "error", "-select_streams", "v:0", "-show_entries", "stream=pix_fmt", "-of", "csv=p=0"])
        .arg(&path)
        .output()
        .unwrap();
    assert_eq!(String::from_utf8_lossy(&out.stdout).trim(), "yuv420p");
    plain(&path);
}
