//! Statistics of random tables, reckoned again by scipy and statsmodels; needs `CHANGEOVER_PYTHON`, which
//! `scripts/test` sets. The tables are the same in every run.

use std::path::Path;
use std::process::Command;

use changeover::evidence::{
    Interval, Prior, Proportion, compare, conditional_entropy, entropy, equal_rates, exact_within,
    false_discovery, fisher, n_per_arm, runs, stratified, wilson,
};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Reason, TestRunner};
use serde_json::{Value, json};

/// How many tables of each kind.
const MANY: usize = 150;

fn ends(interval: Option<Interval>) -> Option<[f64; 2]> {
    interval.map(|i| [i.low, i.high])
}

/// Won and lost: mostly few, sometimes a career.
fn side() -> impl Strategy<Value = Proportion> {
    prop_oneof![
        3 => (0usize..12, 0usize..12),
        3 => (0usize..90, 0usize..90),
        1 => (0usize..9000, 0usize..9000),
    ]
    .prop_map(|(won, lost)| Proportion { won, lost, unknown: 0 })
}

fn pair(p: Proportion) -> [usize; 2] {
    [p.won, p.lost]
}

fn one_rate(p: Proportion, prior: (f64, f64)) -> Value {
    let after = Prior::new(prior.0, prior.1).map(|expected| expected.after(p));
    json!({
        "kind": "rate", "table": pair(p), "prior": prior,
        "wilson": ends(wilson(p.won, p.n())),
        "posterior": after.map(|a| [a.rate, a.interval.low, a.interval.high]),
    })
}

fn two_rates(a: Proportion, b: Proportion) -> Value {
    let f = fisher([pair(a), pair(b)]);
    json!({
        "kind": "difference", "table": [pair(a), pair(b)],
        "interval": ends(compare(a, b).map(|c| c.interval)),
        "fisher": [f.less, f.greater, f.two_sided], "mid": f.mid,
    })
}

fn discoveries(p: &[f64]) -> Value {
    json!({ "kind": "discovery", "p": p, "q": false_discovery(p) })
}

fn groups(groups: &[(Proportion, Proportion)]) -> Value {
    let s = stratified(groups);
    let tables: Vec<_> = groups.iter().map(|(a, b)| [pair(*a), pair(*b)]).collect();
    json!({
        "kind": "groups", "tables": tables, "odds_ratio": s.odds_ratio, "interval": ends(s.interval), "p": s.p,
        "difference": s.difference, "difference_interval": ends(s.difference_interval), "exact": exact_within(&tables),
    })
}

fn serves(choices: &[usize]) -> Value {
    let count = |k: usize| choices.iter().filter(|c| **c == k).count();
    let pairs: Vec<(usize, usize)> = choices.windows(2).map(|w| (w[0], w[1])).collect();
    let wide: Vec<bool> = choices.iter().map(|c| *c == 0).collect();
    let r = runs(&wide);
    json!({
        "kind": "serves", "choices": choices,
        "bits": entropy(&[count(0), count(1), count(2)]).map(|e| e.bits),
        "given": conditional_entropy(&pairs).map(|e| e.bits),
        "runs": r.map(|r| json!([r.runs, r.z, r.p_normal, r.p_few, r.p_many])),
    })
}

fn directions(all: &[Proportion]) -> Value {
    let table: Vec<_> = all.iter().copied().map(pair).collect();
    json!({ "kind": "directions", "table": table, "test": equal_rates(all).map(|t| (t.q, t.df as f64, t.p)) })
}

fn power(one: f64, other: f64) -> Value {
    json!({ "kind": "power", "rates": [one, other], "n": n_per_arm(one, other) })
}

/// Every kind of table, many times.
fn tables() -> Result<Vec<Value>, Reason> {
    let part = || 0.02f64..0.98;
    let any = prop_oneof![
        (side(), (0.5f64..40.0, 0.5f64..40.0)).prop_map(|(p, prior)| one_rate(p, prior)),
        (side(), side()).prop_map(|(a, b)| two_rates(a, b)),
        prop::collection::vec(prop_oneof![0.0f64..=1.0, 0.0f64..0.05], 1..30).prop_map(|p| discoveries(&p)),
        prop::collection::vec((side(), side()), 1..6).prop_map(|g| groups(&g)),
        prop::collection::vec(0usize..3, 0..80).prop_map(|c| serves(&c)),
        prop::collection::vec(side(), 2..4).prop_map(|d| directions(&d)),
        (part(), part()).prop_map(|(a, b)| power(a, b)),
    ];
    let mut dice = TestRunner::deterministic();
    (0..MANY * 7).map(|_| Ok(any.new_tree(&mut dice)?.current())).collect()
}

#[test]
fn other_libraries_reckon_the_same() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("evidence.jsonl");
    let lines: Vec<String> = tables().unwrap().iter().map(Value::to_string).collect();
    std::fs::write(&file, lines.join("\n")).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/check_evidence.py");
    let out = Command::new(python).arg(script).arg(&file).output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    println!("{text}");
    assert!(out.status.success(), "{text}");
}
