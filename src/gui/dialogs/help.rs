//! The help: the guide's chapters, and every key, made from the table of actions and the key card.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::guide::{CHAPTERS, Caps};
use crate::gui::kit::dialog::dialog;
use crate::gui::kit::words::named;
use crate::gui::kit::{fields, markdown};
use crate::gui::model::Model;
use crate::logging::KeyCard;
use crate::logging::card::HelpRow;

/// Shows the help: at all keys, or at the first chapter of the guide.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>, page: &str) {
    if let Some(dialog) = help(model, parent, page) {
        dialog.present();
    }
}

/// The dialog; none before there is a key card.
pub fn help(model: &Model, parent: &impl IsA<gtk::Window>, page: &str) -> Option<gtk::Window> {
    let card = model.key_card()?;
    let all: HelpPage = glib::Object::new();
    let pages = all.imp().pages.get();
    let names = model.side_names();
    pages.add_titled(&scrolled(&keys(&card, [&names[0], &names[1]])), Some("keys"), "All keys");
    let caps = Caps::of(&card);
    for chapter in &CHAPTERS {
        let page = markdown::page(&markdown::blocks(chapter.text, |code| caps.say(code)));
        page.set_margin_end(12);
        // One name is that of the list of all keys.
        pages.add_titled(&scrolled(&page), Some(&format!("guide-{}", chapter.name)), chapter.title);
    }
    let shown = if page == "keys" { "keys".to_owned() } else { format!("guide-{}", CHAPTERS[0].name) };
    pages.set_visible_child_name(&shown);
    all.list_chapters();
    Some(dialog(parent, &format!("Help; keys: {}", card.name()), &all, (1120, 640)))
}

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/help.ui")]
    pub struct HelpPage {
        #[template_child]
        pub contents: TemplateChild<gtk::ListBox>,
        #[template_child]
        pub pages: TemplateChild<gtk::Stack>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for HelpPage {
        const NAME: &'static str = "ChangeoverHelpPage";
        type Type = super::HelpPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for HelpPage {}
    impl WidgetImpl for HelpPage {}
    impl BoxImpl for HelpPage {}
}

glib::wrapper! {
    /// The chapters, and the one that is shown.
    pub struct HelpPage(ObjectSubclass<imp::HelpPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl HelpPage {
    /// Lists the pages; a row shows its page.
    fn list_chapters(&self) {
        let (list, pages) = (self.imp().contents.get(), self.imp().pages.get());
        let titles = pages.pages();
        for page in titles.iter::<gtk::StackPage>().filter_map(Result::ok) {
            let title = page.title().unwrap_or_default();
            let row = gtk::ListBoxRow::builder().child(&fields::title(&title)).build();
            named(row.upcast_ref(), &title);
            list.append(&row);
            if Some(page.child()) == pages.visible_child() {
                list.select_row(Some(&row));
            }
        }
        list.connect_row_selected(glib::clone!(
            #[weak]
            pages,
            move |_, row| {
                let at = row.and_then(|r| u32::try_from(r.index()).ok());
                if let Some(page) = at.and_then(|n| titles.item(n)).and_downcast::<gtk::StackPage>() {
                    pages.set_visible_child(&page.child());
                }
            }
        ));
    }
}

fn scrolled(child: &impl IsA<gtk::Widget>) -> gtk::ScrolledWindow {
    gtk::ScrolledWindow::builder().child(child).focusable(true).build()
}

/// Watch, log, pad, balls, score, window, tags: in columns of about the same length.
const COLUMNS: [usize; 7] = [0, 1, 2, 0, 2, 1, 2];

fn keys(card: &KeyCard, names: [&str; 2]) -> gtk::FlowBox {
    let columns = gtk::FlowBox::builder()
        .selection_mode(gtk::SelectionMode::None)
        .column_spacing(30)
        .min_children_per_line(1)
        .max_children_per_line(3)
        .build();
    let places: Vec<gtk::Box> = (0..3).map(|_| gtk::Box::new(gtk::Orientation::Vertical, 18)).collect();
    for place in &places {
        let child = gtk::FlowBoxChild::builder().child(place).focusable(false).build();
        columns.append(&child);
    }
    for (i, (title, rows)) in card.help(names).iter().enumerate() {
        places[COLUMNS.get(i).copied().unwrap_or_default()].append(&group(title, rows));
    }
    columns
}

fn group(title: &str, rows: &[HelpRow]) -> gtk::Grid {
    let grid = gtk::Grid::builder().column_spacing(14).row_spacing(3).valign(gtk::Align::Start).build();
    let heading = gtk::Label::builder().label(title).xalign(0.0).css_classes(["heading"]).build();
    grid.attach(&heading, 0, 0, 2, 1);
    for (i, HelpRow { keys, what }) in rows.iter().enumerate() {
        let keys = gtk::Label::builder().label(keys.join("\n")).xalign(1.0).yalign(0.0);
        let keys = keys.justify(gtk::Justification::Right).css_classes(["caps"]).build();
        let what =
            gtk::Label::builder().label(what).xalign(0.0).yalign(0.0).wrap(true).max_width_chars(34).build();
        grid.attach(&keys, 0, i as i32 + 1, 1, 1);
        grid.attach(&what, 1, i as i32 + 1, 1, 1);
    }
    grid
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gui::dialogs::correct_tests::all;
    use crate::gui::window::tests::empty_window;

    #[gtk::test]
    fn the_help_has_every_chapter_with_the_keys_of_the_card() {
        let window = empty_window();
        let dialog = help(window.model(), &window, "guide").unwrap();
        let stack = all::<gtk::Stack>(&dialog).remove(0);
        assert_eq!(stack.visible_child_name().as_deref(), Some("guide-log"));
        assert_eq!(stack.pages().n_items() as usize, CHAPTERS.len() + 1);
        let said: Vec<String> = all::<gtk::Label>(&dialog).iter().map(|l| l.text().into()).collect();
        assert!(said.iter().any(|t| t.starts_with("Ctrl O opens one file")));
        let list = all::<gtk::ListBox>(&dialog).remove(0);
        assert_eq!(list.selected_row().map(|r| r.index()), Some(1));
        list.select_row(list.row_at_index(2).as_ref());
        assert_eq!(stack.visible_child_name().as_deref(), Some("guide-study"));
        window.destroy();
    }
}
