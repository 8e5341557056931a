//! Where the camera is in each frame of the open footage: read from what is kept, else the court is followed in the background,
//! from the marks of the record. A camera that stands still is told by some frames of the footage.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use gtk::prelude::*;

use super::event::Event;
use super::follower::{Following, Stage};
use super::object::Model;
use crate::frames::FootageFile;
use crate::gui::kit::job::{Job, News, Teller, off_loop};
use crate::record::CourtMarks;
use crate::record::footage::{fingerprint, name_path};
use crate::session::followed::{Followed, KeptCourts};
use crate::session::keeper::Ask;
use crate::session::seeing::followed;
use crate::video::VideoError;

/// How long the work rests after each frame while the footage plays.
const REST: Duration = Duration::from_millis(40);
/// A file in which the court is to be followed.
struct Wanted {
    media: Arc<FootageFile>,
    fingerprint: String,
    marks: Vec<CourtMarks>,
}

/// What the work tells.
enum Told {
    Part(f64),
    File(String, Arc<Followed>),
}

impl Model {
    /// From now on the cameras of what is open are known. In tests the court is followed only when they ask for it.
    pub(super) fn know_courts(&self) {
        self.on(Event::Opened, Self::read_courts);
        self.on(Event::Changed, |m| {
            m.read_courts();
            m.follow_new();
        });
        self.on(Event::Closed, |m| drop(m.stop_following()));
        self.on(Event::Transport, |m| {
            if let Some(following) = &*m.following().borrow() {
                following.plays.store(m.is_playing(), Ordering::Relaxed);
            }
        });
    }

    /// Reads on a thread what is kept of the open footage.
    fn read_courts(&self) {
        let prints = self.session().borrow().as_ref().map(|s| s.cameras.unread()).unwrap_or_default();
        if prints.is_empty() {
            return;
        }
        let (model, turn) = (self.downgrade(), self.opened().get());
        off_loop(
            move || {
                let kept = KeptCourts::default();
                prints.into_iter().map(|p| (kept.of(&p).map(Arc::new), p)).collect::<Vec<_>>()
            },
            move |found| {
                let Some(m) = model.upgrade().filter(|m| m.opened().get() == turn) else { return };
                if let Some(s) = m.session().borrow_mut().as_mut() {
                    for (found, print) in found {
                        s.cameras.take(print, found);
                    }
                }
                m.settle_courts();
                m.follow_new();
            },
        );
    }

    /// The files whose court is marked and was not followed from these marks.
    fn to_follow(&self) -> Vec<Wanted> {
        let session = self.session().borrow();
        let Some(s) = session.as_ref() else { return Vec::new() };
        let unread = s.cameras.unread();
        let wanted = s.view.record.footage.iter().filter_map(|file| {
            let marks = s.cameras.marks_of(file);
            let fingerprint = file.fingerprint.clone().filter(|p| !unread.contains(p))?;
            let media = s.media.iter().find(|m| m.path.ends_with(name_path(&file.file)))?;
            let new = !marks.is_empty() && s.cameras.followed(file).is_none();
            new.then(|| Wanted { media: media.clone(), fingerprint, marks })
        });
        wanted.collect()
    }

    /// Whether there is something to follow.
    pub fn can_follow(&self) -> bool {
        !self.to_follow().is_empty()
    }

    /// Follows the court in the files where it is marked anew.
    fn follow_new(&self) {
        let marks: Vec<_> = self.to_follow().into_iter().flat_map(|w| w.marks).collect();
        let known = self.following().borrow().as_ref().is_some_and(|f| f.marks == marks);
        if !cfg!(test) && !marks.is_empty() && !known {
            self.follow_court();
        }
    }

    /// Follows the court where it is marked, in the place of work that is still under way.
    pub fn follow_court(&self) {
        let number = self.stop_following().map_or(0, |before| before.number + 1);
        let wanted = self.to_follow();
        if wanted.is_empty() {
            return;
        }
        let marks = wanted.iter().flat_map(|w| w.marks.clone()).collect();
        let (turn, plays) = (self.opened().get(), Arc::new(AtomicBool::new(self.is_playing())));
        let (model, busy) = (self.downgrade(), plays.clone());
        let job = Job::start(
            move |teller| wanted.iter().try_for_each(|w| follow(w, &busy, teller)),
            move |news| match model.upgrade().filter(|m| m.opened().get() == turn) {
                Some(m) => {
                    m.hear_follower(number, news);
                    ControlFlow::Continue(())
                }
                None => ControlFlow::Break(()),
            },
        );
        self.following().replace(Some(Following { job, number, plays, marks, stage: Stage::At(0.0) }));
        self.tell(Event::Court);
    }

    fn hear_follower(&self, number: u32, news: News<Told, Result<(), VideoError>>) {
        let now = self.following().borrow().as_ref().map(|f| (f.number, f.stage == Stage::Stopped));
        let stage = match news {
            _ if now.is_none_or(|(of, _)| of != number) => return,
            News::Progress(Told::Part(_)) if now == Some((number, true)) => return,
            News::Progress(Told::Part(part)) => Stage::At(part),
            News::Progress(Told::File(print, found)) => {
                if let Some(s) = self.session().borrow_mut().as_mut() {
                    s.cameras.take(print, Some(found));
                }
                return self.settle_courts();
            }
            News::Done(Ok(())) => Stage::Done,
            News::Done(Err(VideoError::Stopped { .. })) => Stage::Stopped,
            News::Done(Err(why)) => Stage::Failed(why.to_string()),
        };
        if let Some(following) = self.following().borrow_mut().as_mut() {
            following.stage = stage;
        }
        self.tell(Event::Court);
    }

    /// How far following the court is; `None` if it was not begun.
    pub fn following_stage(&self) -> Option<Stage> {
        self.following().borrow().as_ref().map(|f| f.stage.clone())
    }

    /// Stops following the court. It is begun again when somebody asks for it or marks the court.
    pub fn cancel_following(&self) {
        if let Some(following) = self.following().borrow_mut().as_mut() {
            following.job.stop();
            following.stage = Stage::Stopped;
        }
        self.tell(Event::Court);
    }

    fn stop_following(&self) -> Option<Following> {
        let before = self.following().take();
        if let Some(following) = &before {
            following.job.stop();
        }
        before
    }

    /// What is known now is kept with the record: whether the camera moves, and where positions are.
    fn settle_courts(&self) {
        let settled = {
            let session = self.session().borrow();
            session.as_ref().and_then(|s| s.cameras.settled(&s.view.record))
        };
        if let Some((edit, count)) = settled {
            self.ask(Ask::Edit(Box::new(edit)));
            match count {
                0 => {}
                1 => self
                    .say("The camera moves. One position was measured again with the camera of its frame."),
                n => self.say(&format!(
                    "The camera moves. {n} positions were measured again with the camera of their frames."
                )),
            }
        }
        self.tell(Event::Court);
    }
}

/// Follows the court through one file.
fn follow(
    wanted: &Wanted,
    plays: &AtomicBool,
    teller: &Teller<Told, Result<(), VideoError>>,
) -> Result<(), VideoError> {
    let Wanted { media, fingerprint: print, marks } = wanted;
    // Another file has that name now: what was seen in it would be kept for this one.
    if fingerprint(&media.path).ok().as_ref() != Some(print) {
        return Ok(());
    }
    let mut tell = |part: f64| {
        if plays.load(Ordering::Relaxed) {
            std::thread::sleep(REST);
        }
        teller.tell(Told::Part(part))
    };
    let found = followed(media, marks, &mut tell)?;
    KeptCourts::default().keep(print, &found);
    let _ = teller.tell(Told::File(print.clone(), Arc::new(found)));
    Ok(())
}
