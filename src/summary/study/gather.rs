//! Goes through the points once and puts each into its row.

use super::by::By;
use super::by::Value;
use super::counts::Counts;
use super::draft::{Draft, Drafts};
use super::facets::Facets;
use super::findings::CourtMap;
use super::findings::Findings;
use super::judge::Judge;
use super::lead::Leader;
use super::mix::Serves;
use super::noted::Noted;
use super::phrase::Speaker;
use super::pool::{Match, Pool};
use super::question::Ask;
use super::question::Question;
use super::say;
use crate::evidence::Proportion;
use crate::facts::{PointFacts, PointRef};
use crate::pattern::{Answer, answer};
use crate::summary::{Asked, Whose};
use crate::tennis::Side;

/// From this many answers on, it is worth starting other threads (our choice).
const MANY: usize = 100_000;

/// Asks one question of the matches that the facets leave.
pub fn ask(pool: &Pool, question: &Question, facets: &Facets) -> Findings {
    let mut found = Gathered::new(question, facets);
    let asked: Vec<Option<Side>> = pool.matches.iter().map(|m| facets.whose.side(&m.record)).collect();
    for (index, m) in pool.matches.iter().enumerate() {
        if facets.whose.is_in(&m.record) && facets.record.is_none_or(|r| r == index) {
            found.read(index, m, asked[index], question, facets);
        }
    }
    let Gathered { points, left_out, mut tables, maps, serves } = found;
    for table in &mut tables {
        table.ask_patterns(pool, &points, &asked);
    }
    let doubtful =
        points.iter().copied().filter(|at| pool.matches[at.record].is_doubtful(at.point)).collect();
    let speaker = Speaker::new(pool, facets, question.of);
    let judge = Judge::new(pool, asked.clone(), question.of, &speaker);
    let drafts = tables.into_iter().map(Table::close).collect();
    let mut answered = Findings {
        question: question.name.clone(),
        about: question.about.clone(),
        looked_at: say::looked_at(question, facets),
        headline: Vec::new(),
        cautions: Vec::new(),
        points,
        left_out,
        doubtful,
        sections: judge.sections(drafts),
        maps: maps.into_iter().map(closed).collect(),
        mixes: serves.map_or_else(Vec::new, Serves::close),
    };
    let leader = Leader { pool, asked: &asked, speaker: &speaker };
    let lead = leader.lines(&answered, question);
    (answered.headline, answered.cautions) = say::headline(&answered, question, &speaker, lead);
    let serving = leader.serving(&answered, question.of);
    answered.cautions.extend(serving.map(|caution| Noted { caution, row: String::new() }));
    answered
}

fn closed(mut map: CourtMap) -> CourtMap {
    map.cells.iter_mut().for_each(|c| c.tally.close());
    map
}

/// What was found so far.
struct Gathered<'q> {
    points: Vec<PointRef>,
    left_out: Vec<PointRef>,
    tables: Vec<Table<'q>>,
    maps: Vec<CourtMap>,
    serves: Option<Serves>,
}

impl<'q> Gathered<'q> {
    fn new(question: &'q Question, facets: &Facets) -> Self {
        Self {
            points: Vec::new(),
            left_out: Vec::new(),
            tables: question.asks.iter().map(Table::new).collect(),
            maps: question.maps.iter().map(|m| m.empty()).collect(),
            // A mix belongs to one player; the mix of two players together says nothing about either.
            serves: (question.mix && facets.whose != Whose::Both).then(Serves::default),
        }
    }

    fn read(&mut self, index: usize, m: &Match, asked: Option<Side>, question: &Question, facets: &Facets) {
        if let Some(serves) = &mut self.serves {
            serves.next_match();
        }
        for f in m.facts.iter().filter(|f| !f.replayed) {
            let at = PointRef { record: index, point: f.number };
            let (theirs, side) = question.of.of(f, asked);
            let among = question.among.as_ref().map_or(Answer::Yes, |p| answer(p, f));
            let looked_at = theirs.and(facets.hold(index, f, asked)).and(among);
            if let Some(serves) = &mut self.serves {
                serves.take(at, f, looked_at, theirs);
            }
            match looked_at {
                Answer::No => {}
                Answer::Unknown => self.left_out.push(at),
                Answer::Yes => self.take(at, f, side, question),
            }
        }
    }

    fn take(&mut self, at: PointRef, f: &PointFacts, side: Option<Side>, question: &Question) {
        self.points.push(at);
        for table in &mut self.tables {
            table.take(at, f, side);
        }
        let won = Counts::Won.answer(f, side);
        for (of, map) in question.maps.iter().zip(&mut self.maps) {
            of.take(map, at, f, won);
        }
    }
}

/// A table as far as it has got.
enum Table<'q> {
    Fact {
        by: By,
        counts: Counts,
        taken: Vec<(PointRef, usize, Answer)>,
        cannot_tell: Vec<PointRef>,
        outside: Vec<PointRef>,
        estimated: Vec<PointRef>,
        missed: Proportion,
        aimed: bool,
    },
    Patterns(Vec<Asked<'q>>),
}

impl<'q> Table<'q> {
    fn new(ask: &'q Ask) -> Self {
        match ask {
            Ask::Fact(by, counts) => Self::Fact {
                by: *by,
                counts: *counts,
                taken: Vec::new(),
                cannot_tell: Vec::new(),
                outside: Vec::new(),
                estimated: Vec::new(),
                missed: Proportion::default(),
                aimed: false,
            },
            Ask::Patterns(patterns) => Self::Patterns(patterns.iter().map(Asked::new).collect()),
        }
    }

    fn take(&mut self, at: PointRef, f: &PointFacts, side: Option<Side>) {
        match self {
            Self::Fact { by, counts, taken, cannot_tell, outside, estimated, missed, aimed } => {
                match by.of(f, side) {
                    Value::Is(n) => {
                        taken.push((at, n, counts.answer(f, side)));
                        *aimed |= by.is_aimed(f);
                        if by.is_estimated(f) {
                            estimated.push(at);
                        }
                    }
                    Value::Outside => {
                        if by.is_missed(f) {
                            match counts.answer(f, side) {
                                Answer::Yes => missed.won += 1,
                                Answer::No => missed.lost += 1,
                                Answer::Unknown => missed.unknown += 1,
                            }
                        }
                        outside.push(at);
                    }
                    Value::Unknown => cannot_tell.push(at),
                }
            }
            // They are asked of all points at once.
            Self::Patterns(_) => {}
        }
    }

    /// Asks the patterns about the points. Large questions use all processors, each for some of the patterns.
    fn ask_patterns(&mut self, pool: &Pool, points: &[PointRef], sides: &[Option<Side>]) {
        let Self::Patterns(all) = self else { return };
        let some = |patterns: &mut [Asked<'_>]| {
            for at in points {
                let Some(f) = pool.matches[at.record].fact(at.point) else { continue };
                let side = sides[at.record];
                for a in patterns.iter_mut() {
                    a.take(*at, f, side);
                }
            }
        };
        let threads = std::thread::available_parallelism().map_or(1, usize::from);
        if threads == 1 || points.len() * all.len() < MANY {
            return some(all);
        }
        let each = all.len().div_ceil(threads);
        std::thread::scope(|scope| {
            for patterns in all.chunks_mut(each) {
                scope.spawn(move || some(patterns));
            }
        });
    }

    fn close(self) -> Drafts {
        match self {
            Self::Fact { by, counts, taken, cannot_tell, outside, estimated, missed, aimed } => {
                let mut rows = drafts(by, &taken);
                for row in &mut rows {
                    (row.missed, row.aimed) = (missed, aimed);
                }
                Drafts { by: Some(by), counts, rows, cannot_tell, outside, estimated }
            }
            Self::Patterns(all) => Drafts {
                by: None,
                counts: Counts::Won,
                rows: all.into_iter().map(|a| Draft::from(a.close())).collect(),
                cannot_tell: Vec::new(),
                outside: Vec::new(),
                estimated: Vec::new(),
            },
        }
    }
}

/// The others of a row are the points of all other rows that it is compared with.
fn drafts(by: By, taken: &[(PointRef, usize, Answer)]) -> Vec<Draft> {
    (by.rows().into_iter().enumerate())
        .map(|(n, name)| {
            let mut draft = Draft { name: name.into(), ..Draft::default() };
            for (at, row, counts) in taken {
                if *row == n {
                    draft.tally.add(*at, *counts);
                } else if by.is_compared(n, *row) {
                    draft.others.add(*at, *counts);
                }
            }
            draft.tally.close();
            draft.others.close();
            draft
        })
        // A match need not have five sets.
        .filter(|d| by != By::Set || !d.tally.points.is_empty())
        .collect()
}
