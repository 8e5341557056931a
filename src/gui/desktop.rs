//! What the user set in the desktop: light or dark, contrast, motion, and the size of text. Asked for before the window is shown,
//! and followed while it is open.
//!
//! The desktop's portal says it, which also answers inside a sandbox. Where there is no portal, GTK's own settings and the name of
//! its theme must do.

use gtk::prelude::*;
use gtk::{gio, glib};

use crate::gui::model::{Event, Model};

pub(super) const PORTAL: &str = "org.freedesktop.portal.Desktop";
const PATH: &str = "/org/freedesktop/portal/desktop";
const SETTINGS: &str = "org.freedesktop.portal.Settings";
const APPEARANCE: &str = "org.freedesktop.appearance";
const INTERFACE: &str = "org.gnome.desktop.interface";
const ACCESS: &str = "org.gnome.desktop.a11y.interface";

/// How long the window waits for the portal, in milliseconds. A later answer still counts.
const PATIENCE: i32 = 250;

/// GTK's unit of text size: this for 100 %, in 1,024ths of a dot per inch.
const USUAL: i32 = 96 * 1024;

/// What the portal says; nothing of what it does not say.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Wishes {
    dark: Option<bool>,
    strong: Option<bool>,
    still: Option<bool>,
    text: Option<f64>,
}

impl Wishes {
    /// From the portal's answer: settings by name, by group.
    fn of(answer: &glib::Variant) -> Self {
        let groups = answer.try_child_value(0).map(|v| glib::VariantDict::new(Some(&to_variants(&v))));
        let value = |group: &str, name: &str| {
            let group = groups.as_ref()?.lookup_value(group, None)?;
            glib::VariantDict::new(Some(&group)).lookup_value(name, None)
        };
        let is = |group, name, wanted: u32| {
            value(group, name).and_then(|v| v.get::<u32>()).map(|found| found == wanted)
        };
        let yes = |group, name| value(group, name).and_then(|v| v.get::<bool>());
        let any = |one: Option<bool>, other: Option<bool>| match (one, other) {
            (None, None) => None,
            (one, other) => Some(one == Some(true) || other == Some(true)),
        };
        Self {
            dark: is(APPEARANCE, "color-scheme", 1),
            strong: any(is(APPEARANCE, "contrast", 1), yes(ACCESS, "high-contrast")),
            still: any(
                is(APPEARANCE, "reduced-motion", 1),
                yes(INTERFACE, "enable-animations").map(|moves| !moves),
            ),
            text: value(INTERFACE, "text-scaling-factor")
                .and_then(|v| v.get::<f64>())
                .filter(|factor| (0.25..=4.0).contains(factor)),
        }
    }
}

/// The groups as variants, so that they can be looked up by name.
fn to_variants(groups: &glib::Variant) -> glib::Variant {
    let dict = glib::VariantDict::new(None);
    for group in groups.iter() {
        if let (Some(name), Some(values)) = (group.child_value(0).str(), group.try_child_value(1)) {
            dict.insert_value(name, &values);
        }
    }
    dict.end()
}

/// Sets the model and GTK to what the desktop wants, now and whenever it changes. `percent` is the size of text that the user
/// asked of this program, as a part of the desktop's.
pub fn follow(model: &Model, percent: u16) {
    let wishes = gio::bus_get_sync(gio::BusType::Session, gio::Cancellable::NONE).ok().map(|bus| {
        watch(&bus, model, percent);
        ask_now(&bus, model, percent)
    });
    apply(model, wishes.unwrap_or_default(), percent);
    let Some(settings) = gtk::Settings::default() else { return };
    // A desktop without a portal changes these.
    for property in ["gtk-theme-name", "gtk-application-prefer-dark-theme"] {
        settings.connect_notify_local(
            Some(property),
            glib::clone!(
                #[weak]
                model,
                move |_, _| ask_again(&model, percent)
            ),
        );
    }
}

fn question() -> glib::Variant {
    ([APPEARANCE, INTERFACE, ACCESS].as_slice(),).to_variant()
}

/// Waits a moment for the answer; a portal that is slow to start answers later.
fn ask_now(bus: &gio::DBusConnection, model: &Model, percent: u16) -> Wishes {
    let (ask, none) = (question(), gio::Cancellable::NONE);
    let flags = gio::DBusCallFlags::NONE;
    let answer =
        bus.call_sync(Some(PORTAL), PATH, SETTINGS, "ReadAll", Some(&ask), None, flags, PATIENCE, none);
    match answer {
        Ok(answer) => Wishes::of(&answer),
        Err(e) if e.matches(gio::IOErrorEnum::TimedOut) => {
            ask_again(model, percent);
            Wishes::default()
        }
        Err(_) => Wishes::default(),
    }
}

fn ask_again(model: &Model, percent: u16) {
    let model = model.downgrade();
    glib::spawn_future_local(async move {
        let Ok(bus) = gio::bus_get_future(gio::BusType::Session).await else { return };
        let (ask, flags) = (question(), gio::DBusCallFlags::NONE);
        let answer =
            bus.call_future(Some(PORTAL), PATH, SETTINGS, "ReadAll", Some(&ask), None, flags, -1).await;
        if let Some(model) = model.upgrade() {
            apply(&model, answer.map_or_else(|_| Wishes::default(), |a| Wishes::of(&a)), percent);
        }
    });
}

#[expect(
    deprecated,
    reason = "its successor ties the subscription to a value; this one lasts as long as the program"
)]
fn watch(bus: &gio::DBusConnection, model: &Model, percent: u16) {
    let model = model.downgrade();
    let flags = gio::DBusSignalFlags::NONE;
    bus.signal_subscribe(
        Some(PORTAL),
        Some(SETTINGS),
        Some("SettingChanged"),
        Some(PATH),
        None,
        flags,
        move |_, _, _, _, _, _| {
            if let Some(model) = model.upgrade() {
                ask_again(&model, percent);
            }
        },
    );
}

fn apply(model: &Model, wishes: Wishes, percent: u16) {
    let Some(settings) = gtk::Settings::default() else { return };
    let theme = settings.gtk_theme_name().unwrap_or_default().to_lowercase().replace('-', "");
    let dark = wishes.dark.unwrap_or_else(|| {
        settings.is_gtk_application_prefer_dark_theme()
            || theme.ends_with("dark")
            || theme.contains("inverse")
    });
    let strong = wishes.strong == Some(true) || theme.contains("highcontrast");
    move_or_not(&settings, wishes.still);
    resize_text(&settings, wishes.text, percent);
    let before = (model.dark().replace(dark), model.strong().replace(strong));
    if before != (dark, strong) {
        model.tell(Event::Dark);
    }
}

/// GTK animates nothing if the desktop wants no motion.
fn move_or_not(settings: &gtk::Settings, still: Option<bool>) {
    if still == Some(true) {
        settings.set_gtk_enable_animations(false);
    } else {
        settings.reset_property("gtk-enable-animations");
    }
}

/// Makes all text larger or smaller. GTK knows the desktop's size of text, but not on every display.
fn resize_text(settings: &gtk::Settings, factor: Option<f64>, percent: u16) {
    settings.reset_property("gtk-xft-dpi");
    let known = Some(settings.gtk_xft_dpi()).filter(|dpi| *dpi > 0).unwrap_or(USUAL);
    let wanted = dpi(known, factor, percent);
    if wanted != known {
        settings.set_gtk_xft_dpi(wanted);
    }
}

fn dpi(known: i32, factor: Option<f64>, percent: u16) -> i32 {
    let desktop = match factor {
        Some(factor) if known == USUAL => f64::from(USUAL) * factor,
        _ => f64::from(known),
    };
    (desktop * f64::from(percent) / 100.0).round() as i32
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use super::*;

    type Group = HashMap<String, glib::Variant>;

    fn answer(groups: &[(&str, &[(&str, glib::Variant)])]) -> glib::Variant {
        let all: HashMap<String, Group> = groups
            .iter()
            .map(|(name, values)| {
                (String::from(*name), values.iter().map(|(n, v)| (String::from(*n), v.clone())).collect())
            })
            .collect();
        (all,).to_variant()
    }

    #[test]
    fn what_the_portal_says_is_understood() {
        let all = answer(&[
            (APPEARANCE, &[("color-scheme", 1u32.to_variant()), ("contrast", 0u32.to_variant())]),
            (ACCESS, &[("high-contrast", true.to_variant())]),
            (
                INTERFACE,
                &[("enable-animations", false.to_variant()), ("text-scaling-factor", 1.5f64.to_variant())],
            ),
        ]);
        let all = Wishes::of(&all);
        let wanted = Wishes { dark: Some(true), strong: Some(true), still: Some(true), text: Some(1.5) };
        assert_eq!(all, wanted);
    }

    #[test]
    fn what_the_portal_leaves_out_or_gets_wrong_is_not_known() {
        assert_eq!(Wishes::of(&answer(&[])), Wishes::default());
        let wrong = answer(&[
            (APPEARANCE, &[("color-scheme", "dark".to_variant())]),
            (INTERFACE, &[("text-scaling-factor", f64::NAN.to_variant())]),
        ]);
        assert_eq!(Wishes::of(&wrong), Wishes::default());
        assert_eq!(Wishes::of(&0u32.to_variant()), Wishes::default());
    }

    #[test]
    fn the_size_of_text_is_taken_once() {
        assert_eq!(dpi(USUAL, Some(1.5), 100), USUAL * 3 / 2);
        // GTK knows it already.
        assert_eq!(dpi(USUAL * 3 / 2, Some(1.5), 200), USUAL * 3);
        assert_eq!(dpi(USUAL, None, 50), USUAL / 2);
    }
}
