//! Says which version this is, in lines that can be copied into a report of an error.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::about::{DESKTOP_ID, report};
use crate::gui::kit::dialog::dialog;
use crate::gui::libraries::libraries;

/// Shows the dialog.
pub fn show(parent: &impl IsA<gtk::Window>) {
    let page: AboutPage = glib::Object::new();
    page.fill(&format!("Changeover {}", report(libraries())));
    let dialog = dialog(parent, "About Changeover", &page, (420, -1));
    // The first field to get the focus would be the versions, and all of them would be selected.
    gtk::prelude::GtkWindowExt::set_focus(&dialog, Some(&*page.imp().copy));
    dialog.present();
    page.imp().report.select_region(0, 0);
}

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/about.ui")]
    pub struct AboutPage {
        #[template_child]
        pub icon: TemplateChild<gtk::Image>,
        #[template_child]
        pub report: TemplateChild<gtk::Label>,
        #[template_child]
        pub copy: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for AboutPage {
        const NAME: &'static str = "ChangeoverAboutPage";
        type Type = super::AboutPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for AboutPage {}
    impl WidgetImpl for AboutPage {}
    impl BoxImpl for AboutPage {}
}

glib::wrapper! {
    /// Icon, versions, and a button that copies them.
    pub struct AboutPage(ObjectSubclass<imp::AboutPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl AboutPage {
    fn fill(&self, versions: &str) {
        let imp = self.imp();
        imp.report.set_label(versions);
        // A program that was built but not installed has no icon.
        let has_icon = gtk::IconTheme::for_display(&self.display()).has_icon(DESKTOP_ID);
        imp.icon.set_visible(has_icon);
        imp.icon.set_icon_name(Some(DESKTOP_ID));
        let label = imp.report.get();
        imp.copy.connect_clicked(move |copy| copy.clipboard().set_text(&label.label()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[gtk::test]
    fn the_versions_are_copied_as_they_stand() {
        let page: AboutPage = glib::Object::new();
        page.fill("Changeover 0.1.0\nGTK 4.8.3");
        page.imp().copy.emit_clicked();
        let copied = glib::MainContext::default().block_on(page.clipboard().read_text_future());
        assert_eq!(copied.unwrap().unwrap(), "Changeover 0.1.0\nGTK 4.8.3");
    }
}
