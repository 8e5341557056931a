//! Inputs that a reader must refuse for their size, made here because they are too large to keep: each is measured as any other
//! input, and what is said of it names the limit.

use crate::Run;
use crate::targets::{PatternText, RecordFile, Target};

/// The sample record with something changed.
fn record(change: impl FnOnce(&mut serde_json::Value)) -> Vec<u8> {
    let text = include_bytes!("../../sample-tags/holt-okafor.points.json");
    let mut record = serde_json::from_slice(text).unwrap();
    change(&mut record);
    serde_json::to_vec(&record).unwrap()
}

fn refused<T: Target>(target: T, inputs: impl IntoIterator<Item = (Vec<u8>, &'static str)>) {
    let mut run = Run::of(target);
    for (input, why) in inputs {
        let said = run.judged(&input);
        assert!(said.contains(why) && said.len() < 400, "{}: {said}", T::NAME);
    }
}

#[test]
fn records() {
    let points = |n: usize| vec![serde_json::json!({"faults": 0, "winner": "a"}); n];
    let tags: Vec<String> = (0..100_000).map(|n| format!("tag {n}")).collect();
    let name = "n".repeat(100_000);
    refused(
        RecordFile::new(),
        [
            (record(|r| r["points"] = points(20_001).into()), "20001 points"),
            (record(|r| r["footage"] = vec![r["footage"][0].clone(); 1_000].into()), "1000 files"),
            (record(|r| r["match"]["a"]["name"] = name.as_str().into()), "100000 letters"),
            (record(|r| r["footage"][0]["file"] = name.as_str().into()), "100000 letters"),
            (
                record(|r| {
                    r["points"] = points(1).into();
                    r["points"][0]["tags"] = tags.into();
                }),
                "100000 tags",
            ),
        ],
    );
}

#[test]
fn patterns() {
    let many =
        |n: usize| (0..n).fold(String::new(), |t, n| t + &format!("[[pattern]]\nname=\"{n}\"\nserve=1\n"));
    let name = format!("[[pattern]]\nname = \"{}\"\nserve = 1\n", "n".repeat(100_000));
    refused(
        PatternText::new(),
        [
            (many(1_001).into_bytes(), "at most 1000 patterns"),
            // As many as the limit of such a file, 1 MiB, leaves room for; `cli_reading` has 100,000.
            (many(30_000).into_bytes(), "at most 1000 patterns"),
            (name.into_bytes(), "at most 1000 letters"),
        ],
    );
}
