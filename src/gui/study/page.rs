//! The Study page: it lays its parts out, remembers where its handles are, and gives keys to the part that has the focus.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::answer::AnswerView;
use super::cells::Place;
use super::clips::ClipsPanel;
use super::court::CourtPicture;
use super::filter::FilterPanel;
use super::model::{StudyModel, Told};
use super::outside::{FootageView, Transport, before_drawing, scale, show_drawings, when_moved};
use super::panes::{Handles, Room, Shape};
use super::questions::QuestionList;
use crate::gui::model::Model;
use crate::logging::{Action, Key, Meaning};
use crate::session::study::asking::Asked;

pub mod imp {
    use std::cell::Cell;

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{
        AnswerView, ClipsPanel, CourtPicture, FilterPanel, FootageView, Place, QuestionList, StudyModel,
        Transport,
    };

    #[derive(Default, CompositeTemplate, glib::Properties)]
    #[properties(wrapper_type = super::StudyPage)]
    #[template(file = "../../../ui/study/page.ui")]
    pub struct StudyPage {
        #[template_child]
        pub aside: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub aside_box: TemplateChild<gtk::Box>,
        #[template_child]
        pub panes: TemplateChild<gtk::Paned>,
        #[template_child]
        pub answer_side: TemplateChild<gtk::Box>,
        #[template_child]
        pub question_button: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub question_words: TemplateChild<gtk::Label>,
        #[template_child]
        pub question_popover: TemplateChild<gtk::Popover>,
        #[template_child]
        pub questions: TemplateChild<QuestionList>,
        #[template_child]
        pub filter_button: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub filter_words: TemplateChild<gtk::Label>,
        #[template_child]
        pub filter_popover: TemplateChild<gtk::Popover>,
        #[template_child]
        pub filter: TemplateChild<FilterPanel>,
        #[template_child]
        pub answer_scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub answer: TemplateChild<AnswerView>,
        #[template_child]
        pub court: TemplateChild<CourtPicture>,
        #[template_child]
        pub side: TemplateChild<gtk::Paned>,
        #[template_child]
        pub footage: TemplateChild<gtk::Box>,
        #[template_child]
        pub view: TemplateChild<FootageView>,
        #[template_child]
        pub caption: TemplateChild<gtk::Label>,
        #[template_child]
        pub transport: TemplateChild<Transport>,
        #[template_child]
        pub clips: TemplateChild<ClipsPanel>,
        pub study: StudyModel,
        /// Whether the footage takes the page.
        #[property(get, set = Self::set_large, explicit_notify)]
        pub large: Cell<bool>,
        /// Whether clips made it so, and whether the user made them small.
        pub by_clips: Cell<bool>,
        pub plays_small: Cell<bool>,
        /// The number that had the focus before.
        pub left: Cell<Option<Place>>,
        /// The size, and the ranges of the handles, that the parts were laid out for.
        pub laid: Cell<[i32; 4]>,
        pub laid_large: Cell<bool>,
    }

    impl StudyPage {
        fn set_large(&self, large: bool) {
            if self.large.replace(large) != large {
                if large {
                    self.left.set(self.answer.cells().place());
                }
                self.obj().lay_out();
                self.obj().notify_large();
            }
        }
    }

    #[glib::object_subclass]
    impl ObjectSubclass for StudyPage {
        const NAME: &'static str = "ChangeoverStudyPage";
        type Type = super::StudyPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            QuestionList::ensure_type();
            FilterPanel::ensure_type();
            AnswerView::ensure_type();
            CourtPicture::ensure_type();
            ClipsPanel::ensure_type();
            FootageView::ensure_type();
            Transport::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    #[glib::derived_properties]
    impl ObjectImpl for StudyPage {}

    impl WidgetImpl for StudyPage {}
    impl BoxImpl for StudyPage {}
}

glib::wrapper! {
    /// The Study page.
    pub struct StudyPage(ObjectSubclass<imp::StudyPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl StudyPage {
    /// Studies what this model has open, and shows its frames.
    pub fn set_up(&self, model: &Model) {
        let imp = self.imp();
        let study = &imp.study;
        study.set_up(model);
        imp.view.show(model.frames());
        show_drawings(&imp.view, model);
        imp.transport.set_up(model);
        imp.questions.set_up(study);
        imp.filter.set_up(study);
        imp.answer.set_up(study);
        imp.court.set_up(study);
        imp.clips.set_up(study);
        imp.view.connect_clicked(glib::clone!(
            #[weak]
            model,
            move |_, _| model.perform(&Meaning::Do(Action::PlayPause))
        ));
        for told in [Told::Asked, Told::Answered] {
            study.on(
                told,
                glib::clone!(
                    #[weak(rename_to = page)]
                    self,
                    move |study| page.show_asked(study)
                ),
            );
        }
        self.align_question();
        self.wire_large(model);
        self.wire_answer();
        self.wire_handles();
        self.wire_size();
    }

    /// A menu button centres what it holds: the question begins at its left.
    fn align_question(&self) {
        let imp = self.imp();
        let within = std::iter::successors(imp.question_words.parent(), gtk::prelude::WidgetExt::parent);
        for widget in within.take_while(|w| w != imp.question_button.upcast_ref::<gtk::Widget>()) {
            widget.set_halign(gtk::Align::Fill);
        }
    }

    fn wire_answer(&self) {
        self.imp().answer_scroll.hadjustment().connect_page_size_notify(glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |room| {
                let width = room.page_size();
                // What is being laid out cannot be changed while it is.
                before_drawing(move || page.imp().answer.refit(width));
            }
        ));
    }

    /// Remembers where the user moves the handles to, and not where they go when the window is made smaller.
    fn wire_handles(&self) {
        let (page, moved) = (self.downgrade(), self.downgrade());
        when_moved(
            self,
            move || page.upgrade().map(|p| p.handles()),
            move || moved.upgrade().iter().for_each(Self::remember),
        );
    }

    /// Lays the parts out again when the page has another size: a handle's range tells of it.
    fn wire_size(&self) {
        for paned in [&*self.imp().panes, &*self.imp().side] {
            paned.connect_max_position_notify(glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |_| {
                    // What is being laid out cannot be changed while it is.
                    before_drawing(move || page.lay_out_anew());
                }
            ));
        }
        // Its first frame has the layout that it keeps.
        self.connect_map(Self::lay_out_anew);
    }

    fn lay_out_anew(&self) {
        let imp = self.imp();
        if imp.laid.get() != self.ranges() || imp.laid_large.get() != self.large() {
            self.lay_out();
        }
    }

    /// The page's size, and how far each handle goes: that is another once a handle was turned the other way.
    fn ranges(&self) -> [i32; 4] {
        let imp = self.imp();
        [self.width(), self.height(), imp.panes.max_position(), imp.side.max_position()]
    }

    fn handles(&self) -> (i32, i32) {
        (self.imp().panes.position(), self.imp().side.position())
    }

    fn room(&self) -> Room {
        let panes = &self.imp().panes;
        let (width, height) = match panes.width() {
            // Before it is laid out: what the pages share.
            0 => self.parent().map_or((0, 0), |p| {
                (p.width() - self.margin_start() - self.margin_end(), p.height() - self.margin_top())
            }),
            width => (width, panes.height()),
        };
        Room { width: width.into(), height: height.into(), scale: scale(), film: self.imp().view.shape() }
    }

    /// Keeps the places of the handles in the settings.
    pub fn remember(&self) {
        let imp = self.imp();
        let Some(model) = imp.study.model().filter(|_| self.room().shape(imp.large.get()) == Shape::Beside)
        else {
            return;
        };
        let share = |place: i32, of: i32| Some((1000 * place / of.max(1)).clamp(50, 950) as u16);
        {
            let mut settings = model.settings().borrow_mut();
            settings.study_answer = share(imp.panes.position(), imp.panes.width());
            settings.study_footage = share(imp.side.position(), imp.side.height());
        }
        model.write_settings();
    }

    /// Lays the parts out for the size that the page has.
    pub fn lay_out(&self) {
        let imp = self.imp();
        let room = self.room();
        let width = if self.width() > 0 { self.width() } else { room.width as i32 };
        if width < 1 || room.width < 1.0 {
            return;
        }
        imp.laid.set(self.ranges());
        imp.laid_large.set(imp.large.get());
        let has_aside = Room { width: width.into(), ..room }.has_aside() && !imp.large.get();
        self.put_aside(has_aside);
        let shape = room.shape(imp.large.get());
        let handles = imp.study.model().map_or_else(Handles::default, |m| {
            let settings = m.settings().borrow();
            let share = |s: Option<u16>| s.map(|s| f64::from(s) / 1000.0);
            Handles { answer: share(settings.study_answer), footage: share(settings.study_footage) }
        });
        imp.answer_side.set_visible(shape != Shape::Large);
        imp.clips.set_visible(room.has_clips(shape));
        imp.clips.set_narrow(shape != Shape::Beside);
        let (beside, below) = (gtk::Orientation::Horizontal, gtk::Orientation::Vertical);
        let (outer, inner) = if shape == Shape::Beside { (beside, below) } else { (below, beside) };
        imp.panes.set_orientation(outer);
        imp.side.set_orientation(inner);
        let answer = room.answer(shape, handles);
        imp.panes.set_position(answer as i32);
        let rest = match shape {
            Shape::Beside => Room { width: room.width - answer - HANDLE, ..room },
            Shape::Stacked => Room { height: room.height - answer - HANDLE, ..room },
            Shape::Large => room,
        };
        imp.side.set_position(rest.footage(shape, handles) as i32);
    }

    /// Gives the questions and the filter a column of their own, or puts each behind its button.
    fn put_aside(&self, aside: bool) {
        let imp = self.imp();
        if imp.aside.get_visible() == aside {
            return;
        }
        let parts: [(&gtk::Widget, &gtk::Popover, &gtk::MenuButton); 2] = [
            (imp.questions.upcast_ref(), &imp.question_popover, &imp.question_button),
            (imp.filter.upcast_ref(), &imp.filter_popover, &imp.filter_button),
        ];
        for (part, popover, button) in parts {
            if aside {
                popover.popdown();
                popover.set_child(gtk::Widget::NONE);
                imp.aside_box.append(part);
            } else {
                imp.aside_box.remove(part);
                popover.set_child(Some(part));
            }
            button.set_sensitive(!aside);
        }
        imp.filter_button.set_visible(!aside);
        imp.aside.set_visible(aside);
        // The question is a title above its answer all the same.
        if aside {
            imp.question_button.add_css_class("title-only");
        } else {
            imp.question_button.remove_css_class("title-only");
        }
    }

    fn show_asked(&self, study: &StudyModel) {
        let imp = self.imp();
        let asked = study.imp().asked.borrow();
        let question = asked.get(study.imp().question.get());
        imp.question_words.set_label(question.map_or("", Asked::name));
        imp.question_button.set_tooltip_text(question.map(Asked::about).filter(|a| !a.is_empty()));
        imp.filter_words.set_label(&format!("Filter: {}", imp.filter.words()));
        imp.filter_words.set_tooltip_text(Some(&imp.filter.words()));
        let session = study.model().map(|m| m.session().borrow());
        let has_footage = session.and_then(|s| s.as_ref().map(|s| !s.media.is_empty()));
        imp.footage.set_visible(has_footage.unwrap_or(false));
    }

    /// The page is in sight now, or not any more.
    pub fn set_seen(&self, seen: bool) {
        self.imp().study.set_seen(seen);
        if seen {
            self.imp().study.choose(self.imp().study.spot());
            self.focus_question();
        } else {
            self.imp().by_clips.set(false);
            self.set_large(false);
        }
    }

    /// The record may have changed.
    pub fn refresh(&self) {
        self.imp().study.refresh();
    }

    /// Zooms the picture in or out, or shows all of it.
    pub fn zoom(&self, larger: Option<bool>) {
        self.imp().view.zoom_to(larger);
    }

    /// Plays the clips of what is chosen.
    pub fn play(&self) {
        self.imp().study.play();
    }

    /// Gives the focus to the question that is asked.
    pub fn focus_question(&self) {
        if self.imp().aside.get_visible() {
            self.imp().questions.grab();
        } else {
            self.imp().question_button.grab_focus();
        }
    }
}

/// The width of a handle, in pixels.
const HANDLE: f64 = 6.0;

/// The keys that lists and menus have a use of their own for.
const WALKS: [&str; 7] = ["up", "down", "home", "end", "page_up", "page_down", "return"];

impl StudyPage {
    /// What becomes of a key before the key card is asked; none when that is for the card to say.
    pub fn key(&self, key: &Key) -> Option<glib::Propagation> {
        let imp = self.imp();
        if key.is("tab") && !key.ctrl && !key.shift && imp.questions.has_list_focus() {
            // Through the list go the arrows, each row a question; Tab leaves it.
            imp.questions.imp().own.grab_focus();
            return Some(glib::Propagation::Stop);
        }
        if self.keeps(key) {
            return Some(glib::Propagation::Proceed);
        }
        let walked = self.walk_questions(key)
            || [imp.answer.cells(), imp.court.cells(), imp.clips.cells()].iter().any(|c| c.walk(key));
        walked.then_some(glib::Propagation::Stop)
    }

    /// Escape in a field that searches: the words go, and then the field is left. Says whether the focus is in one.
    pub fn leave_search(&self) -> bool {
        let focus = self.root().and_then(|r| gtk::prelude::RootExt::focus(&r));
        let entry = focus
            .and_then(|f| f.ancestor(gtk::SearchEntry::static_type()))
            .and_downcast::<gtk::SearchEntry>();
        let Some(entry) = entry.filter(|e| e.is_ancestor(self)) else { return false };
        if entry.text().is_empty() {
            self.focus_question();
        } else {
            entry.set_text("");
        }
        true
    }

    /// On the question above the answer, arrows go to the next one.
    fn walk_questions(&self, key: &Key) -> bool {
        let imp = self.imp();
        let on_title = imp.question_button.focus_child().is_some() || imp.question_button.has_focus();
        let now = imp.study.imp().question.get();
        let to = match () {
            () if !on_title || key.ctrl || key.alt || key.shift => None,
            () if key.is("down") => Some(now + 1),
            () if key.is("up") => now.checked_sub(1),
            () => None,
        };
        to.is_some_and(|to| {
            imp.study.ask_question(to);
            true
        })
    }

    /// Whether the widget with the focus has a use of its own for a key: lists, menus and handles are walked through, and a
    /// row is played by Return.
    fn keeps(&self, key: &Key) -> bool {
        let Some(focus) = self.root().and_then(|r| gtk::prelude::RootExt::focus(&r)) else { return false };
        let is = |t: gtk::glib::Type| {
            focus.is_ancestor(self) && (focus.type_().is_a(t) || focus.ancestor(t).is_some())
        };
        let list = [gtk::ListBox::static_type(), gtk::ListView::static_type(), gtk::DropDown::static_type()];
        let handle = focus.type_().is_a(gtk::Paned::static_type());
        let plain = !(key.ctrl || key.alt);
        plain && (handle || list.iter().any(|t| is(*t)) && WALKS.iter().any(|k| key.is(k)))
    }
}
