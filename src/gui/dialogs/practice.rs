//! Makes footage of an invented match to practise on: asks for a folder, tells how far it is, opens it when done.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::demo::{Demo, DemoError, make_unless_stopped};
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::dialog::dialog;
use crate::gui::kit::job::{Job, News, Teller};
use crate::gui::kit::words::capital;
use crate::gui::model::Model;

/// The match that is made: two games without the long pauses.
fn practice() -> Demo {
    Demo { games: Some(2), brisk: true, ..Demo::default() }
}

/// Asks for a folder, and makes the match in it.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let parent = parent.upcast_ref::<gtk::Window>();
    let chooser = gtk::FileChooserNative::new(
        Some("Practice match: choose an empty folder"),
        Some(parent),
        gtk::FileChooserAction::SelectFolder,
        Some("Make"),
        Some("Cancel"),
    );
    let then = glib::clone!(
        #[weak]
        model,
        #[weak]
        parent,
        move |paths: Vec<PathBuf>| {
            if let Some(folder) = paths.into_iter().next() {
                make(&model, &parent, &folder, practice()).present();
            }
        }
    );
    when_chosen(&chooser, then);
}

/// Makes a match in a folder; the dialog tells how far it is, and closing it stops the work.
pub fn make(model: &Model, parent: &impl IsA<gtk::Window>, folder: &Path, demo: Demo) -> gtk::Window {
    let page: PracticePage = glib::Object::new();
    let dialog = dialog(parent, "Practice match", &page, (460, -1));
    let place = folder.to_owned();
    let work = move |teller: &Teller<f64, Result<PathBuf, DemoError>>| {
        let truth =
            make_unless_stopped(&demo, &place, &mut |done, of| teller.tell(done as f64 / of.max(1) as f64))?;
        Ok(place.join(&truth.files[0].name))
    };
    let job = Job::start(
        work,
        glib::clone!(
            #[weak]
            model,
            #[weak]
            dialog,
            #[weak]
            page,
            #[upgrade_or]
            ControlFlow::Break(()),
            move |news| {
                if let Some(film) = page.show(news) {
                    dialog.close();
                    model.open(&[film]);
                }
                ControlFlow::Continue(())
            }
        ),
    );
    page.imp().cancel.connect_clicked(glib::clone!(
        #[weak]
        dialog,
        move |_| dialog.close()
    ));
    dialog.connect_close_request(move |_| {
        job.stop();
        glib::Propagation::Proceed
    });
    dialog
}

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/practice.ui")]
    pub struct PracticePage {
        #[template_child]
        pub said: TemplateChild<gtk::Label>,
        #[template_child]
        pub bar: TemplateChild<gtk::ProgressBar>,
        #[template_child]
        pub cancel: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PracticePage {
        const NAME: &'static str = "ChangeoverPracticePage";
        type Type = super::PracticePage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PracticePage {}
    impl WidgetImpl for PracticePage {}
    impl BoxImpl for PracticePage {}
}

glib::wrapper! {
    /// How far a practice match is.
    pub struct PracticePage(ObjectSubclass<imp::PracticePage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PracticePage {
    /// Shows how far it is, or what went wrong; gives the footage when it is made.
    fn show(&self, news: News<f64, Result<PathBuf, DemoError>>) -> Option<PathBuf> {
        let imp = self.imp();
        match news {
            News::Progress(part) => {
                imp.bar.set_fraction(part);
                imp.bar.set_text(Some(&format!("{:.0} %", part * 100.0)));
            }
            News::Done(Ok(film)) => return Some(film),
            News::Done(Err(DemoError::Stopped)) => {}
            News::Done(Err(why)) => {
                imp.said.set_label(&capital(&why.to_string()));
                imp.said.set_css_classes(&["wrong"]);
                imp.bar.set_visible(false);
                imp.cancel.set_label("Close");
            }
        }
        None
    }
}
