//! The menu of a list of clips: add to the lesson, save as, copy as text, copy as timecodes.

use gtk::gio;
use gtk::prelude::*;

use super::words::named;

/// What is wanted of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Saved, in a format that is then asked for.
    SaveAs,
    /// On the clipboard, a line for each point.
    Text,
    /// On the clipboard, as timecodes.
    Timecodes,
}

impl Wanted {
    const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::SaveAs, "save-as", "Save as…"),
        (Self::Text, "copy-text", "Copy as text"),
        (Self::Timecodes, "copy-timecodes", "Copy as timecodes"),
    ];
}

/// Fills the menu of a button; `does` does what is chosen.
pub fn offer(button: &gtk::MenuButton, does: impl Fn(Wanted) + Clone + 'static) {
    let (menu, actions) = (gio::Menu::new(), gio::SimpleActionGroup::new());
    menu.append(Some("Add all to the lesson"), Some("win.add-clips"));
    for (wanted, name, label) in Wanted::ALL {
        menu.append(Some(label), Some(&format!("list.{name}")));
        let (action, does) = (gio::SimpleAction::new(name, None), does.clone());
        action.connect_activate(move |_, _| does(wanted));
        actions.add_action(&action);
    }
    button.insert_action_group("list", Some(&actions));
    button.set_menu_model(Some(&menu));
    // What has the focus is the button inside, and that has no name of its own.
    named(button.upcast_ref(), &button.tooltip_text().unwrap_or_else(|| "Export".into()));
}

/// Puts a text on the clipboard.
pub fn copy(over: &impl IsA<gtk::Widget>, text: &str) {
    over.clipboard().set_text(text);
}
