//! Small pictures in lists of points and clips: made in the background, kept on disk and in memory (`session/pictured.rs` says how many).
//!
//! A row asks with [`show`]. One thread reads the pictures that are on disk. Another decodes those that are not, one after another,
//! those in sight first; while footage plays, while a frame is looked for, and for a moment after each key it waits.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::HashMap;
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use gtk::prelude::*;
use gtk::{gdk, glib, graphene};

use crate::gui::kit::pictures::{small, write};
use crate::record::footage::fingerprint;
use crate::session::folders::keep_newest;
use crate::session::pictured::{Latest, MOST_ON_DISK, Moment};
use crate::session::traces::{small_picture_of, small_pictures};
use crate::video::{Stills, is_idle};

/// Size in a list.
const WIDE: i32 = 64;
const HIGH: i32 = 36;

/// The most pixels of a picture that is kept: sharp on screens with half as many pixels again.
const KEPT: (usize, usize) = (96, 54);

/// How long a decoder waits for the next picture before it goes, and its memory with it.
const LINGER: Duration = Duration::from_secs(3);

/// How often it is asked whether it may work.
const NAP: Duration = Duration::from_millis(50);

/// How many pictures are made before the oldest ones are deleted.
const BATCH: usize = 50;

thread_local! {
    static DESK: Desk = Desk::default();
}

/// How far the picture of a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// It may be on disk.
    ToRead,
    /// It must be decoded.
    ToMake,
    /// It is shown, or there is none.
    Done,
}

/// A picture in a row.
struct Row {
    picture: glib::WeakRef<gtk::Picture>,
    moment: Moment,
    stage: Stage,
}

/// A thread, and what it was asked for.
#[derive(Default)]
struct Worker {
    asked: OnceCell<Sender<Moment>>,
    now: RefCell<Option<Moment>>,
}

/// All rows, on the main loop.
#[derive(Default)]
struct Desk {
    on: Cell<bool>,
    all: RefCell<Vec<glib::WeakRef<gtk::Picture>>>,
    rows: RefCell<Vec<Row>>,
    latest: RefCell<Latest<Option<gdk::Paintable>>>,
    reader: Worker,
    maker: Worker,
}

/// A picture in a place of its own size: alone it would be as wide as its row is high.
pub fn held(picture: &gtk::Picture, (wide, high): (i32, i32)) -> gtk::Overlay {
    let place = gtk::Box::builder().width_request(wide).height_request(high).build();
    let held = gtk::Overlay::builder().child(&place).valign(gtk::Align::Center).can_target(false).build();
    held.add_overlay(picture);
    picture.bind_property("visible", &held, "visible").sync_create().build();
    held
}

/// The picture in the first place of a row, if there is one.
pub fn picture_in(row: &impl IsA<gtk::Widget>) -> Option<gtk::Picture> {
    row.first_child()?.last_child().and_downcast()
}

/// An empty picture for a row, before its words.
fn small_picture() -> gtk::Picture {
    let picture =
        gtk::Picture::builder().accessible_role(gtk::AccessibleRole::Presentation).visible(false).build();
    picture.add_css_class("small-picture");
    picture.connect_map(|_| DESK.with(Desk::go_on));
    DESK.with(|desk| {
        let mut all = desk.all.borrow_mut();
        all.retain(|p| p.upgrade().is_some());
        all.push(picture.downgrade());
    });
    picture
}

/// A row of a small picture and these words.
pub fn with_picture(words: &gtk::Box) -> gtk::Box {
    let row = gtk::Box::new(gtk::Orientation::Horizontal, 8);
    words.set_hexpand(true);
    words.set_valign(gtk::Align::Center);
    row.append(&held(&small_picture(), (WIDE, HIGH)));
    row.append(words);
    row
}

/// Shows a moment in the picture of such a row; none if there is no footage.
pub fn show(row: &gtk::Widget, moment: Option<Moment>) {
    if let Some(picture) = picture_in(row) {
        DESK.with(|desk| desk.show(&picture, moment));
    }
}

/// Whether lists have pictures; at first they have none.
pub fn switch(on: bool) {
    DESK.with(|desk| desk.switch(on));
}

impl Desk {
    fn show(&self, picture: &gtk::Picture, moment: Option<Moment>) {
        let gone = |row: &Row| row.picture.upgrade().is_none_or(|p| p == *picture);
        self.rows.borrow_mut().retain(|row| !gone(row));
        let kept = moment.as_ref().and_then(|m| self.latest.borrow_mut().get(m));
        picture.set_paintable(kept.as_ref().and_then(Option::as_ref));
        picture.set_visible(self.on.get() && moment.is_some());
        let Some(moment) = moment else { return };
        let stage = if kept.is_some() { Stage::Done } else { Stage::ToRead };
        self.rows.borrow_mut().push(Row { picture: picture.downgrade(), moment, stage });
        self.go_on();
    }

    fn switch(&self, on: bool) {
        self.on.set(on);
        let rows = self.rows.borrow();
        let shows = |p: &gtk::Picture| rows.iter().any(|r| r.picture.upgrade().as_ref() == Some(p));
        let all: Vec<_> = self.all.borrow().iter().filter_map(glib::WeakRef::upgrade).collect();
        let all: Vec<_> = all.into_iter().map(|p| (shows(&p), p)).collect();
        drop(rows);
        for (shows, picture) in &all {
            picture.set_visible(on && *shows);
        }
        self.go_on();
    }

    /// Asks for the next picture that somebody can see.
    fn go_on(&self) {
        if self.on.get() {
            self.ask(&self.reader, Stage::ToRead, read);
            self.ask(&self.maker, Stage::ToMake, make);
        }
    }

    fn ask(&self, worker: &Worker, stage: Stage, work: fn(&Receiver<Moment>, &Answer)) {
        if worker.now.borrow().is_some() {
            return;
        }
        let Some(moment) = self.next(stage) else { return };
        let asked = worker.asked.get_or_init(|| start(stage, work));
        worker.now.replace(Some(moment.clone()));
        // The thread lives as long as the program.
        let _ = asked.send(moment);
    }

    /// What is wanted at this stage: first what is in sight, then what a little scrolling shows.
    fn next(&self, stage: Stage) -> Option<Moment> {
        let rows = self.rows.borrow();
        let mapped = |row: &&Row| row.picture.upgrade().is_some_and(|p| p.is_mapped());
        let wanted: Vec<&Row> = rows.iter().filter(|r| r.stage == stage).filter(mapped).collect();
        let seen = wanted.iter().find(|row| row.picture.upgrade().is_some_and(|p| is_in_sight(&p)));
        seen.or_else(|| wanted.first()).map(|row| row.moment.clone())
    }

    fn answered(&self, stage: Stage, moment: &Moment, found: Option<&gdk::Texture>) {
        let worker = if stage == Stage::ToRead { &self.reader } else { &self.maker };
        worker.now.replace(None);
        let shown = found.map(paintable);
        let is_done = found.is_some() || stage == Stage::ToMake;
        if is_done {
            self.latest.borrow_mut().keep(moment.clone(), shown.clone());
        }
        let mut pictures = Vec::new();
        for row in self.rows.borrow_mut().iter_mut().filter(|row| row.moment == *moment) {
            row.stage = if is_done { Stage::Done } else { Stage::ToMake };
            pictures.extend(row.picture.upgrade().filter(|_| is_done));
        }
        for picture in &pictures {
            picture.set_paintable(shown.as_ref());
        }
        self.go_on();
    }
}

/// Whether it lies within the part of its list that is seen.
fn is_in_sight(picture: &gtk::Picture) -> bool {
    let Some(list) = picture.ancestor(gtk::ScrolledWindow::static_type()) else { return true };
    let seen = graphene::Rect::new(0.0, 0.0, list.width() as f32, list.height() as f32);
    picture.compute_bounds(&list).is_some_and(|at| at.intersection(&seen).is_some())
}

/// The picture in the middle of the place that it has in a list.
fn paintable(texture: &gdk::Texture) -> gdk::Paintable {
    let (wide, high) = (texture.width() as f32, texture.height() as f32);
    let scale = (WIDE as f32 / wide).min(HIGH as f32 / high);
    let (w, h) = (wide * scale, high * scale);
    let snapshot = gtk::Snapshot::new();
    let at = graphene::Rect::new((WIDE as f32 - w) / 2.0, (HIGH as f32 - h) / 2.0, w, h);
    snapshot.append_texture(texture, &at);
    let place = graphene::Size::new(WIDE as f32, HIGH as f32);
    snapshot.to_paintable(Some(&place)).unwrap_or_else(|| texture.clone().upcast())
}

/// Where a thread tells what it found.
type Answer = async_channel::Sender<(Moment, Option<gdk::Texture>)>;

fn start(stage: Stage, work: fn(&Receiver<Moment>, &Answer)) -> Sender<Moment> {
    let (asked, to_do) = channel();
    let (answer, heard) = async_channel::unbounded();
    std::thread::spawn(move || work(&to_do, &answer));
    glib::spawn_future_local(async move {
        while let Ok((moment, found)) = heard.recv().await {
            DESK.with(|desk| desk.answered(stage, &moment, found.as_ref()));
        }
    });
    asked
}

/// Where pictures are on disk: the fingerprint of each file is read once.
#[derive(Default)]
struct Places(HashMap<PathBuf, Option<String>>);

impl Places {
    fn of(&mut self, moment: &Moment) -> Option<PathBuf> {
        let print = self.0.entry(moment.footage.clone()).or_insert_with_key(|path| fingerprint(path).ok());
        print.as_deref().map(|print| small_picture_of(print, moment.at))
    }
}

/// Reads the pictures that are on disk.
fn read(to_do: &Receiver<Moment>, answer: &Answer) {
    let mut places = Places::default();
    while let Ok(moment) = to_do.recv() {
        let file = places.of(&moment).filter(|file| file.is_file());
        let found = file.and_then(|file| gdk::Texture::from_filename(file).ok());
        if answer.send_blocking((moment, found)).is_err() {
            return;
        }
    }
}

/// Makes those that are not.
fn make(to_do: &Receiver<Moment>, answer: &Answer) {
    let (mut places, mut open, mut made) = (Places::default(), None, 0_usize);
    loop {
        let moment = match to_do.recv_timeout(LINGER) {
            Ok(moment) => moment,
            Err(RecvTimeoutError::Timeout) => {
                open = None;
                continue;
            }
            Err(RecvTimeoutError::Disconnected) => return,
        };
        let found = places.of(&moment).and_then(|file| {
            let picture = decoded(&moment, &mut open)?;
            // It is seen also where it cannot be kept.
            let _ = write(&picture, &file);
            Some(picture.upcast())
        });
        if made.is_multiple_of(BATCH) {
            keep_newest(&small_pictures(), MOST_ON_DISK - BATCH);
        }
        made += 1;
        if answer.send_blocking((moment, found)).is_err() {
            return;
        }
    }
}

/// The picture of a moment, by a decoder that stays open for the next one. What cannot be played has none.
fn decoded(moment: &Moment, open: &mut Option<Stills>) -> Option<gdk::MemoryTexture> {
    wait_until_idle();
    if open.as_ref().is_none_or(|stills| stills.path() != moment.footage) {
        // The one before goes first: two decoders take twice the memory.
        drop(open.take());
        let mut wait = |_| {
            wait_until_idle();
            ControlFlow::Continue(())
        };
        *open = Stills::open(&moment.footage, &mut wait).ok();
    }
    let frame = open.as_mut()?.frame(moment.at).ok()??;
    Some(small(&frame, KEPT))
}

fn wait_until_idle() {
    while !is_idle() {
        std::thread::sleep(NAP);
    }
}

#[cfg(test)]
#[path = "small_pictures_tests.rs"]
pub(in crate::gui) mod tests;
