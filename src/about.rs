//! What this program is: its name, its version, and the commit that it was built from; pure.

use std::fmt::Write as _;

/// The version, by semantic versioning.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// The name by which desktops know the program: of its desktop file, its icon, and its windows.
pub const DESKTOP_ID: &str = "org.changeover.Changeover";

/// The commit that the program was built from; none if it was built without git.
pub const COMMIT: Option<&str> = option_env!("CHANGEOVER_COMMIT");

/// The lines that a report of an error needs: version, commit, system, and `libraries` with their versions.
pub fn report<'a>(libraries: impl IntoIterator<Item = (&'a str, String)>) -> String {
    report_of(COMMIT, libraries)
}

fn report_of<'a>(commit: Option<&str>, libraries: impl IntoIterator<Item = (&'a str, String)>) -> String {
    let mut text = VERSION.to_owned();
    if let Some(commit) = commit {
        // Writing to a text cannot fail.
        let _ = write!(text, "\ncommit {commit}");
    }
    for (name, version) in libraries {
        let _ = write!(text, "\n{name} {version}");
    }
    let _ = write!(text, "\n{} {}", std::env::consts::OS, std::env::consts::ARCH);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_commit_that_is_not_known_leaves_no_gap() {
        let libraries = || [("GTK", "4.8.3".to_owned())];
        let lines =
            |commit| report_of(commit, libraries()).lines().take(3).map(str::to_owned).collect::<Vec<_>>();
        assert_eq!(lines(Some("abc123"))[1..], ["commit abc123", "GTK 4.8.3"]);
        assert_eq!(lines(None)[..2], [VERSION, "GTK 4.8.3"]);
    }

    #[test]
    fn the_version_is_a_semantic_one() {
        let parts: Vec<&str> = VERSION.splitn(3, '.').collect();
        assert_eq!(parts.len(), 3, "{VERSION}");
        assert!(parts[..2].iter().all(|p| p.parse::<u32>().is_ok()), "{VERSION}");
    }
}
