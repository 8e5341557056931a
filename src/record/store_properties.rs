//! Properties of the store: random histories, cut journals, arbitrary bytes.

use std::fs;

use proptest::prelude::*;

use super::super::journal::{Damage, read as read_journal};
use super::*;
use crate::drawing::{Anchor, Colour, Drawing, Shape};
use crate::record::edit::Edit;
use crate::record::model::VERSION;
use crate::record::{
    Corner, CourtMark, CourtMarks, Dot, Finish, Footage, FoundBy, Measured, Place, Point, Position, Px, Shot,
    Touch,
};
use crate::tennis::Side;
use crate::tennis::mark::Mark;
use crate::tennis::pair::Server;
use crate::tennis::presets::PRESETS;
use crate::tennis::stroke::{Cell, Column, Row};
use crate::time::MatchTime;

/// An edit, or a walk through the history; places are taken modulo what there is.
#[derive(Debug, Clone)]
enum Step {
    Insert(usize, Point),
    Remove(usize),
    Set(usize, Point),
    Match(String, usize),
    Footage(Vec<String>),
    Closing(Option<Mark>),
    Court(Vec<(u8, i32)>),
    Drawn(Vec<(u32, String)>),
    Both(usize, Point, Option<Mark>),
    Undo,
    Redo,
    Save,
    Reopen,
}

const AIM: Cell = Cell { column: Column::Left, row: Some(Row::Up) };

fn a_point() -> impl Strategy<Value = Point> {
    let finish = prop_oneof![Just(None), Just(Some(Finish::Ace)), Just(Some(Finish::DoubleFault))];
    let winner = prop_oneof![Just(None), Just(Some(Side::A)), Just(Some(Side::B))];
    let times = proptest::option::of((0..1u64 << 50, 1..1u64 << 40));
    let tags = proptest::collection::btree_set("\\PC{0,6}", 0..3);
    let seen = (proptest::option::of(Just(Server::B2)), any::<bool>(), a_mark());
    (times, proptest::option::of(0..3u8), winner, finish, tags, ".{0,12}", seen).prop_map(
        |(times, faults, winner, finish, tags, note, (served_by, replayed, score_before))| Point {
            start: times.map(|(s, _)| MatchTime::from_nanos(s)),
            end: times.map(|(s, l)| MatchTime::from_nanos(s + l)),
            faults,
            winner,
            finish,
            tags,
            note,
            served_by,
            replayed,
            score_before,
            also_wide: replayed,
            lets: faults,
            penalty: winner,
            shots: faults
                .map(|f| Shot {
                    aim: Some(AIM),
                    at_net: f > 0,
                    positions: vec![a_position(f)],
                    ..Shot::default()
                })
                .into_iter()
                .collect(),
            ..Point::default()
        },
    )
}

fn a_mark() -> impl Strategy<Value = Option<Mark>> {
    proptest::option::weighted(0.2, (any::<[u16; 2]>(), any::<[u16; 2]>()))
        .prop_map(|mark| mark.map(|(games, points)| Mark { games, points, ..Mark::default() }))
}

fn a_step() -> impl Strategy<Value = Step> {
    prop_oneof![
        6 => (any::<usize>(), a_point()).prop_map(|(at, p)| Step::Insert(at, p)),
        2 => any::<usize>().prop_map(Step::Remove),
        4 => (any::<usize>(), a_point()).prop_map(|(at, p)| Step::Set(at, p)),
        1 => (".{0,8}", 0..PRESETS.len()).prop_map(|(v, rules)| Step::Match(v, rules)),
        1 => a_mark().prop_map(Step::Closing),
        1 => proptest::collection::vec((0..14u8, any::<i32>()), 0..5).prop_map(Step::Court),
        1 => proptest::collection::vec((any::<u32>(), ".{0,6}"), 0..3).prop_map(Step::Drawn),
        2 => (any::<usize>(), a_point(), a_mark()).prop_map(|(at, p, mark)| Step::Both(at, p, mark)),
        1 => proptest::collection::vec("[a-z]{1,5}\\.mp4", 0..3).prop_map(Step::Footage),
        3 => Just(Step::Undo),
        2 => Just(Step::Redo),
        1 => Just(Step::Save),
        1 => Just(Step::Reopen),
    ]
}

fn edit_of(step: &Step, record: &Record) -> Option<Edit> {
    let len = record.points.len();
    Some(match step.clone() {
        Step::Insert(at, point) => Edit::InsertPoint { at: at % (len + 1), point },
        Step::Remove(at) => Edit::RemovePoint { at: at.checked_rem(len)? },
        Step::Set(at, point) => Edit::SetPoint { at: at.checked_rem(len)?, point },
        Step::Match(venue, rules) => {
            let rules = PRESETS[rules].rules;
            Edit::SetMatch(Box::new(crate::record::MatchInfo { venue, rules, ..record.about.clone() }))
        }
        Step::Footage(files) => Edit::SetFootage(files.into_iter().map(a_file).collect()),
        Step::Closing(mark) => Edit::SetClosingScore(mark),
        Step::Court(marks) => Edit::SetCalibrations(vec![a_court(marks)]),
        Step::Drawn(all) => {
            Edit::SetDrawings(all.into_iter().flat_map(|(n, words)| two_drawings(n, words)).collect())
        }
        Step::Both(at, point, mark) => {
            let insert = Edit::InsertPoint { at: at % (len + 1), point };
            Edit::Together(vec![insert, Edit::SetClosingScore(mark)])
        }
        Step::Undo | Step::Redo | Step::Save | Step::Reopen => return None,
    })
}

fn a_court(marks: Vec<(u8, i32)>) -> CourtMarks {
    let dot = |v: i32| Dot { x: Px::new(f64::from(v) / 1000.0), y: Px::new(0.25) };
    let mark = |(n, v)| CourtMark { landmark: Corner::ALL[usize::from(n)], at: dot(v) };
    CourtMarks {
        file: "m.mp4".into(),
        at: MatchTime::from_millis(40),
        size: crate::measure::Size::new(1280, 720),
        by: FoundBy::Checked,
        centre: marks.first().map(|m| dot(m.1)),
        moving: marks.len() > 3,
        marks: marks.into_iter().map(mark).collect(),
    }
}

fn two_drawings(n: u32, words: String) -> [Drawing; 2] {
    let (from, to) = (MatchTime::from_millis(u64::from(n)), MatchTime::from_secs(1));
    let text = Shape::Text { at: Anchor::Picture(5, -5), words };
    let ring = Shape::Ring { middle: Anchor::Ground(7, -7), radius: n };
    [text, ring].map(|shape| Drawing { shape, colour: Colour::Blue, from, to })
}

fn a_position(x: u8) -> Position {
    let measured = Measured { place: Place { x_mm: 5, y_mm: -6 }, spread_mm2: [4, -1, 9] };
    Position {
        of: Touch::B2,
        frame: MatchTime::from_millis(12),
        at: Dot { x: Px::new(f64::from(x) + 0.37), y: Px::new(-0.01) },
        by: FoundBy::Found,
        measured: (x > 0).then_some(measured),
    }
}

fn a_file(file: String) -> Footage {
    let duration = MatchTime::from_secs(60);
    Footage { file, fingerprint: None, duration, rate: None, rotation: 0, start: MatchTime::ZERO }
}

fn run(store: &mut Store, steps: &[Step]) {
    for step in steps {
        match (edit_of(step, store.record()), step) {
            (Some(edit), _) => drop(store.apply(edit).unwrap()),
            (None, Step::Undo) => drop(store.undo().unwrap()),
            (None, Step::Redo) => drop(store.redo().unwrap()),
            (None, Step::Save) => store.save().unwrap(),
            _ => {}
        }
    }
}

/// A folder in memory where there is one: thousands of syncs to a disk take minutes.
fn memory_dir() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap()
}

fn fresh() -> (tempfile::TempDir, PathBuf, Store) {
    let dir = memory_dir();
    let path = dir.path().join("m.points.json");
    let store = Store::create(&path, Record::default()).unwrap();
    (dir, path, store)
}

fn only_edits(steps: Vec<Step>) -> Vec<Step> {
    steps.into_iter().filter(|s| !matches!(s, Step::Undo | Step::Redo | Step::Save | Step::Reopen)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn all_undone_is_as_before_and_all_redone_is_as_after(
        before in proptest::collection::vec(a_step(), 0..12),
        steps in proptest::collection::vec(a_step(), 0..24),
    ) {
        let (_dir, path, mut store) = fresh();
        run(&mut store, &before);
        store.save().unwrap();
        drop(store);
        let (bytes, mut store) = (fs::read(&path).unwrap(), Store::open(&path).unwrap());
        let start = store.record().clone();
        run(&mut store, &only_edits(steps));
        let end = store.record().clone();
        while store.undo().unwrap().is_some() {}
        prop_assert_eq!(store.record(), &start);
        store.save().unwrap();
        prop_assert_eq!(&fs::read(&path).unwrap(), &bytes);
        while store.redo().unwrap().is_some() {}
        prop_assert_eq!(store.record(), &end);
        store.save().unwrap();
        prop_assert_eq!(load(&path).unwrap(), (end, vec![]));
    }

    /// Undo, redo, saves and interrupted sessions in any order: the next start finds the same record.
    #[test]
    fn any_history_is_found_again(steps in proptest::collection::vec(a_step(), 0..40)) {
        let (_dir, path, mut store) = fresh();
        for part in steps.split_inclusive(|s| matches!(s, Step::Reopen)) {
            run(&mut store, part);
            let (record, unsaved) = (store.record().clone(), store.unsaved());
            prop_assert_eq!(&load(&path).unwrap().0, &record);
            drop(store);
            store = Store::open(&path).unwrap();
            prop_assert_eq!(store.record(), &record);
            prop_assert_eq!(store.unsaved(), unsaved);
            prop_assert_eq!(store.trouble(), None);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// A journal cut at each of its bytes: every edit whose line is whole is there, and logging goes on.
    #[test]
    fn a_cut_journal_loses_at_most_the_edit_cut(steps in proptest::collection::vec(a_step(), 1..6), mark in any::<bool>()) {
        let (_dir, path, mut store) = fresh();
        let mut states = vec![store.record().clone()];
        for step in only_edits(steps) {
            run(&mut store, &[step]);
            if store.unsaved() == states.len() {
                states.push(store.record().clone());
            }
        }
        if mark && store.unsaved() > 0 {
            store.journal.saving("a save that never came").unwrap();
        }
        drop(store);
        let journal = beside(&path, "journal");
        let whole = fs::read(&journal).unwrap_or_default();
        for cut in 0..=whole.len() {
            fs::write(&journal, &whole[..cut]).unwrap();
            // A line that lacks only its line end is whole.
            let lines = whole[..cut].split(|b| *b == b'\n').count() - 1;
            let ended = cut < whole.len() && whole[cut] == b'\n';
            let edits = (lines + usize::from(ended)).saturating_sub(1).min(states.len() - 1);
            let mut store = Store::open(&path).unwrap();
            prop_assert_eq!(store.record(), &states[edits], "cut at {}", cut);
            if cut % 7 == 0 {
                let _ = store.apply(Edit::InsertPoint { at: 0, point: Point::default() }).unwrap();
                drop(store);
                let store = Store::open(&path).unwrap();
                prop_assert_eq!(store.record().points.len(), states[edits].points.len() + 1);
            }
        }
    }
}

/// One change of a text, as an editor, a bad disk or a hostile sender makes it.
fn mutated(bytes: &[u8], changes: &[(prop::sample::Index, u8, u8)]) -> Vec<u8> {
    let mut out = bytes.to_vec();
    for (at, kind, byte) in changes {
        let i = at.index(out.len().max(1)).min(out.len().saturating_sub(1));
        match kind % 5 {
            _ if out.is_empty() => out.push(*byte),
            0 => out[i] = *byte,
            1 => out.insert(i, *byte),
            2 => drop(out.remove(i)),
            3 => out.truncate(i),
            _ => out.extend_from_within(i..),
        }
    }
    out
}

fn changes() -> impl Strategy<Value = Vec<(prop::sample::Index, u8, u8)>> {
    let bytes = prop_oneof![any::<u8>(), prop::sample::select(&b"0123456789\"{}[],:-"[..])];
    proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>(), bytes), 0..6)
}

const SAMPLE: &[u8] = include_bytes!("../../sample-tags/holt-okafor.points.json");

/// Whatever is read, it is read or refused; and what is read can be checked.
fn survives(path: &Path) {
    if let Ok((record, _)) = load(path) {
        let _ = super::super::check::check(&record);
    }
    if let Ok(mut store) = Store::open(path) {
        let _ = store.apply(Edit::InsertPoint { at: 0, point: Point::default() });
        let _ = store.save();
        if store.read_only().is_none() {
            assert!(load(path).is_ok(), "what was saved can be read");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200), of_journal in any::<bool>()) {
        let (_dir, path, store) = fresh();
        drop(store);
        fs::write(if of_journal { beside(&path, "journal") } else { path.clone() }, bytes).unwrap();
        survives(&path);
    }

    #[test]
    fn no_change_of_a_record_makes_the_reader_panic(changes in changes()) {
        let dir = memory_dir();
        let path = dir.path().join("m.points.json");
        fs::write(&path, mutated(SAMPLE, &changes)).unwrap();
        survives(&path);
    }

    /// A changed journal gives edits from its start, in order, or none; the changed file is never lost.
    #[test]
    fn no_change_of_a_journal_makes_up_an_edit(changes in changes()) {
        let (dir, path, mut store) = fresh();
        for n in 0..5 {
            let note = format!("edit {n}");
            let _ = store.apply(Edit::InsertPoint { at: n, point: Point { note, ..Point::default() } }).unwrap();
        }
        let points = store.record().points.clone();
        drop(store);
        let journal = beside(&path, "journal");
        let changed = mutated(&fs::read(&journal).unwrap(), &changes);
        fs::write(&journal, &changed).unwrap();
        let damage = read_journal::<Edit>(&changed, VERSION).damage;
        let store = Store::open(&path).unwrap();
        prop_assert!(points.iter().take(store.record().points.len()).eq(store.record().points.iter()));
        if matches!(damage, Some(Damage::Line(_))) && store.read_only().is_none() {
            let aside = fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().path());
            let kept = aside.filter(|p| p.to_string_lossy().contains(".aside-")).map(|p| fs::read(p).unwrap());
            prop_assert_eq!(kept.collect::<Vec<_>>(), vec![changed]);
        }
        drop(store);
        survives(&path);
    }
}
