//! The preferences: which key card, what a plain key of the pad says, the lead-in, the reaction time; and which key does what.

use std::path::{Path, PathBuf};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::error::FieldsError;
use super::hearing;
use super::remap::Remap;
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::fields::{chosen, offer};
use crate::gui::kit::pages::{After, ask_with_pages};
use crate::gui::kit::words::{capital, named};
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

mod imp {
    use std::cell::RefCell;
    use std::path::PathBuf;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/preferences.ui")]
    pub struct PreferencesPage {
        #[template_child]
        pub card: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub file: TemplateChild<gtk::Button>,
        #[template_child]
        pub forehand: TemplateChild<gtk::CheckButton>,
        #[template_child]
        pub groundstroke: TemplateChild<gtk::CheckButton>,
        #[template_child]
        pub misses: TemplateChild<gtk::CheckButton>,
        #[template_child]
        pub pictures: TemplateChild<gtk::CheckButton>,
        #[template_child]
        pub lead_in: TemplateChild<gtk::SpinButton>,
        #[template_child]
        pub reaction: TemplateChild<gtk::SpinButton>,
        #[template_child]
        pub from_stamps: TemplateChild<gtk::Button>,
        #[template_child]
        pub stamps_say: TemplateChild<gtk::Label>,
        #[template_child]
        pub from_sound: TemplateChild<gtk::Button>,
        #[template_child]
        pub sound_says: TemplateChild<gtk::Label>,
        /// The file of the key card.
        pub path: RefCell<Option<PathBuf>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PreferencesPage {
        const NAME: &'static str = "ChangeoverPreferencesPage";
        type Type = super::PreferencesPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PreferencesPage {}
    impl WidgetImpl for PreferencesPage {}
    impl BoxImpl for PreferencesPage {}
}

glib::wrapper! {
    /// The page about logging.
    pub struct PreferencesPage(ObjectSubclass<imp::PreferencesPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PreferencesPage {
    fn new(model: &Model, settings: &Settings) -> Self {
        let page: Self = glib::Object::new();
        let imp = page.imp();
        let path = match &settings.card {
            Card::File(path) => Some(path.clone()),
            _ => None,
        };
        imp.file.set_label(&file_label(path.as_deref()));
        imp.path.replace(path);
        offer(&imp.card, &ROWS, settings.card.row());
        named(imp.card.upcast_ref(), "Key card");
        imp.forehand.set_active(settings.plain_forehand);
        imp.groundstroke.set_active(settings.plain_groundstroke);
        imp.misses.set_active(settings.plain_misses);
        imp.pictures.set_active(!settings.no_pictures);
        imp.lead_in.set_value(settings.lead_in().as_secs_f64());
        imp.reaction.set_value(f64::from(settings.reaction_ms));
        let file = imp.file.get();
        let show = move |d: &gtk::DropDown| file.set_sensitive(chosen(d, &ROWS) == Row::File);
        show(&imp.card);
        imp.card.connect_selected_notify(show);
        page.learn_from_stamps(model);
        hearing::wire(model, &imp.from_sound, &imp.sound_says, &imp.reaction);
        page
    }

    /// The settings as the fields say.
    fn read(&self, before: Settings) -> Result<Settings, FieldsError> {
        let imp = self.imp();
        let card = match chosen(&imp.card, &ROWS) {
            Row::BuiltIn => Card::BuiltIn,
            Row::LeftHanded => Card::LeftHanded,
            Row::Numpad => Card::Numpad,
            Row::TagsOnly => Card::TagsOnly,
            Row::File => Card::File(imp.path.borrow().clone().ok_or(FieldsError::NoCard)?),
        };
        Ok(Settings {
            card,
            plain_forehand: imp.forehand.is_active(),
            plain_groundstroke: imp.groundstroke.is_active(),
            plain_misses: imp.misses.is_active(),
            reaction_ms: imp.reaction.value_as_int().try_into().unwrap_or_default(),
            lead_in_ms: Some((imp.lead_in.value() * 1000.0).round() as u32),
            no_pictures: !imp.pictures.is_active(),
            ..before
        })
    }

    /// What the button does that learns the reaction time from stamps that were moved.
    fn learn_from_stamps(&self, model: &Model) {
        let (found, reaction) = (self.imp().stamps_say.get(), self.imp().reaction.get());
        self.imp().from_stamps.connect_clicked(glib::clone!(
            #[weak]
            model,
            #[weak]
            found,
            #[weak]
            reaction,
            move |_| match learn(&model.late_stamps()) {
                Ok(learned) => {
                    reaction.set_value(learned.median.as_secs_f64() * 1000.0);
                    found.set_label(&learned.words());
                }
                Err(e) => found.set_label(&capital(&e.to_string())),
            }
        ));
    }

    /// What the button of the file does.
    fn wire(&self, dialog: &gtk::Window) {
        self.imp().file.connect_clicked(glib::clone!(
            #[weak]
            dialog,
            #[weak(rename_to = page)]
            self,
            move |button| {
                let open = gtk::FileChooserAction::Open;
                let about = Some("Key card");
                let chooser =
                    gtk::FileChooserNative::new(about, Some(&dialog), open, Some("Open"), Some("Cancel"));
                chooser.set_modal(true);
                let button = button.clone();
                when_chosen(&chooser, move |paths| {
                    button.set_label(&file_label(paths.first().map(PathBuf::as_path)));
                    page.imp().path.replace(paths.into_iter().next());
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
    let fields = PreferencesPage::new(model, &settings);
    let remap = Remap::new(&card);
    let pages = [("Logging", fields.clone().upcast()), ("Keys", remap.page())];
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
