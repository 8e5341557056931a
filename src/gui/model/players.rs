//! The players of the current point: looked for in the background at its strikes, read from what is kept, accepted and corrected.

use std::ops::ControlFlow;
use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use gtk::prelude::*;

use super::event::Event;
use super::follower::Stage;
use super::looker::Looking;
use super::object::Model;
use crate::frames::FootageFile;
use crate::gui::kit::job::{Job, News, Teller};
use crate::logging::Action;
use crate::measure::Pixel;
use crate::record::footage::{fingerprint, name_path};
use crate::record::{Edit, FoundBy, Record};
use crate::session::cameras::Cameras;
use crate::session::keeper::Ask;
use crate::session::proposed::{KeptPlayers, Looked, Players, accept, correct};
use crate::session::proposing::{Proposal, Stretch};
use crate::session::seeing::players;
use crate::time::MatchTime;
use crate::video::VideoError;

/// Somebody who walks along the points does not want those passed over.
const PAUSE: Duration = Duration::from_millis(300);
/// How long the work rests after each frame while the footage plays.
const REST: Duration = Duration::from_millis(40);
/// What the work tells: how far it is, and what it found.
type Heard = News<f64, Result<Looked, VideoError>>;

/// What is to be done on the thread.
struct Wanted {
    media: Arc<FootageFile>,
    fingerprint: String,
    cameras: Cameras,
    stretch: Stretch,
}

impl Model {
    /// From now on players can be looked for.
    pub(super) fn know_players(&self) {
        for event in [Event::Court, Event::Changed, Event::Current, Event::Opened, Event::Closed] {
            self.on(event, |m| m.players_known().forget());
        }
        self.on(Event::Closed, |m| drop(m.stop_looking()));
        self.on(Event::Transport, |m| {
            if let Some(looking) = &*m.looking().borrow() {
                looking.plays.store(m.is_playing(), Ordering::Relaxed);
            }
        });
    }

    /// What is known of the players at the strikes of the current point. Worked out once for each change of the record, the current
    /// point or the cameras: pages ask for every frame.
    pub fn players_here(&self) -> Option<Rc<Players>> {
        let session = self.session().borrow();
        let s = session.as_ref()?;
        let point = s.current()?;
        let work = || s.proposed.players(&s.view.record, s.facts(), &s.cameras, point);
        Some(self.players_known().of(point, work))
    }

    /// How often that was worked out.
    #[cfg(test)]
    pub fn players_worked_out(&self) -> usize {
        self.players_known().count.get()
    }

    /// Those that wait to be accepted in the current point.
    pub fn proposals(&self) -> Vec<Proposal> {
        match self.players_here().as_deref() {
            Some(Players::Known { waiting, .. }) => waiting.clone(),
            _ => Vec::new(),
        }
    }

    /// Looks for the players of the current point, unless they are known, the camera is still followed, or somebody stopped it.
    pub fn look_for_players(&self) {
        let is_begun = |s: &Stretch| self.looking().borrow().as_ref().is_some_and(|l| l.stretch == *s);
        if let Some(stretch) = self.players_wanted().filter(|s| !is_begun(s)) {
            self.begin_looking(stretch);
        }
    }

    /// The same, also where somebody stopped it.
    pub fn find_players(&self) {
        if let Some(stretch) = self.players_wanted() {
            self.begin_looking(stretch);
        }
    }

    /// Whether the players of the current point can be looked for: not before the camera was followed.
    pub fn can_find_players(&self) -> bool {
        self.players_wanted().is_some()
    }

    fn players_wanted(&self) -> Option<Stretch> {
        let follows = matches!(self.following_stage(), Some(Stage::At(_)));
        match self.players_here().filter(|_| !follows).as_deref() {
            Some(Players::Wanted(stretch)) => Some((**stretch).clone()),
            _ => None,
        }
    }

    fn begin_looking(&self, stretch: Stretch) {
        let number = self.stop_looking().map_or(0, |before| before.number + 1);
        let Some(wanted) = self.wanted(stretch.clone()) else { return };
        let (turn, plays) = (self.opened().get(), Arc::new(AtomicBool::new(self.is_playing())));
        let (model, busy) = (self.downgrade(), plays.clone());
        let job = Job::start(
            move |teller| look(&wanted, &busy, teller),
            move |news| match model.upgrade().filter(|m| m.opened().get() == turn) {
                Some(m) => {
                    m.hear_looking(number, news);
                    ControlFlow::Continue(())
                }
                None => ControlFlow::Break(()),
            },
        );
        self.looking().replace(Some(Looking { job, number, plays, stretch, stage: Stage::At(0.0) }));
        self.tell(Event::Court);
    }

    fn wanted(&self, stretch: Stretch) -> Option<Wanted> {
        let session = self.session().borrow();
        let s = session.as_ref()?;
        let media = s.media.iter().find(|m| m.path.ends_with(name_path(&stretch.footage.file)))?.clone();
        let fingerprint = stretch.footage.fingerprint.clone()?;
        Some(Wanted { media, fingerprint, cameras: s.cameras.clone(), stretch })
    }

    fn hear_looking(&self, number: u32, news: Heard) {
        {
            let mut looking = self.looking().borrow_mut();
            let Some(l) = looking.as_mut().filter(|l| l.number == number) else { return };
            l.stage = match news {
                News::Progress(_) if l.stage == Stage::Stopped => return,
                News::Progress(part) => Stage::At(part),
                News::Done(Ok(found)) => {
                    let print = l.stretch.footage.fingerprint.clone().unwrap_or_default();
                    if let Some(s) = self.session().borrow_mut().as_mut() {
                        s.proposed.take(print, found);
                    }
                    Stage::Done
                }
                News::Done(Err(VideoError::Stopped { .. })) => Stage::Stopped,
                News::Done(Err(why)) => Stage::Failed(why.to_string()),
            };
        }
        self.tell(Event::Court);
    }

    /// How far looking for the players of the current point is; `None` if it was not begun there.
    pub fn players_stage(&self) -> Option<Stage> {
        let looking = self.looking().borrow();
        let l = looking.as_ref()?;
        match &*self.players_here()? {
            Players::Wanted(stretch) if **stretch == l.stretch => Some(l.stage.clone()),
            _ => None,
        }
    }

    /// Stops looking for players, until somebody asks for it or another point is current.
    pub fn cancel_players(&self) {
        if let Some(looking) = self.looking().borrow_mut().as_mut() {
            looking.job.stop();
            looking.stage = Stage::Stopped;
        }
        self.tell(Event::Court);
    }

    fn stop_looking(&self) -> Option<Looking> {
        let before = self.looking().take();
        if let Some(looking) = &before {
            looking.job.stop();
        }
        before
    }

    /// Accepts what is proposed in the frame shown and goes on to the next strike, accepts what is proposed in the whole point, or goes
    /// to the next strike.
    pub fn do_with_players(&self, action: Action) {
        let waiting = self.proposals();
        let shown = self.shown();
        let here: Vec<_> = waiting.iter().filter(|p| Some(p.frame) == shown).copied().collect();
        let next = next_frame(&waiting, shown);
        match action {
            _ if waiting.is_empty() => self.say("No players wait to be accepted in this point."),
            Action::AcceptPointPlayers => self.store(|r, c| accept(r, c, &waiting, FoundBy::Found)),
            Action::AcceptPlayers if !here.is_empty() => {
                self.store(|r, c| accept(r, c, &here, FoundBy::Checked));
                self.show_strike(next);
            }
            // What nobody has looked at is not accepted strike by strike.
            _ => self.show_strike(next),
        }
    }

    fn show_strike(&self, at: Option<MatchTime>) {
        if let Some(at) = at {
            self.show_still(at);
        }
    }

    /// Stores one where the user has put it.
    pub fn correct_player(&self, proposal: &Proposal, at: Pixel) {
        self.store(|r, c| correct(r, c, proposal, at));
    }

    fn store(&self, edit: impl FnOnce(&Record, &Cameras) -> Option<Edit>) {
        let edit = self.session().borrow().as_ref().and_then(|s| edit(&s.view.record, &s.cameras));
        match edit {
            Some(edit) => self.ask(Ask::Edit(Box::new(edit))),
            None => self.say("The ground is not seen there. Drag the ring to where the feet touch it."),
        }
    }
}

/// The frame of the next strike with proposals after the one shown, else the first of all.
fn next_frame(waiting: &[Proposal], shown: Option<MatchTime>) -> Option<MatchTime> {
    let others = || waiting.iter().map(|p| p.frame).filter(|f| Some(*f) != shown);
    others().filter(|f| Some(*f) > shown).min().or_else(|| others().min())
}

fn look(
    wanted: &Wanted,
    plays: &AtomicBool,
    teller: &Teller<f64, Result<Looked, VideoError>>,
) -> Result<Looked, VideoError> {
    let Wanted { media, fingerprint: print, cameras, stretch } = wanted;
    std::thread::sleep(PAUSE);
    if teller.tell(0.0).is_break() {
        return Err(VideoError::Stopped { path: media.path.clone() });
    }
    let kept = KeptPlayers::default();
    if let Some(known) = kept.of(print).into_iter().find(|l| l.is_of(stretch, cameras)) {
        return Ok(known);
    }
    let found = players(media, cameras, std::slice::from_ref(stretch), &mut |part| {
        if plays.load(Ordering::Relaxed) {
            std::thread::sleep(REST);
        }
        teller.tell(part)
    })?;
    let looked = Looked::new(stretch, cameras, &found.concat());
    // If another file has that name by now, this was seen in it.
    if fingerprint(&media.path).ok().as_ref() == Some(print) {
        kept.add(print, &looked);
    }
    Ok(looked)
}
