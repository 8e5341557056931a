use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::NaiveDate;

use super::*;
use crate::facts::PointRef;
use crate::facts::tests::record as played;
use crate::pattern::Answer;
use crate::record::{Footage, Kind, Player, Record, Source, Store};
use crate::search::Search;
use crate::tennis::Side;
use crate::time::MatchTime;

fn day(d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 5, d).unwrap()
}

fn record(date: u32, surface: &str) -> Record {
    let mut record = played("AABBA");
    record.about.date = Some(day(date));
    record.about.surface = surface.into();
    record.footage = vec![Footage {
        file: "holt.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(60),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    }];
    record
}

fn put(folder: &Path, name: &str, record: Record) -> PathBuf {
    let path = folder.join(format!("{name}.points.json"));
    drop(Store::create(&path, record).unwrap());
    path
}

fn listed(folder: &Path, cache: &Cache) -> Listing {
    list(&[folder.to_owned()], cache, day(20), &|_, _| true).unwrap()
}

#[test]
fn the_newest_match_comes_first_with_what_is_known_and_missing() {
    let folder = tempfile::tempdir().unwrap();
    let mut later = record(9, "clay");
    later.about.b.keep_until = Some(day(19));
    later.about.a.consent = Some(false);
    put(folder.path(), "a", record(2, "hard"));
    put(folder.path(), "b", later);
    fs::write(folder.path().join("c.points.json"), "{").unwrap();
    let listing = listed(folder.path(), &Cache::default());
    let names: Vec<_> =
        listing.records.iter().map(|l| l.entry.path.file_name().unwrap().to_owned()).collect();
    assert_eq!(names, ["b.points.json", "a.points.json", "c.points.json"], "what cannot be read is last");
    let first = &listing.records[0];
    let known = first.known().unwrap();
    assert_eq!((known.players.as_str(), known.place().as_str()), ("Holt – Okafor", "2026-05-09 · clay"));
    assert_eq!(known.logged(), "5 points");
    let missing: Vec<_> = first.missing.iter().map(Missing::words).collect();
    assert_eq!(
        missing,
        [
            "footage missing: holt.mp4",
            "Holt did not agree to be filmed",
            "consent of Okafor expired on 2026-05-19"
        ]
    );
    assert!(first.has("okafor clay") && first.has("9 May") && first.has("expired") && !first.has("hard"));
    assert!(listing.records[2].entry.content.broken().unwrap().contains("c.points.json"));
    fs::write(folder.path().join("holt.mp4"), "pictures").unwrap();
    assert_eq!(listed(folder.path(), &Cache::default()).records[1].missing, []);
}

#[test]
fn only_what_has_changed_is_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("cache").join("library.json");
    let paths = ["a", "b", "c"].map(|n| put(folder.path(), n, record(3, "clay")));
    let first = listed(folder.path(), &Cache::read(&file));
    assert_eq!((first.records.len(), first.read), (3, 3));
    first.cache.unwrap().write(&file).unwrap();
    let again = listed(folder.path(), &Cache::read(&file));
    assert_eq!((again.records, again.read), (first.records, 0));
    assert_eq!(again.cache, None, "there is nothing new to keep");
    fs::remove_file(&paths[0]).unwrap();
    let mut store = Store::open(&paths[1]).unwrap();
    let mut about = store.record().about.clone();
    about.surface = "grass".into();
    // The edit is written to the journal only; the record's own file does not change.
    let _ = store.apply(crate::record::Edit::SetMatch(Box::new(about))).unwrap();
    let third = listed(folder.path(), &Cache::read(&file));
    assert_eq!((third.records.len(), third.read), (2, 1));
    assert_eq!(third.records.iter().filter(|l| l.known().unwrap().surface == "grass").count(), 1);
    assert_eq!(third.cache.unwrap().len(), 2, "what is gone is forgotten");
}

#[test]
fn a_damaged_cache_is_as_good_as_none() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("library.json");
    put(folder.path(), "a", record(3, "clay"));
    let cache = listed(folder.path(), &Cache::default()).cache.unwrap();
    cache.write(&file).unwrap();
    assert_eq!(Cache::read(&file), cache);
    let whole = fs::read(&file).unwrap();
    for cut in [0, 1, whole.len() / 2, whole.len() - 1] {
        fs::write(&file, &whole[..cut]).unwrap();
        assert!(Cache::read(&file).is_empty(), "cut at {cut}");
    }
    let other = String::from_utf8(whole).unwrap().replace("changeover-library 1", "changeover-library 0");
    fs::write(&file, other).unwrap();
    assert!(Cache::read(&file).is_empty(), "another version");
    fs::remove_file(&file).unwrap();
    fs::create_dir(&file).unwrap();
    assert!(Cache::read(&file).is_empty() && cache.write(&file).is_err());
}

#[test]
fn the_cache_is_bounded_and_keeps_other_folders() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "a", record(3, "clay"));
    let entry = listed(folder.path(), &Cache::default()).records.remove(0).entry;
    let at = |n: usize, f: &str| Entry { path: format!("/{f}/{n}.points.json").into(), ..entry.clone() };
    let old: Vec<Entry> = (0..walk::MOST).map(|n| at(n, "old")).collect();
    let cache = Cache::default().with(&[], &old);
    let more: Vec<Entry> = (0..10).map(|n| at(n, "new")).collect();
    let cache = cache.with(&["/new".into()], &more);
    assert_eq!(cache.len(), walk::MOST);
    assert!(more.iter().all(|e| cache.knows(&e.path)));
    let mut cache = cache.with(&["/old".into()], []);
    assert_eq!(cache.len(), 10);
    assert!(cache.forget(&more[0].path) && !cache.forget(&more[0].path));
}

#[test]
fn listing_stops_when_it_is_told_to() {
    let folder = tempfile::tempdir().unwrap();
    for n in 0..20 {
        put(folder.path(), &n.to_string(), record(3, "clay"));
    }
    let asked = AtomicUsize::new(0);
    let go_on = |_, _| asked.fetch_add(1, Ordering::Relaxed) < 3;
    assert!(list(&[folder.path().to_owned()], &Cache::default(), day(1), &go_on).is_none());
    assert!(Kept::read(&[folder.path().join("0.points.json")], &Kept::default(), &|_, _| false).is_none());
}

fn many() -> Record {
    let mut record = Record::default();
    record.about.shows = Kind::Points;
    record.people = vec![Player::named("Holt"), Player::named("Reyes")];
    record.points = played("AABBA").points;
    let pairs = [["Holt", "Reyes"], ["Reyes", "Mensah"]];
    for (n, point) in record.points.iter_mut().enumerate() {
        let [a, b] = pairs[n % 2].map(String::from);
        point.source = Some(Box::new(Source { a, b, ..Source::default() }));
        point.tags.insert("drop shot".into());
    }
    record
}

/// Facts that are kept answer as those that are worked out anew.
#[test]
fn kept_facts_answer_as_the_records_do() {
    let folder = tempfile::tempdir().unwrap();
    let paths = [put(folder.path(), "a", record(3, "clay")), put(folder.path(), "m", many())];
    let kept = Kept::read(&paths, &Kept::default(), &|_, _| true).unwrap();
    assert_eq!((kept.len(), kept.points()), (2, 10));
    let words = kept.vocabulary(&[]);
    for typed in
        ["Holt won", "Reyes", "Mensah drop shot", "break point", "clay", "Okafor serves", "no drop shot"]
    {
        let search = Search::read(typed, &words);
        assert_eq!(search.unknown().count(), 0, "{typed}");
        let mut wanted = Answered::default();
        for (n, path) in paths.iter().enumerate() {
            for (point, answer) in search.answers(&crate::record::load(path).unwrap().0) {
                match answer {
                    Answer::Yes => wanted.points.push(PointRef { record: n, point }),
                    Answer::Unknown => wanted.unknown += 1,
                    Answer::No => {}
                }
            }
        }
        assert_eq!(kept.answer(&search), wanted, "{typed}");
    }
    let (m, f) = kept.at(PointRef { record: 1, point: 3 }).unwrap();
    assert_eq!((m.record.about.side_name(Side::A), f.number), ("Reyes".into(), 3));
    assert_eq!(kept.answer(&Search::read("", &words)), Answered::default());
}

#[test]
fn a_record_that_changed_is_read_again_and_others_are_shared() {
    let folder = tempfile::tempdir().unwrap();
    let paths = [put(folder.path(), "a", record(3, "clay")), put(folder.path(), "b", record(4, "clay"))];
    let first = Kept::read(&paths, &Kept::default(), &|_, _| true).unwrap();
    fs::remove_file(&paths[1]).unwrap();
    put(folder.path(), "b", many());
    let second = Kept::read(&paths, &first, &|_, _| true).unwrap();
    let at = |kept: &Kept, record| std::ptr::from_ref(kept.at(PointRef { record, point: 0 }).unwrap().0);
    assert_eq!(at(&first, 0), at(&second, 0));
    assert_ne!(at(&first, 1), at(&second, 1));
}
