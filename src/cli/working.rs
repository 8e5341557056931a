//! Shared by verbs whose work takes long: how far it is, and how it is stopped.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressStyle};

use super::answer::FOUND;

/// Becomes true when the user or the system asks the program to end; asked again, it ends without delay.
pub(super) fn told_to_stop() -> std::io::Result<Arc<AtomicBool>> {
    let stop = Arc::new(AtomicBool::new(false));
    for signal in signal_hook::consts::TERM_SIGNALS {
        signal_hook::flag::register_conditional_shutdown(*signal, i32::from(FOUND), stop.clone())?;
        signal_hook::flag::register(*signal, stop.clone())?;
    }
    Ok(stop)
}

/// Whether the work goes on.
pub(super) fn going_on(stop: &AtomicBool) -> ControlFlow<()> {
    if stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
}

/// How far some work is, with the time that is left; what it is about stands before it.
pub(super) struct Bar(ProgressBar);

impl Bar {
    /// A bar at its start.
    pub(super) fn new(about: String) -> Self {
        let bar = ProgressBar::new(1000);
        let form = if about.is_empty() { "" } else { "{msg} " };
        if let Ok(style) =
            ProgressStyle::with_template(&format!("{form}{{bar:40}} {{percent:>3}} %  {{eta}} left"))
        {
            bar.set_style(style);
        }
        bar.set_message(about);
        Self(bar)
    }

    /// So much is done, from 0 to 1.
    pub(super) fn at(&self, done: f64) {
        self.0.set_position((done * 1000.0) as u64);
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
