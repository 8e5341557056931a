//! Exports what is seen: clips of the points that the filter keeps, the points, the answer on the screen.

use std::path::PathBuf;
use std::rc::Rc;
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::export::{AnswerFormat, Format, PointFormat};
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::fields::{attach, choice, chosen, grid, quiet};
use crate::gui::kit::job::off_loop;
use crate::gui::kit::pages::{After, ask_to};
use crate::gui::model::Model;
use crate::session::exporting::{ExportFailure, Source, Wish};

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    Clips,
    Points,
    Answer,
}

/// The fields.
struct Fields {
    kinds: Vec<(String, What)>,
    what: gtk::DropDown,
    formats: gtk::DropDown,
    lead_in: gtk::SpinButton,
    lead_out: gtk::SpinButton,
}

fn words(what: What) -> Vec<&'static str> {
    match what {
        What::Clips => Format::ALL.map(Format::words).to_vec(),
        What::Points => PointFormat::ALL.map(PointFormat::words).to_vec(),
        What::Answer => AnswerFormat::ALL.map(AnswerFormat::words).to_vec(),
    }
}

impl Fields {
    fn of(source: &Source) -> Self {
        let n = source.kept.len();
        let clips = format!("Clips: {} ({})", source.title, Counted(n, Noun::Point));
        let mut kinds = vec![(clips, What::Clips), ("All points of this match".into(), What::Points)];
        let first = if source.answer.is_some() {
            kinds.push(("The answer on the screen".into(), What::Answer));
            What::Answer
        } else {
            What::Clips
        };
        let lead = Lead::default();
        let seconds = |d: Duration| {
            let field = gtk::SpinButton::with_range(0.0, 60.0, 0.5);
            field.set_digits(1);
            field.set_value(d.as_secs_f64());
            field
        };
        Self {
            what: choice(&kinds, first),
            formats: gtk::DropDown::from_strings(&words(first)),
            lead_in: seconds(lead.before),
            lead_out: seconds(lead.after),
            kinds,
        }
    }

    fn page(self: &Rc<Self>) -> gtk::Box {
        let grid = grid();
        attach(&grid, 0, "Export", &self.what);
        attach(&grid, 1, "Format", &self.formats);
        attach(&grid, 2, "Seconds before each point", &self.lead_in);
        attach(&grid, 3, "Seconds after each point", &self.lead_out);
        let fields = Rc::downgrade(self);
        self.what.connect_selected_notify(move |_| {
            if let Some(f) = fields.upgrade() {
                f.formats.set_model(Some(&gtk::StringList::new(&words(f.kind()))));
                f.show_leads();
            }
        });
        self.show_leads();
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(&grid);
        page.append(&quiet("A record, footage or settings are never replaced."));
        page
    }

    /// Only clips have seconds before and after.
    fn show_leads(&self) {
        let clips = self.kind() == What::Clips;
        self.lead_in.set_sensitive(clips);
        self.lead_out.set_sensitive(clips);
    }

    fn kind(&self) -> What {
        chosen(&self.what, &self.kinds)
    }

    fn wish(&self) -> Wish {
        let at = self.formats.selected() as usize;
        let seconds = |field: &gtk::SpinButton| Duration::from_secs_f64(field.value().max(0.0));
        match self.kind() {
            What::Clips => {
                let [before, after] = [&self.lead_in, &self.lead_out].map(seconds);
                let lead = Lead { before, after, ..Lead::default() };
                Wish::Clips(Format::ALL[at % Format::ALL.len()], lead)
            }
            What::Points => Wish::Points(PointFormat::ALL[at % PointFormat::ALL.len()]),
            What::Answer => Wish::Answer(AnswerFormat::ALL[at % AnswerFormat::ALL.len()]),
        }
    }
}

/// Asks what to export; `source` is what there is.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>, source: Option<Source>) {
    match source {
        Some(source) => dialog(model, parent, source).present(),
        None => model.say("There is nothing to export. Open a match first."),
    }
}

/// What the open match gives, without an answer of Study.
pub fn source(model: &Model) -> Option<Source> {
    let session = model.session().borrow();
    let s = session.as_ref()?;
    Some(Source {
        path: s.view.path.clone(),
        record: s.view.record.clone(),
        title: s.filter.title(),
        kept: s.kept(),
        answer: None,
    })
}

/// The dialog.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>, source: Source) -> gtk::Window {
    let fields = Rc::new(Fields::of(&source));
    let page = fields.page();
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |dialog: &gtk::Window| {
            let wish = fields.wish();
            match wish {
                Wish::Clips(..) if source.kept.is_empty() => return Err(ExportFailure::NoPoints),
                _ => ask_where(&model, dialog, &source, wish),
            }
            Ok(After::Stay)
        }
    );
    ask_to(parent, ("Export", "Save as…"), &[("Export", page)], save)
}

fn ask_where(model: &Model, dialog: &gtk::Window, source: &Source, wish: Wish) {
    let action = gtk::FileChooserAction::Save;
    let chooser =
        gtk::FileChooserNative::new(Some("Export to"), Some(dialog), action, Some("Save"), Some("Cancel"));
    chooser.set_modal(true);
    chooser.set_current_name(&source.name_for(wish));
    if let Some(folder) = source.path.parent().and_then(|f| std::path::absolute(f).ok()) {
        // The chooser offers another folder when it cannot show this one.
        let _ = chooser.set_current_folder(Some(&gtk::gio::File::for_path(folder)));
    }
    let source = source.clone();
    let then = glib::clone!(
        #[weak]
        model,
        #[weak]
        dialog,
        move |paths: Vec<PathBuf>| {
            if let Some(to) = paths.into_iter().next() {
                dialog.close();
                write(&model, source.clone(), wish, to);
            }
        }
    );
    when_chosen(&chooser, then);
}

/// Writes on a thread, and says what came of it.
pub fn write(model: &Model, source: Source, wish: Wish, to: PathBuf) {
    let place = to.clone();
    let then = glib::clone!(
        #[weak]
        model,
        move |done: Result<(), ExportFailure>| match done {
            Ok(()) => model.say(&format!("Exported to {}.", place.display())),
            Err(why) => model.say(&format!("Nothing was exported: {why}")),
        }
    );
    off_loop(move || source.save(wish, &to), then);
}
