//! The first page, without a file: open, log without footage, the guide, and the files opened before.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::job::off_loop;
use crate::gui::model::{Event, Model};
use crate::logging::Action;
use crate::session::recent::{Recent, RecentFiles};

pub mod imp {
    use super::glib;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/start/page.ui")]
    pub struct StartPage {
        #[template_child]
        pub hint: TemplateChild<gtk::Label>,
        #[template_child]
        pub recent_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub recent: TemplateChild<gtk::Box>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for StartPage {
        const NAME: &'static str = "ChangeoverStartPage";
        type Type = super::StartPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for StartPage {}
    impl WidgetImpl for StartPage {}
    impl BoxImpl for StartPage {}
}

glib::wrapper! {
    /// The first page.
    pub struct StartPage(ObjectSubclass<imp::StartPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl StartPage {
    /// Shows what can be opened.
    pub fn set_up(&self, model: &Model) {
        let show = glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |m: &Model| page.show(m)
        );
        model.on(Event::Closed, show.clone());
        model.on(Event::Card, show);
    }

    fn show(&self, model: &Model) {
        let (open, without) = (model.cap(Action::Open), model.cap(Action::LogWithout));
        self.imp().hint.set_label(&format!(
            "Drop a video here, or all the files of one match, or press {open}. What you log is saved beside it as \
             NAME.points.json. Without a film yet, {without} starts the match clock. Nothing leaves this computer. Ask \
             the players, and the parents of minors, before you film."
        ));
        self.show_recent(model);
    }

    /// Lists the files opened before. Those that are gone are said to be, and can be removed.
    fn show_recent(&self, model: &Model) {
        off_loop(
            || RecentFiles::default().all(),
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[weak]
                model,
                move |files: Vec<Recent>| {
                    let imp = page.imp();
                    while let Some(row) = imp.recent.first_child() {
                        imp.recent.remove(&row);
                    }
                    imp.recent.set_visible(!files.is_empty());
                    imp.recent_title.set_visible(!files.is_empty());
                    for file in files {
                        imp.recent.append(&page.row(&model, file));
                    }
                }
            ),
        );
    }

    fn row(&self, model: &Model, file: Recent) -> gtk::Box {
        let Recent { path, there } = file;
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let folder = path.parent().unwrap_or(&path).to_string_lossy().into_owned();
        let said = if there { folder } else { format!("not found in {folder}") };
        let words = gtk::Box::new(gtk::Orientation::Vertical, 0);
        for (text, class) in [(&name, "plain"), (&said, "quiet")] {
            words.append(
                &gtk::Label::builder()
                    .label(text)
                    .ellipsize(gtk::pango::EllipsizeMode::Middle)
                    .xalign(0.0)
                    .css_classes([class])
                    .build(),
            );
        }
        let open = gtk::Button::builder().child(&words).hexpand(true).sensitive(there).build();
        open.add_css_class("flat");
        open.set_tooltip_text(Some(&path.to_string_lossy()));
        open.update_property(&[gtk::accessible::Property::Label(&format!("Open {name}, {said}"))]);
        let off = gtk::Button::builder().label("×").valign(gtk::Align::Center).css_classes(["flat"]).build();
        off.set_tooltip_text(Some("Remove from this list"));
        off.update_property(&[gtk::accessible::Property::Label(&format!("Remove {name} from this list"))]);
        open.connect_clicked(glib::clone!(
            #[weak]
            model,
            #[strong]
            path,
            move |_| model.open(std::slice::from_ref(&path))
        ));
        off.connect_clicked(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |_| {
                let path = path.clone();
                off_loop(move || RecentFiles::default().forget(&path), move |()| page.show_recent(&model));
            }
        ));
        let row = gtk::Box::new(gtk::Orientation::Horizontal, 4);
        row.append(&open);
        row.append(&off);
        row
    }
}
