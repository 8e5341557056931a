//! What is written to the part that is chosen: its caption and its notes; and the buttons that cut a clip.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::model::{Event, Model};
use crate::lesson::Part;
use crate::session::show::act::Act;
use crate::session::show::keeper::Ask;
use crate::session::show::view::{caption, notes};

mod imp {
    use std::cell::{Cell, OnceCell, RefCell};

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::Model;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/show/words.ui")]
    pub struct PartWords {
        #[template_child]
        pub cuts: TemplateChild<gtk::FlowBox>,
        #[template_child]
        pub name: TemplateChild<gtk::Label>,
        #[template_child]
        pub caption: TemplateChild<gtk::Entry>,
        #[template_child]
        pub noted: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub notes: TemplateChild<gtk::TextView>,
        /// The part whose words are in the fields.
        pub of: Cell<Option<usize>>,
        /// The words of the lesson that were put into the fields last.
        pub put: RefCell<(String, String)>,
        pub model: OnceCell<Model>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PartWords {
        const NAME: &'static str = "ChangeoverPartWords";
        type Type = super::PartWords;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PartWords {}
    impl WidgetImpl for PartWords {}
    impl BoxImpl for PartWords {}
}

glib::wrapper! {
    /// The words of the part that is chosen.
    pub struct PartWords(ObjectSubclass<imp::PartWords>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PartWords {
    /// Shows and changes the words of this model's lesson.
    pub fn set_up(&self, model: &Model) {
        let imp = self.imp();
        // It is set up once.
        let _ = imp.model.set(model.clone());
        model.on(
            Event::Lesson,
            glib::clone!(
                #[weak(rename_to = words)]
                self,
                move |m| words.show(m)
            ),
        );
        imp.caption.connect_activate(glib::clone!(
            #[weak]
            model,
            move |_| model.tell(Event::Footage)
        ));
        for field in [imp.caption.upcast_ref::<gtk::Widget>(), imp.notes.upcast_ref()] {
            let focus = gtk::EventControllerFocus::new();
            focus.connect_leave(glib::clone!(
                #[weak(rename_to = words)]
                self,
                move |_| words.keep()
            ));
            field.add_controller(focus);
        }
    }

    /// Goes to the caption, or to the notes.
    pub fn write(&self, in_notes: bool) {
        if self.imp().of.get().is_none() {
            return;
        }
        if in_notes {
            self.imp().notes.grab_focus();
        } else {
            self.imp().caption.grab_focus();
        }
    }

    /// Keeps what was written, if it is other words than were put into the fields. Only these: after a move another part may be at
    /// the place whose words they are.
    pub fn keep(&self) {
        let imp = self.imp();
        let (Some(at), Some(model)) = (imp.of.get(), imp.model.get()) else { return };
        let Some(part) = model.lesson().and_then(|v| v.lesson.parts.get(at).cloned()) else { return };
        let (written, noted) = (imp.caption.text().to_string(), self.noted());
        let put = imp.put.borrow().clone();
        if written != put.0 && written != caption(&part) {
            imp.put.borrow_mut().0.clone_from(&written);
            model.ask_lesson(Ask::At(at, Act::Caption(written)));
        }
        if noted != put.1 && noted != notes(&part) {
            imp.put.borrow_mut().1.clone_from(&noted);
            model.ask_lesson(Ask::At(at, Act::Notes(noted)));
        }
    }

    fn noted(&self) -> String {
        let buffer = self.imp().notes.buffer();
        let (start, end) = buffer.bounds();
        buffer.text(&start, &end, true).to_string()
    }

    /// While a show is on another screen the notes are large enough to be read while one speaks, and nothing is cut.
    pub fn present(&self, presents: bool) {
        let imp = self.imp();
        let height = if presents { 220 } else { 54 };
        imp.noted.set_min_content_height(-1);
        imp.noted.set_max_content_height(height);
        imp.noted.set_min_content_height(height);
        imp.cuts.set_visible(!presents);
        if presents {
            imp.notes.add_css_class("presenting");
        } else {
            imp.notes.remove_css_class("presenting");
        }
    }

    /// The first field is the words under a clip, or the title of a chapter.
    fn name_first_field(&self, part: Option<&Part>) {
        let (name, hint) = match part {
            Some(Part::Chapter(_)) => ("Title", "What the chapter is called"),
            _ => ("Caption", "What is written under the clip"),
        };
        let imp = self.imp();
        imp.name.set_label(name);
        imp.caption.set_placeholder_text(Some(hint));
        imp.caption.update_property(&[gtk::accessible::Property::Label(name)]);
    }

    /// The name of the first field, its words, and whether they may be changed; the notes.
    #[cfg(test)]
    pub fn said(&self) -> (String, String, bool, String) {
        let imp = self.imp();
        let caption = &imp.caption;
        let may_change = caption.is_editable() && imp.notes.is_editable();
        assert!(self.is_sensitive(), "words can be read and copied");
        (imp.name.text().into(), caption.text().into(), may_change, self.noted())
    }

    fn show(&self, model: &Model) {
        let imp = self.imp();
        let view = model.lesson();
        let (at, part) = view.as_ref().map_or((None, None), |v| (v.chosen, v.part()));
        let another = imp.of.get() != at;
        if another {
            self.keep();
        }
        imp.of.set(at.filter(|_| part.is_some()));
        // What may only be read can be gone through and copied.
        let may_change = view.as_ref().is_some_and(|v| v.read_only.is_none());
        self.set_sensitive(part.is_some());
        imp.caption.set_editable(may_change);
        imp.notes.set_editable(may_change);
        // All of them mean the moment that is seen.
        let is_seen = view.as_ref().is_some_and(|v| at.is_some_and(|at| v.pictured(at) == Some(at)));
        imp.cuts.set_sensitive(may_change && is_seen && matches!(part, Some(Part::Clip(_))));
        self.name_first_field(part);
        let (written, noted) = part.map_or(("", ""), |part| (caption(part), notes(part)));
        // What is being written is not taken away, unless the lesson has other words than before.
        let before = imp.put.replace((written.to_owned(), noted.to_owned()));
        if (another || before.0 != written) && imp.caption.text() != written {
            imp.caption.set_text(written);
        }
        if (another || before.1 != noted) && self.noted() != noted {
            imp.notes.buffer().set_text(noted);
        }
    }
}
