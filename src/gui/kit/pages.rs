//! A dialog of one or more pages that scroll where the window is small, with Save and Cancel.

use std::fmt::Display;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::dialog::{dialog, fit_height};
use super::words::capital;

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/kit/pages.ui")]
    pub struct Pages {
        #[template_child]
        pub switcher: TemplateChild<gtk::StackSwitcher>,
        #[template_child]
        pub stack: TemplateChild<gtk::Stack>,
        #[template_child]
        pub wrong: TemplateChild<gtk::Label>,
        #[template_child]
        pub cancel: TemplateChild<gtk::Button>,
        #[template_child]
        pub save: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Pages {
        const NAME: &'static str = "ChangeoverPages";
        type Type = super::Pages;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Pages {}
    impl WidgetImpl for Pages {}
    impl BoxImpl for Pages {}
}

glib::wrapper! {
    /// Pages with Save and Cancel below them.
    pub struct Pages(ObjectSubclass<imp::Pages>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl Pages {
    /// Pages that scroll from a height of `most` on.
    fn of(pages: &[(&str, gtk::Box)], most: i32) -> Self {
        let all: Self = glib::Object::new();
        let imp = all.imp();
        for (name, page) in pages {
            // Room for the ring around what has the focus.
            page.set_margin_start(3);
            page.set_margin_end(12);
            page.set_margin_top(3);
            page.set_margin_bottom(3);
            let scrolled = gtk::ScrolledWindow::builder()
                .child(page)
                .hscrollbar_policy(gtk::PolicyType::Never)
                .propagate_natural_height(true)
                .max_content_height(most)
                .build();
            // A page that is not to be seen has no switch either.
            page.bind_property("visible", &imp.stack.add_titled(&scrolled, Some(name), name), "visible")
                .sync_create()
                .build();
        }
        imp.switcher.set_visible(pages.len() > 1);
        all
    }
}

/// What becomes of a dialog whose Save was pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum After {
    /// It is saved: the dialog closes.
    Close,
    /// Something is asked first, in a dialog over this one.
    Stay,
}

/// Tells in such a dialog what is wrong.
pub fn refuse(dialog: &gtk::Window, why: &impl Display) {
    if let Some(all) = dialog.child().and_downcast::<Pages>() {
        all.imp().wrong.set_label(&capital(&why.to_string()));
        fit_height(&all);
    }
}

/// A dialog of pages. `save` saves what they say, or tells what is wrong.
pub fn ask_with_pages<E: Display>(
    parent: &impl IsA<gtk::Window>,
    about: &str,
    pages: &[(&str, gtk::Box)],
    save: impl Fn(&gtk::Window) -> Result<After, E> + 'static,
) -> gtk::Window {
    ask_to(parent, (about, "Save"), pages, save)
}

/// As [`ask_with_pages`], with a title and another word on the button than Save.
pub fn ask_to<E: Display>(
    parent: &impl IsA<gtk::Window>,
    (about, accept): (&str, &str),
    pages: &[(&str, gtk::Box)],
    save: impl Fn(&gtk::Window) -> Result<After, E> + 'static,
) -> gtk::Window {
    // What is over the window's own height scrolls.
    let most = (parent.upcast_ref::<gtk::Window>().height() - 190).clamp(260, 620);
    let all = Pages::of(pages, most);
    let dialog = dialog(parent, about, &all, (640, -1));
    all.imp().save.set_label(accept);
    dialog.set_default_widget(Some(&*all.imp().save));
    all.imp().cancel.connect_clicked(glib::clone!(
        #[weak]
        dialog,
        move |_| dialog.close()
    ));
    all.imp().save.connect_clicked(glib::clone!(
        #[weak]
        dialog,
        move |_| match save(&dialog) {
            Ok(After::Close) => dialog.close(),
            Ok(After::Stay) => {}
            Err(message) => refuse(&dialog, &message),
        }
    ));
    dialog
}
