//! No verb, and no session of the window, opens a network socket: watched from outside, by `strace`.
//!
//! Sockets of the display, the session bus and the sound server are of this machine (`AF_UNIX`); a list of its network
//! devices (`AF_NETLINK`) goes nowhere either. What is looked for is `AF_INET` and `AF_INET6`.
#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::path::Path;
#[cfg(feature = "video")]
use std::path::PathBuf;
#[cfg(feature = "gui")]
use std::process::Child;
use std::process::{Command, Output};
#[cfg(feature = "gui")]
use std::time::{Duration, Instant};

use changeover::record::{Point, Record, Store};

const PROGRAM: &str = env!("CARGO_BIN_EXE_changeover");

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Whether `strace` is here and may watch.
fn may_watch() -> bool {
    let may = Command::new("strace").args(["-f", "-o", "/dev/null", "true"]).output();
    let may = may.is_ok_and(|out| out.status.success());
    if !may {
        println!("skipped: strace is not here or may not watch a process");
    }
    may
}

/// A command line under `strace`, which writes its sockets into `log`.
fn watched(program: &str, log: &Path) -> Command {
    let mut command = Command::new("strace");
    command.args(["-f", "-qq", "-e", "trace=socket,connect,sendto", "-o"]).arg(log).arg(program);
    command
}

fn network(log: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(log).unwrap();
    text.lines().filter(|l| l.contains("AF_INET")).map(ToOwned::to_owned).collect()
}

/// The verbs as the help lists them.
fn verbs() -> Vec<String> {
    let Output { stdout, .. } = Command::new(PROGRAM).arg("--help").output().unwrap();
    let help = String::from_utf8(stdout).unwrap();
    let lines = help.lines().skip_while(|l| *l != "Commands:").skip(1).take_while(|l| !l.is_empty());
    let named = lines.filter(|l| l.starts_with("  ") && !l.starts_with("   "));
    named.filter_map(|l| l.split_whitespace().next()).filter(|v| *v != "help").map(Into::into).collect()
}

/// What each verb is asked for in a folder with what [`lay_out`] puts there; nothing for a verb that is not here.
fn asked(verb: &str) -> Option<&'static [&'static str]> {
    Some(match verb {
        "check" | "numbers" | "positions" | "summary" | "score" | "study" => &["match.points.json"],
        "clips" => &["match.points.json", "--pattern", "Drop shot"],
        "cut" => &["tagged.points.json", "--tag", "cut", "--out", "cut"],
        "reel" => &["film.lesson.json", "--out", "film-reel.mp4", "--size", "160x90"],
        "lesson" => &["match.points.json", "--pattern", "Drop shot", "--out", "drops.lesson.json"],
        "explain" => &["match.points.json", "--point", "7", "--pattern", "Drop shot"],
        "sheet" => &["match.points.json", "--out", "holt.pdf"],
        "page" => &["film.lesson.json", "--out", "page"],
        "keys" | "rules" => &[],
        "schema" => &["record"],
        "library" => &["."],
        "man-pages" => &["man1"],
        "completions" => &["bash"],
        "picture" => &["match.points.json", "--out", "court.svg"],
        "draw" => &["match.points.json", "--out", "drawn"],
        "court" | "cuts" | "footage" | "strikes" => &["film.mp4"],
        "attach" => &["courtside.points.json", "film.mp4", "--sync", "0:01=0:02"],
        "demo-footage" => &["demo", "--games", "1", "--brisk"],
        "erase" => &["match.points.json", "--player", "a", "--yes"],
        "import" => &["chart.csv", "--rules", "best-of-3", "--out", "chart.points.json"],
        "export" => &["match.points.json", "--format", "csv"],
        _ => return None,
    })
}

/// Real files of every kind that a verb reads.
fn lay_out(folder: &Path) {
    let sample = root().join("sample-tags/holt-okafor.points.json");
    std::fs::copy(sample, folder.join("match.points.json")).unwrap();
    let start = Some("0:01".parse().unwrap());
    let record = Record { points: [Point { start, ..Point::default() }].into(), ..Record::default() };
    drop(Store::create(&folder.join("courtside.points.json"), record).unwrap());
    let lesson = r#"{"format": "changeover-lesson", "version": 1, "parts": [{"clip": {"footage":
        {"file": "film.mp4", "duration": "00:00:09.000"}, "from": "00:00:00.500", "to": "00:00:01.500"}}]}"#;
    std::fs::write(folder.join("film.lesson.json"), lesson).unwrap();
    let tagged = r#"{"format": "changeover-record", "version": 3, "match": {"a": {"name": "Holt"}, "b": {"name": "Marsh"}, "rules": {"best_of": 3, "set": {"games": 6, "tie_break": {"at": 6, "points": 7}}}, "first_server": "a", "a_starts": "near"},
        "footage": [{"file": "film.mp4", "duration": "00:00:05.000", "start": "00:00:00.000"}],
        "points": [{"start": "00:00:01.000", "end": "00:00:02.000", "tags": ["cut"]}]}"#;
    std::fs::write(folder.join("tagged.points.json"), tagged).unwrap();
    std::fs::write(folder.join("chart.csv"), "server,winner\na,a\na,b\n").unwrap();
    let lesson = r#"{"format":"changeover-lesson","version":1,"parts":[{"clip":{"footage":{"file":"film.mp4","duration":"00:00:09.000"},"from":"00:00:01.000","to":"00:00:01.500"}}]}"#;
    std::fs::write(folder.join("film.lesson.json"), lesson).unwrap();
}

#[cfg(feature = "video")]
fn film(folder: &Path) -> PathBuf {
    use changeover::demo::{Demo, make};
    let demo = Demo { points: Some(1), brisk: true, width: 160, height: 90, ..Demo::default() };
    make(&demo, folder, &mut |_, _| {}).unwrap();
    let mut files = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    files.find(|p| p.extension().is_some_and(|e| e == "mp4" || e == "mkv")).unwrap()
}

#[test]
fn no_verb_opens_a_network_socket() {
    if !may_watch() {
        return;
    }
    // That the watch sees one when there is one.
    let dir = tempfile::tempdir().unwrap();
    let log = dir.path().join("log");
    let bash = watched("bash", &log).args(["-c", "exec 3<>/dev/udp/127.0.0.1/9"]).output().unwrap();
    assert_eq!(network(&log).is_empty(), !bash.status.success(), "{bash:?}");
    assert!(!network(&log).is_empty(), "the watch must see a socket: {bash:?}");
    let verbs = verbs();
    assert!(verbs.len() >= 5, "{verbs:?}");
    #[cfg(feature = "video")]
    let film = film(dir.path());
    for verb in verbs {
        let here = tempfile::tempdir_in(dir.path()).unwrap();
        let Some(args) = asked(&verb) else {
            panic!("{verb} needs a row in `asked`: what it does on real files")
        };
        lay_out(here.path());
        #[cfg(feature = "video")]
        std::fs::copy(&film, here.path().join("film.mp4")).unwrap();
        let out = watched(PROGRAM, &log).arg(&verb).args(args).current_dir(here.path()).output().unwrap();
        let said = String::from_utf8_lossy(&out.stderr);
        assert!(out.status.code() == Some(0), "{verb} must do its work here: {said}");
        assert_eq!(network(&log), [""; 0], "{verb}");
    }
}

/// Ends the program when the test ends, however it ends.
#[cfg(feature = "gui")]
struct Ended(Child);

#[cfg(feature = "gui")]
impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// The window opens footage, plays it, logs a point, and is closed, all by keys.
#[cfg(feature = "gui")]
#[test]
fn no_session_of_the_window_opens_a_network_socket() {
    if !may_watch() {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let (footage, log) = (film(dir.path()), dir.path().join("log"));
    let mut window = watched(PROGRAM, &log);
    window.arg(&footage).env("XDG_DATA_HOME", dir.path().join("data"));
    let mut window = Ended(window.spawn().unwrap());
    let until = |what: &str, done: &mut dyn FnMut() -> bool| {
        let start = Instant::now();
        while !done() {
            assert!(start.elapsed() < Duration::from_secs(120), "{what} in two minutes");
            std::thread::sleep(Duration::from_millis(200));
        }
    };
    let key =
        |keys: &[&str]| Command::new("xdotool").arg("key").args(keys).output().unwrap().status.success();
    let focus = ["search", "--onlyvisible", "--class", "changeover", "windowfocus", "--sync"];
    until("the window", &mut || Command::new("xdotool").args(focus).output().unwrap().status.success());
    let journal = footage.with_extension("points.journal");
    until("a point", &mut || key(&["space", "s"]) && journal.exists());
    assert!(key(&["a", "space"]));
    until("the end", &mut || key(&["ctrl+q"]) && window.0.try_wait().unwrap().is_some());
    let text = std::fs::read_to_string(&log).unwrap();
    assert!(text.contains("AF_UNIX"), "the watch must see the display's socket: {text}");
    assert_eq!(network(&log), [""; 0]);
}
