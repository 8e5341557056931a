//! Choosing the plan: the pattern that is meant to be played, called before the point.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit;
use crate::gui::kit::picker::{along, fill};
use crate::gui::model::Model;
use crate::near::found;
use crate::session::keeper::Ask;
use crate::session::state::Session;

/// What can be chosen for a text: the names that have it, the best first, and the text itself where it is none of them.
fn offered(names: &[String], text: &str) -> Vec<String> {
    let mut rows: Vec<String> = found(text, names).into_iter().map(|n| names[n].clone()).collect();
    let wanted = text.trim();
    if !wanted.is_empty() && !names.iter().any(|n| n.to_lowercase() == wanted.to_lowercase()) {
        rows.push(wanted.to_owned());
    }
    rows
}

impl Session {
    /// The names that a plan can have: the patterns, and plans of this match that are none of them.
    fn plans(&self) -> Vec<String> {
        let mut names: Vec<String> = self.patterns().iter().map(|p| p.name.clone()).collect();
        for plan in self.view.record.points.iter().map(|p| &p.plan).filter(|p| !p.is_empty()) {
            if !names.contains(plan) {
                names.push(plan.clone());
            }
        }
        names
    }
}

/// Asks for the plan of the point being played, or of the next one.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let (names, now, playing) = {
        let session = model.session().borrow();
        let Some(s) = session.as_ref() else { return };
        (s.plans(), s.view.plan.clone(), s.is_in_a_point())
    };
    let about = if playing { "Plan of this point" } else { "Plan of the next point" };
    let page: PlanPage = glib::Object::new();
    let imp = page.imp();
    imp.now.set_label(&format!("Current plan: {now}"));
    imp.now.set_visible(!now.is_empty());
    imp.none.set_sensitive(!now.is_empty());
    let dialog = kit::dialog::dialog(parent, about, &page, (420, 460));
    page.offer(&names);
    imp.find.connect_changed(glib::clone!(
        #[weak]
        page,
        move |_| page.offer(&names)
    ));
    wire(model, &dialog, &page);
    dialog.present();
    imp.find.grab_focus();
}

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/plan.ui")]
    pub struct PlanPage {
        #[template_child]
        pub now: TemplateChild<gtk::Label>,
        #[template_child]
        pub find: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub list: TemplateChild<gtk::ListBox>,
        #[template_child]
        pub none: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PlanPage {
        const NAME: &'static str = "ChangeoverPlanPage";
        type Type = super::PlanPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PlanPage {}
    impl WidgetImpl for PlanPage {}
    impl BoxImpl for PlanPage {}
}

glib::wrapper! {
    /// The plans to choose from.
    pub struct PlanPage(ObjectSubclass<imp::PlanPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PlanPage {
    /// Lists what can be chosen for what is typed.
    fn offer(&self, names: &[String]) {
        let imp = self.imp();
        fill(&imp.list, offered(names, &imp.find.text()).iter().map(String::as_str));
    }
}

fn wire(model: &Model, dialog: &gtk::Window, page: &PlanPage) {
    let imp = page.imp();
    let keep = glib::clone!(
        #[weak]
        model,
        #[weak]
        dialog,
        move |plan: &str| {
            model.ask(Ask::Plan(plan.to_owned()));
            dialog.close();
        }
    );
    imp.find.connect_activate(glib::clone!(
        #[weak]
        page,
        #[strong]
        keep,
        move |_| {
            if let Some(row) = page.imp().list.selected_row() {
                keep(&text_of(&row));
            }
        }
    ));
    imp.find.connect_stop_search(glib::clone!(
        #[weak]
        dialog,
        move |_| dialog.close()
    ));
    imp.find.add_controller(along(&imp.list));
    imp.list.connect_row_activated(glib::clone!(
        #[strong]
        keep,
        move |_, row| keep(&text_of(row))
    ));
    imp.none.connect_clicked(move |_| keep(""));
}

fn text_of(row: &gtk::ListBoxRow) -> String {
    row.child().and_downcast::<gtk::Label>().map(|l| l.label().to_string()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plan_is_a_pattern_or_the_coachs_own_words() {
        let names: Vec<String> =
            ["Serve wide", "Wide, then open court", "Drop shot"].map(String::from).into();
        assert_eq!(offered(&names, ""), names);
        assert_eq!(offered(&names, "wide"), ["Wide, then open court", "Serve wide", "wide"]);
        assert_eq!(offered(&names, "drop SHOT"), ["Drop shot"]);
        assert_eq!(offered(&names, " moonball "), ["moonball"]);
    }
}
