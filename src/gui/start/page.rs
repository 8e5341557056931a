//! The first page, without a file: open, log without footage, the guide, and the files opened before.

use std::cell::RefCell;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::job::{Job, off_loop};
use crate::gui::kit::pictures;
use crate::gui::model::{Event, Model};
use crate::logging::Action;
use crate::session::alone::known_as;
use crate::session::recent::{Known, Recent, RecentFiles};

pub mod imp {
    use super::{Job, RefCell, glib};
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
        /// Makes the pictures of the list.
        pub job: RefCell<Option<Job>>,
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
        model.on(
            Event::Opened,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |_| page.imp().job.take().iter().for_each(Job::stop)
            ),
        );
        model.on(Event::Card, show);
    }

    fn show(&self, model: &Model) {
        let (open, without) = (model.cap(Action::Open), model.cap(Action::LogWithout));
        self.imp().hint.set_label(&format!(
            "Drop the footage here, or all the files of one match, or press {open}. What you log is saved beside it as \
             NAME.points.json. If there is no footage yet, {without} starts the match clock. Nothing leaves this computer. Ask \
             the players, and the parents of minors, before you film."
        ));
        self.show_recent(model);
    }

    /// Lists the matches opened before, with a picture of each; those whose files are gone say so, and can be removed.
    fn show_recent(&self, model: &Model) {
        let read = || RecentFiles::default().all().into_iter().map(|r| (r.known(), r)).collect::<Vec<_>>();
        off_loop(
            read,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[weak]
                model,
                move |matches: Vec<(Known, Recent)>| page.list(&model, matches)
            ),
        );
    }

    fn list(&self, model: &Model, matches: Vec<(Known, Recent)>) {
        let imp = self.imp();
        while let Some(row) = imp.recent.first_child() {
            imp.recent.remove(&row);
        }
        imp.recent.set_visible(!matches.is_empty());
        imp.recent_title.set_visible(!matches.is_empty());
        let pictures: Vec<gtk::Picture> = matches.iter().map(|_| picture()).collect();
        for ((known, file), picture) in matches.iter().zip(&pictures) {
            imp.recent.append(&self.row(model, known, file, picture));
        }
        let matches = matches.into_iter().map(|(known, _)| known).collect();
        let made = move |n: usize, file: &std::path::Path| {
            if let (Some(picture), Ok(texture)) = (pictures.get(n), gtk::gdk::Texture::from_filename(file)) {
                picture.set_paintable(Some(&texture));
            }
        };
        if let Some(before) = imp.job.replace(Some(pictures::make(matches, made, || {}))) {
            before.stop();
        }
    }

    fn row(&self, model: &Model, known: &Known, file: &Recent, picture: &gtk::Picture) -> gtk::Box {
        let said = file.words(known);
        let row = gtk::Box::new(gtk::Orientation::Horizontal, 4);
        row.append(&opens(model, known, file, &said, picture));
        row.append(&self.removes(model, file, &said.0));
        row
    }

    /// The button that takes a match off the list.
    fn removes(&self, model: &Model, file: &Recent, title: &str) -> gtk::Button {
        let off = gtk::Button::builder().label("×").valign(gtk::Align::Center).css_classes(["flat"]).build();
        off.set_tooltip_text(Some("Remove from this list"));
        off.update_property(&[gtk::accessible::Property::Label(&format!("Remove {title} from this list"))]);
        let path = file.path.clone();
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
        off
    }
}

/// The button that opens a match: its picture, and in words who plays and where it is.
fn opens(
    model: &Model,
    known: &Known,
    file: &Recent,
    (title, said): &(String, String),
    picture: &gtk::Picture,
) -> gtk::Button {
    let words = gtk::Box::new(gtk::Orientation::Vertical, 2);
    words.set_valign(gtk::Align::Center);
    for (text, class) in [(title, "strong"), (said, "quiet")] {
        words.append(
            &gtk::Label::builder()
                .label(text)
                .ellipsize(gtk::pango::EllipsizeMode::Middle)
                .xalign(0.0)
                .css_classes([class])
                .build(),
        );
    }
    let inside = gtk::Box::new(gtk::Orientation::Horizontal, 12);
    inside.append(picture);
    inside.append(&words);
    let open = gtk::Button::builder().child(&inside).hexpand(true).sensitive(known.opens.is_some()).build();
    open.add_css_class("flat");
    open.set_tooltip_text(Some(&known_as(&file.path)));
    open.update_property(&[gtk::accessible::Property::Label(&format!("Open {title}, {said}"))]);
    let path = known.opens.clone();
    open.connect_clicked(glib::clone!(
        #[weak]
        model,
        move |_| {
            if let Some(path) = &path {
                model.open(std::slice::from_ref(path));
            }
        }
    ));
    open
}

/// The place of a picture, empty until it is made.
fn picture() -> gtk::Picture {
    let picture = gtk::Picture::builder().width_request(96).height_request(54).css_classes(["film"]).build();
    picture.set_can_shrink(true);
    picture
}
