//! What `changeover --version` prints: the version, the commit, and the libraries in use.

use std::sync::LazyLock;

use crate::about;

static TEXT: LazyLock<String> = LazyLock::new(|| about::report(libraries()));

#[cfg(feature = "gui")]
fn libraries() -> Vec<(&'static str, String)> {
    crate::gui::libraries()
}

#[cfg(not(feature = "gui"))]
fn libraries() -> Vec<(&'static str, String)> {
    vec![
        #[cfg(feature = "video")]
        ("GStreamer", crate::video::version()),
    ]
}

/// The lines after the program's name.
pub(super) fn text() -> &'static str {
    &TEXT
}
