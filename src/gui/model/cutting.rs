//! Looking for the cuts of the open footage in the background: one pass, kept in the cache folder. While the footage plays, most of the
//! processor is left to it.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use super::cutter::Cutting;
use super::event::Event;
use super::follower::Stage;
use super::object::Model;
use crate::counted::{Counted, Noun};
use crate::frames::FootageFile;
use crate::gui::kit::job::{Job, News, Teller, off_loop};
use crate::logging::Action;
use crate::record::footage::fingerprint;
use crate::session::cuts::{KeptCuts, Toggled};
use crate::time::MatchTime;
use crate::video::{Pace, VideoError, cuts_of};

/// What the search tells.
enum Told {
    /// So much of all files is read, from 0 to 1.
    Part(f64),
    /// The cuts of a file are kept.
    Found,
}

/// How long the search rests each time that it tells how far it is, while the footage plays.
const REST: Duration = Duration::from_millis(150);

impl Model {
    /// From now on the cuts of footage that is opened are looked for. Not in tests, which ask for it.
    pub(super) fn look_for_cuts(&self) {
        if !cfg!(test) {
            self.on(Event::Opened, Self::find_cuts);
        }
        self.on(Event::Closed, |m| drop(m.stop_cutting()));
        self.on(Event::Transport, |m| {
            if let Some(cutting) = &*m.cutting().borrow() {
                cutting.plays.store(m.is_playing(), Ordering::Relaxed);
            }
        });
    }

    /// Looks for the cuts of the open footage, in the place of a search that is still under way.
    pub fn find_cuts(&self) {
        let number = self.stop_cutting().map_or(0, |before| before.number + 1);
        let media = self.session().borrow().as_ref().map(|s| s.media.clone()).unwrap_or_default();
        if media.is_empty() {
            return;
        }
        let (turn, plays) = (self.opened().get(), Arc::new(AtomicBool::new(self.is_playing())));
        let (model, busy) = (self.downgrade(), plays.clone());
        let job = Job::start(
            move |teller| search_all(&media, &busy, teller),
            move |news| match model.upgrade().filter(|m| m.opened().get() == turn) {
                Some(m) => {
                    m.hear_cutter(number, news);
                    ControlFlow::Continue(())
                }
                None => ControlFlow::Break(()),
            },
        );
        self.cutting().replace(Some(Cutting { job, number, stage: None, plays }));
        self.tell(Event::Cuts);
    }

    fn hear_cutter(&self, number: u32, news: News<Told, Result<(), VideoError>>) {
        let now = self.cutting().borrow().as_ref().map(|c| (c.number, c.stage.clone()));
        let Some((_, before)) = now.filter(|(of, _)| *of == number) else { return };
        let stage = match news {
            News::Progress(Told::Found) => {
                self.show_cuts();
                return self.say_cuts();
            }
            News::Progress(Told::Part(_)) if before == Some(Stage::Stopped) => return,
            News::Progress(Told::Part(part)) => Stage::At(part),
            News::Done(Ok(())) => Stage::Done,
            News::Done(Err(VideoError::Stopped { .. })) => Stage::Stopped,
            News::Done(Err(why)) => Stage::Failed(why.to_string()),
        };
        self.set_cutting(stage);
    }

    fn set_cutting(&self, stage: Stage) {
        if let Some(cutting) = self.cutting().borrow_mut().as_mut() {
            cutting.stage = Some(stage);
        }
        self.tell(Event::Cuts);
    }

    /// How far the search for cuts is; `None` if there was nothing to search.
    pub fn cutting_stage(&self) -> Option<Stage> {
        self.cutting().borrow().as_ref().and_then(|c| c.stage.clone())
    }

    /// Stops the search for cuts. It is begun again when somebody asks for it or opens the footage again.
    pub fn cancel_cuts(&self) {
        if let Some(cutting) = &*self.cutting().borrow() {
            cutting.job.stop();
        }
        self.set_cutting(Stage::Stopped);
    }

    fn stop_cutting(&self) -> Option<Cutting> {
        let before = self.cutting().take();
        if let Some(cutting) = &before {
            cutting.job.stop();
        }
        before
    }

    /// Marks a cut before the frame that is shown, or deletes the one that is there.
    pub(super) fn cut_here(&self) {
        let Some((at, print)) = self.frame_in_file() else {
            return self.say("No frame of footage is shown. Open footage, or wait until it is there.");
        };
        let cap = self.cap(Action::CutHere);
        off_loop(
            move || KeptCuts::default().toggle(&print, at),
            glib::clone!(
                #[weak(rename_to = model)]
                self,
                move |toggled| {
                    model.show_cuts();
                    model.say(&match toggled {
                        Toggled::Marked => {
                            format!("Cut marked before this frame. Clips stop at it. {cap} deletes it.")
                        }
                        Toggled::Deleted => format!("Cut deleted. {cap} marks it again."),
                        Toggled::NotKept => {
                            "The cut cannot be kept. Check that your home folder can be written to; if it can, update \
                            Changeover, for a newer version may have kept the cuts of this footage."
                                .to_owned()
                        }
                    });
                }
            ),
        );
    }

    /// The frame that is shown, on the clock of its file, and the fingerprint of the file.
    fn frame_in_file(&self) -> Option<(MatchTime, String)> {
        let shown = self.frames().painted().filter(|shown| !shown.elsewhere)?;
        let session = self.session().borrow();
        let s = session.as_ref()?;
        let part = s.parts.get(shown.part)?;
        let of = s.view.record.footage.iter().find(|f| f.start == part.start)?;
        Some((part.in_file(shown.at), of.fingerprint.clone()?))
    }

    /// Says how many cuts are known now, found or marked by hand, and that a search does not find all.
    fn say_cuts(&self) {
        let found = self.session().borrow().as_ref().map_or(0, |s| s.cuts.len());
        if found > 0 {
            self.say(&format!(
                "{} marked on the bar. If the camera stood still, some are missed: {} marks one before the frame that you \
                 see.",
                Counted(found, Noun::Cut),
                self.cap(Action::CutHere)
            ));
        }
    }

    fn show_cuts(&self) {
        if let Some(s) = self.session().borrow_mut().as_mut() {
            s.read_cuts();
        }
        self.tell(Event::Cuts);
    }
}

/// Looks for the cuts of all files. Where one cannot be searched the others are, and the reason is the result.
fn search_all(
    media: &[Arc<FootageFile>],
    plays: &AtomicBool,
    teller: &Teller<Told, Result<(), VideoError>>,
) -> Result<(), VideoError> {
    let mut failed = None;
    for (n, one) in media.iter().enumerate() {
        match search(one, (n, media.len()), plays, teller) {
            Err(why @ VideoError::Stopped { .. }) => return Err(why),
            Err(why) => failed = failed.or(Some(why)),
            Ok(()) => {}
        }
    }
    failed.map_or(Ok(()), Err)
}

/// Looks for the cuts of one file of so many, unless they are known.
fn search(
    media: &FootageFile,
    (n, of): (usize, usize),
    plays: &AtomicBool,
    teller: &Teller<Told, Result<(), VideoError>>,
) -> Result<(), VideoError> {
    let kept = KeptCuts::default();
    // What cannot be read is said when it is played.
    let Some(print) = fingerprint(&media.path).ok().filter(|p| !kept.are_found(p)) else { return Ok(()) };
    let mut told = None;
    let found = cuts_of(media, Pace::Background, &mut |part| {
        if plays.load(Ordering::Relaxed) {
            std::thread::sleep(REST);
        }
        let part = (n as f64 + part) / of as f64;
        // The window hears of each per cent once; whether it was stopped is asked each time.
        let per_cent = (part * 100.0).floor();
        if told == Some(per_cent) && !teller.is_stopped() {
            return ControlFlow::Continue(());
        }
        told = Some(per_cent);
        teller.tell(Told::Part(part))
    })?;
    kept.keep(&print, &found);
    // A window that is gone needs no answer; the cuts are kept.
    let _ = teller.tell(Told::Found);
    Ok(())
}
