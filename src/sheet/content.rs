//! What a sheet says.

use crate::clips::{Lead, clip_list};
use crate::counted::{Counted, Noun};
use crate::drawing::{Drawing, Shape};
use crate::evidence::Verdict;
use crate::facts::PointRef;
use crate::lesson::{Clip, Lesson, Met, Part, Picture};
use crate::record::Record;
use crate::summary::study::{CourtMap, Findings, Place, Row};
use crate::time::MatchTime;

/// How many findings a sheet has: more than three nobody takes along.
const MOST: usize = 3;
/// How many clip times stand beside a finding.
const TIMES: usize = 8;

/// A sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Its title.
    pub title: String,
    /// Of whom and of how much it speaks.
    pub about: String,
    /// How many of the findings, the first ones, are clear; the others say what questions saw that found no clear difference.
    pub clear: usize,
    /// What was found, the clearest first.
    pub findings: Vec<Finding>,
}

/// One finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// In one sentence.
    pub words: String,
    /// Its numbers, and what to keep in mind, a sentence each.
    pub more: Vec<String>,
    /// Where on the court.
    pub court: Option<Court>,
    /// Its clips, the best first.
    pub moments: Vec<Moment>,
    /// How many clips it has beyond those.
    pub further: usize,
}

/// A picture of the court.
#[derive(Debug, Clone, PartialEq)]
pub enum Court {
    /// How many of how many were won in each part.
    Cells {
        /// Which shot landed there.
        shot: String,
        /// Where, won, and played.
        cells: Vec<(Place, usize, usize)>,
    },
    /// Drawings of the coach on its ground.
    Drawn(Vec<Drawing>),
}

/// A clip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    /// The place of its record, or of the clip in the lesson.
    pub source: usize,
    /// The file of footage as the record or the lesson names it.
    pub file: String,
    /// When it begins, counted from the file's own first moment.
    pub at: MatchTime,
    /// The moment of its picture.
    pub picture: MatchTime,
    /// Where in the match it is.
    pub label: String,
}

impl Sheet {
    /// The same with every text changed, the names of files and of places on the court left as they are.
    #[must_use]
    pub fn with_texts(mut self, change: &dyn Fn(&str) -> String) -> Self {
        for finding in &mut self.findings {
            if let Some(Court::Drawn(drawings)) = &mut finding.court {
                for d in drawings {
                    if let Shape::Text { words, .. } = &mut d.shape {
                        *words = change(words);
                    }
                }
            }
        }
        let all = self.findings.iter_mut().flat_map(|f| std::iter::once(&mut f.words).chain(&mut f.more));
        for text in all.chain([&mut self.title, &mut self.about]) {
            *text = change(text);
        }
        self
    }
}

/// The three clearest differences that the questions found, or the first lines of the answers where they found fewer.
pub fn of_study(title: String, records: &[&Record], found: &[Findings]) -> Sheet {
    let mut rows: Vec<(&Findings, &Row)> =
        found.iter().flat_map(|f| differences(f).map(move |r| (f, r))).collect();
    rows.sort_by(|a, b| a.1.discovery.unwrap_or(1.0).total_cmp(&b.1.discovery.unwrap_or(1.0)));
    let mut findings: Vec<Finding> = Vec::new();
    for (answer, row) in rows {
        let new = findings.iter().all(|f| f.words != sentence(&row.says));
        if new && findings.len() < MOST {
            findings.push(of_row(records, answer, row));
        }
    }
    let clear = findings.len();
    for answer in found.iter().filter(|f| !f.points.is_empty()) {
        if findings.len() < MOST
            && differences(answer).next().is_none()
            && let Some(first) = answer.headline.first()
        {
            let mut finding = with_clips(records, sentence(first), &answer.points);
            finding.more.push(asked(answer));
            finding.more.push("The clips are all points that the question looked at.".into());
            finding.court = answer.maps.first().and_then(cells);
            findings.push(finding);
        }
    }
    let looked = |f: &Findings| (f.looked_at.clone(), f.points.len());
    let first = found.first().map(looked);
    let about = match first.filter(|first| found.iter().map(looked).all(|other| other == *first)) {
        Some((whose, points)) => format!("{whose}: {}. ", Counted(points, Noun::Point)),
        None => String::new(),
    };
    let clarity = match clear {
        0 if findings.is_empty() => String::new(),
        0 => "No difference is clear yet: what stands here are questions to look at, not findings.".into(),
        n if n < findings.len() => {
            format!("Clear differences: {n}. What follows them are questions to look at.")
        }
        _ => String::new(),
    };
    Sheet { title, about: format!("{about}{clarity}").trim_end().to_owned(), clear, findings }
}

/// What was asked, of whose points, and of how many.
fn asked(answer: &Findings) -> String {
    format!(
        "Question: {} {}, {}.",
        answer.question,
        answer.looked_at,
        Counted(answer.points.len(), Noun::Point)
    )
}

fn differences(found: &Findings) -> impl Iterator<Item = &Row> {
    let rows = found.sections.iter().flat_map(|s| &s.rows);
    rows.filter(|r| matches!(r.verdict, Verdict::Difference { .. }))
}

fn of_row(records: &[&Record], answer: &Findings, row: &Row) -> Finding {
    let mut finding = with_clips(records, sentence(&row.says), &row.tally.points);
    finding.more.extend(row.cautions.iter().take(2).map(|c| sentence(&c.to_string())));
    finding.more.push(asked(answer));
    finding.court = answer.maps.first().and_then(cells);
    finding
}

fn with_clips(records: &[&Record], words: String, points: &[PointRef]) -> Finding {
    let list = clip_list(records, points, Lead::default());
    let moments = list.clips.iter().take(TIMES).map(|c| Moment {
        source: c.record,
        file: c.file.clone(),
        at: c.file_span.start(),
        picture: c.file_span.start().later(Lead::default().before.min(c.file_span.length() / 2)),
        label: c.label.clone(),
    });
    let moments: Vec<Moment> = moments.collect();
    let further = list.clips.len() - moments.len();
    Finding { words, more: Vec::new(), court: None, moments, further }
}

fn cells(map: &CourtMap) -> Option<Court> {
    let cells: Vec<(Place, usize, usize)> =
        map.cells.iter().map(|c| (c.at, c.tally.won.len(), c.tally.won.len() + c.tally.lost.len())).collect();
    // The note of the map is too long for the page.
    let only = if map.note.is_empty() { "" } else { " that landed" };
    cells.iter().any(|c| c.2 > 0).then(|| Court::Cells { shot: format!("{}{only}", map.ball), cells })
}

/// The first three chapters of a lesson that show clips, or its first three clips where it has no chapters.
pub fn of_lesson(lesson: &Lesson) -> Sheet {
    let mut groups: Vec<(String, Vec<&Part>)> = Vec::new();
    let chapters = lesson.parts.iter().any(|p| matches!(p, Part::Chapter(_)));
    for part in &lesson.parts {
        match part {
            Part::Chapter(chapter) => groups.push((chapter.title.clone(), Vec::new())),
            part if !chapters => groups.push((String::new(), vec![part])),
            part => match groups.last_mut() {
                Some(group) => group.1.push(part),
                None => groups.push((String::new(), vec![part])),
            },
        }
    }
    let order: Vec<&Clip> = lesson.parts.iter().flat_map(Part::clips).collect();
    groups.retain(|g| !g.1.is_empty());
    let left_out = groups.len().saturating_sub(MOST);
    let findings: Vec<Finding> =
        groups.iter().map(|(title, parts)| of_parts(title, parts, &order)).take(MOST).collect();
    let title = if lesson.title.is_empty() { "Lesson".to_owned() } else { lesson.title.clone() };
    let clips = Counted(order.len(), Noun::Clip);
    let whom = if lesson.player.is_empty() { String::new() } else { format!("For {}: ", lesson.player) };
    let first = match left_out {
        0 => String::new(),
        n if chapters => {
            format!(". This page shows the first {MOST} of {}", Counted(MOST + n, Noun::Chapter))
        }
        _ => {
            format!(". This page shows the first {MOST}; a lesson with chapters has a chapter in each place")
        }
    };
    let about = format!("{whom}{clips}{first}");
    Sheet { title, about, clear: findings.len(), findings }
}

fn of_parts(title: &str, parts: &[&Part], order: &[&Clip]) -> Finding {
    let clips: Vec<&Clip> = parts.iter().flat_map(|p| p.clips()).collect();
    let first = clips.iter().map(|c| c.caption.as_str()).find(|c| !c.is_empty()).unwrap_or_default();
    let words = if title.is_empty() { first } else { title }.to_owned();
    let mut more: Vec<String> = Vec::new();
    if !title.is_empty() && !first.is_empty() {
        more.push(first.to_owned());
    }
    more.extend(met(&clips));
    let court = parts.iter().find_map(|p| match p {
        Part::Still(still) => match &still.shows {
            Picture::Court(drawings) => Some(Court::Drawn(drawings.clone())),
            Picture::Words(_) => None,
        },
        _ => None,
    });
    let moments = clips.iter().take(TIMES).map(|c| Moment {
        source: order.iter().position(|o| std::ptr::eq(*o, *c)).unwrap_or(0),
        file: c.footage.file.clone(),
        at: c.from,
        picture: c.freezes.first().map_or_else(|| c.from.later((c.to - c.from) / 3), |f| f.at),
        label: c.score.clone(),
    });
    let moments: Vec<Moment> = moments.collect();
    let further = clips.len() - moments.len();
    Finding { words, more, court, moments, further }
}

/// How often each condition was met, in words.
fn met(clips: &[&Clip]) -> Vec<String> {
    let mut all: Vec<(&str, usize, usize)> = Vec::new();
    for condition in clips.iter().flat_map(|c| &c.conditions).filter(|c| c.met != Met::Unknown) {
        let yes = usize::from(condition.met == Met::Met);
        match all.iter_mut().find(|a| a.0 == condition.words) {
            Some(known) => *known = (known.0, known.1 + yes, known.2 + 1),
            None => all.push((&condition.words, yes, 1)),
        }
    }
    all.iter()
        .map(|(words, yes, of)| sentence(&format!("{words}: met in {yes} of {}", Counted(*of, Noun::Clip))))
        .collect()
}

/// With a capital and a full stop.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let Some(first) = letters.next() else { return String::new() };
    let end = if words.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{}{}{end}", first.to_uppercase(), letters.as_str())
}

/// The corners of a part of the court, as whoever struck the shot sees it from below: left, top, right, bottom, as parts of a half
/// court for singles, its net at the bottom.
#[cfg(feature = "paint")]
pub(super) fn corners(place: Place) -> (f64, f64, f64, f64) {
    use crate::tennis::CourtSide;
    use crate::tennis::court::{HALF_LENGTH, SERVICE_LINE};
    use crate::tennis::stroke::{Column, Depth, ServeTo};
    let service = SERVICE_LINE.0 / HALF_LENGTH.0;
    match place {
        Place::Box { court, to } => {
            // From the server the deuce court is on the left of the picture, its wide end outside.
            let n = match to {
                ServeTo::Wide => 0.0,
                ServeTo::Body => 1.0,
                ServeTo::T => 2.0,
            };
            let (left, right) = (n / 6.0, (n + 1.0) / 6.0);
            match court {
                CourtSide::Deuce => (left, service, right, 0.0),
                CourtSide::Ad => (1.0 - right, service, 1.0 - left, 0.0),
            }
        }
        Place::Half { column, depth } => {
            let n = match column {
                Column::Left => 0.0,
                Column::Middle => 1.0,
                Column::Right => 2.0,
            };
            let (near, far) = match depth {
                Depth::Short => (0.0, service),
                Depth::Mid => (service, f64::midpoint(1.0, service)),
                Depth::Deep => (f64::midpoint(1.0, service), 1.0),
            };
            (n / 3.0, far, (n + 1.0) / 3.0, near)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::summary::study::test_matches::charted;
    use crate::summary::study::{Facets, Pool, ask, starter};

    /// A page has no room for a note: what is left out is said in the name of the shot.
    #[test]
    fn a_court_on_the_page_says_that_only_shots_that_landed_are_shown() {
        let pool = Pool::new((1..4).map(charted).collect());
        let questions = starter(&[]);
        let maps = questions.iter().flat_map(|q| ask(&pool, q, &Facets::default()).maps);
        let mut seen = 0;
        for map in maps {
            let Some(Court::Cells { shot, .. }) = cells(&map) else { continue };
            // Serves are shown in or out.
            let serves = ["serve in play", "first serve, in or out"].contains(&map.ball.as_str());
            assert_eq!((shot.ends_with(" that landed"), map.note.is_empty()), (!serves, serves), "{shot}");
            seen += 1;
        }
        assert!(seen >= 5, "{seen}");
    }
}
