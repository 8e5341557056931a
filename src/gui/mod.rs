//! The window: GTK 4 on top of the core. It reads, asks for one edit, and shows the change.
//!
//! A key or a click goes to the `model`, which asks the session's keeper, plays and opens. The model reports what happened, and each
//! widget updates its own part. `start`, `log`, `study` and `show` are the pages, `picture` is the footage with the bar under it, `ribbon` and
//! `pad` are drawn widgets, `dialogs` the dialogs, `kit` what several of them use. The `window` knows the pages, and the `app` knows
//! the window.

mod app;
mod desktop;
#[cfg(test)]
mod desktop_tests;
mod dialogs;
mod kit;
mod libraries;
mod library;
mod log;
mod model;
mod pad;
mod picture;
mod ribbon;
mod show;
mod start;
mod study;
mod window;

pub use app::{Start, run};
pub use libraries::libraries;
