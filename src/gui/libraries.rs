//! The libraries under the window, with their versions on this computer.

/// What plays footage and what draws the window.
pub fn libraries() -> Vec<(&'static str, String)> {
    let gtk = format!("{}.{}.{}", gtk::major_version(), gtk::minor_version(), gtk::micro_version());
    vec![("GStreamer", crate::video::version()), ("GTK", gtk)]
}
