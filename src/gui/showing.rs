//! Showing the record: the score board, the point in words, the list, the ribbon, the clock.

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gio, glib};

use super::window::{Window, capital};
use crate::facts::{PointFacts, words_of};
use crate::logging::Action;
use crate::record::{MatchInfo, Record};
use crate::session::filter::Filter;
use crate::session::parts::Place;
use crate::session::state::Session;
use crate::tennis::{End, Side};
use crate::time::MatchTime;

/// A row of the list of points.
#[derive(Debug, Clone)]
pub struct Row {
    pub point: usize,
    pub score: String,
    pub text: String,
    pub when: String,
    pub winner: Option<Side>,
    /// What speaks against the score here.
    pub doubts: Vec<String>,
}

impl Window {
    /// Shows everything that follows from the record.
    pub fn show_record(&self) {
        {
            let session = self.model().session().borrow();
            let Some(s) = session.as_ref() else { return };
            self.show_title(&s.view.record.about);
            self.show_board(s);
            self.show_words(s);
            self.show_list(s);
            self.show_ribbon(s);
            self.show_court(s);
            self.show_attaching(s);
        }
        self.show_pad();
        self.imp().study.refresh();
        self.show_saved();
    }

    fn show_title(&self, about: &MatchInfo) {
        let imp = self.imp();
        imp.title.set_label(&format!("{} – {}", about.side_name(Side::A), about.side_name(Side::B)));
        let parts = [
            about.venue.clone(),
            about.date.map(|d| d.to_string()).unwrap_or_default(),
            about.surface.clone(),
        ];
        let parts: Vec<String> = parts.into_iter().filter(|p| !p.is_empty()).collect();
        imp.subtitle.set_label(&parts.join(" · "));
    }

    /// Says whether the sidecar holds all edits; the journal holds them in any case.
    pub fn show_saved(&self) {
        let text = match self.model().session().borrow().as_ref() {
            Some(s) if s.view.read_only.is_some() => "read-only".into(),
            Some(s) if s.waits() => "writing…".into(),
            Some(s) if s.view.trouble.is_some() => "not on disk".into(),
            Some(s) if s.view.unsaved > 0 => format!("{} in the journal", s.view.unsaved),
            Some(_) => "saved".into(),
            None => String::new(),
        };
        self.imp().saved.set_label(&text);
    }

    fn show_board(&self, s: &Session) {
        let board = &self.imp().board;
        while let Some(child) = board.first_child() {
            board.remove(&child);
        }
        let state = s.score();
        let about = &s.view.record.about;
        let over = s.won();
        for side in [Side::A, Side::B] {
            let row = side.index() as i32;
            let (shape, class) = if side == Side::A { ("●", "side-a") } else { ("□", "side-b") };
            board.attach(&label(shape, &[class]), 0, row, 1, 1);
            let named = about.side_name(side);
            let name = label(&named, &["heading"]);
            name.set_ellipsize(gtk::pango::EllipsizeMode::End);
            name.set_xalign(0.0);
            name.set_hexpand(true);
            // A long name is cut before it takes room from the picture.
            name.set_max_width_chars(14);
            name.set_tooltip_text(Some(&named));
            board.attach(&name, 1, row, 1, 1);
            let end = if side == Side::A { state.a_end } else { state.a_end.map(End::other) };
            let serves = (side == state.server).then_some("serves");
            let place = end.map(|e| if e == End::Near { "near" } else { "far" });
            let serves = match over {
                Some(winner) if winner == side => "won the match".into(),
                Some(_) => String::new(),
                None => serves.into_iter().chain(place).collect::<Vec<_>>().join(", "),
            };
            let serves = label(&serves, &["quiet"]);
            serves.set_xalign(1.0);
            board.attach(&serves, 2, row, 1, 1);
            let mut column = 3;
            for set in &state.sets {
                board.attach(&label(&set.games[side.index()].to_string(), &["quiet"]), column, row, 1, 1);
                column += 1;
            }
            if over.is_some() && state.games == [0, 0] {
                continue;
            }
            board.attach(&label(&state.games[side.index()].to_string(), &["score"]), column, row, 1, 1);
            let points = label(&state.called.of(side), &["score"]);
            points.set_width_chars(3);
            points.set_xalign(1.0);
            board.attach(&points, column + 1, row, 1, 1);
        }
    }

    fn show_words(&self, s: &Session) {
        let record = &*s.view.record;
        let text = match s.current().and_then(|i| s.facts().get(i)) {
            None => {
                let cap = self.card().map(|c| c.cap(Action::PointStart)).unwrap_or_default();
                let play = if s.courtside() { "Press" } else { "Play, and press" };
                let pad = self.card().is_some_and(|c| !c.cap(Action::PadMiddle).is_empty());
                if pad {
                    format!(
                        "No points yet. {play} the pad’s key where the first serve lands; {cap} as it is struck, if the exact start matters."
                    )
                } else {
                    format!("No points yet. {play} {cap} as the first serve is struck.")
                }
            }
            Some(f) => {
                let point = &record.points[f.number];
                let open = if point.start.is_some() && point.end.is_none() { " · being played" } else { "" };
                let note =
                    if point.note.is_empty() { String::new() } else { format!(" · “{}”", point.note) };
                format!("Point {} of {}{open}: {}{note}", f.number + 1, s.facts().len(), words_of(record, f))
            }
        };
        self.imp().words.set_label(&text);
        self.imp().words.set_tooltip_text(Some(&text));
        let doubts = s.current().map(|c| s.doubts(c)).unwrap_or_default();
        let doubts: Vec<String> = doubts.iter().map(|d| format!("{DOUBT} {}", capital(d))).collect();
        self.imp().doubt.set_label(&doubts.join("\n"));
        self.imp().doubt.set_tooltip_text(Some(&doubts.join("\n")));
        self.imp().doubt.set_visible(!doubts.is_empty());
    }

    /// The keys that a coach needs while logging, from the card.
    pub fn show_hints(&self, courtside: bool) {
        let Some(card) = self.card() else { return };
        let hint = |action: Action, word: &str| {
            let cap = glib::markup_escape_text(&card.cap(action));
            unbroken(&format!("<b>{cap}</b> {word}"))
        };
        let play = (!courtside).then(|| hint(Action::PlayPause, "play"));
        let mut parts: Vec<String> = play.into_iter().collect();
        parts.extend([
            hint(Action::PointStart, "start"),
            hint(Action::Undo, "undo"),
            hint(Action::BallBack, "ball before"),
            hint(Action::Note, "note"),
        ]);
        parts.extend(card.tags().map(|(k, t)| {
            unbroken(&format!(
                "<b>{}</b> {}",
                glib::markup_escape_text(&card.cap_of(k)),
                glib::markup_escape_text(t)
            ))
        }));
        self.imp().hints.set_markup(&parts.join("  "));
        self.imp().hints.set_tooltip_text(Some("Help has them all"));
    }

    fn show_list(&self, s: &Session) {
        let kept = s.kept();
        self.imp().count.set_label(&s.count());
        self.imp().play_all.set_sensitive(!kept.is_empty());
        let record = &*s.view.record;
        let rows = kept.iter().filter_map(|i| s.facts().get(*i));
        let rows = rows.map(|f| row_of(record, f, s.doubts(f.number)));
        let items: Vec<glib::BoxedAnyObject> = rows.map(glib::BoxedAnyObject::new).collect();
        let Some(model) = self.imp().points.model().and_downcast::<gtk::SingleSelection>() else { return };
        let Some(store) = model.model().and_downcast::<gio::ListStore>() else { return };
        self.imp().filling.set(true);
        store.splice(0, store.n_items(), &items);
        let place = kept.iter().position(|i| Some(*i) == s.current());
        model.set_selected(place.map_or(gtk::INVALID_LIST_POSITION, |p| p as u32));
        self.imp().filling.set(false);
        if let Some(p) = place {
            let list = self.imp().points.downgrade();
            // Rows have their place only after the list was laid out.
            glib::idle_add_local_once(move || {
                if let Some(list) = list.upgrade() {
                    let _ = list.activate_action("list.scroll-to-item", Some(&(p as u32).to_variant()));
                }
            });
        }
    }

    /// Shows the moment of the frame on the screen: the match clock, and which frame of which file that is.
    pub fn show_moment(&self, at: MatchTime, place: Place) {
        // Milliseconds are enough to read; the stamp itself is exact.
        self.imp().clock.set_label(&format!("{}.{:03}", at.short(), at.nanos() / 1_000_000 % 1000));
        let session = self.model().session().borrow();
        let Some(s) = session.as_ref() else { return };
        let Some(media) = s.media.get(place.part) else { return };
        let rate = media.rate.map_or_else(|| "variable rate".into(), |r| format!("{r} a second"));
        let mut parts = vec![format!("frame {} of {}", place.frame + 1, media.index.len()), rate];
        if s.parts.len() > 1 {
            parts.insert(0, format!("file {} of {}", place.part + 1, s.parts.len()));
            parts.extend(s.parts.border(place.part));
        }
        let text = parts.join(" · ");
        self.imp().frame_label.set_label(&text);
        self.imp().frame_label.set_tooltip_text(Some(&text));
    }

    /// Shows whether it plays, how fast, and what is on.
    pub fn show_transport(&self) {
        let imp = self.imp();
        let (playing, speed) =
            imp.player.borrow().as_ref().map_or((false, 1.0), |p| (p.is_playing(), p.speed()));
        imp.play_button.set_label(if playing { "Pause" } else { "Play" });
        let looping = self.model().session().borrow().as_ref().is_some_and(|s| s.looping);
        let mut parts = vec![format!("{speed} ×")];
        parts.extend(self.model().muted().get().then(|| "sound off".to_owned()));
        parts.extend(looping.then(|| "repeats the point".to_owned()));
        imp.speed_label.set_label(&parts.join(" · "));
    }

    /// Fills the filter's menu: all, the tags, the patterns.
    pub fn show_filters(&self) {
        let imp = self.imp();
        let session = self.model().session().borrow();
        let Some(s) = session.as_ref() else { return };
        let card = self.card();
        let filters = s.filters(card.iter().flat_map(|c| c.tags().map(|(_, t)| t)));
        let titles: Vec<String> = filters.iter().map(Filter::title).collect();
        let titles: Vec<&str> = titles.iter().map(String::as_str).collect();
        let chosen = filters.iter().position(|f| *f == s.filter).unwrap_or(0);
        imp.filling.set(true);
        self.model().filters().replace(filters);
        imp.filter.set_model(Some(&gtk::StringList::new(&titles)));
        imp.filter.set_selected(chosen as u32);
        imp.filling.set(false);
    }

    /// Sets the list of points up: how a row looks, and what choosing one does.
    pub fn set_up_points(&self) {
        let factory = gtk::SignalListItemFactory::new();
        factory.connect_setup(|_, item| {
            if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
                item.set_child(Some(&row_widget()));
            }
        });
        factory.connect_bind(|_, item| {
            let Some(item) = item.downcast_ref::<gtk::ListItem>() else { return };
            if let (Some(row), Some(child)) =
                (item.item().and_downcast::<glib::BoxedAnyObject>(), item.child())
            {
                fill_row(&child, &row.borrow::<Row>());
            }
        });
        let model = gtk::SingleSelection::new(Some(gio::ListStore::new::<glib::BoxedAnyObject>()));
        model.set_autoselect(false);
        model.set_can_unselect(true);
        let window = self.downgrade();
        model.connect_selected_notify(move |m| {
            let Some(w) = window.upgrade().filter(|w| !w.imp().filling.get()) else { return };
            if let Some(row) = m.selected_item().and_downcast::<glib::BoxedAnyObject>() {
                let point = row.borrow::<Row>().point;
                // Choosing fills the list anew, which it must not do while it tells of the choice.
                glib::idle_add_local_once(move || w.choose(point));
            }
        });
        self.imp().points.set_factory(Some(&factory));
        self.imp().points.set_model(Some(&model));
    }
}

/// The sign of a contradiction, before its words.
const DOUBT: &str = "⚠";

/// What a screen reader says of a point, and what speaks against it.
pub fn spoken(point: String, doubts: &[String]) -> String {
    if doubts.is_empty() { point } else { format!("{point}; contradiction: {}", doubts.join("; ")) }
}

/// The text with spaces at which no line breaks: a key stays with its word.
fn unbroken(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

fn label(text: &str, classes: &[&str]) -> gtk::Label {
    gtk::Label::builder()
        .label(text)
        .css_classes(classes.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>())
        .build()
}

/// A point as a row.
pub fn row_of(record: &Record, f: &PointFacts, doubts: Vec<String>) -> Row {
    let score = |c| format!("{}–{}  {c}", f.state.games[0], f.state.games[1]);
    let words = f.tags.iter().cloned().chain(f.finish.map(|x| x.words().to_owned()));
    let start = record.points.get(f.number).and_then(|p| p.start);
    Row {
        point: f.number,
        score: f.called.map_or_else(|| "–".into(), score),
        text: words.collect::<Vec<_>>().join(", "),
        when: start.map(MatchTime::short).unwrap_or_default(),
        winner: f.winner,
        doubts,
    }
}

/// Number, score and time above; tags below.
pub fn row_widget() -> gtk::Box {
    let outer = gtk::Box::new(gtk::Orientation::Vertical, 1);
    let top = gtk::Box::new(gtk::Orientation::Horizontal, 8);
    let number = label("", &["quiet"]);
    number.set_width_chars(3);
    number.set_xalign(1.0);
    let score = label("", &[]);
    score.set_xalign(0.0);
    score.set_hexpand(true);
    score.set_ellipsize(gtk::pango::EllipsizeMode::End);
    for child in [&label("", &["side-a"]), &number, &score, &label("", &["quiet"])] {
        top.append(child);
    }
    let tags = label("", &["quiet"]);
    tags.set_xalign(0.0);
    tags.set_margin_start(22);
    tags.set_ellipsize(gtk::pango::EllipsizeMode::End);
    outer.append(&top);
    outer.append(&tags);
    outer
}

/// Fills a row.
pub fn fill_row(widget: &gtk::Widget, row: &Row) {
    let labels = |w: &gtk::Widget| {
        std::iter::successors(w.first_child(), gtk::prelude::WidgetExt::next_sibling)
            .filter_map(|c| c.downcast::<gtk::Label>().ok())
            .collect::<Vec<_>>()
    };
    let Some(top) = widget.first_child() else { return };
    if let [mark, number, score, when] = &labels(&top)[..] {
        let (shape, class) = match row.winner {
            Some(Side::A) => ("●", "side-a"),
            Some(Side::B) => ("□", "side-b"),
            None => ("·", "quiet"),
        };
        mark.set_label(shape);
        mark.set_css_classes(&[class]);
        number.set_label(&(row.point + 1).to_string());
        score.set_label(&row.score);
        when.set_label(&row.when);
    }
    if let Some(item) = widget.parent() {
        let who =
            row.winner.map_or("winner not known", |s| ["first-named wins", "second-named wins"][s.index()]);
        let point = format!("Point {}, {}, {who}, {}", row.point + 1, row.score, row.text);
        let spoken = spoken(point, &row.doubts);
        item.update_property(&[gtk::accessible::Property::Label(&spoken)]);
    }
    if let [tags] = &labels(widget)[..] {
        let doubted = (!row.doubts.is_empty()).then(|| format!("{DOUBT} contradiction"));
        let text = doubted.iter().chain(Some(&row.text).filter(|t| !t.is_empty()));
        tags.set_label(&text.map(String::as_str).collect::<Vec<_>>().join(", "));
        tags.set_css_classes(&[if doubted.is_some() { "wrong" } else { "quiet" }]);
        tags.set_tooltip_text(doubted.map(|_| row.doubts.join("\n")).as_deref());
        tags.set_visible(!tags.label().is_empty());
    }
}
