//! Asking for files, and whether to open another match.

use std::path::Path;

use gtk::glib;
use gtk::prelude::*;

use super::model::StudyModel;
use super::outside::{dialog, when_chosen};
use super::widgets::text;
use crate::export::{ExportError, answer};
use crate::saving::{self, Replace, SaveError};
use crate::session::study::asking::Answered;
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

/// Asks where to save the tables of the answer.
pub fn export_table(over: &gtk::Button, study: &StudyModel) {
    let title = "Save the tables of this answer";
    export(over, study, title, "csv", |_, answered| answer::csv(&answered.findings));
}

/// Asks where to save the court picture that is shown.
pub fn export_court(over: &gtk::Button, study: &StudyModel) {
    export(over, study, "Save the court picture", "svg", |study, answered| {
        let f = &answered.findings;
        Ok(f.maps.get(study.map()).map_or_else(String::new, |map| answer::court_svg(f, map)))
    });
}

type Make = fn(&StudyModel, &Answered) -> Result<String, ExportError>;

fn export(over: &gtk::Button, study: &StudyModel, title: &str, ending: &'static str, make: Make) {
    let Some(answered) = study.answered() else { return };
    let chooser = chooser(over, title, gtk::FileChooserAction::Save, ending);
    chooser.set_current_name(&format!("{}.{ending}", file_name(&answered.findings.question)));
    when_chosen(
        &chooser,
        glib::clone!(
            #[weak]
            study,
            move |paths| {
                if let Some(path) = paths.first() {
                    save(&study, path, ending, make);
                }
            }
        ),
    );
}

/// Saves what is made of the answer under this name, with its ending, and says so.
pub fn save(study: &StudyModel, chosen: &Path, ending: &str, make: Make) {
    let Some(answered) = study.answered() else { return };
    let path = with_ending(chosen, ending);
    // The chooser has asked before the file that was chosen is replaced, and no other.
    let replace = if path == chosen { Replace::WhatWasWritten } else { Replace::Nothing };
    let text = match make(study, &answered) {
        Ok(text) => text,
        Err(e) => return study.say(&e.to_string()),
    };
    match saving::save(&path, &text, replace, &[]) {
        Ok(()) => study.say(&format!("Saved as {}.", path.display())),
        Err(SaveError::Exists { path }) => {
            study.say(&format!("{} is there already. Choose another name.", path.display()));
        }
        Err(e) => study.say(&e.to_string()),
    }
}

/// The path with this ending, where it has another or none.
fn with_ending(path: &Path, ending: &str) -> std::path::PathBuf {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case(ending)) {
        return path.to_owned();
    }
    let mut name = path.as_os_str().to_owned();
    name.push(format!(".{ending}"));
    name.into()
}

/// A question as the name of a file: letters and digits, with hyphens between its words.
fn file_name(question: &str) -> String {
    let words = question.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.collect::<Vec<_>>().join("-").to_lowercase().chars().take(60).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_makes_a_plain_file_name() {
        assert_eq!(file_name("What wins my service points?"), "what-wins-my-service-points");
        assert_eq!(file_name("../A/b: é"), "a-b-é");
        assert_eq!(with_ending(Path::new("/x/a.b"), "csv"), Path::new("/x/a.b.csv"));
        assert_eq!(with_ending(Path::new("/x/a.CSV"), "csv"), Path::new("/x/a.CSV"));
    }
}
