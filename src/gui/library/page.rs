//! The Library page: it lays its parts out.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::matches::MatchList;
use super::model::LibraryModel;
use super::results::FindList;
use super::search_box::SearchBox;
use crate::gui::kit::export_menu::Wanted;
use crate::gui::model::{Event, Model};
use crate::gui::picture::transport::Transport;
use crate::gui::picture::view::FootageView;
use crate::logging::{Action, Meaning};
use crate::session::library::finds::Finds;

pub mod imp {
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{FindList, FootageView, LibraryModel, MatchList, SearchBox, Transport};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/library/page.ui")]
    pub struct LibraryPage {
        #[template_child]
        pub search: TemplateChild<SearchBox>,
        #[template_child]
        pub panes: TemplateChild<gtk::Paned>,
        #[template_child]
        pub matches: TemplateChild<MatchList>,
        #[template_child]
        pub footage: TemplateChild<gtk::Box>,
        #[template_child]
        pub view: TemplateChild<FootageView>,
        #[template_child]
        pub transport: TemplateChild<Transport>,
        #[template_child]
        pub results: TemplateChild<FindList>,
        pub library: LibraryModel,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for LibraryPage {
        const NAME: &'static str = "ChangeoverLibraryPage";
        type Type = super::LibraryPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            SearchBox::ensure_type();
            MatchList::ensure_type();
            FootageView::ensure_type();
            Transport::ensure_type();
            FindList::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for LibraryPage {}
    impl WidgetImpl for LibraryPage {}
    impl BoxImpl for LibraryPage {}
}

glib::wrapper! {
    /// The Library page.
    pub struct LibraryPage(ObjectSubclass<imp::LibraryPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl LibraryPage {
    /// Shows the library, and plays by this model.
    pub fn set_up(&self, model: &Model) {
        let imp = self.imp();
        imp.library.set_up(model);
        imp.search.set_up(&imp.library);
        imp.matches.set_up(&imp.library);
        imp.results.set_up(&imp.library);
        imp.view.show(model.frames());
        imp.transport.set_up(model);
        imp.view.connect_clicked(glib::clone!(
            #[weak]
            model,
            move |_, _| model.play_pause()
        ));
        // Without footage there is more room for the clips.
        imp.footage.set_visible(false);
        let show = glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |m: &Model| page.imp().footage.set_visible(m.player().borrow().is_some())
        );
        for event in [Event::Opened, Event::Closed, Event::Moment, Event::Clip] {
            model.on(event, show.clone());
        }
    }

    /// Asks how and where to save the clips that are listed, if there are any.
    pub fn export(&self) {
        self.imp().results.export(Wanted::SaveAs);
    }

    /// The page came into sight, or went.
    pub fn set_seen(&self, seen: bool) {
        let imp = self.imp();
        if seen {
            imp.matches.show_folders();
            imp.search.grab_focus();
        }
        imp.library.set_seen(seen);
    }

    /// The clips that were found, or only the one that is chosen in the list.
    pub fn to_add(&self, all: bool) -> Finds {
        let imp = self.imp();
        let mut finds = imp.library.finds().look(Clone::clone);
        if !all {
            let chosen = imp.results.selected().and_then(|at| finds.points.get(at).copied());
            finds.points = Vec::from_iter(chosen);
        }
        finds
    }

    /// Zooms the picture in or out, or shows all of it.
    pub fn zoom(&self, larger: Option<bool>) {
        self.imp().view.zoom_to(larger);
    }

    /// Gives the footage all of the page, or takes that back.
    pub fn toggle_large(&self) {
        let imp = self.imp();
        let large = imp.matches.get_visible();
        imp.matches.set_visible(!large);
        imp.results.set_visible(!large);
        imp.search.set_visible(!large);
    }

    /// Does what a key means for the selected clip. Says whether it means something.
    pub fn does(&self, meaning: &Meaning) -> bool {
        let imp = self.imp();
        let Some(model) = imp.library.model() else { return false };
        match meaning {
            Meaning::Tag(tag) => imp.results.tag(tag),
            Meaning::Do(Action::Note) => imp.results.begin_note(),
            Meaning::Do(Action::ClipUp) => imp.results.shift(false),
            Meaning::Do(Action::ClipDown) => imp.results.shift(true),
            Meaning::Do(Action::DeletePoint) => imp.results.remove(),
            Meaning::Do(Action::PlayMatching) => imp.library.play_from(0),
            Meaning::Do(Action::ClearFilter) => model.be_quiet(),
            // Clips that were just added to the lesson are taken off first.
            Meaning::Do(Action::Undo) => return !model.has_added() && imp.library.takes_back(),
            Meaning::Do(Action::Redo) => return imp.library.does_again(),
            Meaning::Do(Action::PointBack | Action::MatchBack) if model.plays_clips() => {
                model.go_to_clip(false);
            }
            Meaning::Do(Action::PointForward | Action::MatchForward) if model.plays_clips() => {
                model.go_to_clip(true);
            }
            Meaning::Do(_) => return false,
        }
        true
    }

    /// Whether the focus is in a list, whose rows take Return for themselves.
    pub fn focus_in_list(&self) -> bool {
        let imp = self.imp();
        imp.matches.imp().list.focus_child().is_some() || imp.results.imp().list.focus_child().is_some()
    }

    /// Escape in a field that searches: what is offered goes, then the words, and then the field is left. The line of a note is put
    /// away. Says whether the focus is in one.
    pub fn leave_search(&self) -> bool {
        let focus = self.root().and_then(|r| gtk::prelude::RootExt::focus(&r));
        let note = self.imp().results.imp().note.get();
        if focus.as_ref().is_some_and(|f| f.is_ancestor(&note)) {
            return self.imp().results.end_note();
        }
        let entry = focus
            .and_then(|f| f.ancestor(gtk::SearchEntry::static_type()))
            .and_downcast::<gtk::SearchEntry>();
        let Some(entry) = entry.filter(|e| e.is_ancestor(self)) else { return false };
        if self.imp().search.hide_offers() {
            return true;
        }
        if entry.text().is_empty() {
            self.imp().results.child_focus(gtk::DirectionType::TabForward);
        } else {
            entry.set_text("");
        }
        true
    }
}
