//! Players and rules: a small dialog, one edit.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::help::close_on_escape;
use super::window::Window;
use crate::record::{Edit, MatchInfo};
use crate::tennis::rules::Rules;
use crate::tennis::{End, Side};

/// The dialog's fields.
struct Fields {
    a: gtk::Entry,
    b: gtk::Entry,
    venue: gtk::Entry,
    date: gtk::Entry,
    surface: gtk::Entry,
    first: gtk::DropDown,
    end: gtk::DropDown,
    rules: gtk::DropDown,
}

impl Fields {
    fn of(about: &MatchInfo) -> Self {
        let entry =
            |text: &str| gtk::Entry::builder().text(text).hexpand(true).activates_default(true).build();
        let choice = |words: &[&str], at: bool| {
            let d = gtk::DropDown::from_strings(words);
            d.set_selected(u32::from(at));
            d
        };
        Self {
            a: entry(&about.a.name),
            b: entry(&about.b.name),
            venue: entry(&about.venue),
            date: entry(&about.date.map(|d| d.to_string()).unwrap_or_default()),
            surface: entry(&about.surface),
            first: choice(&["First-named player", "Second-named player"], about.first_server == Side::B),
            end: choice(&["Near end", "Far end"], about.a_starts == End::Far),
            rules: choice(
                &["Best of three tie-break sets", "One tie-break set"],
                about.rules == Rules::best_of_one(),
            ),
        }
    }

    fn rows(&self) -> [(&'static str, &gtk::Widget); 8] {
        [
            ("First-named player", self.a.upcast_ref()),
            ("Second-named player", self.b.upcast_ref()),
            ("Served first", self.first.upcast_ref()),
            ("First-named started at", self.end.upcast_ref()),
            ("Rules", self.rules.upcast_ref()),
            ("Date, year-month-day", self.date.upcast_ref()),
            ("Venue", self.venue.upcast_ref()),
            ("Surface", self.surface.upcast_ref()),
        ]
    }

    /// The match as the fields say.
    fn read(&self, old: &MatchInfo) -> Result<MatchInfo, String> {
        let mut about = old.clone();
        for (player, entry) in [(&mut about.a, &self.a), (&mut about.b, &self.b)] {
            let name = entry.text().trim().to_owned();
            if name.is_empty() {
                return Err("a player needs a name, or a pseudonym".into());
            }
            player.name = name;
        }
        let date = self.date.text().trim().to_owned();
        about.date = if date.is_empty() {
            None
        } else {
            Some(
                date.parse()
                    .map_err(|_| format!("\"{date}\" is not a date; write year-month-day, as 2026-05-09"))?,
            )
        };
        self.venue.text().trim().clone_into(&mut about.venue);
        self.surface.text().trim().clone_into(&mut about.surface);
        about.first_server = if self.first.selected() == 1 { Side::B } else { Side::A };
        about.a_starts = if self.end.selected() == 1 { End::Far } else { End::Near };
        about.rules = if self.rules.selected() == 1 { Rules::best_of_one() } else { Rules::best_of_three() };
        Ok(about)
    }
}

impl Window {
    /// Asks for the players, who served first, the rules.
    pub fn show_details(&self) {
        let Some(about) = self.imp().session.borrow().as_ref().map(|s| s.store.record().about.clone()) else {
            return;
        };
        let fields = Fields::of(&about);
        let grid = gtk::Grid::builder().column_spacing(14).row_spacing(8).build();
        for (i, (title, field)) in fields.rows().into_iter().enumerate() {
            let label = gtk::Label::builder().label(title).xalign(0.0).mnemonic_widget(field).build();
            field.update_property(&[gtk::accessible::Property::Label(title)]);
            grid.attach(&label, 0, i as i32, 1, 1);
            grid.attach(field, 1, i as i32, 1, 1);
        }
        let wrong = gtk::Label::builder().wrap(true).xalign(0.0).css_classes(["quiet"]).build();
        let keep =
            gtk::Button::builder().label("Keep").halign(gtk::Align::End).css_classes(["primary"]).build();
        let page = gtk::Box::builder()
            .orientation(gtk::Orientation::Vertical)
            .spacing(14)
            .margin_top(18)
            .margin_bottom(18)
            .margin_start(18)
            .margin_end(18)
            .build();
        page.append(&grid);
        page.append(&wrong);
        page.append(&keep);
        let dialog = gtk::Window::builder()
            .title("Players and rules")
            .transient_for(self)
            .modal(true)
            .default_width(480)
            .child(&page)
            .default_widget(&keep)
            .build();
        dialog.set_css_classes(&self.css_classes().iter().map(glib::GString::as_str).collect::<Vec<_>>());
        close_on_escape(&dialog);
        let (window, weak) = (self.downgrade(), dialog.downgrade());
        keep.connect_clicked(move |_| match (fields.read(&about), window.upgrade(), weak.upgrade()) {
            (Err(message), _, _) => wrong.set_label(&message),
            (Ok(about), Some(w), Some(d)) => {
                w.keep_details(about);
                d.close();
            }
            _ => {}
        });
        dialog.present();
    }

    fn keep_details(&self, about: MatchInfo) {
        let outcome = {
            let mut session = self.imp().session.borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let change = s.store.apply(Edit::SetMatch(Box::new(about))).map(drop);
            s.derive();
            change
        };
        match outcome {
            Ok(()) => self.show_record(),
            Err(e) => self.say(&e.to_string()),
        }
    }
}
