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
        assert!(said.contains("stopped; finished files are kept"), "{said}");
        assert_eq!(files(folder.path()), Vec::<PathBuf>::new(), "{signal}");
    }
}

/// As on a full disk, where nobody may mount one: no file may grow beyond 256 KiB.
#[test]
fn where_no_room_is_given_it_ends_and_leaves_nothing_half_written() {
    for kind in ["", "--webm"] {
        let folder = tempfile::tempdir().unwrap();
        // Without the trap the system would end the program itself.
        let line = "trap '' XFSZ; ulimit -f 256; exec \"$0\" demo-footage --games 1 --brisk $1 \"$2\"";
        let program = env!("CARGO_BIN_EXE_changeover");
        let mut shell = Command::new("bash");
        shell.args(["-c", line, program, kind]).arg(folder.path()).stderr(Stdio::piped());
        let mut made = shell.spawn().unwrap();
        let end = Instant::now() + Duration::from_secs(120);
        while made.try_wait().unwrap().is_none() {
            if Instant::now() > end {
                made.kill().unwrap();
                panic!("it waits for ever: {kind:?}");
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        assert_eq!(made.wait().unwrap().code(), Some(1), "{kind:?}");
        let said = std::io::read_to_string(made.stderr.take().unwrap()).unwrap();
        assert!(said.contains("cannot be written") && said.contains("check the free space"), "{said}");
        assert_eq!(files(folder.path()), Vec::<PathBuf>::new(), "{kind:?}");
    }
}

/// A disk of 256 KiB in memory, mounted by the test where that is allowed.
#[cfg(target_os = "linux")]
#[test]
fn on_a_full_disk_it_ends_and_leaves_nothing_half_written() {
    struct Disk(tempfile::TempDir);
    impl Drop for Disk {
        fn drop(&mut self) {
            let _ = Command::new("umount").arg(self.0.path()).status();
        }
    }
    let disk = Disk(tempfile::tempdir().unwrap());
    let mount =
        Command::new("mount").args(["-t", "tmpfs", "-o", "size=256k", "tmpfs"]).arg(disk.0.path()).output();
    if !mount.is_ok_and(|out| out.status.success()) {
        println!("skipped: this user may not mount a file system");
        return;
    }
    for kind in [&[][..], &["--webm"]] {
        let mut made = Command::new(env!("CARGO_BIN_EXE_changeover"))
            .args(["demo-footage", "--games", "1", "--brisk"])
            .args(kind)
            .arg(disk.0.path())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let end = Instant::now() + Duration::from_secs(120);
        while made.try_wait().unwrap().is_none() {
            if Instant::now() > end {
                made.kill().unwrap();
                panic!("it waits for ever: {kind:?}");
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        assert_eq!(made.wait().unwrap().code(), Some(1), "{kind:?}");
        let said = std::io::read_to_string(made.stderr.take().unwrap()).unwrap();
        assert!(said.contains("cannot be written (the disk is full)"), "{said}");
        assert_eq!(files(disk.0.path()), Vec::<PathBuf>::new(), "{kind:?}");
    }
}
