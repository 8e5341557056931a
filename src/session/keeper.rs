//! The record's keeper: a thread that turns requests into edits and writes them to the disk.
//!
//! ```text
//! key ─▶ Ask (with the moment shown) ─▶ [ logger ─▶ edit ─▶ record ─▶ journal, synced ─▶ facts ] ─▶ Told ─▶ screen
//! ```
//!
//! Requests are handled in the order of the keys. A key that is pressed before the last edit is on the disk still acts on the result
//! of that edit. The main loop never waits: it shows an edit when the keeper reports it.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use async_channel::{Receiver, Sender};

use super::error::AskError;
use super::parts::Parts;
use super::score_now::with_score_now;
use super::undone::change_words;
use crate::facts::{PointFacts, Tally};
use crate::logging::log::open_point;
use crate::logging::{Action, Logger, Moment, PadView, Plain, Scored, Step};
use crate::record::check::{Contradictions, Finding};
use crate::record::store::Store;
use crate::record::{Change, Edit, Record, RecordError, Shared};
use crate::saving::{Replace, allowed};
use crate::tennis::Side;
use crate::tennis::score::PointState;

/// Something to be done with the record.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// An action that logs, at the moment of the frame that was shown when its key was pressed.
    Act(Action, Moment),
    /// A tag on the current point, or off it.
    Tag(String),
    /// The current point's note.
    Note(String),
    /// The plan of the open point, or of the next one; an empty text removes it.
    Plan(String),
    /// What a plain pad key also means, and the reaction time.
    Prefer(Plain, Duration),
    /// Any other edit.
    Edit(Box<Edit>),
    /// Take the last edit back.
    Undo,
    /// Make it again.
    Redo,
    /// Another point is current.
    Choose(Option<usize>),
    /// Other footage can be shown, or none: its frames are what stamps step over.
    Frames(Arc<Parts>),
    /// Write the sidecar.
    Save,
    /// Continue at another place, because the record's own folder cannot be written to.
    MoveTo(PathBuf),
    /// Take the record over where another program had it open and has closed it.
    TakeOver,
}

impl Ask {
    /// Whether something goes to the disk for it.
    const fn writes(&self) -> bool {
        !matches!(self, Self::Choose(_) | Self::Frames(_) | Self::Prefer(..))
    }
}

/// What came of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Done {
    /// The record changed, and the change is in the journal on disk, or [`View::trouble`] says why not.
    Changed,
    /// There was nothing to undo.
    NothingToUndo,
    /// There was nothing to redo.
    NothingToRedo,
    /// The sidecar holds everything.
    Saved,
    /// The sidecar could not be written: [`View::trouble`] says why.
    NotSaved,
    /// The other place holds everything, and later edits go there.
    Moved,
    /// Another program had the record; this one has it now, with the edits of that program.
    TookOver,
    /// Another program has made the record meanwhile. That record is shown, and the request is not done.
    GaveWay,
    /// Another point is current, or other frames are stepped over.
    Chosen,
}

/// The record after an ask, and what follows from it.
#[derive(Debug, Clone)]
pub struct View {
    /// The record's own file.
    pub path: PathBuf,
    /// The record.
    pub record: Arc<Record>,
    /// What is derived about each point.
    pub facts: Shared<PointFacts>,
    /// The score after the last point.
    pub after: PointState,
    /// Who has won the match, by its outcome or its score.
    pub won: Option<Side>,
    /// Where what was seen speaks against the score.
    pub doubts: Arc<[Finding]>,
    /// The point that tags, winners and corrections go to.
    pub current: Option<usize>,
    /// What the court pad shows.
    pub pad: PadView,
    /// The plan of the open point, or of the next one.
    pub plan: String,
    /// How many edits are in the journal only.
    pub unsaved: usize,
    /// Why the record may not be changed, if so.
    pub read_only: Option<String>,
    /// Whether another program has it open, and nothing else keeps it from being changed.
    pub held: bool,
    /// Why the last edits are not on disk, if so.
    pub trouble: Option<String>,
    /// Whether that is so until the record has another place.
    pub needs_place: bool,
}

/// The answer to one ask.
#[derive(Debug, Clone)]
pub struct Told {
    /// The number that [`Keeper::ask`] gave it.
    pub number: u64,
    /// What came of it, or why nothing did.
    pub outcome: Result<Done, AskError>,
    /// How things stand now.
    pub view: View,
    /// What the user should be told once.
    pub notices: Vec<String>,
    /// What an undo or a redo did, in words.
    pub reversed: Option<String>,
}

/// The window's end of the keeper. When it is dropped, the thread does what was asked before, saves, and ends.
#[derive(Debug)]
pub struct Keeper {
    asks: Sender<(u64, Ask)>,
    sent: u64,
    writes: u64,
    thread: JoinHandle<Option<String>>,
}

static AT_WORK: AtomicUsize = AtomicUsize::new(0);

/// How many keepers have not yet written all they were asked to.
pub fn at_work() -> usize {
    AT_WORK.load(Ordering::SeqCst)
}

/// Waits until every keeper has written everything: the last thing before the program ends.
pub fn wait_for_all() {
    while at_work() > 0 {
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// While it is there, the program does not end: somebody is writing.
#[derive(Debug)]
pub struct Working(());

impl Default for Working {
    fn default() -> Self {
        AT_WORK.fetch_add(1, Ordering::SeqCst);
        Self(())
    }
}

impl Drop for Working {
    fn drop(&mut self) {
        AT_WORK.fetch_sub(1, Ordering::SeqCst);
    }
}

impl Keeper {
    /// Starts a keeper for an open record with its footage. Gives the record as it is, and where answers come.
    pub fn start(store: Store, parts: Arc<Parts>) -> (Self, View, Receiver<Told>) {
        let (asks, asked) = async_channel::unbounded();
        let (answers, told) = async_channel::unbounded();
        let work = Work::new(store, parts);
        let view = work.view.clone();
        AT_WORK.fetch_add(1, Ordering::SeqCst);
        let thread = std::thread::spawn(move || {
            let trouble = work.run(&asked, &answers);
            AT_WORK.fetch_sub(1, Ordering::SeqCst);
            trouble
        });
        (Self { asks, sent: 0, writes: 0, thread }, view, told)
    }

    /// Sends a request; returns at once with its number, counted from 1.
    pub fn ask(&mut self, ask: Ask) -> u64 {
        self.sent += 1;
        if ask.writes() {
            self.writes = self.sent;
        }
        // The channel has no limit and is closed only by us.
        let _ = self.asks.try_send((self.sent, ask));
        self.sent
    }

    /// The number of the last ask for which something goes to the disk; 0 if there was none.
    pub const fn writes(&self) -> u64 {
        self.writes
    }

    /// The number of the last ask.
    pub const fn sent(&self) -> u64 {
        self.sent
    }

    /// Lets it finish. The result of the thread says what could not be saved, if anything.
    pub fn close(self) -> JoinHandle<Option<String>> {
        self.thread
    }
}

struct Work {
    store: Store,
    logger: Logger,
    parts: Arc<Parts>,
    /// What follows from the store's record: each edit is followed at once, so that nothing else counts the score.
    tally: Tally,
    doubts: Contradictions,
    view: View,
    /// How many of the store's notices were passed on.
    told: usize,
}

impl Work {
    fn new(store: Store, parts: Arc<Parts>) -> Self {
        let logger = Logger::resume(store.record());
        let tally = Tally::of(store.record());
        let after = tally.replay().end.state();
        let pad = PadView::of(store.record(), tally.facts(), &after, &logger);
        let view = View {
            path: store.path().to_owned(),
            record: Arc::default(),
            facts: Shared::default(),
            after,
            won: None,
            doubts: Arc::default(),
            current: logger.current(),
            pad,
            plan: String::new(),
            unsaved: store.unsaved(),
            read_only: store.read_only().map(str::to_owned),
            held: store.is_held(),
            trouble: None,
            needs_place: store.needs_place(),
        };
        let told = store.notices().len();
        let doubts = Contradictions::default();
        let mut work = Self { store, logger, parts, tally, doubts, view, told };
        work.look(true);
        work
    }

    fn run(mut self, asked: &Receiver<(u64, Ask)>, answers: &Sender<Told>) -> Option<String> {
        while let Ok((number, ask)) = asked.recv_blocking() {
            let undid = match ask {
                Ask::Undo => Some(true),
                Ask::Redo => Some(false),
                _ => None,
            };
            let before = undid.map(|_| (Arc::clone(&self.view.record), self.view.facts.clone()));
            let outcome = self.does(ask);
            self.look(matches!(outcome, Ok(Done::Changed | Done::TookOver | Done::GaveWay)));
            let undid = undid.filter(|_| outcome == Ok(Done::Changed));
            let reversed = undid.zip(before).map(|(undid, before)| reversed(undid, &before, &self.view));
            let notices = self.store.notices().get(self.told..).unwrap_or_default().to_vec();
            self.told = self.store.notices().len();
            let told = Told { number, outcome, view: self.view.clone(), notices, reversed };
            // A window that is gone needs no answer.
            let _ = answers.try_send(told);
        }
        if self.store.unsaved() == 0 || self.store.read_only().is_some() {
            return None;
        }
        self.store.save().err().map(|e| e.to_string())
    }

    fn does(&mut self, ask: Ask) -> Result<Done, AskError> {
        let record = self.store.record();
        let step = match ask {
            Ask::Act(action, shown) => {
                self.logger.act(action, shown, &*self.parts, &Scored::new(record, &self.tally))
            }
            Ask::Tag(tag) => self.logger.tag(&tag, record),
            Ask::Note(note) => self.logger.note(&note, record),
            Ask::Plan(plan) => self.logger.plan(&plan, record),
            Ask::Prefer(plain, reaction) => {
                self.logger.set_plain(plain);
                self.logger.set_reaction(reaction);
                return Ok(Done::Chosen);
            }
            Ask::Edit(edit) => Ok(Step { edit: Some(*edit), after: self.logger.clone() }),
            Ask::Undo => return self.history(Store::undo, Done::NothingToUndo),
            Ask::Redo => return self.history(Store::redo, Done::NothingToRedo),
            Ask::Choose(point) => {
                self.logger.choose(point.filter(|i| *i < record.points.len()));
                return Ok(Done::Chosen);
            }
            Ask::Frames(parts) => {
                self.parts = parts;
                return Ok(Done::Chosen);
            }
            Ask::Save => return self.save(),
            Ask::MoveTo(to) => return self.move_to(&to),
            Ask::TakeOver => return self.take_over(),
        };
        let Step { edit, after } = step?;
        let done = if edit.is_some() { Done::Changed } else { Done::Chosen };
        if let Some(edit) = edit {
            let edit = with_score_now(self.store.record(), edit);
            match self.store.apply(edit) {
                Ok(change) => self.tally.follow(self.store.record(), change),
                Err(e) => return self.refused(e),
            }
        }
        self.logger = after;
        Ok(done)
    }

    fn move_to(&mut self, to: &Path) -> Result<Done, AskError> {
        allowed(to, Replace::Nothing, &[])?;
        self.store.move_to(to)?;
        Ok(Done::Moved)
    }

    fn take_over(&mut self) -> Result<Done, AskError> {
        let took = self.store.take_over()?;
        if took {
            self.begin_anew();
        }
        Ok(if took { Done::TookOver } else { Done::Chosen })
    }

    /// An edit was refused. Where another program has made the record meanwhile, that one is shown.
    fn refused(&mut self, why: RecordError) -> Result<Done, AskError> {
        if matches!(why, RecordError::Exists { .. } | RecordError::InUse { .. }) {
            self.store.give_way()?;
            self.begin_anew();
            return Ok(Done::GaveWay);
        }
        Err(why.into())
    }

    /// Another store took the place of the one before.
    fn begin_anew(&mut self) {
        self.tally = Tally::of(self.store.record());
        let mut logger = Logger::resume(self.store.record());
        logger.set_plain(self.logger.plain());
        logger.set_reaction(self.logger.reaction());
        (self.logger, self.told) = (logger, 0);
    }

    fn save(&mut self) -> Result<Done, AskError> {
        match self.store.save() {
            Ok(()) => Ok(Done::Saved),
            Err(_) if self.store.trouble().is_some() => Ok(Done::NotSaved),
            Err(e) => Err(e.into()),
        }
    }

    fn history(
        &mut self,
        go: impl FnOnce(&mut Store) -> Result<Option<Change>, RecordError>,
        nothing: Done,
    ) -> Result<Done, AskError> {
        let Some(change) = go(&mut self.store)? else { return Ok(nothing) };
        self.tally.follow(self.store.record(), change);
        let last = self.store.record().points.len().checked_sub(1);
        let now = match change {
            Change::Inserted(i) | Change::Point(i) => Some(i),
            _ => self.logger.current(),
        };
        self.logger.choose(now.min(last));
        Ok(Done::Changed)
    }

    /// Brings the view up to date.
    fn look(&mut self, changed: bool) {
        if changed {
            // The copies share all points that did not change.
            self.view.record = Arc::new(self.store.record().clone());
            self.view.facts = self.tally.facts().clone();
            let replay = self.tally.replay();
            self.view.after = replay.end.state();
            self.view.won = self.view.record.about.won_by_outcome().unwrap_or(replay.end.winner());
            self.view.doubts = self.doubts.of(&self.view.record, replay).into();
        }
        self.view.current = self.logger.current();
        let record = &*self.view.record;
        self.view.pad = PadView::of(record, &self.view.facts, &self.view.after, &self.logger);
        self.view.plan = plan_of(record, &self.logger);
        self.view.unsaved = self.store.unsaved();
        self.view.trouble = self.store.trouble().map(str::to_owned);
        self.look_where();
    }

    /// Where the record is, and who may change it.
    fn look_where(&mut self) {
        if self.view.path != self.store.path() {
            self.store.path().clone_into(&mut self.view.path);
        }
        self.view.read_only = self.store.read_only().map(str::to_owned);
        (self.view.held, self.view.needs_place) = (self.store.is_held(), self.store.needs_place());
    }
}

/// What undo or redo did to the record and facts of before, in words.
fn reversed(undid: bool, (before, facts): &(Arc<Record>, Shared<PointFacts>), after: &View) -> String {
    if undid {
        format!("Undid: {}", change_words(&after.record, before, facts))
    } else {
        format!("Redid: {}", change_words(before, &after.record, &after.facts))
    }
}

/// The plan of the open point, or of the next one.
fn plan_of(record: &Record, logger: &Logger) -> String {
    open_point(record).map_or_else(|| logger.next_plan().to_owned(), |i| record.points[i].plan.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::check::contradictions;
    use crate::record::{Point, Shot, load};
    use crate::tennis::count::steps;
    use crate::tennis::rules::Play;
    use crate::time::MatchTime;

    fn keeper(folder: &tempfile::TempDir) -> (Keeper, Receiver<Told>, PathBuf) {
        let path = folder.path().join("holt-okafor.points.json");
        let store = Store::create(&path, Record::default()).unwrap();
        let (keeper, view, told) = Keeper::start(store, Arc::default());
        assert_eq!((view.current, view.unsaved), (None, 0));
        (keeper, told, path)
    }

    fn start(seconds: u64) -> Ask {
        Ask::Act(Action::PointStart, MatchTime::from_secs(seconds).into())
    }

    fn win(seconds: u64) -> Ask {
        Ask::Act(Action::WinnerA, MatchTime::from_secs(seconds).into())
    }

    #[test]
    fn what_is_told_as_done_is_on_disk_already() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, answers, path) = keeper(&folder);
        for (i, ask) in
            [start(0), Ask::Tag("net".into()), win(5), Ask::Undo, Ask::Redo, Ask::Note("late".into())]
                .into_iter()
                .enumerate()
        {
            keeper.ask(ask);
            let told = answers.recv_blocking().unwrap();
            assert_eq!(
                (told.number, told.outcome, told.view.trouble),
                (i as u64 + 1, Ok(Done::Changed), None)
            );
            assert_eq!(load(&path).unwrap().0, *told.view.record);
            assert_eq!(told.view.unsaved, i + 1);
        }
    }

    /// Each key counts the score once, and only from the place on that it can change: see [`Tally`].
    #[test]
    fn a_key_counts_no_point_twice_and_copies_none_that_it_leaves() {
        let folder = tempfile::tempdir().unwrap();
        let point = |n: u64| Point {
            start: Some(MatchTime::from_secs(10 * n)),
            end: Some(MatchTime::from_secs(10 * n + 5)),
            winner: Some(if n.is_multiple_of(3) { Side::B } else { Side::A }),
            shots: vec![Shot::default(); 3],
            ..Point::default()
        };
        let mut record = Record { points: (0..1000).map(point).collect(), ..Record::default() };
        record.about.rules.play = Play::Drill;
        let store = Store::create(&folder.path().join("drill.points.json"), record).unwrap();
        let mut work = Work::new(store, Arc::default());
        let act = |action| Ask::Act(action, MatchTime::from_secs(20_000).into());
        for (ask, most) in [
            (Ask::Tag("net".into()), 64),
            (act(Action::WinnerA), 64),
            (act(Action::PadLeft), 64),
            (act(Action::FinishUnforced), 64),
            (Ask::Undo, 64),
            (Ask::Choose(Some(3)), 0),
            (Ask::Tag("net".into()), 128),
            (act(Action::WinnerB), 1001),
            (act(Action::WinnerA), 1001),
        ] {
            let before = work.view.clone();
            let counted = steps::of(|| {
                let outcome = work.does(ask.clone());
                assert!(outcome.is_ok(), "{outcome:?}");
                work.look(outcome == Ok(Done::Changed));
            });
            assert!(counted <= most, "{ask:?} counted {counted} points");
            let (was, is) = (&before.record.points, &work.view.record.points);
            let copied = (0..was.len()).filter(|i| !is.shares(was, *i)).count();
            assert!(copied <= 1, "{ask:?} copied {copied} points");
            assert_eq!(work.view.facts, crate::facts::facts(&work.view.record));
            assert_eq!(work.view.doubts[..], contradictions(&work.view.record, &work.view.record.replay()));
        }
    }

    #[test]
    fn keys_faster_than_the_disk_are_done_in_their_order() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, answers, path) = keeper(&folder);
        for i in 0..100 {
            for ask in [start(10 * i), Ask::Tag(format!("tag {i}")), win(10 * i + 5)] {
                keeper.ask(ask);
            }
        }
        // Nobody has read an answer: letting it finish does all the same.
        assert_eq!(keeper.close().join().unwrap(), None);
        let record = load(&path).unwrap().0;
        assert_eq!(record.points.len(), 100);
        for (i, point) in record.points.iter().enumerate() {
            assert_eq!(point.start, Some(MatchTime::from_secs(10 * i as u64)));
            assert_eq!(point.end, Some(MatchTime::from_secs(10 * i as u64 + 5)));
            assert!(point.tags.contains(&format!("tag {i}")) && point.winner.is_some());
        }
        let told: Vec<Told> = std::iter::from_fn(|| answers.recv_blocking().ok()).collect();
        assert_eq!(told.len(), 300);
        assert!(told.iter().zip(1..).all(|(t, n)| t.number == n && t.outcome == Ok(Done::Changed)));
    }

    #[test]
    fn a_choice_between_two_keys_decides_where_the_second_goes() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, answers, _) = keeper(&folder);
        for ask in
            [start(0), win(5), start(10), win(15), Ask::Choose(Some(0)), Ask::Tag("net".into()), Ask::Undo]
        {
            keeper.ask(ask);
        }
        let told: Vec<Told> = (0..7).map(|_| answers.recv_blocking().unwrap()).collect();
        assert_eq!(told[4].outcome, Ok(Done::Chosen));
        assert!(told[5].view.record.points[0].tags.contains("net"));
        assert!(told[6].view.record.points[0].tags.is_empty());
        assert_eq!(told[6].reversed.as_deref(), Some("Undid: tag “net” on point 1"));
        keeper.ask(Ask::Redo);
        assert_eq!(answers.recv_blocking().unwrap().reversed.as_deref(), Some("Redid: tag “net” on point 1"));
        assert_eq!(told[6].view.current, Some(0));
    }

    #[test]
    fn what_does_not_fit_says_why_and_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, answers, _) = keeper(&folder);
        keeper.ask(Ask::Tag("net".into()));
        let told = answers.recv_blocking().unwrap();
        assert!(told.outcome.unwrap_err().to_string().contains("no current point"));
        keeper.ask(Ask::Undo);
        assert_eq!(answers.recv_blocking().unwrap().outcome, Ok(Done::NothingToUndo));
        keeper.ask(Ask::Save);
        let told = answers.recv_blocking().unwrap();
        assert_eq!((told.outcome, told.view.unsaved), (Ok(Done::Saved), 0));
    }

    #[test]
    fn a_folder_that_is_gone_is_told_at_the_next_edit() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, answers, path) = keeper(&folder);
        std::fs::remove_dir_all(path.parent().unwrap()).unwrap();
        keeper.ask(start(0));
        let told = answers.recv_blocking().unwrap();
        assert_eq!(told.outcome, Ok(Done::Changed), "the edit is kept in memory");
        assert!(told.view.trouble.is_some(), "and it is said that it is nowhere else");
        keeper.ask(Ask::Save);
        assert_eq!(answers.recv_blocking().unwrap().outcome, Ok(Done::NotSaved));
        let elsewhere = tempfile::tempdir().unwrap();
        let new = elsewhere.path().join("new.points.json");
        std::fs::write(&new, "mine").unwrap();
        keeper.ask(Ask::MoveTo(new.clone()));
        assert!(answers.recv_blocking().unwrap().outcome.is_err(), "what is there is not replaced");
        std::fs::remove_file(&new).unwrap();
        keeper.ask(Ask::MoveTo(new.clone()));
        let told = answers.recv_blocking().unwrap();
        assert_eq!((told.outcome, &told.view.path, told.view.trouble), (Ok(Done::Moved), &new, None));
        keeper.ask(win(5));
        assert_eq!(answers.recv_blocking().unwrap().view.trouble, None);
        assert_eq!(*load(&new).unwrap().0.points[0].winner.as_ref().unwrap(), Side::A);
        keeper.ask(Ask::MoveTo(elsewhere.path().join("new.points.lock")));
        assert!(answers.recv_blocking().unwrap().outcome.is_err(), "a lock is no record");
        assert_eq!(keeper.close().join().unwrap(), None);
    }

    #[test]
    fn a_second_window_has_the_record_once_the_first_has_closed() {
        let folder = tempfile::tempdir().unwrap();
        let (mut first, answers, path) = keeper(&folder);
        let (mut second, view, told) = Keeper::start(Store::open(&path).unwrap(), Arc::default());
        assert!(view.held && view.read_only.is_some());
        second.ask(start(0));
        assert!(
            told.recv_blocking().unwrap().outcome.unwrap_err().to_string().contains("open for reading only")
        );
        second.ask(Ask::TakeOver);
        assert_eq!(told.recv_blocking().unwrap().outcome, Ok(Done::Chosen), "it is still held");
        first.ask(start(0));
        first.ask(win(5));
        assert!(answers.recv_blocking().unwrap().outcome.is_ok());
        first.close().join().unwrap();
        second.ask(Ask::TakeOver);
        let told_now = told.recv_blocking().unwrap();
        assert_eq!(told_now.outcome, Ok(Done::TookOver));
        assert_eq!((told_now.view.held, told_now.view.read_only), (false, None));
        assert_eq!((told_now.view.record.points.len(), told_now.view.current), (1, Some(0)));
        second.ask(start(10));
        assert_eq!(told.recv_blocking().unwrap().outcome, Ok(Done::Changed));
    }

    #[test]
    fn a_record_that_was_made_meanwhile_is_shown_and_the_key_is_not_done() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.points.json");
        let (mut late, _, told) =
            Keeper::start(Store::draft(&path, Record::default()).unwrap(), Arc::default());
        let (mut first, _, answers) =
            Keeper::start(Store::draft(&path, Record::default()).unwrap(), Arc::default());
        first.ask(start(3));
        assert_eq!(answers.recv_blocking().unwrap().outcome, Ok(Done::Changed));
        late.ask(start(7));
        let told = told.recv_blocking().unwrap();
        assert_eq!((told.outcome, told.view.held), (Ok(Done::GaveWay), true));
        assert_eq!(told.view.record.points[0].start, Some(MatchTime::from_secs(3)));
    }
}
