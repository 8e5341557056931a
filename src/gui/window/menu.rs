//! The window's menu: what the program can do, with the key of each, from the table of actions.

use gtk::subclass::prelude::*;
use gtk::{gio, glib};

use super::frame::Window;
use crate::gui::model::{Event, Model};
use crate::logging::Action;

/// What the menu offers, in its sections.
const SECTIONS: [&[Action]; 5] = [
    &[Action::Open, Action::LogWithout, Action::AttachFootage, Action::PracticeMatch, Action::Export],
    &[
        Action::WhatFootage,
        Action::MatchDetails,
        Action::Sources,
        Action::Correct,
        Action::Patterns,
        Action::Preferences,
    ],
    &[
        Action::NewLesson,
        Action::OpenLesson,
        Action::AddClip,
        Action::AddClips,
        Action::PlayShow,
        Action::RecordTalk,
        Action::PlayTalk,
    ],
    &[
        Action::GoToTime,
        Action::CutHere,
        Action::Draw,
        Action::LargeFootage,
        Action::FullScreen,
        Action::LightDark,
    ],
    &[Action::Save, Action::Help, Action::About, Action::Quit],
];

impl Window {
    /// Makes the menu, and makes it anew when keys mean something else.
    pub fn wire_menu(&self) {
        self.model().on(
            Event::Card,
            glib::clone!(
                #[weak(rename_to = w)]
                self,
                move |m| w.imp().menu.set_menu_model(Some(&menu(m)))
            ),
        );
    }
}

fn menu(model: &Model) -> gio::Menu {
    let menu = gio::Menu::new();
    for actions in SECTIONS {
        let section = gio::Menu::new();
        for action in actions {
            let cap = model.cap(*action);
            let key = if cap.is_empty() { String::new() } else { format!("   {cap}") };
            let label = format!("{}{key}", action.title());
            section.append(Some(&label), Some(&format!("win.{}", action.name())));
        }
        menu.append_section(None, &section);
    }
    menu
}
