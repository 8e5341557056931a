//! Asking for files.

use gtk::glib;
use gtk::prelude::*;

use super::model::StudyModel;
use super::outside::when_chosen;

fn window_of(widget: &impl IsA<gtk::Widget>) -> Option<gtk::Window> {
    widget.root().and_downcast()
}

/// A chooser of files with this ending.
pub fn chooser(
    over: &impl IsA<gtk::Widget>,
    title: &str,
    action: gtk::FileChooserAction,
    ending: &str,
) -> gtk::FileChooserNative {
    let yes = if action == gtk::FileChooserAction::Save { "Save" } else { "Open" };
    let window = window_of(over);
    let chooser =
        gtk::FileChooserNative::new(Some(title), window.as_ref(), action, Some(yes), Some("Cancel"));
    let filter = gtk::FileFilter::new();
    filter.add_pattern(&format!("*.{ending}"));
    filter.set_name(Some(&format!("*.{ending}")));
    chooser.add_filter(&filter);
    chooser
}

/// Asks for a file of questions.
pub fn choose_questions(over: &impl IsA<gtk::Widget>, study: &StudyModel) {
    let chooser = chooser(over, "Open a file of questions", gtk::FileChooserAction::Open, "toml");
    when_chosen(
        &chooser,
        glib::clone!(
            #[weak]
            study,
            move |paths| {
                if let Some(path) = paths.into_iter().next() {
                    study.add_questions(path);
                }
            }
        ),
    );
}

/// Asks for records of other matches.
pub fn choose_matches(over: &impl IsA<gtk::Widget>, study: &StudyModel) {
    let chooser = chooser(over, "Add matches", gtk::FileChooserAction::Open, "points.json");
    chooser.set_select_multiple(true);
    when_chosen(
        &chooser,
        glib::clone!(
            #[weak]
            study,
            move |paths| study.add_matches(paths)
        ),
    );
}
