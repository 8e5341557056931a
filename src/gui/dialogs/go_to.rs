//! Goes to a time that is typed.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::pages::{After, ask_to};
use crate::gui::model::Model;
use crate::session::going::{Goal, GoalError};

/// Asks where to go.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let open = model.session().borrow().as_ref().is_some_and(|s| !s.parts.is_empty());
    if open {
        dialog(model, parent).present();
    } else {
        model.say("There is no footage to go to a time in. Open the footage first.");
    }
}

/// The dialog.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>) -> gtk::Window {
    let page: GoToPage = glib::Object::new();
    let time = page.imp().time.get();
    let go = glib::clone!(
        #[weak]
        model,
        #[weak]
        time,
        #[upgrade_or]
        Ok(After::Close),
        move |_: &gtk::Window| {
            let goal: Goal = time.text().parse()?;
            let at = {
                let session = model.session().borrow();
                let Some(s) = session.as_ref() else { return Ok(After::Close) };
                goal.moment(model.moment().get(), &s.parts)?
            };
            model.go_to(at);
            Ok::<_, GoalError>(After::Close)
        }
    );
    let dialog = ask_to(parent, ("Go to a time", "Go"), &[("Time", page.upcast())], go);
    time.grab_focus();
    dialog
}

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/go_to.ui")]
    pub struct GoToPage {
        #[template_child]
        pub time: TemplateChild<gtk::Entry>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for GoToPage {
        const NAME: &'static str = "ChangeoverGoToPage";
        type Type = super::GoToPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for GoToPage {}
    impl WidgetImpl for GoToPage {}
    impl BoxImpl for GoToPage {}
}

glib::wrapper! {
    /// The time to go to.
    pub struct GoToPage(ObjectSubclass<imp::GoToPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}
