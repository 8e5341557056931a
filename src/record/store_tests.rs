//! Tests of the store: what was acknowledged is never lost, whatever becomes of the files.

use std::fs;

use super::*;
use crate::record::Point;
use crate::record::edit::Edit;
use crate::record::limits;
use crate::record::model::VERSION;
use crate::tennis::Side;
use crate::time::MatchTime;

fn fresh() -> (tempfile::TempDir, PathBuf, Store) {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("m.points.json");
    let store = Store::create(&path, Record::default()).unwrap();
    (dir, path, store)
}

fn point(n: u64) -> Point {
    Point {
        start: Some(MatchTime::from_secs(n * 20)),
        end: Some(MatchTime::from_secs(n * 20 + 8)),
        winner: Some(if n.is_multiple_of(3) { Side::B } else { Side::A }),
        ..Point::default()
    }
}

fn add(store: &mut Store, n: u64) {
    let at = store.record().points.len();
    let _ = store.apply(Edit::InsertPoint { at, point: point(n) }).unwrap();
}

#[test]
fn an_edit_is_found_again_without_a_save() {
    let (_dir, path, mut store) = fresh();
    add(&mut store, 1);
    add(&mut store, 2);
    assert_eq!(store.unsaved(), 2);
    drop(store);
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.record().points, [point(1), point(2)]);
    assert_eq!(store.notices(), ["recovered 2 edits from the journal after an interrupted session"]);
    assert_eq!(store.unsaved(), 2);
    store.save().unwrap();
    assert_eq!(store.unsaved(), 0);
    drop(store);
    let store = Store::open(&path).unwrap();
    assert_eq!(store.record().points.len(), 2);
    assert!(store.notices().is_empty() && store.trouble().is_none());
    drop(store);
    assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1, "only the sidecar is left");
}

/// What a process killed between two steps of a save leaves behind.
#[test]
fn a_save_cut_short_loses_nothing_and_repeats_nothing() {
    for renamed in [false, true] {
        let (_dir, path, mut store) = fresh();
        add(&mut store, 1);
        add(&mut store, 2);
        let bytes = read::to_bytes(&path, store.record()).unwrap();
        store.journal.saving(&read::digest(&bytes)).unwrap();
        if renamed {
            files::replace(&path, &bytes).unwrap();
        }
        drop(store);
        let mut store = Store::open(&path).unwrap();
        assert_eq!(store.record().points.len(), 2);
        assert_eq!(store.unsaved(), if renamed { 0 } else { 2 });
        // A session that goes on after it and is cut short too.
        add(&mut store, 3);
        drop(store);
        let mut store = Store::open(&path).unwrap();
        assert_eq!(store.record().points, [point(1), point(2), point(3)]);
        store.save().unwrap();
        assert_eq!(load(&path).unwrap(), (store.record().clone(), vec![]));
    }
}

#[test]
fn a_second_window_reads_and_is_told_who_writes() {
    let (_dir, path, mut store) = fresh();
    add(&mut store, 1);
    let mut second = Store::open(&path).unwrap();
    assert_eq!(second.record().points.len(), 1, "it sees what is not saved yet");
    let why = second.read_only().unwrap().to_owned();
    assert!(why.starts_with(&format!("it is open in process {} on ", std::process::id())), "{why}");
    assert!(why.contains(", since 2") && why.ends_with("; close it there to change it here"), "{why}");
    assert!(matches!(second.apply(Edit::RemovePoint { at: 0 }), Err(RecordError::ReadOnly { .. })));
    assert!(matches!(second.undo(), Err(RecordError::ReadOnly { .. })));
    assert!(matches!(second.save(), Err(RecordError::ReadOnly { .. })));
    drop(second);
    add(&mut store, 2);
    drop(store);
    assert_eq!(Store::open(&path).unwrap().read_only(), None);
}

#[test]
fn a_record_changed_by_another_program_keeps_both() {
    let (dir, path, mut store) = fresh();
    add(&mut store, 1);
    drop(store);
    let mut theirs = Record::default();
    theirs.about.venue = "elsewhere".into();
    fs::write(&path, read::to_bytes(&path, &theirs).unwrap()).unwrap();
    assert_eq!(load(&path).unwrap().1.len(), 1, "told, and nothing moved");
    let store = Store::open(&path).unwrap();
    assert_eq!(store.record(), &theirs);
    assert!(store.notices()[0].contains("kept as m.points.journal.aside-"), "{:?}", store.notices());
    let kept = names(&dir).into_iter().find(|n| n.contains("aside")).unwrap();
    assert_eq!(
        super::super::journal::read::<Edit>(&fs::read(dir.path().join(kept)).unwrap(), VERSION).edits.len(),
        1
    );
}

#[test]
fn a_record_changed_while_open_is_kept_before_the_save() {
    let (dir, path, mut store) = fresh();
    add(&mut store, 1);
    fs::write(&path, "theirs").unwrap();
    store.save().unwrap();
    assert_eq!(load(&path).unwrap().0.points.len(), 1);
    let kept = names(&dir).into_iter().find(|n| n.contains("aside")).unwrap();
    assert_eq!(fs::read_to_string(dir.path().join(kept)).unwrap(), "theirs");
    assert!(store.notices()[0].contains("m.points.json.aside-"));
    fs::remove_file(&path).unwrap();
    store.save().unwrap();
    assert!(path.exists(), "a sidecar taken away is written again");
}

/// A newer version may seal its lines in another way: that is no damage.
#[test]
fn a_newer_journal_is_not_called_damaged() {
    let (_dir, path, mut store) = fresh();
    add(&mut store, 1);
    drop(store);
    let journal = beside(&path, "journal");
    for text in [
        "{\"journal\":\"changeover-journal\",\"version\":9,\"base\":\"x\",\"sum\":\"00000000\"}\n{\"new\":1}\n",
        "{\"journal\":\"changeover-journal\",\"version\":9,\"seal\":[1]}\n",
    ] {
        fs::write(&journal, text).unwrap();
        let (record, notices) = load(&path).unwrap();
        assert_eq!((record.points.len(), notices.len()), (0, 1));
        assert!(
            notices[0].starts_with("a newer version of Changeover left edits in its journal"),
            "{notices:?}"
        );
        let store = Store::open(&path).unwrap();
        assert!(store.read_only().is_some_and(|why| why.contains("newer version")));
        assert_eq!(fs::read_to_string(&journal).unwrap(), text);
    }
}

#[test]
fn a_damaged_line_keeps_the_journal_and_the_edits_before_it() {
    let (dir, path, mut store) = fresh();
    for n in 1..=4 {
        add(&mut store, n);
    }
    drop(store);
    let journal = beside(&path, "journal");
    let text = fs::read_to_string(&journal).unwrap().replace("\"n\":3", "\"n\":8");
    fs::write(&journal, &text).unwrap();
    let said = load_whole(&path).unwrap_err().to_string();
    let wanted = "line 4 of its journal is damaged, so 2 edits are left out, but kept in ";
    assert!(said.contains(wanted) && said.contains("m.points.journal; open"), "{said}");
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.record().points, [point(1), point(2)]);
    let wanted = "line 4 of the journal is damaged: the record has 2 edits from before it and lacks 2 edits from there on";
    assert!(store.notices().iter().any(|n| n.starts_with(wanted)), "{:?}", store.notices());
    let kept = names(&dir).into_iter().find(|n| n.contains("aside")).unwrap();
    assert_eq!(fs::read_to_string(dir.path().join(kept)).unwrap(), text);
    add(&mut store, 5);
    drop(store);
    assert_eq!(Store::open(&path).unwrap().record().points, [point(1), point(2), point(5)]);
}

#[test]
fn what_this_version_does_not_know_is_never_dropped() {
    let (_dir, path, store) = fresh();
    drop(store);
    let text = fs::read_to_string(&path).unwrap();
    for (from, to, says) in [
        ("\"version\": 3", "\"version\": 7", "it has version 7, but this program writes version 3"),
        ("\"footage\"", "\"weather\": {\"wind\": 3}, \"footage\"", "does not know and would lose: weather;"),
        ("\"name\": \"Player B\"", "\"name\": \"B\", \"rank\": 2", "would lose: match.b.rank;"),
    ] {
        let changed = text.replace(from, to);
        fs::write(&path, &changed).unwrap();
        let mut store = Store::open(&path).unwrap();
        assert!(store.read_only().unwrap().contains(says), "{:?}", store.read_only());
        assert!(store.apply(Edit::InsertPoint { at: 0, point: point(1) }).is_err());
        drop(store);
        assert_eq!(fs::read_to_string(&path).unwrap(), changed);
    }
}

#[test]
fn a_disk_that_takes_nothing_keeps_the_edits_in_memory() {
    let (_dir, path, mut store) = fresh();
    let journal = beside(&path, "journal");
    fs::create_dir(&journal).unwrap();
    add(&mut store, 1);
    add(&mut store, 2);
    assert!(store.trouble().unwrap().starts_with("the last edits are only in memory"));
    assert_eq!((store.record().points.len(), store.unsaved()), (2, 2));
    fs::remove_dir(&journal).unwrap();
    add(&mut store, 3);
    assert_eq!(store.trouble(), None);
    drop(store);
    assert_eq!(Store::open(&path).unwrap().record().points.len(), 3);
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_the_save_still_works() {
    let (_dir, path, mut store) = fresh();
    let journal = beside(&path, "journal");
    std::os::unix::fs::symlink("/dev/full", &journal).unwrap();
    add(&mut store, 1);
    assert!(store.trouble().is_some());
    store.save().unwrap();
    assert_eq!(store.trouble(), None);
    drop(store);
    assert_eq!(load(&path).unwrap().0.points.len(), 1);
}

#[test]
fn a_new_record_never_takes_the_place_of_another() {
    let (dir, path, store) = fresh();
    drop(store);
    assert!(matches!(Store::create(&path, Record::default()), Err(RecordError::Exists { .. })));
    let mut store = Store::open(&path).unwrap();
    add(&mut store, 1);
    drop(store);
    fs::remove_file(&path).unwrap();
    let store = Store::create(&path, Record::default()).unwrap();
    assert!(store.record().points.is_empty());
    assert!(store.notices()[0].contains("journal of an earlier record"));
    assert!(names(&dir).iter().any(|n| n.contains("journal.aside-")));
}

#[test]
fn an_edit_that_does_not_fit_changes_nothing() {
    let (_dir, path, mut store) = fresh();
    add(&mut store, 1);
    let backwards = Point { end: Some(MatchTime::ZERO), ..point(1) };
    let long = Point { note: "x".repeat(2 << 20), ..point(1) };
    for bad in [
        Edit::RemovePoint { at: usize::MAX },
        Edit::InsertPoint { at: 5, point: point(2) },
        Edit::SetPoint { at: 0, point: backwards },
        Edit::SetPoint { at: 0, point: long },
    ] {
        assert!(matches!(store.apply(bad), Err(RecordError::Edit(_))));
    }
    assert_eq!(store.unsaved(), 1);
    drop(store);
    assert_eq!(Store::open(&path).unwrap().record().points, [point(1)]);
}

/// `check` reports such a point; correcting it and taking the correction back must both work.
#[test]
fn a_wrong_point_from_a_file_can_be_corrected_and_brought_back() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("m.points.json");
    let wrong = Point { end: Some(MatchTime::ZERO), faults: Some(9), ..point(1) };
    let record = Record { points: [wrong.clone()].into(), ..Record::default() };
    fs::write(&path, read::to_bytes(&path, &record).unwrap()).unwrap();
    let mut store = Store::open(&path).unwrap();
    let _ = store.apply(Edit::SetPoint { at: 0, point: point(1) }).unwrap();
    let _ = store.undo().unwrap().unwrap();
    drop(store);
    assert_eq!(Store::open(&path).unwrap().record().points, [wrong]);
}

#[cfg(unix)]
#[test]
fn links_and_odd_names_lead_to_one_record() {
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::PermissionsExt;
    let dir = tempfile::tempdir().unwrap();
    let real = dir.path().join(std::ffi::OsStr::from_bytes(b"\xff\xfe.points.json"));
    drop(Store::create(&real, Record::default()).unwrap());
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
    let link = dir.path().join("link.points.json");
    std::os::unix::fs::symlink(&real, &link).unwrap();
    let mut store = Store::open(&link).unwrap();
    assert!(Store::open(&real).unwrap().read_only().is_some(), "one lock for both names");
    add(&mut store, 1);
    store.save().unwrap();
    assert!(link.symlink_metadata().unwrap().is_symlink(), "the link stays a link");
    assert_eq!(load(&real).unwrap().0.points.len(), 1);
    assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
}

#[cfg(unix)]
#[test]
fn a_record_may_have_any_name_that_a_file_may_have() {
    use std::os::unix::ffi::OsStrExt;
    let dir = tempfile::tempdir().unwrap();
    for name in
        [&b"two words"[..], b"\"a\" 'b' `c`", b"line\nline\x1b[2J", b"caf\xe9 \xff", b"-rf", b" ", b"%41;#"]
    {
        let mut file = name.to_vec();
        file.extend_from_slice(b".points.json");
        let path = dir.path().join(std::ffi::OsStr::from_bytes(&file));
        let mut store = Store::create(&path, Record::default()).unwrap();
        add(&mut store, 1);
        drop(store);
        let mut store = Store::open(&path).unwrap();
        fs::write(&path, "theirs").unwrap();
        store.save().unwrap();
        let said = store.notices().join(" ");
        assert!(said.contains("is kept as ") && !said.contains(char::is_control), "{said:?}");
        drop(store);
        assert_eq!(load(&path).unwrap().0.points, [point(1)]);
        let mut kept = files::kept_beside(&path, VERSION);
        assert_eq!(fs::read_to_string(kept.remove(0)).unwrap(), "theirs");
        assert!(kept.is_empty(), "{kept:?}");
        fs::write(&path, "{").unwrap();
        let error = load(&path).unwrap_err().to_string();
        assert!(!error.contains(char::is_control), "{error:?}");
    }
}

#[test]
fn a_broken_file_is_named_with_place_and_left() {
    let (_dir, path, store) = fresh();
    drop(store);
    let good = fs::read_to_string(&path).unwrap();
    let with_point = good.replace("\"points\": []", "\"points\": [{},\n    {\"winner\": \"c\"}]");
    for (text, says) in [
        (with_point, "column 18, points[1].winner (point 2): found \"c\"; allowed: a, b; the file is left"),
        (good[..40].to_owned(), "the file ends within"),
        (
            good.replace("\"best_of\": 3", "\"best_of\": 4"),
            "cannot be the best of 4 sets: 1, 3 or 5 are allowed",
        ),
        (
            good.replace("changeover-record", "other"),
            "its first field \"format\" is \"other\"; in a record it is",
        ),
        (
            good.replace("changeover-record", "changeover-lesson"),
            "this is a lesson and not a record; name a record (NAME.points.json) or a footage file",
        ),
        (
            good.replace("\"version\": 3", "\"version\": 0"),
            "its \"version\" is 0; this program reads versions 1",
        ),
        ("[]".into(), "found a list; allowed: a record in braces"),
        ("{}".into(), "its first field \"format\" is missing; in a record it is"),
        (
            "{\"format\":\"changeover-record\",\"version\":3,\"points\":[{\"winner\":1}]}".into(),
            "points[0].winner (point 1): found 1; allowed: a word in quotes",
        ),
        (String::new(), "this file is empty"),
        (format!("{good}x"), "more text follows after the end"),
    ] {
        fs::write(&path, &text).unwrap();
        let error = Store::open(&path).unwrap_err().to_string();
        assert!(error.contains(says), "{error}");
        assert_eq!(fs::read_to_string(&path).unwrap(), text);
    }
}

#[test]
fn what_is_no_match_at_all_is_refused() {
    let (dir, path, store) = fresh();
    drop(store);
    fs::write(&path, vec![b' '; (MOST_BYTES + 1) as usize]).unwrap();
    assert!(matches!(load(&path), Err(RecordError::TooBig { .. })));
    assert!(matches!(load(dir.path()), Err(RecordError::NotAFile { .. })));
    assert!(matches!(load(&dir.path().join("none")), Err(RecordError::Io { .. })));
    let many = format!("[{}]", vec!["{}"; limits::MOST_POINTS + 1].join(","));
    let text = String::from_utf8(read::to_bytes(&path, &Record::default()).unwrap()).unwrap();
    fs::write(&path, text.replace("[]\n}", &format!("{many}\n}}"))).unwrap();
    let error = load(&path).unwrap_err().to_string();
    assert!(error.contains("points: 20001 points; at most 20000 are allowed"), "{error}");
}

#[test]
fn a_half_written_save_is_swept_away() {
    let (dir, path, store) = fresh();
    drop(store);
    fs::write(dir.path().join(".m.points.json-abc.tmp"), "half").unwrap();
    fs::write(dir.path().join(".n.points.json-abc.tmp"), "another record's").unwrap();
    drop(Store::open(&path).unwrap());
    assert_eq!(names(&dir), [".n.points.json-abc.tmp", "m.points.json"]);
}

fn names(dir: &tempfile::TempDir) -> Vec<String> {
    let entries = fs::read_dir(dir.path()).unwrap();
    let mut names: Vec<_> = entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// The sample that ships with the program is as a save writes it, and has nothing wrong.
#[test]
fn the_sample_record_is_sound() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags/holt-okafor.points.json");
    let (record, notices) = load(&path).unwrap();
    assert_eq!(read::to_bytes(&path, &record).unwrap(), fs::read(&path).unwrap());
    assert!(notices.is_empty(), "{notices:?}");
    assert_eq!(super::super::check::check(&record), []);
    assert_eq!(record.points.len(), 12);
}

/// A record that version 1 of the program wrote, with a journal of its own: read as it was meant, and kept.
#[test]
fn an_older_record_is_upgraded_and_the_old_file_kept() {
    let (_dir, path, store) = fresh();
    drop(store);
    let old = include_bytes!("../../tests/records/version-1.json");
    fs::write(&path, old).unwrap();
    let (read, _) = load(&path).unwrap();
    assert_eq!((read.version, read.points.len()), (VERSION, 12));
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.read_only(), None);
    store.save().unwrap();
    assert_eq!(fs::read(&path).unwrap(), old, "nothing was changed, so nothing is written");
    add(&mut store, 3);
    store.save().unwrap();
    let kept = path.with_file_name("m.points.v1.json");
    assert_eq!(fs::read(&kept).unwrap(), old);
    let said = "the record had version 1 and is saved as version 3; the old file is kept as m.points.v1.json";
    assert!(store.notices().iter().any(|n| n == said), "{:?}", store.notices());
    add(&mut store, 4);
    store.save().unwrap();
    assert_eq!(fs::read(&kept).unwrap(), old);
    drop(store);
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains("\"version\": 3"), "{text}");
    assert_eq!(Store::open(&path).unwrap().record().points.len(), 14);
}

/// Where a file of the kept name is already there, neither is lost.
#[test]
fn an_older_record_is_kept_beside_another_that_was() {
    let (dir, path, store) = fresh();
    drop(store);
    let old = include_bytes!("../../tests/records/version-1.json");
    fs::write(&path, old).unwrap();
    let taken = path.with_file_name("m.points.v1.json");
    fs::write(&taken, "mine").unwrap();
    let mut store = Store::open(&path).unwrap();
    add(&mut store, 3);
    store.save().unwrap();
    assert_eq!(fs::read_to_string(&taken).unwrap(), "mine");
    let aside: Vec<_> = names(&dir).into_iter().filter(|n| n.contains("aside")).collect();
    assert_eq!(aside.len(), 1);
    assert_eq!(fs::read(path.with_file_name(&aside[0])).unwrap(), old);
}

/// A record of version 2 is one of version 3 without what that added: nothing of it changes but the number.
#[test]
fn a_record_of_version_2_opens_as_before() {
    let (_dir, path, store) = fresh();
    drop(store);
    let old = include_str!("../../tests/records/version-2.json");
    fs::write(&path, old).unwrap();
    let store = Store::open(&path).unwrap();
    assert_eq!(store.read_only(), None);
    let mut wanted: serde_json::Value = serde_json::from_str(old).unwrap();
    wanted["version"] = VERSION.into();
    let read = serde_json::to_value(store.record()).unwrap();
    assert_eq!(read["points"][0], wanted["points"][0]);
    assert_eq!(read["version"], wanted["version"]);
}

/// A field of a newer version opens the record read-only and is named, also within a shot; and each field of version 3 is one
/// that version 2 does not know.
#[test]
fn what_version_3_added_is_in_fields_of_its_own() {
    let new = include_str!("../../tests/corpus/record/aims-and-kinds.json");
    let (_dir, path, store) = fresh();
    drop(store);
    fs::write(&path, new).unwrap();
    let record = Store::open(&path).unwrap().record().clone();
    let shot = &record.points[0].shots[2];
    assert!(shot.aim.is_some() && shot.aim_place.is_some() && shot.at_net && shot.net_cord);
    assert_eq!(record.points[0].lets, Some(1));
    // Were a new word put into an old field, version 2 could not read the record at all.
    let old: serde_json::Value =
        serde_json::from_str(include_str!("../../tests/records/version-2.json")).unwrap();
    let new: serde_json::Value = serde_json::to_value(&record).unwrap();
    for (before, after) in
        ["finish", "miss", "logged", "winner"].map(|f| (&old["points"][0][f], &new["points"][0][f]))
    {
        assert_eq!(before, after);
    }
    fs::write(
        &path,
        include_str!("../../tests/corpus/record/aims-and-kinds.json").replace("\"aim\"", "\"aim_2\""),
    )
    .unwrap();
    let store = Store::open(&path).unwrap();
    assert!(store.read_only().unwrap().contains("points[0].shots[2].aim_2"), "{:?}", store.read_only());
}
