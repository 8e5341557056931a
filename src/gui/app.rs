//! The application: what it is started with, its style, and its one window.

use std::path::PathBuf;
use std::process::ExitCode;

use gtk::prelude::*;
use gtk::{gdk, gio, glib};

use super::desktop;
use super::window::Window;
use crate::about::DESKTOP_ID;
use crate::logging::KeyCard;
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
    let (settings, trouble) = settings::Settings::read_at_start();
    let card = match cards::key_card(start.keys.as_deref()) {
        Ok(card) => card,
        Err(why) => {
            eprintln!("changeover: {why}");
            return ExitCode::FAILURE;
        }
    };
    // A card that was asked for comes before the one preferred.
    let (card, trouble) = match (&start.keys, settings.card.load()) {
        (None, Ok(preferred)) => (preferred, trouble),
        (_, Ok(_)) => (card, trouble),
        (_, Err(why)) => (card, trouble.or(Some(why))),
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
    let code =
        application(start, settings, card, trouble.map(|why| why.to_string())).run_with_args::<&str>(&[]);
    keeper::wait_for_all();
    if code == glib::ExitCode::SUCCESS { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// The application, which opens its window when it is told to run; what is in trouble is said there.
fn application(
    start: Start,
    settings: settings::Settings,
    card: KeyCard,
    trouble: Option<String>,
) -> gtk::Application {
    let app = gtk::Application::builder()
        .application_id(DESKTOP_ID)
        .flags(gio::ApplicationFlags::NON_UNIQUE)
        .build();
    app.connect_startup(|_| {
        load_style();
        gtk::Window::set_default_icon_name(DESKTOP_ID);
    });
    app.connect_activate(move |app| {
        let window = Window::new(app, card.clone());
        window.model().use_settings(settings.clone());
        desktop::follow(window.model(), start.text_size.unwrap_or(100));
        window.present();
        window.model().load_own(start.patterns.clone());
        if let Some(trouble) = &trouble {
            window.model().say_at_start(trouble);
        }
        if !start.files.is_empty() {
            window.model().open(&start.files);
        }
    });
    app
}

fn load_style() {
    let Some(display) = gdk::Display::default() else { return };
    let css = gtk::CssProvider::new();
    css.load_from_data(include_str!("../../ui/style.css"));
    gtk::style_context_add_provider_for_display(&display, &css, gtk::STYLE_PROVIDER_PRIORITY_APPLICATION);
}
