//! Long work in a dialog: how far it is, the time that is left, a way to stop it, and what came of it.

use std::ops::ControlFlow;
use std::path::Path;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::dialog::dialog;
use super::job::{Job, News, Teller};
use super::words::{capital, time_left};

mod imp {
    use std::time::Instant;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(CompositeTemplate)]
    #[template(file = "../../../ui/kit/progress.ui")]
    pub struct Progress {
        #[template_child]
        pub said: TemplateChild<gtk::Label>,
        #[template_child]
        pub bar: TemplateChild<gtk::ProgressBar>,
        #[template_child]
        pub cancel: TemplateChild<gtk::Button>,
        #[template_child]
        pub open: TemplateChild<gtk::Button>,
        pub began: Instant,
    }

    impl Default for Progress {
        fn default() -> Self {
            Self {
                said: TemplateChild::default(),
                bar: TemplateChild::default(),
                cancel: TemplateChild::default(),
                open: TemplateChild::default(),
                began: Instant::now(),
            }
        }
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Progress {
        const NAME: &'static str = "ChangeoverProgress";
        type Type = super::Progress;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Progress {}
    impl WidgetImpl for Progress {}
    impl BoxImpl for Progress {}
}

glib::wrapper! {
    /// How far some work is.
    pub struct Progress(ObjectSubclass<imp::Progress>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl Progress {
    /// So much is done, from 0 to 1.
    fn at(&self, part: f64) {
        let imp = self.imp();
        let left = time_left(imp.began.elapsed(), part).map(|left| format!(" · {left}")).unwrap_or_default();
        imp.bar.set_fraction(part);
        imp.bar.set_text(Some(&format!("{:.0} %{left}", part * 100.0)));
    }

    /// It went wrong.
    pub fn wrong(&self, why: &str) {
        self.over(why);
        self.imp().said.set_css_classes(&["wrong"]);
    }

    /// It is done; what was made can be opened by the program that the desktop has for it.
    pub fn done(&self, words: &str, opens: &Path) {
        self.over(words);
        let open = &self.imp().open;
        open.set_visible(true);
        open.grab_focus();
        let uri = gtk::gio::File::for_path(opens).uri();
        open.connect_clicked(glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |_| page.show_uri(&uri)
        ));
    }

    fn show_uri(&self, uri: &str) {
        let window = self.root().and_downcast::<gtk::Window>();
        let then = glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |shown: Result<(), glib::Error>| {
                if let Err(why) = shown {
                    let said = page.imp().said.label();
                    page.wrong(&format!("{said}\nThe desktop cannot open it: {}", why.message()));
                }
            }
        );
        gtk::show_uri_full(window.as_ref(), uri, gtk::gdk::CURRENT_TIME, gtk::gio::Cancellable::NONE, then);
    }

    fn over(&self, words: &str) {
        let imp = self.imp();
        imp.said.set_label(&capital(words));
        imp.bar.set_visible(false);
        imp.cancel.set_label("Close");
    }
}

/// Does `work` on a thread, in a dialog of this title that says `said` and how far it is; closing it stops the work. `then` gets what
/// came of it.
pub fn watched<T: Send + 'static>(
    parent: &impl IsA<gtk::Window>,
    (title, said): (&str, &str),
    work: impl FnOnce(&Teller<f64, T>) -> T + Send + 'static,
    then: impl FnOnce(&gtk::Window, &Progress, T) + 'static,
) -> gtk::Window {
    let page: Progress = glib::Object::new();
    page.imp().said.set_label(said);
    let dialog = dialog(parent, title, &page, (460, -1));
    let mut then = Some(then);
    let job = Job::start(
        work,
        glib::clone!(
            #[weak]
            dialog,
            #[weak]
            page,
            #[upgrade_or]
            ControlFlow::Break(()),
            move |news| {
                match (news, then.take()) {
                    (News::Progress(part), waits) => {
                        page.at(part);
                        then = waits;
                    }
                    (News::Done(made), Some(then)) => then(&dialog, &page, made),
                    (News::Done(_), None) => {}
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
    // Closed by whatever means, the work stops.
    dialog.connect_unrealize(move |_| job.stop());
    dialog
}
