//! Random inputs against everything that reads a stranger's file: no panic, nothing over a second, never more than
//! 256 MiB.
//!
//! Stable Rust only. Each target starts from the files that ship with the program and those in `tests/corpus/TARGET/`,
//! where every input that once failed is kept. An input with an answer not seen before joins the seeds. Without
//! `CHANGEOVER_FUZZ_SECONDS` a target takes a few hundred inputs, so that it can be run at every change; `scripts/fuzz`
//! sets it. The same `CHANGEOVER_FUZZ_SEED` gives the same inputs.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

mod caches;
mod files;
mod large;
mod meter;
mod mutate;
mod targets;

use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use mutate::{Dice, mutated};
use targets::Target;

const MOST_BYTES: u64 = 256 << 20;
const MOST_TIME: Duration = Duration::from_secs(if cfg!(debug_assertions) { 2 } else { 1 });
/// A target that does not come back at all is ended after this; the machine may be busy.
const HUNG: Duration = Duration::from_secs(60);
const INPUTS: u64 = 300;
const MOST_SEEDS: usize = 2_000;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|n| n.parse().unwrap())
}

/// The inputs kept for a target, in the order of their names.
fn corpus(target: &str) -> Vec<Vec<u8>> {
    let entries = std::fs::read_dir(root().join("tests/corpus").join(target)).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
    paths.sort();
    paths.iter().map(|p| std::fs::read(p).unwrap()).collect()
}

/// What is being read now, and since when: for the watch.
type Now = Arc<Mutex<Option<(Instant, Vec<u8>)>>>;

/// Ends the process when an input does not come to an end, once the input is written down.
fn watch(name: &'static str, now: &Now) {
    let now = now.clone();
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(Duration::from_secs(1));
            let stuck = now.lock().unwrap().clone().filter(|(since, _)| since.elapsed() > HUNG);
            if let Some((_, input)) = stuck {
                eprintln!(
                    "fuzz {name}: an input did not come to an end; it is {}",
                    keep(name, &input).display()
                );
                std::process::abort();
            }
        }
    });
}

/// Writes an input that failed where a person finds it; it belongs into the corpus.
fn keep(name: &str, input: &[u8]) -> PathBuf {
    use sha2::{Digest, Sha256};
    let folder = root().join("target/fuzz-failures").join(name);
    std::fs::create_dir_all(&folder).unwrap();
    let sum = Sha256::digest(input);
    let path = folder.join(format!("{:02x}{:02x}{:02x}{:02x}", sum[0], sum[1], sum[2], sum[3]));
    std::fs::write(&path, input).unwrap();
    path
}

#[derive(Default)]
struct Tally {
    inputs: u64,
    most_bytes: u64,
    slowest: Duration,
    answers: BTreeSet<String>,
}

struct Run<T> {
    target: T,
    now: Now,
    tally: Tally,
}

impl<T: Target> Run<T> {
    fn of(target: T) -> Self {
        let run = Self { target, now: Now::default(), tally: Tally::default() };
        watch(T::NAME, &run.now);
        run
    }

    /// Reads one input; whether its answer is a new one.
    fn one(&mut self, input: &[u8]) -> bool {
        let answer = self.judged(input);
        self.tally.answers.len() < MOST_SEEDS && self.tally.answers.insert(kind_of(&answer))
    }

    /// Reads one input, which must keep to the limits; what came of it.
    fn judged(&mut self, input: &[u8]) -> String {
        let (answer, bytes, time) = self.measured(input);
        let slow = time > MOST_TIME && (0..3).all(|_| self.measured(input).2 > MOST_TIME);
        for (bad, what) in [
            (answer.is_err(), "panics".to_owned()),
            (bytes > MOST_BYTES, format!("takes {} MiB", bytes >> 20)),
            (slow, format!("takes {} ms", time.as_millis())),
        ] {
            assert!(!bad, "fuzz {}: an input {what}; it is {}", T::NAME, keep(T::NAME, input).display());
        }
        self.tally.inputs += 1;
        self.tally.most_bytes = self.tally.most_bytes.max(bytes);
        self.tally.slowest = self.tally.slowest.max(time);
        answer.unwrap_or_default()
    }

    fn measured(&mut self, input: &[u8]) -> (Result<String, ()>, u64, Duration) {
        let start = Instant::now();
        let before = worked(start);
        *self.now.lock().unwrap() = Some((start, input.to_vec()));
        let target = &mut self.target;
        let (answer, bytes) =
            meter::peak_of(|| catch_unwind(AssertUnwindSafe(|| target.read(input))).map_err(drop));
        *self.now.lock().unwrap() = None;
        (answer, bytes, worked(start).saturating_sub(before))
    }
}

/// How long this thread has had a processor: another program's work is not counted. Elsewhere than on Linux, time by the
/// clock.
fn worked(since: Instant) -> Duration {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanos = told.split_whitespace().next().and_then(|n| n.parse().ok());
    nanos.map_or_else(|| since.elapsed(), Duration::from_nanos)
}

/// An answer without its numbers and quotes: two inputs with the same one took the same way.
fn kind_of(answer: &str) -> String {
    let mut kind = String::new();
    for (i, part) in answer.split(['"', '`']).enumerate() {
        if i % 2 == 0 {
            kind.extend(part.chars().filter(|c| !c.is_ascii_digit()).take(200));
        }
    }
    kind
}

fn fuzz<T: Target>(target: T) {
    let seed = number("CHANGEOVER_FUZZ_SEED").unwrap_or(1);
    let seconds = number("CHANGEOVER_FUZZ_SECONDS");
    let mut seeds = corpus(T::NAME);
    seeds.extend(target.seeds());
    let mut run = Run::of(target);
    for input in &seeds {
        run.one(input);
    }
    let (mut dice, start) = (Dice(seed), Instant::now());
    println!("fuzz {}: seed {seed}, {} inputs to start from", T::NAME, seeds.len());
    let goes_on = |n: u64| match seconds {
        Some(s) => start.elapsed() < Duration::from_secs(s),
        None => n < INPUTS,
    };
    for n in 0.. {
        if !goes_on(n) {
            break;
        }
        let (a, b) = (dice.below(seeds.len()), dice.below(seeds.len()));
        let input = run.target.shaped(mutated(&seeds[a], &seeds[b], &mut dice), &mut dice);
        if run.one(&input) {
            seeds.push(input);
        }
    }
    let Tally { inputs, most_bytes, slowest, answers } = run.tally;
    println!(
        "fuzz {}: {inputs} inputs in {} s, {} kinds of answer, at most {} KiB, the slowest {} ms",
        T::NAME,
        start.elapsed().as_secs(),
        answers.len(),
        most_bytes >> 10,
        slowest.as_millis()
    );
    assert!(answers.len() > 3, "the inputs must get somewhere: {answers:?}");
}

#[test]
fn record() {
    fuzz(targets::RecordFile::new());
}

#[test]
fn journal() {
    fuzz(targets::JournalFile::new());
}

#[test]
fn card() {
    fuzz(targets::Card);
}

#[test]
fn pattern() {
    fuzz(targets::PatternText::new());
}

#[test]
fn question() {
    fuzz(targets::QuestionText::new());
}

#[test]
fn settings() {
    fuzz(files::SettingsFile);
}

#[test]
fn footage() {
    fuzz(files::FootageNames);
}

#[test]
fn lesson() {
    fuzz(files::LessonFile::new());
}

#[test]
fn take() {
    fuzz(files::TakeFiles::new());
}

#[test]
fn cuts() {
    fuzz(caches::CutsFile::new());
}

#[test]
fn courts() {
    fuzz(caches::CourtsFile::new());
}

#[test]
fn library() {
    fuzz(caches::LibraryFile::new());
}

#[test]
fn rules() {
    fuzz(targets::RulesFile);
}

#[cfg(feature = "video")]
#[test]
fn film() {
    fuzz(targets::FilmHeader);
}

#[test]
fn chart() {
    fuzz(targets::ChartFile);
}

/// What each repair was about is in an input, and the reader still says of it what it should: a table is taken, a mistyped key is
/// told with the key that was meant.
#[test]
fn each_repair_of_a_text_is_shown_by_its_input() {
    let said = |target: &str, file: &str| {
        let input = std::fs::read(root().join("tests/corpus").join(target).join(file)).unwrap();
        match target {
            "chart" => targets::ChartFile.read(&input),
            "rules" => targets::RulesFile.read(&input),
            "pattern" => targets::PatternText::new().read(&input),
            "question" => targets::QuestionText::new().read(&input),
            "card" => targets::Card.read(&input),
            "record" => targets::RecordFile::new().read(&input),
            _ => targets::JournalFile::new().read(&input),
        }
    };
    let tables = ["byte-order-mark", "no-break-spaces", "capital-letters", "names-of-players", "semicolons"];
    for name in tables.into_iter().chain(["sep-line", "tabs", "trailing-cells-and-rows"]) {
        assert_eq!(said("chart", &format!("{name}.csv")), "1 matches", "{name}");
    }
    for (target, file, why) in [
        ("chart", "workbook.csv", "save the sheet as CSV"),
        ("rules", "mistyped-key.toml", "did you mean \"final_set\"?"),
        ("rules", "mistyped-key-in-set.toml", "did you mean \"tie_break\"?"),
        ("pattern", "mistyped-key.toml", "did you mean \"won_by\"?"),
        ("question", "mistyped-key.toml", "did you mean"),
        ("card", "mistyped-key.toml", "did you mean"),
        ("record", "point-in-brackets.json", "points"),
        ("record", "latin-1.json", "UTF-8"),
        ("record", "too-many-tags.json", "tags"),
        ("journal", "newer.jsonl", "newer"),
    ] {
        let said = said(target, file);
        assert!(said.contains(why), "{target}/{file}: {said}");
    }
}

/// Every field of a record and every word that a field can have is in an input that the fuzzer starts from. A field that is added
/// to the record has to be added there.
#[test]
fn the_record_inputs_hold_every_field_and_every_word() {
    let schema = serde_json::to_value(schemars::schema_for!(changeover::record::Record)).unwrap();
    let (mut wanted, mut held) = (BTreeSet::new(), BTreeSet::new());
    names(&schema, &mut wanted);
    let mut inputs = corpus(targets::RecordFile::NAME);
    inputs.extend(targets::RecordFile::new().seeds());
    inputs.iter().filter_map(|i| serde_json::from_slice(i).ok()).for_each(|v| words(&v, &mut held));
    let missing: Vec<_> = wanted.difference(&held).collect();
    assert_eq!(missing, Vec::<&String>::new());
    assert!(wanted.len() > 100, "{}", wanted.len());
}

/// The fields that a schema names, and the words that they can have. A default (`match`) need not be written.
fn names(schema: &serde_json::Value, into: &mut BTreeSet<String>) {
    use serde_json::Value;
    if let Value::Object(fields) = schema {
        if let Some(Value::Object(properties)) = fields.get("properties") {
            into.extend(properties.keys().cloned());
        }
        into.extend(fields.get("const").and_then(Value::as_str).map(str::to_owned));
        let all = fields.get("enum").and_then(Value::as_array).into_iter().flatten();
        into.extend(all.filter_map(Value::as_str).map(str::to_owned));
        fields.values().for_each(|v| names(v, into));
    } else if let Value::Array(all) = schema {
        for v in all {
            names(v, into);
        }
    }
}

/// Every field and every text of a document.
fn words(document: &serde_json::Value, into: &mut BTreeSet<String>) {
    use serde_json::Value;
    match document {
        Value::Object(fields) => {
            into.extend(fields.keys().cloned());
            fields.values().for_each(|v| words(v, into));
        }
        Value::Array(all) => all.iter().for_each(|v| words(v, into)),
        Value::String(text) => drop(into.insert(text.clone())),
        _ => {}
    }
}
