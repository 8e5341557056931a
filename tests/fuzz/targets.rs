//! What is fed, and how far each input is followed once it was read.

use std::path::PathBuf;

use changeover::export;
use changeover::facts::{PointFacts, facts};
use changeover::import;
use changeover::logging::action::ACTIONS;
use changeover::logging::{Action, Code, KeyCard, Layout, Meaning, Press};
use changeover::pattern;
use changeover::record::check::check;
use changeover::record::{Edit, Finish, Footage, MatchInfo, Player, Point, Record, Shared, Store, load};
use changeover::summary::study::{Facets, Pool, ask, questions};
use changeover::tennis::Side;
use changeover::tennis::rules::Rules;
use changeover::time::MatchTime;
use sha2::{Digest, Sha256};

use crate::mutate::Dice;

/// A reader of strangers' files.
pub trait Target {
    /// Its name, that of its folder in the corpus.
    const NAME: &'static str;

    /// What ships with the program.
    fn seeds(&self) -> Vec<Vec<u8>>;

    /// Reads an input and goes on with it as the program would; says what came of it.
    fn read(&mut self, input: &[u8]) -> String;

    /// An input after what makes it worth reading, such as a right checksum.
    fn shaped(&self, input: Vec<u8>, _: &mut Dice) -> Vec<u8> {
        input
    }
}

fn sample(name: &str) -> Vec<u8> {
    std::fs::read(crate::root().join("sample-tags").join(name)).unwrap()
}

/// A folder in memory where there is one: a disk would be most of the time.
fn folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap()
}

/// Empties a folder of what the last input left.
fn empty(dir: &tempfile::TempDir) {
    for entry in std::fs::read_dir(dir.path()).unwrap() {
        std::fs::remove_file(entry.unwrap().path()).unwrap();
    }
}

/// Opens a record as the window does; what was saved must be read again.
fn open(path: &std::path::Path) -> String {
    let mut store = match Store::open(path) {
        Ok(store) => store,
        Err(e) => return e.to_string(),
    };
    let applied = store.apply(Edit::InsertPoint { at: 0, point: Point::default() });
    let _ = store.undo();
    let saved = store.save();
    let refused = applied.err().map(|e| e.to_string());
    let said = [store.notices().join(" "), refused.unwrap_or_default()].concat();
    if saved.is_ok() {
        let record = store.record().clone();
        drop(store);
        assert_eq!(load(path).unwrap().0, record, "what was saved is read again");
    }
    said
}

/// The sidecar of a record.
pub struct RecordFile {
    dir: tempfile::TempDir,
    path: PathBuf,
}

impl RecordFile {
    pub fn new() -> Self {
        let dir = folder();
        let path = dir.path().join("m.points.json");
        Self { dir, path }
    }
}

impl Target for RecordFile {
    const NAME: &'static str = "record";

    fn seeds(&self) -> Vec<Vec<u8>> {
        let two = Footage {
            file: "two.mp4".into(),
            fingerprint: None,
            duration: MatchTime::from_secs(60),
            rate: "30000/1001".parse().ok(),
            rotation: 90,
            start: MatchTime::from_secs(50),
        };
        let mut full = Record { footage: vec![two.clone(), two], ..Record::default() };
        full.about.a = Player { consent: Some(true), ..Player::named("Reyes") };
        full.points =
            [Point { faults: Some(2), finish: Some(Finish::DoubleFault), ..Point::default() }].into();
        vec![sample("holt-okafor.points.json"), serde_json::to_vec(&full).unwrap()]
    }

    fn read(&mut self, input: &[u8]) -> String {
        empty(&self.dir);
        std::fs::write(&self.path, input).unwrap();
        match load(&self.path) {
            Err(e) => e.to_string(),
            Ok((record, _)) => {
                let found: Vec<String> = check(&record).into_iter().map(|f| f.message).take(3).collect();
                let derived = facts(&record);
                assert_eq!(derived.len(), record.points.len());
                found.join(" ") + &open(&self.path)
            }
        }
    }
}

/// The journal beside a sidecar.
pub struct JournalFile {
    dir: tempfile::TempDir,
    path: PathBuf,
    sidecar: Vec<u8>,
    journal: Vec<u8>,
}

impl JournalFile {
    pub fn new() -> Self {
        let dir = folder();
        let path = dir.path().join("m.points.json");
        let mut store = Store::create(&path, Record::default()).unwrap();
        for n in 0..6u64 {
            let start = Some(MatchTime::from_secs(n * 30));
            let point = Point { start, winner: Some(Side::A), note: format!("{n}"), ..Point::default() };
            let edit = match n {
                3 => Edit::SetPoint { at: 1, point },
                4 => Edit::RemovePoint { at: 0 },
                5 => Edit::SetMatch(Box::new(store.record().about.clone())),
                _ => Edit::InsertPoint { at: 0, point },
            };
            let _ = store.apply(edit).unwrap();
        }
        drop(store);
        let sidecar = std::fs::read(&path).unwrap();
        let journal = std::fs::read(path.with_extension("journal")).unwrap();
        Self { dir, path, sidecar, journal }
    }
}

fn hex(bytes: &[u8]) -> String {
    let digit = |n: u8| char::from_digit(u32::from(n), 16).unwrap();
    bytes.iter().flat_map(|b| [digit(b >> 4), digit(b & 15)]).collect()
}

/// A line with the checksum that it should have, written as the journal's own page says.
fn sealed(line: &[u8]) -> Vec<u8> {
    let mark = b",\"sum\":\"";
    let Some(at) = line.windows(mark.len()).rposition(|w| w == mark) else { return line.to_vec() };
    let (body, _) = line.split_at(at);
    let sum = hex(&Sha256::digest(body));
    [body, mark, &sum.as_bytes()[..8], b"\"}\n"].concat()
}

impl Target for JournalFile {
    const NAME: &'static str = "journal";

    fn seeds(&self) -> Vec<Vec<u8>> {
        let saving =
            format!("{{\"saving\":\"{}\",\"n\":2,\"sum\":\"\"}}\n", hex(&Sha256::digest(&self.sidecar)));
        vec![self.journal.clone(), [&self.journal[..], &sealed(saving.as_bytes())].concat()]
    }

    /// Most inputs get right checksums: else no change of an edit would be looked at.
    fn shaped(&self, input: Vec<u8>, dice: &mut Dice) -> Vec<u8> {
        if dice.below(4) == 0 {
            return input;
        }
        input.split_inclusive(|b| *b == b'\n').flat_map(sealed).collect()
    }

    fn read(&mut self, input: &[u8]) -> String {
        empty(&self.dir);
        std::fs::write(&self.path, &self.sidecar).unwrap();
        std::fs::write(self.path.with_extension("journal"), input).unwrap();
        let seen = load(&self.path).unwrap();
        let _ = check(&seen.0);
        seen.1.join(" ") + &open(&self.path)
    }
}

/// A key card.
pub struct Card;

impl Target for Card {
    const NAME: &'static str = "card";

    fn seeds(&self) -> Vec<Vec<u8>> {
        ["built-in", "left-handed", "numpad", "tags-only"].map(|n| sample(&format!("{n}.keys.toml"))).to_vec()
    }

    fn read(&mut self, input: &[u8]) -> String {
        let Ok(text) = std::str::from_utf8(input) else { return "no text".into() };
        match KeyCard::parse(text) {
            Err(e) => e.to_string(),
            Ok(card) => {
                // A keyboard that has each sign at another place, and some nowhere.
                let us = Layout::us();
                let places: Vec<_> = Code::all().collect();
                let turned = Layout::of(|code, shift| {
                    let at = places.iter().position(|c| *c == code)?;
                    us.sign(places[(at + 5) % places.len()], shift).map(str::to_owned)
                });
                let card = card.on_layout(turned.clone());
                let lost = card.lost();
                for row in ACTIONS {
                    for key in card.keys_of(row.action) {
                        let meaning = card.pressed(&Press::typed(key, &turned)).map(Meaning::title);
                        let found = meaning.is_some_and(|m| m == row.title || lost.iter().any(|l| l.by == m));
                        assert!(found || card.keys_of(row.action).count() > 1, "{key}");
                    }
                }
                let keys: usize = card.help(["A", "B"]).iter().map(|(_, rows)| rows.len()).sum();
                let tags = card.tags().count();
                format!("{} {}", if keys > tags { "keys" } else { "tags" }, card.cap(Action::Undo))
            }
        }
    }
}

/// A rules file.
pub struct RulesFile;

impl Target for RulesFile {
    const NAME: &'static str = "rules";

    fn seeds(&self) -> Vec<Vec<u8>> {
        Vec::new()
    }

    /// Reads rules and plays a thousand points by them.
    fn read(&mut self, input: &[u8]) -> String {
        let Ok(text) = std::str::from_utf8(input) else { return "no text".into() };
        let rules = match Rules::parse(text) {
            Ok(rules) => rules,
            Err(e) => return e.to_string(),
        };
        let winner = |n: u64| Some(if n.is_multiple_of(3) { Side::B } else { Side::A });
        let points = (0..1000).map(|n| Point { winner: winner(n), ..Point::default() }).collect();
        let mut record = Record { points, ..Record::default() };
        record.about.rules = rules;
        format!("{:?} won, {} states", record.winner(), facts(&record).len())
    }
}

/// A pattern file.
pub struct PatternText {
    facts: Shared<PointFacts>,
}

impl PatternText {
    pub fn new() -> Self {
        let record = serde_json::from_slice(&sample("holt-okafor.points.json")).unwrap();
        Self { facts: facts(&record) }
    }
}

impl Target for PatternText {
    const NAME: &'static str = "pattern";

    fn seeds(&self) -> Vec<Vec<u8>> {
        vec![sample("starter-patterns.toml")]
    }

    fn read(&mut self, input: &[u8]) -> String {
        let Ok(text) = std::str::from_utf8(input) else { return "no text".into() };
        let file = match pattern::parse(text, "fuzz.toml") {
            Ok(file) => file,
            Err(e) => return e.to_string(),
        };
        let again = pattern::parse(&pattern::write(&file), "written.toml").unwrap();
        let mut said = String::new();
        for (p, q) in file.patterns.iter().zip(&again.patterns).take(50) {
            for f in &self.facts {
                let answer = pattern::answer(p, f);
                assert_eq!(pattern::answer(q, f), answer, "written otherwise than read");
                assert_eq!(pattern::explain(p, f).answer, answer);
                said = format!("{answer:?}");
            }
        }
        said
    }
}

/// Points charted elsewhere.
pub struct ChartFile;

impl Target for ChartFile {
    const NAME: &'static str = "chart";

    fn seeds(&self) -> Vec<Vec<u8>> {
        let record = serde_json::from_slice(&sample("holt-okafor.points.json")).unwrap();
        let kinds = include_bytes!("../corpus/record/aims-and-kinds.json");
        let kinds = serde_json::from_slice(kinds).unwrap();
        [record, kinds].map(|r| export::points::csv(&[("final", &r)]).unwrap().into_bytes()).to_vec()
    }

    /// Reads matches, and what is written of them again: the same points.
    fn read(&mut self, input: &[u8]) -> String {
        let (mut records, mut said) = (Vec::new(), String::new());
        // Names that cells may have in place of a and b, as `--a` and `--b` say.
        for chart in import::parse(input).named(Some("Holt"), Some("Okafor")).take(200) {
            match chart {
                Ok(chart) => records.push(chart.record(MatchInfo::default(), None)),
                Err(e) => said = e.to_string(),
            }
        }
        for record in &records {
            assert_eq!(facts(record).len(), record.points.len());
            if !record.points.is_empty() && said.is_empty() {
                let text = export::points::csv(&[("again", record)]).unwrap();
                let again = import::parse(text.as_bytes()).map(|c| c.unwrap().points.len()).sum::<usize>();
                assert_eq!(again, record.points.len(), "written otherwise than read");
            }
        }
        if said.is_empty() { format!("{} matches", records.len()) } else { said }
    }
}

/// A question file, beside the pattern file that is built in.
pub struct QuestionText {
    patterns: pattern::PatternFile,
    pool: Pool,
}

impl QuestionText {
    pub fn new() -> Self {
        let record = serde_json::from_slice(&sample("holt-okafor.points.json")).unwrap();
        Self { patterns: pattern::PatternFile::starter().unwrap(), pool: Pool::new(vec![record]) }
    }
}

impl Target for QuestionText {
    const NAME: &'static str = "question";

    fn seeds(&self) -> Vec<Vec<u8>> {
        vec![sample("own-questions.toml")]
    }

    fn read(&mut self, input: &[u8]) -> String {
        let Ok(text) = std::str::from_utf8(input) else { return "no text".into() };
        let all = match questions(text, "fuzz.toml", &self.patterns) {
            Ok(all) => all,
            Err(e) => return e.to_string(),
        };
        let answer = |q| export::study::study(&ask(&self.pool, q, &Facets::default()), export::Extent::Full);
        all.iter().take(10).map(answer).collect()
    }
}

/// What an MP4 file lists of its frames.
#[cfg(feature = "video")]
pub struct FilmHeader;

#[cfg(feature = "video")]
impl Target for FilmHeader {
    const NAME: &'static str = "film";

    fn seeds(&self) -> Vec<Vec<u8>> {
        Vec::new()
    }

    fn read(&mut self, input: &[u8]) -> String {
        // A box may end behind the file.
        let changed = changeover::video::changed(&mut std::io::Cursor::new(input)).map_or(0, |all| all.len());
        let listed = match changeover::video::listed(&mut std::io::Cursor::new(input)).unwrap() {
            Some(listed) => {
                let last = listed.frames.iter().map(|f| f.0).max();
                assert_eq!(listed.last.map(|l| l.0), last);
                let (keys, late) = (listed.frames.iter().all(|f| f.1), listed.frames[0].0 > MatchTime::ZERO);
                let order = listed.frames.is_sorted();
                format!("{} frames, all keys: {keys}, late: {late}, in order: {order}", listed.frames.len())
            }
            None => "not understood".into(),
        };
        format!("{listed}; {changed} places are changed")
    }
}
