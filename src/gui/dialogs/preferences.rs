//! The preferences: which key card, what a plain key of the pad says, the lead-in, the reaction time; and which key does what.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;

use super::error::FieldsError;
use super::hearing;
use super::remap::Remap;
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::fields::{attach, choice, chosen, grid, heading, quiet};
use crate::gui::kit::pages::{After, ask_with_pages};
use crate::gui::kit::words::capital;
use crate::gui::model::Model;
use crate::logging::react::learn;
use crate::session::cards::keep;
use crate::session::error::OwnFileError;
use crate::session::settings::{Card, Settings};

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
    ("Tags only, no shots", Row::TagsOnly),
    ("Key card from a file", Row::File),
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
    misses: gtk::CheckButton,
    reaction: gtk::SpinButton,
    lead_in: gtk::SpinButton,
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
        let lead_in = gtk::SpinButton::with_range(0.0, 10.0, 0.5);
        lead_in.set_digits(1);
        lead_in.set_value(settings.lead_in().as_secs_f64());
        Self {
            card: choice(&ROWS, settings.card.row()),
            file: gtk::Button::builder().label(file_label(path.as_deref())).halign(gtk::Align::Start).build(),
            path: Rc::new(RefCell::new(path)),
            forehand: check("forehand; with Shift, backhand", settings.plain_forehand),
            groundstroke: check(
                "groundstroke, unless you press the key of another stroke",
                settings.plain_groundstroke,
            ),
            misses: check(
                "error keys: the last shot was missed, and its cell is where it was aimed",
                settings.plain_misses,
            ),
            reaction,
            lead_in,
        }
    }

    /// The settings as the fields say.
    fn read(&self, before: Settings) -> Result<Settings, FieldsError> {
        let card = match chosen(&self.card, &ROWS) {
            Row::BuiltIn => Card::BuiltIn,
            Row::LeftHanded => Card::LeftHanded,
            Row::Numpad => Card::Numpad,
            Row::TagsOnly => Card::TagsOnly,
            Row::File => Card::File(self.path.borrow().clone().ok_or(FieldsError::NoCard)?),
        };
        Ok(Settings {
            card,
            plain_forehand: self.forehand.is_active(),
            plain_groundstroke: self.groundstroke.is_active(),
            plain_misses: self.misses.is_active(),
            reaction_ms: self.reaction.value_as_int().try_into().unwrap_or_default(),
            lead_in_ms: Some((self.lead_in.value() * 1000.0).round() as u32),
            ..before
        })
    }

    fn page(&self, model: &Model) -> gtk::Box {
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        let cards = grid();
        attach(&cards, 0, "Key card", &self.card);
        attach(&cards, 1, "File", &self.file);
        let (file, row) = (self.file.clone(), self.card.clone());
        let show = move |d: &gtk::DropDown| file.set_sensitive(chosen(d, &ROWS) == Row::File);
        show(&row);
        self.card.connect_selected_notify(show);
        page.append(&cards);
        page.append(&heading("Plain keys mean"));
        page.append(&self.forehand);
        page.append(&self.groundstroke);
        page.append(&self.misses);
        page.append(&quiet("If an option is off, the record leaves it unknown. The pad shows which are on."));
        page.append(&heading("Lead-in"));
        let lead = grid();
        attach(&lead, 0, "Seconds", &self.lead_in);
        page.append(&lead);
        page.append(&quiet(
            "Jumps and loops begin this long before the serve. The stamps stay where they are.",
        ));
        page.append(&heading("Reaction time"));
        let times = grid();
        attach(&times, 0, "Milliseconds", &self.reaction);
        page.append(&times);
        page.append(&quiet(
            "Subtracted from every stamp that you make while the footage plays, never from one on a paused frame.",
        ));
        let buttons = gtk::SizeGroup::new(gtk::SizeGroupMode::Horizontal);
        for line in [self.learning(model), hearing::line(model, &self.reaction)] {
            line.first_child().iter().for_each(|button| buttons.add_widget(button));
            page.append(&line);
        }
        page
    }

    /// The button that learns the reaction time, and what it found.
    fn learning(&self, model: &Model) -> gtk::Box {
        let line = gtk::Box::new(gtk::Orientation::Horizontal, 12);
        let button = gtk::Button::builder().label("Learn from my stamps").valign(gtk::Align::Start).build();
        let found =
            quiet("Compares the starts that you stamped while playing with where you moved them later.");
        found.set_hexpand(true);
        line.append(&button);
        line.append(&found);
        button.connect_clicked(glib::clone!(
            #[weak]
            model,
            #[weak]
            found,
            #[weak(rename_to = reaction)]
            self.reaction,
            move |_| match learn(&model.late_stamps()) {
                Ok(learned) => {
                    reaction.set_value(learned.median.as_secs_f64() * 1000.0);
                    found.set_label(&learned.words());
                }
                Err(e) => found.set_label(&capital(&e.to_string())),
            }
        ));
        line
    }

    /// What the button of the file does.
    fn wire(&self, dialog: &gtk::Window) {
        let path = self.path.clone();
        self.file.connect_clicked(glib::clone!(
            #[weak]
            dialog,
            move |button| {
                let open = gtk::FileChooserAction::Open;
                let about = Some("Key card");
                let chooser =
                    gtk::FileChooserNative::new(about, Some(&dialog), open, Some("Open"), Some("Cancel"));
                chooser.set_modal(true);
                let (button, path) = (button.clone(), path.clone());
                when_chosen(&chooser, move |paths| {
                    button.set_label(&file_label(paths.first().map(PathBuf::as_path)));
                    path.replace(paths.into_iter().next());
                });
            }
        ));
    }
}

fn file_label(path: Option<&Path>) -> String {
    let name = path.and_then(Path::file_name).map(|n| n.to_string_lossy().into_owned());
    name.unwrap_or_else(|| "Choose…".into())
}

/// Asks what the user prefers.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let Some(card) = model.key_card() else { return };
    let settings = model.settings().borrow().clone();
    let fields = Rc::new(Fields::new(&settings));
    let remap = Remap::new(&card);
    let pages = [("Logging", fields.page(model)), ("Keys", remap.page())];
    let save = glib::clone!(
        #[weak]
        model,
        #[strong]
        fields,
        #[strong]
        remap,
        #[upgrade_or]
        Ok(After::Close),
        move |_: &gtk::Window| {
            let mut settings = fields.read(model.settings().borrow().clone())?;
            if let Some(draft) = remap.changed() {
                settings.card = Card::File(keep(remap.before(), &draft)?);
            }
            prefer(&model, settings)?;
            Ok::<_, FieldsError>(After::Close)
        }
    );
    let dialog = ask_with_pages(parent, "Settings", &pages, save);
    fields.wire(&dialog);
    remap.wire(&dialog);
    dialog.present();
}

/// Uses these settings from now on, and saves them.
///
/// # Errors
/// [`OwnFileError`] when the key card cannot be used or the settings cannot be written. Nothing has changed then.
pub fn prefer(model: &Model, settings: Settings) -> Result<(), OwnFileError> {
    let card = settings.card.load()?;
    settings.write()?;
    model.use_card(card);
    model.use_settings(settings);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gui::dialogs::correct_tests::all;
    use crate::gui::window::tests::empty_window;

    #[gtk::test]
    fn the_lead_in_is_set_in_seconds_and_can_be_none() {
        let window = empty_window();
        let model = window.model();
        let before = Settings::read().0;
        model.settings().borrow_mut().lead_in_ms = None;
        show(model, &window);
        let dialogs =
            gtk::Window::list_toplevels().into_iter().filter_map(|w| w.downcast::<gtk::Window>().ok());
        let dialog = dialogs.into_iter().find(|w| w.title().as_deref() == Some("Settings")).unwrap();
        let fields = all::<gtk::SpinButton>(&dialog);
        let lead = fields.iter().find(|f| f.digits() == 1).unwrap();
        assert_eq!(lead.value_as_int(), 2, "two seconds where nothing was set");
        lead.set_value(0.0);
        let buttons = all::<gtk::Button>(&dialog);
        buttons.iter().find(|b| b.label().as_deref() == Some("Save")).unwrap().emit_clicked();
        assert_eq!(Settings::read().0.lead_in(), std::time::Duration::ZERO);
        assert_eq!(model.settings().borrow().lead_in(), std::time::Duration::ZERO);
        before.write().unwrap();
        window.destroy();
    }
}
