//! Findings with counts in place of the lists of points: of hundreds of matches the lists fill many megabytes.

use super::findings::{CourtCell, CourtMap, Findings, Group, Mix, Row, Section, Strata};

impl Findings {
    /// The counts alone.
    pub fn counted(&self) -> Findings<usize> {
        Findings {
            question: self.question.clone(),
            about: self.about.clone(),
            looked_at: self.looked_at.clone(),
            headline: self.headline.clone(),
            cautions: self.cautions.clone(),
            points: self.points.len(),
            left_out: self.left_out.len(),
            doubtful: self.doubtful.len(),
            sections: self.sections.iter().map(section).collect(),
            maps: self.maps.iter().map(map).collect(),
            mixes: self.mixes.iter().map(mix).collect(),
        }
    }
}

fn section(s: &Section) -> Section<usize> {
    Section {
        by: s.by.clone(),
        counts: s.counts,
        rows: s.rows.iter().map(row).collect(),
        cannot_tell: s.cannot_tell.len(),
        lacking: s.lacking.clone(),
        outside: s.outside.len(),
        outside_means: s.outside_means.clone(),
        estimated: s.estimated.len(),
        tiers: s.tiers.clone(),
    }
}

fn row(r: &Row) -> Row<usize> {
    Row {
        name: r.name.clone(),
        about: r.about.clone(),
        won_by: r.won_by.clone(),
        tally: r.tally.counted(),
        others: r.others.counted(),
        cannot_tell: r.cannot_tell.len(),
        unplaced: r.unplaced.len(),
        comparison: r.comparison,
        discovery: r.discovery,
        shrunk: r.shrunk,
        verdict: r.verdict,
        numbers: r.numbers.clone(),
        says: r.says.clone(),
        cautions: r.cautions.clone(),
        strata: r.strata.iter().map(strata).collect(),
    }
}

fn strata(s: &Strata) -> Strata<usize> {
    let group = |g: &Group| Group { name: g.name.clone(), this: g.this.counted(), that: g.that.counted() };
    Strata {
        by: s.by,
        compared: s.compared.clone(),
        says: s.says.clone(),
        groups: s.groups.iter().map(group).collect(),
        cannot_tell: s.cannot_tell.len(),
    }
}

fn map(m: &CourtMap) -> CourtMap<usize> {
    let cell = |c: &CourtCell| CourtCell { at: c.at, name: c.name.clone(), tally: c.tally.counted() };
    CourtMap {
        ball: m.ball.clone(),
        cells: m.cells.iter().map(cell).collect(),
        cannot_tell: m.cannot_tell.len(),
        outside: m.outside.len(),
        outside_means: m.outside_means.clone(),
        note: m.note.clone(),
    }
}

fn mix(m: &Mix) -> Mix<usize> {
    Mix {
        of: m.of.clone(),
        points: m.points.len(),
        directions: m.directions,
        is_regular: m.is_regular,
        linked: m.linked,
        is_linked: m.is_linked,
        entropy: m.entropy,
        knowing_last: m.knowing_last,
        changes: m.changes,
        even: m.even,
        is_uneven: m.is_uneven,
        equal: m.equal,
        says: m.says.clone(),
    }
}
