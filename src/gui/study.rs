//! The Study room: questions on the left, the answer in the middle, its clips on the right.
//!
//! `study_asking` answers on a thread; `study_spot` says what points are behind each place of the answer; `study_table`,
//! `study_court` and `study_clips` show it.

use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::facets::menu;
use super::window::Window;
use crate::session::study::asking::{Answered, Opened, Work};
use crate::session::study::spot::{Spot, points_word};

/// Work that takes longer is told of.
pub const PATIENCE: Duration = Duration::from_millis(300);

pub mod imp {
    use std::cell::{Cell, RefCell};
    use std::collections::BTreeMap;
    use std::path::PathBuf;
    use std::rc::Rc;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::super::study_table::Fit;
    use crate::facts::PointRef;
    use crate::pattern::Pattern;
    use crate::session::study::asking::{Added, Answered};
    use crate::session::study::spot::Spot;
    use crate::summary::study::Question;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../ui/study.ui")]
    pub struct Study {
        #[template_child]
        pub questions: TemplateChild<gtk::ListBox>,
        #[template_child]
        pub own: TemplateChild<gtk::Button>,
        #[template_child]
        pub facets: TemplateChild<gtk::Box>,
        #[template_child]
        pub pool_words: TemplateChild<gtk::Label>,
        #[template_child]
        pub add: TemplateChild<gtk::Button>,
        #[template_child]
        pub alone: TemplateChild<gtk::Button>,
        #[template_child]
        pub body_scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub body: TemplateChild<gtk::Box>,
        #[template_child]
        pub answer_scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub answer: TemplateChild<gtk::Box>,
        #[template_child]
        pub side_scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub side: TemplateChild<gtk::Box>,
        #[template_child]
        pub picture: TemplateChild<gtk::Picture>,
        #[template_child]
        pub maps: TemplateChild<gtk::Box>,
        #[template_child]
        pub clips_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub play_all: TemplateChild<gtk::Button>,
        #[template_child]
        pub says: TemplateChild<gtk::Label>,
        #[template_child]
        pub strip: TemplateChild<gtk::Box>,
        #[template_child]
        pub not_here: TemplateChild<gtk::Label>,
        #[template_child]
        pub clips: TemplateChild<gtk::ListView>,
        pub asked: RefCell<Vec<Question>>,
        /// The patterns that they ask for.
        pub patterns: RefCell<Vec<Pattern>>,
        /// Files of questions read besides the user's own.
        pub added: RefCell<Vec<PathBuf>>,
        pub question: Cell<usize>,
        /// The label chosen of each facet.
        pub picked: RefCell<Vec<String>>,
        /// The matches besides the one that is open.
        pub others: RefCell<Vec<Added>>,
        /// The record that the answer is of.
        pub path: RefCell<Option<PathBuf>>,
        pub answered: RefCell<Option<Rc<Answered>>>,
        /// Whether a question is being answered, and whether it must be asked again.
        pub busy: Cell<bool>,
        pub again: Cell<bool>,
        /// Set while the program itself fills menus and lists.
        pub filling: Cell<bool>,
        pub spot: Cell<Option<Spot>>,
        /// Why some of the clips that are listed cannot be played.
        pub not_played: RefCell<BTreeMap<PointRef, &'static str>>,
        /// What can have the focus, with the points behind it; line by line, for the arrow keys.
        pub cells: RefCell<Vec<(Spot, gtk::Button)>>,
        pub lines: RefCell<Vec<Vec<gtk::Button>>>,
        pub map_lines: RefCell<Vec<Vec<gtk::Button>>>,
        /// Which of two court pictures is to be seen.
        pub map: Cell<usize>,
        pub fit: Cell<Fit>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Study {
        const NAME: &'static str = "ChangeoverStudy";
        type Type = super::Study;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Study {
        fn constructed(&self) {
            self.parent_constructed();
            self.obj().wire();
        }
    }
    impl WidgetImpl for Study {}
    impl BoxImpl for Study {}
}

glib::wrapper! {
    /// The Study room.
    pub struct Study(ObjectSubclass<imp::Study>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl Study {
    fn wire(&self) {
        let imp = self.imp();
        let room = self.downgrade();
        imp.questions.connect_row_selected(move |_, row| {
            let (Some(room), Some(row)) = (room.upgrade(), row) else { return };
            if !room.imp().filling.get() {
                room.ask_question(row.index() as usize);
            }
        });
        self.does(&imp.own, Self::choose_questions);
        self.does(&imp.add, Self::choose_matches);
        self.does(&imp.alone, Self::be_alone);
        self.does(&imp.play_all, Self::play);
        self.wire_clips();
        let room = self.downgrade();
        // The room for the columns is known only when they are laid out, and cannot be shared anew while they are.
        imp.body_scroll.hadjustment().connect_page_size_notify(move |_| {
            let room = room.clone();
            glib::idle_add_local_once(move || {
                if let Some(room) = room.upgrade() {
                    room.refit();
                }
            });
        });
    }

    fn does(&self, button: &gtk::Button, f: fn(&Self)) {
        let room = self.downgrade();
        button.connect_clicked(move |_| {
            if let Some(room) = room.upgrade() {
                f(&room);
            }
        });
    }

    fn be_alone(&self) {
        self.imp().others.borrow_mut().clear();
        self.ask();
    }

    pub fn window(&self) -> Option<Window> {
        self.root().and_downcast()
    }

    /// The answer that is shown.
    pub fn answered(&self) -> Option<Rc<Answered>> {
        self.imp().answered.borrow().clone()
    }

    /// Asks, where what is shown is not of the record as it is now. To be called whenever the record may have changed.
    pub fn refresh(&self) {
        let Some(window) = self.window().filter(Window::is_in_study) else { return };
        let (now, patterns) = match window.model().session().borrow().as_ref() {
            Some(s) => (Some(s.view.record.clone()), *self.imp().patterns.borrow() == s.patterns()),
            None => (None, true),
        };
        if self.imp().asked.borrow().is_empty() || !patterns {
            return self.read_questions();
        }
        let same = |a: &Answered| now.as_ref().is_some_and(|r| Arc::ptr_eq(r, &a.record));
        if !self.answered().is_some_and(|a| same(&a)) {
            self.ask();
        }
    }

    pub fn fill_questions(&self) {
        let imp = self.imp();
        let focused = imp.questions.focus_child().is_some() || imp.questions.has_focus();
        imp.filling.set(true);
        while let Some(row) = imp.questions.first_child() {
            imp.questions.remove(&row);
        }
        for question in imp.asked.borrow().iter() {
            let name = gtk::Label::builder().label(&question.name).xalign(0.0).wrap(true);
            let name = name.wrap_mode(gtk::pango::WrapMode::WordChar).max_width_chars(24).build();
            let row = gtk::ListBoxRow::builder().child(&name).tooltip_text(&question.about).build();
            row.update_property(&[gtk::accessible::Property::Label(&question.name)]);
            imp.questions.append(&row);
        }
        imp.questions.select_row(imp.questions.row_at_index(imp.question.get() as i32).as_ref());
        imp.filling.set(false);
        if focused {
            self.focus_question();
        }
    }

    /// Gives the focus to the question that is asked.
    pub fn focus_question(&self) {
        match self.imp().questions.selected_row() {
            Some(row) => row.grab_focus(),
            None => self.imp().questions.grab_focus(),
        };
    }

    /// Asks one of the questions.
    pub fn ask_question(&self, n: usize) {
        self.imp().question.set(n);
        self.imp().spot.set(None);
        self.imp().map.set(0);
        self.ask();
    }

    /// Asks the question that is chosen of the matches there are, off the main loop.
    pub fn ask(&self) {
        let imp = self.imp();
        if imp.busy.get() {
            return imp.again.set(true);
        }
        let (Some(window), Some(work)) = (self.window(), self.work()) else { return };
        imp.busy.set(true);
        window.off_loop(move || work.answer(), |w, answered| w.imp().study.take(answered));
        let room = self.downgrade();
        glib::timeout_add_local_once(PATIENCE, move || {
            if let Some(room) = room.upgrade().filter(|r| r.imp().busy.get()) {
                room.imp().pool_words.set_label("answering…");
            }
        });
    }

    fn work(&self) -> Option<Work> {
        let imp = self.imp();
        let window = self.window()?;
        let session = window.model().session().borrow();
        let view = &session.as_ref()?.view;
        self.note_path(&view.path);
        let question = imp.asked.borrow().get(imp.question.get()).cloned()?;
        let before = self.answered();
        let known = before.filter(|a| Arc::ptr_eq(&a.record, &view.record));
        Some(Work {
            open: Opened {
                record: view.record.clone(),
                known: known.and_then(|a| a.pool.matches().first().cloned()),
            },
            others: imp.others.borrow().iter().map(|(_, m)| m.clone()).collect(),
            question,
            picked: imp.picked.borrow().clone(),
        })
    }

    /// Where others are counted too, the match that was open before another was opened stays among them.
    fn note_path(&self, path: &std::path::Path) {
        let imp = self.imp();
        let Some(old) = imp.path.replace(Some(path.to_owned())).filter(|old| old != path) else { return };
        let mut others = imp.others.borrow_mut();
        if let (false, Some(a)) = (others.is_empty(), self.answered()) {
            others.extend(a.pool.matches().first().map(|m| (old, m.clone())));
        }
        others.retain(|(other, _)| other != path);
    }

    fn take(&self, answered: Answered) {
        let imp = self.imp();
        imp.busy.set(false);
        imp.answered.replace(Some(Rc::new(answered)));
        self.show();
        if imp.again.take() {
            self.ask();
        }
    }

    /// Shows the answer: facets, tables, court pictures, clips.
    fn show(&self) {
        let imp = self.imp();
        let Some(answered) = self.answered() else { return };
        let focus = self.focus_place();
        self.show_facets(&answered);
        let (matches, points) = (answered.pool.matches().len(), answered.pool.points());
        let s = if matches == 1 { "" } else { "es" };
        imp.pool_words.set_label(&format!("{matches} match{s}, {}", points_word(points)));
        imp.alone.set_visible(matches > 1);
        imp.cells.borrow_mut().clear();
        self.show_tables(&answered);
        self.show_maps(&answered);
        let spot = imp.spot.get().unwrap_or(Spot::All);
        self.restore_focus(focus);
        self.choose(spot);
    }

    fn show_facets(&self, answered: &Rc<Answered>) {
        let imp = self.imp();
        let one = answered.pool.matches().len() == 1;
        // The menus stay while they would be the same, so that none closes while it is used.
        let same = |m: &gtk::Widget, n: usize| {
            let chosen = m.downcast_ref::<gtk::DropDown>().map(|d| d.selected() as usize);
            chosen == Some(answered.picks[n])
        };
        let labels: Vec<Vec<&str>> =
            answered.facets.iter().map(|f| f.picks.iter().map(|p| p.label.as_str()).collect()).collect();
        let key = format!("{labels:?}");
        if imp.facets.widget_name() == key
            && children(&imp.facets).iter().enumerate().all(|(n, m)| same(m, n))
        {
            return;
        }
        imp.facets.set_widget_name(&key);
        for old in children(&imp.facets) {
            imp.facets.remove(&old);
        }
        for (n, (facet, pick)) in answered.facets.iter().zip(&answered.picks).enumerate() {
            let room = self.downgrade();
            let menu = menu(facet, *pick, move |chosen| {
                if let Some(room) = room.upgrade() {
                    room.pick(n, chosen);
                }
            });
            menu.set_visible(n != 1 || !one);
            imp.facets.append(&menu);
        }
    }

    /// Makes a choice of a facet.
    pub fn pick(&self, facet: usize, chosen: usize) {
        let Some(answered) = self.answered() else { return };
        let label = |(n, f): (usize, &crate::session::study::facets::Facet)| {
            let at = if n == facet { chosen } else { answered.picks[n] };
            f.picks.get(at).map_or_else(String::new, |p| p.label.clone())
        };
        let picked = answered.facets.iter().enumerate().map(label).collect();
        self.imp().picked.replace(picked);
        self.ask();
    }
}

/// The widgets in a box, in their order.
pub fn children(of: &gtk::Box) -> Vec<gtk::Widget> {
    std::iter::successors(of.first_child(), gtk::prelude::WidgetExt::next_sibling).collect()
}
