//! The lesson's keeper: a thread that turns requests into edits and writes them to the disk, so that the main loop never waits.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::JoinHandle;

use async_channel::{Receiver, Sender};
use thiserror::Error;

use super::act::{Act, Useless, edit_of};
use super::adding::{Adding, parts_for};
use super::talking::{NoTalk, TalkAct, talk_edit};
use super::view::View;
use crate::lesson::{Edit, Found, Lesson, LessonStore, create, find, others};
use crate::record::RecordError;
use crate::session::keeper::Working;
use crate::voice::{forget, recover};

/// Something to be done with the lesson.
#[derive(Debug)]
pub enum Ask {
    /// A change of the part that is chosen.
    Act(Act),
    /// A change of the words of the part at a place: the field may be left after another part was chosen.
    At(usize, Act),
    /// Other clips come after the part that is chosen last.
    Add(Box<Adding>),
    /// A change of the talk.
    Talk(TalkAct),
    /// Another part is chosen.
    Choose(Option<usize>),
    /// The part so many places on is chosen, or the first or last one.
    Walk(isize),
    /// Take the last edit back.
    Undo,
    /// Make it again.
    Redo,
    /// Write the file.
    Save,
}

/// What came of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Done {
    /// The lesson is as before.
    Nothing,
    /// Another part is chosen.
    Chosen,
    /// It changed.
    Changed,
    /// So many parts were added; so many points have no clip.
    Added(usize, usize),
    /// An edit was taken back.
    Undone,
    /// An edit was made again.
    Redone,
    /// All is in the file.
    Saved,
}

/// Why nothing came of it.
#[derive(Debug, Error)]
pub enum ShowError {
    /// The request means nothing here.
    #[error(transparent)]
    Useless(#[from] Useless),
    /// The request means nothing for the talk.
    #[error(transparent)]
    NoTalk(#[from] NoTalk),
    /// The lesson cannot be read, changed or written.
    #[error(transparent)]
    Record(#[from] RecordError),
}

/// The answer to one request.
#[derive(Debug)]
pub struct Told {
    /// What came of it.
    pub outcome: Result<Done, ShowError>,
    /// How things stand now.
    pub view: View,
    /// What the user should be told once.
    pub notices: Vec<String>,
}

/// The window's end. When it is dropped, the thread does what was asked before, saves, and ends.
#[derive(Debug)]
pub struct Keeper {
    asks: Sender<Ask>,
    thread: JoinHandle<()>,
}

impl Keeper {
    /// Opens a lesson on a thread; a new one is made first if `new` is given. The first answer says what came of it, and others
    /// follow only if it was opened.
    pub fn start(path: PathBuf, new: Option<Lesson>) -> (Self, Receiver<Told>) {
        let (asks, asked) = async_channel::unbounded();
        let (answers, told) = async_channel::unbounded();
        let working = Working::default();
        let thread = std::thread::spawn(move || {
            match Work::open(path, new) {
                Ok(work) => work.run(&asked, &answers),
                Err(why) => {
                    let told = Told { outcome: Err(why), view: View::default(), notices: Vec::new() };
                    // A window that is gone needs no answer.
                    let _ = answers.try_send(told);
                }
            }
            drop(working);
        });
        (Self { asks, thread }, told)
    }

    /// Sends a request; returns at once.
    pub fn ask(&self, ask: Ask) {
        // The channel has no limit; it is closed only after a lesson could not be opened, which was said.
        let _ = self.asks.try_send(ask);
    }

    /// Lets it finish.
    pub fn close(self) -> JoinHandle<()> {
        self.thread
    }
}

struct Work {
    store: LessonStore,
    view: View,
    told: usize,
    /// What was found of talks, to be told once.
    found: Vec<String>,
}

impl Work {
    fn open(path: PathBuf, new: Option<Lesson>) -> Result<Self, ShowError> {
        if let Some(lesson) = new {
            create(&path, &lesson)?;
        }
        let store = LessonStore::open(&path)?;
        let chosen = (!store.document().parts.is_empty()).then_some(0);
        let mut work =
            Self { store, view: View { path, chosen, ..View::default() }, told: 0, found: Vec::new() };
        work.found = others(&work.view.path, work.store.document());
        work.recover();
        work.look();
        Ok(work)
    }

    fn run(mut self, asked: &Receiver<Ask>, answers: &Sender<Told>) {
        let mut outcome = Ok(Done::Changed);
        loop {
            let mut notices = self.store.notices().get(self.told..).unwrap_or_default().to_vec();
            notices.append(&mut self.found);
            self.told = self.store.notices().len();
            // A window that is gone needs no answer.
            let _ = answers.try_send(Told { outcome, view: self.view.clone(), notices });
            let Ok(ask) = asked.recv_blocking() else { break };
            outcome = self.does(ask);
            self.view.handled += 1;
            self.look();
        }
        if self.store.read_only().is_none() && self.store.unsaved() > 0 {
            // What is not in the file is in the journal, and the next window finds it there.
            let _ = self.store.save();
        }
    }

    fn does(&mut self, ask: Ask) -> Result<Done, ShowError> {
        match ask {
            Ask::Act(act) => self.act(self.view.chosen, act, true),
            Ask::At(at, act) => self.act(Some(at), act, false),
            Ask::Add(adding) => self.add(*adding),
            Ask::Talk(act) => self.talk(act),
            Ask::Choose(at) => {
                self.view.chosen = at.filter(|at| *at < self.store.document().parts.len());
                Ok(Done::Chosen)
            }
            Ask::Walk(by) => {
                let to = self.view.chosen.unwrap_or(0).saturating_add_signed(by);
                self.view.chosen = self.store.document().parts.len().checked_sub(1).map(|last| to.min(last));
                Ok(Done::Chosen)
            }
            Ask::Undo => Ok(self.store.undo()?.map_or(Done::Nothing, |_| Done::Undone)),
            Ask::Redo => Ok(self.store.redo()?.map_or(Done::Nothing, |_| Done::Redone)),
            Ask::Save => {
                self.store.save()?;
                Ok(Done::Saved)
            }
        }
    }

    fn act(&mut self, at: Option<usize>, act: Act, choose: bool) -> Result<Done, ShowError> {
        let Some((edit, chosen)) = edit_of(self.store.document(), at, act)? else { return Ok(Done::Nothing) };
        self.store.apply(edit)?;
        if choose {
            self.view.chosen = chosen;
        }
        Ok(Done::Changed)
    }

    fn talk(&mut self, act: TalkAct) -> Result<Done, ShowError> {
        let kept = if let TalkAct::Keep(kept) = &act { Some(kept.clone()) } else { None };
        let Some(edit) = talk_edit(self.store.document(), act)? else { return Ok(Done::Nothing) };
        self.store.apply(edit)?;
        if let Some(kept) = kept.filter(|_| self.store.trouble().is_none()) {
            forget(&self.view.path, &kept);
        }
        Ok(Done::Changed)
    }

    /// Puts takes into the lesson that were being recorded when the program was killed.
    fn recover(&mut self) {
        if self.store.read_only().is_some() {
            return;
        }
        for found in recover(&self.view.path, self.store.document().talk.as_deref()) {
            let said = match found {
                Ok(kept) => {
                    let lasts = kept.take.voice.duration.short();
                    match self.talk(TalkAct::Keep(Box::new(kept))) {
                        Ok(_) => format!(
                            "A talk was being recorded when the program ended: {lasts} of it were found and are in the lesson. Undo takes them off."
                        ),
                        Err(why) => why.to_string(),
                    }
                }
                Err(why) => why.to_string(),
            };
            self.found.push(said);
        }
    }

    fn add(&mut self, adding: Adding) -> Result<Done, ShowError> {
        let (parts, lost) = parts_for(adding, &self.view.path);
        let added = parts.len();
        if added == 0 {
            return Ok(Done::Added(0, lost));
        }
        let first = self.store.document().parts.len();
        let insert = |(n, part)| Edit::InsertPart { at: first + n, part };
        self.store.apply(Edit::Together(parts.into_iter().enumerate().map(insert).collect()))?;
        self.view.chosen = Some(first);
        Ok(Done::Added(added, lost))
    }

    /// What follows from the store.
    fn look(&mut self) {
        let lesson = self.store.document();
        self.view.chosen = match lesson.parts.len() {
            0 => None,
            n => Some(self.view.chosen.unwrap_or(0).min(n - 1)),
        };
        if *self.view.lesson != *lesson {
            self.view.lesson = Arc::new(lesson.clone());
            self.view.files = Arc::new(files(&self.view.path, lesson, &self.view.files));
        }
        self.view.read_only = self.store.read_only().map(str::to_owned);
        self.view.trouble = self.store.trouble().map(str::to_owned);
    }
}

/// Where the footage of a lesson is. What was found before is not looked for again.
fn files(path: &Path, lesson: &Lesson, known: &BTreeMap<String, Found>) -> BTreeMap<String, Found> {
    let mut files = BTreeMap::new();
    let voices = lesson.talk.iter().flat_map(|talk| talk.voices());
    for footage in lesson.footage().chain(voices) {
        if !files.contains_key(&footage.file) {
            let known = known.get(&footage.file).filter(|found| found.path().is_some());
            files.insert(footage.file.clone(), known.cloned().unwrap_or_else(|| find(path, footage)));
        }
    }
    files
}
