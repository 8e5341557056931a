//! What needs a window: dialogs, choosing files, full screen.

use chrono::Local;
use gtk::gio;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::frame::Window;
use super::state::Room;
use crate::gui::dialogs;
use crate::gui::dialogs::export::Subject;
use crate::gui::kit::chooser::when_chosen;
use crate::logging::Action;
use crate::making;
use crate::session::exporting::Source;

impl Window {
    /// Does an action that the model wants of the window.
    pub fn do_wanted(&self, action: Action) {
        let (imp, model) = (self.imp(), self.model());
        match action {
            Action::Note => imp.log.begin_note(model),
            Action::Draw => self.draw(),
            Action::Filter => imp.log.open_filter(model),
            Action::Plan => dialogs::plan::show(model, self),
            Action::Preferences => dialogs::preferences::show(model, self),
            Action::Patterns => dialogs::builder::show(model, self),
            Action::Explain => dialogs::explain::show(model, self),
            Action::MatchDetails => dialogs::details::show(model, self),
            Action::Sources => dialogs::sources::show(model, self),
            Action::Correct => dialogs::correct::show(model, self),
            Action::GoToTime => dialogs::go_to::show(model, self),
            Action::PracticeMatch => dialogs::practice::show(model, self),
            Action::Export => self.export(),
            Action::Help => dialogs::help::show(model, self, "keys"),
            Action::About => dialogs::about::show(self),
            Action::LargeFootage => self.large_footage(),
            Action::RoomLog => self.enter(Room::Log),
            Action::RoomStudy => self.enter(Room::Study),
            Action::RoomLibrary => self.enter(Room::Library),
            Action::Open => self.ask_for_files(),
            Action::LogWithout => self.ask_where_to_log(),
            Action::AttachFootage => self.ask_for_film(),
            Action::FullScreen => self.set_fullscreened(!self.is_fullscreen()),
            Action::PadCorner => imp.log.next_corner(),
            Action::ZoomIn => self.zoom(Some(true)),
            Action::ZoomOut => self.zoom(Some(false)),
            Action::ZoomReset => self.zoom(None),
            Action::Measure => {
                self.enter(Room::Log);
                imp.log.toggle_measure();
            }
            Action::AcceptPlayers | Action::AcceptPointPlayers | Action::NextProposal => {
                self.enter(Room::Log);
                imp.log.players(model, action);
            }
            Action::Quit => self.close(),
            other => self.do_lesson(other),
        }
    }

    /// Begins to draw on the picture of the Log page, or stops.
    fn draw(&self) {
        self.enter(Room::Log);
        self.imp().log.draw();
    }

    /// What can be exported: on the Show page its lesson, else of the match, in Study with the answer on the screen.
    fn to_export(&self) -> Option<Subject> {
        if self.is_in_show()
            && let Some(view) = self.model().lesson()
        {
            return Some(Subject::Lesson(making::Source::new(view.lesson, view.path)));
        }
        let source = dialogs::export::source(self.model())?;
        if !self.is_in_study() {
            return Some(Subject::Match(Box::new(source)));
        }
        let study = &self.imp().study;
        let title = study.chosen_title().unwrap_or(source.title);
        let source = Source { answer: study.answer_of(&source.path), title, ..source };
        Some(Subject::Match(Box::new(source)))
    }

    /// Asks what to export. Words that are being written for a clip are kept first.
    fn export(&self) {
        self.imp().show.keep_words();
        if self.is_in_library() {
            self.imp().library.export();
        } else if !(self.is_in_show() && self.model().exports_later()) {
            dialogs::export::show(self.model(), self, self.to_export());
        }
    }

    pub fn chooser(&self, title: &str, how: gtk::FileChooserAction, accept: &str) -> gtk::FileChooserNative {
        gtk::FileChooserNative::new(Some(title), Some(self), how, Some(accept), Some("Cancel"))
    }

    /// Asks for a file, or for all files of a match.
    fn ask_for_files(&self) {
        let chooser = self.chooser("Open footage or a record", gtk::FileChooserAction::Open, "Open");
        chooser.set_select_multiple(true);
        let model = self.model().clone();
        when_chosen(&chooser, move |paths| model.open(&paths));
    }

    /// Asks for the folder of files that are seen without it.
    pub fn ask_for_folder(&self) {
        let title = "Choose the folder that holds the footage";
        let chooser = self.chooser(title, gtk::FileChooserAction::SelectFolder, "Choose");
        let model = self.model().clone();
        when_chosen(&chooser, move |paths| {
            if let [folder] = &paths[..] {
                model.open_within(folder.clone());
            }
        });
    }

    /// Asks for the film, or for all films of the match.
    fn ask_for_film(&self) {
        if let Some(why) = self.model().why_not_attach() {
            return self.model().say(&why);
        }
        let chooser =
            self.chooser("Attach footage from the record’s folder", gtk::FileChooserAction::Open, "Attach");
        chooser.set_select_multiple(true);
        let folder =
            self.model().session().borrow().as_ref().and_then(|s| Some(s.view.path.parent()?.to_owned()));
        if let Some(folder) = folder.and_then(|f| std::path::absolute(f).ok()) {
            // The chooser offers another folder when it cannot show this one.
            let _ = chooser.set_current_folder(Some(&gio::File::for_path(folder)));
        }
        let model = self.model().clone();
        when_chosen(&chooser, move |paths| model.attach(paths));
    }

    /// Asks where the record of a match without footage is to be.
    fn ask_where_to_log(&self) {
        let chooser =
            self.chooser("Log without footage: save the record as", gtk::FileChooserAction::Save, "Start");
        chooser.set_current_name(&format!("match-{}.points.json", Local::now().format("%Y-%m-%d")));
        if let Ok(here) = std::env::current_dir() {
            // The chooser offers another folder when it cannot show this one.
            let _ = chooser.set_current_folder(Some(&gio::File::for_path(here)));
        }
        let model = self.model().clone();
        when_chosen(&chooser, move |paths| {
            if let [path] = &paths[..] {
                model.log_without(path);
            }
        });
    }
}
