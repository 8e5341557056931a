//! The conditions of a drop shot, from the positions that were found and from the true ones.

use std::fmt;

use changeover::demo::logged;
use changeover::facts::{PointFacts, ShotFacts, facts};
use changeover::pattern::{Answer, PatternFile, named_conditions};
use changeover::record::{Record, Shared};

use crate::filmed::{Film, Found};

const NAMES: [&str; 3] = ["striker inside the baseline", "opponent deep", "opponent moving away"];

/// How often the answer is that of the truth, unknown, and another one.
#[derive(Default)]
pub struct Conditions {
    of_shots: [[usize; 3]; 3],
    /// The same for the conditions of the starter pattern, at drop shots.
    of_pattern: [usize; 3],
}

/// What is measured of each condition; what was only estimated is not compared.
fn known(shot: &ShotFacts) -> [Option<bool>; 3] {
    [shot.inside, shot.opponent_deep, shot.opponent_leaving]
        .map(|fact| fact.filter(|f| !f.estimated).map(|f| f.value))
}

impl Conditions {
    pub fn of(film: &Film, found: &Found) -> Self {
        let exact = logged(&film.truth, true);
        let (was, is) = (facts(&exact), facts(&with_landings(&exact, &found.record)));
        let mut counted = Self::default();
        for (was, is) in was.iter().zip(&is) {
            for (was, is) in was.shots.iter().zip(is.shots.iter()) {
                for (n, (was, is)) in known(was).into_iter().zip(known(is)).enumerate() {
                    if let Some(was) = was {
                        counted.of_shots[n][kind(was, is)] += 1;
                    }
                }
            }
        }
        counted.answers(&was, &is);
        counted
    }

    /// The conditions of the pattern that names all three, for the points in which somebody played a drop shot.
    fn answers(&mut self, was: &Shared<PointFacts>, is: &Shared<PointFacts>) {
        let starter = PatternFile::starter().unwrap();
        let pattern = starter.named("Drop shot, all conditions met").unwrap();
        for (was, is) in was.iter().zip(is) {
            for ((_, was), (_, is)) in
                named_conditions(pattern, was).into_iter().zip(named_conditions(pattern, is))
            {
                let yes = |a| match a {
                    Answer::Yes => Some(true),
                    Answer::No => Some(false),
                    Answer::Unknown => None,
                };
                if let Some(was) = yes(was) {
                    self.of_pattern[kind(was, yes(is))] += 1;
                }
            }
        }
    }

    pub fn equal(&self) -> usize {
        self.of_shots.iter().map(|c| c[0]).sum()
    }

    /// At drop shots none is wrong; of all shots, what is beyond an error of 95 % may be, now and then.
    pub fn are_good(&self) -> bool {
        let all: usize = self.of_shots.iter().flatten().sum();
        self.of_pattern[2] == 0 && self.wrong() * 50 <= all
    }

    pub fn wrong(&self) -> usize {
        self.of_shots.iter().map(|c| c[2]).sum::<usize>() + self.of_pattern[2]
    }
}

fn kind(was: bool, is: Option<bool>) -> usize {
    is.map_or(1, |is| if is == was { 0 } else { 2 })
}

/// With the places at which the ball landed or was aimed: nobody finds these by themselves.
fn with_landings(exact: &Record, found: &Record) -> Record {
    let mut record = found.clone();
    for (point, was) in record.points.iter_mut().zip(&exact.points) {
        for (shot, was) in point.shots.iter_mut().zip(&was.shots) {
            (shot.landing, shot.aim_place) = (was.landing, was.aim_place);
        }
    }
    record
}

impl fmt::Display for Conditions {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (name, [equal, unknown, wrong]) in NAMES.iter().zip(self.of_shots) {
            writeln!(f, "{name}: {equal} equal, {unknown} uncertain, {wrong} wrong")?;
        }
        let [equal, unknown, wrong] = self.of_pattern;
        write!(
            f,
            "conditions of the pattern at drop shots: {equal} equal, {unknown} uncertain, {wrong} wrong"
        )
    }
}
