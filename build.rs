//! Hands the program the commit that it is built from, as `CHANGEOVER_COMMIT`.
//!
//! A packager may set the variable. Otherwise git is asked, but only if this folder is the top of a git repository: a copy
//! that lies inside another repository must not name a commit of that. Without git there is no commit, and the program
//! says nothing about one.

use std::path::Path;
use std::process::Command;

fn main() {
    println!("cargo::rerun-if-env-changed=CHANGEOVER_COMMIT");
    println!("cargo::rerun-if-changed=build.rs");
    let commit = std::env::var("CHANGEOVER_COMMIT").ok().or_else(from_git);
    if let Some(commit) = commit.filter(|c| !c.is_empty()) {
        println!("cargo::rustc-env=CHANGEOVER_COMMIT={commit}");
    }
}

fn from_git() -> Option<String> {
    let here = std::env::var("CARGO_MANIFEST_DIR").ok()?;
    let top = git(&["rev-parse", "--show-toplevel"])?;
    if Path::new(&top).canonicalize().ok()? != Path::new(&here).canonicalize().ok()? {
        return None;
    }
    // The log of HEAD grows at each commit, and also when another branch is checked out.
    if let Some(log) = git(&["rev-parse", "--git-path", "logs/HEAD"]).filter(|log| Path::new(log).exists()) {
        println!("cargo::rerun-if-changed={log}");
    }
    git(&["rev-parse", "--short=12", "HEAD"])
}

fn git(args: &[&str]) -> Option<String> {
    let out = Command::new("git").args(args).output().ok().filter(|out| out.status.success())?;
    Some(String::from_utf8(out.stdout).ok()?.trim().to_owned())
}
