//! Voices that are written, cut off anywhere, read again and joined.

use std::collections::BTreeMap;
use std::path::Path;

use super::take::with;
use super::{
    TakeWriter, VOICE_RATE, Voice, VoiceError, VoiceFile, forget, recover, sample_at, takes_left,
    talk_folder, time_of,
};
use crate::lesson::talk::{Action, Deed, Piece, Shown, Talk};
use crate::lesson::{Clip, Edit, Footage, Lesson};
use crate::time::MatchTime;

const fn ms(n: u64) -> MatchTime {
    MatchTime::from_millis(n)
}

fn shown() -> Shown {
    let footage = Footage { file: "m.mp4".into(), fingerprint: None, duration: ms(90_000), rate: None };
    let clip = serde_json::json!({ "footage": footage, "from": ms(0), "to": ms(5000) });
    Shown { chapter: "One".into(), clip: serde_json::from_value::<Clip>(clip).unwrap() }
}

fn appears() -> Action {
    Action { at: ms(0), does: Deed::Clip { clip: 0, moment: ms(0) } }
}

/// Samples that tell where they are.
fn counted(from: u64, count: u64) -> Vec<i16> {
    (from..from + count).map(|n| (n % 30_011) as i16 + 1).collect()
}

fn written(lesson: &Path, samples: u64) -> TakeWriter {
    let mut take = TakeWriter::begin(lesson, None).unwrap();
    take.show(shown()).unwrap();
    take.act(appears()).unwrap();
    for n in (0..samples).step_by(480) {
        take.hear(&counted(n, 480.min(samples - n))).unwrap();
    }
    take
}

#[test]
fn a_take_is_a_wav_that_others_read_and_comes_back_sample_by_sample() {
    let dir = tempfile::tempdir().unwrap();
    let lesson = dir.path().join("drops.lesson.json");
    let mut take = written(&lesson, 70_000);
    take.act(Action { at: ms(900), does: Deed::Wipe }).unwrap();
    // A line is noted when it is drawn to its end; what comes after the voice is not there.
    take.act(Action { at: ms(500), does: Deed::Pause { moment: ms(80) } }).unwrap();
    take.act(Action { at: ms(1500), does: Deed::Wipe }).unwrap();
    let kept = take.finish().unwrap();
    let take = &kept.take;
    assert_eq!((take.voice.file.as_str(), take.voice.duration), ("drops.talk/take-1.wav", time_of(70_000)));
    assert_eq!(take.actions.iter().map(|a| a.at).collect::<Vec<_>>(), [ms(0), ms(500), ms(900)]);
    let edit = Edit::SetTalk { talk: Some(Box::new(Talk::default().then(take.clone()))) };
    Lesson::default().apply(edit).unwrap();
    let path = talk_folder(&lesson).join("take-1.wav");
    let mut voice = VoiceFile::open(&path).unwrap();
    assert_eq!(voice.samples(), 70_000);
    assert_eq!(voice.read(70_000).unwrap(), counted(0, 70_000));
    voice.go(69_990).unwrap();
    assert_eq!(voice.read(20).unwrap(), [counted(69_990, 10), vec![0; 10]].concat());
    assert!(with(&talk_folder(&lesson).join("take-1"), ".actions.part").exists());
    forget(&lesson, &kept);
    assert_eq!(std::fs::read_dir(talk_folder(&lesson)).unwrap().count(), 1);
    let probe = std::process::Command::new("ffprobe")
        .args([
            "-v",
            "error",
            "-show_entries",
            "stream=codec_name,sample_rate,channels,duration_ts",
            "-of",
            "csv=p=0",
        ])
        .arg(&path)
        .output();
    if let Ok(out) = probe {
        assert_eq!(String::from_utf8_lossy(&out.stdout).trim(), "pcm_s16le,48000,1,70000");
    }
    assert_eq!(written(&lesson, 480).finish().unwrap().take.voice.file, "drops.talk/take-2.wav");
}

#[test]
fn whatever_a_kill_leaves_is_a_take_again() {
    let dir = tempfile::tempdir().unwrap();
    let lesson = dir.path().join("l.lesson.json");
    drop(written(&lesson, 96_000));
    let stem = talk_folder(&lesson).join("take-1");
    let (wav, log) = (with(&stem, ".wav.part"), with(&stem, ".actions.part"));
    let all = [std::fs::read(&wav).unwrap(), std::fs::read(&log).unwrap()];
    // At most a quarter of a second waits to be written; here the test is faster than that.
    let mut whole = all[0].clone();
    whole.extend(counted((whole.len() as u64 - 44) / 2, 96_000).iter().flat_map(|s| s.to_le_bytes()));
    let torn = [all[1].clone(), br#"{"action":{"at":"00:00:0"#.to_vec()].concat();
    for cut in [44, 45, 46, 47, 1000, 1001, whole.len() - 1, whole.len()] {
        for done in [all[1].as_slice(), &torn] {
            std::fs::write(&wav, &whole[..cut]).unwrap();
            std::fs::write(&log, done).unwrap();
            let found = recover(&lesson, None);
            let samples = (cut as u64 - 44) / 2;
            if samples == 0 {
                assert!(found.is_empty());
                assert_eq!(std::fs::read_dir(talk_folder(&lesson)).unwrap().count(), 0);
                continue;
            }
            let kept = found.into_iter().next().unwrap().unwrap();
            assert_eq!(kept.take.voice.duration, time_of(samples));
            assert_eq!((kept.take.clips.len(), kept.take.actions.len()), (1, 1));
            let mut voice = VoiceFile::open(&with(&stem, ".wav")).unwrap();
            assert_eq!(voice.samples(), samples);
            assert_eq!(voice.read(samples as usize).unwrap(), counted(0, samples));
            // Killed before the lesson named it: it is found again. Afterwards only its log goes.
            assert_eq!(recover(&lesson, None).len(), 1);
            assert!(recover(&lesson, Some(&Talk::default().then(kept.take))).is_empty());
            assert!(!log.exists() && with(&stem, ".wav").exists());
            std::fs::remove_file(with(&stem, ".wav")).unwrap();
        }
    }
    std::fs::write(&log, b"").unwrap();
    assert!(recover(&lesson, None).iter().all(Result::is_err), "a log without a voice");
}

#[test]
fn a_voice_whose_log_is_damaged_is_kept() {
    let dir = tempfile::tempdir().unwrap();
    let lesson = dir.path().join("l.lesson.json");
    drop(written(&lesson, 480));
    let stem = talk_folder(&lesson).join("take-1");
    let (wav, log) = (with(&stem, ".wav.part"), with(&stem, ".actions.part"));
    let bytes: Vec<u8> = counted(0, 96_000).iter().flat_map(|s| s.to_le_bytes()).collect();
    for damaged in [b"".as_slice(), b"\0\0\0\n", b"{\"take\":{\"version\":1,\"after\":null}}\n{\"sho"] {
        std::fs::write(&wav, [&super::wav::head(0), bytes.as_slice()].concat()).unwrap();
        std::fs::write(&log, damaged).unwrap();
        assert!(recover(&lesson, None).is_empty());
        assert_eq!(takes_left(&lesson, None), ["take-1.wav.part"]);
        assert_eq!(VoiceFile::open(&wav).unwrap().samples(), 96_000);
    }
    assert_eq!(written(&lesson, 480).finish().unwrap().take.voice.file, "l.talk/take-2.wav");
}

#[test]
fn the_voice_of_a_talk_is_that_of_its_pieces() {
    let dir = tempfile::tempdir().unwrap();
    let lesson = dir.path().join("l.lesson.json");
    let kept = written(&lesson, u64::from(VOICE_RATE) * 3).finish().unwrap();
    let files = BTreeMap::from([(kept.take.voice.file.clone(), talk_folder(&lesson).join("take-1.wav"))]);
    let mut talk = Talk::default().then(kept.take.clone());
    let piece = |from, to| Piece { take: 0, from: ms(from), to: ms(to) };
    talk.pieces = vec![piece(0, 1000), piece(2000, 2500), piece(500, 700)];
    let mut voice = Voice::of(&talk, &files);
    assert_eq!(voice.samples(), sample_at(ms(1700)));
    let mut all = Vec::new();
    while voice.at() < voice.samples() + 100 {
        all.extend(voice.read(777).unwrap());
    }
    let whole = counted(0, 144_000);
    for (at, from) in [(0u64, 0u64), (1000, 2000), (1500, 500)] {
        // Within 5 ms of a cut it is softer.
        let (a, b) = (at as usize * 48 + 300, from as usize * 48 + 300);
        assert_eq!(all[a..a + 5000], whole[b..b + 5000], "the piece at {at} ms");
    }
    assert!(all[sample_at(ms(1700)) as usize..].iter().all(|s| *s == 0));
    let mut away = Voice::of(&talk, &BTreeMap::new());
    assert!(away.read(100).unwrap().iter().all(|s| *s == 0));
    voice.go(48_300);
    assert_eq!(voice.read(10).unwrap(), whole[96_300..96_310]);
}

#[test]
fn what_is_no_voice_is_refused_and_nothing_is_kept_of_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("x.wav");
    let mut stereo = super::wav::head(2).to_vec();
    stereo[22] = 2;
    for bytes in [b"".to_vec(), b"RIFF....WAVE".to_vec(), vec![0; 100], stereo] {
        std::fs::write(&path, bytes).unwrap();
        assert!(matches!(VoiceFile::open(&path), Err(VoiceError::NoVoice { .. })));
    }
    assert!(matches!(VoiceFile::open(dir.path()), Err(VoiceError::NoVoice { .. })));
    let lesson = dir.path().join("l.lesson.json");
    assert!(matches!(written(&lesson, 0).finish(), Err(VoiceError::Nothing)));
    assert_eq!(std::fs::read_dir(talk_folder(&lesson)).unwrap().count(), 0);
    std::fs::remove_dir(talk_folder(&lesson)).unwrap();
    std::fs::write(talk_folder(&lesson), b"mine").unwrap();
    let said = TakeWriter::begin(&lesson, None).unwrap_err().to_string();
    assert!(said.contains("l.talk"), "{said}");
    assert_eq!(std::fs::read(talk_folder(&lesson)).unwrap(), b"mine");
}

#[test]
fn times_and_samples_agree() {
    for n in [0, 1, 479, 48_000, 48_001, 1_000_003, 48_000 * 10_800] {
        assert_eq!(sample_at(time_of(n)), n);
    }
}
