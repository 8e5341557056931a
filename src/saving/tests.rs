//! What is replaced and what is not.

use std::fs;
use std::path::Path;

use super::*;
use crate::record::DocumentKind;

const RECORD: &str = include_str!("../../sample-tags/holt-okafor.points.json");

fn may(path: &Path, reads: &[&Path]) -> Option<Theirs> {
    match allowed(path, Replace::WhatWasWritten, reads) {
        Ok(()) => None,
        Err(SaveError::Theirs { what, .. }) => Some(what),
        Err(other) => panic!("{other}"),
    }
}

#[test]
fn what_a_program_wrote_is_replaced() {
    let dir = tempfile::tempdir().unwrap();
    for text in
        ["", "winner\na\n", "WEBVTT\n\n", "{\"clips\": []}", "<?xml version=\"1.0\"?>\n", "# a note\n"]
    {
        let path = dir.path().join("old");
        fs::write(&path, text).unwrap();
        assert_eq!(may(&path, &[]), None, "{text}");
        save(&path, "new", Replace::WhatWasWritten, &[]).unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "new");
        let error = save(&path, "newer", Replace::Nothing, &[]).unwrap_err();
        assert!(matches!(error, SaveError::Exists { .. }), "{error}");
    }
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "nothing is left lying");
}

#[test]
fn what_is_the_users_is_known_by_content() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("old.csv");
    let bom = format!("\u{feff}\n{RECORD}");
    let broken = &RECORD[..RECORD.len() / 2];
    let journal = "{\"journal\":\"changeover-journal\",\"version\":9}";
    let settings = "[[pattern]]\nname = \"mine\"\n";
    for (bytes, what) in [
        (RECORD.as_bytes(), Theirs::Document(DocumentKind::Record)),
        (bom.as_bytes(), Theirs::Document(DocumentKind::Record)),
        (broken.as_bytes(), Theirs::Document(DocumentKind::Record)),
        (journal.as_bytes(), Theirs::BesideRecord),
        (settings.as_bytes(), Theirs::Settings),
        (b"\0\0\0\x20ftypisom", Theirs::Footage("an MP4 or MOV file")),
        (b"PK\x03\x04\x14\0", Theirs::NotText),
        (b"\x89PNG\r\n", Theirs::NotText),
    ] {
        fs::write(&path, bytes).unwrap();
        assert_eq!(may(&path, &[]), Some(what));
        assert!(save(&path, "new", Replace::WhatWasWritten, &[]).is_err());
        assert_eq!(fs::read(&path).unwrap(), bytes);
    }
}

#[test]
fn what_is_the_users_is_known_by_name() {
    let dir = tempfile::tempdir().unwrap();
    for (name, what) in [
        ("m.points.json", Theirs::Document(DocumentKind::Record)),
        ("M.POINTS.JSON", Theirs::Document(DocumentKind::Record)),
        ("m.points.journal", Theirs::BesideRecord),
        ("m.points.lock", Theirs::BesideRecord),
        ("m.points.json.aside-20260131-235959", Theirs::BesideRecord),
        ("own.keys.toml", Theirs::Settings),
    ] {
        let path = dir.path().join(name);
        fs::write(&path, "").unwrap();
        assert_eq!(may(&path, &[]), Some(what), "{name}");
    }
    assert_eq!(may(dir.path(), &[]), Some(Theirs::Folder));
    assert_eq!(may(&dir.path().join("new.points.journal"), &[]), Some(Theirs::BesideRecord));
    assert_eq!(may(&dir.path().join("new.csv"), &[]), None);
}

#[test]
fn footage_is_known_by_the_record_that_names_it() {
    let dir = tempfile::tempdir().unwrap();
    let [inside, outside] = ["in", "out"].map(|n| dir.path().join(n));
    fs::create_dir(&inside).unwrap();
    fs::create_dir(&outside).unwrap();
    let record = inside.join("m.points.json");
    let text = RECORD.replacen("\"holt-okafor.mp4\"", "\"../out/film\"", 1);
    assert_ne!(text, RECORD, "the sample names its footage otherwise");
    fs::write(&record, text).unwrap();
    let film = outside.join("film");
    fs::write(&film, "no pictures").unwrap();
    assert_eq!(may(&film, &[&record]), Some(Theirs::FootageOf(record.clone())));
    assert_eq!(may(&film, &[]), None, "nobody names the record");
    // Beside its record it is known without being told.
    fs::write(&record, RECORD).unwrap();
    let film = inside.join("holt-okafor.mp4");
    fs::write(&film, "no pictures").unwrap();
    assert_eq!(may(&film, &[]), Some(Theirs::FootageOf(record)));
}

#[cfg(all(unix, not(feature = "portable")))]
#[test]
fn links_are_seen_through() {
    let dir = tempfile::tempdir().unwrap();
    let read = dir.path().join("chart.csv");
    fs::write(&read, "winner\na\n").unwrap();
    let [hard, soft, far] = ["hard", "soft", "far"].map(|n| dir.path().join(n));
    fs::hard_link(&read, &hard).unwrap();
    std::os::unix::fs::symlink("chart.csv", &soft).unwrap();
    for path in [&read, &hard, &soft, &dir.path().join("./chart.csv")] {
        assert_eq!(may(path, &[&read]), Some(Theirs::Read), "{}", path.display());
    }
    assert_eq!(may(&hard, &[]), None);
    let record = dir.path().join("m.points.json");
    fs::write(&record, "").unwrap();
    std::os::unix::fs::symlink(&record, &far).unwrap();
    assert_eq!(may(&far, &[]), Some(Theirs::Document(DocumentKind::Record)));
    assert_eq!(may(Path::new("/dev/null"), &[]), Some(Theirs::NotAFile));
}

#[test]
fn a_folder_that_is_not_there_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let nowhere = save(&dir.path().join("no/such.csv"), "", Replace::WhatWasWritten, &[]).unwrap_err();
    assert!(matches!(nowhere, SaveError::Write { .. }));
    assert!(nowhere.to_string().ends_with("its folder is not there"), "{nowhere}");
}

#[test]
fn settings_are_written_over_only_as_they_were_read() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("new").join("own.patterns.toml");
    update(&path, "", "one = 1\n").unwrap();
    update(&path, "one = 1\n", "two = 2\n").unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), "two = 2\n");
    for was in ["", "one = 1\n"] {
        let error = update(&path, was, "three = 3\n").unwrap_err();
        assert!(matches!(error, SaveError::Changed { .. }), "{error}");
    }
    for (bytes, what) in [
        (RECORD.as_bytes(), Theirs::Document(DocumentKind::Record)),
        (b"\0\0\0\x20ftypisom", Theirs::Footage("an MP4 or MOV file")),
    ] {
        fs::write(&path, bytes).unwrap();
        for was in ["", "two = 2\n", RECORD] {
            let error = update(&path, was, "three = 3\n").unwrap_err();
            assert!(matches!(&error, SaveError::Theirs { what: found, .. } if *found == what), "{error}");
        }
        assert_eq!(fs::read(&path).unwrap(), bytes);
    }
    assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1, "nothing is left lying");
}

#[cfg(unix)]
#[test]
fn a_link_to_settings_stays_a_link() {
    let dir = tempfile::tempdir().unwrap();
    let [real, link] = ["real.toml", "link.toml"].map(|n| dir.path().join(n));
    fs::write(&real, "one = 1\n").unwrap();
    std::os::unix::fs::symlink(&real, &link).unwrap();
    update(&link, "one = 1\n", "two = 2\n").unwrap();
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert_eq!(fs::read_to_string(&real).unwrap(), "two = 2\n");
}
