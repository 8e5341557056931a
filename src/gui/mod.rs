//! The window: GTK 4 on top of the core. It reads, sends one edit, and shows the change.
//!
//! `window` holds the widgets; `opening`, `doing` and `showing` are what the window can do: open a file, act on a
//! key, show the record. Nothing here decides what a key or a point means.

mod details;
mod doing;
mod help;
mod opening;
mod paintable;
mod recent;
mod ribbon;
mod session;
mod showing;
mod window;
#[cfg(test)]
mod window_tests;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use gtk::prelude::*;
use gtk::{gdk, gio, glib};

use crate::logging::KeyCard;
use crate::logging::card::BUILT_IN;

/// Reads the key card of a file, or the one built in.
///
/// # Errors
/// A message for the user that names the file and the place in it.
pub fn key_card(file: Option<&Path>) -> Result<KeyCard, String> {
    let Some(file) = file else {
        return KeyCard::parse(BUILT_IN).map_err(|e| format!("the built-in key card: {e}"));
    };
    let text =
        std::fs::read_to_string(file).map_err(|e| format!("{}: cannot be read: {e}", file.display()))?;
    KeyCard::parse(&text).map_err(|e| format!("{}: {e}", file.display()))
}

/// Opens the window, with a file if one is given, and returns when it is closed.
pub fn run(file: Option<PathBuf>, keys: Option<&Path>) -> ExitCode {
    let card = match key_card(keys) {
        Ok(card) => card,
        Err(message) => {
            eprintln!("changeover: {message}");
            return ExitCode::FAILURE;
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
    let app = gtk::Application::builder()
        .application_id("org.changeover.Changeover")
        .flags(gio::ApplicationFlags::NON_UNIQUE)
        .build();
    app.connect_startup(|_| load_style());
    app.connect_activate(move |app| {
        let window = window::Window::new(app, card.clone());
        window.present();
        if let Some(file) = &file {
            window.open(file);
        }
    });
    let code = app.run_with_args::<&str>(&[]);
    if code == glib::ExitCode::SUCCESS { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn load_style() {
    let Some(display) = gdk::Display::default() else { return };
    let css = gtk::CssProvider::new();
    css.load_from_data(include_str!("../../ui/style.css"));
    gtk::style_context_add_provider_for_display(&display, &css, gtk::STYLE_PROVIDER_PRIORITY_APPLICATION);
}
