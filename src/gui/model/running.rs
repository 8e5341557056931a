//! How a clip of the lesson runs: slow stretches, freezes with their drawings, and rounds.

use std::time::{Duration, Instant};

use gtk::glib;

use super::event::Event;
use super::object::Model;
use crate::drawing::Drawing;
use crate::frames::FootageFile;
use crate::lesson::{Clip, Part};
use crate::session::show::run::{Run, Step};
use crate::time::MatchTime;
use crate::video::Player;

impl Model {
    /// Whether clips of the lesson are shown.
    pub fn in_lesson(&self) -> bool {
        self.listing().lesson.get() && self.plays_clips()
    }

    /// A clip of the list begins: it runs as the lesson says.
    pub(super) fn run_at(&self, at: usize) {
        let told = self.talk_clip(at);
        let run = if let Some(clip) = told {
            Some(Run::new(clip))
        } else {
            let view = self.showing().view.borrow();
            let part = view.as_ref().and_then(|v| v.lesson.parts.get(v.items().get(at)?.0));
            match part {
                Some(Part::Clip(clip)) => Some(Run::new((**clip).clone())),
                Some(Part::Pair(pair)) => Some(Run::new(pair.left.clone())),
                _ => None,
            }
        };
        self.run_none();
        self.showing().run.replace(run);
    }

    /// The clip of the lesson that is on the screen.
    pub fn running_clip(&self) -> Option<Clip> {
        self.showing().run.borrow().as_ref().filter(|_| self.in_lesson()).map(|run| run.clip().clone())
    }

    /// No clip runs.
    pub(super) fn run_none(&self) {
        let showing = self.showing();
        showing.freezes.set(showing.freezes.get() + 1);
        showing.stands.set(None);
        showing.pace.set(1.0);
        showing.run.take();
    }

    /// The clip that runs begins again.
    pub(super) fn run_anew(&self) {
        let from = self.showing().run.borrow().as_ref().map(|run| run.clip().from);
        if let Some(from) = from {
            self.run_to(from);
        }
    }

    fn run_to(&self, moment: MatchTime) {
        self.run_on();
        if let Some(run) = self.showing().run.borrow_mut().as_mut() {
            run.jumped(moment);
        }
    }

    /// A freeze is over, by its time or by a key.
    pub(super) fn run_on(&self) {
        let showing = self.showing();
        showing.freezes.set(showing.freezes.get() + 1);
        if showing.stands.take().is_some()
            && let Some(run) = showing.run.borrow_mut().as_mut()
        {
            run.go_on();
        }
    }

    /// The clip came to its end: whether it is shown once more.
    pub(super) fn has_another_round(&self) -> bool {
        self.showing().run.borrow_mut().as_mut().is_some_and(Run::again)
    }

    /// The speed that the user chose, without that of a stretch.
    pub(super) fn usual_speed(&self) -> f64 {
        let pace = self.showing().pace.get();
        if pace > 0.0 { self.speed() / pace } else { self.speed() }
    }

    /// Whether the clip of a lesson stands at its end, where playing begins it anew.
    pub(super) fn is_at_clip_end(&self) -> bool {
        let here = self.player().borrow().as_ref().map(Player::here);
        self.in_lesson()
            && self.listing().holds.get()
            && !self.is_playing()
            && here.is_some_and(|here| self.listing().last.get().is_some_and(|last| here >= last))
    }

    /// A frame is on the screen: the clip of a lesson goes slow, or stands still.
    pub(super) fn run_frame(&self, media: &FootageFile, moment: MatchTime) {
        if !self.is_playing() {
            if self.showing().stands.get().is_none()
                && let Some(run) = self.showing().run.borrow_mut().as_mut()
            {
                run.jumped(moment);
            }
            return;
        }
        let step = self.showing().run.borrow_mut().as_mut().map(|run| run.at(moment));
        match step {
            Some(Step::Play(pace)) => self.run_at_pace(pace),
            Some(Step::Freeze(at, lasts)) => self.stand(media.index.at(at), lasts),
            None => {}
        }
    }

    fn run_at_pace(&self, pace: f64) {
        let usual = self.usual_speed();
        let before = self.showing().pace.replace(pace);
        if (before - pace).abs() > 1e-9 && before > 0.0 {
            self.with_player(|p| p.set_speed((usual * pace).clamp(0.1, 2.0)));
        }
    }

    /// The picture stands at a frame for so long, and then goes on.
    fn stand(&self, frame: usize, lasts: Duration) {
        self.with_player(|p| {
            p.pause();
            if p.here() != frame {
                p.seek_frame(frame);
            }
        });
        let showing = self.showing();
        showing.stands.set(Some(Instant::now()));
        showing.freezes.set(showing.freezes.get() + 1);
        let (turn, player) = (showing.freezes.get(), self.players().get());
        self.tell(Event::Transport);
        glib::timeout_add_local_once(
            lasts,
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                move || {
                    if m.showing().freezes.get() == turn && m.players().get() == player {
                        m.run_on();
                        m.with_player(Player::play);
                        m.tell(Event::Transport);
                    }
                }
            ),
        );
    }

    /// Whether the picture of a lesson stands in a freeze.
    pub fn stands(&self) -> bool {
        self.showing().stands.get().is_some()
    }

    /// The show is over: the clip stands.
    pub fn stop_show(&self) {
        self.run_on();
        self.with_player(Player::pause);
        self.tell(Event::Transport);
    }

    /// What the lesson draws over the frame on the screen.
    pub fn lesson_drawings(&self) -> Vec<Drawing> {
        let Some(shown) = self.frames().painted().filter(|_| self.in_lesson()) else { return Vec::new() };
        let stood = self.showing().stands.get().map_or(Duration::ZERO, |since| since.elapsed());
        let run = self.showing().run.borrow();
        run.as_ref()
            .map(|run| run.drawings(shown.frame.time, MatchTime::ZERO.later(stood)))
            .unwrap_or_default()
    }
}
