//! The window: GTK 4 on top of the core. It reads, asks for one edit, and shows the change.
//!
//! A key or a click goes to the `model`, which asks the session's keeper, plays and opens; the model tells what happened,
//! and each widget shows what is its own. `start`, `log` and `study` are the pages, `picture` the footage and what lies
//! under it, `ribbon` and `pad` drawn widgets, `dialogs` the dialogs, `kit` what several use. The `window` knows the pages,
//! and the `app` the window.

mod app;
mod dialogs;
mod kit;
mod log;
mod model;
mod pad;
mod picture;
mod ribbon;
mod start;
mod study;
mod window;

pub use app::{Start, run};
