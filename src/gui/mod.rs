//! The window: GTK 4 on top of the core. It reads, sends one edit, and shows the change.
//!
//! `model` is the one object that widgets see; `habits` is what it keeps of the user. `dialogs` has one file for each
//! dialog, `kit` what several of them use; neither knows the window.
//! `window` holds the widgets; `opening`, `doing`, `playing` and `showing` are what the window can do: open files, act
//! on a key, play, show the record; `courtside` logs without footage, `attaching` gives it some later. `pad_room` shows
//! the court pad (`pad`, drawn by `pad_court`) and its `chips`; `shows` names the patterns that a point shows.
//! `ribbon`, `ribbon_layout` and `ribbon_draw` show the score ribbon. `rooms` goes from the Log page to the Study page,
//! which is the folder `study`. Nothing here decides what a key or a point means.

mod attaching;
mod chips;
mod courtside;
#[cfg(test)]
mod courtside_tests;
mod dialogs;
mod doing;
mod habits;
mod kit;
mod model;
mod opening;
mod pad;
mod pad_court;
mod pad_room;
#[cfg(test)]
mod pad_tests;
mod paintable;
mod playing;
mod ribbon;
mod ribbon_draw;
mod ribbon_layout;
#[cfg(test)]
mod ribbon_tests;
mod rooms;
mod showing;
mod shows;
mod study;
mod window;
#[cfg(test)]
mod window_tests;

use std::path::PathBuf;
use std::process::ExitCode;

use gtk::prelude::*;
use gtk::{gdk, gio, glib};

use crate::session::{cards, keeper, settings};

/// How the window is to start.
#[derive(Debug, Default)]
pub struct Start {
    /// A record, or the footage of a match, to open.
    pub files: Vec<PathBuf>,
    /// A key card in place of the one in the preferences.
    pub keys: Option<PathBuf>,
    /// A file of own patterns in place of the one in the user's folder.
    pub patterns: Option<PathBuf>,
    /// Size of the text in per cent of what the system says.
    pub text_size: Option<u16>,
}

/// Opens the window and returns when it is closed and everything is written.
pub fn run(start: Start) -> ExitCode {
    let (settings, mut trouble) = settings::Settings::read();
    let (card, asked) = match (cards::key_card(start.keys.as_deref()), &start.keys) {
        (Ok(card), asked) => (card, asked.is_some()),
        (Err(message), _) => {
            eprintln!("changeover: {message}");
            return ExitCode::FAILURE;
        }
    };
    let card = match settings.card.load() {
        Ok(preferred) if !asked => preferred,
        Ok(_) => card,
        Err(message) => {
            trouble = trouble.or(Some(message));
            card
        }
    };
    if let Err(e) = crate::video::init() {
        eprintln!("changeover: {e}");
        return ExitCode::FAILURE;
    }
    if gtk::init().is_err() {
        eprintln!(
            "changeover: there is no display to open a window on; see `changeover --help` for what works without"
        );
        return ExitCode::FAILURE;
    }
    resize_text(start.text_size.unwrap_or(100));
    let app = gtk::Application::builder()
        .application_id("org.changeover.Changeover")
        .flags(gio::ApplicationFlags::NON_UNIQUE)
        .build();
    app.connect_startup(|_| load_style());
    app.connect_activate(move |app| {
        let window = window::Window::new(app, card.clone());
        window.model().use_settings(settings.clone());
        window.present();
        window.model().load_own(start.patterns.clone());
        if let Some(trouble) = &trouble {
            window.model().say_at_start(trouble);
        }
        if !start.files.is_empty() {
            window.open(&start.files);
        }
    });
    let code = app.run_with_args::<&str>(&[]);
    keeper::wait_for_all();
    if code == glib::ExitCode::SUCCESS { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Makes all text larger or smaller, by the number that GTK takes font sizes from (1,024ths of a dot per inch).
fn resize_text(percent: u16) {
    let Some(settings) = gtk::Settings::default().filter(|_| percent != 100) else { return };
    let now = Some(settings.gtk_xft_dpi()).filter(|dpi| *dpi > 0).unwrap_or(96 * 1024);
    settings.set_gtk_xft_dpi(now / 100 * i32::from(percent));
}

fn load_style() {
    let Some(display) = gdk::Display::default() else { return };
    let css = gtk::CssProvider::new();
    css.load_from_data(include_str!("../../ui/style.css"));
    gtk::style_context_add_provider_for_display(&display, &css, gtk::STYLE_PROVIDER_PRIORITY_APPLICATION);
}
