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
use super::object::Model;
use crate::counted::{Counted, Noun};
use crate::frames::FootageFile;
use crate::gui::kit::job::{Job, News, Teller, off_loop};
use crate::logging::Action;
use crate::record::footage::fingerprint;
use crate::session::cuts::{KeptCuts, Toggled};
use crate::time::MatchTime;
use crate::video::{Pace, cuts_of};

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
        drop(self.stop_cutting());
        let media = self.session().borrow().as_ref().map(|s| s.media.clone()).unwrap_or_default();
        if media.is_empty() {
            return;
        }
        let (turn, plays) = (self.opened().get(), Arc::new(AtomicBool::new(self.is_playing())));
        let (model, busy) = (self.downgrade(), plays.clone());
        let job = Job::start(
            move |teller| media.iter().try_for_each(|m| search(m, &busy, teller)),
            move |news| match (model.upgrade().filter(|m| m.opened().get() == turn), news) {
                (Some(m), News::Progress(is_new)) => {
                    if is_new {
                        m.show_cuts();
                        m.say_cuts();
                    }
                    ControlFlow::Continue(())
                }
                _ => ControlFlow::Break(()),
            },
        );
        self.cutting().replace(Some(Cutting { job, plays }));
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
                "{} marked on the bar. If the camera stood still, most are not found: {} marks one before the frame that \
                 you see.",
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

/// Looks for the cuts of one file unless they are known; tells `true` when they are found.
fn search(
    media: &FootageFile,
    plays: &AtomicBool,
    teller: &Teller<bool, ControlFlow<()>>,
) -> ControlFlow<()> {
    let kept = KeptCuts::default();
    // What cannot be read is said when it is played.
    let Some(print) = fingerprint(&media.path).ok().filter(|p| !kept.are_found(p)) else {
        return ControlFlow::Continue(());
    };
    let found = cuts_of(media, Pace::Background, &mut |_| {
        if plays.load(Ordering::Relaxed) {
            std::thread::sleep(REST);
        }
        teller.tell(false)
    });
    match found {
        Ok(found) => {
            kept.keep(&print, &found);
            teller.tell(true)
        }
        Err(_) => teller.tell(false),
    }
}
