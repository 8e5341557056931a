//! Asking for files, and whether to open another match.

use gtk::glib;
use gtk::prelude::*;

use super::model::StudyModel;
use super::outside::{dialog, when_chosen};
use super::widgets::text;
use crate::session::study::facets::teams;

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

/// Asks whether to open the match whose clips were to be played in the place of the one that is open.
pub fn ask_to_open(over: &impl IsA<gtk::Widget>, study: &StudyModel) {
    let Some(((record, path), answered)) = study.elsewhere().zip(study.answered()) else { return };
    let (Some(m), Some(window)) = (answered.pool.matches().get(record), window_of(over)) else { return };
    let page = gtk::Box::new(gtk::Orientation::Vertical, 14);
    let words = format!(
        "These points are in {}, which is not open. Open it in place of this match? This match is saved, and its points \
         are still counted here.",
        teams(m)
    );
    let words = text(&words, &[]);
    words.set_max_width_chars(52);
    page.append(&words);
    let button =
        gtk::Button::builder().label("Open").halign(gtk::Align::End).css_classes(["primary"]).build();
    page.append(&button);
    let dialog = dialog(&window, "Open another match", &page, (460, -1));
    dialog.set_default_widget(Some(&button));
    button.connect_clicked(glib::clone!(
        #[weak]
        study,
        #[weak]
        dialog,
        move |_| {
            dialog.close();
            if let Some(model) = study.model() {
                model.open(std::slice::from_ref(&path));
            }
        }
    ));
    dialog.present();
}
