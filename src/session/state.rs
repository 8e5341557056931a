//! What the window works on: the record as the keeper last reported it, the footage, the filter.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::cameras::Cameras;
use super::cuts::KeptCuts;
use super::filter::Filter;
use super::following::{Held, Whereabouts};
use super::keeper::{Ask, Done, Keeper, Told, View};
use super::parts::{Part, Parts};
use super::play_list::Item;
use super::proposed::Proposed;
use super::question::Question;
use crate::facts::PointFacts;
use crate::frames::FootageFile;
use crate::logging::RunningClock;
use crate::logging::log::open_point;
use crate::pattern::{Answer, Pattern, PatternFile, same_tag};
use crate::record::align::{Sync, align_all};
use crate::record::footage::name_path;
use crate::record::store::Store;
use crate::record::{Edit, Footage, Record, Shared};
use crate::tennis::Side;
use crate::tennis::score::PointState;
use crate::time::{MatchTime, Span};

/// Footage that has no place on the match clock yet, and what was shown before it.
#[derive(Debug)]
pub struct Attaching {
    footage: Vec<Footage>,
    before: (Vec<Arc<FootageFile>>, Arc<Parts>),
    /// Whether the edit is on its way.
    sent: bool,
}

/// A shot that was chosen, for keys to change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChosenShot {
    /// Its point, from 0.
    pub point: usize,
    /// Its number in the point, from 0.
    pub number: usize,
    /// The frame at which it was logged, where that is known.
    pub at: Option<MatchTime>,
}

/// An open record with its footage.
pub struct Session {
    /// The record as it stands on disk, and what follows from it.
    pub view: View,
    /// Where edits go.
    pub keeper: Keeper,
    /// The footage that can be shown, in the order of its start.
    pub media: Vec<Arc<FootageFile>>,
    /// Where each of these files lies on the match clock.
    pub parts: Arc<Parts>,
    /// All the footage that was found, also what the record does not name any more.
    pub films: Vec<Arc<FootageFile>>,
    /// The match clock where nothing is filmed.
    pub clock: RunningClock,
    /// Footage that is being placed on the match clock.
    pub attaching: Option<Attaching>,
    /// The file that the player has open.
    pub part: usize,
    /// The cuts of the footage that are known, on the match clock.
    pub cuts: Vec<MatchTime>,
    /// Where the camera was, as far as it is known.
    pub cameras: Cameras,
    /// The players that were looked for.
    pub proposed: Proposed,
    /// Which points to see.
    pub filter: Filter,
    /// On the Study page the points chosen there, in the place of the filter.
    pub only: Option<BTreeSet<usize>>,
    /// Whether the current point is played over and over.
    pub looping: bool,
    patterns: Vec<Pattern>,
    /// What is asked of the footage.
    pub(super) asked: Option<Question>,
    /// The number of the last ask that was answered, and of the last choice of a point.
    pub(super) answered: u64,
    pub(super) chosen: u64,
    /// Where the film is, and the point that stays current although it is elsewhere.
    pub(super) here: Whereabouts,
    pub(super) held: Option<Held>,
}

impl Session {
    /// A session on a record as it was left, with the footage that was found; and where the keeper answers.
    pub fn new(
        store: Store,
        mut files: Vec<(Arc<FootageFile>, MatchTime)>,
        clock: RunningClock,
    ) -> (Self, async_channel::Receiver<Told>) {
        files.sort_by_key(|(_, start)| *start);
        let parts = files.iter().map(|(m, start)| Part { index: m.index.clone(), start: *start });
        let parts = Arc::new(Parts::new(parts.collect()));
        let (keeper, view, told) = Keeper::start(store, parts.clone());
        let media: Vec<_> = files.into_iter().map(|(m, _)| m).collect();
        let mut session = Self {
            view,
            keeper,
            films: media.clone(),
            media,
            clock,
            attaching: None,
            parts,
            part: 0,
            cuts: Vec::new(),
            cameras: Cameras::default(),
            proposed: Proposed::default(),
            filter: Filter::All,
            only: None,
            looping: false,
            patterns: PatternFile::starter().map(|f| f.patterns).unwrap_or_default(),
            asked: None,
            answered: 0,
            chosen: 0,
            here: Whereabouts::default(),
            held: None,
        };
        session.read_cuts();
        session.cameras.follow(&session.view.record);
        (session, told)
    }

    /// Reads which cuts of the footage are known.
    pub fn read_cuts(&mut self) {
        self.cuts = KeptCuts::default().of_record(&self.view.record);
    }

    /// The patterns that can be asked for.
    pub fn patterns(&self) -> &[Pattern] {
        &self.patterns
    }

    /// Puts the user's own patterns before the built-in ones. A pattern with the name of a built-in one replaces it. A filter by a
    /// pattern that was changed or deleted changes with it.
    pub fn set_own(&mut self, own: &[Pattern]) {
        let starters = PatternFile::starter().map(|f| f.patterns).unwrap_or_default();
        let others = starters.into_iter().filter(|p| !own.iter().any(|o| same_tag(&o.name, &p.name)));
        self.patterns = own.iter().cloned().chain(others).collect();
        if let Filter::Pattern(p) = &self.filter
            && !self.patterns.contains(p)
        {
            let changed = self.patterns.iter().find(|q| same_tag(&q.name, &p.name));
            self.filter = changed.map_or(Filter::All, |q| Filter::Pattern(Box::new(q.clone())));
        }
    }

    /// Asks the keeper for something.
    pub fn ask(&mut self, ask: Ask) {
        self.keeper.ask(ask);
    }

    /// Applies an answer of the keeper. A point that was chosen since the request stays current. Returns whether the footage has
    /// moved on the clock.
    pub fn take(&mut self, told: &Told) -> bool {
        let current = self.view.current;
        let moved = self.footage_differs(&told.view.record);
        self.view = told.view.clone();
        self.cameras.follow(&self.view.record);
        self.answered = told.number;
        if told.number < self.chosen {
            self.view.current = current.min(self.facts().len().checked_sub(1));
        } else if told.outcome == Ok(Done::Changed) {
            self.held = self.view.current.map(Held::Logged);
        }
        if moved {
            self.read_cuts();
            self.refit();
        }
        moved
    }

    /// A span of the match clock as a clip of the file that shows its start; `None` if nothing was filmed then.
    pub fn item_of(&self, span: Span) -> Option<Item> {
        let place = self.parts.showing(span.start())?;
        let (part, media) = (self.parts.get(place.part)?, self.media.get(place.part)?);
        let span = Span::new(part.in_file(span.start()), part.in_file(span.end())).ok()?;
        Some(Item { footage: media.path.clone(), span })
    }

    /// Whether something that was asked is not answered yet.
    pub const fn waits(&self) -> bool {
        self.keeper.sent() > self.answered
    }

    /// Whether something that goes to the disk is not there yet.
    pub const fn saves(&self) -> bool {
        self.keeper.writes() > self.answered
    }

    /// The point that tags, winners and corrections go to.
    pub const fn current(&self) -> Option<usize> {
        self.view.current
    }

    /// The shot of the current point that was chosen, and when it was logged.
    pub fn chosen_shot(&self) -> Option<ChosenShot> {
        let (point, pad) = (self.current()?, &self.view.pad);
        let number = pad.goes_to.filter(|_| pad.chosen)?;
        let at = self.view.record.points.get(point)?.shots.get(number)?.at;
        Some(ChosenShot { point, number, at })
    }

    /// Makes a point current.
    pub fn choose(&mut self, point: usize) {
        self.view.current = Some(point);
        self.held = Some(Held::Chosen { point, reached: false });
        self.chosen = self.keeper.ask(Ask::Choose(Some(point)));
    }

    /// Whether a point is being played.
    pub fn is_in_a_point(&self) -> bool {
        open_point(&self.view.record).is_some()
    }

    /// What is derived about each point.
    pub const fn facts(&self) -> &Shared<PointFacts> {
        &self.view.facts
    }

    /// The score to show: before the current point, or after the last one when that is current and won.
    pub fn score(&self) -> &PointState {
        self.before().map_or(&self.view.after, |f| &f.state)
    }

    /// Who has won the match, where that is what the score shown comes after.
    pub fn won(&self) -> Option<Side> {
        self.view.won.filter(|_| self.before().is_none())
    }

    /// The point that the score shown stands before; none once the last point is won.
    pub(super) fn before(&self) -> Option<&PointFacts> {
        if let (None, Whereabouts::Between(_, after)) = (self.current(), self.here) {
            return self.facts().get(after?);
        }
        let last = self.facts().len().checked_sub(1);
        let before = self.current().and_then(|c| self.facts().get(c));
        before.filter(|f| Some(f.number) != last || f.winner.is_none())
    }

    /// What contradicts the score at a point, in words; at the last point also what contradicts it at the end of the match.
    pub fn doubts(&self, point: usize) -> Vec<String> {
        let last = point + 1 == self.facts().len();
        let here = self.view.doubts.iter().filter(|d| d.point() == Some(point)).map(|d| d.message.clone());
        let end = self.view.doubts.iter().filter(|d| last && d.point().is_none());
        here.chain(end.map(|d| format!("at the end: {}", d.message))).collect()
    }

    /// Whether the filter shows a point.
    pub fn answer(&self, point: usize) -> Answer {
        match &self.only {
            Some(only) => only.contains(&point).into(),
            None => self.facts().get(point).map_or(Answer::Unknown, |f| self.filter.answer(f)),
        }
    }

    /// Whether the filter keeps a point.
    pub fn keeps(&self, point: usize) -> bool {
        self.answer(point) == Answer::Yes
    }

    /// The points that the filter keeps.
    pub fn kept(&self) -> Vec<usize> {
        (0..self.facts().len()).filter(|i| self.keeps(*i)).collect()
    }

    /// How many points the filter shows, in words, with the number of unknown points.
    pub fn count(&self) -> String {
        let answers: Vec<Answer> = (0..self.facts().len()).map(|i| self.answer(i)).collect();
        let how_many = |a: Answer| answers.iter().filter(|x| **x == a).count();
        let (yes, unknown) = (how_many(Answer::Yes), how_many(Answer::Unknown));
        match (&self.filter, answers.len()) {
            (_, 0) => "no points yet".into(),
            (Filter::All, 1) => "1 point".into(),
            (Filter::All, all) => format!("{all} points"),
            (_, all) if unknown == 0 => format!("{yes} of {all} points"),
            (_, all) => format!("{yes} of {all} points · {unknown} unknown"),
        }
    }

    /// The next kept point after (or before) the current one.
    pub fn kept_from(&self, forward: bool) -> Option<usize> {
        let kept = self.kept();
        let here = self.current();
        let between = |c: usize| here.is_none() && self.stands_after() == Some(c);
        match (self.stands_after(), forward) {
            (None, true) => kept.first().copied(),
            (None, false) => None,
            (Some(c), true) => kept.into_iter().find(|i| *i > c),
            // From between two points the one before is the next one back.
            (Some(c), false) => kept.into_iter().rev().find(|i| *i < c || *i == c && between(c)),
        }
    }

    /// The first point of the game or set, by what tells one from another, after (or before) the current point's.
    pub fn part_from<T: PartialEq>(&self, forward: bool, part: impl Fn(&PointState) -> T) -> Option<usize> {
        let current = self.stands_after()?;
        let part = |i: usize| self.facts().get(i).map(|f| part(&f.state));
        let here = part(current);
        if forward {
            return (current..self.facts().len()).find(|i| part(*i) != here);
        }
        let before = (0..current).rev().find(|i| part(*i) != here)?;
        (0..=before).rev().take_while(|i| part(*i) == part(before)).last()
    }

    /// The filters to choose from: all, the tags in use, those of the card that are not, the patterns.
    pub fn filters<'a>(&'a self, card: impl Iterator<Item = &'a str>) -> Vec<Filter> {
        let mut tags: Vec<&str> = Vec::new();
        for t in self.facts().iter().flat_map(|f| f.tags.iter().map(String::as_str)).chain(card) {
            if !tags.contains(&t) {
                tags.push(t);
            }
        }
        let patterns = self.patterns.iter().cloned().map(|p| Filter::Pattern(Box::new(p)));
        std::iter::once(Filter::All).chain(tags.into_iter().map(Filter::tag)).chain(patterns).collect()
    }
}

/// Attaches footage to a match that was logged without it. The footage has its own clock until one edit aligns the two.
impl Session {
    /// Shows footage that is to be attached, on its own clock.
    pub fn attach(&mut self, films: Vec<(Footage, Arc<FootageFile>)>) {
        self.stop_attaching();
        let (footage, media): (Vec<_>, Vec<_>) = films.into_iter().unzip();
        let placed = media.iter().cloned().zip(footage.iter().map(|f: &Footage| f.start)).collect();
        self.films.retain(|old| media.iter().all(|new| new.path != old.path));
        self.films.extend(media);
        let before = (self.media.clone(), Arc::clone(&self.parts));
        self.lay(placed);
        self.attaching = Some(Attaching { footage, before, sent: false });
    }

    /// Shows again what was shown before.
    pub fn stop_attaching(&mut self) {
        if let Some(Attaching { before: (media, parts), .. }) = self.attaching.take() {
            (self.media, self.parts, self.part) = (media, parts, 0);
        }
    }

    fn lay(&mut self, mut placed: Vec<(Arc<FootageFile>, MatchTime)>) {
        placed.sort_by_key(|(_, start)| *start);
        let parts = placed.iter().map(|(m, start)| Part { index: m.index.clone(), start: *start });
        self.parts = Arc::new(Parts::new(parts.collect()));
        self.media = placed.into_iter().map(|(m, _)| m).collect();
        (self.part, self.looping) = (0, false);
    }

    /// Whether another record has other footage, or elsewhere; another name alone has the same content.
    pub fn footage_differs(&self, record: &Record) -> bool {
        let places = |r: &Record| r.footage.iter().map(|f| (f.start, f.duration)).collect::<Vec<_>>();
        places(record) != places(&self.view.record)
    }

    /// Lays the films as the record says.
    pub fn refit(&mut self) {
        self.attaching = None;
        let film = |f: &Footage| self.films.iter().find(|m| m.path.ends_with(name_path(&f.file))).cloned();
        let placed = self.view.record.footage.iter().filter_map(|f| Some((film(f)?, f.start))).collect();
        self.lay(placed);
        self.ask(Ask::Frames(Arc::clone(&self.parts)));
    }

    /// The edit that aligns footage and match clock: the current point starts at the moment shown on the footage's own clock.
    /// `None` if nothing is being attached, the point has no start, or the edit was already sent.
    pub fn sync_at(&mut self, shown: MatchTime) -> Option<Edit> {
        let logged = self.logged()?;
        let attaching = self.attaching.as_mut().filter(|a| !a.sent)?;
        attaching.sent = true;
        Some(align_all(&self.view.record, attaching.footage.clone(), Sync { logged, shown }))
    }

    /// The edit did not work: it can be tried again.
    pub fn sync_failed(&mut self) {
        if let Some(a) = &mut self.attaching {
            a.sent = false;
        }
    }

    /// The start of the current point.
    pub fn logged(&self) -> Option<MatchTime> {
        self.view.record.points.get(self.current()?)?.start
    }
}
