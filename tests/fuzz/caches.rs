//! Targets of what the program keeps for itself in the user's cache folder: whatever lies there, nothing worse happens than that it is
//! worked out again.

use std::path::{Path, PathBuf};

use changeover::find::{FramePose, Seen, Unseen};
use changeover::library::{Cache, Entry};
use changeover::measure::{Camera, Size};
use changeover::session::cuts::KeptCuts;
use changeover::session::followed::{Followed, KeptCourts};
use changeover::time::MatchTime;

use crate::targets::Target;

/// The name of the one file and the fingerprint that asks for it.
const SUM: &str = "0101010101010101010101010101010101010101010101010101010101010101";

fn folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap()
}

/// Why nothing was read of an input.
fn nothing(input: &[u8]) -> String {
    let json = serde_json::from_slice::<serde_json::Value>(input).is_ok();
    if json { "not ours" } else { "no JSON" }.into()
}

/// How many, in words: answers are told apart without their numbers.
fn many(n: usize) -> &'static str {
    ["none", "one", "two"].get(n).copied().unwrap_or("many")
}

fn print() -> String {
    format!("sha256:{SUM}")
}

fn file(folder: &Path) -> PathBuf {
    folder.join(format!("{SUM}.json"))
}

/// The cuts of a file of footage.
pub struct CutsFile(tempfile::TempDir);

impl CutsFile {
    pub fn new() -> Self {
        Self(folder())
    }

    fn folders(&self) -> (PathBuf, PathBuf) {
        (self.0.path().join("found"), self.0.path().join("by-hand"))
    }
}

impl Target for CutsFile {
    const NAME: &'static str = "cuts";

    /// Those that were found, and what was done by hand.
    fn seeds(&self) -> Vec<Vec<u8>> {
        let (folder, by_hand) = self.folders();
        let kept = KeptCuts::within(&folder, &by_hand);
        let of = |n: u64| {
            kept.keep(&print(), &(0..n).map(MatchTime::from_secs).collect::<Vec<_>>());
            std::fs::read(file(&folder)).unwrap()
        };
        let found = [0, 1, 2, 9].map(of);
        for at in [3, 12] {
            kept.toggle(&print(), MatchTime::from_secs(at));
        }
        let marked = std::fs::read(file(&by_hand)).unwrap();
        [&found[..], &[marked]].concat()
    }

    /// What is read is in order, and the same when it is kept again.
    fn read(&mut self, input: &[u8]) -> String {
        let (folder, by_hand) = self.folders();
        for folder in [&folder, &by_hand] {
            std::fs::create_dir_all(folder).unwrap();
            std::fs::write(file(folder), input).unwrap();
        }
        let kept = KeptCuts::within(&folder, &by_hand);
        let cuts = kept.of(&print());
        if cuts.is_empty() && !kept.are_found(&print()) {
            return nothing(input);
        }
        assert!(cuts.is_sorted());
        kept.keep(&print(), &cuts);
        assert_eq!(kept.of(&print()), cuts);
        many(cuts.len()).into()
    }
}

/// The cameras of a file of footage.
pub struct CourtsFile(tempfile::TempDir);

impl CourtsFile {
    pub fn new() -> Self {
        Self(folder())
    }
}

impl Target for CourtsFile {
    const NAME: &'static str = "courts";

    /// A camera that turns, one that stands, none; a place to stand that is not listed, and frames out of order.
    fn seeds(&self) -> Vec<Vec<u8>> {
        let kept = KeptCourts::within(self.0.path().to_owned());
        let size = Size::new(1280, 720);
        let looking = |x: f64| Camera::looking([1.0, -24.0, 5.0], [x, -2.0, 0.0], 60.0, size).unwrap();
        let seen = |x: f64| Seen::Held { camera: looking(x), support: 0.9, rms: 0.3, start: 0 };
        let frame = |n: u64, seen: Seen| FramePose { time: MatchTime::from_millis(n * 40), seen };
        let of = |frames: Vec<FramePose>| {
            kept.keep(&print(), &Followed::new(frames, Vec::new(), &[]));
            std::fs::read(file(self.0.path())).unwrap()
        };
        let turns = of((0..6).map(|n| frame(n, seen(n as f64))).collect());
        let stands =
            of(vec![frame(0, seen(0.0)), frame(1, Seen::No(Unseen::NotFound)), frame(90, seen(0.0))]);
        let changed = |place: &str, to: serde_json::Value| {
            let mut file: serde_json::Value = serde_json::from_slice(&turns).unwrap();
            *file.pointer_mut(place).unwrap() = to;
            serde_json::to_vec(&file).unwrap()
        };
        let elsewhere = changed("/found/frames/2/1/0", 99.into());
        let back = changed("/found/frames/2/0", 0.into());
        vec![of(Vec::new()), turns, stands, elsewhere, back]
    }

    /// A camera that is read can be asked for at any time.
    fn read(&mut self, input: &[u8]) -> String {
        std::fs::write(file(self.0.path()), input).unwrap();
        let kept = KeptCourts::within(self.0.path().to_owned());
        let Some(followed) = kept.of(&print()) else { return nothing(input) };
        let at = [0, 1, 40_000_000, u64::MAX].map(MatchTime::from_nanos);
        let seen = at.map(|t| (followed.camera(t).is_some(), followed.calibration(t).is_some()));
        kept.keep(&print(), &followed);
        format!("{seen:?} {} {}", followed.moves(), followed.bumps().is_empty())
    }
}

/// The list of records in the library's folders.
pub struct LibraryFile(tempfile::TempDir);

impl LibraryFile {
    pub fn new() -> Self {
        Self(folder())
    }
}

impl Target for LibraryFile {
    const NAME: &'static str = "library";

    fn seeds(&self) -> Vec<Vec<u8>> {
        let [first, second] = ["holt-okafor", "holt-okafor-2"]
            .map(|name| Entry::read(&crate::root().join(format!("sample-tags/{name}.points.json"))).unwrap());
        let file = self.0.path().join("library.json");
        let of = |entries: &[Entry]| {
            Cache::default().with(&[], entries).write(&file).unwrap();
            std::fs::read(&file).unwrap()
        };
        let (one, other) = (of(std::slice::from_ref(&first)), of(std::slice::from_ref(&second)));
        vec![of(&[]), one, other, of(&[first, second])]
    }

    /// What is read is the same when it is written and read again.
    fn read(&mut self, input: &[u8]) -> String {
        let file = self.0.path().join("library.json");
        std::fs::write(&file, input).unwrap();
        let cache = Cache::read(&file);
        cache.write(&file).unwrap();
        assert_eq!(Cache::read(&file), cache);
        let sample = crate::root().join("sample-tags/holt-okafor.points.json");
        if cache.is_empty() {
            nothing(input)
        } else {
            format!("{} {}", many(cache.len()), cache.knows(&sample))
        }
    }
}
