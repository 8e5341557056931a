//! The desktop's own list of recent files (`recently-used.xbel`, as freedesktop.org describes it): the window puts on it what it opens,
//! and erasing a person takes the match off. Needs a display, which `scripts/test` makes.
#![cfg(feature = "gui")]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;
use std::process::{Child, Command};
use std::time::{Duration, Instant};

use changeover::demo::{Demo, make};
use changeover::record::{Player, Point, Record, Store, sidecar_for};
use changeover::time::MatchTime;

const OTHER: &str = "file:///home/coach/letter.odt";

/// A list that another program made.
fn list_with_another_file() -> String {
    // GTK takes off what is older than a month.
    let now = chrono::Utc::now().format("%Y-%m-%dT%H:%M:%SZ");
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<xbel version=\"1.0\"\n      \
         xmlns:bookmark=\"http://www.freedesktop.org/standards/desktop-bookmarks\"\n      \
         xmlns:mime=\"http://www.freedesktop.org/standards/shared-mime-info\"\n>\n  \
         <bookmark href=\"{OTHER}\" added=\"{now}\" modified=\"{now}\" \
         visited=\"{now}\">\n    <info>\n      <metadata owner=\"http://freedesktop.org\">\n        \
         <mime:mime-type type=\"text/plain\"/>\n        <bookmark:applications>\n          \
         <bookmark:application name=\"Writer\" exec=\"&apos;writer %u&apos;\" modified=\"{now}\" \
         count=\"1\"/>\n        </bookmark:applications>\n      </metadata>\n    </info>\n  </bookmark>\n</xbel>"
    )
}

fn program(home: &Path) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_changeover"));
    for (name, folder) in [
        ("XDG_DATA_HOME", "data"),
        ("XDG_CONFIG_HOME", "config"),
        ("XDG_STATE_HOME", "state"),
        ("XDG_CACHE_HOME", "cache"),
    ] {
        program.env(name, home.join(folder));
    }
    program
}

/// The window, which ends with the test.
struct Window(Child);

impl Drop for Window {
    fn drop(&mut self) {
        self.0.kill().unwrap();
        self.0.wait().unwrap();
    }
}

fn names_on_the_list(home: &Path) -> Vec<String> {
    let text = fs::read_to_string(home.join("data/recently-used.xbel")).unwrap_or_default();
    text.split("href=\"").skip(1).map(|rest| rest.split('"').next().unwrap().to_owned()).collect()
}

/// Opens a file in the window, waits until the desktop knows `listed`, and erases a player of the record.
fn opened_and_erased(home: &Path, opened: &Path, record: &Path, listed: &str) {
    fs::create_dir_all(home.join("data")).unwrap();
    fs::write(home.join("data/recently-used.xbel"), list_with_another_file()).unwrap();
    let window = Window(program(home).arg(opened).spawn().unwrap());
    let until = Instant::now() + Duration::from_secs(60);
    let is_listed = || names_on_the_list(home).iter().any(|name| name.ends_with(listed));
    while !is_listed() {
        assert!(Instant::now() < until, "{listed} is not listed: {:?}", names_on_the_list(home));
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(names_on_the_list(home).len(), 2, "{:?}", names_on_the_list(home));
    drop(window);
    let out = program(home).arg("erase").arg(record).args(["--player", "a", "--yes"]).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    assert_eq!(names_on_the_list(home), [OTHER]);
}

fn record() -> Record {
    let mut record = Record::default();
    record.about.a = Player::named("Holt");
    record.points = [Point { start: Some(MatchTime::from_secs(1)), ..Point::default() }].into();
    record
}

#[test]
fn a_record_is_listed_and_goes_when_a_person_is_erased() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("holt & okafor.points.json");
    drop(Store::create(&path, record()).unwrap());
    opened_and_erased(home.path(), &path, &path, "/holt%20&amp;%20okafor.points.json");
}

#[test]
fn footage_is_listed_and_goes_when_a_person_is_erased() {
    let home = tempfile::tempdir().unwrap();
    let demo = Demo { points: Some(1), brisk: true, width: 320, height: 180, ..Demo::default() };
    make(&demo, home.path(), &mut |_, _| {}).unwrap();
    let film = home.path().join("holt-okafor.mp4");
    let path = sidecar_for(&film);
    drop(fs::remove_file(&path));
    let mut with_film = record();
    with_film.footage = vec![changeover::record::Footage {
        file: "holt-okafor.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(5),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    }];
    drop(Store::create(&path, with_film).unwrap());
    opened_and_erased(home.path(), &film, &path, "/holt-okafor.mp4");
}
