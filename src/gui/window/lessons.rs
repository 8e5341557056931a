//! What a lesson needs of the window: file names, clips from the page that is shown, and keys on the Show page.

use std::path::Path;
use std::sync::Arc;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::frame::Window;
use super::state::Room;
use crate::gui::kit::chooser::when_chosen;
use crate::gui::show::nothing_to_watch;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::{Action, Meaning};
use crate::page::{Names, Naming};
use crate::record::consent::today;
use crate::record::{MatchInfo, Player, Record};
use crate::session::show::act::Act;
use crate::session::show::adding::proposed_name;
use crate::session::show::keeper::Ask;

impl Window {
    /// Whether the Show page is to be seen.
    pub fn is_in_show(&self) -> bool {
        self.imp().rooms.visible_child_name().as_deref() == Some("show")
    }

    /// Does an action about lessons that the model wants.
    pub fn do_lesson(&self, action: Action) {
        match action {
            Action::AddClip => self.add_to_lesson(false),
            Action::AddClips => self.add_to_lesson(true),
            Action::NewLesson => self.ask_new_lesson(),
            Action::OpenLesson => self.ask_lesson_file(),
            Action::RoomShow => self.enter(Room::Show),
            Action::PlayShow => {
                self.enter(Room::Show);
                self.imp().show.play_show();
            }
            Action::RecordTalk | Action::PlayTalk => {
                self.enter(Room::Show);
                self.imp().show.play_show();
                self.imp().show.on_stage(action);
            }
            Action::TalkFilters => self.model().change_filters(),
            Action::CutTalk => self.model().cut_talk(),
            _ => {
                let cap = self.model().cap(Action::RoomShow);
                self.model().say(&format!("You can do that on the Show page ({cap})."));
            }
        }
    }

    /// Adds the chosen clip of the page, or all clips of its list.
    fn add_to_lesson(&self, all: bool) {
        let (imp, model) = (self.imp(), self.model());
        let finds = match imp.rooms.visible_child_name().as_deref() {
            Some("log") => imp.log.imp().points.finds(model, all),
            Some("study") => imp.study.to_add(all),
            Some("library") => Some(imp.library.to_add(all)),
            _ => return model.say("Clips are added from Log, Study or the library."),
        };
        match finds.filter(|f| !f.points.is_empty()) {
            Some(finds) => model.add_to_lesson(finds),
            None if all => model.say("The list has no clip to add."),
            None => {
                let cap = model.cap(Action::AddClips);
                model.say(&format!("Choose a clip first. {cap} adds all clips of the list."));
            }
        }
    }

    /// A name for a new lesson in this folder: who plays, by their first names, and when; of clips from the library what they show.
    pub fn new_lesson_name(&self, folder: Option<&Path>) -> String {
        let session = self.model().session().borrow();
        let waiting = self.model().waiting_title();
        let from_library = self.imp().rooms.visible_child_name().as_deref() == Some("library");
        let record = session.as_ref().map(|s| &s.view.record).filter(|_| !from_library || waiting.is_none());
        let unknown = MatchInfo::default();
        let is_known = |(_, p): (_, &Player)| ![&unknown.a.name, &unknown.b.name].contains(&&p.name);
        let words = if record.is_some_and(|r| r.about.people().any(is_known)) {
            let named = |r: &Arc<Record>| {
                let people: Vec<String> = r.about.people().map(|(_, p)| p.name.clone()).collect();
                Names::of(&people, Naming::First).shown(&r.about.title())
            };
            record.map(named)
        } else {
            waiting
        };
        let date = record.and_then(|r| r.about.date).or_else(|| words.is_none().then(today));
        let date = date.map(|date| date.to_string());
        let is_taken = |name: &str| folder.is_some_and(|f| f.join(name).symlink_metadata().is_ok());
        proposed_name(&words.unwrap_or_default(), date.as_deref(), &is_taken)
    }

    fn ask_new_lesson(&self) {
        let chooser = self.chooser("New lesson: save it as", gtk::FileChooserAction::Save, "Make");
        let session = self.model().session().borrow();
        let folder = session.as_ref().and_then(|s| Some(s.view.path.parent()?.to_owned()));
        drop(session);
        let folder = folder.and_then(|f| std::path::absolute(f).ok());
        chooser.set_current_name(&self.new_lesson_name(folder.as_deref()));
        if let Some(folder) = folder {
            // The chooser offers another folder when it cannot show this one.
            let _ = chooser.set_current_folder(Some(&gtk::gio::File::for_path(folder)));
        }
        let model = self.model().clone();
        when_chosen(&chooser, move |paths| {
            if let [path] = &paths[..] {
                model.make_lesson(path);
            }
        });
    }

    fn ask_lesson_file(&self) {
        let chooser = self.chooser("Open a lesson", gtk::FileChooserAction::Open, "Open");
        let filter = gtk::FileFilter::new();
        filter.set_name(Some("Lessons"));
        filter.add_pattern("*.lesson.json");
        chooser.add_filter(&filter);
        let model = self.model().clone();
        when_chosen(&chooser, move |paths| {
            if let [path] = &paths[..] {
                model.open_lesson(path.clone());
            }
        });
    }

    /// Does what a key means on the Show page, where that is something else. Says whether it is done.
    pub fn show_by(&self, meaning: &Meaning) -> bool {
        if !self.is_in_show() {
            return false;
        }
        let (show, model) = (&self.imp().show, self.model());
        let act = |act| model.ask_lesson(Ask::Act(act));
        // Before the part that they belong to is at another place.
        show.keep_words();
        match meaning {
            Meaning::Do(action) if shows(*action) && show.on_stage(*action) => {}
            Meaning::Do(Action::Undo) => model.ask_lesson(Ask::Undo),
            Meaning::Do(Action::Redo) => model.ask_lesson(Ask::Redo),
            Meaning::Do(Action::Save) => model.ask_lesson(Ask::Save),
            Meaning::Do(Action::StartHere) => model.act_at_frame(|at, _| Act::From(at)),
            Meaning::Do(Action::EndHere) => model.act_at_frame(|_, gone| Act::To(gone)),
            Meaning::Do(Action::SplitClip) => model.act_at_frame(|at, _| Act::Split(at)),
            Meaning::Do(Action::FreezeClip) => model.act_at_frame(|at, _| Act::Freeze(at)),
            Meaning::Do(Action::SlowClip) => model.act_at_frame(|at, _| Act::Slow(at)),
            Meaning::Do(Action::DeletePoint) => act(Act::Remove),
            Meaning::Do(Action::ClipUp) => act(Act::Up),
            Meaning::Do(Action::ClipDown) => act(Act::Down),
            Meaning::Do(Action::NewChapter) => act(Act::Chapter(String::new())),
            Meaning::Do(Action::ClipCaption) => show.write(false),
            Meaning::Do(Action::Note | Action::ClipNotes | Action::ShowNotes) => show.write(true),
            Meaning::Do(Action::PlayMatching) => show.play_on(),
            Meaning::Do(Action::Replay | Action::LoopPoint) => model.replay_clip(),
            Meaning::Do(Action::ClearFilter) => model.be_quiet(),
            Meaning::Do(action) if Self::walks(*action).is_some() => {
                show.walk(Self::walks(*action).unwrap_or(0));
            }
            Meaning::Do(action) => {
                let group = ACTIONS.iter().find(|r| r.action == *action).map(|r| r.group);
                match (group, nothing_to_watch(model)) {
                    // The picture of another page is out of sight here.
                    (Some(Group::Watch), Some(why)) => model.say(why),
                    (Some(Group::Watch | Group::Show | Group::Window), _) => return false,
                    _ => self.say_logging(),
                }
            }
            Meaning::Tag(_) => self.say_logging(),
        }
        true
    }

    /// How many parts of the lesson a key leads on.
    const fn walks(action: Action) -> Option<isize> {
        match action {
            Action::PointBack | Action::GameBack | Action::SetBack | Action::MatchBack => Some(-1),
            Action::PointForward | Action::GameForward | Action::SetForward | Action::MatchForward => Some(1),
            Action::FirstPoint => Some(isize::MIN),
            Action::LastPoint => Some(isize::MAX),
            _ => None,
        }
    }
}

/// Whether an action leads along a show.
fn shows(action: Action) -> bool {
    Window::walks(action).is_some()
        || matches!(
            action,
            Action::Replay
                | Action::LoopPoint
                | Action::PlayMatching
                | Action::RecordTalk
                | Action::PlayTalk
                | Action::CutTalk
                | Action::TalkFilters
        )
}
