//! The page on which keys are given to actions: press a key for one; a key that does something else is told by name.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use gtk::prelude::*;
use gtk::{gdk, glib};

use crate::gui::kit::fields::quiet;
use crate::gui::kit::keyboard::press_of;
use crate::gui::kit::words::named;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::draft::Draft;
use crate::logging::{Key, KeyCard, Meaning, Press};

/// The page of keys.
#[derive(Clone)]
pub struct Remap(Rc<State>);

struct State {
    before: Draft,
    draft: RefCell<Draft>,
    card: Rc<KeyCard>,
    rows: RefCell<Vec<(Meaning, gtk::Label)>>,
    says: gtk::Label,
    /// The row for which a key is awaited, and its button.
    awaits: RefCell<Option<(Meaning, gtk::Button)>>,
    /// The key that was pressed, does something else, and is given anyway when it is pressed once more.
    again: RefCell<Option<Key>>,
    wired: Cell<bool>,
}

/// A key as a card writes it: by its place, so that it stays where it was pressed; with Ctrl by its sign, as everywhere.
fn key_of(press: &Press) -> Key {
    press.place.clone().filter(|k| !k.ctrl).unwrap_or_else(|| press.sign.clone())
}

impl Remap {
    /// A page for the keys of a card.
    pub fn new(card: &Rc<KeyCard>) -> Self {
        let draft = Draft::of(card);
        Self(Rc::new(State {
            before: draft.clone(),
            draft: RefCell::new(draft),
            card: card.clone(),
            rows: RefCell::default(),
            says: quiet("Press Change, then the new key. Your changes are saved as your own key card."),
            awaits: RefCell::default(),
            again: RefCell::default(),
            wired: Cell::new(false),
        }))
    }

    /// The card before it was changed.
    pub fn before(&self) -> &Draft {
        &self.0.before
    }

    /// The card, if it was changed.
    pub fn changed(&self) -> Option<Draft> {
        let draft = self.0.draft.borrow();
        (*draft != self.0.before).then(|| draft.clone())
    }

    /// The page: what can have a key, by groups, with its keys and a button.
    pub fn page(&self) -> gtk::Box {
        let page = gtk::Box::new(gtk::Orientation::Vertical, 8);
        page.append(&self.0.says);
        let grid = gtk::Grid::builder().column_spacing(14).row_spacing(3).build();
        let (mut line, mut group) = (0, None);
        for what in self.0.draft.borrow().all() {
            let of = group_of(&what);
            if group != Some(of) {
                let heading = gtk::Label::builder().label(of).xalign(0.0).css_classes(["heading"]).build();
                heading.set_margin_top(8);
                grid.attach(&heading, 0, line, 3, 1);
                (line, group) = (line + 1, Some(of));
            }
            self.row(&grid, line, what);
            line += 1;
        }
        page.append(&grid);
        self.show();
        page
    }

    fn row(&self, grid: &gtk::Grid, line: i32, what: Meaning) {
        let title = gtk::Label::builder().label(what.title()).xalign(0.0).hexpand(true).wrap(true).build();
        let caps = gtk::Label::builder().xalign(1.0).css_classes(["caps"]).build();
        let button = gtk::Button::builder().label("Change").build();
        named(button.upcast_ref(), &format!("Change the key of: {}", what.title()));
        grid.attach(&title, 0, line, 1, 1);
        grid.attach(&caps, 1, line, 1, 1);
        grid.attach(&button, 2, line, 1, 1);
        let (page, meant) = (self.clone(), what.clone());
        button.connect_clicked(move |b| page.await_key(&meant, b));
        self.0.rows.borrow_mut().push((what, caps));
    }

    fn await_key(&self, what: &Meaning, button: &gtk::Button) {
        self.stop();
        button.set_label("Press a key…");
        self.say(&format!("Press the new key for “{}”. Escape keeps the old one.", what.title()));
        self.0.awaits.replace(Some((what.clone(), button.clone())));
    }

    /// Awaits no key any more.
    fn stop(&self) {
        self.0.again.replace(None);
        if let Some((_, button)) = self.0.awaits.take() {
            button.set_label("Change");
        }
    }

    fn say(&self, text: &str) {
        self.0.says.set_label(text);
    }

    /// Takes keys in the dialog while one is awaited.
    pub fn wire(&self, dialog: &gtk::Window) {
        if self.0.wired.replace(true) {
            return;
        }
        let keys = gtk::EventControllerKey::new();
        keys.set_propagation_phase(gtk::PropagationPhase::Capture);
        let page = self.clone();
        keys.connect_key_pressed(move |_, key, code, mods| {
            if page.0.awaits.borrow().is_none() || is_modifier(key) {
                return glib::Propagation::Proceed;
            }
            if key == gdk::Key::Escape && !mods.contains(gdk::ModifierType::CONTROL_MASK) {
                page.stop();
                page.say("Nothing was changed.");
            } else {
                page.take(key_of(&press_of(key, code, mods, page.0.card.layout())));
            }
            glib::Propagation::Stop
        });
        dialog.add_controller(keys);
    }

    /// A key was pressed for the row that awaits one.
    fn take(&self, key: Key) {
        let Some((what, _)) = self.0.awaits.borrow().clone() else { return };
        let cap = self.0.card.cap_of(&key);
        if key.to_string().parse::<Key>().is_err() {
            return self.say(&format!("{cap} cannot be used. Press another key."));
        }
        if self.0.again.borrow().as_ref() == Some(&key) {
            self.0.draft.borrow_mut().take_over(&key, &what);
        } else {
            let given = self.0.draft.borrow_mut().give(&key, &what);
            if let Err(taken) = given {
                self.say(&format!(
                    "{cap} already means “{}”. Press it again to move it here, or press another key.",
                    taken.by
                ));
                self.0.again.replace(Some(key));
                return;
            }
        }
        self.stop();
        self.say(&format!("{cap} now means “{}”. Press Save to keep it.", what.title()));
        self.show();
    }

    /// Shows the keys of every row.
    fn show(&self) {
        let draft = self.0.draft.borrow();
        for (what, caps) in &*self.0.rows.borrow() {
            let keys: Vec<String> = draft.keys_of(what).map(|k| self.0.card.cap_of(k)).collect();
            caps.set_label(&if keys.is_empty() { "no key".into() } else { keys.join("  or  ") });
        }
    }
}

fn group_of(what: &Meaning) -> &'static str {
    match what {
        Meaning::Do(action) => {
            ACTIONS.iter().find(|r| r.action == *action).map_or(Group::Window, |r| r.group).title()
        }
        Meaning::Tag(_) => "Tags",
    }
}

fn is_modifier(key: gdk::Key) -> bool {
    key.name().is_some_and(|n| {
        ["Shift_", "Control_", "Alt_", "Meta_", "Super_", "Hyper_", "ISO_Level", "Caps_Lock", "Num_Lock"]
            .iter()
            .any(|start| n.starts_with(start))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logging::Action;
    use crate::logging::card::BUILT_IN;

    #[gtk::test]
    fn a_key_that_is_taken_is_told_by_name_and_given_at_the_second_press() {
        let card = Rc::new(KeyCard::parse(BUILT_IN).unwrap());
        let remap = Remap::new(&card);
        let page = remap.page();
        let fault = Meaning::Do(Action::Fault);
        let row = remap.0.rows.borrow().iter().position(|(m, _)| *m == fault).unwrap();
        let caps = remap.0.rows.borrow()[row].1.clone();
        assert_eq!(caps.label(), "F");
        remap.await_key(&fault, &gtk::Button::new());
        remap.take("KeyU".parse().unwrap());
        let said = remap.0.says.label();
        assert!(said.starts_with("U already means “Shot lands up left”"), "{said}");
        assert!(remap.changed().is_none());
        remap.take("KeyU".parse().unwrap());
        assert_eq!(caps.label(), "U");
        let again = KeyCard::parse(&remap.changed().unwrap().text("Mine")).unwrap();
        assert_eq!((again.cap(Action::Fault), again.cap(Action::PadUpLeft)), ("U".into(), String::new()));
        // No key is awaited any more.
        remap.take("KeyI".parse().unwrap());
        assert_eq!(caps.label(), "U");
        drop(page);
    }
}
