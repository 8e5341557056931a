//! What is seen when no lesson is open: what to do, and the lessons opened before.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::job::off_loop;
use crate::gui::model::{Event, Model};
use crate::logging::Action;
use crate::session::alone::known_as;
use crate::session::recent::{Recent, RecentFiles};

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/show/empty.ui")]
    pub struct ShowEmpty {
        #[template_child]
        pub hint: TemplateChild<gtk::Label>,
        #[template_child]
        pub recent_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub recent: TemplateChild<gtk::Box>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for ShowEmpty {
        const NAME: &'static str = "ChangeoverShowEmpty";
        type Type = super::ShowEmpty;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for ShowEmpty {}
    impl WidgetImpl for ShowEmpty {}
    impl BoxImpl for ShowEmpty {}
}

glib::wrapper! {
    /// What is seen when no lesson is open.
    pub struct ShowEmpty(ObjectSubclass<imp::ShowEmpty>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl ShowEmpty {
    /// Says which keys begin a lesson.
    pub fn set_up(&self, model: &Model) {
        model.on(
            Event::Card,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |m| {
                    let [one, all] = [Action::AddClip, Action::AddClips].map(|a| m.cap(a));
                    page.imp().hint.set_label(&format!(
                        "A lesson is clips in order, with captions, slow motion and freezes. In Log, Study or the library, {one} \
                         adds the chosen clip and {all} all clips of the list. Or begin with an empty lesson."
                    ));
                }
            ),
        );
    }

    /// Lists the lessons opened before.
    pub fn show_recent(&self, model: &Model) {
        off_loop(
            || RecentFiles::lessons().all(),
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[weak]
                model,
                move |lessons: Vec<Recent>| page.list(&model, &lessons)
            ),
        );
    }

    fn list(&self, model: &Model, lessons: &[Recent]) {
        let imp = self.imp();
        while let Some(row) = imp.recent.first_child() {
            imp.recent.remove(&row);
        }
        imp.recent_title.set_visible(!lessons.is_empty());
        for lesson in lessons {
            imp.recent.append(&opens(model, lesson));
        }
    }
}

/// The button that opens a lesson.
fn opens(model: &Model, lesson: &Recent) -> gtk::Button {
    let name = lesson.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let words = if lesson.there { name } else { format!("{name} (not found)") };
    let label = gtk::Label::builder().label(&words).ellipsize(gtk::pango::EllipsizeMode::Middle);
    let label = label.max_width_chars(60).xalign(0.0).build();
    let open = gtk::Button::builder().child(&label).sensitive(lesson.there).css_classes(["flat"]).build();
    open.set_tooltip_text(Some(&known_as(&lesson.path)));
    open.update_property(&[gtk::accessible::Property::Label(&format!("Open {words}"))]);
    let path = lesson.path.clone();
    open.connect_clicked(glib::clone!(
        #[weak]
        model,
        move |_| model.open_lesson(path.clone())
    ));
    open
}
