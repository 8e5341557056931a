//! Exports what is seen: clips of the points that the filter keeps, the points, the answer on the screen.

use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;

use super::court_file::PictureFormat;
use super::saving_as::{LeadFields, NEVER_REPLACED, ask_where};
use crate::counted::{Counted, Noun};
use crate::export::{AnswerFormat, Format, PointFormat};
use crate::gui::kit::fields::{attach, choice, chosen, grid, quiet};
use crate::gui::kit::pages::{After, ask_to};
use crate::gui::model::Model;
use crate::session::exporting::{ExportFailure, Source, Wish};

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    Clips,
    Points,
    Answer,
    /// The court picture at this place of the answer.
    Picture(usize),
}

/// What is written, and how.
enum Wished {
    Text(Wish),
    Picture(usize, PictureFormat),
}

/// The fields.
struct Fields {
    kinds: Vec<(String, What)>,
    what: gtk::DropDown,
    formats: gtk::DropDown,
    grid: gtk::Grid,
    lead: LeadFields,
}

fn words(what: What) -> Vec<&'static str> {
    match what {
        What::Clips => Format::ALL.map(Format::words).to_vec(),
        What::Points => PointFormat::ALL.map(PointFormat::words).to_vec(),
        What::Answer => AnswerFormat::ALL.map(AnswerFormat::words).to_vec(),
        What::Picture(_) => PictureFormat::ALL.map(PictureFormat::words).to_vec(),
    }
}

impl Fields {
    fn of(source: &Source) -> Self {
        let n = source.kept.len();
        let clips = format!("Clips: {} ({})", source.title, Counted(n, Noun::Point));
        let mut kinds = vec![(clips, What::Clips), ("All points of this match".into(), What::Points)];
        let first = if source.answer.is_some() {
            kinds.push(("The answer on the screen".into(), What::Answer));
            let pictures = source.pictures().into_iter().enumerate();
            kinds.extend(pictures.map(|(n, (shot, _))| (format!("Court picture: {shot}"), What::Picture(n))));
            What::Answer
        } else {
            What::Clips
        };
        let grid = grid();
        let lead = LeadFields::attached(&grid, 2);
        Self {
            what: choice(&kinds, first),
            formats: gtk::DropDown::from_strings(&words(first)),
            grid,
            lead,
            kinds,
        }
    }

    fn page(self: &Rc<Self>) -> gtk::Box {
        let grid = &self.grid;
        attach(grid, 0, "Export", &self.what);
        attach(grid, 1, "Format", &self.formats);
        let fields = Rc::downgrade(self);
        self.what.connect_selected_notify(move |_| {
            if let Some(f) = fields.upgrade() {
                f.formats.set_model(Some(&gtk::StringList::new(&words(f.kind()))));
                f.show_leads();
            }
        });
        self.show_leads();
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(grid);
        page.append(&quiet(NEVER_REPLACED));
        page
    }

    /// Only clips have seconds before and after.
    fn show_leads(&self) {
        self.lead.set_sensitive(self.kind() == What::Clips);
    }

    fn kind(&self) -> What {
        chosen(&self.what, &self.kinds)
    }

    fn wish(&self) -> Wished {
        let at = self.formats.selected() as usize;
        match self.kind() {
            What::Clips => Wished::Text(Wish::Clips(Format::ALL[at % Format::ALL.len()], self.lead.lead())),
            What::Points => Wished::Text(Wish::Points(PointFormat::ALL[at % PointFormat::ALL.len()])),
            What::Answer => Wished::Text(Wish::Answer(AnswerFormat::ALL[at % AnswerFormat::ALL.len()])),
            What::Picture(n) => Wished::Picture(n, PictureFormat::ALL[at % PictureFormat::ALL.len()]),
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
            let (of, folder) = (source.clone(), source.path.parent());
            match fields.wish() {
                Wished::Text(Wish::Clips(..)) if source.kept.is_empty() => {
                    return Err(ExportFailure::NoPoints);
                }
                Wished::Text(wish) => {
                    let name = source.name_for(wish);
                    ask_where(&model, dialog, ("Export to", &name, folder), move |to| of.save(wish, to));
                }
                Wished::Picture(n, form) => {
                    let Some((_, plan)) = source.pictures().into_iter().nth(n) else {
                        return Err(ExportFailure::NoAnswer);
                    };
                    let name = source.name_of("court", form.ending());
                    ask_where(&model, dialog, ("Export to", &name, folder), move |to| {
                        form.save(&plan, &of, to)
                    });
                }
            }
            Ok(After::Stay)
        }
    );
    ask_to(parent, ("Export", "Save as…"), &[("Export", page)], save)
}
