//! The preferences: which key card, what a plain key of the pad says, the reaction time; and which key does what.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use gtk::prelude::*;

use super::fields::{ask_with_pages, attach, choice, chosen, grid, quiet, title};
use super::hearing;
use super::remap::Remap;
use super::window::{Window, capital};
use crate::logging::Action;
use crate::logging::ball::PadKey;
use crate::logging::react::{Learned, Pair, learn};
use crate::session::folders;
use crate::session::settings::{Card, Settings, write_whole};
use crate::session::stamps::{late_ms, pair};
use crate::time::MatchTime;

/// The name of the card that the page of keys makes, and of its file.
const OWN: (&str, &str) = ("My own keys", "own.keys.toml");

/// Which row of the choice of cards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Row {
    BuiltIn,
    LeftHanded,
    Numpad,
    TagsOnly,
    File,
}

const ROWS: [(&str, Row); 5] = [
    ("Built-in: pad under the right hand", Row::BuiltIn),
    ("Left-handed: pad under the left hand", Row::LeftHanded),
    ("Numeric keypad as the pad", Row::Numpad),
    ("Tags only, without balls", Row::TagsOnly),
    ("A file", Row::File),
];

impl Card {
    const fn row(&self) -> Row {
        match self {
            Self::BuiltIn => Row::BuiltIn,
            Self::LeftHanded => Row::LeftHanded,
            Self::Numpad => Row::Numpad,
            Self::TagsOnly => Row::TagsOnly,
            Self::File(_) => Row::File,
        }
    }
}

/// The fields of the page about logging.
struct Fields {
    card: gtk::DropDown,
    file: gtk::Button,
    path: Rc<RefCell<Option<PathBuf>>>,
    forehand: gtk::CheckButton,
    groundstroke: gtk::CheckButton,
    reaction: gtk::SpinButton,
}

impl Fields {
    fn new(settings: &Settings) -> Self {
        let path = match &settings.card {
            Card::File(path) => Some(path.clone()),
            _ => None,
        };
        let check = |text: &str, on| gtk::CheckButton::builder().label(text).active(on).build();
        let reaction = gtk::SpinButton::with_range(0.0, 1500.0, 10.0);
        reaction.set_value(f64::from(settings.reaction_ms));
        Self {
            card: choice(&ROWS, settings.card.row()),
            file: gtk::Button::builder().label(file_label(path.as_deref())).halign(gtk::Align::Start).build(),
            path: Rc::new(RefCell::new(path)),
            forehand: check("is a forehand; with Shift a backhand", settings.plain_forehand),
            groundstroke: check(
                "is a groundstroke, unless another stroke is keyed",
                settings.plain_groundstroke,
            ),
            reaction,
        }
    }

    /// The settings as the fields say.
    fn read(&self, before: Settings) -> Result<Settings, String> {
        let card = match chosen(&self.card, &ROWS) {
            Row::BuiltIn => Card::BuiltIn,
            Row::LeftHanded => Card::LeftHanded,
            Row::Numpad => Card::Numpad,
            Row::TagsOnly => Card::TagsOnly,
            Row::File => Card::File(self.path.borrow().clone().ok_or("choose the file of the key card")?),
        };
        Ok(Settings {
            card,
            plain_forehand: self.forehand.is_active(),
            plain_groundstroke: self.groundstroke.is_active(),
            reaction_ms: self.reaction.value_as_int().try_into().unwrap_or_default(),
            ..before
        })
    }

    fn page(&self, window: &Window) -> gtk::Box {
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        let cards = grid();
        attach(&cards, 0, "Key card", &self.card);
        attach(&cards, 1, "Its file", &self.file);
        let (file, row) = (self.file.clone(), self.card.clone());
        let show = move |d: &gtk::DropDown| file.set_sensitive(chosen(d, &ROWS) == Row::File);
        show(&row);
        self.card.connect_selected_notify(show);
        page.append(&cards);
        page.append(&heading("A plain key of the pad, besides the cell"));
        page.append(&self.forehand);
        page.append(&self.groundstroke);
        page.append(&quiet("Off, it leaves them unknown: nothing is guessed. The pad shows what is on."));
        page.append(&heading("Reaction time"));
        let times = grid();
        attach(&times, 0, "Milliseconds", &self.reaction);
        page.append(&times);
        page.append(&quiet(
            "Taken off each stamp that is made while the footage plays, at its speed; never while it is paused.",
        ));
        let buttons = gtk::SizeGroup::new(gtk::SizeGroupMode::Horizontal);
        for line in [self.learning(window), hearing::line(window, &self.reaction)] {
            line.first_child().iter().for_each(|button| buttons.add_widget(button));
            page.append(&line);
        }
        page
    }

    /// The button that learns the reaction time, and what it found.
    fn learning(&self, window: &Window) -> gtk::Box {
        let line = gtk::Box::new(gtk::Orientation::Horizontal, 12);
        let button = gtk::Button::builder().label("Learn from my stamps").valign(gtk::Align::Start).build();
        let found = quiet(
            "Each point whose start you stamped while it played and moved later tells how late you are.",
        );
        found.set_hexpand(true);
        line.append(&button);
        line.append(&found);
        let (window, reaction) = (window.downgrade(), self.reaction.clone());
        button.connect_clicked(move |_| {
            let Some(w) = window.upgrade() else { return };
            match learn(&w.late_stamps()) {
                Ok(learned) => {
                    reaction.set_value(learned.median.as_secs_f64() * 1000.0);
                    found.set_label(&said(&learned));
                }
                Err(e) => found.set_label(&capital(&e.to_string())),
            }
        });
        line
    }

    /// What the button of the file does.
    fn wire(&self, window: &Window, dialog: &gtk::Window) {
        let (window, dialog, path) = (window.downgrade(), dialog.downgrade(), self.path.clone());
        self.file.connect_clicked(move |button| {
            let (Some(w), Some(d)) = (window.upgrade(), dialog.upgrade()) else { return };
            let open = gtk::FileChooserAction::Open;
            let chooser =
                gtk::FileChooserNative::new(Some("Key card"), Some(&d), open, Some("Choose"), Some("Cancel"));
            chooser.set_modal(true);
            let (button, path) = (button.clone(), path.clone());
            w.when_chosen(&chooser, move |_, paths| {
                button.set_label(&file_label(paths.first().map(PathBuf::as_path)));
                path.replace(paths.into_iter().next());
            });
        });
    }
}

fn heading(text: &str) -> gtk::Label {
    let label = title(text);
    label.add_css_class("heading");
    label.set_margin_top(6);
    label
}

fn file_label(path: Option<&Path>) -> String {
    let name = path.and_then(Path::file_name).map(|n| n.to_string_lossy().into_owned());
    name.unwrap_or_else(|| "Choose…".into())
}

/// What was learned, in words.
pub fn said(learned: &Learned) -> String {
    format!(
        "{} ms is the middle of {} stamps; half of them lie within {} ms of it.",
        learned.median.as_millis(),
        learned.pairs,
        learned.spread.as_millis()
    )
}

impl Window {
    /// Asks what the user prefers.
    pub fn show_preferences(&self) {
        let Some(card) = self.card() else { return };
        let settings = self.model().settings().borrow().clone();
        let fields = Rc::new(Fields::new(&settings));
        let remap = Remap::new(&card);
        let (asked, changed) = (fields.clone(), remap.clone());
        let pages = [("Logging", fields.page(self)), ("Keys", remap.page())];
        let dialog = ask_with_pages(self, "Preferences", &pages, move |w| {
            let mut settings = asked.read(w.model().settings().borrow().clone())?;
            if let Some(draft) = changed.changed() {
                let path = folders::config().join(OWN.1);
                write_whole(&path, &draft.text(OWN.0))?;
                settings.card = Card::File(path);
            }
            w.prefer(settings)
        });
        fields.wire(self, &dialog);
        remap.wire(&dialog);
        dialog.present();
    }

    /// Uses these settings from now on, and keeps them.
    ///
    /// # Errors
    /// A message for the user when the card cannot be used or nothing can be written; everything stays as it was.
    pub fn prefer(&self, settings: Settings) -> Result<(), String> {
        let card = settings.card.load()?;
        settings.write()?;
        self.use_card(card);
        self.use_settings(settings);
        Ok(())
    }

    /// A key that may start a point was pressed while the footage played.
    pub fn stamped(&self, action: Action, shown: MatchTime, speed: f64) {
        if action == Action::PointStart || PadKey::of(action).is_some() && !self.is_in_a_point() {
            self.model().stamps().borrow_mut().pressed(shown, speed);
        }
    }

    /// The stamps that were moved after they were made, now and before.
    fn late_stamps(&self) -> Vec<Pair> {
        let before: Vec<Pair> =
            self.model().settings().borrow().late_ms.iter().filter_map(|ms| pair(*ms)).collect();
        before.into_iter().chain(self.model().stamps().borrow().pairs()).collect()
    }

    /// Keeps how late the stamps were that were moved since the record was opened.
    pub fn keep_late(&self) {
        let late: Vec<i32> = self.model().stamps().take().pairs().iter().map(late_ms).collect();
        if late.is_empty() {
            return;
        }
        self.model().settings().borrow_mut().late_ms.extend(late);
        if let Err(message) = self.model().settings().borrow().write() {
            self.say_too(&message);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_learned_is_said_with_its_number_and_spread() {
        use std::time::Duration;
        let ms = Duration::from_millis;
        let learned = Learned { median: ms(240), spread: ms(35), pairs: 12 };
        assert_eq!(said(&learned), "240 ms is the middle of 12 stamps; half of them lie within 35 ms of it.");
    }
}
