//! Deletes a person from a record, or from another document that is kept like one: the name, all notes, everything else in it that names them, and every older version of the
//! record beside it. This cannot be undone.
//!
//! First the record is saved, so that its journal is empty. Then the erased record replaces it atomically. Then the kept files are
//! deleted. If the program is killed in between, the record is unchanged or erased, and erasing again does the rest.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::disk::{self, folder};
use super::document::Document;
use super::error::RecordError;
use super::files::{beside, kept_beside};
use super::model::{Point, Record};
pub use super::person::Person;
use super::person::same_name;
use super::store::{Kept, Store};
use crate::drawing::Shape;
use crate::system::printable;
use crate::textfile::{self, Limit};

/// What erasing a person does, or did.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Erased {
    /// Who.
    #[serde(flatten)]
    pub person: Person,
    /// How many notes are deleted: all, because a note may name anybody.
    pub notes: usize,
    /// Tags that contain the name, removed from all points.
    pub tags: BTreeSet<String>,
    /// Other fields in which the pseudonym replaces the name.
    pub fields: Vec<String>,
    /// Older versions of the record, and its journal, which are deleted.
    pub files: Vec<String>,
    /// The files that could not be deleted, with the system's message.
    pub failed: Vec<String>,
    /// What this program does not reach, in words.
    pub not_reached: Vec<String>,
    /// Whether anything that is erased names the person.
    #[serde(skip)]
    named: bool,
}

impl Erased {
    /// Nothing yet of this person.
    pub(crate) const fn of(person: Person) -> Self {
        Self {
            person,
            notes: 0,
            tags: BTreeSet::new(),
            fields: Vec::new(),
            files: Vec::new(),
            failed: Vec::new(),
            not_reached: Vec::new(),
            named: false,
        }
    }

    /// Whether anything that is erased names the person.
    pub(crate) const fn is_named(&self) -> bool {
        self.named
    }

    /// Deletes the person from the text of a field.
    pub(crate) fn text(&mut self, field: &str, text: &mut String) {
        let Some(changed) = self.person.out_of(text) else { return };
        *text = changed;
        self.named = true;
        if self.fields.iter().all(|f| f != field) {
            self.fields.push(field.into());
        }
    }

    /// Deletes a note.
    pub(crate) fn note(&mut self, note: &mut String) {
        self.named |= self.person.out_of(note).is_some();
        self.notes += usize::from(!std::mem::take(note).is_empty());
    }

    /// That footage stays.
    pub(crate) fn footage(&self, file: &str) -> String {
        let too = if self.person.is_in_file_name(file) {
            ", and its file name, which stays, contains the name"
        } else {
            ""
        };
        format!("footage {}: it shows who played{too}", printable(file, 200))
    }
}

/// Lists what [`erase`] would do; changes nothing.
///
/// # Errors
/// [`RecordError::NoPlayer`] when `who` is nobody in this record; [`RecordError`] when it cannot be read.
pub fn preview(path: &Path, who: &str) -> Result<Erased, RecordError> {
    let (mut record, _) = super::store::load(path)?;
    let mut erased = scrub(&mut record, who)?;
    let (real, files) = kept::<Record>(path)?;
    erased.files = files;
    erased.not_reached = not_reached(&real, &record, &erased);
    Ok(erased)
}

/// Deletes a person from the record at `path`. `who` is `a`, `b`, `a-partner`, `b-partner`, or a name as it stands in
/// the record, in capitals or not, accents put in either of the two ways.
///
/// # Errors
/// [`RecordError::NoPlayer`], [`RecordError::ReadOnly`] (also when it is open elsewhere), and [`RecordError`] when the
/// record cannot be written: it is then unchanged.
pub fn erase(path: &Path, who: &str) -> Result<Erased, RecordError> {
    let mut store = Store::open(path)?;
    let mut record = store.record().clone();
    let mut erased = scrub(&mut record, who)?;
    put(&mut store, record, &mut erased)?;
    erased.not_reached = not_reached(store.real(), store.record(), &erased);
    Ok(erased)
}

/// Where a document is, links followed, and the names of the files kept beside it.
///
/// # Errors
/// [`RecordError`] when it is not there.
pub(crate) fn kept<D: Document>(path: &Path) -> Result<(PathBuf, Vec<String>), RecordError> {
    let real = std::fs::canonicalize(path).map_err(RecordError::io(path, "open it"))?;
    let names = kept_beside(&real, D::VERSION).iter().map(|p| name_of(p)).collect();
    Ok((real, names))
}

/// Whether the journal of a document, or a file kept beside it, names a person.
///
/// # Errors
/// [`RecordError`] when it is not there.
pub(crate) fn is_named_beside<D: Document>(path: &Path, person: &Person) -> Result<bool, RecordError> {
    let real = std::fs::canonicalize(path).map_err(RecordError::io(path, "open it"))?;
    let files = std::iter::once(beside(&real, "journal")).chain(kept_beside(&real, D::VERSION));
    Ok(files.filter_map(|file| words_in(&file)).any(|text| person.out_of(&text).is_some()))
}

/// The text of a document or journal, with its line breaks, each written as a backslash and a letter, as spaces; `None` when it
/// cannot be read.
fn words_in(path: &Path) -> Option<String> {
    let bytes = textfile::bytes(path, Limit::RECORD).ok()?;
    Some(String::from_utf8_lossy(&bytes).replace("\\n", " "))
}

/// Puts a document from which a person was erased in the place of the open one, without its history, and deletes what was kept of it.
///
/// # Errors
/// [`RecordError`] when it cannot be written: it is then unchanged.
pub(crate) fn put<D: Document>(
    store: &mut Kept<D>,
    document: D,
    erased: &mut Erased,
) -> Result<(), RecordError> {
    store.save()?;
    store.start_afresh(document)?;
    for file in kept_beside(store.real(), D::VERSION) {
        match disk::remove(&file) {
            Ok(()) => erased.files.push(name_of(&file)),
            Err(e) => erased.failed.push(format!("{}: {e}", name_of(&file))),
        }
    }
    if let Err(e) = disk::sync_folder(store.real()) {
        erased.failed.push(format!("its folder: {e}"));
    }
    Ok(())
}

fn name_of(path: &Path) -> String {
    printable(&path.file_name().unwrap_or_default().to_string_lossy(), 200)
}

/// The person asked for: the name, and the pseudonym for it. Those on court are asked for by their place too, those of points of
/// many matches by name alone.
fn found(record: &Record, who: &str) -> Result<Person, RecordError> {
    let is = |name: &str, pseudonym: String| Ok(Person { name: name.to_owned(), pseudonym });
    let people: Vec<_> = record.about.people().collect();
    let listed = record.people.iter().position(|p| same_name(&p.name, who));
    let place = people.iter().find(|(place, _)| same_name(place, who));
    if let Some((place, player)) = place.or_else(|| people.iter().find(|(_, p)| same_name(&p.name, who))) {
        return is(&player.name, pseudonym(place));
    }
    if let Some(n) = listed {
        return is(&record.people[n].name, format!("Player {}", n + 1));
    }
    // Somebody whom a point names, and nobody noted more of.
    let named = |p: &Point| {
        p.source.as_deref().and_then(|s| [&s.a, &s.b].into_iter().find(|n| same_name(n, who)).cloned())
    };
    if let Some(name) = record.points.iter().find_map(named) {
        return is(&name, "Another player".into());
    }
    let places = people.iter().map(|(place, p)| format!("{place} ({})", printable(&p.name, 60)));
    let others = record.people.iter().map(|p| printable(&p.name, 60));
    let allowed = places.chain(others).collect::<Vec<_>>().join(", ");
    Err(RecordError::NoPlayer { found: printable(who, 60), allowed })
}

fn pseudonym(place: &str) -> String {
    match place {
        "a" => "Player A",
        "b" => "Player B",
        "a-partner" => "Partner of A",
        _ => "Partner of B",
    }
    .into()
}

/// Deletes the person from the record in memory.
fn scrub(record: &mut Record, who: &str) -> Result<Erased, RecordError> {
    let mut erased = Erased::of(found(record, who)?);
    let Person { name, pseudonym } = erased.person.clone();
    for player in record.about.people_mut().chain(&mut record.people).filter(|p| same_name(&p.name, &name)) {
        player.name.clone_from(&pseudonym);
    }
    erased.text("venue", &mut record.about.venue);
    erased.text("surface", &mut record.about.surface);
    for drawing in &mut record.drawings {
        if let Shape::Text { words, .. } = &mut drawing.shape {
            erased.text("drawings", words);
        }
    }
    for point in &mut record.points {
        scrub_point(point, &mut erased);
    }
    Ok(erased)
}

fn scrub_point(point: &mut Point, erased: &mut Erased) {
    let is_named = |text: &String| erased.person.out_of(text).is_some();
    let (named, kept): (Vec<_>, Vec<_>) = std::mem::take(&mut point.tags).into_iter().partition(is_named);
    point.tags.extend(kept);
    point.tags_by.retain(|tag, _| !is_named(tag));
    erased.text("plan", &mut point.plan);
    if let Some(source) = &mut point.source {
        for (field, text) in source.texts_mut() {
            erased.text(field, text);
        }
    }
    erased.note(&mut point.note);
    erased.tags.extend(named);
}

/// What stays behind, as far as it can be known from here.
fn not_reached(record_at: &Path, record: &Record, erased: &Erased) -> Vec<String> {
    let mut out: Vec<String> = record.footage.iter().map(|file| erased.footage(&file.file)).collect();
    let lessons = lessons_beside(record_at, &erased.person);
    let others = others_beside(record_at, record).into_iter().filter(|p| !lessons.contains(p));
    out.extend(
        others.map(|p| {
            format!("{}, beside the record: check whether it names or shows the player", name_of(&p))
        }),
    );
    let lesson =
        |p: &PathBuf| format!("{}, a lesson: erase the player there too, with changeover erase", name_of(p));
    out.extend(lessons.iter().map(lesson));
    out.extend(not_here(record_at, &erased.person, "record"));
    out
}

/// What no document knows of.
pub(crate) fn not_here(path: &Path, person: &Person, noun: &str) -> Vec<String> {
    let own = Some(name_of(path)).filter(|name| person.is_in_file_name(name));
    let own = own.map(|name| format!("the {noun}'s own file name, {name}"));
    let rest = "exports, pictures and copies elsewhere, backups, and remains of deleted files on the disk";
    own.into_iter().chain([rest.to_owned()]).collect()
}

/// The lessons in the folder that show the record's clips or name the person.
fn lessons_beside(record_at: &Path, person: &Person) -> Vec<PathBuf> {
    let record = serde_json::json!(record_at.file_name().unwrap_or_default().to_string_lossy()).to_string();
    let entries = std::fs::read_dir(folder(record_at)).into_iter().flatten().flatten();
    let is_of = |path: &PathBuf| {
        let is_lesson = name_of(path).to_lowercase().ends_with(".lesson.json");
        let text = Some(path).filter(|_| is_lesson).and_then(|p| words_in(p));
        text.is_some_and(|text| text.contains(&record) || person.out_of(&text).is_some())
    };
    let mut found: Vec<PathBuf> = entries.map(|e| e.path()).filter(is_of).collect();
    found.sort();
    found
}

/// Files in the folder that start with the record's name and are neither its own nor its footage.
fn others_beside(record_at: &Path, record: &Record) -> Vec<PathBuf> {
    let own = name_of(record_at);
    let stem = own.strip_suffix(".points.json").unwrap_or(&own).to_owned();
    let ours = [own.clone(), format!("{stem}.points.journal"), format!("{stem}.points.lock")];
    let footage = |name: &String| record.footage.iter().any(|f| f.file == *name);
    let entries = std::fs::read_dir(folder(record_at)).into_iter().flatten().flatten();
    let mut found: Vec<PathBuf> = (entries.map(|e| e.path()))
        .filter(|p| {
            let name = name_of(p);
            let follows = name.strip_prefix(&stem).is_some_and(|rest| rest.starts_with(['.', '-', '_', ' ']));
            follows && !ours.contains(&name) && !footage(&name)
        })
        .collect();
    found.retain(|p| !kept_beside(record_at, Record::VERSION).contains(p));
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::drawing::{Anchor, Colour, Drawing};
    use crate::record::disk::fault::{Fault, plan};
    use crate::record::files::{copy_aside, keep_version};
    use crate::record::{Edit, Footage, Player, Source};
    use crate::tennis::Side;
    use crate::time::MatchTime;

    /// A record that names Dana Holt wherever a record can, with older states of it beside.
    fn named_everywhere(dir: &Path) -> PathBuf {
        let path = dir.join("sunday.points.json");
        let mut record = Record::default();
        record.about.a = Player::named("Dana Holt");
        record.about.b = Player::named("Okafor");
        record.about.venue = "at Holt's, court 2".into();
        record.drawings = vec![Drawing {
            shape: Shape::Text { at: Anchor::Picture(0, 0), words: "Dana too deep".into() },
            colour: Colour::Yellow,
            from: MatchTime::ZERO,
            to: MatchTime::from_secs(2),
        }];
        record.footage = vec![Footage {
            file: "sunday.mp4".into(),
            fingerprint: None,
            duration: MatchTime::from_secs(60),
            rate: None,
            rotation: 0,
            start: MatchTime::ZERO,
        }];
        let mut store = Store::create(&path, record).unwrap();
        for n in 0..3 {
            let tags = ["holt slices", "upholts", "wide serve"].map(String::from).into();
            let note = if n == 1 { String::new() } else { "Dana was late".into() };
            let point = Point { plan: "Behind Holt".into(), tags, note, ..Point::default() };
            let _ = store.apply(Edit::InsertPoint { at: n, point }).unwrap();
        }
        copy_aside(&path).unwrap();
        keep_version(&path, 1).unwrap();
        copy_aside(&beside(&path, "journal")).unwrap();
        fs::write(dir.join(".sunday.points.json-x1.tmp"), "Dana Holt").unwrap();
        fs::write(dir.join("sunday.mp4"), "pictures").unwrap();
        fs::write(dir.join("sunday-lesson.vtt"), "Dana Holt").unwrap();
        path
    }

    fn mentions(dir: &Path) -> Vec<String> {
        let mut found: Vec<String> = (fs::read_dir(dir).unwrap().map(|e| e.unwrap().path()))
            .filter(|p| {
                let text = String::from_utf8_lossy(&fs::read(p).unwrap()).to_lowercase();
                text.contains("dana") || text.replace("upholts", "").contains("holt")
            })
            .map(|p| name_of(&p))
            .collect();
        found.sort();
        found
    }

    #[test]
    fn nothing_beside_the_record_names_them_any_more() {
        let dir = tempfile::tempdir().unwrap();
        let path = named_everywhere(dir.path());
        assert!(mentions(dir.path()).len() >= 6, "{:?}", mentions(dir.path()));
        let erased = erase(&path, "dana holt").unwrap();
        assert_eq!((erased.person.pseudonym.as_str(), erased.notes), ("Player A", 2));
        assert_eq!(erased.tags, ["holt slices".to_owned()].into());
        assert_eq!(erased.fields, ["venue", "drawings", "plan"]);
        assert_eq!(erased.files.len(), 3, "{:?}", erased.files);
        assert!(erased.failed.is_empty());
        assert_eq!(mentions(dir.path()), ["sunday-lesson.vtt"]);
        assert_eq!(erased.not_reached.len(), 3, "{:?}", erased.not_reached);
        assert!(erased.not_reached[1].starts_with("sunday-lesson.vtt, beside the record"));
        let mut store = Store::open(&path).unwrap();
        assert!(store.notices().is_empty() && !store.can_undo(), "{:?}", store.notices());
        assert_eq!(store.undo().unwrap(), None);
        let about = &store.record().about;
        assert_eq!((about.a.name.as_str(), about.b.name.as_str()), ("Player A", "Okafor"));
        assert_eq!(about.venue, "at Player A's, court 2");
        assert!(store.record().points.iter().all(|p| p.note.is_empty() && p.tags.len() == 2));
    }

    /// In points of many matches: in the list of people, as a player of a point, in its source line, its event and whose tag.
    #[test]
    fn a_person_of_many_matches_is_gone_from_everywhere() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("many.points.json");
        let mut record = Record::default();
        record.about.shows = crate::record::Kind::Points;
        record.people = vec![Player::named("Okafor"), Player::named("Dana Holt")];
        let source = Source {
            a: "Dana Holt".into(),
            b: "Okafor".into(),
            score: "30–40".into(),
            event: "Holt cup, final".into(),
            line: "from Dana's telephone".into(),
        };
        record.points = vec![Point {
            source: Some(Box::new(source)),
            tags: ["holt lob", "lob"].map(String::from).into(),
            tags_by: [("holt lob".to_owned(), Side::A.into())].into(),
            ..Point::default()
        }]
        .into();
        drop(Store::create(&path, record).unwrap());
        let erased = erase(&path, "dana holt").unwrap();
        assert_eq!(erased.person.pseudonym, "Player 2");
        assert_eq!(erased.fields, ["source.a", "source.event", "source.line"]);
        assert_eq!(mentions(dir.path()), [""; 0]);
        let (record, _) = super::super::store::load(&path).unwrap();
        let source = record.points[0].source.as_deref().unwrap();
        assert_eq!((source.a.as_str(), source.b.as_str()), ("Player 2", "Okafor"));
        assert_eq!(source.line, "from Player 2's telephone");
        assert_eq!(record.people[1].name, "Player 2");
    }

    #[test]
    fn a_preview_changes_nothing_and_says_the_same() {
        let dir = tempfile::tempdir().unwrap();
        let path = named_everywhere(dir.path());
        let before = mentions(dir.path());
        let said = preview(&path, "A").unwrap();
        assert_eq!(mentions(dir.path()), before);
        let done = erase(&path, "a").unwrap();
        // Opening for good sweeps what a killed save left.
        assert_eq!(said.files.len(), done.files.len() + 1);
        assert_eq!(Erased { files: done.files.clone(), ..said }, done);
    }

    #[test]
    fn a_record_of_an_older_version_is_erased_with_its_older_state() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.points.json");
        let mut record = Record::default();
        record.about.a = Player::named("Holt");
        drop(Store::create(&path, record).unwrap());
        let now = format!("\"version\": {}", crate::record::model::VERSION);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(&now));
        fs::write(&path, text.replace(&now, "\"version\": 1")).unwrap();
        assert_eq!(erase(&path, "holt").unwrap().files, ["m.points.v1.json"]);
        assert_eq!(mentions(dir.path()), [""; 0]);
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_partner_is_erased_and_the_others_stay() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.points.json");
        let mut record = Record::default();
        record.about.b_partner = Some(Player::named("Reyes"));
        drop(Store::create(&path, record.clone()).unwrap());
        assert!(erase(&path, "a-partner").is_err());
        assert_eq!(erase(&path, "reyes").unwrap().person.pseudonym, "Partner of B");
        record.about.b_partner = Some(Player::named("Partner of B"));
        assert_eq!(super::super::store::load(&path).unwrap().0, record);
    }

    /// A name is asked for, and found in file names, however its accents are put.
    #[test]
    fn accents_may_be_put_in_either_way() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("Re\u{301}my li.points.json");
        let mut record = Record::default();
        record.about.a = Player::named("Li R\u{e9}my");
        drop(Store::create(&path, record).unwrap());
        let said = preview(&path, "li re\u{301}my").unwrap();
        assert!(said.not_reached[0].starts_with("the record's own file name"), "{:?}", said.not_reached);
    }

    #[test]
    fn nobody_of_that_name_is_an_error_that_names_who_there_is() {
        let dir = tempfile::tempdir().unwrap();
        let path = named_everywhere(dir.path());
        let before = fs::read(&path).unwrap();
        let error = erase(&path, "Reyes").unwrap_err().to_string();
        assert_eq!(error, "no player here is called \"Reyes\"; allowed: a (Dana Holt), b (Okafor)");
        assert_eq!(fs::read(&path).unwrap(), before);
    }

    #[test]
    fn a_record_open_elsewhere_is_left() {
        let dir = tempfile::tempdir().unwrap();
        let path = named_everywhere(dir.path());
        let _open = Store::open(&path).unwrap();
        assert!(matches!(erase(&path, "a"), Err(RecordError::ReadOnly { .. })));
    }

    /// Whatever fails, the record is as before or erased, whole, and erasing again does the rest.
    #[test]
    fn a_failing_disk_leaves_the_record_whole_and_erasing_again_ends_it() {
        for from in 0..40 {
            let dir = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
            let path = named_everywhere(dir.path());
            plan(Some(Fault { from, times: usize::MAX, errno: 5, hits: |_| true }));
            let first = erase(&path, "a");
            plan(None);
            let (record, _) = super::super::store::load(&path).unwrap();
            let whole = record.points.len() == 3 && record.points[0].note == "Dana was late";
            let gone = record.about.a.name == "Player A" && record.points.iter().all(|p| p.note.is_empty());
            assert!(whole || gone, "from operation {from}");
            assert!(gone || first.is_err(), "from operation {from}: said to be done, but was not");
            if let Ok(erased) = first
                && mentions(dir.path()) != ["sunday-lesson.vtt"]
            {
                assert!(!erased.failed.is_empty(), "from operation {from}: what is left must be told");
            }
            erase(&path, "a").unwrap();
            assert_eq!(mentions(dir.path()), ["sunday-lesson.vtt"], "from operation {from}");
        }
    }

    /// Every text of the fullest record that the project keeps, with what version 3 added to shots and points: wherever the name
    /// still reads as a record, erasing deletes it, and of a shot nothing else changes. File names are told, not changed.
    #[test]
    fn no_field_of_a_full_record_keeps_the_name() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records");
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("m.points.json");
        let (mut free, mut words) = (0, 0);
        for kept in ["version-3.json", "version-3-points-of-many-matches.json"] {
            let whole: serde_json::Value =
                serde_json::from_slice(&fs::read(root.join(kept)).unwrap()).unwrap();
            // A name is one person's, and another's is not deleted. Files are told, not renamed.
            for place in texts(&whole, String::new())
                .into_iter()
                .filter(|at| !at.ends_with("/name") && !at.starts_with("/footage/"))
            {
                let mut named = whole.clone();
                named["match"]["a"]["name"] = "Dana Holt".into();
                *named.pointer_mut(&place).unwrap() = "seen by Dana".into();
                fs::write(&path, named.to_string()).unwrap();
                words += 1;
                let Ok((before, _)) = super::super::store::load(&path) else { continue };
                let mut record = before.clone();
                scrub(&mut record, "a").unwrap();
                let left = serde_json::to_string(&record).unwrap();
                assert!(!left.contains("Dana") || place.ends_with("/file"), "{kept}: {place}");
                let shots = |r: &Record| r.points.iter().flat_map(|p| p.shots.clone()).collect::<Vec<_>>();
                assert_eq!(shots(&record), shots(&before), "{place}");
                free += 1;
            }
        }
        assert!(free > 5 && words > free + 50, "{free} texts of any kind among {words}");
    }

    /// Where the texts of a value are.
    fn texts(value: &serde_json::Value, at: String) -> Vec<String> {
        match value {
            serde_json::Value::String(_) => vec![at],
            serde_json::Value::Array(all) => {
                all.iter().enumerate().flat_map(|(n, v)| texts(v, format!("{at}/{n}"))).collect()
            }
            serde_json::Value::Object(all) => {
                all.iter().flat_map(|(key, v)| texts(v, format!("{at}/{key}"))).collect()
            }
            _ => Vec::new(),
        }
    }
}
