//! What the desktop wants is followed: before the window is shown, and whenever it changes. `tests/external/portal.py` stands in for
//! the desktop's portal; it needs `CHANGEOVER_PYTHON`, which `scripts/test` sets.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};

use gtk::gio;
use gtk::prelude::*;

use super::desktop::follow;
use super::window::Window;
use super::window::tests::{empty_window, turn_until};

/// The stand-in, on the bus of the test.
struct Portal {
    process: Child,
    words: ChildStdin,
}

impl Portal {
    fn start(words: &[&str]) -> Option<Self> {
        let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
            println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
            return None;
        };
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/portal.py");
        let mut process = Command::new(python)
            .arg(script)
            .args(words)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut ready = String::new();
        BufReader::new(process.stdout.take().unwrap()).read_line(&mut ready).unwrap();
        assert_eq!(ready, "ready\n", "another portal owns the name");
        let words = process.stdin.take().unwrap();
        Some(Self { process, words })
    }

    fn wants(&mut self, words: &str) {
        writeln!(self.words, "{words}").unwrap();
    }
}

impl Drop for Portal {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn settings() -> gtk::Settings {
    gtk::Settings::default().unwrap()
}

/// What the window does: dark, strong contrast, motion, and the size of text in dots per inch.
fn does(window: &Window) -> (bool, bool, bool, i32) {
    let (has, settings) = (|class| window.has_css_class(class), settings());
    let dpi = f64::from(settings.gtk_xft_dpi()) / 1024.0;
    (has("dark"), has("strong"), settings.is_gtk_enable_animations(), dpi.round() as i32)
}

#[gtk::test]
fn the_window_is_as_the_desktop_wants_before_it_is_shown_and_when_that_changes() {
    let Some(mut portal) = Portal::start(&["dark", "strong", "still", "text=1.5"]) else { return };
    settings().reset_property("gtk-xft-dpi");
    let usual = (f64::from(settings().gtk_xft_dpi().max(1)) / 1024.0).round() as i32;
    assert_eq!(usual, 96, "a display whose own size of text is known would hide what is tested");
    let window = empty_window();
    let before = does(&window);
    assert_eq!(before, (false, false, true, 96));
    // The main loop does not turn in here, so no frame is drawn. A portal that is slow to answer is asked again.
    for _ in 0..20 {
        follow(window.model(), 100);
        if does(&window) != before {
            break;
        }
    }
    assert_eq!(does(&window), (true, true, false, 144), "before the first frame");
    let dialog = super::kit::dialog::dialog(&window, "A dialog", &gtk::Label::new(Some("Words")), (200, -1));
    assert!(dialog.has_css_class("dark") && dialog.has_css_class("strong"));
    for (words, wanted) in [
        ("strong still text=1.5", (false, true, false, 144)),
        ("still text=1.5", (false, false, false, 144)),
        ("text=1.5", (false, false, true, 144)),
        ("text=1.25", (false, false, true, 120)),
        ("", (false, false, true, 96)),
        ("dark", (true, false, true, 96)),
        ("strong", (false, true, true, 96)),
        ("still", (false, false, false, 96)),
    ] {
        portal.wants(words);
        turn_until(&format!("what is wanted by '{words}'"), || does(&window) == wanted);
        assert_eq!((dialog.has_css_class("dark"), dialog.has_css_class("strong")), (wanted.0, wanted.1));
    }
    dialog.destroy();
    window.destroy();
    drop(portal);
    settings().reset_property("gtk-enable-animations");
    settings().reset_property("gtk-xft-dpi");
}

/// Asks the bus for the portal's name or gives it back. Who holds it and answers nothing is as good as no portal, also where the
/// desktop's own one is installed and would be started by the first question.
fn portals_name(bus: &gio::DBusConnection, wanted: bool) {
    let (method, ask) = if wanted {
        // Replace who has it, and do not wait in line.
        ("RequestName", (super::desktop::PORTAL, 2_u32 | 4).to_variant())
    } else {
        ("ReleaseName", (super::desktop::PORTAL,).to_variant())
    };
    let (name, path, flags) = ("org.freedesktop.DBus", "/org/freedesktop/DBus", gio::DBusCallFlags::NONE);
    let none = gio::Cancellable::NONE;
    let answer = bus.call_sync(Some(name), path, name, method, Some(&ask), None, flags, 5000, none).unwrap();
    assert_eq!(answer.child_value(0).get::<u32>(), Some(1), "{method}");
}

/// Desktops without a portal name a theme, and GTK hears of that.
#[gtk::test]
fn without_a_portal_the_theme_says_what_is_wanted() {
    // Whose connection ends has no name any more: it is kept until the name is given back.
    let bus = gio::bus_get_sync(gio::BusType::Session, gio::Cancellable::NONE).unwrap();
    portals_name(&bus, true);
    let window = empty_window();
    let usual = settings().gtk_theme_name();
    settings().set_gtk_theme_name(Some("HighContrast"));
    follow(window.model(), 100);
    assert_eq!((window.model().dark().get(), window.model().strong().get()), (false, true));
    for (theme, wanted) in [
        ("HighContrastInverse", (true, true)),
        ("Adwaita-dark", (true, false)),
        ("Adwaita", (false, false)),
        ("HighContrast", (false, true)),
    ] {
        settings().set_gtk_theme_name(Some(theme));
        let is = || (window.has_css_class("dark"), window.has_css_class("strong"));
        turn_until(theme, || is() == wanted);
    }
    settings().set_gtk_theme_name(usual.as_deref());
    window.destroy();
    portals_name(&bus, false);
}
