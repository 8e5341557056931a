//! The builder: makes and changes the user's own patterns, as a form or as the text of their file.
//!
//! The text is what is kept. A change in the form changes one pattern's table in it, and nothing else; a change of the
//! text fills the form anew. How many points of the match show the pattern, or what is wrong with the text, is said at
//! once.

use std::cell::{Cell, OnceCell, RefCell};
use std::path::PathBuf;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::builder_form::{Changes, form};
use super::error::FieldsError;
use crate::counted::{Counted, Noun};
use crate::facts::PointFacts;
use crate::gui::kit;
use crate::gui::kit::fields::{quiet, title};
use crate::gui::kit::job::off_loop;
use crate::gui::kit::words::named;
use crate::gui::model::Model;
use crate::pattern::{self, Answer, Draft, Pattern, PatternError, PatternFile, answer, patch};
use crate::record::Shared;
use crate::session::error::OwnFileError;
use crate::session::own::{patterns_in, read, write};

mod imp {
    use super::{Cell, Draft, Model, OnceCell, PathBuf, RefCell, glib};
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/builder.ui")]
    pub struct Builder {
        pub model: glib::WeakRef<Model>,
        /// The file, and its text when it was read.
        pub path: OnceCell<PathBuf>,
        pub was: OnceCell<String>,
        /// The pattern in the form, and which one of the file it is; none where only the text can hold it.
        pub draft: RefCell<Option<Draft>>,
        pub at: Cell<usize>,
        /// Set while the builder itself changes a widget.
        pub filling: Cell<bool>,
        pub warned: Cell<bool>,
        #[template_child]
        pub choice: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub new: TemplateChild<gtk::MenuButton>,
        #[template_child]
        pub new_list: TemplateChild<gtk::ListBox>,
        #[template_child]
        pub remove: TemplateChild<gtk::Button>,
        #[template_child]
        pub form: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub text: TemplateChild<gtk::TextView>,
        #[template_child]
        pub told: TemplateChild<gtk::Label>,
        #[template_child]
        pub cancel: TemplateChild<gtk::Button>,
        #[template_child]
        pub keep: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Builder {
        const NAME: &'static str = "ChangeoverBuilder";
        type Type = super::Builder;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Builder {}
    impl WidgetImpl for Builder {}
    impl BoxImpl for Builder {}
}

glib::wrapper! {
    /// The builder.
    pub struct Builder(ObjectSubclass<imp::Builder>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl Builder {
    /// A builder on the text of a file.
    pub fn new(model: &Model, path: PathBuf, text: &str) -> Self {
        let builder: Self = glib::Object::new();
        let imp = builder.imp();
        imp.model.set(Some(model));
        let _ = imp.path.set(path);
        let _ = imp.was.set(text.to_owned());
        builder.wire_new();
        builder.wire();
        builder.set_text(text);
        builder.choose(0);
        builder
    }

    /// Lists what a new pattern can be: an empty one, or a copy of one that is built in.
    fn wire_new(&self) {
        let imp = self.imp();
        named(imp.choice.upcast_ref(), "Pattern");
        named(imp.new.upcast_ref(), "New pattern");
        let starters = PatternFile::starter().map(|f| f.patterns).unwrap_or_default();
        imp.new_list.append(&title("Empty pattern"));
        for pattern in &starters {
            imp.new_list.append(&title(&format!("Copy of “{}”", pattern.name)));
        }
        imp.new_list.connect_row_activated(glib::clone!(
            #[weak(rename_to = b)]
            self,
            move |_, row| {
                b.imp().new.popdown();
                b.add(usize::try_from(row.index() - 1).ok().and_then(|n| starters.get(n)));
            }
        ));
    }

    fn wire(&self) {
        let imp = self.imp();
        imp.choice.connect_selected_notify(glib::clone!(
            #[weak(rename_to = b)]
            self,
            move |c| {
                if !b.imp().filling.get() {
                    b.choose(c.selected() as usize);
                }
            }
        ));
        imp.text.buffer().connect_changed(glib::clone!(
            #[weak(rename_to = b)]
            self,
            move |_| {
                if !b.imp().filling.get() {
                    b.choose(b.imp().at.get());
                }
            }
        ));
        imp.remove.connect_clicked(glib::clone!(
            #[weak(rename_to = b)]
            self,
            move |_| b.remove()
        ));
    }

    /// What the form asks for.
    fn changes(&self) -> Changes {
        Changes::new(glib::clone!(
            #[weak(rename_to = b)]
            self,
            move |how, again| {
                b.change(how);
                if again {
                    b.show_form_again();
                }
            }
        ))
    }

    /// The text as it would be kept.
    pub fn text(&self) -> String {
        let buffer = self.imp().text.buffer();
        buffer.text(&buffer.start_iter(), &buffer.end_iter(), true).into()
    }

    fn set_text(&self, text: &str) {
        self.imp().filling.set(true);
        self.imp().text.buffer().set_text(text);
        self.imp().filling.set(false);
    }

    /// What the text says.
    fn file(&self) -> Result<PatternFile, PatternError> {
        patterns_in(&self.text(), self.imp().path.get().map_or("".as_ref(), PathBuf::as_path))
    }

    /// Takes a pattern of the text into the form.
    pub fn choose(&self, at: usize) {
        let imp = self.imp();
        let file = self.file();
        if let Ok(file) = &file {
            // A text that is pasted over is empty for a moment; the place in it stays.
            let at = file.patterns.len().checked_sub(1).map_or(at, |last| at.min(last));
            imp.at.set(at);
            // A form changes one table, which it must be able to find.
            let found = patch::count(&self.text()) == Some(file.patterns.len());
            imp.draft.replace(file.patterns.get(at).filter(|_| found).and_then(Draft::of));
        } else {
            imp.draft.replace(None);
        }
        self.show_form(&file);
        self.show_told(&file);
    }

    fn show_form(&self, file: &Result<PatternFile, PatternError>) {
        let imp = self.imp();
        let missing = match file {
            Err(_) => "The form comes back when the text has no mistakes.",
            Ok(file) if file.patterns.is_empty() => {
                "You have no patterns of your own yet. Press New to make one."
            }
            Ok(_) => "The form cannot show every part of this pattern. Change it in the text of the file.",
        };
        let page = imp.draft.borrow().as_ref().map(|d| form(&self.changes(), d));
        let page = page.unwrap_or_else(|| {
            let page = gtk::Box::new(gtk::Orientation::Vertical, 0);
            page.append(&quiet(missing));
            page
        });
        // What has the focus goes with the old form; scrolling stays.
        let at = imp.form.vadjustment().value();
        imp.form.set_child(Some(&page));
        imp.form.vadjustment().set_value(at);
    }

    /// Fills the form anew after a condition or a ball came or went.
    pub fn show_form_again(&self) {
        self.show_form(&self.file());
    }

    /// Changes the pattern in the form, and its table in the text.
    pub fn change(&self, how: impl FnOnce(&mut Draft)) {
        let imp = self.imp();
        if imp.filling.get() {
            return;
        }
        let table = {
            let mut draft = imp.draft.borrow_mut();
            let Some(draft) = draft.as_mut() else { return };
            how(draft);
            draft.text()
        };
        if let Some(text) = patch::replace(&self.text(), imp.at.get(), &table) {
            self.set_text(&text);
        }
        self.show_told(&self.file());
    }

    /// Adds a pattern at the end, like another one if given.
    pub fn add(&self, like: Option<&Pattern>) {
        let Ok(file) = self.file() else { return };
        let first = like.map_or("New pattern", |p| &p.name);
        let names = (1..).map(|n| if n == 1 { first.to_owned() } else { format!("{first} {n}") });
        let name = names.into_iter().find(|n| file.named(n).is_err()).unwrap_or_default();
        let empty = Draft::named(name.clone());
        let table = like.map_or_else(|| empty.text(), |p| table_of(Pattern { name, ..p.clone() }));
        let at = file.patterns.len();
        let before = if at == 0 { with_head(&self.text()) } else { self.text() };
        self.set_text(&patch::append(&before, table.trim_start()));
        self.imp().at.set(at);
        if like.is_some() {
            return self.choose(at);
        }
        // It has no condition yet, which the reader of the file rightly refuses.
        self.imp().draft.replace(Some(empty));
        self.show_form_again();
        self.show_told(&self.file());
    }

    /// Takes the pattern in the form out of the text.
    pub fn remove(&self) {
        let at = self.imp().at.get();
        if let Some(text) = patch::remove(&self.text(), at) {
            self.set_text(&text);
            self.choose(at.saturating_sub(1));
        }
    }

    /// Says how many points show the pattern, or what is wrong with the text.
    fn show_told(&self, file: &Result<PatternFile, PatternError>) {
        let imp = self.imp();
        imp.keep.set_sensitive(file.is_ok());
        match file {
            Err(e) => {
                imp.told.set_label(&e.to_string());
                imp.told.set_css_classes(&["wrong"]);
            }
            Ok(file) => {
                let model = imp.model.upgrade();
                let session = model.as_ref().map(|m| m.session().borrow());
                let facts = session
                    .as_ref()
                    .and_then(|s| s.as_ref())
                    .map_or_else(Shared::default, |s| s.facts().clone());
                let told = file.patterns.get(imp.at.get()).map_or_else(String::new, |p| counted(p, &facts));
                imp.told.set_label(&told);
                imp.told.set_css_classes(&["quiet"]);
            }
        }
        self.show_choice(file);
    }

    fn show_choice(&self, file: &Result<PatternFile, PatternError>) {
        let imp = self.imp();
        let draft = imp.draft.borrow();
        let whole =
            file.as_ref().ok().map(|f| f.patterns.iter().map(|p| p.name.as_str()).collect::<Vec<_>>());
        imp.filling.set(true);
        match (whole, draft.as_ref()) {
            (Some(names), _) => {
                imp.choice.set_model(Some(&gtk::StringList::new(&names)));
                imp.choice.set_selected(imp.at.get() as u32);
                imp.choice.set_sensitive(names.len() > 1);
            }
            // The text is not in order: another pattern could not be read.
            (None, Some(draft)) => {
                imp.choice.set_model(Some(&gtk::StringList::new(&[&draft.name])));
                imp.choice.set_sensitive(false);
            }
            (None, None) => imp.choice.set_sensitive(false),
        }
        imp.filling.set(false);
        let some = patch::count(&self.text()).is_none_or(|n| n > 0);
        imp.choice.set_visible(some);
        imp.remove.set_visible(some);
        imp.remove.set_sensitive(patch::count(&self.text()).is_some_and(|n| n > imp.at.get()));
    }

    /// Keeps the text; what is wrong, in words.
    pub fn keep(&self) -> Result<Vec<Pattern>, FieldsError> {
        let file = self.file().map_err(OwnFileError::from)?;
        let (path, was) = self.imp().path.get().zip(self.imp().was.get()).ok_or(FieldsError::NoFile)?;
        write(path, was, &self.text())?;
        Ok(file.patterns)
    }

    /// Whether it may be closed; says once that something was not kept.
    fn may_close(&self) -> bool {
        let imp = self.imp();
        if imp.warned.get() || imp.was.get() == Some(&self.text()) {
            return true;
        }
        imp.warned.set(true);
        imp.told.set_label("Your changes are not saved. Save them, or close once more to drop them.");
        imp.told.set_css_classes(&["wrong"]);
        false
    }
}

/// A pattern's own table.
fn table_of(pattern: Pattern) -> String {
    pattern::write(&PatternFile { patterns: vec![pattern], ..PatternFile::empty("") })
}

/// What the built-in file says beside its patterns.
fn without_patterns() -> PatternFile {
    let starter = PatternFile::starter().unwrap_or_else(|_| PatternFile::empty(""));
    PatternFile { patterns: Vec::new(), ..starter }
}

/// A file without a pattern yet, which gets what the built-in one says beside its patterns: a copy of one of these
/// then means the same.
fn with_head(text: &str) -> String {
    let says_more = text.lines().any(|l| !l.trim().is_empty() && !l.trim().starts_with('#'));
    if says_more { text.to_owned() } else { patch::append(text, &pattern::write(&without_patterns())) }
}

/// How many points show a pattern, do not, or do not say.
fn counted(pattern: &Pattern, facts: &Shared<PointFacts>) -> String {
    if facts.is_empty() {
        return "Open a match to count its points.".into();
    }
    let answers: Vec<Answer> = facts.iter().map(|f| answer(pattern, f)).collect();
    let how_many = |a| answers.iter().filter(|x| **x == a).count();
    let (yes, no, unknown) = (how_many(Answer::Yes), how_many(Answer::No), how_many(Answer::Unknown));
    let lacking = match unknown {
        0 => String::new(),
        n => {
            let points = Counted(n, Noun::Point);
            format!(" {points} {} the data to tell.", points.lacks())
        }
    };
    let (all, not) = (Counted(facts.len(), Noun::Point), Counted(no, Noun::Point));
    format!("{yes} of {all} in this match show the pattern, {no} {} not.{lacking}", not.does())
}

/// Opens the builder on the user's own patterns.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let path = model.own().borrow().path.clone();
    let reading = path.clone();
    let then = glib::clone!(
        #[weak]
        model,
        #[weak(rename_to = parent)]
        parent.upcast_ref::<gtk::Window>(),
        move |found: Result<String, OwnFileError>| match found {
            Ok(text) => dialog(&model, &parent, path, &text).0.present(),
            Err(why) => model.say(&why.to_string()),
        }
    );
    off_loop(move || read(&reading), then);
}

/// The dialog, and the builder in it.
pub fn dialog(
    model: &Model,
    parent: &impl IsA<gtk::Window>,
    path: PathBuf,
    text: &str,
) -> (gtk::Window, Builder) {
    let builder = Builder::new(model, path, text);
    let dialog = kit::dialog::dialog(parent, "Patterns", &builder, (820, 640));
    let imp = builder.imp();
    imp.keep.connect_clicked(glib::clone!(
        #[weak]
        model,
        #[weak]
        dialog,
        #[weak]
        builder,
        move |_| match builder.keep() {
            Ok(patterns) => {
                builder.imp().warned.set(true);
                dialog.close();
                model.set_own(patterns);
            }
            Err(why) => {
                builder.imp().told.set_label(&why.to_string());
                builder.imp().told.set_css_classes(&["wrong"]);
            }
        }
    ));
    imp.cancel.connect_clicked(glib::clone!(
        #[weak]
        dialog,
        move |_| dialog.close()
    ));
    dialog.connect_close_request(glib::clone!(
        #[weak]
        builder,
        #[upgrade_or]
        glib::Propagation::Proceed,
        move |_| if builder.may_close() { glib::Propagation::Proceed } else { glib::Propagation::Stop }
    ));
    (dialog, builder)
}
