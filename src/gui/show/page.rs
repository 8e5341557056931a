//! The Show page: it lays its parts out, and shows the clip that is chosen.

use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::empty::ShowEmpty;
use super::layer::show_lesson_drawings;
use super::list::PartList;
use super::stage::Stage;
use super::words::PartWords;
use crate::gui::model::{Event, Model};
use crate::gui::picture::transport::Transport;
use crate::gui::picture::view::FootageView;
use crate::lesson::{Part, Picture};
use crate::logging::Action;
use crate::record::printable;
use crate::session::play_list::Item;
use crate::session::show::keeper::Ask;
use crate::session::show::view::View;

/// The most letters that stand in the place of a picture.
const WORDS: usize = 600;

/// How long after a clip began on the stage its first frame is surely drawn.
const AFTER_DRAWING: Duration = Duration::from_millis(300);

pub mod imp {
    use std::cell::{Cell, OnceCell, RefCell};

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{FootageView, Item, Model, PartList, PartWords, ShowEmpty, Stage, Transport};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/show/page.ui")]
    pub struct ShowPage {
        #[template_child]
        pub empty: TemplateChild<ShowEmpty>,
        #[template_child]
        pub panes: TemplateChild<gtk::Paned>,
        #[template_child]
        pub list: TemplateChild<PartList>,
        #[template_child]
        pub astray: TemplateChild<gtk::Label>,
        #[template_child]
        pub view: TemplateChild<FootageView>,
        #[template_child]
        pub nothing: TemplateChild<gtk::Label>,
        #[template_child]
        pub transport: TemplateChild<Transport>,
        #[template_child]
        pub words: TemplateChild<PartWords>,
        pub model: OnceCell<Model>,
        /// Whether the page is in sight.
        pub seen: Cell<bool>,
        /// What the model was last told to play, and from which place.
        pub given: RefCell<(Vec<Item>, Option<usize>)>,
        pub stage: glib::WeakRef<Stage>,
        /// Whether the stage covers the page.
        pub covered: Cell<bool>,
        /// Counts the clips that begin on the stage, so that only the last one is chosen.
        pub begun: Cell<u32>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for ShowPage {
        const NAME: &'static str = "ChangeoverShowPage";
        type Type = super::ShowPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            ShowEmpty::ensure_type();
            PartList::ensure_type();
            FootageView::ensure_type();
            Transport::ensure_type();
            PartWords::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for ShowPage {}
    impl WidgetImpl for ShowPage {}
    impl BoxImpl for ShowPage {}
}

glib::wrapper! {
    /// The Show page.
    pub struct ShowPage(ObjectSubclass<imp::ShowPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl ShowPage {
    /// Shows the lesson of this model.
    pub fn set_up(&self, model: &Model) {
        let imp = self.imp();
        // It is set up once.
        let _ = imp.model.set(model.clone());
        imp.empty.set_up(model);
        imp.list.set_up(model);
        imp.words.set_up(model);
        imp.view.show(model.frames());
        show_lesson_drawings(&imp.view, model, Vec::new);
        imp.transport.set_up(model);
        imp.view.connect_clicked(glib::clone!(
            #[weak]
            model,
            move |_, _| model.play_pause()
        ));
        let on = |event, does: fn(&Self, &Model)| {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = page)]
                    self,
                    move |m| does(&page, m)
                ),
            );
        };
        on(Event::Lesson, Self::show);
        on(Event::Clip, Self::follow);
        on(Event::Footage, |page, _| {
            if page.imp().seen.get() {
                page.imp().view.grab_focus();
            }
        });
    }

    /// The page came into sight, or went.
    pub fn set_seen(&self, seen: bool) {
        let imp = self.imp();
        let was = imp.seen.replace(seen);
        let Some(model) = imp.model.get() else { return };
        if seen {
            imp.given.take();
            self.show(model);
            imp.view.grab_focus();
        } else if was {
            imp.words.keep();
            if model.in_lesson() {
                model.stop();
            }
        }
    }

    fn show(&self, model: &Model) {
        let imp = self.imp();
        let view = model.lesson();
        imp.empty.set_visible(view.is_none());
        imp.panes.set_visible(view.is_some());
        match view {
            None if imp.seen.get() => imp.empty.show_recent(model),
            None => {}
            Some(view) => {
                let astray = view.chosen.and_then(|at| view.rows().into_iter().nth(at)?.astray);
                imp.astray.set_visible(astray.is_some());
                imp.astray.set_label(&astray.unwrap_or_default());
                // What a later key wants comes with its own answer.
                if imp.seen.get() && model.lesson_is_settled() && !model.tells() {
                    self.show_clip(model, &view);
                }
                self.show_nothing(model, &view);
            }
        }
    }

    /// Where the lesson has nothing to show, the page says so in the place of a picture that belongs to something else.
    fn show_nothing(&self, model: &Model, view: &View) {
        let imp = self.imp();
        let words = match () {
            () if !view.items().is_empty() => in_place_of_picture(view).or_else(|| model.refused()),
            () if view.lesson.parts.iter().any(|part| !matches!(part, Part::Chapter(_))) => {
                Some("No clip of this lesson can be shown here.".to_owned())
            }
            () => {
                let [one, all] = [Action::AddClip, Action::AddClips].map(|a| model.cap(a));
                Some(format!(
                    "The lesson has no clip yet. In Log, Study or the library, {one} adds the chosen clip and {all} all clips of the \
                     list."
                ))
            }
        };
        imp.view.set_visible(words.is_none());
        imp.transport.set_visible(words.is_none() && !imp.covered.get());
        imp.nothing.set_visible(words.is_some());
        imp.nothing.set_label(&words.unwrap_or_default());
    }

    /// Shows the clip that is chosen, if it is not shown already. After a trim the frame stays.
    fn show_clip(&self, model: &Model, view: &View) {
        let items = view.items();
        let seen = view.chosen.and_then(|at| view.pictured(at));
        let at = seen.and_then(|at| items.iter().position(|(part, _)| *part == at));
        let items: Vec<Item> = items.into_iter().map(|(_, item)| item).collect();
        let before = self.imp().given.replace((items.clone(), at));
        if before == (items.clone(), at) && (model.in_lesson() || at.is_none()) {
            return;
        }
        let Some(at) = at else {
            // It has no picture, and the page says so: what was shown before stops.
            return if model.in_lesson() {
                model.stop();
            };
        };
        let shown = model.clip_item().filter(|_| model.in_lesson());
        let is_here = shown.is_some_and(|old| {
            old == items[at]
                || (before.1 == Some(at) && before.0.len() == items.len() && old.footage == items[at].footage)
        });
        if is_here {
            model.keep_clips(items, at);
        } else {
            model.show_clips(items, at, (false, true));
        }
    }

    /// Another clip is played: it is the one that is chosen; below the stage only after its first frame was drawn there.
    fn follow(&self, model: &Model) {
        let imp = self.imp();
        if let Some(view) = model.lesson().filter(|_| model.refused().is_some()) {
            self.show_nothing(model, &view);
        }
        imp.begun.set(imp.begun.get() + 1);
        if !imp.covered.get() {
            return self.choose_played(model);
        }
        let begun = imp.begun.get();
        glib::timeout_add_local_once(
            AFTER_DRAWING,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[weak]
                model,
                move || {
                    if page.imp().begun.get() == begun {
                        page.choose_played(&model);
                    }
                }
            ),
        );
    }

    fn choose_played(&self, model: &Model) {
        let imp = self.imp();
        let Some((at, _)) = model.clip().filter(|_| imp.seen.get() && model.in_lesson() && !model.tells())
        else {
            return;
        };
        let Some(view) = model.lesson() else { return };
        let part = view.items().get(at).map(|(part, _)| *part);
        let stands_for_chapter = !model.is_playing() && part == view.chosen.and_then(|at| view.pictured(at));
        if part.is_some() && part != view.chosen && !stands_for_chapter {
            imp.given.borrow_mut().1 = Some(at);
            model.ask_lesson(Ask::Choose(part));
        }
    }

    /// Chooses the part so many places on, or the first (or last) one.
    pub fn walk(&self, by: isize) {
        if let Some(model) = self.imp().model.get() {
            model.ask_lesson(Ask::Walk(by));
        }
    }

    /// Plays from the chosen clip on, one clip after another.
    pub fn play_on(&self) {
        let Some(model) = self.imp().model.get() else { return };
        let (items, at) = self.imp().given.borrow().clone();
        model.show_clips(items, at.unwrap_or(0), (true, false));
    }

    /// The stage covers the page: what the page draws each time would make the frames on the stage late.
    fn cover(&self, covers: bool) {
        let imp = self.imp();
        imp.covered.set(covers);
        imp.view.rest(covers);
        imp.transport.set_visible(imp.view.get_visible() && !covers);
    }

    /// Plays the lesson as a show from the chosen clip on.
    pub fn play_show(&self) {
        let imp = self.imp();
        let Some(model) = imp.model.get() else { return };
        imp.words.keep();
        if let Some(why) = nothing_to_play(model) {
            return model.say(why);
        }
        let Some(view) = model.lesson() else { return };
        let items = view.items();
        if imp.stage.upgrade().is_some() {
            return;
        }
        let window = self.root().and_downcast::<gtk::Window>();
        let stage = Stage::new(model, window.as_ref());
        imp.stage.set(Some(&stage));
        imp.words.present(stage.is_apart());
        self.cover(!stage.is_apart());
        stage.connect_unrealize(glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |_| {
                page.imp().words.present(false);
                page.cover(false);
            }
        ));
        let from = view.chosen.unwrap_or(0);
        let at = items.iter().position(|(part, _)| *part >= from).unwrap_or(items.len() - 1);
        let items: Vec<Item> = items.into_iter().map(|(_, item)| item).collect();
        imp.given.replace((items.clone(), Some(at)));
        model.show_clips(items, at, (true, true));
    }

    /// What is said in the place of the picture.
    #[cfg(test)]
    pub fn says_nothing(&self) -> Option<String> {
        let imp = self.imp();
        assert_eq!(imp.nothing.get_visible(), !imp.view.get_visible());
        imp.nothing.get_visible().then(|| imp.nothing.text().into())
    }

    /// What shows the lesson now.
    #[cfg(test)]
    pub fn stage(&self) -> Option<Stage> {
        self.imp().stage.upgrade()
    }

    /// The rows of the list.
    #[cfg(test)]
    pub fn rows(&self) -> Vec<crate::session::show::view::Row> {
        self.imp().list.rows()
    }

    /// Does what a key means in the show, if there is one: it may be on the other screen. Says whether there is.
    pub fn on_stage(&self, action: Action) -> bool {
        let stage = self.imp().stage.upgrade();
        stage.is_some_and(|stage| {
            stage.act(action);
            true
        })
    }

    /// Keeps the words that are being written.
    pub fn keep_words(&self) {
        self.imp().words.keep();
    }

    /// Goes to the caption, or to the notes.
    pub fn write(&self, in_notes: bool) {
        self.imp().words.write(in_notes);
    }

    /// Escape in a field: it is left, and what was written is kept. Says whether the focus is in one.
    pub fn leave_field(&self) -> bool {
        let focus = self.root().and_then(|r| gtk::prelude::RootExt::focus(&r));
        let within = focus.is_some_and(|f| f.is_ancestor(&*self.imp().words));
        if within {
            self.imp().view.grab_focus();
        }
        within
    }

    /// The list leaves so many pixels under it free.
    pub fn make_room(&self, pixels: i32) {
        self.imp().list.set_margin_bottom(if pixels > 0 { pixels + 8 } else { 0 });
    }

    /// Zooms the picture in or out, or shows all of it.
    pub fn zoom(&self, larger: Option<bool>) {
        self.imp().view.zoom_to(larger);
    }

    /// Gives the footage all of the page, or takes that back.
    pub fn toggle_large(&self) {
        let imp = self.imp();
        let large = imp.list.get_visible();
        imp.list.set_visible(!large);
        imp.words.set_visible(!large);
    }
}

/// What is said of the part that is chosen where it has no picture.
fn in_place_of_picture(view: &View) -> Option<String> {
    let at = view.chosen.filter(|at| view.pictured(*at).is_none())?;
    let clips = |n: &usize| !matches!(view.lesson.parts.get(*n), None | Some(Part::Chapter(_)));
    Some(match view.lesson.parts.get(at)? {
        Part::Chapter(_) if clips(&(at + 1)) => "No clip of this chapter can be shown here.".to_owned(),
        Part::Chapter(_) => "This chapter has no clip yet.".to_owned(),
        Part::Still(still) => match &still.shows {
            Picture::Words(words) => {
                let lines: Vec<_> = words.lines().map(|line| printable(line, WORDS)).collect();
                lines.join("\n").chars().take(WORDS).collect()
            }
            Picture::Court(_) => {
                "A video and a page of the lesson show this picture of the court. It is not shown here."
                    .to_owned()
            }
        },
        Part::Clip(_) | Part::Pair(_) => "This clip cannot be shown here.".to_owned(),
    })
}

/// Why what is chosen cannot be watched, if so.
pub fn nothing_to_watch(model: &Model) -> Option<&'static str> {
    let is_unseen = |view: View| view.chosen.is_some_and(|at| view.pictured(at).is_none());
    let unseen = || model.lesson().is_some_and(is_unseen).then_some("Choose a clip of the lesson first.");
    nothing_to_play(model).or_else(unseen)
}

/// Why nothing can be played on the page, if so.
pub fn nothing_to_play(model: &Model) -> Option<&'static str> {
    match model.lesson() {
        None => Some("Open a lesson first, or make a new one."),
        Some(view) if view.items().is_empty() => {
            let has_clips = view.lesson.parts.iter().any(|part| part.clips().next().is_some());
            Some(if has_clips {
                "No clip of the lesson can be played: their footage is not there. Put it back first."
            } else {
                "The lesson has no clip that can be played. Add clips to it first."
            })
        }
        Some(_) => None,
    }
}
