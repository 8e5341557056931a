//! A process that records a talk is killed at random moments, and a disk that is full: at most a second of the voice is lost, and no
//! file at the final name is half written.
//!
//! The test runs itself again as the process to be killed: [`recorder`] does nothing unless it is told a file. It kills ten
//! times, or as often as `CHANGEOVER_KILLS` says.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use changeover::lesson::talk::{Action, Deed, Shown};
use changeover::lesson::{Clip, Footage, Lesson, create, load};
use changeover::session::show::keeper::Keeper;
use changeover::session::show::recording::{Recorded, Recorder};
use changeover::time::MatchTime;
use changeover::voice::{VOICE_RATE, VoiceFile, sample_at, talk_folder};

const FILE: &str = "CHANGEOVER_TALK_KILL_TEST_FILE";
/// A piece of sound as a microphone gives it: 20 ms.
const PIECE: u64 = 960;
/// How much of the voice may be lost.
const LOST: u64 = VOICE_RATE as u64;

fn shown() -> Shown {
    let footage =
        Footage { file: "m.mp4".into(), fingerprint: None, duration: MatchTime::from_secs(90), rate: None };
    let clip =
        serde_json::json!({ "footage": footage, "from": MatchTime::ZERO, "to": MatchTime::from_secs(5) });
    Shown { chapter: String::new(), clip: serde_json::from_value::<Clip>(clip).unwrap() }
}

/// Samples that tell where they are.
fn sound(from: u64) -> Vec<i16> {
    (from..from + PIECE).map(|n| (n % 30_011) as i16 + 1).collect()
}

fn begun(path: &Path) -> (Recorder, async_channel::Receiver<Recorded>) {
    let (recorder, told) = Recorder::start(path.to_owned(), None);
    recorder.show(shown());
    recorder.act(Action { at: MatchTime::ZERO, does: Deed::Clip { clip: 0, moment: MatchTime::ZERO } });
    (recorder, told)
}

/// Not a test by itself: the process that is killed. It speaks in real time, and acts five times a second.
#[test]
fn recorder() {
    let Some(file) = std::env::var_os(FILE) else { return };
    let (recorder, _told) = begun(Path::new(&file));
    let ear = recorder.ear();
    let started = Instant::now();
    let mut out = std::io::stdout();
    writeln!(out, "\nspoken 0").unwrap();
    for n in 0.. {
        let at = MatchTime::from_millis(n * 20);
        ear.hear(&sound(n * PIECE), at);
        if n % 10 == 0 {
            recorder.act(Action { at, does: Deed::Pause { moment: at } });
        }
        writeln!(out, "spoken {}", (n + 1) * PIECE).unwrap();
        std::thread::sleep(Duration::from_millis((n + 1) * 20).saturating_sub(started.elapsed()));
    }
}

/// Speaks in a process of its own, kills it after `delay`, and says how many samples were spoken.
fn speak_and_kill(file: &Path, delay: Duration) -> u64 {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "recorder", "--nocapture", "--test-threads=1"])
        .env(FILE, file)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
    let mut spoken = lines.filter_map(|l| l.strip_prefix("spoken ")?.parse().ok());
    let first: Option<u64> = spoken.next();
    std::thread::sleep(delay);
    child.kill().unwrap();
    let last = spoken.last().or(first).unwrap();
    child.wait().unwrap();
    last
}

/// The voice of the first take holds what was spoken, from its beginning on; how many samples it has.
fn checked(path: &Path) -> u64 {
    let mut voice = VoiceFile::open(&talk_folder(path).join("take-1.wav")).unwrap();
    let samples = voice.samples();
    let mut n = 0;
    while n < samples {
        let count = PIECE.min(samples - n);
        assert_eq!(voice.read(count as usize).unwrap(), sound(n)[..count as usize]);
        n += count;
    }
    samples
}

#[test]
fn a_kill_costs_less_than_a_second_of_voice() {
    let kills = std::env::var("CHANGEOVER_KILLS").ok().and_then(|k| k.parse().ok()).unwrap_or(10u64);
    let mut worst = 0;
    for k in 0..kills {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("l.lesson.json");
        create(&path, &Lesson::default()).unwrap();
        let spoken = speak_and_kill(&path, Duration::from_millis(300 + k * 397 % 1400));
        assert!(!talk_folder(&path).join("take-1.wav").exists(), "the final name is for what is complete");
        let (keeper, told) = Keeper::start(path.clone(), None);
        let first = told.recv_blocking().unwrap();
        let lost = match &first.view.lesson.talk {
            Some(talk) => {
                let samples = checked(&path);
                assert_eq!(sample_at(talk.length()), samples);
                // What was done is kept as far as the voice is: five times a second.
                let last = talk.takes[0].actions.last().unwrap().at;
                assert!(talk.length() - last <= Duration::from_millis(300), "{last} of {}", talk.length());
                spoken.saturating_sub(samples)
            }
            None => spoken,
        };
        keeper.close().join().unwrap();
        assert!(lost <= LOST, "{lost} samples of {spoken} are lost");
        worst = worst.max(lost);
        assert_eq!(load(&path).unwrap().0, *first.view.lesson);
    }
    println!("{kills} kills: at most {} ms of voice lost", worst * 1000 / u64::from(VOICE_RATE));
}

/// A small file system; gone again when dropped.
struct Mounted(tempfile::TempDir);

impl Drop for Mounted {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).status();
    }
}

#[test]
#[cfg(target_os = "linux")]
fn on_a_full_disk_what_was_spoken_before_is_kept_whole() {
    let disk = Mounted(tempfile::tempdir().unwrap());
    let mount =
        Command::new("mount").args(["-t", "tmpfs", "-o", "size=512k", "tmpfs"]).arg(disk.0.path()).output();
    if !mount.is_ok_and(|out| out.status.success()) {
        println!("skipped: this user may not mount a file system");
        return;
    }
    let path = disk.0.path().join("l.lesson.json");
    let (recorder, told) = begun(&path);
    let ear = recorder.ear();
    for n in 0..500 {
        ear.hear(&sound(n * PIECE), MatchTime::from_millis(n * 20));
        std::thread::sleep(Duration::from_millis(1));
    }
    recorder.stop().join().unwrap();
    let Recorded::Trouble(why) = told.recv_blocking().unwrap() else { unreachable!("the disk is full") };
    assert!(why.to_string().contains("the disk is full"), "{why}");
    let Recorded::Kept(kept) = told.recv_blocking().unwrap() else { unreachable!("some of it was written") };
    let samples = checked(&path);
    assert_eq!(sample_at(kept.take.voice.duration), samples);
    // 512 KiB hold 5.4 seconds; a quarter of a second is written at a time, here faster than it is spoken.
    println!("{samples} samples were kept on the full disk");
    assert!(samples > 100_000, "{samples}");
}
