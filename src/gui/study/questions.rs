//! The questions: a list that is searched by typing; the row that is chosen is asked.

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib};

use super::files;
use super::model::{StudyModel, Told};
use crate::near::has;

pub mod imp {
    use std::cell::Cell;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/study/questions.ui")]
    pub struct QuestionList {
        #[template_child]
        pub find: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub list: TemplateChild<gtk::ListBox>,
        #[template_child]
        pub none: TemplateChild<gtk::Label>,
        #[template_child]
        pub own: TemplateChild<gtk::Button>,
        /// Set while the program itself fills the list.
        pub filling: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for QuestionList {
        const NAME: &'static str = "ChangeoverQuestionList";
        type Type = super::QuestionList;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for QuestionList {}
    impl WidgetImpl for QuestionList {}
    impl BoxImpl for QuestionList {}
}

glib::wrapper! {
    /// The questions.
    pub struct QuestionList(ObjectSubclass<imp::QuestionList>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl QuestionList {
    /// Lists the questions of this study.
    pub fn set_up(&self, study: &StudyModel) {
        let imp = self.imp();
        imp.list.connect_row_selected(glib::clone!(
            #[weak(rename_to = list)]
            self,
            #[weak]
            study,
            move |_, row| {
                if let Some(row) = row.filter(|_| !list.imp().filling.get()) {
                    study.ask_question(row.index() as usize);
                }
            }
        ));
        imp.own.connect_clicked(glib::clone!(
            #[weak]
            study,
            move |button| files::choose_questions(button, &study)
        ));
        for told in [Told::Questions, Told::Asked] {
            study.on(
                told,
                glib::clone!(
                    #[weak(rename_to = list)]
                    self,
                    move |study| {
                        if told == Told::Questions {
                            list.fill(study);
                        }
                        list.select(study);
                    }
                ),
            );
        }
        self.wire_search();
    }

    fn wire_search(&self) {
        let imp = self.imp();
        imp.list.set_filter_func(glib::clone!(
            #[weak(rename_to = list)]
            self,
            #[upgrade_or]
            true,
            move |row| list.has(row)
        ));
        imp.find.connect_search_changed(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| {
                list.imp().list.invalidate_filter();
                list.imp().none.set_visible(list.found().is_empty());
            }
        ));
        imp.find.connect_activate(glib::clone!(
            #[weak(rename_to = list)]
            self,
            move |_| list.choose_first()
        ));
        let keys = gtk::EventControllerKey::new();
        keys.connect_key_pressed(glib::clone!(
            #[weak(rename_to = list)]
            self,
            #[upgrade_or]
            glib::Propagation::Proceed,
            move |_, key, _, _| {
                if key != gdk::Key::Down {
                    return glib::Propagation::Proceed;
                }
                list.grab();
                glib::Propagation::Stop
            }
        ));
        imp.find.add_controller(keys);
    }

    /// Whether the row's question has all the words that are typed.
    fn has(&self, row: &gtk::ListBoxRow) -> bool {
        let name = row.child().and_downcast::<gtk::Label>().map(|l| l.label());
        name.is_none_or(|name| has(&self.imp().find.text(), &name))
    }

    /// The rows that are found.
    pub fn found(&self) -> Vec<gtk::ListBoxRow> {
        (0..).map_while(|n| self.imp().list.row_at_index(n)).filter(|row| self.has(row)).collect()
    }

    fn choose_first(&self) {
        if let Some(row) = self.found().first() {
            self.imp().list.select_row(Some(row));
            row.grab_focus();
            if let Some(menu) = self.ancestor(gtk::Popover::static_type()).and_downcast::<gtk::Popover>() {
                menu.popdown();
            }
        }
    }

    fn fill(&self, study: &StudyModel) {
        let imp = self.imp();
        let focused = imp.list.focus_child().is_some() || imp.list.has_focus();
        imp.filling.set(true);
        while let Some(row) = imp.list.first_child() {
            imp.list.remove(&row);
        }
        for question in study.imp().asked.borrow().iter() {
            let name = gtk::Label::builder().label(question.name()).xalign(0.0).wrap(true);
            let name = name.wrap_mode(gtk::pango::WrapMode::WordChar).max_width_chars(26).build();
            let row = gtk::ListBoxRow::builder().child(&name).tooltip_text(question.about()).build();
            row.update_property(&[gtk::accessible::Property::Label(question.name())]);
            imp.list.append(&row);
        }
        imp.filling.set(false);
        if focused {
            self.select(study);
            self.grab();
        }
    }

    fn select(&self, study: &StudyModel) {
        let imp = self.imp();
        imp.filling.set(true);
        imp.list.select_row(imp.list.row_at_index(study.imp().question.get() as i32).as_ref());
        imp.filling.set(false);
    }

    /// Gives the focus to the question that is asked.
    pub fn grab(&self) {
        match self.imp().list.selected_row().filter(|row| self.has(row)) {
            Some(row) => row.grab_focus(),
            None => self.found().first().is_some_and(gtk::prelude::WidgetExt::grab_focus),
        };
    }

    /// Whether the focus is in the list.
    pub fn has_list_focus(&self) -> bool {
        self.imp().list.focus_child().is_some() || self.imp().list.has_focus()
    }
}
