//! Opening footage or a record, and what the window says when it cannot.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gio, glib};

use super::recent;
use super::session::Session;
use super::window::Window;
use crate::record::footage::{fingerprint, footage_path, name_text, relink};
use crate::record::store::{Store, sidecar_for};
use crate::record::{Footage, Record};
use crate::time::MatchTime;
use crate::video::{Media, Player, PlayerEvent, probe_watched};

/// What a thread that opens a file tells.
enum News {
    /// So much of the footage has been read, from 0 to 1.
    Read(f64),
    /// What there is.
    Found(Found),
}

/// Is told how much of the footage has been read; a break stops the reading.
type Watch<'a> = &'a mut dyn FnMut(f64) -> ControlFlow<()>;

/// What a thread found out about a file to open.
enum Found {
    /// A record, its footage (or why that cannot be shown).
    Ready { store: Box<Store>, media: Result<Arc<Media>, String> },
    /// Neither.
    Nothing(String),
}

impl Window {
    /// Opens footage (with the record beside it, or a new one) or a record (with its footage).
    pub fn open(&self, path: &Path) {
        let imp = self.imp();
        self.close_session();
        imp.opened.set(imp.opened.get() + 1);
        let turn = imp.opened.get();
        imp.subtitle.set_label("opening…");
        let path = path.to_owned();
        let remembered = path.clone();
        let (tx, rx) = async_channel::unbounded();
        std::thread::spawn(move || {
            // Nobody listens any more when another file is opened: then the reading stops.
            let found = look(&path, &mut |part| match tx.try_send(News::Read(part)) {
                Ok(()) => ControlFlow::Continue(()),
                Err(_) => ControlFlow::Break(()),
            });
            let _ = tx.send_blocking(News::Found(found));
        });
        let window = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(news) = rx.recv().await {
                let Some(w) = window.upgrade().filter(|w| w.imp().opened.get() == turn) else { return };
                match news {
                    News::Read(part) => {
                        w.imp().subtitle.set_label(&format!("opening… {:.0} %", part * 100.0));
                    }
                    News::Found(Found::Ready { store, media }) => {
                        recent::remember(&remembered);
                        w.begin(*store, media);
                    }
                    News::Found(Found::Nothing(message)) => {
                        w.show_empty();
                        w.say(&message);
                    }
                }
            }
        });
    }

    fn begin(&self, store: Store, media: Result<Arc<Media>, String>) {
        let imp = self.imp();
        let mut notices: Vec<String> = store.notices().to_vec();
        notices.extend(store.read_only().map(|why| format!("This record is read-only: {why}")));
        let (media, trouble) = match media {
            Ok(media) => (Some(media), None),
            Err(why) => (None, Some(why)),
        };
        notices.extend(trouble);
        notices.extend(media.iter().flat_map(|m| m.warnings.iter().cloned()));
        imp.session.replace(Some(Session::new(store, media.clone())));
        imp.rooms.set_visible_child_name("log");
        imp.details_button.set_visible(true);
        if let Some(media) = media {
            self.start_player(media);
        }
        self.show_filters();
        self.show_record();
        imp.picture.grab_focus();
        if notices.is_empty() {
            imp.message_revealer.set_reveal_child(false);
        } else {
            self.say(&notices.join("\n"));
        }
    }

    fn start_player(&self, media: Arc<Media>) {
        let events = match Player::open(media) {
            Ok((player, events)) => {
                player.set_muted(self.imp().muted.get());
                self.imp().player.replace(Some(player));
                events
            }
            Err(e) => return self.say(&e.to_string()),
        };
        let turn = self.imp().opened.get();
        let window = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(event) = events.recv().await {
                let Some(w) = window.upgrade().filter(|w| w.imp().opened.get() == turn) else { return };
                w.on_event(event);
            }
        });
        if let Some(at) = self.resume_at() {
            self.go_to(at);
        }
    }

    /// Where to take up the work: the end of the last point, or its start.
    fn resume_at(&self) -> Option<MatchTime> {
        let session = self.imp().session.borrow();
        let session = session.as_ref()?;
        let point = session.store.record().points.get(session.logger.current()?)?;
        point.end.or(point.start)
    }

    fn on_event(&self, event: PlayerEvent) {
        match event {
            PlayerEvent::Frame(frame) => self.on_frame(frame),
            PlayerEvent::Playing | PlayerEvent::Paused | PlayerEvent::SpeedChanged(_) => {
                self.show_transport();
            }
            PlayerEvent::Ended => {
                self.on_ended();
                self.show_transport();
            }
            PlayerEvent::Warning(text) => self.say(&text),
            PlayerEvent::Error(e) => self.say(&e.to_string()),
        }
    }

    /// Saves and lets go of what is open.
    pub fn close_session(&self) {
        let imp = self.imp();
        drop(imp.player.take());
        if let Some(mut session) = imp.session.take()
            && session.store.unsaved() > 0
            && let Err(e) = session.store.save()
        {
            self.say(&e.to_string());
        }
        imp.paintable.clear();
    }

    /// The window is to close: saves first. What cannot be saved stays in the journal, so leaving loses nothing.
    pub fn leave(&self) -> glib::Propagation {
        self.close_session();
        glib::Propagation::Proceed
    }

    /// The first room, without a file.
    pub fn show_empty(&self) {
        let imp = self.imp();
        imp.rooms.set_visible_child_name("empty");
        imp.details_button.set_visible(false);
        imp.title.set_label("Changeover");
        imp.subtitle.set_label("");
        imp.saved.set_label("");
        let cap = self.card().map(|c| c.cap(crate::logging::Action::Open)).unwrap_or_default();
        imp.empty_hint.set_label(&format!(
            "Drop a video here, or press {cap}. What you log is kept beside it as NAME.points.json. Nothing leaves \
             this computer. Ask the players, and the parents of minors, before you film."
        ));
        self.show_recent();
    }

    fn show_recent(&self) {
        let imp = self.imp();
        while let Some(row) = imp.recent.first_child() {
            imp.recent.remove(&row);
        }
        let files = recent::recent();
        imp.recent.set_visible(!files.is_empty());
        imp.recent_title.set_visible(!files.is_empty());
        for path in files {
            imp.recent.append(&self.recent_row(path));
        }
    }

    fn recent_row(&self, path: PathBuf) -> gtk::Button {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let label = gtk::Label::builder()
            .label(&name)
            .ellipsize(gtk::pango::EllipsizeMode::Middle)
            .xalign(0.0)
            .build();
        let button = gtk::Button::builder().child(&label).tooltip_text(path.to_string_lossy()).build();
        button.add_css_class("flat");
        let window = self.downgrade();
        button.connect_clicked(move |_| {
            if let Some(w) = window.upgrade() {
                w.open(&path);
            }
        });
        button
    }

    /// Asks for a file.
    pub fn ask_for_file(&self) {
        let chooser = gtk::FileChooserNative::new(
            Some("Open footage or a record"),
            Some(self),
            gtk::FileChooserAction::Open,
            Some("Open"),
            Some("Cancel"),
        );
        let window = self.downgrade();
        // The chooser must live until it is answered: the closure keeps it.
        let keep = std::cell::RefCell::new(Some(chooser.clone()));
        chooser.connect_response(move |c, response| {
            keep.take();
            let path = c.file().as_ref().and_then(gio::prelude::FileExt::path);
            if let (gtk::ResponseType::Accept, Some(w), Some(path)) = (response, window.upgrade(), path) {
                w.open(&path);
            }
        });
        chooser.show();
    }
}

/// Looks at a file, on a thread: finds its record and its footage.
fn look(path: &Path, watch: Watch<'_>) -> Found {
    let is_record = path.to_string_lossy().ends_with(".points.json");
    let found = if is_record { look_at_record(path, watch) } else { look_at_footage(path, watch) };
    found.unwrap_or_else(Found::Nothing)
}

fn look_at_record(path: &Path, watch: Watch<'_>) -> Result<Found, String> {
    let mut store = Store::open(path).map_err(|e| e.to_string())?;
    relink(&mut store);
    let media = match store.record().footage.first() {
        None => Err("This record has no footage: its points can be read, but not watched.".into()),
        Some(footage) => footage_path(path, footage)
            .map_err(|e| e.to_string())
            .and_then(|file| probe_watched(&file, watch).map(Arc::new).map_err(|e| e.to_string())),
    };
    Ok(Found::Ready { store: Box::new(store), media })
}

fn look_at_footage(path: &Path, watch: Watch<'_>) -> Result<Found, String> {
    let media = Arc::new(probe_watched(path, watch).map_err(|e| e.to_string())?);
    let sidecar = sidecar_for(path);
    let store = if sidecar.exists() {
        Store::open(&sidecar)
    } else {
        let footage = Footage {
            file: name_text(path.file_name().unwrap_or_default().as_ref()),
            fingerprint: fingerprint(path).ok(),
            duration: media.duration,
            rate: media.rate,
            rotation: media.rotation,
            start: MatchTime::ZERO,
        };
        Store::create(&sidecar, Record { footage: vec![footage], ..Record::default() })
    };
    let store = store.map_err(|e| e.to_string())?;
    Ok(Found::Ready { store: Box::new(store), media: Ok(media) })
}
