//! All that a page says, and the page itself.

use askama::Template;
use sha2::{Digest, Sha256};

use super::along::{Cut, along};
use super::budget::minutes;
use super::names::Names;
use super::picture::{self, Mark, Svg};
use super::text::{first_line, readable};
use super::vtt;
use crate::counted::{Counted, Noun};
use crate::drawing::Drawing;
use crate::lesson::{Clip, Condition, Ground, Lesson, Met, Pair, Part, Picture};
use crate::time::MatchTime;

/// The page's style sheet.
pub const STYLE: &str = include_str!("page.css");
/// The page's script.
pub const SCRIPT: &str = include_str!("page.js");

/// A lesson as a page shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Content {
    /// Its title.
    pub title: String,
    /// Whom it is for.
    pub player: String,
    /// How much there is, as `12 clips, 3:10`.
    pub amount: String,
    /// Its chapters in order; one without a title if there is none.
    pub chapters: Vec<Chapter>,
    /// The patterns by which clips were found, each with the numbers of its clips.
    pub patterns: Vec<(String, Vec<usize>)>,
    /// The conditions and in which clips each was met.
    pub conditions: Vec<Asked>,
    /// Under which name the browser keeps the player's notes.
    pub key: String,
    /// How closely it is set when it is printed.
    pub density: &'static str,
}

/// A chapter.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chapter {
    /// Its title.
    pub title: String,
    /// What it shows.
    pub shows: Vec<Show>,
}

/// A condition and the clips in which it was met, missed, or not known.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// What it asks.
    pub words: String,
    /// `met`, `missed`, `not known`, each with the numbers of its clips.
    pub answers: Vec<(&'static str, Vec<usize>)>,
}

/// One thing that the page shows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Show {
    /// Its number, from 1.
    pub number: usize,
    /// What it is called in the list.
    pub name: String,
    /// What is written under it.
    pub caption: String,
    /// Where in the match it is.
    pub score: String,
    /// The clips: one, two side by side, or none.
    pub films: Vec<Film>,
    /// A picture of the court.
    pub court: Option<Svg>,
    /// Words in the place of a picture.
    pub words: String,
    /// The patterns by which it was found: one, or those of two clips side by side.
    pub patterns: Vec<String>,
    /// The conditions of its pattern.
    pub conditions: Vec<Told>,
    /// How many times it is shown in a row.
    pub times: u8,
    /// How long it is, in words.
    pub lasts: String,
}

/// A condition as it is told: its style, its answer, of which side it is when two clips are side by side, and its words.
pub type Told = (&'static str, &'static str, &'static str, String);

/// A clip on the page. Times are in seconds from its own beginning.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    /// Its name without an ending.
    pub name: String,
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
    /// Frames a second.
    pub rate: f64,
    /// How much later than the other one it begins, when two are side by side.
    pub lead: f64,
    /// Parts at another speed, as `1.2,2.5,0.5` with a space between.
    pub stretches: String,
    /// Moments at which it stands still: when, how long, what is drawn.
    pub freezes: Vec<(f64, f64, Svg)>,
    /// Drawings over the moving picture: from when, until when.
    pub drawings: Vec<(f64, f64, Svg)>,
    /// Its captions.
    pub captions: String,
}

impl Content {
    /// What a page of a lesson says. `cuts` are its clips in order, as they were cut: two for a pair.
    pub fn of(lesson: &Lesson, cuts: &[Cut], names: &Names, ground: Ground<'_>) -> Self {
        let mut maker =
            Maker { names, ground, cuts: cuts.iter(), chapters: vec![Chapter::default()], number: 0 };
        lesson.parts.iter().for_each(|part| maker.part(part));
        let mut chapters = maker.chapters;
        chapters.retain(|c| !c.shows.is_empty() || !c.title.is_empty());
        let said = |text: &str| names.shown(&readable(text));
        let mut spans = cuts.iter().map(|c| (c.from, c.to));
        let amount = amount(lesson, &mut spans);
        let shows = chapters.iter().map(|c| c.shows.len()).sum::<usize>();
        let title =
            Some(said(&lesson.title)).filter(|t| !t.is_empty()).unwrap_or_else(|| "Lesson".to_owned());
        Self {
            title,
            player: said(&lesson.player),
            amount: format!("{}, {}", amount.0, minutes(amount.1)),
            patterns: patterns(&chapters),
            conditions: asked(&chapters),
            key: key(lesson),
            density: match shows {
                0..=4 => "few",
                5..=9 => "some",
                10..=12 => "many",
                13..=30 => "most",
                _ => "all",
            },
            chapters,
        }
    }

    /// Everything that is shown, in order.
    pub fn shows(&self) -> impl Iterator<Item = &Show> {
        self.chapters.iter().flat_map(|c| &c.shows)
    }
}

/// How many clips a lesson shows, a pair as one, and how long all of it plays; `spans` are what there is of each clip.
pub(super) fn amount(
    lesson: &Lesson,
    spans: &mut dyn Iterator<Item = (MatchTime, MatchTime)>,
) -> (Counted, std::time::Duration) {
    let count = lesson.parts.iter().filter(|p| p.clips().next().is_some()).count();
    let plays = |part: &Part| part.plays(|clip| spans.next().unwrap_or((clip.from, clip.to)));
    (Counted(count, Noun::Clip), lesson.parts.iter().map(plays).sum())
}

/// The page.
///
/// # Errors
/// When the template cannot be filled in, which no content makes happen.
pub fn html(content: &Content) -> Result<String, askama::Error> {
    Html { page: content }.render()
}

#[derive(Template)]
#[template(path = "page.html")]
struct Html<'a> {
    page: &'a Content,
}

/// A name under which no other page keeps its notes.
fn key(lesson: &Lesson) -> String {
    let text =
        serde_json::to_string(&(&lesson.title, lesson.parts.len(), &lesson.player)).unwrap_or_default();
    let mut bytes = [0; 8];
    bytes.copy_from_slice(&Sha256::digest(text)[..8]);
    format!("{:016x}", u64::from_be_bytes(bytes))
}

struct Maker<'a> {
    names: &'a Names,
    ground: Ground<'a>,
    cuts: std::slice::Iter<'a, Cut>,
    chapters: Vec<Chapter>,
    number: usize,
}

impl Maker<'_> {
    fn said(&self, text: &str) -> String {
        self.names.shown(&readable(text))
    }

    fn part(&mut self, part: &Part) {
        let show = match part {
            Part::Chapter(chapter) => {
                let title = self.said(&chapter.title);
                self.chapters.push(Chapter { title, shows: Vec::new() });
                return;
            }
            Part::Clip(clip) => self.clip(clip),
            Part::Pair(pair) => self.pair(part, pair),
            Part::Still(still) => Show {
                caption: self.said(&still.caption),
                court: match &still.shows {
                    Picture::Court(drawings) => {
                        Some(picture::court(&self.renamed(drawings).iter().collect::<Vec<_>>()))
                    }
                    Picture::Words(_) => None,
                },
                words: match &still.shows {
                    Picture::Words(words) => self.said(words),
                    Picture::Court(_) => String::new(),
                },
                ..Show::default()
            },
        };
        self.add(show);
    }

    /// Two clips side by side, the later one waiting for the other.
    fn pair(&mut self, part: &Part, pair: &Pair) -> Show {
        let mut spans = self.cuts.clone().map(|c| (c.from, c.to));
        let lasts = part.plays(|clip| spans.next().unwrap_or((clip.from, clip.to)));
        let mut show = self.clip(&pair.left);
        show.lasts = minutes(lasts);
        let right = self.clip(&pair.right);
        let before = |at: MatchTime, clip: &Clip| (at - clip.from).as_secs_f64();
        let (left, other) = (before(pair.left_at, &pair.left), before(pair.right_at, &pair.right));
        show.films.extend(right.films);
        for (film, lead) in show.films.iter_mut().zip([other - left, left - other]) {
            film.lead = lead.max(0.0);
        }
        let whole = [self.said(&pair.caption), show.caption, right.caption];
        show.caption = whole.into_iter().filter(|c| !c.is_empty()).collect::<Vec<_>>().join("\n");
        if !right.score.is_empty() && right.score != show.score {
            show.score = format!("{} · {}", show.score, right.score);
        }
        show.patterns.extend(right.patterns);
        show.patterns.dedup();
        let of = |side, told: Vec<Told>| told.into_iter().map(move |t| (t.0, t.1, side, t.3));
        let left = std::mem::take(&mut show.conditions);
        show.conditions = of("left: ", left).chain(of("right: ", right.conditions)).collect();
        show
    }

    fn add(&mut self, mut show: Show) {
        self.number += 1;
        show.number = self.number;
        let from = [&show.caption, &show.words, &show.score].into_iter().find(|t| !t.trim().is_empty());
        show.name = from.map_or_else(
            || if show.court.is_some() { "The court".to_owned() } else { format!("Clip {}", self.number) },
            |text| first_line(text, 90),
        );
        let captions = vtt::cue(&show.caption);
        show.films.iter_mut().for_each(|f| f.captions.clone_from(&captions));
        show.times = show.times.max(1);
        if let Some(last) = self.chapters.last_mut() {
            last.shows.push(show);
        }
    }

    fn clip(&mut self, clip: &Clip) -> Show {
        let film = self.cuts.next().map(|cut| self.film(clip, cut));
        let lasts = film.as_ref().map_or_else(String::new, |f| minutes(f.1));
        Show {
            caption: self.said(&clip.caption),
            score: self.said(&clip.score),
            films: film.into_iter().map(|f| f.0).collect(),
            patterns: Some(self.said(&clip.pattern)).filter(|p| !p.is_empty()).into_iter().collect(),
            conditions: clip.conditions.iter().map(|c| self.condition(c)).collect(),
            times: clip.times.unwrap_or(1),
            lasts,
            ..Show::default()
        }
    }

    fn condition(&self, condition: &Condition) -> Told {
        let (class, word) = match condition.met {
            Met::Met => ("met", "met"),
            Met::Missed => ("missed", "missed"),
            Met::Unknown => ("unknown", "not known"),
        };
        (class, word, "", self.said(&condition.words))
    }

    fn film(&self, clip: &Clip, cut: &Cut) -> (Film, std::time::Duration) {
        let at = |t: MatchTime| (t.min(cut.to) - cut.from).as_secs_f64();
        let stretch = |s: &crate::lesson::Stretch| {
            format!("{:.3},{:.3},{:.2}", at(s.from), at(s.to), f64::from(s.pace.0) / 100.0)
        };
        let freezes = clip.freezes.iter().map(|f| {
            let drawings = self.renamed(&f.drawings);
            let camera = (self.ground)(clip, f.at);
            let svg = picture::over(&drawings.iter().collect::<Vec<_>>(), cut.size, camera.as_ref());
            (at(f.at), (f.lasts - MatchTime::ZERO).as_secs_f64(), svg)
        });
        let moving = self.renamed(&clip.drawings);
        let drawings = along(clip, &moving, cut, self.ground);
        let film = Film {
            name: cut.name.clone(),
            width: cut.size.0,
            height: cut.size.1,
            rate: cut.rate,
            lead: 0.0,
            stretches: clip.stretches.iter().map(stretch).collect::<Vec<_>>().join(" "),
            freezes: freezes.collect(),
            drawings: drawings.into_iter().map(|(from, to, svg)| (at(from), at(to), svg)).collect(),
            captions: String::new(),
        };
        (film, clip.plays((cut.from, cut.to)))
    }

    /// The drawings with names as they are shown.
    fn renamed(&self, drawings: &[Drawing]) -> Vec<Drawing> {
        let mut drawings = drawings.to_vec();
        for drawing in &mut drawings {
            if let crate::drawing::Shape::Text { words, .. } = &mut drawing.shape {
                *words = self.said(words);
            }
        }
        drawings
    }
}

/// The patterns in the order in which they are met.
fn patterns(chapters: &[Chapter]) -> Vec<(String, Vec<usize>)> {
    let mut all: Vec<(String, Vec<usize>)> = Vec::new();
    for show in chapters.iter().flat_map(|c| &c.shows) {
        for pattern in &show.patterns {
            match all.iter_mut().find(|(name, _)| name == pattern) {
                Some((_, numbers)) => numbers.push(show.number),
                None => all.push((pattern.clone(), vec![show.number])),
            }
        }
    }
    all
}

/// The conditions in the order in which they first come, with the clips of each answer.
fn asked(chapters: &[Chapter]) -> Vec<Asked> {
    let mut all: Vec<Asked> = Vec::new();
    for show in chapters.iter().flat_map(|c| &c.shows) {
        for (_, answer, _, words) in &show.conditions {
            let known = all.iter().position(|a| a.words == *words).unwrap_or_else(|| {
                let answers = ["met", "missed", "not known"].map(|a| (a, Vec::new()));
                all.push(Asked { words: words.clone(), answers: answers.into() });
                all.len() - 1
            });
            if let Some((_, numbers)) = all[known].answers.iter_mut().find(|a| a.0 == *answer)
                && numbers.last() != Some(&show.number)
            {
                numbers.push(show.number);
            }
        }
    }
    for asked in &mut all {
        asked.answers.retain(|(_, n)| !n.is_empty());
    }
    all
}
