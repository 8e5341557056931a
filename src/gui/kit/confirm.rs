//! A question over a dialog, with a button for each answer.

use gtk::glib;
use gtk::prelude::*;

use super::dialog::dialog;
use super::fields::title;

/// What an answer does.
pub type Does = Box<dyn Fn()>;

/// Asks `text`. Each answer is a button that does something and closes the question; Cancel, or Escape, does nothing. The
/// last answer is the one that Return presses.
pub fn confirm(
    parent: &impl IsA<gtk::Window>,
    about: &str,
    text: &str,
    answers: Vec<(&str, Does)>,
) -> gtk::Window {
    let all = gtk::Box::new(gtk::Orientation::Vertical, 16);
    let words = title(text);
    words.set_wrap(true);
    words.set_max_width_chars(56);
    all.append(&words);
    let buttons = gtk::Box::new(gtk::Orientation::Horizontal, 12);
    buttons.set_halign(gtk::Align::End);
    all.append(&buttons);
    let question = dialog(parent, about, &all, (460, -1));
    let cancel = gtk::Button::with_label("Cancel");
    cancel.connect_clicked(glib::clone!(
        #[weak]
        question,
        move |_| question.close()
    ));
    buttons.append(&cancel);
    let last = answers.len().saturating_sub(1);
    for (n, (label, does)) in answers.into_iter().enumerate() {
        let button = gtk::Button::with_label(label);
        button.connect_clicked(glib::clone!(
            #[weak]
            question,
            move |_| {
                question.close();
                does();
            }
        ));
        buttons.append(&button);
        if n == last {
            button.add_css_class("primary");
            question.set_default_widget(Some(&button));
        }
    }
    question
}
