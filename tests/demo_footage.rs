//! `changeover demo-footage` from outside: what it makes, and what it leaves when it is told to stop.
#![cfg(all(feature = "video", unix))]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn files(folder: &Path) -> Vec<PathBuf> {
    std::fs::read_dir(folder).into_iter().flatten().flatten().map(|f| f.path()).collect()
}

#[test]
fn told_to_stop_it_leaves_nothing_half_written() {
    for signal in ["INT", "TERM"] {
        let folder = tempfile::tempdir().unwrap();
        let mut made = Command::new(env!("CARGO_BIN_EXE_changeover"))
            .arg("demo-footage")
            .arg(folder.path())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let end = Instant::now() + Duration::from_secs(60);
        while !files(folder.path()).iter().any(|n| n.extension().is_some_and(|e| e == "part")) {
            assert!(Instant::now() < end, "nothing was begun");
            std::thread::sleep(Duration::from_millis(20));
        }
        let sent = Command::new("kill").args(["-s", signal, &made.id().to_string()]).status().unwrap();
        assert!(sent.success());
        assert_eq!(made.wait().unwrap().code(), Some(1), "{signal}");
        let said = std::io::read_to_string(made.stderr.take().unwrap()).unwrap();
        assert!(said.contains("stopped before all was made"), "{said}");
        assert_eq!(files(folder.path()), Vec::<PathBuf>::new(), "{signal}");
    }
}
