//! The Study page: it lays its parts out, remembers where its handles are, and gives keys to the part that has the focus.

use std::cell::Cell;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::answer::AnswerView;
use super::clips::ClipsPanel;
use super::court::CourtPicture;
use super::files;
use super::filter::FilterPanel;
use super::model::{StudyModel, Told};
use super::outside::scale;
use super::panes::{Handles, Room, Shape};
use super::questions::QuestionList;
use crate::gui::model::Model;

pub mod imp {
    use std::cell::{Cell, RefCell};

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{AnswerView, ClipsPanel, CourtPicture, FilterPanel, QuestionList, StudyModel};

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
        pub export_button: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub export_table: TemplateChild<gtk::Button>,
        #[template_child]
        pub export_court: TemplateChild<gtk::Button>,
        #[template_child]
        pub answer_scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub answer: TemplateChild<AnswerView>,
        #[template_child]
        pub court: TemplateChild<CourtPicture>,
        #[template_child]
        pub side: TemplateChild<gtk::Paned>,
        #[template_child]
        pub footage: TemplateChild<gtk::Overlay>,
        #[template_child]
        pub picture: TemplateChild<gtk::Picture>,
        #[template_child]
        pub large_button: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub clips: TemplateChild<ClipsPanel>,
        pub study: StudyModel,
        /// Whether the footage takes the page.
        #[property(get, set = Self::set_large, explicit_notify)]
        pub large: Cell<bool>,
        /// The size that the parts were laid out for.
        pub laid: Cell<(i32, i32, bool)>,
        /// Where the handles were when a key or button went down.
        pub before: RefCell<Option<(i32, i32)>>,
    }

    impl StudyPage {
        fn set_large(&self, large: bool) {
            if self.large.replace(large) != large {
                self.obj().notify_large();
                self.obj().lay_out();
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
    pub fn set_up(&self, model: &Model, frames: &impl IsA<gtk::gdk::Paintable>) {
        let imp = self.imp();
        let study = &imp.study;
        study.set_up(model);
        imp.picture.set_paintable(Some(frames));
        imp.questions.set_up(study);
        imp.filter.set_up(study);
        imp.answer.set_up(study);
        imp.court.set_up(study);
        imp.clips.set_up(study);
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
        study.on(
            Told::Elsewhere,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |study| files::ask_to_open(&page, study)
            ),
        );
        self.align_question();
        self.wire_export();
        self.wire_footage();
        self.wire_handles();
        self.wire_size();
    }

    fn wire_export(&self) {
        let imp = self.imp();
        for (button, court) in [(&imp.export_table, false), (&imp.export_court, true)] {
            button.connect_clicked(glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |button| {
                    page.imp().export_button.popdown();
                    let export = if court { files::export_court } else { files::export_table };
                    export(button, &page.imp().study);
                }
            ));
        }
    }

    /// A menu button centres what it holds: the question begins at its left.
    fn align_question(&self) {
        let imp = self.imp();
        let within = std::iter::successors(imp.question_words.parent(), gtk::prelude::WidgetExt::parent);
        for widget in within.take_while(|w| w != imp.question_button.upcast_ref::<gtk::Widget>()) {
            widget.set_halign(gtk::Align::Fill);
        }
    }

    fn wire_footage(&self) {
        let imp = self.imp();
        self.bind_property("large", &*imp.large_button, "active").bidirectional().sync_create().build();
        imp.answer_scroll.hadjustment().connect_page_size_notify(glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |room| {
                let width = room.page_size();
                // What is being laid out cannot be changed while it is.
                glib::idle_add_local_once(move || page.imp().answer.refit(width));
            }
        ));
    }

    /// Remembers where the user moves the handles to, and not where they go when the window is made smaller.
    fn wire_handles(&self) {
        let events = gtk::EventControllerLegacy::new();
        events.set_propagation_phase(gtk::PropagationPhase::Capture);
        events.connect_event(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[upgrade_or]
            glib::Propagation::Proceed,
            move |_, event| {
                use gtk::gdk::EventType;
                match event.event_type() {
                    EventType::ButtonPress | EventType::TouchBegin | EventType::KeyPress => {
                        page.imp().before.replace(Some(page.handles()));
                    }
                    EventType::ButtonRelease | EventType::TouchEnd | EventType::KeyRelease => {
                        let before = page.imp().before.take();
                        if before.is_some_and(|before| before != page.handles()) {
                            page.remember();
                        }
                    }
                    _ => {}
                }
                glib::Propagation::Proceed
            }
        ));
        self.add_controller(events);
    }

    /// Lays the parts out again when the page has another size: a handle's range tells of it.
    fn wire_size(&self) {
        for paned in [&*self.imp().panes, &*self.imp().side] {
            paned.connect_max_position_notify(glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |_| {
                    // What is being laid out cannot be changed while it is.
                    glib::idle_add_local_once(move || page.lay_out_anew());
                }
            ));
        }
    }

    fn lay_out_anew(&self) {
        if self.imp().laid.get() != (self.width(), self.height(), self.large()) {
            self.lay_out();
        }
    }

    fn handles(&self) -> (i32, i32) {
        (self.imp().panes.position(), self.imp().side.position())
    }

    fn room(&self) -> Room {
        let picture = self.imp().picture.paintable().map_or(0.0, |p| p.intrinsic_aspect_ratio());
        Room {
            width: self.imp().panes.width().into(),
            height: self.imp().panes.height().into(),
            scale: scale(),
            film: if picture > 0.0 { picture } else { 16.0 / 9.0 },
        }
    }

    /// Keeps the places of the handles in the settings.
    pub fn remember(&self) {
        let imp = self.imp();
        let Some(model) = imp.study.model().filter(|_| self.room().shape(imp.large.get()) == Shape::Beside)
        else {
            return;
        };
        let share = |place: i32, of: i32| Some((1000 * place / of.max(1)).clamp(50, 950) as u16);
        let written = {
            let mut settings = model.settings().borrow_mut();
            settings.study_answer = share(imp.panes.position(), imp.panes.width());
            settings.study_footage = share(imp.side.position(), imp.side.height());
            settings.write()
        };
        if let Err(message) = written {
            model.say_too(&message);
        }
    }

    /// Lays the parts out for the size that the page has.
    pub fn lay_out(&self) {
        let imp = self.imp();
        let (width, height) = (self.width(), self.height());
        let room = self.room();
        if width < 1 || room.width < 1.0 {
            return;
        }
        let has_aside = Room { width: width.into(), ..room }.has_aside() && !imp.large.get();
        let moved = self.put_aside(has_aside);
        imp.laid.set((width, height, imp.large.get()));
        let shape = room.shape(imp.large.get());
        let handles = imp.study.model().map_or_else(Handles::default, |m| {
            let settings = m.settings().borrow();
            let share = |s: Option<u16>| s.map(|s| f64::from(s) / 1000.0);
            Handles { answer: share(settings.study_answer), footage: share(settings.study_footage) }
        });
        imp.answer_side.set_visible(shape != Shape::Large);
        imp.clips.set_visible(room.has_clips(shape));
        imp.clips.put_beside(shape == Shape::Beside && room.width / room.scale >= 1100.0);
        let (beside, below) = (gtk::Orientation::Horizontal, gtk::Orientation::Vertical);
        let (outer, inner) = if shape == Shape::Beside { (beside, below) } else { (below, beside) };
        let turned = imp.panes.orientation() != outer || imp.side.orientation() != inner;
        imp.panes.set_orientation(outer);
        imp.side.set_orientation(inner);
        if turned || moved {
            self.lay_out_later();
        }
        let answer = room.answer(shape, handles);
        imp.panes.set_position(answer as i32);
        let rest = match shape {
            Shape::Beside => Room { width: room.width - answer - HANDLE, ..room },
            Shape::Stacked => Room { height: room.height - answer - HANDLE, ..room },
            Shape::Large => room,
        };
        imp.side.set_position(rest.footage(shape, handles) as i32);
    }

    /// Lays the parts out in the room that they have once they lie another way: until then handles go by the old one.
    fn lay_out_later(&self) {
        let frames = Cell::new(0);
        self.add_tick_callback(move |page, _| {
            frames.set(frames.get() + 1);
            if frames.get() < 3 {
                return glib::ControlFlow::Continue;
            }
            page.lay_out();
            glib::ControlFlow::Break
        });
    }

    /// Gives the questions and the filter a column of their own, or puts each behind its button. Says whether that is new.
    fn put_aside(&self, aside: bool) -> bool {
        let imp = self.imp();
        if imp.aside.get_visible() == aside {
            return false;
        }
        let focused = self.is_on_question() || imp.questions.has_list_focus();
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
        if focused {
            self.focus_question();
        }
        // The question is a title above its answer all the same.
        if aside {
            imp.question_button.add_css_class("title-only");
        } else {
            imp.question_button.remove_css_class("title-only");
        }
        true
    }

    fn show_asked(&self, study: &StudyModel) {
        let imp = self.imp();
        let asked = study.imp().asked.borrow();
        let question = asked.get(study.imp().question.get());
        imp.question_words.set_label(question.map_or("", |q| &q.name));
        imp.question_button.set_tooltip_text(question.map(|q| q.about.as_str()).filter(|a| !a.is_empty()));
        imp.filter_words.set_label(&format!("Filter: {}", imp.filter.words()));
        imp.filter_words.set_tooltip_text(Some(&imp.filter.words()));
        let answered = study.answered();
        imp.export_button.set_sensitive(answered.is_some());
        imp.export_court.set_sensitive(answered.is_some_and(|a| !a.findings.maps.is_empty()));
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
            self.set_large(false);
        }
    }

    /// The record may have changed.
    pub fn refresh(&self) {
        self.imp().study.refresh();
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
