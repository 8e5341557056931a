//! What the Tab key makes of a command line in the shells themselves: verbs, options, files and names of patterns, also with spaces,
//! quotes and colons. Needs `CHANGEOVER_PYTHON`, which `scripts/test` sets, and the shells, which `scripts/setup` installs.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

/// A line that is typed, and what Tab makes of it. Each shell has its own way with quotes, so several ways to write a name are right.
const LINES: &[(&str, &[&str])] = &[
    ("compl", &["completions "]),
    ("completions z", &["completions zsh "]),
    ("clips ../x", &["clips ../x"]),
    ("clips hol", &["clips holt.points.json "]),
    ("clips holt.points.json --lead-i", &["clips holt.points.json --lead-in "]),
    ("clips my", &["clips my\\ match.points.json "]),
    ("clips my\\ ma", &["clips my\\ match.points.json "]),
    ("clips 'my ma", &["clips 'my match.points.json' "]),
    ("clips \"my ma", &["clips \"my match.points.json\" "]),
    ("clips it", &["clips it\\'s.points.json "]),
    ("clips films", &["clips films\\ of\\ May/"]),
    ("clips films\\ of\\ May/", &["clips films\\ of\\ May/first\\ one.points.json "]),
    (
        "clips holt.points.json --pattern Serve\\ and\\ v",
        &["clips holt.points.json --pattern Serve\\ and\\ volley "],
    ),
    (
        "clips 'my match.points.json' --pattern 'serve and v",
        &[
            "clips 'my match.points.json' --pattern 'Serve and volley' ",
            "clips 'my match.points.json' --pattern Serve\\ and\\ volley ",
        ],
    ),
    (
        "clips holt.points.json --patterns 'own ones.toml' --pattern Ins",
        &[
            "clips holt.points.json --patterns 'own ones.toml' --pattern Inside\\ out:\\ early ",
            "clips holt.points.json --patterns 'own ones.toml' --pattern Inside\\ out\\:\\ early ",
        ],
    ),
    ("import --rules no-ad-sh", &["import --rules no-ad-short-sets", "import --rules no-ad-short-sets "]),
];

/// The lines as the Tab key left them.
fn completed(python: &str, shell: &str, folder: &Path) -> BTreeMap<String, String> {
    let program = assert_cmd::cargo::cargo_bin!("changeover");
    let file = Command::new(program).args(["completions", shell]).output().unwrap();
    let kept = folder.join(format!("{shell}.completion"));
    fs::write(&kept, file.stdout).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/complete_lines.py");
    let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let lines = LINES.iter().map(|(typed, _)| format!("changeover {typed}"));
    let mut asked = Command::new(python);
    asked.arg(script).arg(shell).arg(&kept).args(lines).current_dir(folder.join("here")).env("PATH", path);
    let answer = asked.output().unwrap();
    assert!(answer.status.success(), "{shell}: {}", String::from_utf8_lossy(&answer.stderr));
    serde_json::from_slice(&answer.stdout).unwrap()
}

fn complete_in(shell: &str) {
    let Ok(python) = std::env::var("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path().join("here");
    fs::create_dir_all(here.join("films of May")).unwrap();
    let files = [
        "holt.points.json",
        "my match.points.json",
        "it's.points.json",
        "films of May/first one.points.json",
    ];
    for file in files {
        fs::write(here.join(file), "").unwrap();
    }
    let own = "[[pattern]]\nname = \"Inside out: early\"\nrally_at_least = 3\n";
    fs::write(here.join("own ones.toml"), own).unwrap();
    let became = completed(&python, shell, folder.path());
    for (typed, wanted) in LINES {
        let line = &became[&format!("changeover {typed}")];
        let right = wanted.iter().any(|w| *line == format!("changeover {w}"));
        assert!(right, "{shell}: Tab made of «{typed}» «{line}», but {wanted:?} was wanted");
    }
}

#[test]
fn bash_completes() {
    complete_in("bash");
}

#[test]
fn zsh_completes() {
    complete_in("zsh");
}

#[test]
fn fish_completes() {
    complete_in("fish");
}
