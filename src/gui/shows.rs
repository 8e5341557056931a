//! Which patterns the current point shows: a page beside the pad, each name a way to all points that show it.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::window::Window;
use crate::facts::PointFacts;
use crate::pattern::{Answer, Pattern, answer};
use crate::session::filter::Filter;
use crate::session::state::Session;

/// The page in Pango's markup: what the point shows, then what it does not tell of.
fn page(patterns: &[Pattern], facts: &PointFacts) -> String {
    let lines = |wanted: Answer, sign: &str| {
        let met = patterns.iter().enumerate().filter(|(_, p)| answer(p, facts) == wanted);
        met.map(|(i, p)| format!("{sign} <a href=\"{i}\">{}</a>", glib::markup_escape_text(&p.name)))
            .collect::<Vec<_>>()
    };
    let (yes, unknown) = (lines(Answer::Yes, "✓"), lines(Answer::Unknown, "?"));
    let mut text = vec![if yes.is_empty() { "None of the patterns.".into() } else { yes.join("\n") }];
    if !unknown.is_empty() {
        text.push(format!("\n<b>Not known from what was logged</b>\n{}", unknown.join("\n")));
    }
    text.join("\n")
}

impl Window {
    /// Wires the page: a name chosen filters by its pattern.
    pub fn wire_shows(&self) {
        let imp = self.imp();
        let window = self.downgrade();
        imp.side.connect_visible_child_notify(move |_| {
            if let Some(w) = window.upgrade()
                && let Some(s) = w.model().session().borrow().as_ref()
            {
                w.show_shown(s);
            }
        });
        let window = self.downgrade();
        imp.shows.connect_activate_link(move |_, pattern| {
            if let (Some(w), Ok(pattern)) = (window.upgrade(), pattern.parse()) {
                w.see_pattern(pattern);
            }
            glib::Propagation::Stop
        });
    }

    /// Shows the page, if it is the one in sight.
    pub fn show_shown(&self, s: &Session) {
        if self.imp().side.visible_child_name().as_deref() != Some("shows") {
            return;
        }
        let facts = s.current().and_then(|i| s.facts().get(i));
        let (title, text) = facts.map_or_else(
            || ("No points yet".to_owned(), String::new()),
            |f| (format!("Point {} shows", f.number + 1), page(s.patterns(), f)),
        );
        self.imp().shows_title.set_label(&title);
        self.imp().shows.set_markup(&text);
    }

    /// Sees the points that show a pattern, counted among those that can be asked for.
    fn see_pattern(&self, pattern: usize) {
        let wanted = {
            let session = self.model().session().borrow();
            let Some(p) = session.as_ref().and_then(|s| s.patterns().get(pattern).cloned()) else { return };
            Filter::Pattern(Box::new(p))
        };
        self.show_filters();
        let row = self.model().filters().borrow().iter().position(|f| *f == wanted);
        if let Some(row) = row {
            self.filter_by(row);
            self.show_filters();
            self.imp().side.set_visible_child_name("points");
        }
    }
}
