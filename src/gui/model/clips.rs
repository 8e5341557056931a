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
        match to {
            Some(at) if self.is_ready_at(at) => self.begin_clip(),
            Some(at) => self.load(at, true),
            None => {}
        }
    }

    /// No more clips are played; what is on the screen stays.
    pub fn end_clips(&self) {
        let listing = self.listing();
        listing.turn.set(listing.turn.get() + 1);
        listing.wanted.set(false);
        listing.last.set(None);
        drop(listing.next.take());
        if listing.list.take().is_some() {
            self.tell(Event::Clip);
        }
    }

    fn is_ready_at(&self, at: usize) -> bool {
        self.listing().next.borrow().as_ref().is_some_and(|ready| ready.at == at)
    }

    /// Reads the footage of a clip, and has a player wait at its first frame; `play` begins it then.
    fn load(&self, at: usize, play: bool) {
        let listing = self.listing();
        listing.turn.set(listing.turn.get() + 1);
        listing.wanted.set(play);
        drop(listing.next.take());
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
            let name = media.path.display();
            return self.skip_clip(at, &format!("{name} ends before a clip begins; the clip is left out."));
        };
        match Player::open(media.clone()) {
            Ok((player, events)) => {
                player.set_muted(self.muted().get());
                player.set_speed(self.speed());
                player.seek_frame(frames.0);
                self.listing().next.replace(Some(Ready { at, media, frames, player, events }));
                if self.listing().wanted.get() {
                    self.begin_clip();
                }
            }
            Err(why) => self.skip_clip(at, &why.to_string()),
        }
    }

    /// The next clip will be played as fast and as loud as this one.
    pub(super) fn tune_next(&self) {
        if let Some(ready) = &*self.listing().next.borrow() {
            ready.player.set_speed(self.speed());
            ready.player.set_muted(self.muted().get());
        }
    }

    /// Passes over a clip that cannot be played.
    fn skip_clip(&self, at: usize, why: &str) {
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
    fn begin_clip(&self) {
        let Some(Ready { at, media, frames, player, events }) = self.listing().next.take() else { return };
        self.listing().wanted.set(false);
        self.listing().last.set(Some(frames.1));
        if let Some(list) = self.listing().list.borrow_mut().as_mut() {
            list.begin(at);
        }
        self.put_player(media, player, events);
        // Its first frame is shown before it plays: of played frames only the newest waits.
        self.take_frame();
        self.with_player(Player::play);
        self.tell(Event::Clip);
        let next = self.listing().list.borrow().as_ref().and_then(PlayList::following);
        if let Some(next) = next {
            self.load(next, false);
        }
    }

    /// The clip that is played is over: goes on with the next one, at once if its player is ready. Says whether there is one.
    pub(super) fn clip_over(&self) -> bool {
        let next = self.listing().list.borrow().as_ref().and_then(PlayList::following);
        match next {
            Some(at) if self.is_ready_at(at) => self.begin_clip(),
            Some(_) => {
                self.with_player(Player::pause);
                self.listing().wanted.set(true);
            }
            None => self.end_of_clips(),
        }
        next.is_some()
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
