//! Exports what is seen: clips of the points that the filter keeps, the points, the answer on the screen; on the Show page the lesson
//! as a video, a page, a sheet, files of its clips or a list of them.

use std::path::Path;
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;

use super::court_file::PictureFormat;
use super::export_lesson::{LessonFields, Thing};
use super::made::{Place, State, Stating, ask_and_make, films};
use super::saving_as::{LeadFields, NEVER_REPLACED, NOTHING_REPLACED, ask_where};
use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::export::{AnswerFormat, Format, PointFormat};
use crate::gui::kit::dialog::fit_height;
use crate::gui::kit::fields::{attach, choice, chosen, grid, quiet};
use crate::gui::kit::pages::{After, ask_to};
use crate::gui::model::Model;
use crate::making::{self, cut_clips, stated_clips};
use crate::session::exporting::{ExportFailure, Source, Wish};

/// Of what something is exported.
pub enum Subject {
    /// The open match.
    Match(Box<Source>),
    /// The open lesson.
    Lesson(making::Source),
}

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    Clips,
    Points,
    Answer,
    /// The court picture at this place of the answer.
    Picture(usize),
    /// A video file of each clip.
    Films,
    /// Something of the lesson.
    Lesson(Thing),
}

/// What is written, and how.
enum Wished {
    Text(Wish),
    Picture(usize, PictureFormat),
    Films(Lead),
}

/// The fields.
struct Fields {
    kinds: Vec<(String, What)>,
    what: gtk::DropDown,
    formats: gtk::DropDown,
    grid: gtk::Grid,
    /// Those of a match, or those of a lesson.
    lead: Option<(LeadFields, Source)>,
    lesson: Option<LessonFields>,
    stating: Rc<Stating>,
}

fn words(what: What) -> Vec<&'static str> {
    match what {
        What::Clips => Format::ALL.map(Format::purpose).to_vec(),
        What::Points => PointFormat::ALL.map(PointFormat::purpose).to_vec(),
        What::Answer => AnswerFormat::ALL.map(AnswerFormat::purpose).to_vec(),
        What::Picture(_) => PictureFormat::ALL.map(PictureFormat::words).to_vec(),
        What::Films => Thing::Clips.formats(),
        What::Lesson(thing) => thing.formats(),
    }
}

/// What can be exported of a match, and what is offered first.
fn kinds(source: &Source) -> (Vec<(String, What)>, What) {
    let clips = format!("Clips: {} ({})", source.title, Counted(source.kept.len(), Noun::Point));
    let mut kinds = vec![(clips, What::Clips), ("All points of this match".into(), What::Points)];
    let first = if source.answer.is_some() {
        kinds.push(("The answer on the screen".into(), What::Answer));
        let pictures = source.pictures().into_iter().enumerate();
        kinds.extend(pictures.map(|(n, (shot, _))| (format!("Court picture: {shot}"), What::Picture(n))));
        What::Answer
    } else {
        What::Clips
    };
    kinds.push(("A video file for each clip".into(), What::Films));
    (kinds, first)
}

impl Fields {
    fn of(subject: Subject) -> Self {
        let grid = grid();
        let (kinds, first, lead, lesson) = match subject {
            Subject::Match(source) => {
                let (kinds, first) = kinds(&source);
                (kinds, first, Some((LeadFields::attached(&grid, 2), *source)), None)
            }
            Subject::Lesson(of) => {
                let kinds = Thing::ALL.map(|(words, thing)| (words.to_owned(), What::Lesson(thing)));
                let fields = LessonFields::attached(&grid, 2, of);
                (kinds.to_vec(), What::Lesson(Thing::Video), None, Some(fields))
            }
        };
        Self {
            what: choice(&kinds, first),
            formats: gtk::DropDown::from_strings(&words(first)),
            stating: Stating::new(),
            grid,
            lead,
            lesson,
            kinds,
        }
    }

    fn page(self: &Rc<Self>) -> gtk::Box {
        let grid = &self.grid;
        attach(grid, 0, "Export", &self.what);
        attach(grid, 1, "Format", &self.formats);
        let weak = Rc::downgrade(self);
        let again = move || {
            if let Some(f) = weak.upgrade() {
                f.show();
            }
        };
        let fields = Rc::downgrade(self);
        self.what.connect_selected_notify(move |_| {
            if let Some(f) = fields.upgrade() {
                f.formats.set_model(Some(&gtk::StringList::new(&words(f.kind()))));
                f.show();
            }
        });
        let anew = again.clone();
        self.formats.connect_selected_notify(move |_| anew());
        if let Some((lead, _)) = &self.lead {
            lead.connect_changed(again.clone());
        }
        if let Some(lesson) = &self.lesson {
            lesson.connect_changed(again);
        }
        self.show();
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(grid);
        page.append(self.stating.label());
        page.append(&quiet(if self.lesson.is_some() { NOTHING_REPLACED } else { NEVER_REPLACED }));
        page
    }

    /// Shows the fields that what is chosen has, and states how large it will be. Only clips have seconds before and after.
    fn show(&self) {
        let kind = self.kind();
        if let Some((lead, _)) = &self.lead {
            lead.set_sensitive(matches!(kind, What::Clips | What::Films));
        }
        if let (What::Lesson(thing), Some(lesson)) = (kind, &self.lesson) {
            lesson.show_for(thing);
        }
        self.stating.ask(self.state());
        fit_height(&self.grid);
    }

    /// What states the size of what is chosen.
    fn state(&self) -> Option<State> {
        match (self.kind(), &self.lead, &self.lesson) {
            (What::Lesson(thing), _, Some(lesson)) => {
                let (order, of) = (lesson.order(thing, self.format()), lesson.of.clone());
                Some(Box::new(move |watch| order.stated(&of, watch)))
            }
            (What::Films, Some((lead, source)), _) if !source.kept.is_empty() => {
                let films = films(source.items(lead.lead()), &source.title, &source.people());
                Some(Box::new(move |watch| stated_clips(&films, watch)))
            }
            _ => None,
        }
    }

    fn kind(&self) -> What {
        chosen(&self.what, &self.kinds)
    }

    fn format(&self) -> usize {
        self.formats.selected() as usize
    }

    /// What is wished of a match.
    fn wish(&self) -> Option<(Wished, &Source)> {
        let (at, (lead, source)) = (self.format(), self.lead.as_ref()?);
        let wished = match self.kind() {
            What::Clips => Wished::Text(Wish::Clips(Format::ALL[at % Format::ALL.len()], lead.lead())),
            What::Points => Wished::Text(Wish::Points(PointFormat::ALL[at % PointFormat::ALL.len()])),
            What::Answer => Wished::Text(Wish::Answer(AnswerFormat::ALL[at % AnswerFormat::ALL.len()])),
            What::Picture(n) => Wished::Picture(n, PictureFormat::ALL[at % PictureFormat::ALL.len()]),
            What::Films => Wished::Films(lead.lead()),
            What::Lesson(_) => return None,
        };
        Some((wished, source))
    }

    /// Asks where, and makes what is chosen of the lesson.
    fn make(&self, model: &Model, dialog: &gtk::Window) {
        let (What::Lesson(thing), Some(lesson)) = (self.kind(), &self.lesson) else { return };
        let (order, of) = (lesson.order(thing, self.format()), lesson.of.clone());
        let checked = of.clone();
        let check = move |to: &Path| order.check(&checked, to);
        let work = move |to: &Path, watch: making::Watch<'_>| order.make(&of, to, watch);
        ask_and_make(model, dialog, lesson.place(order), check, work);
    }
}

/// Asks what to export; `subject` is what there is.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>, subject: Option<Subject>) {
    match subject {
        Some(subject) => dialog(model, parent, subject).present(),
        None => model.say("There is nothing to export. Open a match or a lesson first."),
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
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>, subject: Subject) -> gtk::Window {
    let fields = Rc::new(Fields::of(subject));
    let page = fields.page();
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok::<After, ExportFailure>(After::Close),
        move |dialog: &gtk::Window| {
            if let Some((wished, source)) = fields.wish() {
                save(&model, dialog, &wished, source)?;
            } else {
                fields.make(&model, dialog);
            }
            Ok(After::Stay)
        }
    );
    ask_to(parent, ("Export", "Save as…"), &[("Export", page)], save)
}

/// Asks where, and writes what is wished of a match.
fn save(model: &Model, dialog: &gtk::Window, wished: &Wished, source: &Source) -> Result<(), ExportFailure> {
    let (of, folder) = (source.clone(), source.path.parent());
    match *wished {
        Wished::Text(Wish::Clips(..)) | Wished::Films(_) if source.kept.is_empty() => {
            return Err(ExportFailure::NoPoints);
        }
        Wished::Text(wish) => {
            let name = source.name_for(wish);
            ask_where(model, dialog, ("Export to", &name, folder), move |to| of.save(wish, to));
        }
        Wished::Picture(n, form) => {
            let Some((_, plan)) = source.pictures().into_iter().nth(n) else {
                return Err(ExportFailure::NoAnswer);
            };
            let name = source.name_of("court", form.ending());
            ask_where(model, dialog, ("Export to", &name, folder), move |to| form.save(&plan, &of, to));
        }
        Wished::Films(lead) => {
            let films = films(source.items(lead), &source.title, &source.people());
            let place = Place {
                folder: folder.map(Path::to_owned),
                name: source.folder_of("clips"),
                is_folder: true,
            };
            ask_and_make(model, dialog, place, |_| Ok(()), move |to, watch| cut_clips(&films, to, watch));
        }
    }
    Ok(())
}
