//! Under the picture: play or pause, the time of the frame shown, the bar, how fast it plays.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::bar::FilmBar;
use crate::gui::model::{Event, Model};
use crate::time::MatchTime;

pub mod imp {
    use super::{FilmBar, glib};
    use glib::types::StaticTypeExt;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/picture/transport.ui")]
    pub struct Transport {
        #[template_child]
        pub play: TemplateChild<gtk::Button>,
        #[template_child]
        pub clock: TemplateChild<gtk::Label>,
        #[template_child]
        pub bar: TemplateChild<FilmBar>,
        #[template_child]
        pub length: TemplateChild<gtk::Label>,
        #[template_child]
        pub state: TemplateChild<gtk::Label>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Transport {
        const NAME: &'static str = "ChangeoverTransport";
        type Type = super::Transport;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            FilmBar::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Transport {}
    impl WidgetImpl for Transport {}
    impl BoxImpl for Transport {}
}

glib::wrapper! {
    /// The row under the picture.
    pub struct Transport(ObjectSubclass<imp::Transport>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl Transport {
    /// Shows what the model plays.
    pub fn set_up(&self, model: &Model) {
        self.imp().bar.set_up(model);
        let show = glib::clone!(
            #[weak(rename_to = row)]
            self,
            move |m: &Model| row.show(m)
        );
        model.on(Event::Transport, show.clone());
        model.on(Event::Clip, show.clone());
        model.on(Event::Opened, show);
        model.on(
            Event::Moment,
            glib::clone!(
                #[weak(rename_to = row)]
                self,
                move |m| row.show_moment(m)
            ),
        );
    }

    fn show(&self, model: &Model) {
        let imp = self.imp();
        imp.play.set_label(if model.is_playing() { "Pause" } else { "Play" });
        let session = model.session().borrow();
        let elsewhere = model.frames().put_up().is_some_and(|s| s.elsewhere);
        let clip = model.clip_item().filter(|_| elsewhere || session.is_none());
        let end = clip.map(|item| item.span.end()).or_else(|| Some(session.as_ref()?.parts.ends().1));
        let Some(end) = end else { return };
        let mut parts = vec![format!("{} ×", model.speed())];
        parts.extend(model.clip().map(|(at, all)| format!("clip {} of {all}", at + 1)));
        parts.extend(model.is_backward().then(|| "backwards".to_owned()));
        parts.extend(model.muted().get().then(|| "no sound".to_owned()));
        let repeats = session.as_ref().is_some_and(|s| s.looping);
        parts.extend(repeats.then(|| "repeats the point".to_owned()));
        imp.state.set_label(&parts.join(" · "));
        imp.length.set_label(&end.short());
    }

    fn show_moment(&self, model: &Model) {
        let elsewhere = || model.frames().put_up().filter(|s| s.elsewhere).map(|s| s.at);
        if let Some(at) = model.moment().get().map(|(at, _)| at).or_else(elsewhere) {
            let clock = &*self.imp().clock;
            clock.set_label(&tenths(at));
            let exact = format!("{}.{:03}", at.short(), at.nanos() / 1_000_000 % 1000);
            clock.update_property(&[gtk::accessible::Property::Label(&exact)]);
        }
    }
}

/// A time with as many digits as a person needs. The stamp itself is exact.
fn tenths(at: MatchTime) -> String {
    format!("{}.{}", at.short(), at.nanos() / 100_000_000 % 10)
}
