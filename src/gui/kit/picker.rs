//! A choice of one of many names, found by typing: any part of a name, the best first.

use std::cell::{Cell, RefCell};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::words::named;
use crate::near::found;

mod imp {
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Cell, RefCell};

    #[derive(Default, CompositeTemplate, glib::Properties)]
    #[properties(wrapper_type = super::Picker)]
    #[template(file = "../../../ui/kit/picker.ui")]
    pub struct Picker {
        #[template_child]
        pub button: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub words: TemplateChild<gtk::Label>,
        #[template_child]
        pub popover: TemplateChild<gtk::Popover>,
        #[template_child]
        pub find: TemplateChild<gtk::SearchEntry>,
        #[template_child]
        pub list: TemplateChild<gtk::ListBox>,
        #[template_child]
        pub none: TemplateChild<gtk::Label>,
        pub names: RefCell<Vec<String>>,
        /// The places of the names that are listed.
        pub listed: RefCell<Vec<usize>>,
        /// The place of the name that is chosen.
        #[property(get, set = Self::select, explicit_notify)]
        pub selected: Cell<u32>,
    }

    impl Picker {
        fn select(&self, place: u32) {
            self.selected.set(place);
            self.obj().show_chosen();
            self.obj().notify_selected();
        }
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Picker {
        const NAME: &'static str = "ChangeoverPicker";
        type Type = super::Picker;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    #[glib::derived_properties]
    impl ObjectImpl for Picker {
        fn constructed(&self) {
            self.parent_constructed();
            self.obj().wire();
        }
    }

    impl WidgetImpl for Picker {
        fn grab_focus(&self) -> bool {
            self.button.grab_focus()
        }
    }
    impl BoxImpl for Picker {}
}

glib::wrapper! {
    /// A choice that is searched by typing.
    pub struct Picker(ObjectSubclass<imp::Picker>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl Picker {
    /// A choice of these names.
    pub fn of(names: Vec<String>, selected: u32) -> Self {
        let picker: Self = glib::Object::new();
        picker.offer(names, selected);
        picker
    }

    /// Offers other names.
    pub fn offer(&self, names: Vec<String>, selected: u32) {
        self.imp().names.replace(names);
        self.set_selected(selected);
    }

    /// The names.
    pub fn names(&self) -> Vec<String> {
        self.imp().names.borrow().clone()
    }

    /// Names the choice for a screen reader.
    pub fn say(&self, name: &str) {
        named(self.imp().button.upcast_ref(), name);
        named(self.imp().list.upcast_ref(), name);
    }

    /// Opens the list.
    pub fn open(&self) {
        self.imp().button.popup();
    }

    /// A menu button centres what it holds: the name begins at its left.
    fn align(&self) {
        let imp = self.imp();
        let within = std::iter::successors(imp.words.parent(), gtk::prelude::WidgetExt::parent);
        for widget in within.take_while(|w| w != imp.button.upcast_ref::<gtk::Widget>()) {
            widget.set_halign(gtk::Align::Fill);
        }
    }

    fn wire(&self) {
        let imp = self.imp();
        imp.popover.connect_show(glib::clone!(
            #[weak(rename_to = picker)]
            self,
            move |_| {
                picker.imp().find.set_text("");
                picker.fill();
                picker.imp().find.grab_focus();
            }
        ));
        imp.find.connect_changed(glib::clone!(
            #[weak(rename_to = picker)]
            self,
            move |_| picker.fill()
        ));
        imp.find.connect_activate(glib::clone!(
            #[weak(rename_to = picker)]
            self,
            move |_| {
                if let Some(row) = picker.imp().list.selected_row() {
                    picker.choose(&row);
                }
            }
        ));
        imp.find.connect_stop_search(glib::clone!(
            #[weak(rename_to = picker)]
            self,
            move |_| picker.imp().popover.popdown()
        ));
        imp.find.add_controller(along(&imp.list));
        imp.list.connect_row_activated(glib::clone!(
            #[weak(rename_to = picker)]
            self,
            move |_, row| picker.choose(row)
        ));
        // Not while this is being made: nothing holds it yet.
        self.connect_map(Self::align);
    }

    fn choose(&self, row: &gtk::ListBoxRow) {
        let place = self.imp().listed.borrow().get(row.index() as usize).copied();
        self.imp().popover.popdown();
        if let Some(place) = place {
            self.set_selected(place as u32);
        }
    }

    fn show_chosen(&self) {
        let names = self.imp().names.borrow();
        let name = names.get(self.selected() as usize).map_or("", String::as_str);
        self.imp().words.set_label(name);
        self.set_tooltip_text(Some(name).filter(|n| !n.is_empty()));
    }

    /// Lists the names that have what is typed. Nothing typed, the one that is chosen is marked.
    fn fill(&self) {
        let imp = self.imp();
        let typed = imp.find.text();
        let names = imp.names.borrow();
        let listed = found(&typed, &names);
        fill(&imp.list, listed.iter().map(|n| names[*n].as_str()));
        imp.none.set_visible(listed.is_empty());
        if typed.is_empty() {
            imp.list.select_row(imp.list.row_at_index(self.selected() as i32).as_ref());
        }
        imp.listed.replace(listed);
    }
}

/// Lists these texts in the place of others, and marks the first.
pub fn fill<'t>(list: &gtk::ListBox, rows: impl Iterator<Item = &'t str>) {
    while let Some(row) = list.row_at_index(0) {
        list.remove(&row);
    }
    for text in rows {
        let label = gtk::Label::builder().label(text).xalign(0.0).wrap(true).max_width_chars(44).build();
        let row = gtk::ListBoxRow::builder().child(&label).build();
        named(row.upcast_ref(), text);
        list.append(&row);
    }
    list.select_row(list.row_at_index(0).as_ref());
}

/// Up and Down go along the list while the text keeps the focus.
pub fn along(list: &gtk::ListBox) -> gtk::EventControllerKey {
    let keys = gtk::EventControllerKey::new();
    keys.set_propagation_phase(gtk::PropagationPhase::Capture);
    keys.connect_key_pressed(glib::clone!(
        #[weak]
        list,
        #[upgrade_or]
        glib::Propagation::Proceed,
        move |_, key, _, _| {
            let by = match key {
                gtk::gdk::Key::Down => 1,
                gtk::gdk::Key::Up => -1,
                _ => return glib::Propagation::Proceed,
            };
            let now = list.selected_row().map_or(-1, |r| r.index());
            if let Some(row) = list.row_at_index((now + by).max(0)) {
                list.select_row(Some(&row));
                scroll_to(&list, &row);
            }
            glib::Propagation::Stop
        }
    ));
    keys
}

/// Scrolls to a row, which does not take the focus from the text.
fn scroll_to(list: &gtk::ListBox, row: &gtk::ListBoxRow) {
    let scrolled = list.ancestor(gtk::ScrolledWindow::static_type()).and_downcast::<gtk::ScrolledWindow>();
    if let (Some(scrolled), Some(at)) = (scrolled, row.compute_bounds(list)) {
        let (top, height) = (f64::from(at.y()), f64::from(at.height()));
        scrolled.vadjustment().clamp_page(top, top + height);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[gtk::test]
    fn a_name_is_found_by_any_part_and_chosen_by_return() {
        let names = ["All points", "net", "Pattern: Drop shot", "Pattern: Short return attacked"];
        let picker = Picker::of(names.map(String::from).into(), 1);
        let chosen = std::rc::Rc::new(RefCell::new(Vec::new()));
        let told = std::rc::Rc::clone(&chosen);
        picker.connect_selected_notify(move |p| told.borrow_mut().push(p.selected()));
        picker.fill();
        let imp = picker.imp();
        assert_eq!(imp.list.selected_row().unwrap().index(), 1, "the one that is chosen is marked");
        imp.find.set_text("sho");
        assert_eq!(*imp.listed.borrow(), [2, 3]);
        imp.find.emit_by_name::<()>("activate", &[]);
        assert_eq!((picker.selected(), imp.words.label().as_str()), (2, "Pattern: Drop shot"));
        imp.find.set_text("zzz");
        assert!(imp.none.get_visible());
        imp.find.emit_by_name::<()>("activate", &[]);
        assert_eq!(*chosen.borrow(), [2], "nothing is chosen where nothing is found");
    }
}
