//! Playing clips one after another, from any file of footage: while one is played, the player of the next one already waits at
//! its first frame, with picture and sound.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use gtk::glib;

use super::event::Event;
use super::listing::Ready;
use super::object::Model;
use crate::clips::{ClipList, Lead};
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::frames::FootageFile;
use crate::gui::kit::job::off_loop;
use crate::session::alone::known_as;
use crate::session::cuts;
use crate::session::play_list::{Item, PlayList, last_frame_lasts};
use crate::session::state::Session;
use crate::video::{Player, VideoError, probe};

/// How many files that were read for clips are remembered.
const KNOWN: usize = 8;

impl Model {
    /// Plays these clips one after another, each from its own file, in the place of what is played now. Needs no open record.
    /// A clip whose footage cannot be played is passed over, and the message bar says why.
    ///
    /// [`Event::Clip`] tells that another clip has begun or that there are no more; [`Model::clip`] says which it is.
    pub fn play_clips(&self, items: Vec<Item>) {
        self.end_clips();
        if items.is_empty() {
            return;
        }
        self.listing().list.replace(Some(PlayList::new(items)));
        self.load(0, true);
    }

    /// Shows the clips of a lesson from this one on: played, or standing at its first frame. With `holds` each stops at its end.
    pub fn show_clips(&self, items: Vec<Item>, at: usize, (plays, holds): (bool, bool)) {
        self.end_clips();
        let listing = self.listing();
        listing.refused.take();
        if at >= items.len() {
            return;
        }
        listing.lesson.set(true);
        listing.holds.set(holds);
        listing.still.set(!plays);
        listing.list.replace(Some(PlayList::new(items)));
        self.load(at, true);
    }

    /// The clips of the lesson are others, and the frame shown stays: it is of this one.
    pub fn keep_clips(&self, items: Vec<Item>, at: usize) {
        let listing = self.listing();
        let frames = items.get(at).and_then(|item| {
            let events = self.events().borrow();
            let (_, media, _) = events.as_ref().filter(|(_, media, _)| media.path == item.footage)?;
            item.frames(&media.index)
        });
        let Some(frames) = frames else { return self.show_clips(items, at, (false, listing.holds.get())) };
        let holds = listing.holds.get();
        listing.turn.set(listing.turn.get() + 1);
        listing.ready.take();
        listing.lesson.set(true);
        listing.holds.set(holds);
        let mut list = PlayList::new(items);
        list.begin(at);
        listing.list.replace(Some(list));
        listing.first.set(Some(frames.0));
        listing.last.set(Some(frames.1));
        self.make_ready();
    }

    /// Plays the clip from its first frame.
    pub fn replay_clip(&self) {
        let Some(first) = self.listing().first.get() else { return };
        self.run_anew();
        self.with_player(|p| {
            p.seek_frame(first);
            p.play();
        });
        self.take_frame();
        self.tell(Event::Transport);
    }

    /// The clips of the lesson stop at their ends, or follow each other.
    pub fn hold_clips(&self, holds: bool) {
        self.listing().holds.set(holds);
    }

    /// What is played of the list.
    pub fn clip_item(&self) -> Option<Item> {
        let list = self.listing().list.borrow();
        list.as_ref().and_then(|l| l.item(l.at()?).cloned())
    }

    /// Clips that are watched end when somebody steps or jumps; those of a lesson stay.
    pub(super) fn leave_clips(&self) {
        if !self.listing().lesson.get() {
            self.end_clips();
        }
    }

    /// The clip that is played, by its place in the list, and how many there are.
    pub fn clip(&self) -> Option<(usize, usize)> {
        let list = self.listing().list.borrow();
        list.as_ref().and_then(|l| Some((l.at()?, l.len())))
    }

    /// Whether clips are played, or are about to be.
    pub fn plays_clips(&self) -> bool {
        self.listing().list.borrow().is_some()
    }

    /// Plays the next clip of the list (or the one before) from its start.
    pub fn go_to_clip(&self, forward: bool) {
        let to = self
            .listing()
            .list
            .borrow()
            .as_ref()
            .and_then(|l| if forward { l.following() } else { l.before() });
        if let Some(at) = to {
            self.listing().still.set(false);
            self.begin_or_load(at);
        }
    }

    /// Shows the clip at a place of the list, standing at its first frame.
    pub(super) fn go_to_place(&self, at: usize) {
        if self.listing().wanted.get() && !self.is_ready_at(at) {
            // One is on its way; the next look finds whether it is the right one.
            return;
        }
        self.listing().still.set(true);
        self.begin_or_load(at);
    }

    fn begin_or_load(&self, at: usize) {
        if self.is_ready_at(at) { self.begin_clip(at) } else { self.load(at, true) }
    }

    /// No more clips are played; what is on the screen stays.
    pub fn end_clips(&self) {
        let listing = self.listing();
        listing.turn.set(listing.turn.get() + 1);
        listing.wanted.set(false);
        listing.first.set(None);
        listing.last.set(None);
        listing.lesson.set(false);
        listing.holds.set(false);
        listing.still.set(false);
        listing.ready.take();
        self.run_none();
        if listing.list.take().is_some() {
            self.tell(Event::Clip);
        }
    }

    fn is_ready_at(&self, at: usize) -> bool {
        self.listing().ready.borrow().iter().any(|ready| ready.at == at)
    }

    /// Whether the players of the clips that a key can lead to wait at their first frames.
    #[cfg(test)]
    pub fn is_ready(&self) -> bool {
        let ready = self.listing().ready.borrow();
        let wanted = self.neighbours();
        wanted.iter().all(|at| ready.iter().any(|r| r.at == *at && r.player.is_ready()))
    }

    /// The clips that a key can lead to.
    fn neighbours(&self) -> Vec<usize> {
        let list = self.listing().list.borrow();
        let before = list.as_ref().filter(|_| self.listing().lesson.get()).and_then(PlayList::before);
        list.as_ref().and_then(PlayList::following).into_iter().chain(before).collect()
    }

    /// Has a player wait at each clip that a key can lead to, one after another.
    fn make_ready(&self) {
        let wanted = self.neighbours();
        self.listing().ready.borrow_mut().retain(|ready| wanted.contains(&ready.at));
        if let Some(at) = wanted.into_iter().find(|at| !self.is_ready_at(*at)) {
            self.load(at, false);
        }
    }

    /// Reads the footage of a clip, and has a player wait at its first frame; `play` begins it then.
    fn load(&self, at: usize, play: bool) {
        let listing = self.listing();
        listing.turn.set(listing.turn.get() + 1);
        listing.wanted.set(play);
        let Some(item) = listing.list.borrow().as_ref().and_then(|l| l.item(at).cloned()) else { return };
        let (turn, known) = (listing.turn.get(), self.known(&item.footage));
        off_loop(
            move || known.map_or_else(|| probe(&item.footage).map(Arc::new), Ok),
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                move |media| {
                    if m.listing().turn.get() == turn {
                        m.loaded(at, media);
                    }
                }
            ),
        );
    }

    /// Footage that was read already.
    fn known(&self, path: &Path) -> Option<Arc<FootageFile>> {
        let of_record =
            self.session().borrow().as_ref().and_then(|s| s.media.iter().find(|m| m.path == path).cloned());
        of_record.or_else(|| self.listing().known.borrow().iter().find(|m| m.path == path).cloned())
    }

    fn loaded(&self, at: usize, media: Result<Arc<FootageFile>, VideoError>) {
        let media = match media {
            Ok(media) => media,
            Err(why) => return self.skip_clip(at, &why.to_string()),
        };
        {
            let mut known = self.listing().known.borrow_mut();
            known.retain(|m| m.path != media.path);
            known.insert(0, media.clone());
            known.truncate(KNOWN);
        }
        let item = self.listing().list.borrow().as_ref().and_then(|l| l.item(at).cloned());
        let Some(frames) = item.and_then(|i| i.frames(&media.index)) else {
            let name = known_as(&media.path);
            return self.skip_clip(at, &format!("{name} ends before a clip begins; the clip is left out."));
        };
        match Player::open(media.clone()) {
            Ok((player, events)) => {
                player.set_muted(self.muted().get());
                player.set_speed(self.usual_speed());
                player.seek_frame(frames.0);
                self.listing().ready.borrow_mut().push(Ready { at, media, frames, player, events });
                if self.listing().wanted.get() {
                    self.begin_clip(at);
                } else {
                    self.make_ready();
                }
            }
            Err(why) => self.skip_clip(at, &why.to_string()),
        }
    }

    /// The next clip will be played as fast and as loud as this one.
    pub(super) fn tune_next(&self) {
        for ready in &*self.listing().ready.borrow() {
            ready.player.set_speed(self.usual_speed());
            ready.player.set_muted(self.muted().get());
        }
    }

    /// Why the clip of the lesson that is looked at cannot be shown, if so.
    pub fn refused(&self) -> Option<String> {
        self.listing().refused.borrow().clone()
    }

    /// Passes over a clip that cannot be played; but who looks at it stays with it.
    fn skip_clip(&self, at: usize, why: &str) {
        let listing = self.listing();
        if listing.lesson.get() && listing.still.get() && listing.wanted.get() {
            listing.refused.replace(Some(why.to_owned()));
            return self.end_clips();
        }
        let next = {
            let mut list = self.listing().list.borrow_mut();
            let Some(list) = list.as_mut() else { return };
            list.skip(at);
            list.following()
        };
        self.say_too(why);
        match next {
            Some(next) => self.load(next, self.listing().wanted.get()),
            None if self.listing().wanted.get() => self.end_of_clips(),
            None => {}
        }
    }

    /// The player that waits plays now, and the one of the clip after it is made ready.
    fn begin_clip(&self, at: usize) {
        let listing = self.listing();
        let place = listing.ready.borrow().iter().position(|ready| ready.at == at);
        let Some(place) = place else { return };
        let Ready { media, frames, player, events, .. } = listing.ready.borrow_mut().remove(place);
        listing.turn.set(listing.turn.get() + 1);
        listing.wanted.set(false);
        listing.first.set(Some(frames.0));
        listing.last.set(Some(frames.1));
        if let Some(list) = self.listing().list.borrow_mut().as_mut() {
            list.begin(at);
        }
        self.put_player(media, player, events);
        // Its first frame is shown before it plays: of played frames only the newest waits.
        self.take_frame();
        if listing.lesson.get() {
            self.run_at(at);
        }
        if !listing.still.take() {
            self.with_player(Player::play);
        }
        self.tell(Event::Clip);
        self.make_ready();
    }

    /// The clip that is played is over: goes on with the next one, at once if its player is ready. Says whether there is one.
    pub(super) fn clip_over(&self) -> bool {
        if self.listing().lesson.get() && self.comes_again() {
            return true;
        }
        let next = self.listing().list.borrow().as_ref().and_then(PlayList::following);
        match next {
            Some(at) if self.is_ready_at(at) => self.begin_clip(at),
            Some(at) => {
                self.with_player(Player::pause);
                self.load(at, true);
            }
            None => self.end_of_clips(),
        }
        next.is_some()
    }

    /// At the end of a clip of a lesson: it is shown once more, or stands at its last frame.
    fn comes_again(&self) -> bool {
        let (first, last) = (self.listing().first.get(), self.listing().last.get());
        if self.has_another_round() {
            self.with_player(|p| p.seek_frame(first.unwrap_or(0)));
            return true;
        }
        let holds = self.listing().holds.get();
        if holds {
            self.with_player(|p| {
                p.pause();
                p.seek_frame(last.unwrap_or(0));
            });
            self.tell(Event::Transport);
        }
        holds
    }

    fn end_of_clips(&self) {
        let (begun, all) =
            self.listing().list.borrow().as_ref().map_or((None, false), |l| (l.at(), l.skipped() == l.len()));
        if begun.is_some() {
            self.with_player(Player::pause);
        }
        self.end_clips();
        if all {
            self.say_too("None of these clips can be played.");
        }
        self.tell(Event::Transport);
    }

    /// A frame of the clip that is played: says whether the clip is over and another one begins instead.
    pub(super) fn ends_clip(&self, media: &FootageFile, frame: usize) -> bool {
        let Some(last) = self.listing().last.get().filter(|_| self.is_playing()) else { return false };
        if frame == last {
            self.end_clip_after(media, last);
        }
        frame > last && self.clip_over()
    }

    /// The last frame of a clip is on the screen: the next clip begins when its time is over, which no other frame tells at the
    /// end of a file.
    fn end_clip_after(&self, media: &FootageFile, last: usize) {
        let at = self.clip().map(|(at, _)| at);
        let end = self.listing().list.borrow().as_ref().and_then(|l| Some(l.item(at?)?.span.end()));
        let lasts = end.map_or(Duration::ZERO, |end| last_frame_lasts(&media.index, last, end, self.speed()));
        let turn = self.players().get();
        glib::timeout_add_local_once(
            lasts,
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                move || {
                    let here = m.player().borrow().as_ref().map(Player::here) == Some(last);
                    if m.players().get() == turn && here && m.is_playing() && m.listing().last.get().is_some()
                    {
                        m.clip_over();
                    }
                }
            ),
        );
    }

    /// Plays the points that the filter keeps.
    pub fn play_matching(&self) {
        let kept = self.session().borrow().as_ref().map(Session::kept);
        self.play_points(kept.unwrap_or_default());
    }

    /// Plays points of the open record, as the clips that `changeover clips` would list.
    pub fn play_points(&self, points: Vec<usize>) {
        let (items, left_out) = {
            let session = self.session().borrow();
            let Some(s) = session.as_ref() else { return };
            let points: Vec<_> = points.into_iter().map(|point| PointRef { record: 0, point }).collect();
            let ClipList { clips, unreachable } = cuts::clips(&[&*s.view.record], &points, Lead::default());
            let items: Vec<Item> = clips.iter().filter_map(|c| s.item_of(c.span)).collect();
            (items, unreachable.len())
        };
        if items.is_empty() {
            return self
                .say("None of these points can be played: each needs a start, an end and its footage.");
        }
        if left_out > 0 {
            let n = Counted(left_out, Noun::Point);
            self.say(&format!("{n} {} left out: no start, no end, or no footage.", n.is()));
        }
        self.play_clips(items);
    }
}
